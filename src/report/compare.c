/* Two sessions side by side: what differs, and how late each alarm was answered. */
#include "print.h"

#include <moonstand/clock_words.h>
#include <moonstand/event_words.h>

#include <math.h>
#include <stdarg.h>
#include <stdlib.h>
#include <string.h>

enum { CELL_BYTES = 96, WHAT_BYTES = 48, FIGURES = 80, ALARMS = 512 };
#define UNKNOWN "-"

/* ---- one session ---- */

/* An alarm of a re-aim; `late_s` until the user aimed again or asked for quiet: NaN never. */
struct alarm {
    double due_utc, late_s;
    bool missed;
};

/* A rig is aimed by the Moon's place or by its own pointing; the air is read by the user or by a
 * sensor. */
static bool is_of_kind(const struct act *act, enum act_kind kind)
{
    return act->kind == kind || (kind == ACT_AIM && act->kind == ACT_POINT) ||
           (kind == ACT_AIR && act->kind == ACT_SENSOR);
}

/* Until the answer to the alarm that is act number `index`; a clock that was set meanwhile counts
 * for nothing. */
static double answered_after(const struct night *night, size_t index)
{
    const struct act *alarm = &night->acts[index];
    double set = 0;

    for (size_t i = index + 1; i < night->act_count; i++) {
        const struct act *act = &night->acts[i];
        bool answers = is_of_kind(act, ACT_AIM) || act->kind == ACT_SNOOZE;

        if (act->kind == ACT_GAP && isfinite(act->value[2]))
            set += act->value[2];
        if (answers && act->rig == alarm->rig && !act->undone)
            return act->utc - set - alarm->value[0];
    }
    return NAN;
}

static int alarms_of(const struct night *night, int rig, struct alarm alarms[ALARMS])
{
    int count = 0;

    for (size_t i = 0; i < night->act_count && count < ALARMS; i++) {
        const struct act *act = &night->acts[i];
        bool missed = act->kind == ACT_MISSED;

        if ((missed || act->kind == ACT_ALARM) && act->rig == rig)
            alarms[count++] = (struct alarm){act->value[0], answered_after(night, i), missed};
    }
    return count;
}

/* Acts of a kind that still hold, of settings those that were dialled; `rig` -1: whatever the rig. */
static int count_acts(const struct night *night, enum act_kind kind, int rig)
{
    int count = 0;

    for (size_t i = 0; i < night->act_count; i++)
        count += is_of_kind(&night->acts[i], kind) && !night->acts[i].undone &&
                 (rig < 0 || night->acts[i].rig == rig) &&
                 (kind != ACT_SETTING || is_dialled(night, &night->acts[i]));
    return count;
}

static bool was_missed(const struct night *night, enum contact contact)
{
    for (size_t i = 0; i < night->act_count; i++) {
        const struct act *act = &night->acts[i];

        if (act->kind == ACT_MISSED && act->rig < 0 &&
            strcmp(act->text, contact_name(contact)) == 0)
            return true;
    }
    return false;
}

/* Whether a contact was announced when it came; null if the record does not reach it. */
static const char *announced(const struct night *night, enum contact contact)
{
    double utc = night->contact_utc[contact];

    if (night->act_count == 0)
        return NULL;
    if (was_missed(night, contact))
        return "missed";
    return utc >= night->acts[0].utc && utc <= recorded_until(night) ? "heard" : NULL;
}

static double unwatched_s(const struct night *night)
{
    double sum = 0;

    for (size_t i = 0; i < night->act_count; i++) {
        const double *value = night->acts[i].value;

        if (night->acts[i].kind == ACT_GAP)
            sum += value[1] - value[0] - (isfinite(value[2]) ? value[2] : 0);
    }
    return sum;
}

static int ticks(const struct night *night)
{
    int count = 0;

    for (int i = 0; i < night->setup.checklist.count; i++)
        count += isfinite(night->checked_utc[i]);
    return count;
}

/* Of the readings: lowest and highest of one value. */
static bool air_range(const struct night *night, int value, double *low, double *high)
{
    *low = INFINITY;
    *high = -INFINITY;
    for (size_t i = 0; i < night->act_count; i++)
        if (is_of_kind(&night->acts[i], ACT_AIR) && !night->acts[i].undone) {
            *low = fmin(*low, night->acts[i].value[value]);
            *high = fmax(*high, night->acts[i].value[value]);
        }
    return isfinite(*low);
}

