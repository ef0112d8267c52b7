#include <moonstand/angle.h>
#include <moonstand/budget.h>
#include <moonstand/mount.h>
#include <moonstand/sheet.h>

#include <math.h>

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

void rig_default(struct rig *rig)
{
    *rig = (struct rig){
        .sensor_width_mm = 36,
        .sensor_height_mm = 24,
        .pixel_pitch_um = 5.9,
        .support = SUPPORT_FIXED,
        .iso_min = 100,
        .iso_max = 25600,
        .iso_comfort = 3200,
        .interval_s = 10,
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
    };
    mount_default(&rig->mount);
    power_default(&rig->power);
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
