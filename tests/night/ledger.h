/* The ledger of a night: a line whenever something that is said of it is no longer what it was.
 * Instants are minutes and seconds from greatest eclipse. */
#ifndef MOONSTAND_TESTS_LEDGER_H
#define MOONSTAND_TESTS_LEDGER_H

#include "../../src/night/derive.h"

#include <moonstand/album_words.h>
#include <moonstand/angle.h>
#include <moonstand/power_words.h>
#include <moonstand/series.h>
#include <moonstand/test_print.h>

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

enum { LEDGER_LINE = 16384, LEDGER_TIME = 16, LEDGER_SLOTS = 256, LEDGER_NAME = 24 };

/* What was said last, by what it is about. */
static struct ledger {
    FILE *out;
    double zero_utc, utc;
    int count;
    char name[LEDGER_SLOTS][LEDGER_NAME], said[LEDGER_SLOTS][LEDGER_LINE];
} ledger;

static char line[LEDGER_LINE];
static size_t line_bytes;

static inline void ledger_begin(FILE *out)
{
    ledger.out = out;
    ledger.count = 0;
}

/* ---- one line ---- */

struct ledger_time {
    char text[LEDGER_TIME];
};

static inline struct ledger_time time_of(double utc)
{
    double s = round(utc - ledger.zero_utc);
    struct ledger_time time;

    if (isnan(utc))
        (void)snprintf(time.text, LEDGER_TIME, "-");
    else if (isinf(utc))
        (void)snprintf(time.text, LEDGER_TIME, "%s", utc > 0 ? "never" : "ever");
    else
        (void)snprintf(time.text, LEDGER_TIME, "%c%d:%02d", s < 0 ? '-' : '+', (int)fabs(s) / 60,
                       (int)fabs(s) % 60);
    return time;
}
#define TIME(utc) (time_of(utc).text)

__attribute__((format(printf, 1, 2))) static inline void put(const char *format, ...)
{
    va_list values;
    int bytes;

    va_start(values, format);
    bytes = vsnprintf(line + line_bytes, sizeof line - line_bytes, format, values);
    va_end(values);
    assert_true(bytes >= 0 && (size_t)bytes < sizeof line - line_bytes);
    line_bytes += (size_t)bytes;
}

/* A rig, an item or a contact: none is -1, and nothing else. */
static inline void put_index(int index)
{
    assert_true(index >= -1);
    if (index >= 0)
        put(" %d", index);
}

static inline void put_dial(const struct exposure *exposure)
{
    put("%s", target_name(exposure->target));
    if (!exposure->known)
        return;
    put(" %s %d", shutter_label(exposure->shutter), iso_label(exposure->iso));
    if (exposure->bracket_frames > 1)
        put(" x%d/%g", exposure->bracket_frames, exposure->bracket_step_stops);
    if (exposure->limited_by != LIMITED_NONE)
        put(" %s", exposure_limit_name(exposure->limited_by));
    if (exposure->vibration_risk)
        put(" shakes");
}

/* Writes the line, if it is another one than the last of that name. */
static inline void say(const char *about, int rig)
{
    char name[LEDGER_NAME];
    int i = 0;

    (void)snprintf(name, sizeof name, rig < 0 ? "%s" : "%s %d", about, rig);
    while (i < ledger.count && strcmp(ledger.name[i], name) != 0)
        i++;
    assert_true(i < LEDGER_SLOTS);
    if (i == ledger.count) {
        memcpy(ledger.name[i], name, sizeof name);
        *ledger.said[ledger.count++] = '\0';
    }
    if (line_bytes > 0 && strcmp(ledger.said[i], line) != 0)
        fprintf(ledger.out, "%s %s:%s\n", TIME(ledger.utc), name, line);
    memcpy(ledger.said[i], line, sizeof line);
    line_bytes = 0;
    *line = '\0';
}

/* ---- the night as a whole ---- */

