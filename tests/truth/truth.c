/* The truth table: our numbers beside published ones, as Markdown. Every number of ours is computed
 * here and now; where the two disagree, that is what stands there. */
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>

/* What csv.h asks of a test, for a program that is none. */
#define fail_msg(...) (fprintf(stderr, __VA_ARGS__), exit(1))
#define assert_true(what) ((what) ? (void)0 : (fail_msg("truth: %s\n", #what), (void)0))
#define assert_non_null(what) assert_true((what) != NULL)
#define assert_int_equal(a, b) assert_true((a) == (b))

#include "../../src/photo/photo_private.h"
#include "../../src/sky/sky_private.h"
#include "../csv.h"
#include "../eclipse/rows.h"

#include <erfa.h>
#include <moonstand/air.h>
#include <moonstand/angle.h>
#include <moonstand/arc.h>
#include <moonstand/exposure.h>
#include <moonstand/frame.h>
#include <moonstand/observer.h>
#include <moonstand/sight.h>
#include <moonstand/text.h>
#include <moonstand/track.h>

#define CATALOGUE "NASA Five Millennium Catalog"
#define HORIZONS "JPL Horizons DE441"

/* ---- rows ---- */

enum { CELL = 120 };

static void heading(const char *title)
{
    printf("\n| %s | ours | published | difference | source |\n|---|---|---|---|---|\n", title);
}

static void row(const char *what, const char *ours, const char *published, const char *difference,
                const char *source)
{
    printf("| %s | %s | %s | %s | %s |\n", what, ours, published, difference, source);
}

/* A difference with its sign; one that rounds to nothing has none. */
static char *signed_text(char out[CELL], double value, int decimals, const char *unit)
{
    bool nothing = fabs(value) < 0.5 * pow(10, -decimals);

    (void)snprintf(out, CELL, nothing ? "%.*f%s" : "%+.*f%s", decimals, nothing ? 0.0 : value,
                   unit);
    return out;
}

/* Numbers with so many decimals and a unit. */
static void row_number(const char *what, double ours, double published, int decimals,
                       const char *unit, const char *source)
{
    char a[CELL], b[CELL], c[CELL];

    (void)snprintf(a, sizeof a, "%.*f%s", decimals, ours, unit);
    (void)snprintf(b, sizeof b, "%.*f%s", decimals, published, unit);
    row(what, a, b, signed_text(c, ours - published, decimals, ""), source);
}

/* The largest difference over many published rows. */
static void row_worst(const char *what, double worst, int decimals, const char *unit, int rows,
                      const char *source)
{
    char published[CELL], difference[CELL];

    (void)snprintf(published, sizeof published, "%d values", rows);
    (void)snprintf(difference, sizeof difference, "at most %.*f%s", decimals, worst, unit);
    row(what, "all", published, difference, source);
}

/* ---- contacts ---- */

static const char *const columns[CONTACT_COUNT] = {"p1", "u1", "u2", "greatest", "u3", "u4", "p4"};

/* A time of day, seconds from the noon of J2000.0 or of any other day. */
static char *clock_text(char out[CELL], double seconds, int decimals)
{
    char iso[TEXT_INSTANT];

    (void)format_iso(iso, seconds + SECONDS_PER_DAY / 2, decimals, "");
    (void)snprintf(out, CELL, "%s", iso + strlen("YYYY-MM-DDT"));
    return out;
}

static double clock_miss(double ours, double published)
{
    return remainder(ours - published, SECONDS_PER_DAY);
}

static void row_clock(const char *what, double ours, double published, int decimals,
                      const char *source)
{
    char a[CELL], b[CELL], c[CELL];

    row(what, clock_text(a, ours, decimals), clock_text(b, published, decimals > 1 ? 1 : 0),
        signed_text(c, clock_miss(ours, published), decimals, " s"), source);
}

