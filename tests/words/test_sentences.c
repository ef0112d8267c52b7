/* All that is said in eleven nights, against tests/prints/sentences-NAME.txt: every sentence at every
 * brevity, jobs, acts, rounds. Whether it is true and fits, the other tests say; here no wording changes
 * unseen. BLESS=1 writes them anew: the difference is then for people to review. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "blessed.h"
#include "night/tales.h"

#include "../../src/words/parts.h"

#include <moonstand/aim_words.h>
#include <moonstand/album_words.h>
#include <moonstand/around_words.h>
#include <moonstand/clock_words.h>
#include <moonstand/event_words.h>
#include <moonstand/job_words.h>
#include <moonstand/list_words.h>
#include <moonstand/paper_words.h>
#include <moonstand/power_words.h>
#include <moonstand/record_words.h>
#include <moonstand/setup_words.h>
#include <moonstand/sky_words.h>

#include <ctype.h>

#define EVERY_S 3600.0

static const struct {
    const char *name;
    sentence *say;
    enum { OF_NIGHT, OF_RIG, OF_POSE } of; /* of a rig that has a pose */
} sentences[] = {
    {"phase", phase_words, OF_NIGHT},
    {"place", moon_place_words, OF_NIGHT},
    {"horizon", horizon_words, OF_NIGHT},
    {"light", light_words, OF_NIGHT},
    {"air", air_words, OF_NIGHT},
    {"air source", air_source_words, OF_NIGHT},
    {"air trend", air_trend_words, OF_NIGHT},
    {"glass", glass_state_words, OF_NIGHT},
    {"gps", gps_words, OF_NIGHT},
    {"clock", clock_state_words, OF_NIGHT},
    {"laptop", laptop_words, OF_NIGHT},
    {"site", site_words, OF_NIGHT},
    {"purpose", purpose_words, OF_RIG},
    {"next", next_words, OF_RIG},
    {"aim", aim_words, OF_RIG},
    {"look", look_words, OF_RIG},
    {"else", else_words, OF_RIG},
    {"pose", pose_words, OF_POSE},
    {"pose state", pose_state_words, OF_POSE},
    {"pose way", pose_way_words, OF_POSE},
    {"covers", covers_words, OF_POSE},
    {"battery", battery_words, OF_RIG},
    {"life", life_words, OF_RIG},
    {"supply", supply_words, OF_RIG},
    {"card", card_words, OF_RIG},
    {"last frame", last_frame_words, OF_RIG},
    {"clock error", camera_clock_words, OF_RIG},
    {"no clocks", unnoted_clocks_words, OF_NIGHT},
    {"time card", time_card_words, OF_NIGHT},
};

static FILE *out;
static double said_utc;

static struct subject about(void)
{
    return (struct subject){night, &moment, reader_local(night)};
}

/* Every length of it that differs from the one before. */
static void write_sentence(size_t which, int rig)
{
    const struct subject subject = about();
    char text[SENTENCE], before[SENTENCE] = "";
    bool said = false;

    for (int brevity = 0; brevity < BREVITIES; brevity++) {
        (void)sentences[which].say(&subject, rig, brevity, text);
        if (strcmp(text, before) == 0)
            continue;
        if (!said)
            fprintf(out, "  %s %d: ", sentences[which].name, rig);
        fprintf(out, "%s%s", said ? " | " : "", text);
        memcpy(before, text, sizeof before);
        said = true;
    }
    fprintf(out, said ? "\n" : "");
}

static void write_rig(int rig)
{
    const struct exposure *exposure = &moment.rig[rig].exposure;
    char setting[SETTING_WORDS], bracket[BRACKET_WORDS], off[STOPS_WORDS], limit[LIMIT_WORDS];
    char help[HELP_WORDS], album[ALBUM_WORDS];
    const char *helps = exposure_help(&night->rig[rig].rig, exposure, help);

    for (int brevity = 0; brevity < 3; brevity++)
        fprintf(out, brevity ? " | %s%s%s" : "  set: %s%s%s",
                setting_words(exposure, brevity, setting), exposure->bracket_frames > 1 ? "; " : "",
                bracket_words(exposure, brevity, bracket));
    fprintf(out, "; %s; %s; %s\n", off_words(&night->rig[rig].rig, &moment.rig[rig], off),
            limit_words(&night->rig[rig].rig, exposure, 0, limit), helps ? helps : "-");
    for (int brevity = 0; brevity < ALBUM_BREVITIES; brevity++)
        if (album_words(&moment, rig, brevity, album) != ALBUM_NONE)
            fprintf(out, "  pictures %d: %s\n", brevity, album);
}

static void write_hands(void)
{
    const struct subject subject = about();
    struct hands_words words;
    char job[JOB_WORDS], left[ROUNDS_LEFT_WORDS];

    hands_say(&subject, &words);
    fprintf(out, "%s: %s / %s%s / %s (%s)\n",
            clock_second((char[TEXT_INSTANT]){0}, subject.reader, moment.utc), words.now,
            words.then, words.then_due ? " (due)" : "", words.label,
            rounds_left_words(&subject, left));
    for (int i = 0; i < moment.hands.count; i++)
        if (moment.hands.job[i].walk == i)
            fprintf(out, "  job: %s\n", walk_words(&subject, &moment.hands.job[i], false, job));
}

