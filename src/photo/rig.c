#include <moonstand/angle.h>
#include <moonstand/rig.h>
#include <moonstand/sheet.h>

#include <math.h>
#include <string.h>

const char *support_name(enum support support)
{
    static const char *const names[SUPPORTS] = {"fixed", "sidereal", "lunar", "solar"};

    return names[support];
}

const char *target_name(enum target target)
{
    static const char *const names[TARGETS] = {"lit",   "umbra",      "bracket",
                                               "stars", "foreground", "auto"};

    return names[target];
}

const char *look_for_name(enum look_for look)
{
    static const char *const names[LOOK_FOR_KINDS] = {"place", "metadata"};

    return names[look];
}

/* Sources of the power: 1500 shots, Canon, LP-E4 at 23 C; 3.25 hours, Sony, filming without a break
 * at 25 C; 13 Wh, 7.2 V and 1.8 Ah. Cold: capacity of a lithium-ion cell against that at 25 C,
 * Samsung SDI, specification of the INR18650-15L, section 7.5, measured at 10 A, far more than a
 * camera draws, which errs on the careful side. Canon's own figure for such a battery agrees
 * at 0 C (LP-E4: 1200 of 1500 shots, 80 percent; the 67 percent of the EOS-1Ds Mark II are those of
 * a nickel cell, the 97 percent of the Rebel T6 are a hope); there is none for below 0 C. */
void rig_default(struct rig *rig)
{
    /* Static, so that its padding is zero: two rigs are compared as bytes. */
    static const struct rig standard = {
        .sensor_width_mm = 36,
        .sensor_height_mm = 24,
        .pixel_pitch_um = 5.9,
        .support = SUPPORT_FIXED,
        .iso_min = 100,
        .iso_max = 25600,
        .iso_comfort = 3200,
        .interval_s = NAN,
        .until = {CONTACT_P4, 0},
        .frame_mb = 30,
        .target = TARGET_AUTO,
        .placement_stops = {[TARGET_LIT] = 2.0 / 3, [TARGET_UMBRA] = -2.0 / 3, [TARGET_STARS] = 2},
        .blur_limit_px = 1,
        .shutter_min_s = 1.0 / 8000,
        .shutter_max_s = 30,
        .bracket_frames = 7,
        .bracket_step_stops = 2,
        .extender = 1,
        .margin = 0.05,
        .aim_tolerance = 0.05,
        .tolerance_stops = 2.0 / 3,
        .warn_s = 60,
        .saving_s = SAVING_S,
        .card_gb = NAN,
        .mount = {.altitude_max_deg = 90},
        .power = {.rated_shots = 1500,
                  .rated_hours = 3.25,
                  .spares = 2,
                  .battery_wh = 13,
                  .cold_count = 4,
                  .cold = {{-20, 0.60}, {-10, 0.75}, {0, 0.80}, {25, 1.00}}},
    };

    memcpy(rig, &standard, sizeof *rig);
}

double rig_focal_mm(const struct rig *rig)
{
    return rig->focal_mm * rig->extender;
}

double rig_f_number(const struct rig *rig)
{
    return rig->f_number * rig->extender;
}

double rig_arcsec_per_px(const struct rig *rig)
{
    return rig->pixel_pitch_um * 1e-3 / rig_focal_mm(rig) * ARCSEC_PER_RAD;
}

double rig_frame_width_mm(const struct rig *rig)
{
    return rig->portrait ? rig->sensor_height_mm : rig->sensor_width_mm;
}

double rig_frame_height_mm(const struct rig *rig)
{
    return rig->portrait ? rig->sensor_width_mm : rig->sensor_height_mm;
}
