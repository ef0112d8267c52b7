/* Published tables: comma-separated, '#' lines are remarks, the first other line names the columns.
 */
#ifndef MOONSTAND_TESTS_CSV_H
#define MOONSTAND_TESTS_CSV_H

#include <math.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { CSV_COLUMNS = 48, CSV_LINE = 2048 };

struct csv {
    FILE *file;
    char header[CSV_LINE], line[CSV_LINE];
    char *name[CSV_COLUMNS], *field[CSV_COLUMNS];
    int columns;
};

static inline int csv_split(char *line, char *field[CSV_COLUMNS])
{
    int count = 0;
    bool quoted = false;

    line[strcspn(line, "\r\n")] = '\0';
    field[count++] = line;
    for (char *c = line; *c; c++) {
        if (*c == '"')
            quoted = !quoted;
        if (*c != ',' || quoted)
            continue;
        *c = '\0';
        if (count == CSV_COLUMNS)
            break;
        field[count++] = c + 1;
    }
    return count;
}

static inline bool csv_line(struct csv *csv, char *line)
{
    do {
        if (!fgets(line, CSV_LINE, csv->file))
            return false;
    } while (line[0] == '#');
    return true;
}

/* A file of TEST_DATA. */
static inline void csv_open(struct csv *csv, const char *file)
{
    char path[512];

    snprintf(path, sizeof path, "%s/%s", TEST_DATA, file);
    csv->file = fopen(path, "r");
    assert_non_null(csv->file);
    assert_true(csv_line(csv, csv->header));
    csv->columns = csv_split(csv->header, csv->name);
}

/* The next row; closes the file after the last. */
static inline bool csv_next(struct csv *csv)
{
    if (csv_line(csv, csv->line)) {
        assert_int_equal(csv_split(csv->line, csv->field), csv->columns);
        return true;
    }
    fclose(csv->file);
    return false;
}

static inline const char *csv_text(const struct csv *csv, const char *column)
{
    for (int i = 0; i < csv->columns; i++)
        if (strcmp(csv->name[i], column) == 0)
            return csv->field[i];
    fail_msg("no column '%s'", column);
    return "";
}

/* NaN where the field is empty. */
static inline double csv_number(const struct csv *csv, const char *column)
{
    const char *text = csv_text(csv, column);

    return *text ? strtod(text, NULL) : NAN;
}

#endif
