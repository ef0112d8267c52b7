/* Eleven nights that tests live, most of them minute by minute: rigs, places, what happens and how quick the
 * hands are. */
#ifndef MOONSTAND_TESTS_TALES_H
#define MOONSTAND_TESTS_TALES_H

#include <moonstand/act.h>
#include <moonstand/angle.h>
#include <moonstand/fault.h>
#include <moonstand/moment.h>
#include <moonstand/night.h>
#include <moonstand/pick.h>

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* An act of the script, so long after a contact. */
enum what { DOES, UNDOES, SLEEPS };
struct entry {
    enum contact contact;
    double min;
    enum what what;
    struct act act; /* of SLEEPS the minutes, and seconds by which the clock is set, as values */
};

struct tale {
    const char *name, *day;
    double latitude_deg, longitude_deg;
    double before_min; /* it begins so long before P1 */
    double late_s;     /* hands do what is due so late; NaN: nothing */
    void (*change)(struct setup *setup);
    void (*read)(double utc); /* what devices say then */
    const struct entry *script;
    int entries;
    double until_min; /* it ends so long after greatest; 0: ten minutes after P4 */
    double step_s;    /* 0: a minute */
    const struct zone_step *zone; /* two of them; null: UTC */
    bool rehearsal;
    bool by_rounds; /* hands say that a round is done, not each job of it */
};

/* Who keeps one. */
struct diary {
    void (*begins)(void);
    void (*acts)(const struct act *act, const char *by);
    void (*turns)(void);  /* an entry of the script has been played */
    void (*minute)(void); /* what is decided in it has been written down */
    void (*ends)(void);
};

static const struct diary *diary;
static double step_s;
static struct night *night;
static struct readings readings;
static struct moment moment;
static struct setup setup;

static double since(enum contact contact, double utc)
{
    return utc - night->contact_utc[contact];
}

#define ACT(of_kind, of_rig, ...)                                                                  \
    {                                                                                              \
        .kind = of_kind, .rig = of_rig, .value = { __VA_ARGS__ }                                   \
    }
#define TEXT(of_kind, of_text, ...)                                                                \
    {                                                                                              \
        .kind = of_kind, .rig = -1, .text = of_text, .value = { __VA_ARGS__ }                      \
    }
#define RIG(of_rig, field, to)                                                                     \
    {                                                                                              \
        .kind = ACT_RIG, .rig = of_rig, .text = field, .value = { to }                             \
    }

/* ---- Finland: three rigs by the book, in the cold ---- */

static void in_finland(struct setup *of)
{
    of->danjon = 2;
    of->site.temperature_c = -5;
    of->rig[0].power.external = true;
    of->rig[1].power.spares = 3;
    of->rig[1].card_gb = 6;
    of->rig[1].power.heater_w = 2;
    of->rig[1].power.battery_wh = 14;
    of->rig[2].support = SUPPORT_SIDEREAL;
    of->rig[2].mount.german_equatorial = true;
    of->rig[2].mount.past_meridian_min = 20;
    of->rig[2].mount.polar_az_error_arcmin = 12;
    of->rig[2].heater = true;
    of->rig[2].card_gb = 32;
}

static void devices_in_finland(double utc)
{
    double min = since(CONTACT_P1, utc) / 60;

    readings.battery_discharging = min > 60;
    readings.battery_percent = fmax(5, 90 - min / 3);
    readings.battery_left_s = 18000 - 60 * min;
    readings.clock_synchronised = 0;
    readings.gps = (struct gps_reading){.state = GPS_FIX,
                                        .mode = 3,
                                        .satellites = 8,
                                        .latitude_deg = 62.01,
                                        .longitude_deg = 25,
                                        .height_m = 100,
                                        .error_m = 6,
                                        .age_s = 1,
                                        .clock_offset_s = min / 50,
                                        .clock_spread_s = 0.01};
}

