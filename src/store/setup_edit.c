/* Walks the tree of a setup along the tables that read it, so that typed values get the same checks
 * and messages as a file. */
#include "files.h"

#include <moonstand/setup_file.h>
#include <moonstand/setup_words.h>

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* Where a path leads. */
struct spot {
    const struct field *field; /* of the value, or of the list that it is an entry of */
    const struct form *form;   /* of the object there; null: none */
    cJSON *node;               /* null: absent, or one more entry */
    cJSON *parent;
    int entry; /* its number in a list; -1: none */
};

static bool is_list(const struct spot *spot)
{
    return spot->field && spot->entry < 0 &&
           (spot->field->kind == FIELD_LIST || spot->field->kind == FIELD_PAIRS);
}

/* A site may be an object or a name. */
static const struct form *form_there(const struct field *field, const cJSON *node)
{
    return field->kind == FIELD_OBJECT || cJSON_IsObject(node) ? field->form : NULL;
}

static bool step_to_key(struct spot *spot, const char **path)
{
    size_t length = strcspn(*path, ".[");
    const struct field *field =
        spot->form && spot->node ? form_field(spot->form, *path, length) : NULL;
    cJSON *node = field ? json_member(spot->node, field->key) : NULL;

    if (!field)
        return false;
    if (!node && field->kind == FIELD_PAIRS)
        node = cJSON_AddArrayToObject(spot->node, field->key);
    *spot = (struct spot){field, form_there(field, node), node, spot->node, -1};
    *path += length;
    return true;
}

static bool step_to_entry(struct spot *spot, const char **path)
{
    char *end;
    long entry = strtol(*path + 1, &end, 10);
    cJSON *list = spot->node;

    /* Entries replace a word for the whole list. */
    if (is_list(spot) && cJSON_IsString(list)) {
        list = cJSON_CreateArray();
        if (!cJSON_ReplaceItemInObjectCaseSensitive(spot->parent, spot->field->key, list))
            return false;
    }
    if (!is_list(spot) || *end != ']' || entry < 0 || entry > cJSON_GetArraySize(list))
        return false;
    *spot = (struct spot){spot->field, spot->field->form, cJSON_GetArrayItem(list, (int)entry),
                          list, (int)entry};
    *path = end + 1;
    return true;
}

static bool find_spot(cJSON *tree, const char *path, struct spot *spot)
{
    *spot = (struct spot){.form = &setup_form, .node = tree, .entry = -1};
    while (*path) {
        if (*path == '.')
            path++;
        if (!(*path == '[' ? step_to_entry(spot, &path) : step_to_key(spot, &path)))
            return false;
    }
    return true;
}

/* Turns raw numbers into nodes like those of the parser. */
static cJSON *plain_tree(const struct setup *setup)
{
    cJSON *written = setup_tree(setup), *tree;
    char *text = written ? cJSON_PrintUnformatted(written) : NULL;

    cJSON_Delete(written);
    tree = text ? cJSON_Parse(text) : NULL;
    cJSON_free(text);
    return tree;
}

/* A path into the horizon of a file shows and changes its points, not the path of the file. */
static void show_points(const struct setup *setup, cJSON *tree, const char *path)
{
    static const char list[] = "sites[";
    const struct site *site = &setup->site;
    cJSON *object = json_member(tree, "site");

    if (!strstr(path, ".horizon"))
        return;
    if (strncmp(path, list, strlen(list)) == 0) {
        long number = strtol(path + strlen(list), NULL, 10);

        if (number < 0 || number >= setup->site_count)
            return;
        site = &setup->sites[number];
        object = cJSON_GetArrayItem(json_member(tree, "sites"), (int)number);
    }
    (void)horizon_put_points(object, site, false);
}

/* ---- lines ---- */

static void say_json(char out[FILE_PATH], const cJSON *node)
{
    char *text = cJSON_PrintUnformatted(node);

    (void)snprintf(out, FILE_PATH, "%s", text ? text : "");
    cJSON_free(text);
}

static void say_entry(char out[FILE_PATH], const cJSON *entry)
{
    const char *name = json_text(entry, "name");

    (void)snprintf(out, FILE_PATH, "%s", *name ? name : json_text(entry, "text"));
}

static bool has_unit(const struct field *field, const char *unit)
{
    return field->unit && strcmp(field->unit, unit) == 0;
}

