/* The library accepts what a setup must not hold (text after the end, duplicate keys, infinite
 * numbers, zero characters, bytes that are not UTF-8); that is refused here, with its place. */
#include "files.h"

#include <errno.h>
#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { NESTING = 16, LARGEST_FILE = 1 << 20, KEY_PATH = 128 };
#define BLANKS " \t\r\n"

/* ---- places ---- */

/* "FILE:LINE:COLUMN: message"; columns count characters. Without a file there is no place. */
static int refuse_at(const struct json_file *file, const char *at, const char *message)
{
    int line = 1, column = 1;

    if (*file->name == '\0')
        return fault_set(file->fault, "%s", message);
    for (const char *c = file->text; c < at; c++) {
        if (*c == '\n') {
            line++;
            column = 1;
        } else if (begins_character(*c)) {
            column++;
        }
    }
    return fault_set(file->fault, "%.200s:%d:%d: %s", file->name, line, column, message);
}

static const char *after_string(const char *quote)
{
    const char *at = quote + 1;

    while (*at != '"' && *at != '\0')
        at += *at == '\\' ? 2 : 1;
    return *at ? at + 1 : at;
}

/* Finds the value with a number, counted from 0 in the order of the text (parents first); its key,
 * if `key` is set and it is a member of an object. */
static const char *find_value(const char *text, int number, bool key)
{
    const char *key_at = text, *at = text;

    for (;;) {
        const char *start, *end;

        at += strspn(at, BLANKS ",:]}");
        start = at;
        if (*at == '"') {
            at = after_string(at);
            end = at + strspn(at, BLANKS);
            if (*end == ':') {
                key_at = start;
                continue;
            }
        } else if (*at == '{' || *at == '[') {
            at++;
        } else {
            at += strcspn(at, BLANKS ",]}");
        }
        if (number-- == 0 || *start == '\0')
            return key ? key_at : start;
    }
}

/* Finds the number and path of a node in the tree. */
static bool find_node(const cJSON *at, const cJSON *wanted, int *number, char path[KEY_PATH])
{
    size_t length = strlen(path);
    const cJSON *child;
    int index = 0;

    if (at == wanted)
        return true;
    cJSON_ArrayForEach(child, at)
    {
        ++*number;
        if (!child->string)
            text_add(path, KEY_PATH, "", "[%d]", index);
        else
            text_add(path, KEY_PATH, ".", "%s", text_is_clean(child->string) ? child->string : "?");
        if (find_node(child, wanted, number, path))
            return true;
        path[length] = '\0';
        index++;
    }
    return false;
}

static int refuse_node(const struct json_file *file, const cJSON *node, bool key,
                       const char *message)
{
    char path[KEY_PATH] = "", whole[sizeof file->fault->text];
    int number = 0;

    (void)find_node(file->root, node, &number, path);
    (void)snprintf(whole, sizeof whole, "%s%s%s", path, *path ? ": " : "", message);
    return refuse_at(file, find_value(file->text, number, key), whole);
}

int json_refuse(const struct json_file *file, const cJSON *node, const char *format, ...)
{
    char message[sizeof file->fault->text];
    va_list args;

    va_start(args, format);
    (void)vsnprintf(message, sizeof message, format, args);
    va_end(args);
    return refuse_node(file, node, false, message);
}

static const char *kind_name(const cJSON *node)
{
    if (cJSON_IsBool(node))
        return cJSON_IsTrue(node) ? "true" : "false";
    if (cJSON_IsNull(node))
        return "null";
    if (cJSON_IsArray(node))
        return "a list";
    return cJSON_IsObject(node) ? "an object" : "nothing";
}

int json_refuse_value(const struct json_file *file, const cJSON *node, const char *allowed)
{
    char found[64];

    if (cJSON_IsString(node))
        (void)snprintf(found, sizeof found, "\"%.50s\"", node->valuestring);
    else if (cJSON_IsNumber(node))
        (void)snprintf(found, sizeof found, "%.10g", node->valuedouble);
    else
        (void)snprintf(found, sizeof found, "%s", kind_name(node));
    return json_refuse(file, node, "found %s; expected %s", found, allowed);
}