static const char *row_day(const struct csv *csv)
{
    static char day[CELL];

    (void)snprintf(day, sizeof day, "%d-%02d-%02d", (int)csv_number(csv, "year"),
                   (int)csv_number(csv, "month"), (int)csv_number(csv, "day"));
    return day;
}

/* Printed in UT; compared in TT, with the catalogue's delta T. One row for an eclipse. */
static void contacts_danjon(void)
{
    struct csv csv;

    printf("\n| contacts, rule `danjon`, TT: ours, published, difference in s | P1 | U1 | U2 | "
           "greatest | U3 | U4 | P4 |\n|---|---|---|---|---|---|---|---|\n");
    for (csv_open(&csv, "canon.csv"); csv_next(&csv);) {
        struct eclipse eclipse;
        double delta_t =
            csv_text(&csv, "contact_scale")[0] == 'U' ? csv_number(&csv, "delta_t_s") : 0;

        if (!*csv_text(&csv, "contact_scale"))
            continue;
        eclipse = eclipse_of(row_tt(&csv, "td_greatest"), SHADOW_DANJON);
        printf("| %s", row_day(&csv));
        for (int c = 0; c < CONTACT_COUNT; c++) {
            char a[CELL], b[CELL], d[CELL];

            if (!*csv_text(&csv, columns[c])) {
                printf(" |");
                continue;
            }
            double published = row_tt(&csv, columns[c]) + delta_t;

            printf(" | %s, %s, %s", clock_text(a, eclipse.tt[c], 1), clock_text(b, published, 0),
                   signed_text(d, clock_miss(eclipse.tt[c], published), 1, ""));
        }
        printf(" |\n");
    }
    printf("\nPublished: NASA/GSFC's figures of these eclipses, in UT, made TT with the "
           "catalogue's delta T.\n");
}

/* Half the time between two contacts; true where one is printed. */
static bool half_miss(const struct csv *csv, const char *column, const struct eclipse *eclipse,
                      enum contact from, enum contact to, double *worst_min)
{
    double printed_min = csv_number(csv, column);

    if (isnan(printed_min))
        return false;
    *worst_min = fmax(*worst_min, fabs((eclipse->tt[to] - eclipse->tt[from]) / 120 - printed_min));
    return true;
}

/* NASA's contacts of 2008 (http://serviastro.am.ub.edu/twiki/bin/view/ServiAstro/InfEc210208), from
 * greatest on, so that delta T drops out. */
static void contacts_chauvenet(void)
{
    static const char *const published[CONTACT_COUNT] = {
        "00:34:59", "01:42:59", "03:00:34", "03:26:05", "03:51:32", "05:09:07", "06:17:16"};
    struct eclipse eclipse = eclipse_of(tt_of(2008, 2, 21, "03:27:00"), SHADOW_CHAUVENET);
    double greatest = tt_of(2008, 2, 21, published[CONTACT_GREATEST]);
    struct csv csv;

    heading("contacts and magnitudes, rule `chauvenet`");
    for (int c = 0; c < CONTACT_COUNT; c++)
        if (c != CONTACT_GREATEST) {
            char what[CELL];

            (void)snprintf(what, sizeof what, "2008-02-21 %s", contact_name((enum contact)c));
            row_clock(what, greatest + eclipse.tt[c] - eclipse.tt[CONTACT_GREATEST],
                      tt_of(2008, 2, 21, published[c]), 1, "NASA page of 2008, from greatest");
        }
    double worst = 0, half_min = 0;
    int rows = 0, halves = 0;

    for (csv_open(&csv, "canon_1951_2000_complete.csv"); csv_next(&csv); rows += 2) {
        eclipse = eclipse_of(row_tt(&csv, "td_greatest"), SHADOW_CHAUVENET);
        halves +=
            half_miss(&csv, "chauv_semidur_par_min", &eclipse, CONTACT_U1, CONTACT_U4, &half_min);
        halves +=
            half_miss(&csv, "chauv_semidur_tot_min", &eclipse, CONTACT_U2, CONTACT_U3, &half_min);
        worst = fmax(worst, fabs(eclipse.penumbral_magnitude - csv_number(&csv, "chauv_pen_mag")));
        worst = fmax(worst, fabs(eclipse.umbral_magnitude - csv_number(&csv, "chauv_umb_mag")));
    }
    row_worst("half durations, U1 to U4 and U2 to U3, 1951-2000", half_min, 2, " min", halves,
              "NASA LEcat, printed to 1 min");
    row_worst("magnitudes 1951-2000", worst, 4, "", rows, "NASA LEcat, printed to 0.001");
}