/* A fraction where that is the same number: a shutter as cameras label it, 1/8000, thirds of a stop. */
static void say_number(char out[FILE_PATH], const struct field *field, double value)
{
    double divisor = round(1 / value), thirds = round(3 * value);
    char number[NUMBER_TEXT];

    if (has_unit(field, "s") && value > 0 && value < 1 && 1 / divisor == value)
        (void)snprintf(out, FILE_PATH, "1/%.0f", divisor);
    else if (has_unit(field, "stops") && thirds / 3 == value && round(value) != value)
        (void)snprintf(out, FILE_PATH, "%.0f/3", thirds);
    else
        (void)snprintf(out, FILE_PATH, "%s", format_exact(number, value));
}

static void say_value(char out[FILE_PATH], const struct spot *spot)
{
    const cJSON *node = spot->node;
    char number[NUMBER_TEXT], other[NUMBER_TEXT];
    int count = cJSON_GetArraySize(node);

    *out = '\0';
    if (is_list(spot) && !cJSON_IsString(node))
        (void)snprintf(out, FILE_PATH, "%d %s", count, count == 1 ? "entry" : "entries");
    else if (!node)
        return;
    else if (spot->entry >= 0 && spot->field->kind == FIELD_PAIRS)
        (void)snprintf(out, FILE_PATH, "%s, %s", format_exact(number, node->child->valuedouble),
                       format_exact(other, node->child->next->valuedouble));
    else if (cJSON_IsObject(node))
        say_entry(out, node);
    else if (cJSON_IsString(node))
        (void)snprintf(out, FILE_PATH, "%s", node->valuestring);
    else if (cJSON_IsNumber(node))
        say_number(out, spot->field, node->valuedouble);
    else if (cJSON_IsBool(node))
        (void)snprintf(out, FILE_PATH, "%s", cJSON_IsTrue(node) ? "yes" : "no");
    else
        say_json(out, node);
}

static bool is_number(const struct field *field)
{
    return field->kind == FIELD_NUMBER || field->kind == FIELD_INTEGER;
}

/* What is allowed, short enough to be read beside the value. */
static void say_allowed(const struct spot *spot, char out[ROW_ALLOWED])
{
    const struct field *field = spot->field;
    char least[NUMBER_TEXT], most[NUMBER_TEXT];

    if (spot->entry >= 0 && spot->form)
        (void)setup_in_words(NULL, spot->form->asks, out, ROW_ALLOWED);
    else if (is_number(field))
        (void)snprintf(out, ROW_ALLOWED, "%s to %s%s", format_exact(least, field->lowest),
                       format_exact(most, field->highest),
                       field->kind == FIELD_INTEGER ? ", whole" : "");
    else if (field->kind == FIELD_FLAG)
        (void)snprintf(out, ROW_ALLOWED, "yes or no");
    else if (field->kind == FIELD_TEXT && field->parse == check_path)
        (void)snprintf(out, ROW_ALLOWED, "a path from the root, /");
    else if (field->kind == FIELD_TEXT)
        (void)snprintf(out, ROW_ALLOWED, "up to %zu letters", field->size - 1);
    else
        (void)field_allowed(field, out);
}

static void make_row(const struct spot *spot, struct setup_row *row)
{
    bool folder = is_list(spot) || spot->form;
    const struct setup_word *word = setup_word(row->path);

    row->kind = spot->entry >= 0 && !spot->node ? ROW_MORE : folder ? ROW_FOLDER : ROW_VALUE;
    row->entry = spot->entry >= 0 && spot->node;
    row->unit = row->kind == ROW_VALUE && is_number(spot->field) && spot->field->unit
                    ? spot->field->unit
                    : "";
    row->why = spot->entry < 0 && word ? word->why : "";
    if (spot->entry >= 0)
        (void)snprintf(row->label, sizeof row->label, "%d", spot->entry + 1);
    else
        (void)snprintf(row->label, sizeof row->label, "%s", word ? word->words : "");
    say_value(row->value, spot);
    *row->allowed = '\0';
    if (row->kind != ROW_FOLDER)
        say_allowed(spot, row->allowed);
}

