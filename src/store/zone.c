/* Local time from the system's zone files (TZif, RFC 8536), versions 1 to 4, and their rule for the
 * years past the table (POSIX TZ with the extensions of version 3). Read by ourselves, since the C
 * library silently takes UTC for a name it does not know. */
#include "store.h"

#include <ctype.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

enum { ZONE_LARGEST = 1 << 20, HEADER = 44, ABBREVIATION = 8 };
#define ZONE_FOLDER "/usr/share/zoneinfo"

/* ---- the rule for the years past the table ---- */

enum date_kind { DATE_JULIAN, DATE_ZERO_BASED, DATE_WEEKDAY };

/* Jn, n or Mm.w.d and the local time of the change. */
struct rule_date {
    enum date_kind kind;
    int day, month, week;
    int time_s;
};

struct rule {
    bool exists, has_summer;
    int offset_s[2]; /* standard, summer */
    char abbreviation[2][ABBREVIATION];
    struct rule_date start, end;
};

static bool take_char(const char **text, char wanted)
{
    if (**text != wanted)
        return false;
    ++*text;
    return true;
}

static bool take_number(const char **text, int lowest, int highest, int *value)
{
    int sum = 0, digits = 0;

    for (; isdigit((unsigned char)**text) && digits < 4; digits++)
        sum = sum * 10 + (*(*text)++ - '0');
    *value = sum;
    return digits > 0 && sum >= lowest && sum <= highest;
}

static bool take_abbreviation(const char **text, char out[ABBREVIATION])
{
    bool quoted = take_char(text, '<');
    size_t length = 0;

    while (isalpha((unsigned char)**text) ||
           (quoted && (isdigit((unsigned char)**text) || **text == '+' || **text == '-'))) {
        if (length + 1 >= ABBREVIATION)
            return false;
        out[length++] = *(*text)++;
    }
    out[length] = '\0';
    return length >= 3 && (!quoted || take_char(text, '>'));
}

/* [+-]hh[:mm[:ss]] */
static bool take_time(const char **text, int most_hours, int *seconds)
{
    int sign = take_char(text, '-') ? -1 : 1, hours, minutes = 0, rest = 0;

    if (sign > 0)
        (void)take_char(text, '+');
    if (!take_number(text, 0, most_hours, &hours))
        return false;
    if (take_char(text, ':') && !take_number(text, 0, 59, &minutes))
        return false;
    if (take_char(text, ':') && !take_number(text, 0, 59, &rest))
        return false;
    *seconds = sign * (hours * 3600 + minutes * 60 + rest);
    return true;
}

static bool take_date(const char **text, struct rule_date *date)
{
    bool good;

    if (!take_char(text, ','))
        return false;
    if (take_char(text, 'M')) {
        date->kind = DATE_WEEKDAY;
        good = take_number(text, 1, 12, &date->month) && take_char(text, '.') &&
               take_number(text, 1, 5, &date->week) && take_char(text, '.') &&
               take_number(text, 0, 6, &date->day);
    } else if (take_char(text, 'J')) {
        date->kind = DATE_JULIAN;
        good = take_number(text, 1, 365, &date->day);
    } else {
        date->kind = DATE_ZERO_BASED;
        good = take_number(text, 0, 365, &date->day);
    }
    date->time_s = 2 * 3600;
    return good && (!take_char(text, '/') || take_time(text, 167, &date->time_s));
}

/* std offset [dst [offset] , start , end] */
static bool parse_rule(const char *text, struct rule *rule)
{
    *rule = (struct rule){.exists = true};
    if (!take_abbreviation(&text, rule->abbreviation[0]) ||
        !take_time(&text, 24, &rule->offset_s[0]))
        return false;
    /* POSIX counts westward. */
    rule->offset_s[0] = -rule->offset_s[0];
    if (*text == '\0')
        return true;
    rule->has_summer = true;
    if (!take_abbreviation(&text, rule->abbreviation[1]))
        return false;
    rule->offset_s[1] = rule->offset_s[0] + 3600;
    if (*text != ',') {
        if (!take_time(&text, 24, &rule->offset_s[1]))
            return false;
        rule->offset_s[1] = -rule->offset_s[1];
    }
    return take_date(&text, &rule->start) && take_date(&text, &rule->end) && *text == '\0';
}