static inline void say_events(const struct night *night)
{
    for (int i = 0; i < night->event_count; i++) {
        const struct night_event *event = &night->event[i];

        put(" %s%s %s", TIME(event->utc), event->moon_up ? "" : " down", night_event_name(event));
        put_index(event->rig);
    }
    say("events", -1);
    for (int i = 0; i < ANCHORS; i++)
        put(" %s", TIME(night->anchor_utc[i]));
    say("anchors", -1);
    for (int i = 0; i < night->setup.checklist.count; i++)
        put("%s%s", item_applies(night, i) ? " " : " no ", night->setup.checklist.item[i].id);
    say("items", -1);
    put(" L %.2f; sky %s to %s", night->danjon_state, TIME(night->utc_from), TIME(night->utc_to));
    say("light", -1);
}

static inline void say_runs(const struct night *night, int rig)
{
    const struct run *run = &night->run[rig], *step = &night->step[rig];
    const struct shooting *shooting = &night->shooting[rig];

    for (int i = 0; i < run->count; i++) {
        put(" %s ", TIME(run->segment[i].utc_from));
        put_dial(&run->segment[i].exposure);
        put(",");
    }
    put(" to %s", TIME(run->count > 0 ? run->segment[run->count - 1].utc_to : NAN));
    say("light asks", rig);
    for (int i = 0; i < run->lost_count; i++)
        put(" %s %s to %s%s%s", target_name(run->lost[i].target), TIME(run->lost[i].span.from),
            TIME(run->lost[i].span.to), run->lost[i].twilight ? " twilight" : "",
            run->lost[i].to_end ? " to the end" : "");
    say("sky hides", rig);
    put(" %d", step->count);
    for (int i = 0; i < step->count; i++)
        put(" %s", TIME(step->segment[i].utc_from));
    say("steps", rig);
    put(" %s to %s every %.1f, bracket of %d:", TIME(shooting->utc_from), TIME(shooting->utc_to),
        shooting->interval_s, shooting->longest_bracket);
    for (int i = 0; i < shooting->span_count; i++)
        put(" %s to %s %d", TIME(shooting->span[i].utc_from), TIME(shooting->span[i].utc_to),
            shooting->span[i].bracket_frames);
    say("shoots", rig);
}

static inline void put_pose(const struct pose *pose)
{
    if (pose->known)
        put(" [%.2f %.2f %.2f %s since %s, in %s%s %.2f %.2f out %s%s %.2f %.2f]",
            deg_from_rad(pose->altitude_rad), deg_from_rad(pose->azimuth_rad),
            deg_from_rad(pose->roll_rad), pose->late ? "late" : "whole", TIME(pose->since_utc),
            TIME(pose->enters_utc), pose->rises ? " rising" : "", pose->enters.x, pose->enters.y,
            TIME(pose->leaves_utc), pose->sets ? " setting" : "", pose->leaves.x, pose->leaves.y);
}

static inline void say_framing(const struct night *night, int rig)
{
    const struct framing *framing = &night->framing[rig];
    enum contact first, last;

    put(" fits %d; re-aims %d, early %d", picture_fits(night, rig), framing->re_aims,
        framing->early);
    if (framing->wide) {
        const struct wide *wide = &framing->composition;

        put(" use %s %s, untouched %s to %s, whole", wide_part_name(wide->use),
            wide->fits ? "fits" : "does not fit", TIME(framing->untouched.from),
            TIME(framing->untouched.to));
        put_pose(&framing->whole);
        if (framing->whole.known &&
            pose_holds(night, &framing->whole, framing->whole.since_utc, &first, &last))
            put(" holds %s to %s", contact_name(first), contact_name(last));
    }
    if (framing->flips)
        put(" flip from %s to %s, %s%s", TIME(framing->flip.earliest_utc),
            TIME(framing->flip.latest_utc), TIME(framing->flip.advised_utc),
            framing->flip.in_totality ? " in totality" : "");
    for (int i = 0; i < framing->limit_count; i++)
        put(" limit %s %s %s", TIME(framing->limit[i].utc),
            framing->limit[i].upper ? "upper" : "lower", framing->limit[i].enters ? "in" : "out");
    say("frames", rig);
    for (int i = 0; i < framing->re_aim_count; i++)
        put(" %s", TIME(framing->re_aim_utc[i]));
    say("re-aims", rig);
    for (int i = 0; i < framing->planned_count; i++)
        put(" %s", TIME(framing->planned_utc[i]));
    say("planned", rig);
}