int setup_rows(const struct setup *setup, const char *path, struct setup_row rows[SETUP_ROWS])
{
    cJSON *tree = plain_tree(setup);
    const char *dot = *path ? "." : "";
    struct spot spot, below;
    int count = 0, most = 0;

    show_points(setup, tree, path);
    if (find_spot(tree, path, &spot))
        most = is_list(&spot) ? cJSON_GetArraySize(spot.node) + 1
               : spot.form    ? spot.form->count
                              : 0;
    for (; count < most && count < SETUP_ROWS; count++) {
        struct setup_row *row = &rows[count];

        if (is_list(&spot))
            (void)snprintf(row->path, ROW_PATH, "%s[%d]", path, count);
        else
            (void)snprintf(row->path, ROW_PATH, "%s%s%s", path, dot, spot.form->field[count].key);
        if (!find_spot(tree, row->path, &below))
            break;
        make_row(&below, row);
    }
    cJSON_Delete(tree);
    return count;
}

/* ---- changes ---- */

/* JSON if it parses, else a text. */
static cJSON *parse_or_text(const char *text)
{
    cJSON *node = cJSON_ParseWithOpts(text, NULL, 1);

    if (node && (!cJSON_IsNumber(node) || isfinite(node->valuedouble)))
        return node;
    cJSON_Delete(node);
    return cJSON_CreateString(text);
}

/* A shutter as cameras label it, 1/8000, or thirds of a stop, -2/3. */
static bool parse_fraction(const char *text, double *value)
{
    const char *slash = strchr(text, '/');
    char upper[NUMBER_TEXT];
    double divisor;

    if (!slash || (size_t)(slash - text) >= sizeof upper)
        return false;
    (void)snprintf(upper, sizeof upper, "%.*s", (int)(slash - text), text);
    if (parse_number(upper, -1e9, 1e9, value, NULL) != 0 ||
        parse_number(slash + 1, 1, 1e9, &divisor, NULL) != 0)
        return false;
    *value /= divisor;
    return true;
}

static cJSON *make_value(const struct field *field, const char *typed)
{
    bool is_text = field->kind == FIELD_TEXT || field->kind == FIELD_CHOICE;
    double value;

    if (field->kind == FIELD_NUMBER && parse_fraction(typed, &value))
        return cJSON_CreateNumber(value);
    if (field->kind == FIELD_FLAG && (strcmp(typed, "yes") == 0 || strcmp(typed, "no") == 0))
        return cJSON_CreateBool(strcmp(typed, "yes") == 0);
    return is_text && *typed != '"' ? cJSON_CreateString(typed) : parse_or_text(typed);
}

/* "90, 12.5" or "90 12.5". */
static cJSON *make_pair(const char *typed)
{
    char list[FILE_PATH];

    (void)snprintf(list, sizeof list, "[%.*s]", (int)sizeof list - 3, typed);
    char *gap = strchr(list, ' ');
    if (gap && !strchr(list, ','))
        *gap = ',';
    return parse_or_text(list);
}

/* Makes an object from its values, in the order in which the form asks; the last one takes the
 * rest. */
static cJSON *make_object(const struct form *form, const char *typed)
{
    cJSON *object = cJSON_CreateObject();
    const char *key = form->asks;

    while (object && *typed) {
        size_t key_length = strcspn(key, ","), length = strlen(typed);
        const struct field *field = form_field(form, key, key_length);
        char value[FILE_PATH];

        if (key[key_length])
            length = strcspn(typed, ",");
        (void)snprintf(value, sizeof value, "%.*s", (int)length, typed);
        object = json_with(object, field->key, make_value(field, value));
        typed += length + strspn(typed + length, ", ");
        key += key_length + strspn(key + key_length, ", ");
    }
    return object;
}

static cJSON *make_node(const struct spot *spot, const char *typed)
{
    if (spot->entry < 0)
        return make_value(spot->field, typed);
    return spot->form ? make_object(spot->form, typed) : make_pair(typed);
}

/* Inserts a pair by its first number: moves those behind to the end, one by one, for the library's
 * own insertion refuses the middle of a list in Debian 12. */
static bool put_pair(const struct spot *spot, cJSON *pair)
{
    double first =
        cJSON_IsArray(pair) && cJSON_IsNumber(pair->child) ? pair->child->valuedouble : -INFINITY;
    int before = 0, behind;

    if (spot->node)
        cJSON_DeleteItemFromArray(spot->parent, spot->entry);
    for (const cJSON *at = spot->parent->child; at && at->child->valuedouble < first; at = at->next)
        before++;
    behind = cJSON_GetArraySize(spot->parent) - before;
    if (!cJSON_AddItemToArray(spot->parent, pair))
        return false;
    for (int i = 0; i < behind; i++)
        (void)cJSON_AddItemToArray(spot->parent, cJSON_DetachItemFromArray(spot->parent, before));
    return true;
}

