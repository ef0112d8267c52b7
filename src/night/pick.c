/* Which eclipse a night is opened for. */
#include <moonstand/angle.h>
#include <moonstand/arc.h>
#include <moonstand/instant.h>
#include <moonstand/pick.h>
#include <moonstand/setup.h>
#include <moonstand/sight.h>

#include <math.h>

/* Eclipses come at least once in a half year; a year's search holds all that a step needs. */
#define PICK_STEP_S (366 * SECONDS_PER_DAY)
#define MARGIN_S (0.5 * SECONDS_PER_DAY)
#define VISIBLE_STEP_S 300.0
enum { PICK_MOST = 8 };

void site_observer(const struct site *site, struct observer *observer)
{
    observer_make(observer, rad_from_deg(site->latitude_deg), rad_from_deg(site->longitude_deg),
                  site->height_m);
    if (isfinite(site->pressure_hpa))
        observer->pressure_hpa = site->pressure_hpa;
    if (isfinite(site->temperature_c))
        observer->temperature_c = site->temperature_c;
    observer->horizon = site->horizon;
    if (site->horizon.sea)
        horizon_of_sea(site->height_m, &observer->horizon);
}

/* The Moon is up at some time between two contacts. */
static bool seen_between(const struct site *site, double tt_from, double tt_to)
{
    struct observer observer;
    struct arc arc;

    if (!site)
        return true;
    site_observer(site, &observer);
    if (arc_make(&arc, tt_from, tt_to, true) != 0)
        return false;
    for (double tt = tt_from; tt < tt_to + VISIBLE_STEP_S; tt += VISIBLE_STEP_S) {
        struct sight moon;

        sky_moon(&arc, &observer, utc_from_tt(fmin(tt, tt_to)), &moon);
        if (moon.up)
            return true;
    }
    return false;
}

bool eclipse_is_seen(const struct eclipse *eclipse, const struct site *site)
{
    return seen_between(site, eclipse->tt[CONTACT_P1], eclipse->tt[CONTACT_P4]);
}

static bool is_asked_for(const struct eclipse *eclipse, const struct site *site, double tt,
                         double penumbral_from)
{
    if (eclipse->tt[CONTACT_P4] < tt)
        return false;
    if (eclipse->kind == ECLIPSE_PENUMBRAL)
        return eclipse->penumbral_magnitude >= penumbral_from && eclipse_is_seen(eclipse, site);
    return seen_between(site, eclipse->tt[CONTACT_U1], eclipse->tt[CONTACT_U4]);
}

/* As eclipse_pick, up to the end of a year. */
static bool pick(const struct site *site, enum shadow_rule rule, double utc, double penumbral_from,
                 int last_year, struct eclipse *eclipse)
{
    const struct civil end = {.year = last_year + 1, .month = 1, .day = 1};
    double tt_end = tt_from_utc(seconds_from_civil(&end));
    double tt = tt_from_utc(utc);

    for (double from = tt - MARGIN_S; from < tt_end; from += PICK_STEP_S) {
        struct eclipse found[PICK_MOST];
        size_t count =
            eclipse_search(from, fmin(from + PICK_STEP_S, tt_end), rule, found, PICK_MOST);

        for (size_t i = 0; i < count && i < PICK_MOST; i++)
            if (is_asked_for(&found[i], site, tt, penumbral_from)) {
                *eclipse = found[i];
                return true;
            }
    }
    return false;
}

bool eclipse_pick(const struct site *site, enum shadow_rule rule, double utc, double penumbral_from,
                  struct eclipse *eclipse)
{
    return pick(site, rule, utc, penumbral_from, YEAR_LAST, eclipse);
}

bool eclipse_current(double utc, enum shadow_rule rule, struct eclipse *eclipse)
{
    return pick(NULL, rule, utc, -INFINITY, YEAR_LAST + 1, eclipse);
}

/* Its night is going on: P1 to P4, and on to the end of the checklist where it was up at all. */
static bool is_tonight(const struct eclipse *eclipse, const struct site *site, double tt)
{
    double ends = eclipse->tt[CONTACT_P4];

    if (tt < eclipse->tt[CONTACT_P1] || tt > ends + NIGHT_AFTER_P4_S)
        return false;
    return tt <= ends || eclipse_is_seen(eclipse, site);
}

bool eclipse_tonight(const struct site *site, enum shadow_rule rule, double utc,
                     struct eclipse *eclipse)
{
    double tt = tt_from_utc(utc);
    struct eclipse found;

    /* Greatest lies at most half a day before or behind P1 and P4. */
    if (eclipse_search(tt - NIGHT_AFTER_P4_S - MARGIN_S, tt + MARGIN_S, rule, &found, 1) == 0 ||
        !is_tonight(&found, site, tt))
        return false;
    *eclipse = found;
    return true;
}

bool eclipse_of_day(double day_utc, enum shadow_rule rule, struct eclipse *eclipse)
{
    return eclipse_search(tt_from_utc(day_utc), tt_from_utc(day_utc + SECONDS_PER_DAY), rule,
                          eclipse, 1) > 0;
}
