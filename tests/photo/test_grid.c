/* Aims, compositions, mounts, swaps and cards over a grid of places and rigs, against
 * tests/prints/photo-grid.txt: whether they are right, the other tests of this room say by closed forms and
 * by brute force; here nothing of it changes unseen. BLESS=1 writes it anew: the difference is then for
 * people to review. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "blessed.h"
#include "star.h"

#include <moonstand/aim.h>
#include <moonstand/budget.h>
#include <moonstand/exposure.h>
#include <moonstand/mount.h>
#include <moonstand/observer.h>
#include <moonstand/sheet.h>
#include <moonstand/sky_light.h>
#include <moonstand/wide.h>

#define LIMB 0.0045

static struct track track;
static FILE *out;

/* Contacts of a night whose greatest is so long after the meridian. */
static void contacts_at(double greatest, double contact[CONTACT_COUNT])
{
    static const double after[CONTACT_COUNT] = {-9400, -5600, -1850, 0, 1850, 5600, 9400};

    for (int i = 0; i < CONTACT_COUNT; i++)
        contact[i] = greatest + after[i];
}

static struct rig lens(double focal_mm, bool portrait)
{
    struct rig rig;

    rig_default(&rig);
    rig.focal_mm = focal_mm;
    rig.f_number = 6.3;
    rig.portrait = portrait;
    return rig;
}

static const struct place {
    double latitude_deg, declination_deg, greatest;
} places[] = {{62, 23, 3000}, {41, 7, -6000}, {-33, 5, 900}, {5, -20, 5400}};
enum { PLACES = sizeof places / sizeof *places };

static void stand_at(const struct place *place)
{
    star_track(&track, place->latitude_deg, place->declination_deg, 0.966 * sidereal_rate, LIMB);
}

/* ---- tripods ---- */

static void write_aims(const struct place *place, double focal_mm, bool portrait)
{
    struct rig rig = lens(focal_mm, portrait);
    double contact[CONTACT_COUNT];
    struct aim_step steps[200];
    struct aim aim;
    int count;

    contacts_at(place->greatest, contact);
    aim_advise(&rig, &track, contact[CONTACT_U1], contact[CONTACT_P4], &aim);
    fprintf(out,
            "aim %.0f mm%s: drift %.3f %.3f centred %.1f place %.4f %.4f %.1f turned %.1f; leaves",
            focal_mm, portrait ? " portrait" : "", aim.drift_arcsec_per_s, aim.drift_px_per_s,
            aim.centred_stays_s, aim.place.x, aim.place.y, aim.placed_stays_s,
            known(aim_turned_stays_s(&rig, &track, contact[CONTACT_U1], contact[CONTACT_P4])));
    for (int i = 0; i < 3; i++) {
        struct frame_point at = {0.3 - 0.3 * i, 0.2 * i - 0.2}, now;
        double leaves =
            aim_leaves(&rig, &track, contact[CONTACT_U2], at, contact[CONTACT_U2] + 90, &now);

        fprintf(out, " %.1f %.4f %.4f", leaves, known(now.x), known(now.y));
    }
    count = aim_plan(&rig, &track, (struct span){contact[CONTACT_U1], contact[CONTACT_U4]},
                     contact, steps, 200);
    fprintf(out, "; %d aims", count);
    for (int i = 0; i < count && i < 12; i++)
        fprintf(out, " %.1f%s", steps[i].utc, steps[i].early ? "e" : "");
    fprintf(out, "\n");
}

static void write_edges(const struct place *place)
{
    struct rig rig = lens(100, false);
    struct pointing pointing;
    struct vec3 moon = track_direction(&track, place->greatest);

    pointing_make(asin(moon.z) + 0.02, atan2(moon.x, moon.y) + 0.05, 0.1, &pointing);
    fprintf(out, "edges:");
    for (int edge = EDGE_MARGIN; edge <= EDGE_GONE; edge++)
        fprintf(out, " %.1f",
                frame_exit_utc(&rig, &track, &pointing, place->greatest, (enum frame_edge)edge));
    fprintf(out, " in since %.1f, from %.0f\n",
            frame_entry_utc(&rig, &track, &pointing, place->greatest),
            known(frame_inside_utc(&rig, &track, &pointing, place->greatest - 9000)));
}