static void magnitudes_oblate(void)
{
    struct csv csv;

    heading("umbral magnitudes, rule `oblate`");
    for (csv_open(&csv, "canon.csv"); csv_next(&csv);) {
        const char *printed = csv_text(&csv, "hs_umb_mag"), *dot = strchr(printed, '.');
        double umbral = csv_number(&csv, "hs_umb_mag");

        /* On 2000-07-16 the source repeats the magnitude of Danjon's rule. */
        if (dot && umbral != csv_number(&csv, "umb_mag"))
            row_number(row_day(&csv),
                       eclipse_of(row_tt(&csv, "td_greatest"), SHADOW_OBLATE).umbral_magnitude,
                       umbral, (int)strlen(dot + 1), "",
                       "tables by the rule of Herald & Sinnott 2014");
    }
    printf("\nWe know of no contacts published by this rule; the magnitudes fix the size of its "
           "shadow.\n");
}

/* ---- the catalogue as a whole ---- */

static void catalogue(void)
{
    static struct eclipse eclipses[600];
    size_t count = eclipse_search(tt_of(1951, 1, 1, "00:00"), tt_of(2001, 1, 1, "00:00"),
                                  SHADOW_DANJON, eclipses, 600);
    double greatest = 0, gamma = 0, magnitude = 0;
    char ours[CELL], published[CELL];
    struct csv csv;
    int rows = 0, saros = 0;

    heading("eclipses of 1951-2000");
    for (csv_open(&csv, "canon_1951_2000_complete.csv"); csv_next(&csv); rows++) {
        const struct eclipse *eclipse = &eclipses[rows];

        saros += eclipse->saros == (int)csv_number(&csv, "saros");
        greatest =
            fmax(greatest, fabs(eclipse->tt[CONTACT_GREATEST] - row_tt(&csv, "td_greatest")));
        gamma = fmax(gamma, fabs(eclipse->gamma - csv_number(&csv, "gamma")));
        magnitude =
            fmax(magnitude, fabs(eclipse->penumbral_magnitude - csv_number(&csv, "pen_mag")));
        magnitude = fmax(magnitude, fabs(eclipse->umbral_magnitude - csv_number(&csv, "umb_mag")));
    }
    row_number("how many", (double)count, rows, 0, "", CATALOGUE);
    (void)snprintf(ours, sizeof ours, "%d equal", saros);
    (void)snprintf(published, sizeof published, "%d values", rows);
    row("Saros series", ours, published, saros == rows ? "0" : "see ours", CATALOGUE);
    row_worst("greatest eclipse", greatest, 2, " s", rows, CATALOGUE);
    row_worst("gamma", gamma, 5, "", rows, CATALOGUE);
    row_worst("magnitudes", magnitude, 5, "", 2 * rows, CATALOGUE);
}

/* ---- positions ---- */

struct worst {
    double arcsec, km;
    int rows;
};

static void compare(struct worst *worst, struct vec3 place, struct vec3 wanted)
{
    worst->arcsec = fmax(worst->arcsec, arcsec_from_rad(vec3_angle(place, wanted)));
    worst->km = fmax(worst->km, fabs(vec3_length(place) - vec3_length(wanted)));
    worst->rows++;
}

