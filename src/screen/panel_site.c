/* Where we are, how sure of the time, how the machine and the air do. */
#include "panels.h"

#include <moonstand/angle.h>

#include <math.h>
#include <stdio.h>
#include <string.h>

#define METRES_PER_DEG 111195.0
#define MOVED_M 200.0 /* farther than this from the site a fix is worth a key */

static double fix_distance_m(const struct scene *scene)
{
    const struct gps_reading *gps = &scene->moment->readings.gps;
    const struct site *site = &scene->night->site;

    if (gps->state != GPS_FIX)
        return NAN;
    double north = gps->latitude_deg - site->latitude_deg;
    double east = remainder(gps->longitude_deg - site->longitude_deg, 360) *
                  cos(rad_from_deg(site->latitude_deg));
    return hypot(north, east) * METRES_PER_DEG;
}

static enum role say_gps(char out[WORDS_LINE], const struct scene *scene)
{
    const struct gps_reading *gps = &scene->moment->readings.gps;
    double distance = fix_distance_m(scene);
    char age[TEXT_SPAN];

    if (distance > MOVED_M) {
        (void)snprintf(out, WORDS_LINE, "GPS %.1f km off: g moves site", distance / 1000);
        return ROLE_DUE;
    }
    if (gps->state == GPS_FIX && gps->satellites >= 0)
        (void)snprintf(out, WORDS_LINE, "GPS fix, %d satellites", gps->satellites);
    else if (gps->state == GPS_STALE)
        (void)snprintf(out, WORDS_LINE, "GPS fix is %s old", format_span(age, gps->age_s));
    else
        (void)snprintf(out, WORDS_LINE, "GPS %s", gps_state_name(gps->state));
    return gps->state == GPS_FIX ? ROLE_VALUE : ROLE_STALE;
}

static void say_site(char out[WORDS_LINE], const struct night *night, int columns)
{
    const struct site *site = &night->site;
    int at = snprintf(out, WORDS_LINE, "%.4f %c  %.4f %c", fabs(site->latitude_deg),
                      site->latitude_deg < 0 ? 'S' : 'N', fabs(site->longitude_deg),
                      site->longitude_deg < 0 ? 'W' : 'E');

    if (columns >= 36)
        (void)snprintf(out + at, (size_t)(WORDS_LINE - at), "  %.0f m  (%s)", site->height_m,
                       night->site_source);
}

static enum role say_clock(char out[WORDS_LINE], const struct moment *moment)
{
    const struct readings *readings = &moment->readings;
    double offset = readings->gps.clock_offset_s;

    if (isfinite(offset))
        (void)snprintf(out, WORDS_LINE, "clock %+.1f s against GPS", offset);
    else
        (void)snprintf(out, WORDS_LINE, "clock %s",
                       readings->clock_synchronised > 0    ? "synchronised"
                       : readings->clock_synchronised == 0 ? "NOT synchronised"
                                                           : "not checked");
    return fabs(offset) >= 1 || readings->clock_synchronised == 0 ? ROLE_DUE : ROLE_VALUE;
}

static void say_air(char out[WORDS_LINE], const struct scene *scene, struct area area)
{
    char air[WORDS_LINE];

    if (isfinite(scene->moment->air.margin_c))
        (void)snprintf(out, WORDS_LINE, "air %.150s",
                       words_air(air, scene, area_part(area, 4, 0, area.width, 1)));
    else
        (void)snprintf(out, WORDS_LINE, "air not told yet: w");
}

/* Where there is no room for all: that it may sleep goes before its battery, and that before that it
 * is kept awake. */
static void say_laptop(char out[WORDS_LINE], const struct readings *readings, int columns)
{
    const char *awake = awake_name(readings->awake);
    char battery[WORDS_LINE] = "";

    if (isfinite(readings->battery_percent))
        (void)snprintf(battery, sizeof battery, "%.0f %%%s", readings->battery_percent,
                       readings->battery_discharging ? "" : ", on power");
    if (!*battery)
        (void)snprintf(out, WORDS_LINE, "%s%s", *awake ? "laptop " : "", awake);
    else
        (void)snprintf(out, WORDS_LINE, "laptop %.40s%s%s", battery, *awake ? ", " : "", awake);
    if ((int)strlen(out) > columns && *battery && *awake)
        (void)snprintf(out, WORDS_LINE, "laptop %.40s",
                       readings->awake == AWAKE_NOT ? awake : battery);
    if ((int)strlen(out) > columns)
        (void)snprintf(out, WORDS_LINE, "%s", awake);
    if ((int)strlen(out) > columns)
        out[0] = '\0';
}

/* Where there is one column for all, what may want a hand comes first. */
static void draw_column(struct area area, const struct scene *scene)
{
    char text[WORDS_LINE];

    say_air(text, scene, area);
    (void)area_text(area, 0, 0, isfinite(scene->moment->air.margin_c) ? ROLE_VALUE : ROLE_STALE,
                    text);
    enum role role = say_gps(text, scene);
    (void)area_text(area, 0, 1, role, text);
    role = say_clock(text, scene->moment);
    (void)area_text(area, 0, 2, role, text);
    say_site(text, scene->night, area.width);
    (void)area_text(area, 0, 3, ROLE_LABEL, text);
}

void panel_site(struct area area, const struct scene *scene)
{
    char text[WORDS_LINE];

    area = panel_named(area, scene, "Site");
    if (!two_columns(area)) {
        draw_column(area, scene);
        return;
    }
    int half = area.width * 11 / 20;
    struct area left = area_part(area, 0, 0, half - 1, area.height);
    struct area right = area_part(area, half, 0, area.width - half, area.height);

    say_site(text, scene->night, left.width);
    (void)area_text(left, 0, 0, ROLE_LABEL, text);
    enum role role = say_gps(text, scene);
    (void)area_text(right, 0, 0, role, text);
    say_air(text, scene, left);
    (void)area_text(left, 0, 1, isfinite(scene->moment->air.margin_c) ? ROLE_VALUE : ROLE_STALE,
                    text);
    role = say_clock(text, scene->moment);
    int x = area_text(right, 0, 1, role, text);
    say_laptop(text, &scene->moment->readings, right.width - x - 2);
    (void)area_text(right, x + 2, 1, ROLE_LABEL, text);
}