/* ---- wide lenses ---- */

static void write_wide(const struct place *place, double focal_mm, int variant)
{
    const struct horizon ridge = {
        .count = 4, .azimuth_rad = {0.5, 1.9, 3.6, 4.4}, .altitude_rad = {0.02, 0.12, 0.05, 0.16}};
    static const struct horizon flat;
    struct rig rig = lens(focal_mm, variant % 2);
    double contact[CONTACT_COUNT];
    struct pointing pointing;
    struct disc_place discs[40];
    struct wide wide;
    int count;

    rig.part = (enum wide_part)(variant % 3);
    rig.foreground = variant % 2 ? 0.12 : 0;
    rig.tilt_deg = variant == 2 ? deg_from_rad(0.2) : 0;
    contacts_at(place->greatest, contact);
    wide_compose(&rig, &track, variant ? &ridge : &flat, contact, &wide);
    fprintf(out, "wide %.0f mm, %d: %s%s, %.3f x %.3f;", focal_mm, variant,
            wide_part_name(wide.use), wide.fits ? "" : " instead", wide.free_width_deg,
            wide.free_height_deg);
    for (enum wide_part part = 0; part < WIDE_PARTS; part++) {
        const struct span span = {contact[wide_begins(part)], contact[wide_ends(part)]};
        struct wide_fit fitted;
        const struct wide_fit *fit = &fitted;

        wide_compose_span(&rig, &track, variant ? &ridge : &flat, span, &fitted);
        fprintf(out, " %.0f to %.0f%s %.3f deg %.3f mm%s %.4f %.4f %.4f land %.4f,",
                known(fit->utc_from), known(fit->utc_to), fit->cut ? " cut" : "",
                known(fit->path_deg), known(fit->focal_mm), fit->fits ? " fits" : "",
                known(fit->altitude_rad), known(fit->azimuth_rad), known(fit->roll_rad),
                known(fit->foreground));
    }
    if (isnan(wide.fit[wide.use].altitude_rad)) {
        fprintf(out, "\n");
        return;
    }
    pointing_make(wide.fit[wide.use].altitude_rad, wide.fit[wide.use].azimuth_rad,
                  wide.fit[wide.use].roll_rad, &pointing);
    count = wide_discs(&(struct disc_ask){&rig, &pointing, &track, variant ? &ridge : &flat,
                                          contact[CONTACT_P1], 900, contact[CONTACT_P4]},
                       discs, 40);
    fprintf(out, " %d discs", count);
    for (int i = 0; i < count; i += 4)
        fprintf(out, " %.0f %.4f %.4f", discs[i].utc, discs[i].centre.x, discs[i].centre.y);
    fprintf(out, "; spaced %.4f, least %.2f\n", disc_spacing(&track, place->greatest, 300),
            disc_least_interval_s(&track, contact[CONTACT_U1], contact[CONTACT_U4]));
}

/* ---- mounts ---- */

