/* What each rig shoots in a night, and the plan for tools. */
#include "print.h"

#include <moonstand/aim_words.h>
#include <moonstand/angle.h>
#include <moonstand/round_words.h>

#include <math.h>

/* The settings of a run as far as they lie in a span; how many. */
static int parts_in(const struct run *run, struct span span, struct sheet_part parts[SEGMENTS])
{
    int count = 0;

    for (int i = 0; i < run->count; i++) {
        const struct segment *segment = &run->segment[i];
        double from = fmax(segment->utc_from, span.from), to = fmin(segment->utc_to, span.to);

        if (from < to)
            parts[count++] = (struct sheet_part){from, to, &segment->exposure};
    }
    return count;
}

void plan_rig_make(const struct night *night, int index, struct plan_rig *plan)
{
    struct span up[UP_SPANS];
    int spans = up_spans_to(night, night->rig[index].ends_utc, up);

    plan->sheet = (struct sheet){night->shooting[index].interval_s, .start_utc = NAN};
    for (int i = 0; i < spans; i++) {
        struct sheet_part parts[SEGMENTS];
        const struct sheet_ask ask = {parts, parts_in(&night->step[index], up[i], parts),
                                      interval_first_utc(up[i].from, plan->sheet.interval_s),
                                      night->rig[index].rig.saving_s};

        sheet_add(&plan->sheet, &ask, plan->line, PLAN_LINES);
    }
}

/* ---- for tools ---- */

static void put_timeline(struct node array, const struct night *night)
{
    struct line lines[TIMELINE_LINES];
    int count = timeline_make(night, lines);

    for (int i = 0; i < count; i++) {
        struct node object = put_object(array, NULL);

        put_instant(object, "at", lines[i].utc);
        put_text(object, "kind", line_kind_name(lines[i].kind));
        put_text(object, "what", lines[i].name);
        if (lines[i].kind == LINE_MOUNT)
            put_text(object, "rig", night->rig[lines[i].rig].rig.name);
        if (lines[i].kind == LINE_CONTACT || lines[i].kind == LINE_SHADING)
            put_flag(object, "moon_up", lines[i].moon_up);
    }
}

static void put_segment(struct node object, const struct sheet_line *line)
{
    const struct exposure *exposure = line->exposure;

    put_instant(object, "from", line->utc_from);
    put_instant(object, "to", line->utc_to);
    put_instant(object, "start", line->start_utc);
    put_shutter_iso(object, exposure);
    put_number(object, "f_number", exposure->f_number, 2);
    put_number(object, "shots", line->shots, 0);
    put_number(object, "frames", line->frames, 0);
    put_bracket(object, exposure);
    put_number(object, "busy_s", line->busy_s, 2);
}

static void put_first_aim(struct node object, const struct first_aim *first)
{
    put_instant(object, "at", first->utc);
    put_number(object, "moon_altitude_deg", deg_from_rad(first->moon_altitude_rad), 2);
    put_number(object, "moon_azimuth_deg", deg_from_rad(first->moon_azimuth_rad), 2);
    put_number(object, "place_x", first->aim.place.x, 4);
    put_number(object, "place_y", first->aim.place.y, 4);
    put_number(object, "placed_stays_s", first->aim.placed_stays_s, 1);
    put_number(object, "centred_stays_s", first->aim.centred_stays_s, 1);
    put_number(object, "turned_stays_s", first->turned_stays_s, 1);
}

/* What the rig lives on, reckoned from its first shot on. */
static void put_needs(struct node object, const struct night *night, int index)
{
    double first = night->shooting[index].utc_from;
    struct rig_power power;
    struct card_budget card;

    rig_power_make(night, index, first, &power);
    bool known = rig_card_make(night, index, first, NAN, &card);
    if (power.plan.known)
        put_number(object, "batteries", power.plan.batteries, 0);
    put_power(put_object(object, "power"), night, &power);
    if (known)
        put_card(put_object(object, "card"), &card, known,
                 card_swap_utc(night, index, first, card.full_utc));
}

static void put_lost(struct node object, const struct run *run)
{
    struct node array = put_array(object, "lost");

    for (int i = 0; i < run->lost_count; i++) {
        struct node lost = put_object(array, NULL);

        put_instant(lost, "from", run->lost[i].span.from);
        put_instant(lost, "to", run->lost[i].span.to);
        put_text(lost, "target", target_name(run->lost[i].target));
        put_flag(lost, "twilight", run->lost[i].twilight);
        put_flag(lost, "to_end", run->lost[i].to_end);
    }
}

