#include <moonstand/base.h>

#include <string.h>

static const char *const names[ROLE_COUNT] = {
    [ROLE_LABEL] = "label",   [ROLE_VALUE] = "value", [ROLE_STRONG] = "strong",
    [ROLE_BORDER] = "border", [ROLE_DUE] = "due",     [ROLE_ALARM] = "alarm",
    [ROLE_STALE] = "stale",   [ROLE_DONE] = "done",   [ROLE_LIT] = "lit",
    [ROLE_SHADE] = "shade",
};

const char *role_name(enum role role)
{
    return names[role];
}

int role_parse(const char *name, enum role *role, struct fault *fault)
{
    for (int i = 0; i < ROLE_COUNT; i++) {
        if (strcmp(name, names[i]) == 0) {
            *role = (enum role)i;
            return 0;
        }
    }
    return fault_set(fault,
                     "role: found \"%s\", allowed: label, value, strong, border, due, alarm, "
                     "stale, done, lit, shade",
                     name);
}
