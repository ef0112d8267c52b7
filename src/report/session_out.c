/* What happened in a session, from its acts: Markdown for people, CSV and JSON for tools. */
#include "print.h"

#include <moonstand/clock_words.h>
#include <moonstand/place_words.h>

#include <math.h>
#include <stdlib.h>

enum { SESSION_WHAT_BYTES = 400 };
#define OWN_NIGHT_S (18 * 3600.0)

/* The spans between contacts, each of one phase. */
struct stage {
    enum phase phase;
    struct span span;
};

static int stages_make(const struct night *night, struct stage stages[CONTACT_COUNT])
{
    double from = NAN;
    int count = 0;

    for (int i = 0; i < CONTACT_COUNT; i++) {
        double utc = night->contact_utc[i];

        if (i == CONTACT_GREATEST || !isfinite(utc))
            continue;
        if (isfinite(from))
            stages[count++] = (struct stage){
                eclipse_phase(&night->eclipse, tt_from_utc((from + utc) / 2)), {from, utc}};
        from = utc;
    }
    return count;
}

/* A night with what confirms its settings. */
struct record {
    const struct night *night;
    struct proof *proof;
};

static bool is_setting_in(const struct act *act, int rig, struct span span)
{
    return act->kind == ACT_SETTING && act->rig == rig && act->utc > span.from &&
           act->utc < span.to && !act->undone;
}

static const char *act_rig_name(const struct night *night, const struct act *act)
{
    return act_form(act->kind)->has & HAS_RIG && act->rig >= 0 ? night->rig[act->rig].rig.name
                                                               : NULL;
}

/* ---- JSON ---- */

static void put_proof(struct node object, const struct proof *proof)
{
    put_text(object, "confirmed", proof_name(proof));
    if (proof->same > 0)
        put_number(object, "pictures_same", proof->same, 0);
    if (proof->near > 0)
        put_number(object, "pictures_near", proof->near, 0);
    if (proof->others > 0)
        put_number(object, "pictures_other", proof->others, 0);
}

static void put_setting(struct node settings, const struct record *record, const struct act *act)
{
    struct node object = put_object(settings, NULL);

    put_instant(object, "at", act->utc);
    put_act_values(object, act);
    put_proof(object, proof_of(record->proof, record->night, act));
}

/* What a rig was set to when the stage began, and every change in it. */
static void put_settings(struct node settings, const struct record *record, int rig,
                         struct span span)
{
    const struct night *night = record->night;
    const struct act *first = setting_at(night, rig, span.from);

    if (first)
        put_setting(settings, record, first);
    for (size_t i = 0; i < night->act_count; i++)
        if (is_setting_in(&night->acts[i], rig, span))
            put_setting(settings, record, &night->acts[i]);
}

static void put_stages(struct node array, const struct record *record)
{
    const struct night *night = record->night;
    struct stage stages[CONTACT_COUNT];
    int count = stages_make(night, stages);

    for (int i = 0; i < count; i++) {
        struct node object = put_object(array, NULL);

        put_text(object, "phase", phase_name(stages[i].phase));
        put_instant(object, "from", stages[i].span.from);
        put_instant(object, "to", stages[i].span.to);
        struct node rigs = put_array(object, "rigs");
        for (int rig = 0; rig < night->setup.rig_count; rig++) {
            struct node entry = put_object(rigs, NULL);

            put_text(entry, "name", night->rig[rig].rig.name);
            put_settings(put_array(entry, "settings"), record, rig, stages[i].span);
        }
    }
}

/* What every rig was set to when a note was taken. */
static void put_settings_at(struct node object, const struct night *night, const struct act *note)
{
    struct node rigs = put_array(object, "rigs");

    for (int rig = 0; rig < night->setup.rig_count; rig++) {
        const struct act *setting = setting_before(night, note, rig);

        if (!setting)
            continue;
        struct node entry = put_object(rigs, NULL);
        put_text(entry, "name", night->rig[rig].rig.name);
        put_act_values(entry, setting);
    }
}

static void put_act(struct node object, const struct record *record, const struct act *act)
{
    const struct night *night = record->night;
    const struct act_form *form = act_form(act->kind);
    char what[SESSION_WHAT_BYTES];

    act_words(night, act, NULL, what, sizeof what);
    put_number(object, "seq", (double)act->seq, 0);
    put_instant(object, "utc", act->utc);
    put_text(object, "kind", form->name);
    put_text(object, "rig", act_rig_name(night, act));
    if (form->has & HAS_REF)
        put_number(object, "ref", (double)act->ref, 0);
    if (form->has & HAS_TEXT)
        put_text(object, "text", act->text);
    put_act_values(object, act);
    put_text(object, "what", what);
    put_flag(object, "undone", act->undone);
    put_circumstances(object, night, act->utc);
    if (act->kind == ACT_NOTE)
        put_settings_at(object, night, act);
    if (act->kind == ACT_SETTING)
        put_proof(object, proof_of(record->proof, night, act));
}