static void rows_of(const char *what, struct worst worst, const char *source)
{
    char name[CELL];

    (void)snprintf(name, sizeof name, "%s, direction", what);
    row_worst(name, worst.arcsec, 3, " arcsec", worst.rows, source);
    (void)snprintf(name, sizeof name, "%s, distance", what);
    row_worst(name, worst.km, 3, " km", worst.rows, source);
}

static struct vec3 vector(const struct csv *csv, const char *x, const char *y, const char *z)
{
    return (struct vec3){csv_number(csv, x), csv_number(csv, y), csv_number(csv, z)};
}

static void positions_geocentric(void)
{
    struct worst de431 = {0}, de441 = {0}, sun = {0};
    double matrix[3][3];
    struct csv csv;

    eraEcm06(JD_J2000, 0, matrix);
    for (csv_open(&csv, "moon_de431.csv"); csv_next(&csv);) {
        struct vec3 moon = moon_geometric((csv_number(&csv, "jd_tt") - JD_J2000) * SECONDS_PER_DAY);
        double in[3] = {moon.x, moon.y, moon.z}, out[3];

        eraRxp(matrix, in, out);
        compare(&de431, (struct vec3){out[0], out[1], out[2]}, vector(&csv, "x", "y", "z"));
    }
    for (csv_open(&csv, "horizons_geo_l2026.csv"); csv_next(&csv);) {
        double tt = (csv_number(&csv, "jd_tdb") - JD_J2000) * SECONDS_PER_DAY;

        compare(&de441, moon_geometric(tt), vector(&csv, "moon_x", "moon_y", "moon_z"));
        compare(&sun, sun_geometric(tt), vector(&csv, "sun_x", "sun_y", "sun_z"));
    }
    rows_of("Moon 1950-2003", de431, "JPL DE431");
    rows_of("Moon, night of 2026-08-28", de441, HORIZONS);
    rows_of("Sun, night of 2026-08-28", sun, HORIZONS);
}

/* Horizons takes the Moon's mean radius; ours is the eclipse radius k. */
#define HORIZONS_MOON_KM 1737.4

static void positions_topocentric(void)
{
    struct observer manaus;
    struct arc arc;
    struct csv csv;
    double from, altitude = 0, azimuth = 0, diameter = 0;
    int rows = 0;

    observer_make(&manaus, rad_from_deg(-3.1019), rad_from_deg(-60.0250), 92);
    assert_int_equal(parse_instant("2026-08-28T00:00:00Z", &from, NULL), 0);
    assert_int_equal(arc_make(&arc, tt_from_utc(from), tt_from_utc(from) + 12 * 3600, true), 0);
    for (csv_open(&csv, "horizons_topo_l2026.csv"); csv_next(&csv); rows++) {
        struct sight moon;
        double utc, azimuth_deg = csv_number(&csv, "moon_az_deg");
        double altitude_deg = csv_number(&csv, "moon_el_deg");
        double diameter_arcsec = csv_number(&csv, "moon_angdiam_arcsec");

        assert_int_equal(parse_instant(csv_text(&csv, "ut"), &utc, NULL), 0);
        sky_moon(&arc, &manaus, utc, &moon);
        double ours_arcsec = 2 * arcsec_from_rad(asin(HORIZONS_MOON_KM / moon.distance_km));

        if (strcmp(csv_text(&csv, "ut"), "2026-08-28T04:13:00Z") == 0) {
            row_number("Manaus 2026-08-28 04:13, altitude", deg_from_rad(moon.altitude_airless_rad),
                       altitude_deg, 6, " deg", HORIZONS);
            row_number("the same, azimuth", deg_from_rad(moon.azimuth_rad), azimuth_deg, 6, " deg",
                       HORIZONS);
            row_number("the same, diameter", ours_arcsec, diameter_arcsec, 3, " arcsec", HORIZONS);
        }
        altitude = fmax(altitude, fabs(deg_from_rad(moon.altitude_airless_rad) - altitude_deg));
        azimuth = fmax(azimuth, fabs(deg_from_rad(angle_wrap_signed(moon.azimuth_rad -
                                                                    rad_from_deg(azimuth_deg)))));
        diameter = fmax(diameter, fabs(ours_arcsec - diameter_arcsec));
    }
    row_worst("Manaus, altitude", altitude, 5, " deg", rows, HORIZONS);
    row_worst("Manaus, azimuth", azimuth, 5, " deg", rows, HORIZONS);
    row_worst("Manaus, diameter", diameter, 3, " arcsec", rows, HORIZONS);
}