static const struct entry finland[] = {
    {CONTACT_P1, -170, DOES, ACT(ACT_FORECAST, -1, 1861894800, 20, -6, 80, 2)},
    {CONTACT_P1, -169, DOES, ACT(ACT_FORECAST, -1, 1861905600, 60, -14, 88, 4)},
    {CONTACT_P1, -160, DOES, ACT(ACT_AIR, -1, -6, 82)},
    {CONTACT_P1, -150, DOES, TEXT(ACT_ITEM, "feed the dog", 1861891200)},
    {CONTACT_P1, -149, DOES, TEXT(ACT_LATER, "charge", 1800)},
    {CONTACT_P1, -120, DOES, ACT(ACT_AIR, -1, -7, 84)},
    {CONTACT_P1, -90, DOES, ACT(ACT_AIR, -1, -8.5, 87)},
    {CONTACT_P1, 15, DOES, ACT(ACT_AIR, -1, -11, 92)},
    {CONTACT_P1, 35, DOES, ACT(ACT_GLASS, -1, 0)},
    {CONTACT_U1, 10, DOES, ACT(ACT_CORRECTION, 1, TARGET_LIT, 0.67)},
    {CONTACT_U1, 16, DOES, ACT(ACT_HEATER, 0, 1)},
    {CONTACT_U1, 25, DOES, ACT(ACT_TARGET, 2, TARGET_BRACKET)},
    {CONTACT_U2, -20, DOES, ACT(ACT_AIM, 2, 0.05, -0.02)},
    {CONTACT_U2, -2, DOES, ACT(ACT_SEEN, 2, 0.11, 0.07)},
    {CONTACT_U2, 8, DOES, ACT(ACT_CORRECTION, 1, TARGET_UMBRA, 1.3)},
    {CONTACT_U2, 12, DOES, ACT(ACT_DANJON, -1, 1)},
    {CONTACT_U2, 14, UNDOES, ACT(ACT_NOTE, -1, 0)},
    {CONTACT_GREATEST, 5, DOES, ACT(ACT_SNOOZE, 1, 600)},
    {CONTACT_U3, 7, SLEEPS, ACT(ACT_GAP, -1, 12, 0)},
    {CONTACT_U3, 30, DOES, ACT(ACT_CLOUD, -1, 1)},
    {CONTACT_U3, 44, DOES, ACT(ACT_CLOUD, -1, 0)},
    {CONTACT_U4, -5, DOES, RIG(1, "extender", 1.4)},
    {CONTACT_U4, 15, DOES, RIG(1, "portrait", 1)},
};

/* ---- Madrid: the Moon sets eclipsed over a ridge; hands come late ---- */

static void in_madrid(struct setup *of)
{
    of->site.horizon =
        (struct horizon){.count = 3,
                         .azimuth_rad = {rad_from_deg(200), rad_from_deg(240), rad_from_deg(270)},
                         .altitude_rad = {0, rad_from_deg(9), rad_from_deg(4)}};
    of->site.temperature_c = 18;
    of->people = 2;
    of->rig[0].focal_mm = 35;
    of->rig[0].foreground = 0.1;
    of->rig[0].card_gb = 4;
    of->rig[1].target = TARGET_UMBRA;
    of->rig[1].until = (struct contact_offset){CONTACT_U3, 1200};
    of->rig[1].power.spares = 1;
    of->rig[2].remote_exposure = true;
    of->rig[2].target = TARGET_BRACKET;
    of->rig[2].mount.altitude_min_deg = 14;
    of->rig[2].power.live_view = true;
    of->rig[2].power.spares = 4;
}

static const struct entry madrid[] = {
    {CONTACT_P1, 5, DOES, ACT(ACT_POINT, 0, 30, 215, 0)},
    {CONTACT_P1, 40, DOES, ACT(ACT_AIM, 1, 0.1, 0.2)},
    {CONTACT_U1, 20, DOES, TEXT(ACT_CHECK, "interval", 1)},
    {CONTACT_U1, 30, DOES, RIG(0, "interval_s", 5)},
    {CONTACT_GREATEST, -8, DOES, RIG(2, "filter_stops", 2)},
    {CONTACT_GREATEST, 10, DOES, ACT(ACT_TARGET, 1, TARGET_STARS)},
    {CONTACT_GREATEST, 25, SLEEPS, ACT(ACT_GAP, -1, 20, 3600)},
};

/* ---- Germany: the Moon rises eclipsed; pictures come in ---- */

static void in_germany(struct setup *of)
{
    of->rig_count = 2;
    of->rig[0] = of->rig[2];
    of->rig[0].support = SUPPORT_SOLAR;
    of->rig[0].mount.altitude_max_deg = 24;
    of->rig[0].mount.altitude_min_deg = 6;
    of->rig[0].interval_s = 10;
    of->rig[0].card_gb = 16;
    (void)snprintf(of->rig[0].pictures, RIG_PICTURES, "/a");
    of->rig[1].portrait = true;
    of->rig[1].part = WIDE_U2_U3;
    of->rig[1].focal_mm = 50;
    of->rig[1].tilt_deg = 10;
    of->rig[1].target = TARGET_FOREGROUND;
    of->rig[1].power.cold[0].capacity *= 0.8;
    of->site.height_m = 600;
}

/* Frames of the first rig every ten seconds, from half an hour after U2 on, with a break; too dark at
 * first. */
