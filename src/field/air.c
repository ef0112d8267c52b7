#include <moonstand/air.h>
#include <moonstand/fault.h>
#include <moonstand/text.h>

#include <math.h>
#include <string.h>

/* Magnus: e = 6.112 hPa exp(B t / (C + t)), t in Celsius; WMO-No. 8 (Guide to Instruments and
 * Methods of Observation), after Sonntag 1990. Over water from -45 to 60 C, over ice from -65 to 0
 * C. */
struct magnus {
    double b, c_c;
};
static const struct magnus water = {17.62, 243.12};
static const struct magnus ice = {22.46, 272.62};

#define WATER_LOWEST_C (-45.0)
#define WATER_HIGHEST_C 60.0

/* Margins of the glass above the dew point, Celsius. Below 3 degrees expect condensation soon (dew
 * point calculator for optics, https://tools.gera.services/dew-point-optics-calculator; charts for
 * coatings ask for 5 F, 2.8 C, https://handypdf.com/pdf/dew-point-calculation-sample-chart). One
 * degree is the error in the dew point of a hygrometer good to 3 to 5 percent: below it dew may
 * form at once.
 */
#define MARGIN_SHIELD_C 3.0
#define MARGIN_HEAT_C 1.0

/* Logarithm of the vapour pressure over 6.112 hPa; NaN for air out of range. Relative humidity is
 * over water, also below zero, as defined by WMO and shown by hygrometers. */
static double log_vapour(double temperature_c, double humidity_percent)
{
    if (!(temperature_c >= WATER_LOWEST_C && temperature_c <= WATER_HIGHEST_C))
        return NAN;
    if (!(humidity_percent > 0 && humidity_percent <= 100))
        return NAN;
    return log(humidity_percent / 100) + water.b * temperature_c / (water.c_c + temperature_c);
}

/* Temperature at which the vapour is saturated. */
static double saturated_c(const struct magnus *over, double log_vapour)
{
    return over->c_c * log_vapour / (over->b - log_vapour);
}

double dew_point_c(double temperature_c, double humidity_percent)
{
    return saturated_c(&water, log_vapour(temperature_c, humidity_percent));
}

double frost_point_c(double temperature_c, double humidity_percent)
{
    if (!(temperature_c < 0))
        return NAN;
    /* The curve over ice lies below the one over water and meets it at 0 C: saturated air's frost
     * point is above the air's temperature, but never above zero. */
    return saturated_c(&ice, log_vapour(temperature_c, humidity_percent));
}

const char *air_advice_code(enum air_advice advice)
{
    static const char *const code[] = {"safe", "shield", "heat", "wet", "frost"};

    return code[advice];
}

void air_assess(double temperature_c, double humidity_percent, double glass_cooling_c,
                struct air *air)
{
    double vapour = log_vapour(temperature_c, humidity_percent);

    air->temperature_c = temperature_c;
    air->humidity_percent = humidity_percent;
    air->dew_point_c = dew_point_c(temperature_c, humidity_percent);
    air->frost_point_c = frost_point_c(temperature_c, humidity_percent);
    air->glass_c = temperature_c - glass_cooling_c;
    bool freezing = air->glass_c < 0 && vapour < 0;
    air->margin_c = air->glass_c - saturated_c(freezing ? &ice : &water, vapour);
    air->advice = AIR_SAFE;
    if (air->margin_c <= 0)
        air->advice = freezing ? AIR_FROST : AIR_WET;
    else if (air->margin_c <= MARGIN_HEAT_C)
        air->advice = AIR_HEAT;
    else if (air->margin_c <= MARGIN_SHIELD_C)
        air->advice = AIR_SHIELD;
}

int air_parse(const char *text, double *temperature_c, double *humidity_percent,
              struct fault *fault)
{
    static const char *const gaps = " \t\r\n,";
    char word[2][24];
    double value[2];

    for (int i = 0; i < 2; i++) {
        text += strspn(text, gaps);
        size_t length = strcspn(text, gaps);
        if (length == 0 || length >= sizeof word[i])
            return fault_set(fault, "expected temperature and humidity, such as -8 75");
        memcpy(word[i], text, length);
        word[i][length] = '\0';
        text += length;
    }
    if (text[strspn(text, gaps)] != '\0')
        return fault_set(fault, "expected temperature and humidity, and no more");
    if (parse_number(word[0], -45, 60, &value[0], fault) != 0 ||
        parse_number(word[1], 1, 100, &value[1], fault) != 0)
        return -1;
    *temperature_c = value[0];
    *humidity_percent = value[1];
    return 0;
}
