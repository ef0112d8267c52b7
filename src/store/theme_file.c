#include "files.h"

#include <moonstand/theme.h>
#include <moonstand/theme_file.h>

#include <stddef.h>
#include <stdlib.h>
#include <string.h>

#define COLOUR_WORDS "a colour \"#rrggbb\""

static int read_colour(const char *text, void *place, struct fault *fault)
{
    if (text[0] != '#' || strlen(text) != 7 || strspn(text + 1, "0123456789abcdefABCDEF") != 6)
        return fault_set(fault, "found \"%.50s\"; expected " COLOUR_WORDS, text);
    *(uint32_t *)place = (uint32_t)strtoul(text + 1, NULL, 16);
    return 0;
}

static const struct field look_fields[] = {
    {"colour", FIELD_WORDS, .required = true, .offset = offsetof(struct look, rgb),
     .unit = COLOUR_WORDS, .parse = read_colour},
    {"bold", FIELD_FLAG, .offset = offsetof(struct look, bold)},
    {"reverse", FIELD_FLAG, .offset = offsetof(struct look, reverse)},
    {"underline", FIELD_FLAG, .offset = offsetof(struct look, underline)},
};
static const struct form look_form = {FORM(look_fields)};

#define AT(member) .offset = offsetof(struct theme, member)
#define ROLE(key, step, role)                                                                      \
    {                                                                                              \
        key, FIELD_OBJECT, .required = true, AT(look[step][role]), .form = &look_form              \
    }
#define STEP(step)                                                                                 \
    {"background", FIELD_WORDS, .required = true, AT(background[step]), .unit = COLOUR_WORDS,      \
     .parse = read_colour},                                                                        \
        ROLE("label", step, ROLE_LABEL), ROLE("value", step, ROLE_VALUE),                          \
        ROLE("strong", step, ROLE_STRONG), ROLE("border", step, ROLE_BORDER),                      \
        ROLE("due", step, ROLE_DUE), ROLE("alarm", step, ROLE_ALARM),                              \
        ROLE("stale", step, ROLE_STALE), ROLE("done", step, ROLE_DONE),                            \
        ROLE("lit", step, ROLE_LIT), ROLE("shade", step, ROLE_SHADE)
static const struct field normal_fields[] = {STEP(0)}, dim_fields[] = {STEP(1)};
#undef STEP
#undef ROLE
static const struct form normal_form = {FORM(normal_fields)}, dim_form = {FORM(dim_fields)};

/* The members of a step lie in the theme itself. */
static const struct field theme_fields[] = {
    {"name", FIELD_TEXT, .required = true, AT(name), .size = sizeof((struct theme *)0)->name,
     .lowest = 1},
    {"normal", FIELD_OBJECT, .required = true, .offset = 0, .form = &normal_form},
    {"dim", FIELD_OBJECT, .offset = 0, .form = &dim_form},
};
#undef AT

/* Without a dim step, uses the normal one. */
static int fill_dim(const struct json_file *file, const cJSON *node, void *place)
{
    struct theme *theme = place;

    (void)file;
    if (!json_member(node, "dim")) {
        theme->background[1] = theme->background[0];
        memcpy(theme->look[1], theme->look[0], sizeof theme->look[1]);
    }
    return 0;
}

const struct form theme_form = {FORM(theme_fields), .size = sizeof(struct theme),
                                .check = fill_dim};

int theme_read(const char *path, struct theme *theme, struct fault *fault)
{
    return json_take_file(file_open(path), path, &theme_form, theme, fault);
}