static void devices_in_germany(double utc)
{
    double min = since(CONTACT_U2, utc) / 60;
    struct album *album = &readings.album[0];
    struct shot shot = {utc - 3, 1, 800, min < 50 ? -0.8 : 0.1, 3600.4 + min / 10};

    readings.eye = EYE_WATCHES;
    readings.card_absent[1] = min > 20 && min < 45;
    readings.card_free_bytes[0] = 9e9 - 1e8 * fmax(0, min);
    readings.air_age_s = 20;
    readings.temperature_c = 16 - min / 40;
    readings.humidity_percent = fmin(98, 80 + min / 10);
    if (min < 30 || (min > 80 && min < 95))
        return;
    for (int i = 0; i < 6; i++) {
        shot.utc = utc - 53 + 10 * i;
        album_add(album, &shot);
    }
    album->frames += 6;
    album->bytes += 6 * 3e7;
    album->raw += 6;
}

static const struct entry germany[] = {
    {CONTACT_U2, 5, DOES, ACT(ACT_AIM, 0, -0.1, -0.1)},
    {CONTACT_U2, 33, DOES, ACT(ACT_SEEN, 0, -0.02, -0.15)},
    {CONTACT_U2, 35, DOES, TEXT(ACT_SITE, "hand", 50.2, 9.1, 580)},
    {CONTACT_U3, 20, UNDOES, ACT(ACT_NOTE, -1, 0)},
    {CONTACT_U3, 30, DOES, ACT(ACT_TARGET, 1, TARGET_AUTO)},
    {CONTACT_U3, 31, DOES, RIG(1, "f_number", 4)},
};

/* ---- Chile: high in the north, dark, with small batteries; one sleeps ---- */

static void in_chile(struct setup *of)
{
    of->hours = HOURS_12;
    of->units = UNITS_IMPERIAL;
    of->danjon = 0;
    of->extinction_mag = 0.14;
    of->rig[0].focal_mm = 14;
    of->rig[0].target = TARGET_BRACKET;
    of->rig[0].power.spares = 0;
    of->rig[1].target = TARGET_BRACKET;
    of->rig[1].bracket_frames = 3;
    of->rig[1].tolerance_stops = 0.5;
    of->rig[1].power.rated_hours = 2;
    of->rig[1].power.spares = 8;
    of->rig[1].card_gb = 3;
    of->rig[2].mount.german_equatorial = true;
    of->rig[2].mount.past_meridian_min = 0;
    of->rig[2].mount.altitude_max_deg = 52;
    of->rig[2].mount.polar_alt_error_arcmin = -25;
    of->hands_s[HANDS_BATTERY] = 90;
    of->hands_s[HANDS_WALK] = 15;
}

static const struct entry chile[] = {
    {CONTACT_U1, 3, DOES, ACT(ACT_SENSOR, -1, 14, 95)},
    {CONTACT_U1, 33, DOES, ACT(ACT_SENSOR, -1, 12, 97)},
    {CONTACT_U2, -30, DOES, ACT(ACT_HEATER, 1, 1)},
    {CONTACT_U2, 3, DOES, ACT(ACT_CORRECTION, 2, TARGET_UMBRA, -1)},
    {CONTACT_U2, 20, DOES, ACT(ACT_CARD, 0, 0)},
    {CONTACT_U2, 21, DOES, ACT(ACT_FRAME, 1, 0)},
    {CONTACT_GREATEST, 4, DOES, ACT(ACT_CAMERA_CLOCK, 1, 12)},
    {CONTACT_U3, 4, DOES, RIG(0, "portrait", 1)},
    {CONTACT_U3, 6, UNDOES, ACT(ACT_NOTE, -1, 0)},
};

/* ---- Rome and the Pacific: a penumbral eclipse, and one that is never up ---- */

static void in_rome(struct setup *of)
{
    of->rig[1].portrait = true;
    of->rig[2].target = TARGET_UMBRA;
}

static void in_the_pacific(struct setup *of)
{
    of->rig_count = 2;
}

static const struct entry rome[] = {
    {CONTACT_P1, -59, DOES, TEXT(ACT_BEGIN, "rome rehearsal", 0)},
    {CONTACT_P1, 30, DOES, ACT(ACT_AIM, 1, 0, 0)},
    {CONTACT_GREATEST, 30, DOES, ACT(ACT_DANJON, -1, 4)},
};

static const struct entry pacific[] = {
    {CONTACT_U2, 0, DOES, ACT(ACT_FRAME, 0, 0)},
};

/* ---- Japan: the tripod is watched by its pictures, and the round key is all that is pressed ---- */

/* The look at the glass is the first item: number 0 is one like any other. */
static void put_glass_first(struct checklist *list)
{
    const struct check_item first = list->item[0];
    int glass = 0;

    while (strncmp(list->item[glass].id, "glass", 5) != 0)
        glass++;
    list->item[0] = list->item[glass];
    list->item[glass] = first;
}

