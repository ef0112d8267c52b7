/* How a wide rig's camera stands on its tripod, in words: the pointing, what it holds, the Moon's way
 * through the picture. */
#include "panels.h"

#include <moonstand/angle.h>

#include <math.h>
#include <stdio.h>
#include <string.h>

/* A tilt that nobody could set is none. */
#define TILT_TOLD_RAD rad_from_deg(0.05)

bool pose_is_held(const struct scene *scene, int rig)
{
    return scene->moment->rig[rig].pose == &scene->night->rig[rig].pose;
}

char *words_tilt(char out[WORDS_LINE], const struct pose *pose)
{
    *out = '\0';
    /* Clockwise from behind, so that its top goes to the right. */
    if (fabs(pose->roll_rad) > TILT_TOLD_RAD)
        (void)snprintf(out, WORDS_LINE, "tilt %.1f %s", fabs(deg_from_rad(pose->roll_rad)),
                       pose->roll_rad > 0 ? "right" : "left");
    return out;
}

char *words_point(char out[WORDS_LINE], const struct pose *pose)
{
    char tilt[WORDS_LINE];

    (void)words_tilt(tilt, pose);
    (void)snprintf(out, WORDS_LINE, "%.1f up, %.1f %s%s%.30s", deg_from_rad(pose->altitude_rad),
                   deg_from_rad(pose->azimuth_rad), compass_point(pose->azimuth_rad),
                   *tilt ? ", " : "", tilt);
    return out;
}

char *words_holds(char out[WORDS_LINE], const struct scene *scene, int rig, bool brief)
{
    const struct pose *pose = scene->moment->rig[rig].pose;
    bool held = pose_is_held(scene, rig);
    double from = held ? pose->since_utc : scene->moment->utc;
    bool is_late = !held && from > scene->night->contact_utc[CONTACT_P1];
    enum contact first = CONTACT_P1, last = CONTACT_P1;
    bool any = pose_holds(scene->night, pose, from, &first, &last);
    char clock[TEXT_INSTANT];
    const char *begins = contact_name(first), *ends = contact_name(last);

    if (pose->rises && pose->enters_utc > from)
        begins = brief ? "rise" : "moonrise";
    else if (!any || (is_late && from >= pose->enters_utc))
        begins = "now";
    if (pose->sets && (!any || last != CONTACT_P4))
        ends = brief ? "set" : "moonset";
    else if (!any)
        ends = clock_minute(clock, scene->about.reader, pose->leaves_utc);
    (void)snprintf(out, WORDS_LINE, "%s to %s", begins, ends);
    return out;
}

bool pose_misses_p4(const struct scene *scene, int rig)
{
    const struct pose *pose = scene->moment->rig[rig].pose;

    return !pose->sets && pose->leaves_utc < scene->night->contact_utc[CONTACT_P4];
}

/* "far left, low"; its first half; only the side of it. */
enum brevity { PLACE_WHOLE, PLACE_HALF, PLACE_SIDE };
static void say_place(char out[FRAME_WORDS], struct frame_point place, enum brevity brevity)
{
    static const char *const degrees[] = {"far ", "a little "};
    char words[FRAME_WORDS];
    const char *side = frame_words(place, 0, words);

    if (brevity != PLACE_WHOLE)
        words[strcspn(words, ",")] = '\0';
    for (size_t i = 0; i < sizeof degrees / sizeof *degrees && brevity == PLACE_SIDE; i++)
        if (strncmp(side, degrees[i], strlen(degrees[i])) == 0)
            side += strlen(degrees[i]);
    (void)snprintf(out, FRAME_WORDS, "%s", side);
}

static void say_enters(char out[WORDS_LINE], const struct scene *scene, const struct pose *pose,
                       enum brevity brevity)
{
    char place[FRAME_WORDS], clock[TEXT_INSTANT];

    say_place(place, pose->enters, brevity);
    if (isfinite(pose->enters_utc))
        (void)snprintf(out, WORDS_LINE, "%s %s", place,
                       clock_minute(clock, scene->about.reader, pose->enters_utc));
    else
        (void)snprintf(out, WORDS_LINE, "long before");
}

static void say_leaves(char out[WORDS_LINE], const struct scene *scene, const struct pose *pose,
                       enum brevity brevity)
{
    char place[FRAME_WORDS], clock[TEXT_INSTANT];

    say_place(place, pose->leaves, brevity);
    if (isfinite(pose->leaves_utc))
        (void)snprintf(out, WORDS_LINE, "%s %s", place,
                       clock_minute(clock, scene->about.reader, pose->leaves_utc));
    else
        (void)snprintf(out, WORDS_LINE, "long after");
}

char *words_enters(char out[WORDS_LINE], const struct scene *scene, const struct pose *pose)
{
    say_enters(out, scene, pose, PLACE_WHOLE);
    return out;
}

char *words_leaves(char out[WORDS_LINE], const struct scene *scene, const struct pose *pose)
{
    say_leaves(out, scene, pose, PLACE_WHOLE);
    return out;
}

const char *words_in(const struct scene *scene, const struct pose *pose)
{
    if (pose->enters_utc < scene->moment->utc)
        return pose->rises ? "rose" : "entered";
    return pose->rises ? "rises" : "enters";
}

void words_way(char out[WORDS_LINE], const struct scene *scene, int rig, struct area area)
{
    static const struct {
        bool verbs;
        enum brevity brevity;
    } forms[] = {{true, PLACE_WHOLE}, {true, PLACE_HALF}, {false, PLACE_HALF}, {false, PLACE_SIDE}};
    const struct pose *pose = scene->moment->rig[rig].pose;
    char enters[WORDS_LINE], leaves[WORDS_LINE], p4[TEXT_INSTANT + 8] = "", clock[TEXT_INSTANT];

    if (pose_misses_p4(scene, rig))
        (void)snprintf(
            p4, sizeof p4, ", P4 %s",
            clock_minute(clock, scene->about.reader, scene->night->contact_utc[CONTACT_P4]));
    for (size_t i = 0; i < sizeof forms / sizeof *forms; i++) {
        say_enters(enters, scene, pose, forms[i].brevity);
        say_leaves(leaves, scene, pose, forms[i].brevity);
        if (forms[i].verbs)
            (void)snprintf(out, WORDS_LINE, "Moon %s %.50s, %s %.50s%s", words_in(scene, pose),
                           enters, pose->sets ? "sets" : "leaves", leaves, p4);
        else
            (void)snprintf(out, WORDS_LINE, "%.50s to %.50s%s", enters, leaves, p4);
        if (text_columns(area.canvas->glyphs, out) <= area.width)
            return;
    }
    (void)snprintf(out, WORDS_LINE, "%.50s to %.50s", enters, leaves);
}

enum role words_pose(char out[WORDS_LINE], const struct scene *scene, int rig)
{
    const struct rig_moment *now = &scene->moment->rig[rig];
    char holds[WORDS_LINE];

    if (!pose_is_held(scene, rig)) {
        (void)snprintf(out, WORDS_LINE, "not aimed: aim, then press a");
        return ROLE_STALE;
    }
    if (isfinite(now->due_in_s))
        (void)snprintf(out, WORDS_LINE, "covers %s", words_holds(holds, scene, rig, false));
    else
        (void)snprintf(out, WORDS_LINE, "covers %s: do not touch it",
                       words_holds(holds, scene, rig, false));
    return ROLE_VALUE;
}