/* ---- what is compared: the figures of a session as text ---- */

struct figure {
    const char *rig; /* its name; "" for the whole night */
    char what[WHAT_BYTES], text[CELL_BYTES];
};
struct figures {
    int count;
    struct figure figure[FIGURES];
};

__attribute__((format(printf, 4, 5)))
static void add(struct figures *figures, const char *rig, const char *what, const char *format, ...)
{
    struct figure *figure = &figures->figure[figures->count];
    va_list arguments;

    if (figures->count == FIGURES)
        return;
    figures->count++;
    figure->rig = rig;
    (void)snprintf(figure->what, sizeof figure->what, "%s", what);
    va_start(arguments, format);
    (void)vsnprintf(figure->text, sizeof figure->text, format, arguments);
    va_end(arguments);
}

static void add_count(struct figures *figures, const struct night *night, enum act_kind kind,
                      int rig)
{
    add(figures, rig < 0 ? "" : night->rig[rig].rig.name, act_count_words(kind), "%d",
        count_acts(night, kind, rig));
}

static int by_lateness(const void *a, const void *b)
{
    double first = ((const struct alarm *)a)->late_s, second = ((const struct alarm *)b)->late_s;

    /* Never comes last. */
    if (isnan(first) || isnan(second))
        return isnan(first) - isnan(second);
    return (first > second) - (first < second);
}

/* "5: answered after 0:12 in the middle, 1:40 at most, 1 never" */
static void add_alarms(struct figures *figures, const struct night *night, int rig)
{
    struct alarm alarms[ALARMS] = {0};
    int count = alarms_of(night, rig, alarms), answered = 0;
    char text[SENTENCE];

    qsort(alarms, (size_t)count, sizeof *alarms, by_lateness);
    while (answered < count && isfinite(alarms[answered].late_s))
        answered++;
    add(figures, night->rig[rig].rig.name, "alarms", "%s",
        alarms_words(count, answered, alarms[answered / 2].late_s,
                     alarms[answered > 0 ? answered - 1 : 0].late_s, text));
}

static void add_air(struct figures *figures, const struct night *night)
{
    char lowest[TEXT_AIR], highest[TEXT_AIR];
    double low, high;

    add(figures, "", "air, readings", "%d", count_acts(night, ACT_AIR, -1));
    if (!air_range(night, 0, &low, &high))
        return;
    add(figures, "", "air, temperature", "%s to %s",
        format_temperature(lowest, low, 1, night->setup.units),
        format_temperature(highest, high, 1, night->setup.units));
    (void)air_range(night, 1, &low, &high);
    add(figures, "", "air, humidity", "%.1f to %.1f %%", low, high);
}

static void add_night(struct figures *figures, const struct night *night)
{
    const struct site *site = &night->site;
    char span[TEXT_SPAN];

    add(figures, "", "site", "%.4f, %.4f, %.0f m", site->latitude_deg, site->longitude_deg,
        site->height_m);
    for (int i = 0; i < CONTACT_COUNT; i++) {
        const char *word = announced(night, (enum contact)i);

        if (isfinite(night->contact_utc[i]))
            add(figures, "", contact_name((enum contact)i), "%s", word ? word : UNKNOWN);
    }
    add(figures, "", "nobody watched", "%s", format_span(span, unwatched_s(night)));
    add(figures, "", "checklist", "%d of %d", ticks(night), night->setup.checklist.count);
    add_count(figures, night, ACT_NOTE, -1);
    add_count(figures, night, ACT_UNDO, -1);
    add_count(figures, night, ACT_CLOUD, -1);
    add_air(figures, night);
    if (isfinite(night->danjon_rating))
        add(figures, "", "L by eye", "%.1f", night->danjon_rating);
}

static void add_rig(struct figures *figures, const struct night *night, int rig)
{
    static const enum act_kind counted[] = {ACT_MISSED, ACT_FRAME, ACT_BATTERY, ACT_CARD,
                                            ACT_SETTING};
    const char *name = night->rig[rig].rig.name;

    add_count(figures, night, ACT_AIM, rig);
    add_alarms(figures, night, rig);
    for (size_t i = 0; i < sizeof counted / sizeof *counted; i++)
        add_count(figures, night, counted[i], rig);
    for (int i = 0; i < CONTACT_COUNT; i++) {
        const struct act *act = setting_at(night, rig, night->contact_utc[i]);
        char what[WHAT_BYTES], words[SETTING_WORDS];

        (void)snprintf(what, sizeof what, "set to at %s", contact_name((enum contact)i));
        if (isfinite(night->contact_utc[i]))
            add(figures, name, what, "%s", act ? act_setting_words(act, true, words) : UNKNOWN);
    }
}

