/* What an act did, as the screen answers a key and as the record reads afterwards. */
#include "parts.h"

#include <moonstand/angle.h>
#include <moonstand/checklist.h>
#include <moonstand/clock_words.h>
#include <moonstand/event_words.h>
#include <moonstand/night.h>
#include <moonstand/record_words.h>
#include <moonstand/series.h>
#include <moonstand/setup_words.h>

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

char *act_setting_words(const struct act *act, bool with_target, char out[SETTING_WORDS])
{
    (void)snprintf(out, SETTING_WORDS, "%s s, ISO %d", shutter_label((int)act->value[0]),
                   iso_label((int)act->value[1]));
    if (with_target)
        text_add(out, SETTING_WORDS, " ", "%s", target_words((enum target)act->value[2]));
    return out;
}

const char *proof_name(const struct proof *proof)
{
    if (proof->same + proof->near > 0)
        return "pictures";
    return proof->by_user ? "user" : "no";
}

char *proof_words(const struct proof *proof, char out[PROOF_WORDS])
{
    int pictures = proof->same + proof->near;

    if (pictures > 0)
        (void)snprintf(out, PROOF_WORDS, "confirmed by %d picture%s", pictures,
                       pictures == 1 ? "" : "s");
    else
        (void)snprintf(out, PROOF_WORDS, "%s",
                       proof->by_user ? "confirmed by you" : "advised only");
    if (proof->near > 0)
        text_add(out, PROOF_WORDS, "", ", %d of them within tolerance", proof->near);
    if (proof->others > 0)
        text_add(out, PROOF_WORDS, "", "; %d picture%s", proof->others,
                 proof->others == 1 ? " differs" : "s differ");
    return out;
}

char *answer_words(double late_s, char out[ANSWER_WORDS])
{
    char span[TEXT_SPAN];

    if (isfinite(late_s))
        return text_set(out, ANSWER_WORDS, "answered after %s", format_span(span, late_s));
    return text_set(out, ANSWER_WORDS, "never answered");
}

/* What an act of kind ACT_MISSED is about: "re-aim of long", "U1". */
static char *missed_words(const struct night *night, const struct act *act, char out[ACT_TEXT])
{
    if (act->rig >= 0)
        return text_set(out, ACT_TEXT, "re-aim of %s", rig_name_of(night, act->rig));
    return text_set(out, ACT_TEXT, "%s", event_words(act->text, false));
}

char *missed_turn_words(const struct subject *about, const struct act *act, int turn, int count,
                        char out[SENTENCE])
{
    char clock[TEXT_INSTANT], what[ACT_TEXT];

    return text_set(out, SENTENCE, "missed %d of %d: %.100s at %s", turn, count,
                    missed_words(about->night, act, what),
                    clock_second(clock, about->reader, act->value[0]));
}

char *alarms_words(int count, int answered, double middle_s, double most_s, char out[SENTENCE])
{
    char middle[ANSWER_WORDS], most[TEXT_SPAN];

    (void)snprintf(out, SENTENCE, "%d", count);
    if (answered > 0)
        text_add(out, SENTENCE, "", ": %s in the middle, %s at most", answer_words(middle_s, middle),
                 format_span(most, most_s));
    if (answered < count)
        text_add(out, SENTENCE, answered > 0 ? ", " : ": ", "%d never", count - answered);
    return out;
}

char *settings_words(const struct act *first, const struct act *last, int changes, int confirmed,
                     char out[SENTENCE])
{
    char text[SETTING_WORDS];

    (void)snprintf(out, SENTENCE, "%s", act_setting_words(first, false, text));
    if (changes > 0)
        text_add(out, SENTENCE, "", " to %s, %d change%s", act_setting_words(last, false, text),
                 changes, changes == 1 ? "" : "s");
    if (confirmed > 0)
        text_add(out, SENTENCE, "", "; %d of %d confirmed", confirmed, changes + 1);
    else
        text_add(out, SENTENCE, "", "; advised only");
    return out;
}