static void in_japan(struct setup *of)
{
    put_glass_first(&of->checklist);
    of->rig[0].target = TARGET_BRACKET;
    of->rig[0].power.external = true;
    of->rig[1].focal_mm = 300;
    of->rig[1].interval_s = 20;
    of->rig[1].card_gb = 16;
    of->rig[1].power.spares = 5;
    (void)snprintf(of->rig[1].pictures, RIG_PICTURES, "/b");
    (void)snprintf(of->rig[2].pictures, RIG_PICTURES, "/c");
    of->rig[2].remote_exposure = true;
}

/* A tripod that is aimed anew every 16 minutes, and not by the plan; its umbra comes out brighter than
 * reckoned, its clock is slow; the telescope's pictures grow soft, and at last they fade. */
static void devices_in_japan(double utc)
{
    static struct pointing pointing;
    static double aimed_min;
    double min = floor(since(CONTACT_U1, utc) / 60), late = since(CONTACT_U2, utc) / 60;
    struct look_at_moon look = {.utc = utc - 2,
                                .found = true,
                                .place = {-0.3, 0.08},
                                .clipped = 0.01,
                                .limb_px = 2.2,
                                .limb_least_px = 2,
                                .lit = {1, 0.1},
                                .umbra = {NAN, NAN},
                                .umbra_off_stops = late > 5 && late < 40 ? 0.9 : (double)NAN,
                                .danjon = 3};
    struct shot shot = {utc - 2, 1.0 / 125, 100 + 25 * fmod(min, 2), 0.1, 12.4};

    readings.eye = min < 100 ? EYE_WATCHES : min < 110 ? EYE_SILENT : EYE_ENDED;
    readings.album[1].folder_gone = min > 70 && min < 76;
    if (min < 0 || min > 120)
        return;
    if (min < 1 || min - aimed_min >= 16) {
        (void)pointing_for(&night->rig[1].rig, track_direction(&night->track, look.utc), look.place, &pointing);
        aimed_min = min;
    }
    (void)frame_project(&night->rig[1].rig, &pointing, track_direction(&night->track, look.utc), &look.place);
    album_add(&readings.album[1], &shot);
    album_look(&readings.album[1], &look);
    shot.behind_s = 0.4;
    shot.off_stops = min > 40 && min < 50 ? 1.2 : 0;
    look.place = (struct frame_point){0.02, -0.01};
    look.limb_px = min > 30 && min < 45 ? 4.5 : 2;
    look.limb_least_px = min > 36 && min < 45 ? 4.4 : 2;
    look.lit.off_stops = min > 55 && min < 75 ? -1.4 : 0;
    album_add(&readings.album[2], &shot);
    album_look(&readings.album[2], &look);
    for (int rig = 1; rig < 3; rig++) {
        readings.album[rig].frames += min < 1 ? 1 : 3;
        readings.album[rig].bytes += (min < 1 ? 1 : 3) * 2.5e7;
    }
}

static const struct entry japan[] = {
    {CONTACT_U1, 12, DOES, ACT(ACT_CORRECTION, 1, TARGET_LIT, 0.5, NAN)},
    {CONTACT_U1, 21, DOES, ACT(ACT_CORRECTION, 0, TARGET_LIT, 0.33, 0.33)},
    {CONTACT_U1, 45, DOES, ACT(ACT_CORRECTION, 0, TARGET_UMBRA, -0.67, NAN)},
    {CONTACT_U2, 10, UNDOES, ACT(ACT_NOTE, -1, 0)},
    {CONTACT_U2, 24, DOES, ACT(ACT_TARGET, 0, TARGET_UMBRA)},
};

/* ---- Bolivia: high up, the Moon in the zenith, two people, and the clocks are set back in it ---- */

static void in_bolivia(struct setup *of)
{
    of->people = 2;
    of->danjon = 1;
    of->hours = HOURS_12;
    of->glass_cooling_c = 4;
    of->site.height_m = 4300;
    of->site.pressure_hpa = 603;
    of->hands_s[HANDS_AIM] = 35;
    of->hands_s[HANDS_EXPOSURE] = 14;
    of->rig[0].focal_mm = 20;
    of->rig[0].portrait = true;
    of->rig[0].part = WIDE_U1_U4;
    of->rig[0].tilt_deg = 25;
    of->rig[0].remote_exposure = true;
    of->rig[0].target = TARGET_BRACKET;
    of->rig[0].bracket_frames = 5;
    of->rig[0].bracket_step_stops = 1;
    of->rig[0].shutter_max_s = 4;
    of->rig[0].until = (struct contact_offset){CONTACT_U4, -600};
    of->rig[0].power.heater_w = 5;
    of->rig[1].focal_mm = 200;
    of->rig[1].extender = 1.4;
    of->rig[1].margin = 0.1;
    of->rig[1].aim_tolerance = 0.02;
    of->rig[1].warn_s = 150;
    of->rig[1].blur_limit_px = 3;
    of->rig[1].tolerance_stops = 1;
    of->rig[1].iso_max = 1600;
    of->rig[1].iso_comfort = 400;
    of->rig[1].placement_stops[TARGET_LIT] = 0;
    of->rig[1].placement_stops[TARGET_UMBRA] = 0.5;
    of->rig[1].power.live_view = true;
    of->rig[1].power.spares = 1;
    of->rig[1].card_gb = 8;
    of->rig[1].saving_s = 3;
    of->rig[2].support = SUPPORT_SIDEREAL;
    of->rig[2].filter_stops = 1;
    of->rig[2].iso_min = 200;
    of->rig[2].shutter_min_s = 1.0 / 1000;
    of->rig[2].mount.german_equatorial = true;
    of->rig[2].mount.past_meridian_min = 35;
    of->rig[2].mount.altitude_max_deg = 80;
    of->rig[2].mount.polar_az_error_arcmin = -40;
    of->rig[2].mount.polar_alt_error_arcmin = 30;
    of->rig[2].power.external = true;
}

