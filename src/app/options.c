#include "app.h"

#include <math.h>
#include <stddef.h>
#include <string.h>

enum option_kind { OPTION_FLAG, OPTION_TEXT, OPTION_NUMBER, OPTION_SITE };

struct option_form {
    const char *name;
    enum option_kind kind;
    size_t offset;
    size_t given; /* offset of the flag that says a number was given */
    double lowest, highest;
};

static const struct option_form forms[] = {
    {"setup", OPTION_TEXT, offsetof(struct options, setup_path), 0, 0, 0},
    {"eclipse", OPTION_TEXT, offsetof(struct options, eclipse), 0, 0, 0},
    {"from", OPTION_TEXT, offsetof(struct options, from), 0, 0, 0},
    {"to", OPTION_TEXT, offsetof(struct options, to), 0, 0, 0},
    {"at", OPTION_TEXT, offsetof(struct options, at), 0, 0, 0},
    {"theme", OPTION_TEXT, offsetof(struct options, theme), 0, 0, 0},
    {"session", OPTION_TEXT, offsetof(struct options, session), 0, 0, 0},
    {"against", OPTION_TEXT, offsetof(struct options, against), 0, 0, 0},
    {"canvas", OPTION_TEXT, offsetof(struct options, canvas), 0, 0, 0},
    {"shadow", OPTION_TEXT, offsetof(struct options, shadow), 0, 0, 0},
    {"rig", OPTION_TEXT, offsetof(struct options, rig), 0, 0, 0},
    {"kind", OPTION_TEXT, offsetof(struct options, kind), 0, 0, 0},
    {"site", OPTION_SITE, 0, 0, 0, 0},
    {"speed", OPTION_NUMBER, offsetof(struct options, speed), offsetof(struct options, has_speed),
     0, 10000},
    {"temperature", OPTION_NUMBER, offsetof(struct options, temperature_c),
     offsetof(struct options, has_temperature), -45, 60},
    {"humidity", OPTION_NUMBER, offsetof(struct options, humidity_percent),
     offsetof(struct options, has_humidity), 1, 100},
    {"json", OPTION_FLAG, offsetof(struct options, json), 0, 0, 0},
    {"plain", OPTION_FLAG, offsetof(struct options, plain), 0, 0, 0},
    {"ascii", OPTION_FLAG, offsetof(struct options, ascii), 0, 0, 0},
    {"demo", OPTION_FLAG, offsetof(struct options, demo), 0, 0, 0},
    {"csv", OPTION_FLAG, offsetof(struct options, csv), 0, 0, 0},
    {"hooks", OPTION_FLAG, offsetof(struct options, hooks), 0, 0, 0},
    {"calendar", OPTION_FLAG, offsetof(struct options, calendar), 0, 0, 0},
    {"pictures", OPTION_FLAG, offsetof(struct options, pictures), 0, 0, 0},
};

static const struct option_form *find_form(const char *name, size_t length)
{
    for (size_t i = 0; i < sizeof forms / sizeof forms[0]; i++)
        if (strlen(forms[i].name) == length && strncmp(forms[i].name, name, length) == 0)
            return &forms[i];
    return NULL;
}

static bool is_allowed(const char *allowed, const char *name)
{
    size_t length = strlen(name);

    for (const char *at = allowed; (at = strstr(at, name)); at += length)
        if ((at == allowed || at[-1] == ' ') && (at[length] == ' ' || at[length] == '\0'))
            return true;
    return false;
}

static int set_value(const struct option_form *form, const char *value, struct options *options,
                     struct fault *fault)
{
    void *place = (char *)options + form->offset;
    struct fault cause;

    switch (form->kind) {
    case OPTION_FLAG:
        *(bool *)place = true;
        return 0;
    case OPTION_TEXT:
        *(const char **)place = value;
        return 0;
    case OPTION_NUMBER:
        if (parse_number(value, form->lowest, form->highest, (double *)place, &cause) != 0)
            return fault_set(fault, "--%s: %s", form->name, cause.text);
        *(bool *)((char *)options + form->given) = true;
        return 0;
    case OPTION_SITE:
        if (parse_site(value, &options->latitude_deg, &options->longitude_deg, &options->height_m,
                       &cause) != 0)
            return fault_set(fault, "--site: %s", cause.text);
        if (isnan(options->height_m))
            options->height_m = 0;
        options->has_site = true;
        return 0;
    }
    return -1;
}

int options_read(int argc, char **argv, const char *allowed, struct options *options, bool *help,
                 struct fault *fault)
{
    *options = (struct options){0};
    *help = false;
    options->operands = argv;
    for (int i = 0; i < argc; i++) {
        const char *name = argv[i], *equals;
        const struct option_form *form;

        if (strcmp(name, "--help") == 0 || strcmp(name, "-h") == 0) {
            *help = true;
            return 0;
        }
        if (is_allowed(allowed, "FILE") && *name != '-') {
            argv[options->operand_count++] = argv[i];
            continue;
        }
        if (strncmp(name, "--", 2) != 0)
            return fault_set(fault, "'%.60s' is not an option; see --help", name);
        name += 2;
        equals = strchr(name, '=');
        form = find_form(name, equals ? (size_t)(equals - name) : strlen(name));
        if (!form || !is_allowed(allowed, form->name))
            return fault_set(fault,
                             "'--%.60s' is not an option of this command; it takes these: %s", name,
                             *allowed ? allowed : "help");
        if (form->kind == OPTION_FLAG && equals)
            return fault_set(fault, "--%s takes no value", form->name);
        if (form->kind != OPTION_FLAG && !equals && ++i >= argc)
            return fault_set(fault, "--%s needs a value", form->name);
        if (set_value(form, equals ? equals + 1 : argv[i], options, fault) != 0)
            return -1;
    }
    return 0;
}
