/* The forms of the acts, and what they read like. */
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
        [ACT_SETUP] = {.name = "setup",
                       .by_user = true,
                       .has_text = true,
                       .values = 1,
                       .value_name = {"kept"}},
        [ACT_UNDO] = {.name = "undo", .has_ref = true},
        [ACT_BEGIN] = {.name = "begin", .has_text = true},
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
    };

    return &forms[kind];
}

bool act_value_is_instant(const char *name)
{
    const char *unit = strrchr(name, '_');

    return unit && strcmp(unit, "_utc") == 0;
}

bool act_is_undoable(const struct act *act)
{
    return act_form(act->kind)->by_user && !(act->kind == ACT_SETUP && !isfinite(act->value[0]));
}

static const char *rig_name_of(const struct night *night, int rig)
{
    return rig >= 0 && rig < night->setup.rig_count ? night->rig[rig].rig.name : "all";
}

static const char *item_text(const struct night *night, const char *id)
{
    int index = checklist_find(&night->setup.checklist, id);

    return index >= 0 ? night->setup.checklist.item[index].text : id;
}

static const char *target_of(double value)
{
    return value >= 0 && value < TARGETS ? target_name((enum target)value) : "?";
}

static void describe_setting(const struct night *night, const struct act *act, char *out,
                             size_t size)
{
    char shutter[SHUTTER_LABEL];

    (void)snprintf(out, size, "%s: %s s, ISO %d (%s)", rig_name_of(night, act->rig),
                   shutter_label((int)act->value[0], shutter), iso_label((int)act->value[1]),
                   target_of(act->value[2]));
}

/* "nobody watched for 2:00:00", "the clock was set back by 1:00:00", or both. */
static void describe_gap(const struct act *act, char *out, size_t size)
{
    double set = isfinite(act->value[2]) ? act->value[2] : 0;
    double unwatched = act->value[1] - act->value[0] - set;
    char span[TEXT_SPAN], by[TEXT_SPAN];
    int length = 0;

    if (set == 0 || unwatched >= 60)
        length = snprintf(out, size, "nobody watched for %s", format_span(span, unwatched));
    if (set != 0 && length >= 0 && (size_t)length < size)
        (void)snprintf(out + length, size - (size_t)length, "%sthe clock was set %s by %s",
                       length ? "; " : "", set > 0 ? "forward" : "back",
                       format_span(by, fabs(set)));
}

static enum units units_of(const struct night *night, enum readers readers)
{
    return readers == FOR_TOOLS ? UNITS_METRIC : night->setup.units;
}

/* "22:00 +05", with the day before it where an act names an instant so far off;
 * "2028-12-31T17:00:00Z" for tools. */
enum { TEXT_WHEN = TEXT_INSTANT + 20 };
static char *say_when(char out[TEXT_WHEN], const struct night *night, double utc, double act_utc,
                      enum readers readers)
{
    const char *zone;
    double local = utc + zone_offset(&night->zone, utc, &zone);
    bool far = fabs(utc - act_utc) >= SECONDS_PER_DAY;
    char day[TEXT_INSTANT], clock[TEXT_INSTANT];

    if (readers == FOR_TOOLS)
        return format_iso(out, utc, 0, "Z");
    (void)snprintf(out, TEXT_WHEN, "%.*s%s%.12s %.7s", far ? 10 : 0,
                   format_iso(day, nearest_shown(local, false), 0, ""), far ? " " : "",
                   format_time(clock, local, false, night->setup.hours), zone);
    return out;
}

static void describe_forecast(const struct night *night, const struct act *act,
                              enum readers readers, char *out, size_t size)
{
    char when[TEXT_WHEN], temperature[TEXT_AIR], wind[TEXT_AIR], cloud[TEXT_AIR] = "-",
                                                                 humidity[TEXT_AIR] = "-";
    enum units units = units_of(night, readers);
    struct forecast_row row;

    act_forecast_row(act, &row);
    (void)say_when(when, night, row.utc, act->utc, readers);
    if (forecast_row_is_empty(&row)) {
        (void)snprintf(out, size, "forecast for %s taken out", when);
        return;
    }
    if (isfinite(row.cloud_percent))
        (void)snprintf(cloud, sizeof cloud, "%.0f %%", row.cloud_percent);
    if (isfinite(row.humidity_percent))
        (void)snprintf(humidity, sizeof humidity, "%.0f %%", row.humidity_percent);
    (void)snprintf(out, size, "forecast for %s: cloud %s, temperature %s, humidity %s, wind %s",
                   when, cloud, format_temperature(temperature, row.temperature_c, 0, units),
                   humidity, format_wind(wind, row.wind_m_s, units));
}