static void write_mount(const struct place *place, enum support support)
{
    struct rig rig = lens(800, false);
    double contact[CONTACT_COUNT];
    struct mount *mount = &rig.mount;
    struct mount_drift drift;
    struct mount_flip flip;
    struct mount_limit limits[8];
    struct polar_estimate polar;
    struct mount_seen seen[2];
    int count;

    contacts_at(place->greatest, contact);
    rig.support = support;
    mount->polar_az_error_arcmin = 40;
    mount->polar_alt_error_arcmin = -15;
    mount->german_equatorial = true;
    mount->past_meridian_min = 12;
    mount->altitude_min_deg = 30;
    mount->altitude_max_deg = 47;
    mount_drift(mount, support, &track, place->greatest, &drift);
    fprintf(out, "%s: drift %.4f %.4f %.4f %.4f %.4f stays %.1f;", support_name(support),
            drift.rate_east_arcsec_per_s, drift.rate_north_arcsec_per_s,
            drift.polar_east_arcsec_per_s, drift.polar_north_arcsec_per_s, drift.arcsec_per_s,
            aim_leaves(&rig, &track, place->greatest, (struct frame_point){0, 0}, place->greatest,
                       NULL));
    if (mount_flip(mount, &track, (struct span){contact[CONTACT_P1], contact[CONTACT_P4]},
                   (struct span){contact[CONTACT_U2], contact[CONTACT_U3]}, &flip))
        fprintf(out, " flip %.1f %.1f %.1f %.1f%s;", known(flip.earliest_utc), flip.meridian_utc,
                flip.latest_utc, flip.advised_utc, flip.in_totality ? " in totality" : "");
    count = mount_limits(mount, &track, contact[CONTACT_P1] - 7200, contact[CONTACT_P4] + 3600,
                         limits, 8);
    for (int i = 0; i < count; i++)
        fprintf(out, " limit %.1f%s%s", limits[i].utc, limits[i].upper ? " upper" : " lower",
                limits[i].enters ? " in" : "");
    seen[0] = (struct mount_seen){contact[CONTACT_U1], {0, 0}};
    seen[1] = (struct mount_seen){contact[CONTACT_U2], {0.02, 0.04}};
    mount_polar_estimate(&rig, &track, seen, 0.005, &polar);
    fprintf(out, "; axis %.2f %.2f +- %.2f %.2f\n", known(polar.az_error_arcmin),
            known(polar.alt_error_arcmin), known(polar.az_doubt_arcmin),
            known(polar.alt_doubt_arcmin));
}

/* ---- batteries and cards ---- */

static void write_swaps(int variant)
{
    static const double re_aims[] = {1200, 2300, 3700, 5200, 6900, 8000, 9500, 11200, 13000};
    static const struct span off[] = {{2800, 3400}, {9000, 9900}};
    const struct swap_ask ask = {.utc = 0,
                                 .utc_to = 17000,
                                 .changed_utc = variant % 2 ? -900 : NAN,
                                 .life_s = 2600 + 700 * (variant % 13),
                                 .swap_s = 60 + 20 * (variant % 3),
                                 .spares = 1 + variant % 5,
                                 .u2_utc = 7000 - 100 * variant,
                                 .u3_utc = 10600 - 170 * variant,
                                 .calm_s = variant % 3 ? 600 : 30,
                                 .re_aim = re_aims,
                                 .re_aim_count = variant % 4 ? 9 : 0,
                                 .off = off,
                                 .off_count = variant % 2 ? 2 : 0};
    struct swap_plan plan;

    swap_plan_make(&ask, &plan);
    fprintf(out, "swaps %d: %d batteries%s%s dry %.0f;", variant, plan.batteries,
            plan.totality_free ? " free" : "", plan.external ? " external" : "",
            known(plan.dry_utc));
    for (int i = 0; i < plan.count && i < SWAPS; i++)
        fprintf(out, " %.1f of %.1f%s%s%s", plan.swap[i].utc, plan.swap[i].empty_utc,
                plan.swap[i].in_totality ? " in totality" : "", plan.swap[i].late ? " late" : "",
                plan.swap[i].at_re_aim ? " at re-aim" : "");
    fprintf(
        out, "; one %.1f %.1f\n",
        swap_instant(&ask, &(struct swap_window){500, 7300 + 300 * variant, 8000 + 400 * variant}),
        swap_instant(&ask, &(struct swap_window){6950, 7100, 9200}));
}