/* A fix in two dimensions, 300 m away; a sensor that gets stuck, and a laptop on power. */
static void devices_in_bolivia(double utc)
{
    double min = since(CONTACT_P1, utc) / 60;

    readings.battery_percent = 100;
    readings.clock_synchronised = 1;
    readings.clock_error_s = 0.02;
    readings.awake = min < 60 ? AWAKE_HELD : AWAKE_NOT;
    readings.gps = (struct gps_reading){.state = min < 30 ? GPS_NO_FIX : min < 150 ? GPS_FIX : GPS_STALE,
                                        .mode = 2,
                                        .satellites = 4,
                                        .latitude_deg = -16.3027,
                                        .longitude_deg = -68.1,
                                        .height_m = NAN,
                                        .error_m = 40,
                                        .age_s = min < 150 ? 1 : 60 * (min - 150),
                                        .clock_offset_s = NAN,
                                        .clock_spread_s = NAN};
    readings.air_age_s = min < 200 ? 5 : 60 * (min - 200);
    readings.temperature_c = 4 - min / 20;
    readings.humidity_percent = fmin(99, 35 + min / 4);
    (void)snprintf(readings.air_trouble, READINGS_TROUBLE, "%s", min < 260 ? "" : "the sensor is stuck");
}

static const struct entry bolivia[] = {
    {CONTACT_P1, -20, DOES, ACT(ACT_FORECAST, -1, 1877130000, 0, 3, 30, 9)},
    {CONTACT_P1, -19, DOES, ACT(ACT_FORECAST, -1, 1877144400, 35, NAN, NAN, 14)},
    {CONTACT_P1, 3, DOES, ACT(ACT_CAMERA_CLOCK, 0, -3)},
    {CONTACT_P1, 30, DOES, ACT(ACT_AIM, 2, 0.01, 0.01)},
    {CONTACT_P1, 45, DOES, RIG(2, "extender", 0.8)},
    {CONTACT_U1, -9, DOES, TEXT(ACT_ITEM, "tea", NAN)},
    {CONTACT_U1, 12, DOES, RIG(0, "f_number", 4)},
    {CONTACT_U1, 22, DOES, ACT(ACT_FORECAST, -1, 1877144400, NAN, NAN, NAN, NAN)},
    {CONTACT_U1, 40, DOES, ACT(ACT_SEEN, 2, -0.12, 0.3)},
    {CONTACT_U2, -12, DOES, TEXT(ACT_SITE, "gps", -16.31, -68.1, 4280)},
    {CONTACT_U2, 4, DOES, ACT(ACT_CORRECTION, 2, TARGET_UMBRA, 0.67, 0.67)},
    {CONTACT_U2, 30, DOES, ACT(ACT_DANJON, -1, 3)},
    {CONTACT_U3, -6, DOES, ACT(ACT_TARGET, 1, TARGET_LIT)},
    {CONTACT_U3, 9, DOES, TEXT(ACT_NOTE, "fox", 0)},
    {CONTACT_U3, 17, DOES, RIG(1, "interval_s", 30)},
    {CONTACT_U4, -25, DOES, ACT(ACT_SNOOZE, 1, 1500)},
    {CONTACT_U4, 64, SLEEPS, ACT(ACT_GAP, -1, 110, 0)},
};
static const struct zone_step bolivian[] = {{0, -12600, "-0330"}, {1877139600, -16200, "-0430"}};

/* ---- Svalbard: from two days before to a day after; the Sun never rises, the Moon never sets, and the
 * shadow touches it ---- */

static void on_svalbard(struct setup *of)
{
    of->site.temperature_c = -24;
    of->rig[0].foreground = 0.3;
    of->rig[1].support = SUPPORT_LUNAR;
    of->rig[1].target = TARGET_LIT;
    of->rig[1].heater = true;
    of->rig[2].support = SUPPORT_FIXED;
    of->rig[2].until = (struct contact_offset){CONTACT_GREATEST, 1800};
}