/* Least angle between the Moon and the point opposite the apparent Sun. */
static void greatest_de441(void)
{
    static const struct {
        int year, month, day;
        const char *tdb;
    } rows[] = {{1992, 12, 9, "23:45:04.7"},
                {2026, 8, 28, "04:14:04.2"},
                {2027, 2, 20, "23:14:05.2"},
                {2029, 6, 26, "03:23:22.4"}};

    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        double published = tt_of(rows[i].year, rows[i].month, rows[i].day, rows[i].tdb);
        char what[CELL];

        (void)snprintf(what, sizeof what, "%d-%02d-%02d greatest, TDB", rows[i].year, rows[i].month,
                       rows[i].day);
        row_clock(what, eclipse_of(published, SHADOW_DANJON).tt[CONTACT_GREATEST], published, 2,
                  HORIZONS);
    }
}

static void positions(void)
{
    heading("positions");
    positions_geocentric();
    positions_topocentric();
    greatest_de441();
}

/* ---- drift ---- */

static void drift(void)
{
    static struct {
        double utc;
        struct vec3 enu;
    } at[512];
    static struct track track;
    struct observer manaus;
    struct arc arc;
    struct csv csv;
    double worst = 0;
    int rows = 0;

    for (csv_open(&csv, "horizons_topo_l2026.csv"); csv_next(&csv); rows++) {
        struct pointing pointing;

        assert_true(rows < 512);
        assert_int_equal(parse_instant(csv_text(&csv, "ut"), &at[rows].utc, NULL), 0);
        pointing_make(rad_from_deg(csv_number(&csv, "moon_el_deg")),
                      rad_from_deg(csv_number(&csv, "moon_az_deg")), 0, &pointing);
        at[rows].enu = pointing.axis;
    }
    observer_make(&manaus, rad_from_deg(-3.1019), rad_from_deg(-60.0250), 92);
    manaus.pressure_hpa = 0; /* the rows are airless */
    assert_int_equal(arc_make(&arc, tt_from_utc(at[0].utc), tt_from_utc(at[rows - 1].utc), true),
                     0);
    track_make(&track, &arc, &manaus, at[0].utc, at[rows - 1].utc);
    heading("drift of the Moon over the ground");
    for (int i = 0; i + 1 < rows; i++) {
        double published = arcsec_from_rad(vec3_angle(at[i].enu, at[i + 1].enu)) / 60;
        double ours = track_speed_arcsec_per_s(&track, (at[i].utc + at[i + 1].utc) / 2);

        worst = fmax(worst, fabs(ours - published));
        if (i % 100 == 0) {
            char what[CELL], clock[TEXT_INSTANT];

            (void)snprintf(what, sizeof what, "Manaus 2026-08-28 %s",
                           format_clock(clock, at[i].utc + 30, true, HOURS_24));
            row_number(what, ours, published, 5, " arcsec/s", HORIZONS ", by difference");
        }
    }
    row_worst("Manaus", worst, 7, " arcsec/s", rows - 1, HORIZONS ", by difference");
}

/* ---- air ---- */

static double refraction_arcmin(double altitude_deg)
{
    return deg_from_rad(refraction_from_true(rad_from_deg(altitude_deg), 1010, 10)) * 60;
}

