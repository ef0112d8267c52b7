/* All that is said in six whole nights, against tests/prints/sentences-NAME.txt: every sentence at every
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
#include <moonstand/words.h>

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
            fprintf(out, "  job: %s\n", walk_words(&subject, &moment.hands.job[i], job));
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
    for (int i = 0; i < night->setup.rig_count; i++)
        fprintf(out, "%s\n", misfit_words(night, i, round));
}

static void acts(const struct act *act, const char *by)
{
    const struct reader reader = reader_local(night);
    char people[ACT_TEXT], tools[ACT_TEXT];

    if (act->kind == ACT_PICTURES)
        return;
    act_words(night, act, &reader, people, sizeof people);
    act_words(night, act, NULL, tools, sizeof tools);
    if (strcmp(people, tools) == 0)
        fprintf(out, "%s: %s\n", by, people);
    else
        fprintf(out, "%s: %s | %s\n", by, people, tools);
}

static void turns(void) {}

static void minute(void)
{
    if (moment.utc < said_utc)
        return;
    said_utc += EVERY_S;
    write_hands();
    for (size_t i = 0; i < sizeof sentences / sizeof *sentences; i++)
        if (sentences[i].of == OF_NIGHT)
            write_sentence(i, -1);
        else
            for (int rig = 0; rig < night->setup.rig_count; rig++)
                if (sentences[i].of == OF_RIG || moment.rig[rig].pose)
                    write_sentence(i, rig);
    for (int rig = 0; rig < night->setup.rig_count; rig++)
        write_rig(rig);
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
