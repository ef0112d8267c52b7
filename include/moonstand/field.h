/* field: dew and frost, the checklist, who needs a hand when. */
#ifndef MOONSTAND_FIELD_H
#define MOONSTAND_FIELD_H

#include <moonstand/photo.h>

/* ---- checklist ---- */

enum { CHECK_ITEMS = 96, CHECK_TEXT = 120, CHECK_ID = 24 };

enum check_group {
    CHECK_DAY_BEFORE,
    CHECK_AT_SITE,
    CHECK_BEFORE_P1,
    CHECK_BEFORE_U2,
    CHECK_AFTER,
    CHECK_GROUPS
};
/* "day before", "at the site", "before P1", "before U2", "after". */
const char *check_group_name(enum check_group group);
/* -1 with a fault for any other name. */
int check_group_parse(const char *name, enum check_group *group, struct fault *fault);

struct check_item {
    char id[CHECK_ID]; /* names the item in the journal; unique in a list */
    enum check_group group;
    char text[CHECK_TEXT];
    char note[CHECK_TEXT];
    char rig[RIG_NAME]; /* empty: not of one rig */
    bool has_due;
    struct contact_offset due;
};

struct checklist {
    int count;
    struct check_item item[CHECK_ITEMS];
};

/* The list that comes with the program: the work of such a night, with the cautions. */
void checklist_default(struct checklist *list);
/* Index of the item with an id; -1 where there is none. */
int checklist_find(const struct checklist *list, const char *id);

/* ---- air ---- */

/* Dew point over water and frost point over ice, Celsius, from air temperature and relative
 * humidity (over water, 0 < percent <= 100): Magnus with the constants of WMO-No. 8. NaN where the
 * air is out of range: -45 to 60 C; for the frost point -45 to below 0 C. */
double dew_point_c(double temperature_c, double humidity_percent);
double frost_point_c(double temperature_c, double humidity_percent);

enum air_advice {
    AIR_SAFE,   /* the glass is well above the dew point */
    AIR_SHIELD, /* margin getting small: shield on */
    AIR_HEAT,   /* margin almost gone: heater on */
    AIR_WET,    /* dew forms */
    AIR_FROST,  /* frost forms */
};
/* Stable codes "safe", "shield", "heat", "wet", "frost", and one sentence for each. */
const char *air_advice_code(enum air_advice advice);
const char *air_advice_text(enum air_advice advice);

struct air {
    double temperature_c, humidity_percent; /* NaN: no reading */
    double dew_point_c;
    double frost_point_c;   /* NaN at 0 C and above */
    double glass_c;         /* air less the radiative cooling of the glass */
    double margin_c;        /* glass above what condenses on it: frost where glass and dew point
                               are below 0 C, else dew; negative: it forms; NaN unknown */
    enum air_advice advice; /* thresholds: air.c; means nothing where the margin is unknown */
};
/* Glass under a clear sky below the air: common practice is 'a few degrees', no measurement known.
 */
#define GLASS_COOLING_C 3.0
/* What needs a reading that is unknown or out of range is NaN. */
void air_assess(double temperature_c, double humidity_percent, double glass_cooling_c,
                struct air *air);

#endif