/* ---- checks around the parser ---- */

static int refuse_character(const struct json_file *file, const char *at)
{
    char what[TEXT_FAULT] = "a control character", message[TEXT_FAULT + 16];

    (void)text_fault(at, what); /* a zero byte reads as the end */
    (void)snprintf(message, sizeof message, "%s; leave it out", what);
    return refuse_at(file, at, message);
}

/* Checks bytes and nesting. */
static int check_text(const struct json_file *file, const char *end)
{
    bool quoted = false;
    int depth = 0;
    size_t step;

    for (const char *at = file->text; at < end; at += step) {
        bool escape = quoted && *at == '\\';

        step = 1;
        if (!quoted && *at && strchr(BLANKS, *at))
            continue;
        step = clean_character(at);
        if (step == 0)
            return refuse_character(file, at);
        if (escape && strncmp(at, "\\u0000", 6) == 0)
            return refuse_at(file, at, "a text cannot hold \\u0000");
        if (escape)
            step = 2;
        else if (*at == '"')
            quoted = !quoted;
        else if (!quoted && (*at == '{' || *at == '['))
            depth++;
        else if (!quoted && (*at == '}' || *at == ']'))
            depth--;
        if (depth > NESTING)
            return refuse_at(file, at, "nested deeper than 16, which is the most allowed");
    }
    return 0;
}

/* Escapes can put invisible characters into keys and texts. */
static int check_strings(const struct json_file *file, const cJSON *node)
{
    char what[TEXT_FAULT];
    const cJSON *child;

    if ((node->string && text_fault(node->string, what)) ||
        (cJSON_IsString(node) && text_fault(node->valuestring, what)))
        return json_refuse(file, node, "%s in the key or the text; leave it out", what);
    cJSON_ArrayForEach(child, node)
    {
        if (check_strings(file, child) != 0)
            return -1;
    }
    return 0;
}

/* The parser points one past a character found instead of a key. */
static bool is_past_wrong_key(const char *text, const char *at)
{
    const char *before = at - 2;

    if (at < text + 2 || strchr(BLANKS "\"[:0123456789", at[-1]))
        return false;
    while (before > text && strchr(BLANKS, *before))
        before--;
    return *before == ',' || (*before == '{' && at[-1] != '}');
}

static int refuse_syntax(const struct json_file *file, const char *at)
{
    char found[24] = "", message[160];
    size_t length = 0;

    if (is_past_wrong_key(file->text, at))
        at--;
    at += strspn(at, BLANKS);
    for (size_t step; length < 12 && at[length] != '\n'; length += step) {
        step = clean_character(at + length);
        if (step == 0)
            break;
    }
    memcpy(found, at, length);
    (void)snprintf(message, sizeof message,
                   "found %s%s%s; not JSON from here: look for a missing or needless comma, quote "
                   "or bracket",
                   *at ? "'" : "", *at ? found : "the end of the file", *at ? "'" : "");
    return refuse_at(file, at, message);
}

static int refuse_memory(struct json_file *file)
{
    return fault_set(file->fault, *file->name ? "%.200s: out of memory" : "out of memory",
                     file->name);
}

static int parse(struct json_file *file, size_t length)
{
    const char *end = NULL, *text_end = file->text + length;

    file->text = text_past_mark(file->text);
    if (length > LARGEST_FILE)
        return fault_set(file->fault, "%.200s: larger than 1 MiB, which is the most allowed",
                         file->name);
    if (check_text(file, text_end) != 0)
        return -1;
    errno = 0;
    file->root =
        cJSON_ParseWithLengthOpts(file->text, (size_t)(text_end - file->text) + 1, &end, 1);
    if (!file->root)
        return errno == ENOMEM ? refuse_memory(file) : refuse_syntax(file, end ? end : file->text);
    return check_strings(file, file->root);
}

/* ---- values ---- */