/* An act, and who reads of it. */
struct told {
    const struct night *night;
    const struct act *act;
    const struct reader *reader; /* null: a tool */
};

static enum units units_of(const struct told *told)
{
    return told->reader ? told->reader->units : UNITS_METRIC;
}

/* "22:00 +05", with the day before it where an act names an instant so far off;
 * "2028-12-31T17:00:00Z" for tools. */
static char *say_when(char out[TEXT_INSTANT], const struct told *told, double utc)
{
    unsigned day = fabs(utc - told->act->utc) >= SECONDS_PER_DAY ? CLOCK_DAY : 0;

    if (!told->reader)
        return format_iso(out, utc, 0, "Z");
    return clock_words(out, *told->reader, utc, CLOCK_ZONE | day);
}

/* ---- one of each kind ---- */

static void say_check(const struct told *told, char *out, size_t size)
{
    (void)snprintf(out, size, "%s: %s", told->act->value[0] > 0 ? "ticked" : "open again",
                   item_text(told->night, told->act->text));
}

static void say_aim(const struct told *told, char *out, size_t size)
{
    const double *value = told->act->value;
    char place[ACT_TEXT];

    (void)snprintf(out, size, "aimed, Moon %s",
                   frame_words((struct frame_point){value[0], value[1]}, 0, place));
}

static void say_point(const struct told *told, char *out, size_t size)
{
    const double *value = told->act->value;
    char direction[DIRECTION_WORDS];

    (void)snprintf(out, size, "aimed at %s",
                   direction_words(rad_from_deg(value[0]), rad_from_deg(value[1]), direction));
}

static void say_seen(const struct told *told, char *out, size_t size)
{
    const double *value = told->act->value;
    char place[ACT_TEXT];

    (void)snprintf(out, size, "Moon has drifted to %s",
                   offset_words((struct frame_point){value[0], value[1]}, false, place));
}

static void say_snooze(const struct told *told, char *out, size_t size)
{
    char span[ACT_TEXT];

    (void)snprintf(out, size, "re-aim alarm quiet for %s", rough_words(span, told->act->value[0]));
}

static void say_site(const struct told *told, char *out, size_t size)
{
    const double *value = told->act->value;

    (void)snprintf(out, size, "site %.4f, %.4f, %.0f m (%s)", value[0], value[1], value[2],
                   told->act->text);
}

static void say_target(const struct told *told, char *out, size_t size)
{
    (void)snprintf(out, size, "exposing %s", target_words((enum target)told->act->value[0]));
}

static void say_correction(const struct told *told, char *out, size_t size)
{
    (void)snprintf(out, size, "%+.1f stops %s", told->act->value[1],
                   target_words((enum target)told->act->value[0]));
}

static void say_danjon(const struct told *told, char *out, size_t size)
{
    (void)snprintf(out, size, "umbra rated L %.1f", told->act->value[0]);
}

/* A field of the rig that has another value now. */
static void say_rig(const struct told *told, char *out, size_t size)
{
    static const struct {
        const char *name, *words, *unit;
    } fields[] = {{"filter_stops", "filter", " stops"},
                  {"extender", "extender", "x"},
                  {"f_number", "f-number", ""},
                  {"interval_s", "interval", " s"}};
    const struct act *act = told->act;

    if (strcmp(act->text, "portrait") == 0)
        (void)snprintf(out, size, "camera turned to %s; aim it again",
                       orientation_words(act->value[0] > 0));
    for (size_t i = 0; i < sizeof fields / sizeof *fields; i++)
        if (strncmp(act->text, fields[i].name, strlen(fields[i].name)) == 0)
            (void)snprintf(out, size, "%s %g%s", fields[i].words, act->value[0], fields[i].unit);
}

static void say_note(const struct told *told, char *out, size_t size)
{
    (void)snprintf(out, size, "note: %s", told->act->text);
}

