/* field: dew, frost, and how the air changes. */
#ifndef MOONSTAND_AIR_H
#define MOONSTAND_AIR_H

#include <stdbool.h>

struct fault;

/* Dew point over water and frost point over ice, Celsius, from air temperature and relative
 * humidity (over water, 0 < percent <= 100): Magnus with the constants of WMO-No. 8. NaN if the air
 * is out of range: -45 to 60 C; for the frost point -45 to below 0 C. */
double dew_point_c(double temperature_c, double humidity_percent);
double frost_point_c(double temperature_c, double humidity_percent);

enum air_advice {
    AIR_SAFE,   /* the glass is well above the dew point */
    AIR_SHIELD, /* small margin: shield on */
    AIR_HEAT,   /* hardly any margin: heater on */
    AIR_WET,    /* no margin: dew is likely */
    AIR_FROST,  /* the same below 0 C: frost is likely */
};
/* Stable codes "safe", "shield", "heat", "wet", "frost". */
const char *air_advice_code(enum air_advice advice);

struct air {
    double temperature_c, humidity_percent; /* NaN: no reading */
    double dew_point_c;
    double frost_point_c; /* NaN at 0 C and above */
    double glass_c;       /* air less the radiative cooling of the glass */
    double margin_c;      /* glass above the frost point if glass and dew point are below 0 C, else
                               above the dew point; negative: it forms; NaN: unknown */
    enum air_advice advice; /* thresholds: air.c; meaningless if the margin is unknown */
};
/* By how much glass under a clear sky is colder than still air: 'several degrees' (BAA Journal,
 * "Dealing with dew", https://britastro.org/journal_contents_ite/dealing-with-dew). */
#define GLASS_COOLING_C 3.0
/* Temperature and humidity as two numbers separated by blanks or a comma: "-8.5 81". -1 with a
 * fault if it is anything else or out of range: -45 to 60 C, 1 to 100 %. */
int air_parse(const char *text, double *temperature_c, double *humidity_percent,
              struct fault *fault);
/* Anything that needs an unknown or out-of-range reading is NaN. */
void air_assess(double temperature_c, double humidity_percent, double glass_cooling_c,
                struct air *air);

/* Readings of a night in a ring, oldest first from `first`. */
enum { AIR_READINGS = 600 };
/* Closer readings replace the last one, so that ten hours of any sensor fit. */
#define AIR_SPACING_S 60.0
/* The window of the trend, since typed readings come every half hour; it needs at least three that
 * span twenty minutes. */
#define AIR_TREND_S (90 * 60.0)
#define AIR_TREND_LEAST_S (20 * 60.0)
/* A reading is valid for this long before and after it. */
#define AIR_REFERENCE_S (45 * 60.0)
/* The focus needs another look after such a fall (common practice, no source). */
#define FOCUS_FALL_C 5.0

struct air_reading {
    double utc; /* NaN: none */
    double temperature_c, humidity_percent;
};
/* Zeroed: empty. */
struct air_log {
    int first, count;
    struct air_reading reading[AIR_READINGS];
};
/* False, with nothing changed, for a reading that is out of range for the dew point or not newer
 * than the last. */
bool air_log_add(struct air_log *log, const struct air_reading *reading);
/* The newest; null if there is none. */
const struct air_reading *air_log_last(const struct air_log *log);

struct air_trend {
    int count;                                  /* readings in the window */
    double temperature_c_per_h, margin_c_per_h; /* least squares; NaN: too few readings */
    double
        gone_utc; /* when the glass has no margin left at this rate; the last reading's time if it
                        has none already; NaN: the margin does not fall, or unknown */
};
/* From the readings of the AIR_TREND_S before `utc`. */
void air_trend_make(const struct air_log *log, double utc, double glass_cooling_c,
                    struct air_trend *trend);
/* How far the air has cooled since an instant: the reading nearest to it minus the last one,
 * Celsius; negative: warmer. NaN if no reading is within AIR_REFERENCE_S of it. */
double air_log_fall_c(const struct air_log *log, double since_utc);

#endif