char *field_allowed(const struct field *field, char out[FIELD_ALLOWED])
{
    const char *unit = field->unit ? field->unit : "";

    switch (field->kind) {
    case FIELD_NUMBER:
    case FIELD_INTEGER:
        return text_set(out, FIELD_ALLOWED, "a %s from %.10g to %.10g%s%s",
                        field->kind == FIELD_INTEGER ? "whole number" : "number", field->lowest,
                        field->highest, *unit ? " " : "", unit);
    case FIELD_FLAG:
        return text_set(out, FIELD_ALLOWED, "true or false");
    case FIELD_TEXT:
        return text_set(out, FIELD_ALLOWED, "a text of %g to %zu bytes", field->lowest,
                        field->size - 1);
    case FIELD_CHOICE:
        *out = '\0';
        for (int i = 0; i < field->choices; i++)
            text_add(out, FIELD_ALLOWED, ", ", "\"%s\"", field->choice(i));
        return out;
    case FIELD_OBJECT:
        return text_set(out, FIELD_ALLOWED, "an object {...}");
    case FIELD_LIST:
        return text_set(out, FIELD_ALLOWED, "a list of %g to %g objects", field->lowest,
                        field->highest);
    case FIELD_WORDS:
    case FIELD_PAIRS:
    case FIELD_OTHER:
        break;
    }
    return text_set(out, FIELD_ALLOWED, "%s", unit);
}

static int refuse_field(const struct json_file *file, const struct field *field, const cJSON *node)
{
    char allowed[FIELD_ALLOWED];

    return json_refuse_value(file, node, field_allowed(field, allowed));
}

static bool in_range(const struct field *field, const cJSON *node)
{
    double value = node->valuedouble;

    return cJSON_IsNumber(node) && isfinite(value) && value >= field->lowest &&
           value <= field->highest && (field->kind != FIELD_INTEGER || value == floor(value));
}

/* What the field's own function says gets its place in the file here. */
static int parse_text(const struct json_file *file, const struct field *field, const cJSON *node,
                      void *place)
{
    struct fault cause;

    return field->parse(node->valuestring, place, &cause) == 0
               ? 0
               : json_refuse(file, node, "%s", cause.text);
}

static int read_text(const struct json_file *file, const struct field *field, const cJSON *node,
                     char *place)
{
    size_t length = cJSON_IsString(node) ? strlen(node->valuestring) : 0;

    if (!cJSON_IsString(node) || (double)length < field->lowest || length >= field->size)
        return refuse_field(file, field, node);
    if (field->parse && parse_text(file, field, node, place) != 0)
        return -1;
    memset(place, 0, field->size);
    memcpy(place, node->valuestring, length);
    return 0;
}

static int read_choice(const struct json_file *file, const struct field *field, const cJSON *node,
                       int *place)
{
    for (int i = 0; i < field->choices; i++)
        if (cJSON_IsString(node) && strcmp(node->valuestring, field->choice(i)) == 0) {
            *place = i;
            return 0;
        }
    return refuse_field(file, field, node);
}

static int read_list(const struct json_file *file, const struct field *field, const cJSON *node,
                     char *place, int *count)
{
    const cJSON *child;
    char allowed[FIELD_ALLOWED];
    int index = 0, found = cJSON_GetArraySize(node);

    if (!cJSON_IsArray(node))
        return refuse_field(file, field, node);
    if (found < field->lowest || found > field->highest)
        return json_refuse(file, node, "found %d entries; expected %s", found,
                           field_allowed(field, allowed));
    cJSON_ArrayForEach(child, node)
    {
        char *element = place + (size_t)index++ * field->size;

        memset(element, 0, field->size);
        if (field->form->prepare)
            field->form->prepare(element);
        if (json_read(file, field->form, child, element) != 0)
            return -1;
    }
    *count = index;
    return 0;
}