static void write_cards(int variant)
{
    const struct card_span spans[] = {{0, 3000, 1}, {3000, 6100, 5}, {7000, 9000, 3}};
    const struct card_ask ask = {.utc = 450 * variant,
                                 .interval_s = 7 + 5 * variant,
                                 .span = spans,
                                 .span_count = 3,
                                 .longest_bracket = 5,
                                 .frame_bytes = 30e6,
                                 .card_bytes = 24e9,
                                 .frames_taken = 40 * variant,
                                 .free_bytes = variant % 3 ? NAN : 9e9 + 1e9 * variant};
    struct card_budget budget;

    card_budget_make(&ask, &budget);
    fprintf(out, "card %d: %.0f frames, %.0f fit%s, full %.1f every %.0f bracket %d; life", variant,
            budget.frames, budget.frames_fit, budget.fits ? " all" : "", known(budget.full_utc),
            known(budget.interval_fits_s), budget.bracket_fits);
    for (int i = 0; i < 4; i++) {
        struct rig rig = lens(100, false);

        rig.power.live_view = variant % 2;
        rig.power.heater_w = variant % 3 ? 0 : 3;
        rig.power.battery_wh = 14;
        fprintf(out, " %.1f", power_life_s(&rig.power, 0.02 * variant, 20 - 13 * i));
    }
    fprintf(out, "\n");
}

/* ---- exposures and the intervalometer ---- */

static void write_exposures(enum target target, enum support support)
{
    struct rig rig = lens(300, false);
    struct exposure chosen[8];
    struct sheet_part parts[8];
    struct sheet sheet = {20, .start_utc = NAN};
    struct sheet_line lines[8];
    double longest_s = 0;

    rig.support = support;
    rig.target = target;
    fprintf(out, "%s %s:", support_name(support), target_name(target));
    for (int i = 0; i < 8; i++) {
        struct exposure_ask ask = {
            .phase = i < 2   ? PHASE_PENUMBRAL
                     : i < 5 ? PHASE_PARTIAL
                             : PHASE_TOTAL,
            .light = {.lit = i < 5 ? pow(10, -0.4 * i) : NAN,
                      .umbra = i < 2 ? NAN : pow(10, -3 - 0.4 * i),
                      .mean = 0.5,
                      .darkest = 1e-5,
                      .umbra_share = i < 2 ? 0 : 0.2 * (i - 2)},
            .luminance = 3000,
            .drift_px_per_s = support == SUPPORT_FIXED ? 5 : 0.2,
            .correction_stops = {0.3, -0.7, 0.4, 1.1, -0.5},
        };
        const struct exposure *exposure = &chosen[i];

        sky_light(-0.2 - 0.03 * i, 0.5, 0.01, &ask.sky);
        exposure_choose(&rig, &ask, &chosen[i]);
        parts[i] = (struct sheet_part){600 * i, 600 * i + 600, &chosen[i]};
        if (!exposure->known)
            continue;
        fprintf(out,
                " %d: %d %d to %d %d x%d/%.2f ev %.3f blur %.2f %s short %.2f %.2f sky %.2f%s,", i,
                exposure->shutter, exposure->iso, exposure->shutter_last, exposure->iso_last,
                exposure->bracket_frames, exposure->bracket_step_stops, exposure->ev100,
                exposure->blur_px, exposure_limit_name(exposure->limited_by),
                exposure->deficit_stops, known(exposure->bracket_missing_stops),
                known(exposure->sky_stops), exposure->vibration_risk ? " shakes" : "");
    }
    sheet_add(&sheet, &(struct sheet_ask){parts, 8, 130, 1.5}, lines, 8);
    for (int i = 0; i < sheet.lines && i < 8; i++)
        longest_s = fmax(longest_s, lines[i].busy_s);
    fprintf(out, " sheet %.0f every %.0f, %d shots %d frames, least %.0f short %.2f, %d lines:",
            known(sheet.start_utc), known(sheet.interval_s), sheet.shots, sheet.frames,
            sheet.least_interval_s, fmax(0, longest_s - sheet.interval_s), sheet.lines);
    for (int i = 0; i < sheet.lines && i < 8; i++)
        fprintf(out, " %.0f %d %d %.2f", known(lines[i].start_utc), lines[i].shots, lines[i].frames,
                lines[i].busy_s);
    fprintf(out, "\n");
}

