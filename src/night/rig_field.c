/* The fields of a rig that the live screen can change. */
#include "derive.h"

#include <math.h>
#include <stddef.h>
#include <string.h>

struct rig_field {
    const char *name; /* in the record */
    size_t size;      /* of a double or of a flag */
    size_t offset;
    double lowest, highest;
};

static const struct rig_field fields[] = {
    {"filter_stops", sizeof(double), offsetof(struct rig, filter_stops), 0, 20},
    {"extender", sizeof(double), offsetof(struct rig, extender), 0.3, 5},
    {"f_number", sizeof(double), offsetof(struct rig, f_number), 0.5, 64},
    {"interval_s", sizeof(double), offsetof(struct rig, interval_s), 0.5, 3600},
    {"portrait", sizeof(bool), offsetof(struct rig, portrait), 0, 1},
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

void rig_field_range(const char *name, double *lowest, double *highest)
{
    const struct rig_field *field = find(name);

    *lowest = field ? field->lowest : NAN;
    *highest = field ? field->highest : NAN;
}

void rig_field_set(struct rig *rig, const char *name, double value)
{
    const struct rig_field *field = find(name);
    void *place = field ? (char *)rig + field->offset : NULL;

    if (field && field->size == sizeof(bool))
        *(bool *)place = value > 0;
    else if (field)
        *(double *)place = value;
}

void rig_fields_keep(struct rig *rig, const struct rig *from, const struct rig *before,
                     const struct rig *after)
{
    for (size_t i = 0; i < sizeof fields / sizeof *fields; i++) {
        size_t offset = fields[i].offset, size = fields[i].size;

        if (memcmp((const char *)before + offset, (const char *)after + offset, size) == 0)
            memcpy((char *)rig + offset, (const char *)from + offset, size);
    }
}