static const struct entry svalbard[] = {
    {CONTACT_P1, -3060, DOES, ACT(ACT_FORECAST, -1, 1831262400, 70, -21, 76, 3)},
    {CONTACT_P1, -3040, DOES, ACT(ACT_FORECAST, -1, 1831269600, 10, -27, 80, 1)},
    {CONTACT_P1, -1500, DOES, ACT(ACT_AIM, 1, 0, 0.1)},
    {CONTACT_P1, -1320, DOES, ACT(ACT_SEEN, 1, 0.06, -0.2)},
    {CONTACT_P1, -400, DOES, ACT(ACT_AIR, -1, -20, 70)},
    {CONTACT_P1, -200, DOES, ACT(ACT_AIM, 2, 0.2, 0.1)},
    {CONTACT_U1, 2, DOES, ACT(ACT_DANJON, -1, 2)},
};

/* ---- Greece: half an hour around U2 by the second, in which all that is read moves on evenly, so that
 * every bound is met at an instant of its own ---- */

static void in_greece(struct setup *of)
{
    of->rig[0] = of->rig[1];
    (void)snprintf(of->rig[0].name, RIG_NAME, "longer");
    of->rig[0].focal_mm = 500;
    of->rig[0].interval_s = 10;
    of->rig[0].card_gb = 64;
    of->rig[0].power.rated_hours = 2.1;
    (void)snprintf(of->rig[0].pictures, RIG_PICTURES, "/a");
    of->rig[1].focal_mm = 200;
    of->rig[1].interval_s = 20;
    (void)snprintf(of->rig[1].pictures, RIG_PICTURES, "/b");
    (void)snprintf(of->rig[2].pictures, RIG_PICTURES, "/c");
    of->rig[2].support = SUPPORT_SOLAR;
}

/* A picture of each rig every ten seconds, three of them looked at. */
static void pictures_in_greece(double utc, double s)
{
    for (int rig = 0; rig < 3; rig++) {
        struct album *album = &readings.album[rig];
        bool dims = s > 300 && s < 500 && rig > 0;
        struct look_at_moon look = {.utc = utc - 2,
                                    .found = rig != 1 || s < 700 || s > 800,
                                    .place = {0.2 - s * 5e-4, s * 1e-4},
                                    .limb_px = 2 + s / 400,
                                    .limb_least_px = 2 + (rig == 0 ? s / 500 : 0),
                                    .lit = {1, 0.3 - s / 2000 - (dims ? (s - 300) / 70 : 0)},
                                    .umbra = {s < 600 ? (double)NAN : -2, s / 900},
                                    .umbra_off_stops = s < 600 ? (double)NAN : (s - 600) / 400,
                                    .danjon = night->danjon_state};
        struct shot shot = {utc - 2, 1.0 / 60, 400, s / 2700, 3580 + s / 120};

        album_add(album, &shot);
        album->frames += 1;
        album->bytes += 3.1e7;
        album->raw += rig > 0;
        if (fmod(s, 30) < 1)
            album_look(album, &look);
    }
}

static void devices_in_greece(double utc)
{
    double s = floor(since(CONTACT_U2, utc) + 900);

    readings.eye = EYE_WATCHES;
    readings.battery_discharging = true;
    readings.battery_percent = 30 - s / 90;
    readings.battery_left_s = 2 * 3600 - 2 * s;
    readings.card_free_bytes[0] = 8e8 * (1 - s / 1800);
    readings.gps = (struct gps_reading){.state = GPS_FIX,
                                        .mode = 3,
                                        .satellites = 12,
                                        .latitude_deg = 38 + s * 1.2e-6,
                                        .longitude_deg = 24,
                                        .height_m = 50,
                                        .error_m = 2 + s / 60,
                                        .age_s = 1,
                                        .clock_offset_s = s / 400,
                                        .clock_spread_s = s / 4000};
    readings.air_age_s = 0;
    readings.temperature_c = 9 - s / 300;
    readings.humidity_percent = 60 + s / 50;
    if (fmod(s, 10) < 1 && (s < 1100 || s > 1300))
        pictures_in_greece(utc, s);
}

static const struct entry greece[] = {
    {CONTACT_U2, -14, DOES, ACT(ACT_AIM, 0, 0.2, 0)},
    {CONTACT_U2, -11, DOES, ACT(ACT_CORRECTION, 2, TARGET_LIT, 1, NAN)},
    {CONTACT_U2, -6, DOES, ACT(ACT_SNOOZE, 0, 100)},
    {CONTACT_U2, -3, DOES, ACT(ACT_TARGET, 1, TARGET_UMBRA)},
    {CONTACT_U2, 2, DOES, ACT(ACT_GLASS, -1, 0)},
    {CONTACT_U2, 5, DOES, ACT(ACT_CORRECTION, 0, TARGET_UMBRA, 0.33, 0.33)},
    {CONTACT_U2, 8, DOES, TEXT(ACT_LATER, "hands", 60)},
};

