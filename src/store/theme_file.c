#include "files.h"

#include <moonstand/theme.h>
#include <moonstand/theme_file.h>

#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { THEME_LARGEST = 1 << 16 };

static int read_colour(const struct json_file *file, const cJSON *node, void *place)
{
    const char *text = cJSON_IsString(node) ? node->valuestring : "";

    if (text[0] != '#' || strlen(text) != 7 || strspn(text + 1, "0123456789abcdefABCDEF") != 6)
        return json_refuse_value(file, node, "a colour \"#rrggbb\"");
    *(uint32_t *)place = (uint32_t)strtoul(text + 1, NULL, 16);
    return 0;
}

static const struct field look_fields[] = {
    {"colour", FIELD_OTHER, .required = true, .offset = offsetof(struct look, rgb),
     .read = read_colour},
    {"bold", FIELD_FLAG, .offset = offsetof(struct look, bold)},
    {"reverse", FIELD_FLAG, .offset = offsetof(struct look, reverse)},
    {"underline", FIELD_FLAG, .offset = offsetof(struct look, underline)},
};
static const struct form look_form = {FORM(look_fields)};

/* One brightness step in the file. */
struct step {
    uint32_t background;
    struct look look[ROLE_COUNT];
};

#define ROLE(key, role)                                                                            \
    {                                                                                              \
        key, FIELD_OBJECT, .required = true,                                                       \
                           .offset = offsetof(struct step, look) + (role) * sizeof(struct look),   \
                           .form = &look_form                                                      \
    }
static const struct field step_fields[] = {
    {"background", FIELD_OTHER, .required = true, .offset = offsetof(struct step, background),
     .read = read_colour},
    ROLE("label", ROLE_LABEL),
    ROLE("value", ROLE_VALUE),
    ROLE("strong", ROLE_STRONG),
    ROLE("border", ROLE_BORDER),
    ROLE("due", ROLE_DUE),
    ROLE("alarm", ROLE_ALARM),
    ROLE("stale", ROLE_STALE),
    ROLE("done", ROLE_DONE),
    ROLE("lit", ROLE_LIT),
    ROLE("shade", ROLE_SHADE),
};
#undef ROLE
static const struct form step_form = {FORM(step_fields)};

struct theme_file {
    char name[sizeof((struct theme *)0)->name];
    struct step normal, dim;
};

static const struct field theme_fields[] = {
    {"name", FIELD_TEXT, .required = true, .offset = offsetof(struct theme_file, name),
     .size = sizeof((struct theme_file *)0)->name, .lowest = 1},
    {"normal", FIELD_OBJECT, .required = true, .offset = offsetof(struct theme_file, normal),
     .form = &step_form},
    {"dim", FIELD_OBJECT, .offset = offsetof(struct theme_file, dim), .form = &step_form},
};

/* Without a dim step, uses the normal one. */
static int fill_dim(const struct json_file *file, const cJSON *node, void *place)
{
    struct theme_file *found = place;

    (void)file;
    if (!cJSON_GetObjectItemCaseSensitive(node, "dim"))
        found->dim = found->normal;
    return 0;
}

static const struct form theme_form = {FORM(theme_fields), .check = fill_dim};

static void take_step(struct theme *theme, int index, const struct step *step)
{
    theme->background[index] = step->background;
    memcpy(theme->look[index], step->look, sizeof step->look);
}

int theme_parse(const char *name, const char *text, size_t length, struct theme *theme,
                struct fault *fault)
{
    struct json_file file = {.name = name, .text = text, .fault = fault};
    struct theme_file found = {0};

    if (json_read_text(&file, length, &theme_form, &found) != 0)
        return -1;
    memcpy(theme->name, found.name, sizeof theme->name);
    take_step(theme, 0, &found.normal);
    take_step(theme, 1, &found.dim);
    return 0;
}

int theme_read(const char *path, struct theme *theme, struct fault *fault)
{
    char *text;
    size_t length;
    int status = file_read_text(path, THEME_LARGEST, &text, &length, fault);

    if (status != 0)
        return status;
    status = theme_parse(path, text, length, theme, fault);
    free(text);
    return status;
}