/* Defaults as the manual page has them. */
static void write_defaults(void)
{
    struct rig rig;

    rig_default(&rig);
    fprintf(out, "default: %.1f x %.1f mm, %.1f um, %s, ISO %.0f to %.0f, %.0f; every %.1f s to %s",
            rig.sensor_width_mm, rig.sensor_height_mm, rig.pixel_pitch_um,
            support_name(rig.support), rig.iso_min, rig.iso_max, rig.iso_comfort, known(rig.interval_s),
            contact_name(rig.until.contact));
    fprintf(out,
            ", %.0f MB, %s, blur %.2f tolerance %.3f, %.6f to %.0f s, x%d/%.1f, filter %.1f x%.1f",
            rig.frame_mb, target_name(rig.target), rig.blur_limit_px, rig.tolerance_stops,
            rig.shutter_min_s, rig.shutter_max_s, rig.bracket_frames, rig.bracket_step_stops,
            rig.filter_stops, rig.extender);
    for (int target = 0; target < TARGETS; target++)
        fprintf(out, " %.3f", rig.placement_stops[target]);
    fprintf(out, "; margin %.3f aim %.3f warn %.0f saving %.1f, mount %.0f to %.0f past %.0f;",
            rig.margin, rig.aim_tolerance, rig.warn_s, rig.saving_s, rig.mount.altitude_min_deg,
            rig.mount.altitude_max_deg, rig.mount.past_meridian_min);
    fprintf(out, " %.0f shots %.2f h %d spares %.1f Wh", rig.power.rated_shots,
            rig.power.rated_hours, rig.power.spares, rig.power.battery_wh);
    for (int i = 0; i < rig.power.cold_count; i++)
        fprintf(out, " %.0f C %.2f", rig.power.cold[i].temperature_c, rig.power.cold[i].capacity);
    fprintf(out, "\n");
}

static void write_interval(const struct place *place)
{
    double contact[CONTACT_COUNT];
    struct interval_fit fit;

    contacts_at(place->greatest, contact);
    for (int most = 40; most < 400; most *= 3)
        if (interval_on_contacts(contact, contact[CONTACT_U1] - 777, contact[CONTACT_P4] - 100,
                                 most / 3.0, most, &fit))
            fprintf(out, "interval %.0f from %.1f, %d frames, misses %.2f\n", fit.interval_s,
                    fit.first_utc, fit.frames, fit.worst_miss_s);
}

static void the_grid_is_as_blessed(void **state)
{
    char *text = NULL;
    size_t size;

    (void)state;
    out = open_memstream(&text, &size);
    assert_non_null(out);
    write_defaults();
    for (int i = 0; i < PLACES; i++) {
        stand_at(&places[i]);
        fprintf(out, "-- latitude %.0f\n", places[i].latitude_deg);
        for (int j = 0; j < 4; j++)
            write_aims(&places[i], j < 2 ? 200 : 700, j % 2);
        write_edges(&places[i]);
        for (int j = 0; j < 4; j++)
            write_wide(&places[i], 14 + 7 * j, j);
        for (int support = SUPPORT_SIDEREAL; support < SUPPORTS; support++)
            write_mount(&places[i], (enum support)support);
        write_interval(&places[i]);
    }
    for (int i = 0; i < 40; i++)
        write_swaps(i);
    for (int i = 0; i < 8; i++)
        write_cards(i);
    for (int target = 0; target < TARGETS; target++)
        for (int support = SUPPORT_FIXED; support <= SUPPORT_LUNAR; support += 2)
            write_exposures((enum target)target, (enum support)support);
    assert_int_equal(fclose(out), 0);
    hold_print("photo-grid", text);
    free(text);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(the_grid_is_as_blessed)};

    return cmocka_run_group_tests(tests, NULL, NULL);
}