static double day_of(int year, int month, int day)
{
    return seconds_from_civil(&(struct civil){.year = year, .month = month, .day = day});
}

/* Local seconds since 1970 of the change in a year, by the clock before it. */
static double date_in_year(const struct rule_date *date, int year)
{
    double first, day;
    int weekday;
    bool leap = day_of(year, 3, 1) - day_of(year, 2, 1) > 28.5 * SECONDS_PER_DAY;

    switch (date->kind) {
    case DATE_JULIAN:
        /* 29 February is never counted. */
        day = date->day - 1 + (leap && date->day >= 60);
        return day_of(year, 1, 1) + day * SECONDS_PER_DAY + date->time_s;
    case DATE_ZERO_BASED:
        return day_of(year, 1, 1) + date->day * SECONDS_PER_DAY + date->time_s;
    case DATE_WEEKDAY:
        break;
    }
    first = day_of(year, date->month, 1);
    /* 1970-01-01 was a Thursday. */
    weekday = (int)fmod(fmod(first / SECONDS_PER_DAY + 4, 7) + 7, 7);
    day = (date->day - weekday + 7) % 7 + 7 * (date->week - 1);
    while (first + day * SECONDS_PER_DAY >=
           (date->month < 12 ? day_of(year, date->month + 1, 1) : day_of(year + 1, 1, 1)))
        day -= 7;
    return first + day * SECONDS_PER_DAY + date->time_s;
}

static double summer_start(const struct rule *rule, int year)
{
    return date_in_year(&rule->start, year) - rule->offset_s[0];
}

static double summer_end(const struct rule *rule, int year)
{
    return date_in_year(&rule->end, year) - rule->offset_s[1];
}

/* 1 in summer time, 0 in standard time. */
static int rule_state(const struct rule *rule, double utc)
{
    int year = civil_from_seconds(utc + rule->offset_s[0]).year;
    double start = summer_start(rule, year), end = summer_end(rule, year);

    if (!rule->has_summer)
        return 0;
    if (start < end)
        return utc >= start && utc < end;
    return utc >= start || utc < end;
}

/* ---- the file ---- */

struct zone_file {
    const unsigned char *times; /* `time_size` bytes each, rising */
    int time_size;
    const unsigned char *type_of_time, *types; /* six bytes per type */
    const char *abbreviations;
    uint32_t time_count, type_count, abbreviation_bytes;
    struct rule rule;
};

static int64_t big_endian(const unsigned char *bytes, int size)
{
    uint64_t sum = bytes[0] & 0x80 ? UINT64_MAX : 0;

    for (int i = 0; i < size; i++)
        sum = sum << 8 | bytes[i];
    return (int64_t)sum;
}

/* Sets what one block of the file holds, its header at `bytes`; its length, 0 where it does not
 * fit. */
static size_t take_block(struct zone_file *file, const unsigned char *bytes, size_t length,
                         int time_size)
{
    uint32_t count[6];
    size_t size = HEADER;

    if (length < HEADER || memcmp(bytes, "TZif", 4) != 0)
        return 0;
    /* isutcnt, isstdcnt, leapcnt, timecnt, typecnt, charcnt */
    for (size_t i = 0; i < 6; i++) {
        count[i] = (uint32_t)big_endian(bytes + 20 + 4 * i, 4);
        if (count[i] > ZONE_LARGEST)
            return 0;
    }
    file->time_size = time_size;
    file->time_count = count[3];
    file->type_count = count[4];
    file->abbreviation_bytes = count[5];
    file->times = bytes + size;
    size += count[3] * (size_t)time_size;
    file->type_of_time = bytes + size;
    size += count[3];
    file->types = bytes + size;
    size += count[4] * (size_t)6;
    file->abbreviations = (const char *)bytes + size;
    size += count[5];
    size += count[2] * ((size_t)time_size + 4) + count[1] + count[0];
    /* Files that count leap seconds ("right/...") are of another scale than ours. */
    return size <= length && count[4] > 0 && count[2] == 0 ? size : 0;
}