static void refraction(void)
{
    struct csv csv;
    double worst = 0;
    int rows = 0;

    heading("refraction at 1010 hPa, 10 C");
    for (csv_open(&csv, "refraction_horizons.csv"); csv_next(&csv); rows++) {
        double altitude = csv_number(&csv, "airless_alt_deg");
        double published = csv_number(&csv, "refraction_arcmin");
        char what[CELL];

        worst = fmax(worst, fabs(refraction_arcmin(altitude) - published));
        (void)snprintf(what, sizeof what, "airless altitude %.4f deg", altitude);
        if (rows % 4 == 0)
            row_number(what, refraction_arcmin(altitude), published, 2, " arcmin", "JPL Horizons");
    }
    row_worst("airless altitudes", worst, 3, " arcmin", rows, "JPL Horizons");
    row_number("airless altitude 33.246 arcmin", refraction_arcmin(33.246 / 60), 24.618, 3,
               " arcmin", "Meeus, example 16.a");
}

static void extinction(void)
{
    static const char *const heights[] = {"h0_km", "h0.5_km", "h1_km", "h2_km", "h3_km"};
    static const double height_m[] = {0, 500, 1000, 2000, 3000};
    struct csv csv;
    double worst = 0;
    int rows = 0;

    heading("extinction, average air");
    for (csv_open(&csv, "extinction_green1992.csv"); csv_next(&csv);) {
        double zenith_deg = csv_number(&csv, "zenith_distance_deg");

        for (int i = 0; i < 5; i++, rows++) {
            double published = csv_number(&csv, heights[i]);
            double ours = extinction_mag(rad_from_deg(90 - zenith_deg), height_m[i], NAN);
            char what[CELL];

            worst = fmax(worst, fabs(ours - published));
            (void)snprintf(what, sizeof what, "altitude %g deg, height %g m", 90 - zenith_deg,
                           height_m[i]);
            if (i % 2 == 0 && (zenith_deg == 1 || zenith_deg == 60 || zenith_deg == 85))
                row_number(what, ours, published, 2, " mag", "Green 1992, table Ia");
        }
    }
    row_worst("all cells", worst, 4, " mag", rows, "Green 1992, table Ia");
}

static void dew_point(void)
{
    struct csv csv;

    heading("dew point");
    for (csv_open(&csv, "dew_points.csv"); csv_next(&csv);) {
        double temperature = csv_number(&csv, "air_c"),
               humidity = csv_number(&csv, "humidity_percent");
        char what[CELL];

        (void)snprintf(what, sizeof what, "%.4g C, %.4g %%", temperature, humidity);
        row_number(what, dew_point_c(temperature, humidity), csv_number(&csv, "dew_point_c"), 1,
                   " C", csv_text(&csv, "source"));
    }
}

/* ---- exposure ---- */

#define ARCMIN (PI / (180 * 60))
/* The geometry of a mean eclipse. */
#define UMBRA ((1.01 * 57.03 + 0.1465 - 16.0) * ARCMIN)
#define PENUMBRA ((1.01 * 57.03 + 0.1465 + 16.0) * ARCMIN)
#define MOON (15.54 * ARCMIN)
#define ALTITUDE_DEG 45.0 /* where none is given */

/* EV at ISO 100: what would be dialled without limits, and what would make the whole disc, or its
 * bright part, mid-grey (ISO 2720, K = 12.5). */
struct evs {
    double placed, disc, bright;
};