/* The cameras whose clock is known. */
static void put_camera_clocks(struct node array, const struct night *night)
{
    for (int rig = 0; rig < night->setup.rig_count; rig++) {
        if (!isfinite(night->rig[rig].camera_behind_s))
            continue;
        struct node entry = put_object(array, NULL);
        put_text(entry, "rig", night->rig[rig].rig.name);
        put_number(entry, "behind_s", night->rig[rig].camera_behind_s, 3);
    }
}

int report_session_json(FILE *out, const struct night *night, const struct pictures *pictures)
{
    struct record record = {night, proofs_make(night, pictures)};
    struct document document;
    struct nights_entry entry;

    if (!record.proof || nights_entry_make(&entry, &night->eclipse, &night->observer) != 0) {
        free(record.proof);
        return -1;
    }
    struct node root = document_object(&document);
    put_eclipse(put_object(root, "eclipse"), &entry);
    put_site(put_object(root, "site"), night);
    put_flag(root, "rehearsal", night->rehearsal);
    put_instant(root, "recorded_until", recorded_until(night));
    put_stages(put_array(root, "phases"), &record);
    put_camera_clocks(put_array(root, "camera_clocks"), night);
    struct node acts = put_array(root, "acts");
    for (size_t i = 0; i < night->act_count; i++)
        put_act(put_object(acts, NULL), &record, &night->acts[i]);
    free(record.proof);
    return document_write(&document, out);
}

/* ---- CSV ---- */

int report_session_csv(FILE *out, const struct night *night, const struct pictures *pictures)
{
    struct proof *proofs = proofs_make(night, pictures);
    struct csv csv = {.out = out};

    if (!proofs)
        return -1;
    fputs("seq,utc,kind,rig,what,undone," CSV_CIRCUMSTANCES ",confirmed\r\n", out);
    for (size_t i = 0; i < night->act_count; i++) {
        const struct act *act = &night->acts[i];
        char what[SESSION_WHAT_BYTES];

        act_words(night, act, NULL, what, sizeof what);
        csv_number(&csv, (double)act->seq, 0);
        csv_instant(&csv, act->utc);
        csv_text(&csv, act_form(act->kind)->name);
        csv_text(&csv, act_rig_name(night, act));
        csv_text(&csv, what);
        csv_text(&csv, act->undone ? "yes" : "no");
        csv_circumstances(&csv, night, act->utc);
        csv_text(&csv, act->kind == ACT_SETTING ? proof_name(proof_of(proofs, night, act)) : "");
        csv_end(&csv);
    }
    free(proofs);
    return text_done(out);
}

/* ---- Markdown ---- */

/* "1/125 s ISO 100 to 1/15 s ISO 100, 9 changes; 3 of 10 confirmed" */
static void print_settings(FILE *out, const struct record *record, int rig, struct span span)
{
    const struct night *night = record->night;
    char text[SENTENCE];
    const struct act *first = setting_at(night, rig, span.from), *last = NULL;
    int changes = 0, confirmed = first && is_confirmed(proof_of(record->proof, night, first));

    for (size_t i = 0; i < night->act_count; i++)
        if (is_setting_in(&night->acts[i], rig, span) &&
            (!first || is_dialled(night, &night->acts[i]))) {
            last = &night->acts[i];
            if (first)
                changes++;
            else
                first = last;
            confirmed += is_confirmed(proof_of(record->proof, night, last));
        }
    if (!first) {
        fprintf(out, " - |");
        return;
    }
    fprintf(out, " %s |", settings_words(first, last, changes, confirmed, text));
}

/* The rest of a table's head: a column for each rig, then the line below, which begins with
 * `rule`. */
static void print_rig_heads(FILE *out, const struct night *night, const char *rule)
{
    for (int rig = 0; rig < night->setup.rig_count; rig++) {
        fputc(' ', out);
        text_plain(out, night->rig[rig].rig.name);
        fprintf(out, " |");
    }
    fprintf(out, "\n%s", rule);
    for (int rig = 0; rig < night->setup.rig_count; rig++)
        fprintf(out, "---|");
}

static void print_stages(FILE *out, const struct record *record)
{
    const struct night *night = record->night;
    struct stage stages[CONTACT_COUNT];
    int count = stages_make(night, stages);
    char from[TEXT_INSTANT], to[TEXT_INSTANT];

    fprintf(out, "\n## Phases and settings\n\n| phase | from | to |");
    print_rig_heads(out, night, "|---|---|---|");
    for (int i = 0; i < count; i++) {
        fprintf(out, "\n| %s | %s | %s |", phase_name(stages[i].phase),
                format_time(from, stages[i].span.from, true, HOURS_24),
                format_time(to, stages[i].span.to, true, HOURS_24));
        for (int rig = 0; rig < night->setup.rig_count; rig++)
            print_settings(out, record, rig, stages[i].span);
    }
    fputc('\n', out);
}