void act_describe(const struct night *night, const struct act *act, enum readers readers, char *out,
                  size_t size)
{
    const char *rig = rig_name_of(night, act->rig), *called, *unit;
    char clock[TEXT_INSTANT], when[TEXT_WHEN], span[TEXT_SPAN], place[FRAME_WORDS],
        temperature[TEXT_AIR];
    const double *value = act->value;

    switch (act->kind) {
    case ACT_CHECK:
        (void)snprintf(out, size, "%s: %s", value[0] > 0 ? "ticked" : "open again",
                       item_text(night, act->text));
        break;
    case ACT_AIM:
        (void)snprintf(out, size, "%s: aimed again, Moon %s", rig,
                       frame_words((struct frame_point){value[0], value[1]}, place));
        break;
    case ACT_POINT:
        (void)snprintf(out, size, "%s: pointed %.1f up, %.1f %s", rig, value[0], value[1],
                       compass_point(rad_from_deg(value[1])));
        break;
    case ACT_SEEN:
        (void)snprintf(out, size, "%s: Moon seen at %+.0f, %+.0f %%", rig, value[0] * 100,
                       value[1] * 100);
        break;
    case ACT_SNOOZE:
        (void)snprintf(out, size, "%s: re-aim quiet for %s", rig, format_span(span, value[0]));
        break;
    case ACT_SITE:
        (void)snprintf(out, size, "site %.4f, %.4f, %.0f m (%s)", value[0], value[1], value[2],
                       act->text);
        break;
    case ACT_TARGET:
        (void)snprintf(out, size, "%s: expose for %s", rig, target_of(value[0]));
        break;
    case ACT_CORRECTION:
        (void)snprintf(out, size, "%s: %+.1f stops on %s", rig, value[1], target_of(value[0]));
        break;
    case ACT_DANJON:
        (void)snprintf(out, size, "L %.1f by eye", value[0]);
        break;
    case ACT_RIG:
        if (strcmp(act->text, "portrait") == 0) {
            (void)snprintf(out, size, "%s: camera turned %s, aim to be told", rig,
                           value[0] > 0 ? "upright" : "level");
            break;
        }
        called = rig_field_called(act->text, &unit);
        (void)snprintf(out, size, "%s: %s %g%s", rig, called, value[0], unit);
        break;
    case ACT_NOTE:
        (void)snprintf(out, size, "note: %s", act->text);
        break;
    case ACT_FRAME:
        (void)snprintf(out, size, "%s: frame taken", rig);
        break;
    case ACT_CLOUD:
        (void)snprintf(out, size, "cloud %s", value[0] > 0 ? "came" : "went");
        break;
    case ACT_LATER:
        (void)snprintf(out, size, "put off by %s: %s", format_span(span, value[0]),
                       item_text(night, act->text));
        break;
    case ACT_AIR:
    case ACT_SENSOR:
        (void)snprintf(out, size, "air %s, %.0f %%",
                       format_temperature(temperature, value[0], 1, units_of(night, readers)),
                       value[1]);
        break;
    case ACT_BATTERY:
        (void)snprintf(out, size, "%s: battery changed", rig);
        break;
    case ACT_CARD:
        (void)snprintf(out, size, "%s: card changed", rig);
        break;
    case ACT_GLASS:
        (void)snprintf(out, size, "glass looked at: dry");
        break;
    case ACT_HEATER:
        (void)snprintf(out, size, "%s: heater %s", rig, value[0] > 0 ? "on" : "off");
        break;
    case ACT_CAMERA_CLOCK:
        (void)snprintf(out, size, "%s: camera clock %s %s UTC", rig,
                       format_span(span, round(fabs(value[0]))),
                       value[0] < 0 ? "ahead of" : "behind");
        break;
    case ACT_ITEM:
        (void)snprintf(out, size, "to do: %s%s%s", act->text, isfinite(value[0]) ? ", at " : "",
                       isfinite(value[0]) ? say_when(when, night, value[0], act->utc, readers)
                                          : "");
        break;
    case ACT_FORECAST:
        describe_forecast(night, act, readers, out, size);
        break;
    case ACT_SETUP:
        (void)snprintf(out, size, "set-up: %s", act->text);
        break;
    case ACT_UNDO:
        (void)snprintf(out, size, "took back entry %llu", (unsigned long long)act->ref);
        break;
    case ACT_BEGIN:
        (void)snprintf(out, size, "program started (%s)", act->text);
        break;
    case ACT_END:
        (void)snprintf(out, size, "program ended");
        break;
    case ACT_PAST:
        (void)snprintf(out, size, "past, counts as done: %s", item_text(night, act->text));
        break;
    case ACT_ALARM:
        (void)snprintf(out, size, "%s: re-aim due", rig);
        break;
    case ACT_MISSED:
        (void)snprintf(out, size, "missed at %sZ: %s", format_time(clock, value[0], true, HOURS_24),
                       act->text);
        break;
    case ACT_SETTING:
        describe_setting(night, act, out, size);
        break;
    case ACT_CLOCK:
        (void)snprintf(out, size, "laptop clock %+.2f s against GPS", value[0]);
        break;
    case ACT_GAP:
        describe_gap(act, out, size);
        break;
    case ACT_KINDS:
        break;
    }
}