/* What a sheet of paper says of a rig. */
static void write_plan(int rig)
{
    const struct subject paper = {night, NULL, reader_local(night)};
    const struct run *run = &night->run[rig];
    const struct rig_power *power = &night->power[rig];
    struct first_aim first;
    char text[SENTENCE], lost[LOST_WORDS], every[INTERVAL_WORDS];

    first_aim_make(night, rig, &first);
    if (isfinite(first.utc)) {
        fprintf(out, "  %s | ", first_aim_words(&paper, &first, text));
        fprintf(out, "%s | ", first_stay_words(&first, text));
        fprintf(out, "%s\n", night->framing[rig].re_aims < 0 ? "-" : re_aims_words(&night->framing[rig], text));
    }
    fprintf(out, "  %s\n", aim_plan_words(&paper, rig, text));
    if (night->framing[rig].whole.known) {
        fprintf(out, "  %s | ", whole_words(&paper, rig, text));
        fprintf(out, "%s | ", way_words(&paper, &night->framing[rig].whole, 0, text));
        fprintf(out, "%s | ", spacing_words(night, rig, text));
        fprintf(out, "%s\n", chain_words(&paper, rig, text));
    }
    fprintf(out, "  %s | ", interval_words(&night->shooting[rig], every));
    fprintf(out, "%s | ", shoots_words(night, rig, 1000 + rig, text));
    fprintf(out, "%s\n", bracket_sheet_words(&night->rig[rig].rig, text));
    for (int i = 0; i < run->lost_count; i++)
        fprintf(out, "  %s; %s, %s\n", lost_span_words(&run->lost[i], paper.reader, lost),
                lost_event_words(&run->lost[i], false), lost_event_words(&run->lost[i], true));
    fprintf(out, "  %s | ", needed_words(&paper, rig, power, text));
    fprintf(out, "%s | ", swaps_words(&paper, power, text));
    fprintf(out, "%s\n", supply_plan_words(&paper, rig, power, text));
}

static void write_events(void)
{
    const struct subject subject = about();
    char told[SENTENCE], when[SENTENCE];

    for (int i = 0; i < night->event_count; i++)
        if (night->event[i].utc > moment.utc)
            fprintf(out, "  %s | %s%s\n", event_told_words(&night->event[i], told),
                    event_when_words(&subject, &night->event[i], when),
                    is_unseen(&night->event[i]) ? " (unseen)" : "");
}

/* What of the list is amiss, late or next. */
static void write_list(void)
{
    const struct subject subject = about();
    char open[COUNT_WORDS], overdue[COUNT_WORDS], stand[SENTENCE], fault[SENTENCE], text[SENTENCE];

    fprintf(out, "  list: %s%s; %s\n", open_words(&moment, open), overdue_words(&moment, overdue),
            no_item_words(&subject));
    for (int i = 0; i < night->setup.checklist.count; i++)
        if (*item_fault_words(&subject, i, fault) || i == moment.check_next || i % 16 == 0)
            fprintf(out, "  %s: %s, %s; %s\n", item_group_words(night, night->setup.checklist.item[i].group),
                    item_words(&night->setup.checklist.item[i], text), item_stand_words(&subject, i, stand), fault);
}

/* The Moon and what comes, as a print of this instant has it. */
static void write_sky(void)
{
    const struct subject subject = about();
    const struct night_event *next = event_to_come(night, &moment, 0);
    char text[SENTENCE];

    fprintf(out, "  sky: %s | ", sight_words(&moment.moon, text));
    fprintf(out, "%s | ", sun_words(moment.sun.altitude_rad, text));
    fprintf(out, "%s\n", next ? event_near_words(&subject, next, text) : no_event_words(&subject, text));
    fprintf(out, "  forecast: %s, ", cloud_words(moment.forecast.cloud_percent, text));
    fprintf(out, "%s\n", forecast_age_words(moment.forecast_age_s, moment.forecast_old, text));
}

static void write_fault(const char *path)
{
    const struct subject subject = about();
    char text[SENTENCE];

    if (*setup_fault_words(&subject, path, text))
        fprintf(out, "  setup %s: %s\n", path, text);
}

/* Aim and mount, what is late, what the page of the setup warns of. */
static void write_aim(int rig)
{
    static const char *const rest[] = {"", ".focal_mm", ".sensor_width_mm", ".power", ".card_gb", ".card_path",
                                       ".pictures", ".composition", ".mount", ".interval_s"};
    const struct subject subject = about();
    char text[SENTENCE], alarm[JOB_WORDS], path[64];

    fprintf(out, "  drift %d: %s | ", rig, drift_words(&moment.rig[rig], text));
    fprintf(out, "%s | ", drift_disc_words(&subject, rig, text));
    fprintf(out, "%s%s\n", flip_words(&moment.rig[rig], text), turning_pays(&moment.rig[rig]) ? " | turn it" : "");
    if (moment.rig[rig].loss != LOSS_NONE)
        fprintf(out, "  late %d: %s\n", rig, alarm_words(&subject, rig, alarm));
    for (size_t i = 0; i < sizeof rest / sizeof *rest; i++) {
        (void)snprintf(path, sizeof path, "rigs[%d]%s", rig, rest[i]);
        write_fault(path);
    }
}