static void put_planned_rig(struct node object, const struct night *night, int index)
{
    char misfit[SENTENCE];
    struct first_aim first;
    struct plan_rig plan;
    bool fits = picture_fits(night, index);

    plan_rig_make(night, index, &plan);
    first_aim_make(night, index, &first);
    put_text(object, "name", night->rig[index].rig.name);
    put_text(object, "support", support_name(night->rig[index].rig.support));
    put_instant(object, "start", plan.sheet.start_utc);
    put_number(object, "interval_s", plan.sheet.interval_s, 2);
    put_text(object, "interval_reason",
             interval_reason_name(night->shooting[index].interval_reason));
    put_number(object, "least_interval_s", plan.sheet.least_interval_s, 0);
    put_number(object, "shots", plan.sheet.shots, 0);
    put_number(object, "frames", plan.sheet.frames, 0);
    put_number(object, "card_bytes",
               plan.sheet.frames * night->rig[index].rig.frame_mb * BYTES_PER_MB, 0);
    put_needs(object, night, index);
    struct node segments = put_array(object, "segments");
    for (int i = 0; i < plan.sheet.lines; i++)
        put_segment(put_object(segments, NULL), &plan.line[i]);
    put_lost(object, &night->run[index]);
    put_flag(object, "fits", fits);
    if (!fits)
        put_text(object, "misfit", misfit_words(night, index, misfit));
    put_framing(object, night, index, night->contact_utc[CONTACT_GREATEST]);
    if (isfinite(first.utc))
        put_first_aim(put_object(object, "first_aim"), &first);
}

static void put_job(struct node jobs, const struct night *night, const struct agenda_round *round,
                    int rig)
{
    for (int kind = 0; kind < JOB_KINDS; kind++) {
        if (!(round->jobs[rig] & 1U << kind))
            continue;
        struct node job = put_object(jobs, NULL);
        put_text(job, "rig", night->rig[rig].rig.name);
        put_text(job, "kind", job_kind_name((enum job_kind)kind));
        if (night->setup.people > 1)
            put_number(job, "person", round->second[rig] ? 2 : 1, 0);
        if (kind != JOB_SETTING)
            continue;
        const struct exposure *set = round_setting(night, round, rig);
        put_shutter_iso(job, set);
        put_number(job, "bracket_frames", set->bracket_frames, 0);
    }
}

/* The walks of the hands from P1 to P4. */
static void put_rounds(struct node array, const struct night *night, const struct agenda *agenda)
{
    for (int i = 0; i < agenda->count; i++) {
        const struct agenda_round *round = &agenda->round[i];
        struct node object = put_object(array, NULL);

        put_instant(object, "at", round->utc);
        put_number(object, "takes_s", round->work_s, 0);
        struct node jobs = put_array(object, "jobs");
        for (int rig = 0; rig < night->setup.rig_count; rig++)
            put_job(jobs, night, round, rig);
    }
}

static void put_touches(struct node object, const struct night *night, const struct agenda *agenda)
{
    const struct rounds *rounds = &night->rounds;

    put_number(object, "settings", rounds->settings, 0);
    put_number(object, "rounds", rounds->count, 0);
    put_number(object, "least", rounds_least(night, -1, 1), 0);
    put_number(object, "walks", agenda->count, 0);
    put_number(object, "worst_stops", rounds->worst_stops, 2);
}

/* More jobs than hands, and the remedy that helps most. */
static void put_overloads(struct node root, const struct night *night, const struct agenda *agenda)
{
    struct overload overload[OVERLOADS];
    int count = agenda_overloads(night, agenda, overload);
    struct node array = put_array(root, "overloads");
    struct remedy remedy;
    char words[REMEDY_WORDS];

    for (int i = 0; i < count; i++) {
        struct node object = put_object(array, NULL);
        put_instant(object, "from", overload[i].utc_from);
        put_instant(object, "to", overload[i].utc_to);
        put_number(object, "rounds", overload[i].rounds, 0);
        put_number(object, "worst_stops", overload[i].worst_stops, 2);
    }
    if (count == 0 || remedy_find(night, &remedy) != 0 || !remedy_name(remedy.kind))
        return;
    struct node object = put_object(root, "remedy");
    put_text(object, "kind", remedy_name(remedy.kind));
    put_text(object, "rig", rig_name(&night->setup, remedy.rig));
    put_number(object, "overloaded", remedy.overloaded, 0);
    put_number(object, "rounds", remedy.rounds, 0);
    put_text(object, "text", remedy_words(night, &remedy, words));
}

/* What the hands do in the night. */
static void put_agenda(struct node root, const struct night *night)
{
    struct agenda agenda;

    agenda_make(night, -INFINITY, &agenda);
    put_rounds(put_array(root, "rounds"), night, &agenda);
    put_touches(put_object(root, "touches"), night, &agenda);
    put_overloads(root, night, &agenda);
}

int report_plan_json(FILE *out, const struct night *night)
{
    struct document document;
    struct nights_entry entry;
    struct air_choice choice;
    struct air air;

    if (nights_entry_make(&entry, &night->eclipse, &night->observer) != 0)
        return -1;
    struct node root = document_object(&document);
    put_eclipse(put_object(root, "eclipse"), &entry);
    put_timeline(put_array(root, "timeline"), night);
    put_agenda(root, night);
    struct node rigs = put_array(root, "rigs");
    for (int i = 0; i < night->setup.rig_count; i++)
        put_planned_rig(put_object(rigs, NULL), night, i);
    air_choose(air_log_last(&night->air_log), &night->forecast,
               night->contact_utc[CONTACT_GREATEST], &choice);
    air_assess(choice.temperature_c, choice.humidity_percent, night->setup.glass_cooling_c, &air);
    put_air(put_object(root, "air"), &air);
    put_checklist(put_object(root, "kit"), night);
    put_site(put_object(root, "site"), night);
    return document_write(&document, out);
}
