/* One line per change, for a screen reader, a log, or a terminal that cannot place text. Each topic
 * has one text, without running numbers; it is printed when it differs from the last one. */
#include "panels.h"

#include <moonstand/aim_words.h>
#include <moonstand/album_words.h>
#include <moonstand/around_words.h>
#include <moonstand/clock_words.h>
#include <moonstand/event_words.h>
#include <moonstand/lines.h>
#include <moonstand/list_words.h>
#include <moonstand/power_words.h>
#include <moonstand/setting_words.h>

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

struct topic {
    const struct scene *scene;
    int rig; /* of a rig's topic; else -1 */
    char *out;
};

__attribute__((format(printf, 2, 3)))
static void say_line(const struct topic *topic, const char *format, ...)
{
    va_list args;

    va_start(args, format);
    (void)vsnprintf(topic->out, LINE_TEXT, format, args);
    va_end(args);
}

/* ---- the night ---- */

static void say_night(const struct topic *topic)
{
    const struct scene *scene = topic->scene;
    const struct night *night = scene->night;
    char title[SENTENCE];

    say_line(topic, "%s%s, %s, times in %s", night->rehearsal ? "rehearsal: " : "",
             night->site.name, eclipse_title_words(&night->eclipse, title),
             reader_zone(scene->about.reader, scene->moment->utc));
}

static void say_sun(const struct topic *topic)
{
    if (sun_warns(&topic->scene->moment->sun))
        say_line(topic, "%s", SUN_WARNING);
}

static void say_next_event(const struct topic *topic)
{
    const struct scene *scene = topic->scene;
    const struct night_event *event = event_to_come(scene->night, scene->moment, 0);
    char text[SENTENCE];

    say_line(topic, "next: %s",
             event ? event_when_words(&scene->about, event, text)
                   : no_event_words(&scene->about, text));
}

static void say_near(const struct topic *topic)
{
    const struct scene *scene = topic->scene;
    const struct night_event *event = event_to_come(scene->night, scene->moment, 0);
    char text[SENTENCE];

    if (event)
        say_line(topic, "%s", event_near_words(&scene->about, event, text));
}

static void say_phase(const struct topic *topic)
{
    if (topic->scene->moment->phase != PHASE_NONE)
        say_line(topic, "phase: %s", phase_name(topic->scene->moment->phase));
}

/* ---- rigs ---- */

static void say_setting(const struct topic *topic)
{
    const struct scene *scene = topic->scene;
    const struct rig_moment *now = &scene->moment->rig[topic->rig];
    char setting[SETTING_WORDS], purpose[SENTENCE];

    if (now->exposure.known && now->aim_state != AIM_DONE)
        say_line(topic, "%s: set %s, %s", scene->night->rig[topic->rig].rig.name,
                 setting_words(&now->exposure, 1, setting),
                 purpose_words(&scene->about, topic->rig, 0, purpose));
}

static void say_aim(const struct topic *topic)
{
    static const bool says_where[] = {[AIM_FREE] = true, [AIM_DUE] = true, [AIM_DOWN] = true};
    const struct scene *scene = topic->scene;
    const struct rig_moment *now = &scene->moment->rig[topic->rig];
    char text[JOB_WORDS], look[SENTENCE] = "", way[SENTENCE] = "";
    bool held = now->pose && pose_is_held(scene->night, scene->moment, topic->rig);
    bool is_alarm = now->aim_state == AIM_DUE;

    if (is_alarm)
        (void)alarm_words(&scene->about, topic->rig, text);
    else
        (void)aim_words(&scene->about, topic->rig, 0, text);
    if (says_where[now->aim_state] && !held)
        (void)look_words(&scene->about, topic->rig, 0, look);
    if (*look && now->pose)
        (void)way_words(&scene->about, now->pose, 0, way);
    say_line(topic, "%s: %s%s%s%s%s", is_alarm ? "ALARM" : scene->night->rig[topic->rig].rig.name,
             text, *look ? "; " : "", look, *way ? "; " : "", way);
}

/* A job that presses or is due, without a running number. */
static void say_job(const struct topic *topic, enum job_kind kind)
{
    const struct scene *scene = topic->scene;
    const struct job *job = hands_job(&scene->moment->hands, kind, topic->rig);
    char words[JOB_WORDS];

    if (job && job->state <= JOB_DUE)
        say_line(topic, "%s", job_words(&scene->about, job, words));
}

static void say_flip(const struct topic *topic)
{
    say_job(topic, JOB_FLIP);
}

static void say_battery(const struct topic *topic)
{
    say_job(topic, JOB_BATTERY);
    say_job(topic, JOB_POWER);
}

static void say_card(const struct topic *topic)
{
    const struct scene *scene = topic->scene;
    char text[SENTENCE];

    if (scene->moment->kit[topic->rig].card_absent)
        say_line(topic, "%s: %s", scene->night->rig[topic->rig].rig.name,
                 card_words(&scene->about, topic->rig, 0, text));
    else
        say_job(topic, JOB_CARD);
}