static inline void say_power(const struct night *night, int rig)
{
    const struct rig_power *power = &night->power[rig];
    const struct swap_plan *plan = &power->plan;

    put(" at %.1f (%.1f to %.1f, %s) lasts %.0f to %.0f, full %s empty %s, %d spares,",
        known(power->temperature_c), power->cold_c, power->warm_c,
        cold_source_name(power->cold_from), known(power->life_cold_s), known(power->life_warm_s),
        TIME(power->full_utc), TIME(power->empty_utc), power->spares);
    put(" %d batteries dry %s%s%s:", plan->batteries, TIME(plan->dry_utc),
        plan->external ? " external" : "", plan->totality_free ? "" : " in totality");
    for (int i = 0; i < plan->count && i < SWAPS; i++)
        put(" %s %s", TIME(plan->swap[i].utc),
            swap_reason_name(swap_reason_of(night, power, &plan->swap[i])));
    say("power", rig);
}

static inline void say_rounds(const struct night *night)
{
    const struct rounds *rounds = &night->rounds;

    for (int rig = 0; rig < night->setup.rig_count; rig++) {
        put(" %d set, begins ", rounds->set_count[rig]);
        put_dial(&rounds->begins[rig]);
        for (int i = 0; i < rounds->count; i++) {
            if (!rounds->round[i].touched[rig])
                continue;
            put(", %s ", TIME(rounds->round[i].utc));
            put_dial(&rounds->round[i].exposure[rig]);
            put(" off %.1f", known(rounds->round[i].worst_stops[rig]));
        }
        say("is set", rig);
    }
    put(" %d rounds, %d settings, off %.2f, least %d", rounds->count, rounds->settings,
        rounds->worst_stops, rounds_least(night, -1, 1));
    say("rounds", -1);
}

/* " 1b:aim+set": the second person's two jobs at rig 1, by the beginnings of their names. */
static inline void put_jobs(const struct agenda_round *round, int rig)
{
    const char *before = round->second[rig] ? "b:" : ":";

    for (int kind = 0; kind < JOB_KINDS; kind++)
        if (round->jobs[rig] & 1U << kind) {
            if (*before != '+')
                put(" %d", rig);
            put("%s%.3s", before, job_kind_name((enum job_kind)kind));
            before = "+";
        }
}

static inline void say_walks(const struct night *night)
{
    struct overload overload[OVERLOADS];
    struct agenda agenda;
    int overloads;

    agenda_make(night, -INFINITY, &agenda);
    overloads = agenda_overloads(night, &agenda, overload);
    for (int i = 0; i < agenda.count; i++) {
        const struct agenda_round *round = &agenda.round[i];

        put(" %s", TIME(round->utc));
        put_index(round->setting);
        put_index(round->item);
        for (int rig = 0; rig < night->setup.rig_count; rig++)
            put_jobs(round, rig);
        put(" %.0f s%s%s,", round->work_s, round->late ? " late" : "", round->fast ? " fast" : "");
    }
    say("walks", -1);
    for (int i = 0; i < overloads && i < OVERLOADS; i++)
        put(" %s to %s %d rounds off %.1f,", TIME(overload[i].utc_from), TIME(overload[i].utc_to),
            overload[i].rounds, overload[i].worst_stops);
    say("too much", -1);
}