static void say_air(const struct told *told, char *out, size_t size)
{
    const double *value = told->act->value;
    char temperature[TEXT_AIR];

    (void)snprintf(out, size, "air %s, %.0f %%",
                   format_temperature(temperature, value[0], 1, units_of(told)), value[1]);
}

static void say_camera_clock(const struct told *told, char *out, size_t size)
{
    double behind_s = told->act->value[0];
    char span[TEXT_SPAN];

    (void)snprintf(out, size, "camera clock %s %s UTC%s",
                   format_span(span, round(fabs(behind_s))), behind_s < 0 ? "ahead of" : "behind",
                   told->act->kind == ACT_PICTURE_CLOCK ? ", by its pictures" : "");
}

static void say_later(const struct told *told, char *out, size_t size)
{
    char span[ACT_TEXT];

    (void)snprintf(out, size, "put off %s: %s", rough_words(span, told->act->value[0]),
                   item_text(told->night, told->act->text));
}

static void say_item(const struct told *told, char *out, size_t size)
{
    double due_utc = told->act->value[0];
    char clock[TEXT_INSTANT];

    (void)snprintf(out, size, "to do: %s", told->act->text);
    if (isfinite(due_utc))
        text_add(out, size, "", ", at %s", say_when(clock, told, due_utc));
}