static void figures_make(struct figures *figures, const struct night *night)
{
    figures->count = 0;
    add_night(figures, night);
    for (int i = 0; i < night->setup.rig_count; i++)
        add_rig(figures, night, i);
}

/* ---- rows: where two sessions differ ---- */

struct compared_row {
    const char *rig, *what, *a, *b;
};
struct comparison {
    struct figures a, b;
    struct compared_row row[2 * FIGURES];
    int rows, alike;
};

/* The same figure of the other session; null: it has none. */
static const char *same_figure(const struct figures *figures, const struct figure *figure)
{
    for (int i = 0; i < figures->count; i++)
        if (strcmp(figures->figure[i].rig, figure->rig) == 0 &&
            strcmp(figures->figure[i].what, figure->what) == 0)
            return figures->figure[i].text;
    return NULL;
}

static void compare(struct comparison *comparison, const struct figure *figure, const char *a,
                    const char *b)
{
    if (strcmp(a, b) == 0)
        comparison->alike++;
    else
        comparison->row[comparison->rows++] =
            (struct compared_row){figure->rig, figure->what, a, b};
}

static void comparison_make(struct comparison *comparison, const struct night *a,
                            const struct night *b)
{
    comparison->rows = comparison->alike = 0;
    figures_make(&comparison->a, a);
    figures_make(&comparison->b, b);
    for (int i = 0; i < comparison->a.count; i++) {
        const struct figure *figure = &comparison->a.figure[i];
        const char *other = same_figure(&comparison->b, figure);

        compare(comparison, figure, figure->text, other ? other : UNKNOWN);
    }
    for (int i = 0; i < comparison->b.count; i++) {
        const struct figure *figure = &comparison->b.figure[i];

        if (!same_figure(&comparison->a, figure))
            compare(comparison, figure, UNKNOWN, figure->text);
    }
}

/* ---- Markdown ---- */

static void print_session(FILE *out, const struct compared *session)
{
    const struct eclipse *eclipse = &session->night->eclipse;
    char title[SENTENCE];

    fprintf(out, "- ");
    text_plain(out, session->name);
    fprintf(out, ": %s%s, %zu entries\n", eclipse_title_words(eclipse, title),
            session->night->rehearsal ? " (REHEARSAL)" : "", session->night->act_count);
}

static void print_row(FILE *out, const struct compared_row *row)
{
    const char *const cells[] = {row->rig, row->what, row->a, row->b};

    for (int i = 0; i < 4; i++) {
        fprintf(out, "| ");
        text_plain(out, cells[i]);
        fprintf(out, " ");
    }
    fprintf(out, "|\n");
}

static void print_alarms(FILE *out, const struct compared *session)
{
    const struct night *night = session->night;
    struct alarm alarms[ALARMS];
    char due[TEXT_INSTANT], answer[ANSWER_WORDS];
    bool any = false;

    fprintf(out, "\n## Alarms of ");
    text_plain(out, session->name);
    fprintf(out, "\n\n");
    for (int rig = 0; rig < night->setup.rig_count; rig++) {
        int count = alarms_of(night, rig, alarms);

        for (int i = 0; i < count; i++) {
            fprintf(out, "- %s ", format_time(due, alarms[i].due_utc, true, HOURS_24));
            text_plain(out, night->rig[rig].rig.name);
            fprintf(out, "%s: %s\n", alarms[i].missed ? " (missed)" : "",
                    answer_words(alarms[i].late_s, answer));
            any = true;
        }
    }
    if (!any)
        fprintf(out, "None.\n");
}

int report_comparison_markdown(FILE *out, const struct compared *a, const struct compared *b)
{
    struct comparison comparison;

    comparison_make(&comparison, a->night, b->night);
    fprintf(out, "# Two sessions\n\n");
    print_session(out, a);
    print_session(out, b);
    fprintf(out, "\n## What differs\n\n");
    if (comparison.rows > 0) {
        print_row(out, &(struct compared_row){"rig", "what", a->name, b->name});
        fprintf(out, "|---|---|---|---|\n");
        for (int i = 0; i < comparison.rows; i++)
            print_row(out, &comparison.row[i]);
        fprintf(out, "\n");
    }
    fprintf(out, "Alike: %d of %d figures.\n", comparison.alike,
            comparison.alike + comparison.rows);
    print_alarms(out, a);
    print_alarms(out, b);
    return text_done(out);
}