/* ---- New York: one rig, whose Moon sets eclipsed; its pictures fade, and then there is none in them ---- */

static void in_new_york(struct setup *of)
{
    of->rig_count = 1;
    of->rig[0] = of->rig[1];
    (void)snprintf(of->rig[0].name, RIG_NAME, "refractor");
    of->rig[0].portrait = true;
    of->rig[0].power.external = true;
    of->rig[0].power.live_view = true;
    of->rig[0].card_gb = 20;
    (void)snprintf(of->rig[0].pictures, RIG_PICTURES, "/a");
}

static void devices_in_new_york(double utc)
{
    double min = floor(since(CONTACT_U1, utc) / 60);
    struct look_at_moon look = {.utc = utc - 2,
                                .found = min < 35,
                                .place = {NAN, NAN},
                                .limb_px = 3,
                                .limb_least_px = 3,
                                .lit = {0.7, min < 12 ? 0.2 : -1},
                                .umbra = {NAN, NAN},
                                .umbra_off_stops = NAN,
                                .danjon = night->danjon_state};
    struct shot shot = {utc - 2, 1.0 / 250, 200, 0, NAN};

    readings.eye = EYE_WATCHES;
    if (min < 0 || min > 45)
        return;
    album_add(&readings.album[0], &shot);
    album_look(&readings.album[0], &look);
    readings.album[0].frames += 6;
    readings.album[0].bytes += 6 * 4e7;
    readings.album[0].raw += 6;
}

static const struct entry new_york[] = {
    {CONTACT_P1, 20, DOES, ACT(ACT_CAMERA_CLOCK, 0, 0)},
    {CONTACT_U1, 25, DOES, ACT(ACT_CARD, 0, 0)},
    {CONTACT_U2, 3, DOES, ACT(ACT_TARGET, 0, TARGET_BRACKET)},
};

enum { TALES = 11 };
#define SCRIPT(of) .script = of, .entries = sizeof of / sizeof *of
static const struct tale tales[TALES] = {
    {"finland", "2028-12-31", 62, 25, 175, 15, in_finland, devices_in_finland, SCRIPT(finland)},
    {"madrid", "2026-08-28", 40.4, -3.7, 20, 260, in_madrid, NULL, SCRIPT(madrid)},
    {"germany", "2025-09-07", 50.1, 8.7, 10, 45, in_germany, devices_in_germany, SCRIPT(germany)},
    {"rome", "2027-02-20", 41.9, 12.5, 60, NAN, in_rome, NULL, SCRIPT(rome), .rehearsal = true},
    {"pacific", "2028-12-31", -30, -90, 0, 30, in_the_pacific, NULL, SCRIPT(pacific)},
    {"chile", "2025-03-14", -33.4, -70.6, 10, NAN, in_chile, NULL, SCRIPT(chile)},
    /* From just before U1 on. */
    {"japan", "2026-03-03", 36, 138, -60, 40, in_japan, devices_in_japan, SCRIPT(japan), .until_min = 35,
     .by_rounds = true},
    {"bolivia", "2029-06-26", -16.3, -68.1, 30, 80, in_bolivia, devices_in_bolivia, SCRIPT(bolivia), .zone = bolivian},
    {"svalbard", "2028-01-12", 78.2, 15.6, 3240, 900, on_svalbard, NULL, SCRIPT(svalbard), .until_min = 1440,
     .step_s = 1200},
    /* From 15 minutes before U2 on. */
    {"greece", "2029-12-20", 38, 24, -137.1, 40, in_greece, devices_in_greece, SCRIPT(greece), .until_min = -12,
     .step_s = 1},
    {"newyork", "2026-03-03", 40.7, -74, 5, 120, in_new_york, devices_in_new_york, SCRIPT(new_york)},
};

static inline const struct tale *tale_of(const char *name)
{
    int i = 0;

    while (strcmp(tales[i].name, name) != 0)
        i++;
    return &tales[i];
}

/* ---- living ---- */

static void look(double utc)
{
    night_follow(night, utc);
    moment_at(night, &readings, utc, &moment);
}

static void act(struct act act, double utc, const char *by)
{
    struct fault fault = {""};

    act.utc = utc;
    act.boot_s = NAN;
    if (act.kind == ACT_AIR || act.kind == ACT_FORECAST || act.kind == ACT_NOTE)
        act.rig = -1;
    if (night_apply(night, &act, &fault) != 0)
        fail_msg("%s: %s", act_form(act.kind)->name, fault.text);
    diary->acts(&act, by);
}