static struct evs evs_of(enum target target, double f_number, double separation,
                         double altitude_deg)
{
    static struct light_model model;
    struct shadow shadow = {
        .separation = separation, .umbra = UMBRA, .penumbra = PENUMBRA, .moon_radius = MOON};
    struct exposure_ask ask = {
        .phase = PHASE_PARTIAL,
        .luminance = moon_luminance(separation, AU_KM) *
                     extinction_factor(extinction_mag(rad_from_deg(altitude_deg), 0, NAN)),
    };
    struct exposure exposure;
    struct rig rig;

    if (model.visible[LIGHT_STEPS] == 0)
        light_prepare(&model, UMBRA, PENUMBRA, 3);
    light_disc(&model, &shadow, &ask.light);
    sky_light(rad_from_deg(-30), rad_from_deg(altitude_deg), 0, &ask.sky);
    rig_default(&rig);
    rig.focal_mm = 500;
    rig.f_number = f_number;
    rig.support = SUPPORT_LUNAR;
    rig.target = target;
    exposure_choose(&rig, &ask, &exposure);
    return (struct evs){exposure.ev100, log2(8 * ask.luminance * ask.light.mean),
                        log2(8 * ask.luminance * ask.light.lit)};
}

static double shutter_of(const char *text)
{
    return strncmp(text, "1/", 2) == 0 ? 1 / strtod(text + 2, NULL) : strtod(text, NULL);
}

static double ev_of(double f_number, double shutter_s, double iso)
{
    return log2(f_number * f_number / shutter_s * 100 / iso);
}

/* Positive: the publisher gave less light. */
static void exposures(void)
{
    double full = evs_of(TARGET_LIT, 11, PENUMBRA + 2 * MOON, ALTITUDE_DEG).placed;
    char what[2 * CELL], ours[CELL];
    struct csv csv;

    heading(
        "exposure, EV at ISO 100, L = 3, as placed; in brackets mid-grey of the whole disc, of its "
        "bright part");
    (void)snprintf(ours, sizeof ours, "1/%.0f s", exp2(full) / (11.0 * 11.0));
    row("full Moon, f/11, ISO 100", ours, "1/125 to 1/250 s",
        exp2(full) / 121 >= 125 && exp2(full) / 121 <= 250 ? "within" : "outside",
        "common practice, no source; 1/250 s: http://www.eclipsechasers.com/tlephotoEX.html");
    for (csv_open(&csv, "eclipse_exposures.csv"); csv_next(&csv);) {
        const char *altitude = csv_text(&csv, "altitude_deg");
        double f_number = csv_number(&csv, "f_number"), iso = csv_number(&csv, "iso");
        double magnitude = csv_number(&csv, "umbral_magnitude");
        double separation = fabs(UMBRA + MOON - 2 * MOON * magnitude);
        enum target target = strcmp(csv_text(&csv, "part"), "lit") == 0 ? TARGET_LIT : TARGET_UMBRA;
        char setting[CELL];
        double published = ev_of(f_number, shutter_of(csv_text(&csv, "shutter_s")), iso);
        struct evs found = evs_of(target, f_number, separation,
                                  *altitude == '?' ? ALTITUDE_DEG : strtod(altitude, NULL));
        char a[CELL], b[2 * CELL], c[CELL];

        (void)snprintf(what, sizeof what, "%s %s, magnitude %.3f, %s", csv_text(&csv, "date"),
                       csv_text(&csv, "subject"), magnitude, csv_text(&csv, "part"));
        (void)snprintf(setting, sizeof setting, "f/%g, ISO %g, %s s", f_number, iso,
                       csv_text(&csv, "shutter_s"));
        (void)snprintf(a, sizeof a, "%.1f (%.1f, %.1f)", found.placed, found.disc, found.bright);
        (void)snprintf(b, sizeof b, "%.1f (%s)", published, setting);
        row(what, a, b, signed_text(c, published - found.placed, 1, " stops"),
            csv_text(&csv, "source"));
    }
}

int main(void)
{
    puts("# Our numbers beside published ones\n\n"
         "Printed by `make truth`, which computes every row as it runs; tests/night/truth.sh holds "
         "this page to it. [ACCURACY.md](ACCURACY.md) says what is known of the differences.");
    contacts_danjon();
    contacts_chauvenet();
    magnitudes_oblate();
    catalogue();
    positions();
    drift();
    refraction();
    extinction();
    dew_point();
    exposures();
    return 0;
}