/* No count of seconds: it would print every second. */
static void say_pictures(const struct topic *topic)
{
    char words[ALBUM_WORDS];

    say_job(topic, JOB_STOPPED);
    say_job(topic, JOB_WRONG);
    say_job(topic, JOB_LOOK);
    if (album_words(topic->scene->moment, topic->rig, 0, words) == ALBUM_TROUBLE)
        say_line(topic, "%s: %s", topic->scene->night->rig[topic->rig].rig.name, words);
}

/* ---- around ---- */

static void say_air(const struct topic *topic)
{
    char text[SENTENCE];

    if (*glass_state_words(&topic->scene->about, -1, 0, text))
        say_line(topic, "air: %s", text);
}

static void say_gps(const struct topic *topic)
{
    say_line(topic, "GPS: %s", gps_state_name(topic->scene->moment->readings.gps.state));
}

static void say_clock(const struct topic *topic)
{
    char text[SENTENCE];

    if (topic->scene->moment->readings.clock_synchronised == 0)
        say_line(topic, "clock: %s", clock_state_words(&topic->scene->about, -1, 0, text));
}

static void say_laptop(const struct topic *topic)
{
    say_job(topic, JOB_LAPTOP);
}

static void say_awake(const struct topic *topic)
{
    const char *awake = awake_name(topic->scene->moment->readings.awake);

    if (*awake)
        say_line(topic, "the laptop: %s", awake);
}

static void say_trouble(const struct topic *topic)
{
    const char *trouble = topic->scene->view->trouble;

    if (trouble && *trouble)
        say_line(topic, UNSAVED_WORDS ": %s", trouble);
}

static void say_message(const struct topic *topic)
{
    if (topic->scene->view->message)
        say_line(topic, "%s", topic->scene->view->message);
}

/* ---- telling ---- */

static const struct {
    void (*say)(const struct topic *topic);
    bool of_rig;
} topics[TOPICS] = {
    {say_night, false},      {say_trouble, false}, {say_sun, false},    {say_phase, false},
    {say_next_event, false}, {say_near, false},    {say_aim, true},     {say_setting, true},
    {say_flip, true},        {say_pictures, true}, {say_battery, true}, {say_card, true},
    {say_air, false},        {say_gps, false},     {say_clock, false},  {say_laptop, false},
    {say_awake, false},      {say_message, false},
};

static void put_line(FILE *out, const struct scene *scene, const char *head, const char *text)
{
    const unsigned form = CLOCK_SECONDS | CLOCK_RUNNING;
    char clock[TEXT_INSTANT];

    (void)fprintf(out, "%s  %s%s\n",
                  clock_words(clock, scene->about.reader, scene->moment->utc, form), head, text);
}

static void tell(FILE *out, const struct scene *scene, int index, int rig, char said[LINE_TEXT])
{
    char text[LINE_TEXT] = "";

    topics[index].say(&(struct topic){scene, rig, text});
    if (strcmp(text, said) == 0)
        return;
    (void)memcpy(said, text, sizeof text);
    if (*text)
        put_line(out, scene, "", text);
}

/* What has come since the last time. */
static void tell_events(FILE *out, const struct scene *scene, double since_utc)
{
    const struct night *night = scene->night;
    char told[SENTENCE];

    for (int i = 0; i < night->event_count; i++) {
        const struct night_event *event = &night->event[i];
        if (night_event_counts(night, event) && event->utc > since_utc &&
            event->utc <= scene->moment->utc)
            put_line(out, scene, "now: ", event_told_words(event, told));
    }
}

/* Open items that fell due since the last time; at the start all that are overdue as one line. */
static void tell_items(FILE *out, const struct scene *scene, double since_utc)
{
    const struct checklist *list = &scene->night->setup.checklist;
    char counts[2 * COUNT_WORDS], overdue[COUNT_WORDS], item[SENTENCE];

    if (isnan(since_utc)) {
        text_add(open_words(scene->moment, counts), sizeof counts, "", "%s",
                 overdue_words(scene->moment, overdue));
        put_line(out, scene, "list: ", counts);
        return;
    }
    for (int i = 0; i < list->count; i++) {
        double due = scene->moment->check_due_utc[i];
        if (isnan(scene->night->checked_utc[i]) && due > since_utc && due <= scene->moment->utc)
            put_line(out, scene, "due: ", item_words(&list->item[i], item));
    }
}

void lines_begin(struct lines *lines)
{
    *lines = (struct lines){.utc = NAN};
}

void lines_tell(struct lines *lines, FILE *out, const struct night *night,
                const struct moment *moment, const struct view *view)
{
    struct scene scene = scene_of(night, moment, view);

    scene.about.reader.still = true;
    tell_events(out, &scene, lines->utc);
    for (int i = 0; i < TOPICS; i++) {
        if (!topics[i].of_rig)
            tell(out, &scene, i, -1, lines->said[i][0]);
        for (int rig = 0; topics[i].of_rig && rig < night->setup.rig_count; rig++)
            tell(out, &scene, i, rig, lines->said[i][rig]);
    }
    tell_items(out, &scene, lines->utc);
    lines->utc = moment->utc;
}
