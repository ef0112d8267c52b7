/* Structs into JSON by the same tables that read them. */
#include "files.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

char *format_exact(char out[NUMBER_TEXT], double value)
{
    (void)snprintf(out, NUMBER_TEXT, "%.15g", value);
    if (strtod(out, NULL) != value)
        (void)snprintf(out, NUMBER_TEXT, "%.17g", value);
    return out;
}

cJSON *json_number(double value)
{
    char text[NUMBER_TEXT];

    return cJSON_CreateRaw(format_exact(text, value));
}

cJSON *json_with(cJSON *parent, const char *key, cJSON *item)
{
    bool added = parent && item && (key ? cJSON_AddItemToObject(parent, key, item)
                                        : cJSON_AddItemToArray(parent, item));

    if (added)
        return parent;
    cJSON_Delete(item);
    cJSON_Delete(parent);
    return NULL;
}

static cJSON *write_list(const struct field *field, const char *place, int count)
{
    cJSON *list = cJSON_CreateArray();

    for (int i = 0; list && i < count; i++)
        list = json_with(list, NULL, json_write(field->form, place + (size_t)i * field->size));
    return list;
}

/* Null with *failed false: the value is unknown or empty and its key is left out. */
static cJSON *write_field(const struct field *field, const void *object, bool *failed)
{
    const void *place = (const char *)object + field->offset;
    cJSON *item = NULL;

    switch (field->kind) {
    case FIELD_NUMBER:
        if (!isfinite(*(const double *)place))
            return NULL;
        item = json_number(*(const double *)place);
        break;
    case FIELD_INTEGER:
        item = cJSON_CreateNumber(*(const int *)place);
        break;
    case FIELD_FLAG:
        item = cJSON_CreateBool(*(const bool *)place);
        break;
    case FIELD_TEXT:
        if (*(const char *)place == '\0' && !field->required)
            return NULL;
        item = cJSON_CreateString(place);
        break;
    case FIELD_CHOICE:
        item = cJSON_CreateString(field->choice(*(const int *)place));
        break;
    case FIELD_OBJECT:
        item = json_write(field->form, place);
        break;
    case FIELD_LIST:
        item = write_list(field, place,
                          *(const int *)(const void *)((const char *)object + field->count_offset));
        break;
    case FIELD_PAIRS:
    case FIELD_OTHER:
        return field->write(place, failed);
    }
    *failed = !item;
    return item;
}

cJSON *json_write(const struct form *form, const void *place)
{
    cJSON *object = cJSON_CreateObject();

    for (int i = 0; object && i < form->count; i++) {
        bool failed = false;
        cJSON *item = write_field(&form->field[i], place, &failed);

        if (item || failed)
            object = json_with(object, form->field[i].key, item);
    }
    return object;
}