static int read_field(const struct json_file *file, const struct field *field, const cJSON *node,
                      void *object)
{
    void *place = (char *)object + field->offset;

    switch (field->kind) {
    case FIELD_NUMBER:
        if (!in_range(field, node))
            return refuse_field(file, field, node);
        *(double *)place = node->valuedouble;
        return 0;
    case FIELD_INTEGER:
        if (!in_range(field, node))
            return refuse_field(file, field, node);
        *(int *)place = (int)node->valuedouble;
        return 0;
    case FIELD_FLAG:
        if (!cJSON_IsBool(node))
            return refuse_field(file, field, node);
        *(bool *)place = cJSON_IsTrue(node);
        return 0;
    case FIELD_TEXT:
        return read_text(file, field, node, place);
    case FIELD_WORDS:
        return cJSON_IsString(node) ? parse_text(file, field, node, place)
                                    : refuse_field(file, field, node);
    case FIELD_CHOICE:
        return read_choice(file, field, node, place);
    case FIELD_OBJECT:
        return json_read(file, field->form, node, place);
    case FIELD_LIST:
        return read_list(file, field, node, place,
                         (int *)(void *)((char *)object + field->count_offset));
    case FIELD_PAIRS:
    case FIELD_OTHER:
        return field->read(file, node, place);
    }
    return -1;
}

/* ---- objects ---- */

cJSON *json_member(const cJSON *object, const char *key)
{
    return cJSON_GetObjectItemCaseSensitive(object, key);
}

const char *json_text(const cJSON *object, const char *key)
{
    const char *text = cJSON_GetStringValue(json_member(object, key));

    return text ? text : "";
}

double json_instant(const cJSON *object, const char *key)
{
    double utc = NAN;

    (void)parse_instant(json_text(object, key), &utc, NULL);
    return utc;
}

const struct field *form_field(const struct form *form, const char *key, size_t length)
{
    for (int i = 0; i < form->count; i++)
        if (strlen(form->field[i].key) == length && memcmp(form->field[i].key, key, length) == 0)
            return &form->field[i];
    return NULL;
}

static int refuse_key(const struct json_file *file, const struct form *form, const cJSON *node)
{
    char message[sizeof file->fault->text] = "unknown key; expected one of";

    for (int i = 0; i < form->count; i++)
        text_add(message, sizeof message, i ? ", " : " ", "%s", form->field[i].key);
    return refuse_node(file, node, true, message);
}

int json_read(const struct json_file *file, const struct form *form, const cJSON *node, void *place)
{
    const cJSON *child;

    if (!cJSON_IsObject(node))
        return json_refuse_value(file, node, "an object {...}");
    cJSON_ArrayForEach(child, node)
    {
        const struct field *field = form_field(form, child->string, strlen(child->string));

        if (!field)
            return refuse_key(file, form, child);
        /* Of two equal keys the first is found. */
        if (json_member(node, child->string) != child)
            return refuse_node(file, child, true, "duplicate key");
        if (read_field(file, field, child, place) != 0)
            return -1;
    }
    for (int i = 0; i < form->count; i++)
        if (form->field[i].required && !json_member(node, form->field[i].key))
            return json_refuse(file, node, "the key \"%s\" is missing", form->field[i].key);
    return form->check ? form->check(file, node, place) : 0;
}

/* ---- files ---- */

int json_read_text(struct json_file *file, size_t length, const struct form *form, void *place)
{
    void *fresh = calloc(1, form->size);
    int status = fresh ? parse(file, length) : refuse_memory(file);

    if (status == 0 && form->prepare)
        form->prepare(fresh);
    if (status == 0)
        status = json_read(file, form, file->root, fresh);
    if (status == 0)
        memcpy(place, fresh, form->size);
    cJSON_Delete(file->root);
    file->root = NULL;
    free(fresh);
    return status;
}

int json_take_file(int file, const char *path, const struct form *form, void *place,
                   struct fault *fault)
{
    struct json_file json = {.name = path, .fault = fault};
    char *text;
    size_t length;
    int status = file_take(file, path, LARGEST_FILE, &text, &length, fault);

    if (status != 0)
        return status;
    json.text = text;
    status = json_read_text(&json, length, form, place);
    free(text);
    return status;
}