static void sleep_until(double utc, double minutes, double set_s)
{
    struct act acts[NIGHT_MISSED];
    int count = night_missed(night, utc - 60 * minutes, utc, set_s, acts, NIGHT_MISSED);

    for (int i = 0; i < count; i++)
        act(acts[i], utc, "slept");
}

static void play(const struct entry *entry, double utc)
{
    const struct act *last = night_last_undoable(night);

    switch (entry->what) {
    case DOES:
        act(entry->act, utc, "act");
        break;
    case UNDOES:
        act((struct act){.kind = ACT_UNDO, .rig = -1, .ref = last->seq}, utc, "undo");
        break;
    case SLEEPS:
        sleep_until(utc, entry->act.value[0], entry->act.value[1]);
        break;
    }
    look(utc);
    diary->turns();
}

/* What hands do for a job, once it has been due for long enough. */
static void do_job(const struct job *job, double utc)
{
    struct act item = {.kind = ACT_CHECK, .rig = -1, .value = {1}};

    switch (job->kind) {
    case JOB_AIM:
    case JOB_FIRST_AIM:
        act(advised_aim(&moment.rig[job->rig], job->rig), utc, "hands");
        break;
    case JOB_BATTERY:
        act((struct act)ACT(ACT_BATTERY, job->rig, NAN), utc, "hands");
        break;
    case JOB_CARD:
        act((struct act)ACT(ACT_CARD, job->rig, NAN), utc, "hands");
        break;
    case JOB_ITEM:
        memcpy(item.text, night->setup.checklist.item[job->item].id, CHECK_ID);
        act(item, utc, "hands");
        break;
    default:
        break;
    }
}

static void work(const struct tale *tale, double utc)
{
    struct act acts[ROUND_ACTS];
    struct hands hands = moment.hands;
    struct fault fault;

    if (tale->by_rounds && hands.count > 0 && utc - hands.job[0].utc >= tale->late_s) {
        int count = round_done(night, &moment, acts, &fault);

        for (int i = 0; i < count; i++)
            act(acts[i], utc, "round");
    }
    for (int i = 0; i < hands.count; i++) {
        const struct job *job = &hands.job[i];

        if (utc - job->utc >= tale->late_s && (job->rig < 0 || moment.moon.up) &&
            (!tale->by_rounds || job->kind == JOB_ITEM || job->kind == JOB_FIRST_AIM) &&
            (job->kind != JOB_FIRST_AIM || moment.rig[job->rig].aim_state == AIM_FREE))
            do_job(job, utc);
    }
}

static void write_down(double utc)
{
    struct act acts[16];
    int count = night_decide(night, &moment, acts, 16);

    for (int i = 0; i < count; i++)
        act(acts[i], utc, "writes");
}

static void tale_open(const struct tale *tale)
{
    struct zone_table zone;
    struct eclipse eclipse;
    struct fault fault = {""};
    double day;

    setup_default(&setup);
    readings_none(&readings);
    setup.has_site = true;
    setup.site.latitude_deg = tale->latitude_deg;
    setup.site.longitude_deg = tale->longitude_deg;
    tale->change(&setup);
    zone_utc(&zone);
    if (tale->zone) {
        zone.count = 2;
        memcpy(zone.step, tale->zone, 2 * sizeof *zone.step);
    }
    assert_int_equal(parse_day(tale->day, &day, NULL), 0);
    assert_true(eclipse_of_day(day, SHADOW_DANJON, &eclipse));
    night = calloc(1, sizeof *night);
    assert_non_null(night);
    if (night_open(night, &setup, &eclipse, &zone, tale->rehearsal, &fault) != 0)
        fail_msg("%s", fault.text);
}

/* Lives a night from its beginning to its end. */
static void tale_live(const struct tale *tale, const struct diary *keeps)
{
    double begins, ends;

    tale_open(tale);
    diary = keeps;
    step_s = tale->step_s > 0 ? tale->step_s : 60;
    /* No minute falls on a contact. */
    begins = night->contact_utc[CONTACT_P1] - 60 * tale->before_min - 7.3;
    ends = tale->until_min != 0 ? night->contact_utc[CONTACT_GREATEST] + 60 * tale->until_min
                               : night->contact_utc[CONTACT_P4] + 600;
    look(begins);
    diary->begins();
    for (double utc = begins; utc < ends; utc += step_s) {
        if (tale->read)
            tale->read(utc);
        look(utc);
        for (int i = 0; i < tale->entries; i++) {
            double after = since(tale->script[i].contact, utc) - 60 * tale->script[i].min;

            if (after >= 0 && after < step_s)
                play(&tale->script[i], utc);
        }
        write_down(utc);
        look(utc);
        diary->minute();
        work(tale, utc);
    }
    diary->ends();
    night_close(night);
    free(night);
}

#endif