/* ---- JSON ---- */

static void put_compared_rig(struct node object, const struct night *night, int rig)
{
    struct alarm alarms[ALARMS];
    int count = alarms_of(night, rig, alarms);

    put_text(object, "name", night->rig[rig].rig.name);
    put_number(object, "aims", count_acts(night, ACT_AIM, rig), 0);
    put_number(object, "frames", count_acts(night, ACT_FRAME, rig), 0);
    put_number(object, "batteries_changed", count_acts(night, ACT_BATTERY, rig), 0);
    put_number(object, "cards_changed", count_acts(night, ACT_CARD, rig), 0);
    put_number(object, "settings_changed", count_acts(night, ACT_SETTING, rig), 0);
    struct node list = put_array(object, "alarms");
    for (int i = 0; i < count; i++) {
        struct node alarm = put_object(list, NULL);

        put_instant(alarm, "due", alarms[i].due_utc);
        put_flag(alarm, "missed", alarms[i].missed);
        put_number(alarm, "answered_after_s", alarms[i].late_s, 3);
    }
    struct node settings = put_object(object, "settings");
    for (int i = 0; i < CONTACT_COUNT; i++) {
        const struct act *act = setting_at(night, rig, night->contact_utc[i]);

        if (act)
            put_act_values(put_object(settings, contact_name((enum contact)i)), act);
    }
}

static void put_range(struct node object, const struct night *night, int value, const char *lowest,
                      const char *highest)
{
    double low, high;

    if (!air_range(night, value, &low, &high))
        return;
    put_number(object, lowest, low, 2);
    put_number(object, highest, high, 2);
}

static void put_compared(struct node object, const struct compared *session)
{
    const struct night *night = session->night;
    char day[TEXT_INSTANT];

    put_text(object, "name", session->name);
    put_text(object, "eclipse", eclipse_day(day, &night->eclipse));
    put_flag(object, "rehearsal", night->rehearsal);
    put_number(object, "entries", (double)night->act_count, 0);
    put_site(put_object(object, "site"), night);
    struct node contacts = put_object(object, "contacts");
    for (int i = 0; i < CONTACT_COUNT; i++)
        if (isfinite(night->contact_utc[i]))
            put_text(contacts, contact_name((enum contact)i), announced(night, (enum contact)i));
    put_number(object, "unwatched_s", unwatched_s(night), 3);
    put_number(object, "ticked", ticks(night), 0);
    put_number(object, "gaps", count_acts(night, ACT_GAP, -1), 0);
    put_number(object, "notes", count_acts(night, ACT_NOTE, -1), 0);
    put_number(object, "undone", count_acts(night, ACT_UNDO, -1), 0);
    put_number(object, "l_by_eye", night->danjon_rating, 2);
    struct node air = put_object(object, "air");
    put_number(air, "readings", count_acts(night, ACT_AIR, -1), 0);
    put_range(air, night, 0, "temperature_lowest_c", "temperature_highest_c");
    put_range(air, night, 1, "humidity_lowest_percent", "humidity_highest_percent");
    struct node rigs = put_array(object, "rigs");
    for (int i = 0; i < night->setup.rig_count; i++)
        put_compared_rig(put_object(rigs, NULL), night, i);
}

int report_comparison_json(FILE *out, const struct compared *a, const struct compared *b)
{
    struct comparison comparison;
    struct document document;

    comparison_make(&comparison, a->night, b->night);
    struct node root = document_object(&document);
    struct node differs = put_array(root, "differs");
    for (int i = 0; i < comparison.rows; i++) {
        const struct compared_row *row = &comparison.row[i];
        struct node object = put_object(differs, NULL);

        put_text(object, "rig", text_or_null(row->rig));
        put_text(object, "what", row->what);
        put_text(object, "a", row->a);
        put_text(object, "b", row->b);
    }
    put_number(root, "alike", comparison.alike, 0);
    struct node sessions = put_array(root, "sessions");
    put_compared(put_object(sessions, NULL), a);
    put_compared(put_object(sessions, NULL), b);
    return document_write(&document, out);
}