static void begins(void)
{
    struct agenda agenda;
    struct overload overload[OVERLOADS];
    struct remedy remedy;
    char round[ROUND_WORDS], brief[ROUND_WORDS], text[REMEDY_WORDS];
    int overloads;

    said_utc = moment.utc;
    agenda_make(night, -INFINITY, &agenda);
    fprintf(out, "begins: %s\n", begin_words(night, round));
    for (int i = 0; i < agenda.count; i++)
        fprintf(out, "round: %s | %s\n", round_words(night, &agenda.round[i], round),
                round_brief(night, &agenda.round[i], brief));
    overloads = agenda_overloads(night, &agenda, overload);
    for (int i = 0; i < overloads && i < OVERLOADS; i++)
        fprintf(out, "%s\n", overload_words(night, &overload[i], text));
    assert_int_equal(remedy_find(night, &remedy), 0);
    fprintf(out, "%s\n", remedy_words(night, &remedy, text));
    fprintf(out, "%s\n", rounds_words(night, &agenda, round));
    for (int i = 0; i < night->setup.rig_count; i++) {
        fprintf(out, "%s\n", misfit_words(night, i, round));
        write_plan(i);
    }
    write_events();
}

/* ---- every form of words once ---- */

enum { FORMS = 1 << 15 };
static uint64_t forms[FORMS]; /* of all nights; 0: free */

/* Whether words come in a form that has not been before: the same but for numbers. */
static bool is_new(const char *words)
{
    uint64_t form = 1469598103934665603U;
    size_t at;

    for (; *words; words++) {
        form = (form ^ (unsigned char)(isdigit((unsigned char)*words) ? '0' : *words)) * 1099511628211U;
        words += isdigit((unsigned char)*words) ? strspn(words, "0123456789") - 1 : 0;
    }
    for (at = form % FORMS; forms[at] != 0; at = (at + 1) % FORMS)
        if (forms[at] == form)
            return false;
    forms[at] = form;
    return true;
}

static void acts(const struct act *act, const char *by)
{
    const struct reader reader = reader_local(night);
    char people[ACT_TEXT], tools[ACT_TEXT];

    act_words(night, act, &reader, people, sizeof people);
    /* Counts come every minute. */
    if (act->kind == ACT_PICTURES && !is_new(people))
        return;
    act_words(night, act, NULL, tools, sizeof tools);
    if (strcmp(people, tools) == 0)
        fprintf(out, "%s: %s\n", by, people);
    else
        fprintf(out, "%s: %s | %s\n", by, people, tools);
}

static void turns(void) {}

static void write_all(void)
{
    write_hands();
    for (size_t i = 0; i < sizeof sentences / sizeof *sentences; i++)
        if (sentences[i].of == OF_NIGHT)
            write_sentence(i, -1);
        else
            for (int rig = 0; rig < night->setup.rig_count; rig++)
                if (sentences[i].of == OF_RIG || moment.rig[rig].pose)
                    write_sentence(i, rig);
    for (int rig = 0; rig < night->setup.rig_count; rig++) {
        write_rig(rig);
        write_aim(rig);
    }
    write_sky();
    write_list();
    write_fault("air");
    write_fault("gpsd");
    write_fault("site.forecast");
}

/* Once an hour, or in sixty steps, all that is said; in those between, what has not been said in that form. */
static void minute(void)
{
    bool all = moment.utc >= said_utc;
    FILE *print = out;
    char *text = NULL, clock[TEXT_INSTANT];
    size_t size;

    out = open_memstream(&text, &size);
    assert_non_null(out);
    write_all();
    assert_int_equal(fclose(out), 0);
    out = print;
    for (char *line = strtok(text, "\n"); line; line = strtok(NULL, "\n"))
        if (is_new(line) || all)
            fprintf(out, "%s%s%s\n", all ? "" : clock_minute(clock, reader_utc(), moment.utc), all ? "" : " ", line);
    free(text);
    said_utc += all ? fmax(EVERY_S, 60 * step_s) : 0;
}

static void sentences_are_as_blessed(void **state)
{
    static const struct diary kept = {begins, acts, turns, minute, turns};

    (void)state;
    for (int i = 0; i < TALES; i++) {
        char *text = NULL, name[32];
        size_t size;

        out = open_memstream(&text, &size);
        assert_non_null(out);
        tale_live(&tales[i], &kept);
        assert_int_equal(fclose(out), 0);
        (void)snprintf(name, sizeof name, "sentences-%s", tales[i].name);
        hold_print(name, text);
        free(text);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(sentences_are_as_blessed)};

    return cmocka_run_group_tests(tests, NULL, NULL);
}