/* What would help against too many jobs. */
static inline void ledger_remedy(const struct night *night, double utc)
{
    struct agenda agenda;
    struct remedy remedy;

    ledger.utc = utc;
    agenda_make(night, -INFINITY, &agenda);
    put(" %d before U1, %d after;",
        agenda_count(&agenda, -INFINITY, night->contact_utc[CONTACT_U1]),
        agenda_count(&agenda, night->contact_utc[CONTACT_U1], INFINITY));
    assert_int_equal(remedy_find(night, &remedy), 0);
    put(" remedy %d at %d, %.2f by %.1f, leaves %d of %d", remedy.kind, remedy.rig, remedy.value,
        remedy.step_stops, remedy.overloaded, remedy.rounds);
    say("all rounds", -1);
}

/* How the rigs stand and what they live on. */
static inline void ledger_rigs(const struct night *night, double utc)
{
    ledger.utc = utc;
    for (int rig = 0; rig < night->setup.rig_count; rig++) {
        say_framing(night, rig);
        say_power(night, rig);
    }
}

/* That, and what cameras are to be set to and when, and the rounds. */
static inline void ledger_night(const struct night *night, double utc)
{
    ledger.zero_utc = night->contact_utc[CONTACT_GREATEST];
    ledger_rigs(night, utc);
    say_events(night);
    for (int rig = 0; rig < night->setup.rig_count; rig++)
        say_runs(night, rig);
    say_rounds(night);
    say_walks(night);
}

/* ---- a moment ---- */

/* A battery or a card moves with every frame, until it presses. */
static inline bool moves(const struct job *job)
{
    return (job->kind == JOB_BATTERY || job->kind == JOB_CARD) && job->state != JOB_PRESSING;
}

static inline void say_job(const struct night *night, const struct moment *moment,
                           const struct job *job)
{
    assert_true(job->rig >= -1 && job->item >= -1 && job->before >= -1);
    put(" %s", job_state_name(job->state));
    /* What has always been due now has no instant of its own. */
    if (job->utc != moment->utc && !moves(job))
        put(" %s", TIME(job->utc));
    if (isfinite(job->limit_utc) && job->kind != JOB_LAPTOP && !moves(job))
        put(" to %s", TIME(job->limit_utc));
    if (job->before >= 0)
        put(" before %s", contact_name((enum contact)job->before));
    if (job->set) {
        put(" ");
        put_dial(job->set);
    }
    if (job->item >= 0)
        put(" %s", night->setup.checklist.item[job->item].id);
    if (job->item < 0)
        say(job_kind_name(job->kind), job->rig);
    else
        say("item", job->item);
}

/* In which order, and what goes with what. */
static inline void say_hands(const struct night *night, const struct moment *moment)
{
    const struct hands *hands = &moment->hands;
    const struct job *next = hands_next(hands);

    for (int i = 0; i < hands->count; i++)
        say_job(night, moment, &hands->job[i]);
    put(" %s", urgency_name(hands->urgency));
    if (hands->rush.rounds > 0)
        put(", %d rounds %s to %s %s", hands->rush.rounds, TIME(hands->rush.utc_from),
            TIME(hands->rush.utc_to), hands->rush.darker ? "darker" : "brighter");
    if (isfinite(hands->clash_utc))
        put(", too much from %s", TIME(hands->clash_utc));
    put(":");
    for (int i = 0; i < hands->count; i++) {
        const struct job *job = &hands->job[i];

        if (job->kind == JOB_ITEM)
            put(" item");
        else
            put("%s%s %d", job->walk == i ? ", " : " + ", job_kind_name(job->kind), job->rig);
        put("%s", job == next ? " (next)" : "");
    }
    say("hands", -1);
}

static inline void say_stand(const struct night *night, const struct moment *moment, int rig)
{
    static const char *const states[] = {"free",    "steady",  "soon", "due",
                                         "snoozed", "tracked", "down", "done"};
    static const char *const losses[] = {"", " margin", " cut", " gone"};
    const struct rig_moment *now = &moment->rig[rig];

    put(" %s%s %s", states[now->aim_state], losses[now->loss], TIME(now->loss_utc));
    put(" leaves %s due %s before %d", TIME(night->rig[rig].leaves_utc),
        TIME(moment->utc + now->due_in_s), now->due_before);
    if (isfinite(now->flip_in_s))
        put(" flip %s", TIME(moment->utc + now->flip_in_s));
    put("%s%s%s%s%s", now->hands_off ? " hands off" : "", now->out_of_reach ? " out of reach" : "",
        now->heated ? " heated" : "", now->look_at_glass ? " glass" : "",
        pose_is_held(night, moment, rig) ? " as composed" : "");
    if (now->pose)
        put_pose(now->pose);
    say("stands", rig);
}