static void say_forecast(const struct told *told, char *out, size_t size)
{
    char when[TEXT_INSTANT], temperature[TEXT_AIR], wind[TEXT_AIR], cloud[TEXT_AIR] = "-",
                                                                    humidity[TEXT_AIR] = "-";
    enum units units = units_of(told);
    struct forecast_row row;

    act_forecast_row(told->act, &row);
    (void)say_when(when, told, row.utc);
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

/* "setup: umbra L 1", "setup: rigs > 3 taken out"; for tools with the keys of the file. */
static void say_setup(const struct told *told, char *out, size_t size)
{
    const char *blank = strchr(told->act->text, ' ');
    const char *more = !blank ? " taken out" : blank[1] ? "" : "left out";

    char path[ROW_PATH], said[ROW_TRAIL];

    (void)snprintf(path, sizeof path, "%.*s", (int)strcspn(told->act->text, " "), told->act->text);
    if (!told->reader)
        (void)snprintf(out, size, "setup: %s%s", told->act->text, more);
    else
        (void)snprintf(out, size, "setup: %s%s%s",
                       setup_path_words(&told->night->setup, path, said), blank ? blank : "", more);
}

/* "round of 22:03:29 done", "round of 22:03:29 done, 1:12 early". */
static void say_round(const struct told *told, char *out, size_t size)
{
    double planned = told->act->value[0], late_s = round(told->act->utc - planned);
    char clock[TEXT_INSTANT], span[TEXT_SPAN];

    (void)snprintf(out, size, "round of %s done", say_when(clock, told, planned));
    if (fabs(late_s) >= 1)
        text_add(out, size, "", ", %s %s", format_span(span, fabs(late_s)),
                 late_s > 0 ? "late" : "early");
}

static void say_undo(const struct told *told, char *out, size_t size)
{
    (void)snprintf(out, size, "undid entry %llu", (unsigned long long)told->act->ref);
}

static void say_begin(const struct told *told, char *out, size_t size)
{
    (void)snprintf(out, size, "program started (%s)", told->act->text);
}

static void say_past(const struct told *told, char *out, size_t size)
{
    (void)snprintf(out, size, "already past, counted as done: %s",
                   item_text(told->night, told->act->text));
}

static void say_missed(const struct told *told, char *out, size_t size)
{
    char clock[TEXT_INSTANT], what[ACT_TEXT];

    (void)snprintf(out, size, "missed at %sZ: %s",
                   clock_second(clock, reader_utc(), told->act->value[0]),
                   missed_words(told->night, told->act, what));
}

static void say_setting(const struct told *told, char *out, size_t size)
{
    char setting[SETTING_WORDS];

    (void)snprintf(out, size, "%s", act_setting_words(told->act, true, setting));
}

static void say_clock(const struct told *told, char *out, size_t size)
{
    (void)snprintf(out, size, "laptop clock %+.2f s against GPS", told->act->value[0]);
}

/* "asleep or closed for 2:00:00: check every camera", "the clock was set back by 1:00:00", or both. */
static void say_gap(const struct told *told, char *out, size_t size)
{
    const double *value = told->act->value;
    double set = isfinite(value[2]) ? value[2] : 0;
    double unwatched = value[1] - value[0] - set;
    char span[TEXT_SPAN], by[TEXT_SPAN];

    *out = '\0';
    if (set == 0 || unwatched >= 60)
        (void)snprintf(out, size, "asleep or closed for %s: check every camera",
                       format_span(span, unwatched));
    if (set != 0)
        text_add(out, size, "; ", "the clock was set %s by %s", set > 0 ? "forward" : "back",
                 format_span(by, fabs(set)));
}

static void say_told_pictures(const struct told *told, char *out, size_t size)
{
    const double *value = told->act->value;

    (void)snprintf(out, size, "%.0f picture%s so far, %.1f GB", value[0],
                   value[0] == 1 ? "" : "s", value[1] / 1e9);
}

static void say_stopped(const struct told *told, char *out, size_t size)
{
    char clock[TEXT_INSTANT];

    (void)snprintf(out, size, "no picture since %s", say_when(clock, told, told->act->value[0]));
}

/* "long: aimed, by its pictures, Moon left (trial); puts off the re-aim of 22:04 +05". */
static void say_spotted(const struct told *told, char *out, size_t size)
{
    const double *value = told->act->value;
    char place[FRAME_WORDS], clock[TEXT_INSTANT];

    (void)snprintf(
        out, size, "%s, Moon %s (trial)",
        told->act->kind == ACT_SPOTTED ? "aimed, by its pictures" : "aim corrected by a picture",
        frame_words((struct frame_point){value[0], value[1]}, 0, place));
    if (isfinite(value[2]))
        text_add(out, size, "", "; puts off the re-aim of %s", say_when(clock, told, value[2]));
}

/* ---- the table ---- */

static const struct {
    enum record_section section;
    void (*say)(const struct told *told, char *out, size_t size);
    const char *words[2]; /* in its place; the second one where the act's value is above 0 */
    const char *counted;  /* what those of this kind are called when they are counted */
} rows[ACT_KINDS] = {
    [ACT_CHECK] = {RECORD_CHECKLIST, .say = say_check},
    [ACT_AIM] = {RECORD_AIMS, .say = say_aim, .counted = "aims"},
    [ACT_POINT] = {RECORD_AIMS, .say = say_point},
    [ACT_SEEN] = {RECORD_AIMS, .say = say_seen},
    [ACT_SNOOZE] = {RECORD_AIMS, .say = say_snooze},
    [ACT_FLIP] = {RECORD_AIMS, .words = {"mount flipped"}, .counted = "meridian flips"},
    [ACT_SITE] = {RECORD_CHANGES, .say = say_site},
    [ACT_TARGET] = {RECORD_CHANGES, .say = say_target},
    [ACT_CORRECTION] = {RECORD_CHANGES, .say = say_correction},
    [ACT_DANJON] = {RECORD_CHANGES, .say = say_danjon},
    [ACT_RIG] = {RECORD_CHANGES, .say = say_rig},
    [ACT_NOTE] = {RECORD_NOTES, .say = say_note, .counted = "notes"},
    [ACT_FRAME] = {RECORD_FRAMES, .words = {"frame taken"}, .counted = "frames by hand"},
    [ACT_CLOUD] = {RECORD_AIR, .words = {"sky clear again", "clouded over"},
                   .counted = "cloud came or went"},
    [ACT_AIR] = {RECORD_AIR, .say = say_air},
    [ACT_BATTERY] = {RECORD_FRAMES, .words = {"battery changed"}, .counted = "batteries changed"},
    [ACT_CARD] = {RECORD_FRAMES, .words = {"card changed"}, .counted = "cards changed"},
    [ACT_GLASS] = {RECORD_AIR, .words = {"glass looked at: dry"}},
    [ACT_HEATER] = {RECORD_AIR, .words = {"heater off", "heater on"}},
    [ACT_CAMERA_CLOCK] = {RECORD_CHANGES, .say = say_camera_clock},
    [ACT_LATER] = {RECORD_CHECKLIST, .say = say_later},
    [ACT_ITEM] = {RECORD_CHECKLIST, .say = say_item},
    [ACT_FORECAST] = {RECORD_AIR, .say = say_forecast},
    [ACT_SETUP] = {RECORD_CHANGES, .say = say_setup},
    [ACT_ROUND] = {RECORD_SETTINGS, .say = say_round},
    [ACT_UNDO] = {RECORD_PROGRAM, .say = say_undo, .counted = "undone"},
    [ACT_BEGIN] = {RECORD_PROGRAM, .say = say_begin},
    [ACT_END] = {RECORD_PROGRAM, .words = {"program ended"}},
    [ACT_PAST] = {RECORD_CHECKLIST, .say = say_past},
    [ACT_ALARM] = {RECORD_AIMS, .words = {"re-aim due"}},
    [ACT_MISSED] = {RECORD_MISSED, .say = say_missed, .counted = "alarms missed"},
    [ACT_SETTING] = {RECORD_SETTINGS, .say = say_setting, .counted = "settings changed"},
    [ACT_CLOCK] = {RECORD_PROGRAM, .say = say_clock},
    [ACT_SENSOR] = {RECORD_AIR, .say = say_air},
    [ACT_GAP] = {RECORD_GAPS, .say = say_gap},
    [ACT_PICTURES] = {RECORD_FRAMES, .say = say_told_pictures},
    [ACT_STOPPED] = {RECORD_FRAMES, .say = say_stopped},
    [ACT_PICTURE_CLOCK] = {RECORD_CHANGES, .say = say_camera_clock},
    [ACT_SPOTTED] = {RECORD_AIMS, .say = say_spotted},
    [ACT_PLACE] = {RECORD_AIMS, .say = say_spotted},
};

void act_words(const struct night *night, const struct act *act, const struct reader *reader,
               char *out, size_t size)
{
    const struct told told = {night, act, reader};
    const char *const *words = rows[act->kind].words;

    *out = '\0';
    if (act_form(act->kind)->has & HAS_RIG && act->kind != ACT_MISSED)
        text_add(out, size, "", "%s: ", rig_name_of(night, act->rig));
    size_t from = strlen(out);
    if (*words)
        text_add(out, size, "", "%s", words[words[1] && act->value[0] > 0]);
    else
        rows[act->kind].say(&told, out + from, size - from);
}

const char *act_count_words(enum act_kind kind)
{
    return rows[kind].counted;
}

enum record_section record_section(enum act_kind kind)
{
    return rows[kind].section;
}

const char *record_section_words(enum record_section section)
{
    static const char *const titles[RECORD_SECTIONS] = {
        [RECORD_GAPS] = "Gaps",
        [RECORD_MISSED] = "Missed",
        [RECORD_AIMS] = "Aims and alarms",
        [RECORD_NOTES] = "Notes",
        [RECORD_AIR] = "Air and cloud",
        [RECORD_CHANGES] = "What was changed",
        [RECORD_FRAMES] = "Frames, batteries and cards",
        [RECORD_CHECKLIST] = "Checklist",
        [RECORD_SETTINGS] = "Settings",
        [RECORD_PROGRAM] = "The program",
    };

    return titles[section];
}
