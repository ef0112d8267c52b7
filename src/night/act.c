/* The forms of the acts. */
#include "derive.h"

#include <moonstand/angle.h>
#include <moonstand/series.h>

#include <math.h>
#include <stdio.h>
#include <string.h>

const struct act_form *act_form(enum act_kind kind)
{
    static const struct act_form forms[ACT_KINDS] = {
        [ACT_CHECK] = {.name = "check",
                       .by_user = true,
                       .has_text = true,
                       .values = 1,
                       .value_name = {"done"}},
        [ACT_AIM] = {.name = "aim",
                     .by_user = true,
                     .has_rig = true,
                     .values = 2,
                     .value_name = {"x", "y"}},
        [ACT_POINT] = {.name = "point",
                       .by_user = true,
                       .has_rig = true,
                       .values = 3,
                       .value_name = {"altitude_deg", "azimuth_deg", "roll_deg"}},
        [ACT_SEEN] = {.name = "seen",
                      .by_user = true,
                      .has_rig = true,
                      .values = 2,
                      .value_name = {"x", "y"}},
        [ACT_SNOOZE] = {.name = "snooze",
                        .by_user = true,
                        .has_rig = true,
                        .values = 1,
                        .value_name = {"seconds"}},
        [ACT_SITE] = {.name = "site",
                      .by_user = true,
                      .has_text = true,
                      .values = 3,
                      .value_name = {"latitude_deg", "longitude_deg", "height_m"}},
        [ACT_TARGET] = {.name = "target",
                        .by_user = true,
                        .has_rig = true,
                        .values = 1,
                        .value_name = {"target"}},
        [ACT_CORRECTION] = {.name = "correction",
                            .by_user = true,
                            .has_rig = true,
                            .values = 2,
                            .value_name = {"target", "stops"}},
        [ACT_DANJON] = {.name = "danjon", .by_user = true, .values = 1, .value_name = {"l"}},
        [ACT_RIG] = {.name = "rig",
                     .by_user = true,
                     .has_rig = true,
                     .has_text = true,
                     .values = 1,
                     .value_name = {"value"}},
        [ACT_NOTE] = {.name = "note", .by_user = true, .has_text = true},
        [ACT_FRAME] = {.name = "frame", .by_user = true, .has_rig = true},
        [ACT_CLOUD] = {.name = "cloud", .by_user = true, .values = 1, .value_name = {"came"}},
        [ACT_AIR] = {.name = "air",
                     .by_user = true,
                     .values = 2,
                     .value_name = {"temperature_c", "humidity_percent"}},
        [ACT_BATTERY] = {.name = "battery", .by_user = true, .has_rig = true},
        [ACT_CARD] = {.name = "card", .by_user = true, .has_rig = true},
        [ACT_GLASS] = {.name = "glass", .by_user = true},
        [ACT_HEATER] =
            {.name = "heater", .by_user = true, .has_rig = true, .values = 1, .value_name = {"on"}},
        [ACT_CAMERA_CLOCK] = {.name = "camera_clock",
                              .by_user = true,
                              .has_rig = true,
                              .values = 1,
                              .value_name = {"behind_s"}},
        [ACT_LATER] = {.name = "later",
                       .by_user = true,
                       .has_text = true,
                       .values = 1,
                       .value_name = {"seconds"}},
        [ACT_ITEM] = {.name = "item",
                      .by_user = true,
                      .has_text = true,
                      .values = 1,
                      .value_name = {"due_utc"}},
        [ACT_FORECAST] = {.name = "forecast",
                          .by_user = true,
                          .values = 5,
                          .value_name = {"for_utc", "cloud_percent", "temperature_c",
                                         "humidity_percent", "wind_m_s"}},
        [ACT_SETUP] = {.name = "setup", .by_user = true, .has_text = true},
        [ACT_UNDO] = {.name = "undo", .has_ref = true},
        [ACT_BEGIN] = {.name = "begin", .has_text = true, .values = 1, .value_name = {"anew"}},
        [ACT_END] = {.name = "end"},
        [ACT_PAST] = {.name = "past", .has_text = true},
        [ACT_ALARM] = {.name = "alarm", .has_rig = true, .values = 1, .value_name = {"due_utc"}},
        [ACT_MISSED] = {.name = "missed",
                        .has_rig = true,
                        .has_text = true,
                        .values = 1,
                        .value_name = {"due_utc"}},
        [ACT_SETTING] = {.name = "setting",
                         .has_rig = true,
                         .values = 3,
                         .value_name = {"shutter", "iso", "target"}},
        [ACT_CLOCK] = {.name = "clock", .values = 1, .value_name = {"offset_s"}},
        [ACT_SENSOR] = {.name = "sensor",
                        .values = 2,
                        .value_name = {"temperature_c", "humidity_percent"}},
        [ACT_GAP] = {.name = "gap",
                     .values = 3,
                     .value_name = {"from_utc", "to_utc", "clock_set_s"}},
        [ACT_PICTURES] = {.name = "pictures",
                          .has_rig = true,
                          .values = 4,
                          .value_name = {"frames", "bytes", "raw", "last_utc"}},
        [ACT_STOPPED] = {.name = "stopped",
                         .has_rig = true,
                         .values = 1,
                         .value_name = {"since_utc"}},
        [ACT_PICTURE_CLOCK] = {.name = "picture_clock",
                               .has_rig = true,
                               .values = 1,
                               .value_name = {"behind_s"}},
    };

    return &forms[kind];
}

bool act_value_is_instant(const char *name)
{
    const char *unit = strrchr(name, '_');

    return unit && strcmp(unit, "_utc") == 0;
}

bool act_is_undoable(const struct night *night, const struct act *act)
{
    return act_form(act->kind)->by_user &&
           (act->kind != ACT_SETUP || act->seq > night->setup_settled);
}
