/* The fields of a rig that the live screen can change. */
#include "derive.h"

#include <math.h>
#include <stddef.h>
#include <string.h>

enum field_kind { FIELD_NUMBER, FIELD_FLAG };

struct rig_field {
    const char *name; /* in the record */
    enum field_kind kind;
    size_t offset;
    double lowest, highest;
};

static const struct rig_field fields[] = {
    {"filter_stops", FIELD_NUMBER, offsetof(struct rig, filter_stops), 0, 20},
    {"extender", FIELD_NUMBER, offsetof(struct rig, extender), 0.3, 5},
    {"f_number", FIELD_NUMBER, offsetof(struct rig, f_number), 0.5, 64},
    {"interval_s", FIELD_NUMBER, offsetof(struct rig, interval_s), 0.5, 3600},
    {"portrait", FIELD_FLAG, offsetof(struct rig, portrait), 0, 1},
};

/* `name` ends with the text or at a blank. */
static const struct rig_field *find(const char *name)
{
    size_t length = strcspn(name, " ");

    for (size_t i = 0; i < sizeof fields / sizeof *fields; i++)
        if (strlen(fields[i].name) == length && memcmp(fields[i].name, name, length) == 0)
            return &fields[i];
    return NULL;
}

static void set(struct rig *rig, const struct rig_field *field, double value)
{
    void *place = (char *)rig + field->offset;

    if (field->kind == FIELD_NUMBER)
        *(double *)place = value;
    else
        *(bool *)place = value > 0;
}

static double get(const struct rig *rig, const struct rig_field *field)
{
    const void *place = (const char *)rig + field->offset;

    return field->kind == FIELD_NUMBER ? *(const double *)place : *(const bool *)place;
}

void rig_field_range(const char *name, double *lowest, double *highest)
{
    const struct rig_field *field = find(name);

    *lowest = field ? field->lowest : NAN;
    *highest = field ? field->highest : NAN;
}

void rig_field_set(struct rig *rig, const char *name, double value)
{
    const struct rig_field *field = find(name);

    if (field)
        set(rig, field, value);
}

static bool is_same(double a, double b)
{
    return a == b || (isnan(a) && isnan(b));
}

void rig_fields_keep(struct rig *rig, const struct rig *from, const struct rig *before,
                     const struct rig *after)
{
    for (size_t i = 0; i < sizeof fields / sizeof *fields; i++)
        if (is_same(get(before, &fields[i]), get(after, &fields[i])))
            set(rig, &fields[i], get(from, &fields[i]));
}
