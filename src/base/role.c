#include <moonstand/theme.h>

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