static bool is_sound(const struct zone_file *file)
{
    for (uint32_t i = 0; i < file->time_count; i++)
        if (file->type_of_time[i] >= file->type_count)
            return false;
    for (uint32_t i = 0; i < file->type_count; i++) {
        unsigned name = file->types[6 * i + 5];

        if (name >= file->abbreviation_bytes ||
            !memchr(file->abbreviations + name, '\0', file->abbreviation_bytes - name))
            return false;
    }
    return true;
}

/* A line of the rule between newlines; empty: there is none. */
static bool take_footer(struct zone_file *file, const char *footer, size_t length)
{
    char text[64];
    const char *end;

    if (length < 2 || *footer != '\n')
        return false;
    end = memchr(footer + 1, '\n', length - 1);
    if (!end || (size_t)(end - footer) > sizeof text)
        return false;
    (void)snprintf(text, sizeof text, "%.*s", (int)(end - footer - 1), footer + 1);
    return *text == '\0' || parse_rule(text, &file->rule);
}

static bool parse_zone_file(struct zone_file *file, const unsigned char *bytes, size_t length)
{
    size_t first, second;

    *file = (struct zone_file){0};
    first = take_block(file, bytes, length, 4);
    if (first == 0)
        return false;
    if (bytes[4] >= '2') {
        second = take_block(file, bytes + first, length - first, 8);
        if (second == 0 ||
            !take_footer(file, (const char *)bytes + first + second, length - first - second))
            return false;
    }
    return is_sound(file);
}

static int64_t time_of(const struct zone_file *file, uint32_t index)
{
    return big_endian(file->times + (size_t)index * (size_t)file->time_size, file->time_size);
}

/* ---- what holds at an instant ---- */

static void set_type(const struct zone_file *file, unsigned type, int *offset_s,
                     char abbreviation[ABBREVIATION])
{
    const unsigned char *entry = file->types + 6 * (size_t)type;

    *offset_s = (int)big_endian(entry, 4);
    (void)snprintf(abbreviation, ABBREVIATION, "%.*s", ABBREVIATION - 1,
                   file->abbreviations + entry[5]);
}

static void state_at(const struct zone_file *file, double utc, int *offset_s,
                     char abbreviation[ABBREVIATION])
{
    uint32_t passed = 0;

    while (passed < file->time_count && (double)time_of(file, passed) <= utc)
        passed++;
    if (passed == file->time_count && file->rule.exists) {
        int summer = rule_state(&file->rule, utc);

        *offset_s = file->rule.offset_s[summer];
        (void)snprintf(abbreviation, ABBREVIATION, "%s", file->rule.abbreviation[summer]);
        return;
    }
    set_type(file, passed > 0 ? file->type_of_time[passed - 1] : 0, offset_s, abbreviation);
}

/* Adds a step where something changes at `utc`; false where the table is full. */
static bool add_step(const struct zone_file *file, double utc, struct zone_table *zone)
{
    int offset_s, last = zone->count - 1;
    char abbreviation[ABBREVIATION];

    state_at(file, utc, &offset_s, abbreviation);
    if (offset_s == zone->step[last].offset_s &&
        strcmp(abbreviation, zone->step[last].abbreviation) == 0)
        return true;
    if (zone->count >= ZONE_STEPS)
        return false;
    zone->step[zone->count].from_utc = utc;
    zone->step[zone->count].offset_s = offset_s;
    memcpy(zone->step[zone->count].abbreviation, abbreviation, sizeof abbreviation);
    zone->count++;
    return true;
}

static bool fill_table(const struct zone_file *file, double utc_from, double utc_to,
                       struct zone_table *zone)
{
    double table_end = file->time_count ? (double)time_of(file, file->time_count - 1) : -INFINITY;
    int year_to = civil_from_seconds(utc_to).year + 1;

    zone->count = 1;
    zone->step[0].from_utc = -INFINITY;
    state_at(file, utc_from, &zone->step[0].offset_s, zone->step[0].abbreviation);
    for (uint32_t i = 0; i < file->time_count; i++) {
        double utc = (double)time_of(file, i);

        if (utc > utc_from && utc <= utc_to && !add_step(file, utc, zone))
            return false;
    }
    for (int year = civil_from_seconds(utc_from).year - 1; file->rule.has_summer && year <= year_to;
         year++) {
        double start = summer_start(&file->rule, year), end = summer_end(&file->rule, year);
        double change[2] = {fmin(start, end), fmax(start, end)};

        for (int i = 0; i < 2; i++)
            if (change[i] > utc_from && change[i] <= utc_to && change[i] > table_end &&
                !add_step(file, change[i], zone))
                return false;
    }
    return true;
}

