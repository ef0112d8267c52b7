/* What an act did, as the screen answers a key and as the record reads afterwards. */
#include <moonstand/angle.h>
#include <moonstand/checklist.h>
#include <moonstand/night.h>
#include <moonstand/series.h>
#include <moonstand/words.h>

#include <math.h>
#include <stdio.h>
#include <string.h>

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
    return value >= 0 && value < TARGETS ? target_words((enum target)value) : "?";
}

char *act_setting_words(const struct act *act, bool with_target, char out[SETTING_WORDS])
{
    char shutter[SHUTTER_LABEL];

    (void)snprintf(out, SETTING_WORDS, "%s s, ISO %d%s%s",
                   shutter_label((int)act->value[0], shutter), iso_label((int)act->value[1]),
                   with_target ? " " : "", with_target ? target_of(act->value[2]) : "");
    return out;
}

char *missed_words(const struct night *night, const struct act *act, char out[ACT_TEXT])
{
    if (act->rig >= 0)
        (void)snprintf(out, ACT_TEXT, "re-aim of %s", rig_name_of(night, act->rig));
    else
        (void)snprintf(out, ACT_TEXT, "%s", event_words(act->text, false));
    return out;
}

/* "asleep or closed for 2:00:00: check every camera", "the clock was set back by 1:00:00", or both. */
static void describe_gap(const struct act *act, char *out, size_t size)
{
    double set = isfinite(act->value[2]) ? act->value[2] : 0;
    double unwatched = act->value[1] - act->value[0] - set;
    char span[TEXT_SPAN], by[TEXT_SPAN];
    int length = 0;

    if (set == 0 || unwatched >= 60)
        length = snprintf(out, size, "asleep or closed for %s: check every camera",
                          format_span(span, unwatched));
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
static char *say_when(char out[TEXT_INSTANT], const struct night *night, double utc, double act_utc,
                      enum readers readers)
{
    unsigned day = fabs(utc - act_utc) >= SECONDS_PER_DAY ? CLOCK_DAY : 0;

    if (readers == FOR_TOOLS)
        return format_iso(out, utc, 0, "Z");
    return clock_words(out, reader_local(night), utc, CLOCK_ZONE | day);
}

static void describe_forecast(const struct night *night, const struct act *act,
                              enum readers readers, char *out, size_t size)
{
    char when[TEXT_INSTANT], temperature[TEXT_AIR], wind[TEXT_AIR], cloud[TEXT_AIR] = "-",
                                                                    humidity[TEXT_AIR] = "-";
    enum units units = units_of(night, readers);
    struct forecast_row row;

    act_forecast_row(act, &row);
    (void)say_when(when, night, row.utc, act->utc, readers);
    if (forecast_row_is_empty(&row)) {
        (void)snprintf(out, size, "forecast for %s removed", when);
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

/* A field of the rig that has another value now. */
static void describe_rig(const struct night *night, const struct act *act, char *out, size_t size)
{
    static const struct {
        const char *name, *words, *unit;
    } fields[] = {{"filter_stops", "filter", " stops"},
                  {"extender", "extender", "x"},
                  {"f_number", "f-number", ""},
                  {"interval_s", "interval", " s"}};
    const char *rig = rig_name_of(night, act->rig);

    if (strcmp(act->text, "portrait") == 0)
        (void)snprintf(out, size, "%s: camera turned to %s; aim it again", rig,
                       orientation_words(act->value[0] > 0));
    for (size_t i = 0; i < sizeof fields / sizeof *fields; i++)
        if (strncmp(act->text, fields[i].name, strlen(fields[i].name)) == 0)
            (void)snprintf(out, size, "%s: %s %g%s", rig, fields[i].words, act->value[0],
                           fields[i].unit);
}

/* Acts that are about one rig and begin with its name. */
static void describe_at_rig(const struct act *act, const char *rig, char *out, size_t size)
{
    const double *value = act->value;
    char words[ACT_TEXT];

    switch (act->kind) {
    case ACT_AIM:
        (void)snprintf(out, size, "%s: aimed, Moon %s", rig,
                       frame_words((struct frame_point){value[0], value[1]}, 0, words));
        break;
    case ACT_POINT:
        (void)snprintf(out, size, "%s: aimed at altitude %.1f, azimuth %.1f %s", rig, value[0],
                       value[1], compass_point(rad_from_deg(value[1])));
        break;
    case ACT_SEEN:
        (void)snprintf(out, size, "%s: Moon has drifted to %s", rig,
                       offset_words((struct frame_point){value[0], value[1]}, words));
        break;
    case ACT_SNOOZE:
        (void)snprintf(out, size, "%s: re-aim alarm quiet for %s", rig,
                       rough_words(words, value[0]));
        break;
    case ACT_TARGET:
        (void)snprintf(out, size, "%s: exposing %s", rig, target_of(value[0]));
        break;
    case ACT_CORRECTION:
        (void)snprintf(out, size, "%s: %+.1f stops %s", rig, value[1], target_of(value[0]));
        break;
    case ACT_FRAME:
        (void)snprintf(out, size, "%s: frame taken", rig);
        break;
    case ACT_BATTERY:
    case ACT_CARD:
        (void)snprintf(out, size, "%s: %s changed", rig,
                       act->kind == ACT_BATTERY ? "battery" : "card");
        break;
    case ACT_HEATER:
        (void)snprintf(out, size, "%s: heater %s", rig, value[0] > 0 ? "on" : "off");
        break;
    case ACT_CAMERA_CLOCK:
    case ACT_PICTURE_CLOCK:
        (void)snprintf(out, size, "%s: camera clock %s %s UTC%s", rig,
                       format_span(words, round(fabs(value[0]))),
                       value[0] < 0 ? "ahead of" : "behind",
                       act->kind == ACT_PICTURE_CLOCK ? ", by its pictures" : "");
        break;
    case ACT_PICTURES:
        (void)snprintf(out, size, "%s: %.0f picture%s so far, %.1f GB", rig, value[0],
                       value[0] == 1 ? "" : "s", value[1] / 1e9);
        break;
    case ACT_ALARM:
        (void)snprintf(out, size, "%s: re-aim due", rig);
        break;
    case ACT_SETTING:
        (void)snprintf(out, size, "%s: %s", rig, act_setting_words(act, true, words));
        break;
    default:
        break;
    }
}

/* "setup: danjon 1", "setup: rigs[2] taken out". */
static void describe_setup(const struct act *act, char *out, size_t size)
{
    const char *blank = strchr(act->text, ' ');
    const char *more = !blank ? " taken out" : blank[1] ? "" : "left out";

    (void)snprintf(out, size, "setup: %s%s", act->text, more);
}

void act_words(const struct night *night, const struct act *act, enum readers readers, char *out,
               size_t size)
{
    char clock[TEXT_INSTANT], text[ACT_TEXT];
    const double *value = act->value;

    switch (act->kind) {
    case ACT_CHECK:
        (void)snprintf(out, size, "%s: %s", value[0] > 0 ? "ticked" : "open again",
                       item_text(night, act->text));
        break;
    case ACT_SITE:
        (void)snprintf(out, size, "site %.4f, %.4f, %.0f m (%s)", value[0], value[1], value[2],
                       act->text);
        break;
    case ACT_DANJON:
        (void)snprintf(out, size, "umbra rated L %.1f", value[0]);
        break;
    case ACT_RIG:
        describe_rig(night, act, out, size);
        break;
    case ACT_NOTE:
        (void)snprintf(out, size, "note: %s", act->text);
        break;
    case ACT_CLOUD:
        (void)snprintf(out, size, "%s", value[0] > 0 ? "clouded over" : "sky clear again");
        break;
    case ACT_LATER:
        (void)snprintf(out, size, "put off %s: %s", rough_words(text, value[0]),
                       item_text(night, act->text));
        break;
    case ACT_AIR:
    case ACT_SENSOR:
        (void)snprintf(out, size, "air %s, %.0f %%",
                       format_temperature(text, value[0], 1, units_of(night, readers)), value[1]);
        break;
    case ACT_GLASS:
        (void)snprintf(out, size, "glass looked at: dry");
        break;
    case ACT_ITEM:
        (void)snprintf(out, size, "to do: %s%s%s", act->text, isfinite(value[0]) ? ", at " : "",
                       isfinite(value[0]) ? say_when(clock, night, value[0], act->utc, readers)
                                          : "");
        break;
    case ACT_FORECAST:
        describe_forecast(night, act, readers, out, size);
        break;
    case ACT_SETUP:
        describe_setup(act, out, size);
        break;
    case ACT_UNDO:
        (void)snprintf(out, size, "undid entry %llu", (unsigned long long)act->ref);
        break;
    case ACT_BEGIN:
        (void)snprintf(out, size, "program started (%s)", act->text);
        break;
    case ACT_END:
        (void)snprintf(out, size, "program ended");
        break;
    case ACT_PAST:
        (void)snprintf(out, size, "already past, counted as done: %s", item_text(night, act->text));
        break;
    case ACT_MISSED:
        (void)snprintf(out, size, "missed at %sZ: %s", clock_second(clock, reader_utc(), value[0]),
                       missed_words(night, act, text));
        break;
    case ACT_CLOCK:
        (void)snprintf(out, size, "laptop clock %+.2f s against GPS", value[0]);
        break;
    case ACT_GAP:
        describe_gap(act, out, size);
        break;
    case ACT_STOPPED:
        (void)snprintf(out, size, "%s: no picture since %s", rig_name_of(night, act->rig),
                       say_when(clock, night, value[0], act->utc, readers));
        break;
    default:
        describe_at_rig(act, rig_name_of(night, act->rig), out, size);
    }
}
