/* Structs into JSON by the same tables that read them. */
#include "files.h"

#include <math.h>
#include <stdlib.h>

char *format_exact(char out[NUMBER_TEXT], double value)
{
    (void)text_set(out, NUMBER_TEXT, "%.15g", value);
    return strtod(out, NULL) == value ? out : text_set(out, NUMBER_TEXT, "%.17g", value);
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

/* Null: out of memory. A null of JSON: the value is unknown or empty. */
static cJSON *write_field(const struct field *field, const void *object)
{
    const void *place = (const char *)object + field->offset;

    switch (field->kind) {
    case FIELD_NUMBER:
        return isfinite(*(const double *)place) ? json_number(*(const double *)place)
                                                : cJSON_CreateNull();
    case FIELD_INTEGER:
        return cJSON_CreateNumber(*(const int *)place);
    case FIELD_FLAG:
        return cJSON_CreateBool(*(const bool *)place);
    case FIELD_TEXT:
        return *(const char *)place || field->required ? cJSON_CreateString(place)
                                                       : cJSON_CreateNull();
    case FIELD_CHOICE:
        return cJSON_CreateString(field->choice(*(const int *)place));
    case FIELD_OBJECT:
        return json_write(field->form, place);
    case FIELD_LIST:
        return write_list(field, place,
                          *(const int *)(const void *)((const char *)object + field->count_offset));
    case FIELD_WORDS:
    case FIELD_PAIRS:
    case FIELD_OTHER:
        return field->write(place);
    }
    return NULL;
}

cJSON *json_write(const struct form *form, const void *place)
{
    cJSON *object = cJSON_CreateObject();

    for (int i = 0; object && i < form->count; i++) {
        cJSON *item = write_field(&form->field[i], place);

        if (cJSON_IsNull(item))
            cJSON_Delete(item);
        else
            object = json_with(object, form->field[i].key, item);
    }
    return object;
}