static inline void say_setting(const struct moment *moment, int rig)
{
    const struct rig_moment *now = &moment->rig[rig];

    put(" ");
    put_dial(&now->exposure);
    if (isfinite(now->change_utc)) {
        put(",%s %s ", now->idle ? " idle to" : "", TIME(now->change_utc));
        put_dial(&now->change_to);
    }
    if (now->lost)
        put(" lost %s to %s", TIME(now->lost_span.span.from), TIME(now->lost_span.span.to));
    say("set", rig);
}

static inline void say_kit(const struct night *night, const struct moment *moment, int rig)
{
    static const char *const spots[] = {"none", "fits", "moved"};
    const struct kit_moment *kit = &moment->kit[rig];
    const struct album_moment *album = &moment->album[rig];
    const struct album *pages = &moment->readings.album[rig];

    put(" %d batteries, swap %s%s; card", kit->batteries, swap_reason_name(kit->swap_reason),
        night->power[rig].plan.external ? " external" : "");
    if (kit->card_absent)
        put(" absent");
    if (kit->card_known)
        put("%s, bracket of %d", kit->card.fits ? " fits" : "", kit->card.bracket_fits);
    say("kit", rig);
    if (album->watched)
        put("%s since %s off %.1f%s%s", album->stopped ? " stopped" : "", TIME(album->since_utc),
            album->off_stops, album->looked ? " looked" : "", looks_words(album->looks));
    if (album->watched)
        put(" %d, spot %s, put off %s, umbra %.1f%s%s%s, fade %.2f, camera %.2f%s", album->looks,
            spots[album->spot.kind], TIME(album->put_off_utc), known(album->umbra_stops),
            pages->fades ? " fades" : "", pages->faded_umbra ? " the umbra" : "",
            pages->folder_gone ? " gone" : "", known(pages->faded_from), known(pages->camera_stops),
            pages->camera_known ? " known" : "");
    say("pictures", rig);
}

static inline void say_around(const struct night *night, const struct moment *moment)
{
    assert_true(moment->next >= -1 && moment->check_next >= -1);
    put(" %s, next %s %s, %s %s, Moon %s%s, Sun %s", phase_name(moment->phase),
        moment->next < 0 ? "-" : night_event_name(&night->event[moment->next]),
        TIME(moment->next < 0 ? NAN : night->event[moment->next].utc),
        moment->horizon_is_rise ? "rise" : "set", TIME(moment->horizon_utc),
        moment->moon.up ? "up" : "down", moment->rising ? " rising" : "",
        sun_warns(&moment->sun) ? "up" : "down");
    put("; items %d open %d over, next %s, alarm %d", moment->check_open, moment->check_overdue,
        moment->check_next < 0 ? "-" : night->setup.checklist.item[moment->check_next].id,
        moment->alarm_rig);
    say("sky", -1);
    put(" from %d%s %s%s quiet to %s", moment->air_used.source, moment->air_used.old ? " old" : "",
        isnan(moment->air.margin_c) ? "-" : air_advice_code(moment->air.advice),
        moment->look_at_glass ? " look" : "", TIME(moment->glass_quiet_utc));
    say("air", -1);
    put("%s moved %.0f m", moment->laptop_short ? " short" : "", known(fix_moved_m(night, moment)));
    say("fix", -1);
}

static inline void put_count(const struct pictures_count *count)
{
    put(" %.0f %.0f MB %.0f raw %s", count->frames, count->bytes / 1e6, count->raw, TIME(count->last_utc));
}