static bool put_node(const struct spot *spot, cJSON *node)
{
    const char *key = spot->field->key;

    if (spot->entry >= 0)
        return spot->form ? cJSON_AddItemToArray(spot->parent, node) : put_pair(spot, node);
    return spot->node ? cJSON_ReplaceItemInObjectCaseSensitive(spot->parent, key, node)
                      : cJSON_AddItemToObject(spot->parent, key, node);
}

/* `to` null: the rig is removed, and so is its name. */
static void follow_rig(cJSON *list, const char *from, const char *to)
{
    cJSON *entry;

    cJSON_ArrayForEach(entry, list)
    {
        cJSON *rig = json_member(entry, "rig");

        if (!rig || strcmp(rig->valuestring, from) != 0)
            continue;
        if (to)
            (void)cJSON_SetValuestring(rig, to);
        else
            cJSON_DeleteItemFromObjectCaseSensitive(entry, "rig");
    }
}

/* Renames the rig in its items, and the chosen site. */
static void follow_name(cJSON *tree, const char *path, const cJSON *was, const cJSON *is)
{
    const char *from = cJSON_GetStringValue(was), *to = cJSON_GetStringValue(is);
    cJSON *site = json_member(tree, "site");

    if (!from || (is && !to))
        return;
    if (strncmp(path, "rigs[", strlen("rigs[")) == 0) {
        follow_rig(json_member(tree, "checklist"), from, to);
        follow_rig(json_member(tree, "reminders"), from, to);
    } else if (to && cJSON_IsString(site) && strcmp(site->valuestring, from) == 0) {
        (void)cJSON_SetValuestring(site, to);
    }
}

/* An empty text is a value only if the field is required. */
static bool may_be_empty(const struct field *field)
{
    return field->kind == FIELD_TEXT && field->required && field->lowest == 0;
}

static int change(cJSON *tree, const char *path, const char *typed, struct fault *fault)
{
    struct spot spot;
    cJSON *node;
    bool found = find_spot(tree, path, &spot) && spot.field;

    if (!found || (!typed && !spot.node))
        return fault_set(fault, "%.90s: there is nothing to change", path);
    if (spot.entry >= 0 && !typed) {
        follow_name(tree, path, json_member(spot.node, "name"), NULL);
        cJSON_DeleteItemFromArray(spot.parent, spot.entry);
        return 0;
    }
    if (!typed || (*typed == '\0' && !may_be_empty(spot.field))) {
        cJSON_DeleteItemFromObjectCaseSensitive(spot.parent, spot.field->key);
        return 0;
    }
    node = make_node(&spot, typed);
    if (node && strcmp(spot.field->key, "name") == 0)
        follow_name(tree, path, spot.node, node);
    if (node && put_node(&spot, node))
        return 0;
    cJSON_Delete(node);
    return fault_set(fault, "out of memory");
}

/* A path or word typed for a list of pairs replaces all of it. */
static void widen(char path[ROW_PATH], const char *typed)
{
    char *entry = strrchr(path, '[');
    bool whole = typed && (*typed == '/' || strcmp(typed, HORIZON_OF_SEA) == 0);

    if (whole && entry && path[strlen(path) - 1] == ']')
        *entry = '\0';
}

/* A horizon file whose path is typed again is read again. */
static bool names_horizon(const char *path, const char *typed)
{
    const char *key = strrchr(path, '.');

    return typed && *typed == '/' && key && strcmp(key, ".horizon") == 0;
}

int setup_edit(const struct setup *setup, const char *path, const char *typed, struct setup *fresh,
               struct fault *fault)
{
    const struct trust trust = setup->trust;
    cJSON *tree = plain_tree(setup);
    char at[ROW_PATH], *text = NULL;
    int status = -1;

    (void)snprintf(at, sizeof at, "%s", path);
    widen(at, typed);
    show_points(setup, tree, at);
    if (!tree)
        (void)fault_set(fault, "out of memory");
    else if (change(tree, at, typed, fault) == 0) {
        text = cJSON_PrintUnformatted(tree);
        status = text ? setup_parse("", text, strlen(text), names_horizon(at, typed) ? NULL : setup,
                                    fresh, fault)
                      : fault_set(fault, "out of memory");
    }
    if (status == 0)
        fresh->trust = trust;
    cJSON_free(text);
    cJSON_Delete(tree);
    return status;
}