/* ---- names ---- */

/* Letters, digits and + - _ / alone: no way out of the zone folder. */
static bool is_zone_name(const char *name)
{
    size_t length = strlen(name);

    return length > 0 && length < sizeof((struct zone_table *)0)->name && name[0] != '/' &&
           strspn(name, "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+-_/") ==
               length;
}

static void zone_path(const char *name, char out[PATH_SIZE])
{
    const char *folder = getenv("TZDIR");

    (void)snprintf(out, PATH_SIZE, "%s/%s", folder && *folder == '/' ? folder : ZONE_FOLDER, name);
}

static int load_file(const char *path, double utc_from, double utc_to, struct zone_table *zone,
                     struct fault *fault)
{
    struct zone_file file;
    char *bytes;
    size_t length;
    int status = file_read(path, ZONE_LARGEST, &bytes, &length, fault);

    if (status != 0)
        return -1;
    if (!parse_zone_file(&file, (const unsigned char *)bytes, length))
        status = fault_set(fault, "%s: not a time zone file (without leap seconds)", path);
    else if (!fill_table(&file, utc_from, utc_to, zone))
        status = fault_set(fault, "time zone %s: more than %d changes in the span", zone->name,
                           ZONE_STEPS - 1);
    free(bytes);
    return status;
}

static int load_name(const char *name, double utc_from, double utc_to, struct zone_table *zone,
                     struct fault *fault)
{
    char path[PATH_SIZE];

    if (is_zone_name(name)) {
        zone_path(name, path);
        if (access(path, R_OK) == 0)
            return load_file(path, utc_from, utc_to, zone, fault);
    }
    zone_path("", path);
    return fault_set(fault,
                     "found time zone \"%.60s\"; allowed is a name of %s such as "
                     "Europe/Rome, or \"system\" (is the package tzdata there?)",
                     name, path);
}

/* $TZ may also be a path or a rule of its own. */
static int load_environment(const char *text, double utc_from, double utc_to,
                            struct zone_table *zone, struct fault *fault)
{
    struct zone_file file = {0};

    text += *text == ':';
    (void)snprintf(zone->name, sizeof zone->name, "%.*s", (int)sizeof zone->name - 1, text);
    if (*text == '/')
        return load_file(text, utc_from, utc_to, zone, fault);
    if (load_name(text, utc_from, utc_to, zone, fault) == 0)
        return 0;
    if (!parse_rule(text, &file.rule))
        return -1;
    return fill_table(&file, utc_from, utc_to, zone)
               ? 0
               : fault_set(fault, "time zone %s: more than %d changes in the span", zone->name,
                           ZONE_STEPS - 1);
}

static int load_system(double utc_from, double utc_to, struct zone_table *zone, struct fault *fault)
{
    static const char local[] = "/etc/localtime", marker[] = "zoneinfo/";
    const char *environment = getenv("TZ"), *name;
    char *real;

    if (environment && *environment)
        return load_environment(environment, utc_from, utc_to, zone, fault);
    if (environment || access(local, F_OK) != 0) {
        zone_utc(zone);
        return 0;
    }
    real = realpath(local, NULL);
    name = real ? strstr(real, marker) : NULL;
    (void)snprintf(zone->name, sizeof zone->name, "%.*s", (int)sizeof zone->name - 1,
                   name ? name + strlen(marker) : "local");
    free(real);
    return load_file(local, utc_from, utc_to, zone, fault);
}

int zone_load(const char *name, double utc_from, double utc_to, struct zone_table *zone,
              struct fault *fault)
{
    struct zone_table fresh = {0};
    int status;

    if (*name == '\0' || strcmp(name, "system") == 0) {
        status = load_system(utc_from, utc_to, &fresh, fault);
    } else {
        (void)snprintf(fresh.name, sizeof fresh.name, "%.*s", (int)sizeof fresh.name - 1, name);
        status = load_name(name, utc_from, utc_to, &fresh, fault);
    }
    if (status == 0)
        *zone = fresh;
    return status;
}