/* What acts have left at a rig, and what hangs on it alone. */
static inline void say_state(const struct night *night, int rig)
{
    const struct rig_state *is = &night->rig[rig];

    put("%s%s %s (made %s) at %.3f %.3f, ends %s, cut %s gone %s, over due %s; quiet to %s, alarm %s;",
        is->aimed ? " aimed" : "", is->pointed ? " pointed" : "", TIME(is->aimed_utc), TIME(is->made_utc),
        known(is->aimed_at.x), known(is->aimed_at.y), TIME(is->ends_utc), TIME(is->cut_utc),
        TIME(is->gone_utc), TIME(is->over_due_utc), TIME(is->snoozed_until), TIME(is->alarm_utc));
    for (int i = 0; i < 2; i++)
        put(" seen %s %.3f %.3f", TIME(is->seen[i].utc), known(is->seen[i].place.x), known(is->seen[i].place.y));
    put("; corrected");
    for (int i = 0; i < TARGETS; i++)
        put(" %.2f", known(is->correction_stops[i]));
    put(", umbra %s left %.2f; dial %d %d %d x%d to %s %s", TIME(is->umbra_utc), known(is->umbra_left_stops),
        is->dial.known, is->dial.shutter, is->dial.iso, is->dial.frames, target_name(is->setting_target),
        TIME(is->set_utc));
    say("state", rig);
    put(" %d tapped, battery %s (%d), card %s, heater %d %d, clock %.0f by pictures %.0f, stopped %s, on the card",
        is->frames, TIME(is->battery_utc), is->batteries_changed, TIME(is->card_utc), is->heater_told,
        is->heater_on, known(is->camera_behind_s), known(is->picture_behind_s), TIME(is->stopped_utc));
    put_count(&is->on_card);
    say("held", rig);
}

/* From where the rounds are planned, and what else acts have left. */
static inline void say_folded(const struct night *night)
{
    const struct replan *replan = &night->replan;
    int done = 0, later = 0;

    put(" %s rig %d%s%s%s planned %s set %s thirds %d;", TIME(replan->utc), replan->rig,
        replan->done ? " done" : "", replan->asks ? " asks" : "", replan->pinned ? " pinned" : "",
        TIME(replan->planned_utc), TIME(replan->set_utc), replan->more_thirds);
    for (int i = 0; i < night->setup.rig_count; i++)
        put(" %d %d %d x%d", replan->dial[i].known, replan->dial[i].shutter, replan->dial[i].iso,
            replan->dial[i].frames);
    say("replan", -1);
    for (int i = 0; i < night->setup.checklist.count; i++) {
        done += isfinite(night->checked_utc[i]);
        later += isfinite(night->later_utc[i]);
    }
    put(" %d items done, %d put off, focus %s glass %s; L %.1f is %.2f; site %s, cloud %d, clock %.1f, %d readings",
        done, later, TIME(night->focus_utc), TIME(night->glass_utc), known(night->danjon_rating),
        known(night->danjon_state), night->site_source, night->cloud, known(night->clock_offset_s),
        night->air_log.count);
    say("folded", -1);
}

/* What a moment says, and the jobs for the hands. */
static inline void ledger_moment(const struct night *night, const struct moment *moment)
{
    ledger.utc = moment->utc;
    say_around(night, moment);
    say_folded(night);
    for (int rig = 0; rig < night->setup.rig_count; rig++) {
        say_state(night, rig);
        say_stand(night, moment, rig);
        say_setting(moment, rig);
        say_kit(night, moment, rig);
    }
    say_hands(night, moment);
}