/* What each camera's clock showed at the contacts: from there a folder of pictures is ordered. */
static void print_camera_clocks(FILE *out, const struct night *night)
{
    char clock[TEXT_INSTANT];

    fprintf(out, "\n## Camera clocks\n\n| | %s |",
            scale_name(night->contact_utc[CONTACT_GREATEST]));
    print_rig_heads(out, night, "|---|---|");
    for (int i = 0; i < CONTACT_COUNT; i++) {
        double utc = night->contact_utc[i];

        if (!isfinite(utc))
            continue;
        fprintf(out, "\n| %s | %s |", contact_name((enum contact)i),
                clock_second(clock, reader_utc(), utc));
        for (int rig = 0; rig < night->setup.rig_count; rig++)
            fprintf(out, " %s |",
                    format_time(clock, utc - night->rig[rig].camera_behind_s, true, HOURS_24));
    }
    fputc('\n', out);
}

static void print_settings_at(FILE *out, const struct night *night, const struct act *note)
{
    char text[SETTING_WORDS];
    const char *before = "  ";

    for (int rig = 0; rig < night->setup.rig_count; rig++) {
        const struct act *setting = setting_before(night, note, rig);

        if (!setting)
            continue;
        fputs(before, out);
        text_plain(out, night->rig[rig].rig.name);
        fprintf(out, " %s", act_setting_words(setting, false, text));
        before = "; ";
    }
    if (*before == ';')
        fputc('\n', out);
}

/* The time of day; with the day where it is not of the eclipse's own night. */
static char *night_time(char out[TEXT_INSTANT], const struct night *night, double utc)
{
    if (fabs(utc - night->contact_utc[CONTACT_GREATEST]) > OWN_NIGHT_S)
        return clock_words(out, reader_utc(), utc, CLOCK_DAY | CLOCK_SECONDS);
    return format_time(out, utc, true, HOURS_24);
}

static void print_act(FILE *out, const struct record *record, const struct act *act)
{
    const struct night *night = record->night;
    struct circumstances at;
    const struct reader reader = reader_local(night);
    char clock[TEXT_INSTANT], what[SESSION_WHAT_BYTES], confirmed[PROOF_WORDS];

    act_words(night, act, &reader, what, sizeof what);
    circumstances_at(night, act->utc, &at);
    fprintf(out, "- %s", night_time(clock, night, act->utc));
    if (at.phase != PHASE_NONE && isfinite(at.umbral_magnitude))
        fprintf(out, " (%s, umbral magnitude %.2f)", phase_name(at.phase), at.umbral_magnitude);
    fprintf(out, " ");
    text_plain(out, what);
    if (act->kind == ACT_SETTING)
        fprintf(out, " (%s)", proof_words(proof_of(record->proof, night, act), confirmed));
    fprintf(out, "%s\n", act->undone ? " (undone)" : "");
    if (act->kind == ACT_NOTE)
        print_settings_at(out, night, act);
}

/* The last gap is in no act: from the record's end to that of the eclipse. */
static bool print_end_gap(FILE *out, const struct night *night)
{
    double until = recorded_until(night), end = night->contact_utc[CONTACT_P4];
    char from[TEXT_INSTANT], to[TEXT_INSTANT];

    if (!(until < end))
        return false;
    fprintf(out, "- %s " RECORD_ENDS_WORDS " %s\n", night_time(from, night, until),
            night_time(to, night, end));
    return true;
}

static void print_section(FILE *out, const struct record *record, enum record_section section)
{
    const struct night *night = record->night;
    bool any = false;

    fprintf(out, "\n## %s\n\n", record_section_words(section));
    for (size_t i = 0; i < night->act_count; i++) {
        if (record_section(night->acts[i].kind) == section) {
            print_act(out, record, &night->acts[i]);
            any = true;
        }
    }
    if (section == RECORD_GAPS)
        any |= print_end_gap(out, night);
    if (!any)
        fprintf(out, "None.\n");
}

int report_session_markdown(FILE *out, const struct night *night, const struct pictures *pictures)
{
    struct record record = {night, proofs_make(night, pictures)};
    const struct eclipse *eclipse = &night->eclipse;
    const struct site *site = &night->site;
    double greatest = night->contact_utc[CONTACT_GREATEST];
    char day[TEXT_INSTANT], iso[TEXT_INSTANT], place[SITE_PLACE_WORDS];

    if (!record.proof)
        return -1;
    fprintf(out, "# Lunar eclipse of %s, %s%s\n\n- Site: ", eclipse_day(day, eclipse),
            eclipse_kind_name(eclipse->kind), night->rehearsal ? " (REHEARSAL)" : "");
    text_plain(out, site->name);
    fprintf(out, "%s%s\n- Greatest: %s, umbral magnitude %.3f\n- All times: %s\n",
            *site->name ? ", " : "", site_place_words(site, place),
            clock_words(iso, reader_utc(), greatest, CLOCK_DAY | CLOCK_SECONDS | CLOCK_ZONE),
            eclipse->umbral_magnitude, scale_name(greatest));
    print_stages(out, &record);
    print_camera_clocks(out, night);
    for (int section = 0; section < RECORD_SECTIONS; section++)
        print_section(out, &record, (enum record_section)section);
    free(record.proof);
    return text_done(out);
}