static inline void say_numbers(const struct night *night, const struct moment *moment, int rig)
{
    const struct rig_moment *now = &moment->rig[rig];
    const struct kit_moment *kit = &moment->kit[rig];
    const struct album_moment *album = &moment->album[rig];
    const struct frame_point place = advised_place(now);
    const struct rig *set_up = &night->rig[rig].rig;
    struct mount_drift drift = {NAN, NAN, NAN, NAN, NAN};
    struct print_ask ask;
    struct test_print print;

    print_ask_make(night, moment, rig, &ask);
    test_print_make(&ask, &print);
    if (set_up->support != SUPPORT_FIXED && moment->moon.up)
        mount_drift(&set_up->mount, set_up->support, &night->track, moment->utc, &drift);
    put(" off %.2f, corrected %.2f %.2f, clips %.3f loses %.3f; drift %.2f (%.4f %.4f),",
        known(now->off_stops), night_correction(night, moment, rig, TARGET_LIT),
        night_correction(night, moment, rig, TARGET_UMBRA), known(print.clipped), known(print.lost),
        known(now->aim.drift_arcsec_per_s), known(drift.rate_east_arcsec_per_s),
        known(drift.polar_north_arcsec_per_s));
    put(" Moon at %.3f %.3f, put %.3f %.3f, composed %.3f %.3f, stays %.0f %.0f %.0f;",
        known(now->moon_at.x), known(now->moon_at.y), known(place.x), known(place.y),
        known(now->composed.x), known(now->composed.y), known(now->aim.centred_stays_s),
        known(now->aim.placed_stays_s), known(now->turned_stays_s));
    put(" frames %.0f of %.0f, empty %s swap %s, card %s %s every %.0f; last %s behind %.0f %.0f",
        kit->card.frames, known(kit->card.frames_fit), TIME(kit->battery_empty_utc),
        TIME(kit->swap_utc), TIME(kit->card.full_utc), TIME(kit->card_utc),
        known(kit->card.interval_fits_s), TIME(album->last_utc), known(album->behind_s),
        known(album->clock_error_s));
    if (album->looked)
        put(" limb %.2f best %.2f, Moon seen at %.3f %.3f off %.3f", known(album->limb_px),
            known(moment->readings.album[rig].best_limb_px), known(album->spot.place.x),
            known(album->spot.place.y), known(album->spot.off));
    say("numbers", rig);
}

/* The numbers of a moment that never stand still. */
static inline void ledger_numbers(const struct night *night, const struct moment *moment)
{
    const struct air_trend *trend = &moment->air_trend;

    ledger.utc = moment->utc;
    put(" Moon %.3f %.3f, disc %.4g sky %.4g, lit %.4g umbra %.4g;",
        deg_from_rad(moment->moon.altitude_rad), deg_from_rad(moment->moon.azimuth_rad),
        known(moment->luminance), known(moment->sky_luminance), known(moment->light.lit),
        known(moment->light.umbra));
    put(" forecast %.1f %.1f %.1f %.0f%s; air %.1f %.0f margin %.1f, %.2f %.2f an hour, gone %s;",
        known(moment->forecast.cloud_percent), known(moment->forecast.temperature_c),
        known(moment->forecast.wind_m_s), known(moment->forecast_age_s),
        moment->forecast_old ? " old" : "", known(moment->air.temperature_c),
        known(moment->air.humidity_percent), known(moment->air.margin_c),
        known(trend->temperature_c_per_h), known(trend->margin_c_per_h), TIME(trend->gone_utc));
    put(" laptop %s", TIME(moment->laptop_empty_utc));
    say("numbers", -1);
    for (int rig = 0; rig < night->setup.rig_count; rig++)
        say_numbers(night, moment, rig);
}

/* Counts of pictures come every minute: they are left out. */
static inline void ledger_act(const struct act *act, const char *by)
{
    const struct act_form *form = act_form(act->kind);

    if (act->kind == ACT_PICTURES)
        return;
    ledger.utc = act->utc;
    put(" %s", form->name);
    put_index(act->rig);
    for (int i = 0; form->value[i].name; i++)
        if (act_value_is_instant(form->value[i].name))
            put(" %s %s", form->value[i].name, TIME(act->value[i]));
        else
            put(" %s %.4g", form->value[i].name, known(act->value[i]));
    if (form->has & HAS_TEXT)
        put(" '%s'", act->text);
    fprintf(ledger.out, "%s %s:%s\n", TIME(act->utc), by, line);
    line_bytes = 0;
    *line = '\0';
}

#endif
