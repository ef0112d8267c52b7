/* One rig: what to set, where to aim. */
#include "panels.h"

#include <moonstand/angle.h>
#include <moonstand/words.h>

#include <math.h>
#include <stdio.h>
#include <string.h>

struct rig_scene {
    const struct scene *scene;
    int index;
    const struct rig_state *state;
    const struct rig_moment *now;
};

/* ---- setting ---- */

static enum role setting_role(const struct exposure *exposure)
{
    return exposure->known ? ROLE_STRONG : ROLE_STALE;
}

enum { WORDS_WHAT = 112 };
/* A bracket by itself, and by how much its last frame misses the umbra. */
static void say_bracket(char out[WORDS_WHAT], const struct exposure *exposure, const char *limit,
                        int brevity)
{
    bool is_short = *limit && exposure->deficit_stops > 0;
    int frames = exposure->bracket_frames;
    double step = exposure->bracket_step_stops;

    if (brevity == 0 || (brevity == 1 && !is_short))
        (void)snprintf(out, WORDS_WHAT, "%d frames, %.3g stops apart%s%s", frames, step,
                       *limit && brevity == 0 ? ", " : "", brevity == 0 ? limit : "");
    else if (is_short)
        (void)snprintf(out, WORDS_WHAT, "%d x %.3g%s, umbra %.1f short", frames, step,
                       brevity > 1 ? "" : " stops", exposure->deficit_stops);
    else
        (void)snprintf(out, WORDS_WHAT, "%d x %.3g stops", frames, step);
}

/* What it is for, what limits it, and by how much the user has set it off; with more brevity the
 * words that can be missed give way. */
enum { LIMIT_BREVITIES = 3 };
static void say_limit_in(char out[WORDS_LINE], const struct rig_scene *rig, int brevity)
{
    const struct exposure *exposure = &rig->now->exposure;
    bool named = rig->scene->gutter >= GUTTER_NAME || brevity > 0;
    bool corrected = fabs(exposure->correction_stops) >= 0.05; /* a frame's word on the air leaves
                                                                  some thousand millionths */
    char limit[LIMIT_WORDS], what[WORDS_WHAT], correction[16] = "";

    /* That light runs away from a setting counts for more than what keeps it from being better. */
    if (!*off_words(&rig->state->rig, rig->now->off_stops, limit))
        (void)limit_words(&rig->state->rig, exposure, limit);
    if (corrected && brevity < 2)
        (void)snprintf(correction, sizeof correction, ", %+.1f", exposure->correction_stops);
    if (exposure->known && exposure->bracket_frames > 1)
        say_bracket(what, exposure, limit, brevity);
    else if (*limit && brevity > 0)
        (void)snprintf(what, sizeof what, "%s", limit);
    else
        (void)snprintf(what, sizeof what, "%s%s%s", target_words(exposure->target),
                       *limit ? ", " : "", limit);
    (void)snprintf(out, WORDS_LINE, "%s%s%s%s", named ? "" : rig->state->rig.name,
                   named ? "" : ", ", what, correction);
}

/* What the sky hides counts for more than what it is exposed for. */
static void say_lost(char out[WORDS_LINE], const struct rig_scene *rig, struct area area)
{
    char clock[TEXT_INSTANT], words[LOST_WORDS];

    (void)clock_minute(clock, rig->scene->about.reader, rig->now->lost_span.span.to);
    for (int i = 0; i < LOST_BREVITIES; i++) {
        (void)snprintf(out, WORDS_LINE, "%s", lost_words(&rig->now->lost_span, clock, i, words));
        if (text_columns(area.canvas->glyphs, out) <= area.width)
            return;
    }
}

/* The numbers stand at the end: where all of it does not fit, the words give way. */
static void say_limit(char out[WORDS_LINE], const struct rig_scene *rig, struct area area)
{
    if (rig->now->lost) {
        say_lost(out, rig, area);
        return;
    }
    for (int i = 0; i < LIMIT_BREVITIES; i++) {
        say_limit_in(out, rig, i);
        if (text_columns(area.canvas->glyphs, out) <= area.width)
            return;
    }
}

static void say_change(char out[WORDS_LINE], const struct rig_scene *rig, struct area area)
{
    char dial[DIAL_WORDS], clock[TEXT_INSTANT];

    out[0] = '\0';
    if (!isfinite(rig->now->change_utc) || !rig->now->change_to.known)
        return;
    (void)clock_near(clock, &rig->scene->about, rig->now->change_utc, 0);
    (void)dial_words(&rig->now->change_to, dial);
    (void)snprintf(out, WORDS_LINE, "%s set %s", clock, dial);
    if (text_columns(area.canvas->glyphs, out) > area.width)
        (void)snprintf(out, WORDS_LINE, "%s %s", clock, dial);
    if (text_columns(area.canvas->glyphs, out) > area.width && strchr(out, '('))
        *(strchr(out, '(') - 1) = '\0';
}

/* ---- aim ---- */

/* Until when a Moon stays that is not to be aimed at again. */
static const char *say_until(char out[TEXT_INSTANT], const struct scene *scene, int rig)
{
    const struct moment *moment = scene->moment;
    double ends = scene->night->rig[rig].ends_utc;

    if (moment->horizon_utc < ends && !moment->horizon_is_rise)
        return "moonset";
    if (ends == scene->night->contact_utc[CONTACT_P4])
        return "P4";
    return clock_minute(out, scene->about.reader, ends);
}

static void say_late(char out[WORDS_LINE], const struct scene *scene, int rig)
{
    const struct rig_moment *now = &scene->moment->rig[rig];
    char clock[TEXT_INSTANT], words[LOSS_WORDS];

    (void)clock_near(clock, &scene->about, now->loss_utc, 0);
    if (now->loss != LOSS_NONE)
        (void)snprintf(out, WORDS_LINE, "RE-AIM: %s", loss_say(now->loss, clock, true, words));
    else
        (void)snprintf(out, WORDS_LINE, "RE-AIM NOW%s%s", now->due_before < 0 ? "" : ", before ",
                       now->due_before < 0 ? "" : contact_name((enum contact)now->due_before));
}

enum role words_aim(char out[WORDS_LINE], const struct scene *scene, int rig)
{
    char span[TEXT_SPAN], clock[TEXT_INSTANT];
    const struct rig_moment *now = &scene->moment->rig[rig];
    double left = now->due_in_s;

    (void)(left > 0 ? format_left(span, left) : format_span(span, -left));
    switch (now->aim_state) {
    case AIM_FREE:
        (void)snprintf(out, WORDS_LINE, "not aimed: aim, then press a");
        return ROLE_STALE;
    case AIM_STEADY:
        if (isfinite(left))
            (void)snprintf(out, WORDS_LINE, "re-aim in %s", span);
        else if (now->pose)
            return words_pose(out, scene, rig);
        else
            (void)snprintf(out, WORDS_LINE, "stays in frame to %s", say_until(clock, scene, rig));
        return ROLE_VALUE;
    case AIM_SOON:
        (void)snprintf(out, WORDS_LINE, "RE-AIM IN %s", span);
        return ROLE_DUE;
    case AIM_DUE:
        say_late(out, scene, rig);
        return ROLE_ALARM;
    case AIM_SNOOZED:
        (void)snprintf(out, WORDS_LINE, "re-aim %s%s, quiet until %s", left < 0 ? "" : "in ",
                       left < 0 ? "due" : span,
                       clock_near(clock, &scene->about, scene->night->rig[rig].snoozed_until, 0));
        return ROLE_DUE;
    case AIM_TRACKED:
        if (!scene->moment->moon.up)
            break;
        (void)snprintf(out, WORDS_LINE, "%s",
                       now->out_of_reach ? "out of the mount's reach" : "the mount follows");
        return now->out_of_reach ? ROLE_DUE : ROLE_VALUE;
    case AIM_DONE:
        (void)snprintf(out, WORDS_LINE, "%s",
                       scene->night->rig[rig].rig.support == SUPPORT_FIXED ? "no more re-aims"
                                                                           : "the mount may stop");
        return ROLE_DONE;
    case AIM_DOWN:
        if (now->pose)
            return words_pose(out, scene, rig);
        break;
    }
    (void)snprintf(out, WORDS_LINE, "%s", hidden_words(&scene->moment->moon));
    return ROLE_STALE;
}

/* The pointing and what it covers, in as many words as fit. */
static void say_pointing(char out[WORDS_LINE], const struct rig_scene *rig, struct area area)
{
    static const char *const before[] = {"point ", "", ""};
    static const char *const between[] = {": covers ", ": covers ", ": "};
    enum { FORMS = sizeof before / sizeof *before };
    char point[WORDS_LINE], holds[WORDS_LINE];

    (void)words_point(point, rig->now->pose);
    (void)words_holds(holds, rig->scene, rig->index, false);
    for (int i = 0; i < FORMS; i++) {
        (void)snprintf(out, WORDS_LINE, "%s%.50s%s%.30s", before[i], point, between[i], holds);
        if (text_columns(area.canvas->glyphs, out) <= area.width)
            return;
    }
    (void)snprintf(out, WORDS_LINE, "%.50s", point);
}

/* Where to put the Moon, in as many words as fit. */
static void say_place(char out[WORDS_LINE], const struct rig_scene *rig, struct area area)
{
    static const char *const forms[] = {"put the Moon ", "put it ", ""};
    enum { FORMS = sizeof forms / sizeof *forms };
    const struct aim *aim = &rig->now->aim;
    char words[FRAME_WORDS], span[TEXT_SPAN];

    out[0] = '\0';
    if (rig->now->aim_state == AIM_DONE)
        return;
    if (rig->now->pose) {
        say_pointing(out, rig, area);
        return;
    }
    if (rig->now->aim_state == AIM_DOWN || !isfinite(aim->drift_px_per_s))
        return;
    if (rig->now->aim_state == AIM_TRACKED) {
        (void)snprintf(out, WORDS_LINE, "drifts %.2f px a second", aim->drift_px_per_s);
        return;
    }
    (void)frame_words(aim->place, 0, words);
    (void)format_span(span, aim->placed_stays_s);
    for (int i = 0; i < FORMS; i++) {
        (void)snprintf(out, WORDS_LINE, "%s%s: stays in frame %s", forms[i], words, span);
        if (text_columns(area.canvas->glyphs, out) <= area.width)
            return;
    }
    (void)snprintf(out, WORDS_LINE, "%s", words);
}

static void say_centred(char out[WORDS_LINE], const struct rig_scene *rig, struct area area)
{
    char span[TEXT_SPAN];

    out[0] = '\0';
    if (rig->now->aim_state == AIM_DONE)
        return;
    if (rig->now->pose)
        words_way(out, rig->scene, rig->index, area);
    else if (rig->state->rig.support == SUPPORT_FIXED && isfinite(rig->now->aim.centred_stays_s))
        (void)snprintf(out, WORDS_LINE, "put in the centre: stays %s",
                       format_span(span, rig->now->aim.centred_stays_s));
}

/* A pose has three lines to say; where there are fewer, the first one says how it stands and whether
 * it is to be touched. */
static bool say_briefly(char first[WORDS_LINE], char second[WORDS_LINE],
                        const struct rig_scene *rig, struct area area)
{
    char point[WORDS_LINE], holds[WORDS_LINE], way[WORDS_LINE];
    const struct rig_moment *now = rig->now;
    bool held = now->pose && pose_is_held(rig->scene, rig->index);

    if (area.height > 2 || !now->pose || now->aim_state == AIM_DONE)
        return false;
    (void)words_point(point, now->pose);
    (void)words_holds(holds, rig->scene, rig->index, true);
    if (!held && (now->aim_state == AIM_FREE || now->aim_state == AIM_DOWN)) {
        (void)snprintf(first, WORDS_LINE, "aim %.50s, press a", point);
        if (text_columns(area.canvas->glyphs, first) > area.width)
            (void)snprintf(
                first, WORDS_LINE, "aim %.0f up, %.0f %s: a", deg_from_rad(now->pose->altitude_rad),
                deg_from_rad(now->pose->azimuth_rad), compass_point(now->pose->azimuth_rad));
    }
    if (held && !isfinite(now->due_in_s))
        (void)snprintf(first, WORDS_LINE, "%.50s: do not touch it", point);
    int columns = text_columns(area.canvas->glyphs, holds) + 2;
    words_way(way, rig->scene, rig->index, area_part(area, 0, 0, area.width - columns, 1));
    (void)snprintf(second, WORDS_LINE, "%.30s: %.100s", holds, way);
    if (text_columns(area.canvas->glyphs, second) > area.width)
        (void)snprintf(second, WORDS_LINE, "%.100s", way);
    return true;
}

/* ---- the panel ---- */

static void draw_name(struct area area, const struct rig_scene *rig)
{
    bool chosen = rig->scene->view->rig == rig->index;
    enum role role = chosen ? ROLE_STRONG : ROLE_LABEL;

    (void)area_print(area, 0, 0, role, "%s%d",
                     chosen ? glyph(area.canvas->glyphs, GLYPH_POINTER) : " ", rig->index + 1);
    if (area.width >= GUTTER_NAME - 1)
        (void)area_text(area, 3, 0, role, rig->state->rig.name);
    if (area.width >= GUTTER_LENS - 1)
        (void)area_text(area, 3, 1, ROLE_LABEL, rig->state->rig.lens);
}

static void draw_done(struct area area, const struct rig_scene *rig)
{
    char clock[TEXT_INSTANT];

    (void)area_text(area, 0, 0, ROLE_DONE, "done");
    (void)area_print(area, 0, 1, ROLE_LABEL, "last frame %s",
                     clock_near(clock, &rig->scene->about, rig->state->ends_utc, 0));
}

/* What the pictures tell takes the place of what the exposure is for. */
static bool draw_album(struct area area, const struct rig_scene *rig)
{
    static const enum role roles[] = {[ALBUM_QUIET] = ROLE_VALUE,
                                      [ALBUM_TROUBLE] = ROLE_DUE,
                                      [ALBUM_WRONG] = ROLE_DUE,
                                      [ALBUM_STOPPED] = ROLE_ALARM};
    enum album_news news = ALBUM_NONE;
    char words[ALBUM_WORDS] = "";

    for (int i = 0; i < ALBUM_BREVITIES; i++) {
        news = album_words(rig->scene->moment, rig->index, i, words);
        if (text_columns(area.canvas->glyphs, words) <= area.width)
            break;
    }
    if (news == ALBUM_NONE || (news == ALBUM_QUIET && rig->now->lost))
        return false;
    (void)area_text(area, 0, 1, roles[news], words);
    return true;
}

static void draw_setting(struct area area, const struct rig_scene *rig)
{
    const struct exposure *exposure = &rig->now->exposure;
    char setting[WORDS_SETTING], text[WORDS_LINE];

    if (rig->now->aim_state == AIM_DONE) {
        draw_done(area, rig);
        return;
    }
    /* Beside a lost Moon there is one line for all of a bracket. */
    struct area dial = rig->now->lost ? area_part(area, 0, 0, area.width, 1) : area;
    (void)area_text(area, 0, 0, setting_role(exposure), words_setting(setting, exposure, dial));
    say_limit(text, rig, area);
    if (!draw_album(area, rig))
        (void)area_text(area, 0, 1,
                        exposure->deficit_stops > 0 || rig->now->lost ? ROLE_DUE : ROLE_LABEL,
                        text);
    say_change(text, rig, area);
    (void)area_text(area, 0, 2, ROLE_LABEL, text);
}

/* Setting at the left, aim at the right, line by line. */
static void draw_columns(struct area area, const struct rig_scene *rig)
{
    int half = area.width < 66 ? area.width / 2 : area.width * 9 / 20;
    struct area left = area_part(area, 0, 0, half - 1, area.height);
    struct area right = area_part(area, half, 0, area.width - half, area.height);
    char first[WORDS_LINE], second[WORDS_LINE];

    draw_setting(left, rig);
    enum role role = words_aim(first, rig->scene, rig->index);
    if (!say_briefly(first, second, rig, right))
        say_place(second, rig, right);
    (void)area_text(right, 0, 0, role, first);
    (void)area_text(right, 0, 1, ROLE_VALUE, second);
    say_centred(first, rig, right);
    (void)area_text(right, 0, 2, ROLE_LABEL, first);
}

/* What to dial, with the frames of a bracket behind it. */
static void draw_dial(struct area area, const struct exposure *exposure)
{
    char setting[WORDS_SETTING], frames[WORDS_SETTING] = "";

    if (exposure->known && exposure->bracket_frames > 1)
        (void)snprintf(frames, sizeof frames, "  %d x %.3g stops", exposure->bracket_frames,
                       exposure->bracket_step_stops);
    (void)words_setting(setting, exposure,
                        area_part(area, 0, 0, area.width - (int)strlen(frames), area.height));
    int end = area_text(area, 0, 0, setting_role(exposure), setting);
    (void)area_text(area, end, 0, ROLE_LABEL, frames);
}

/* Narrow: everything below everything. */
static void draw_stack(struct area area, const struct rig_scene *rig)
{
    enum { AIM_LEAST = 8 };
    const struct exposure *exposure = &rig->now->exposure;
    bool chosen = rig->scene->view->rig == rig->index;
    char setting[WORDS_SETTING], text[WORDS_LINE];
    enum role role = words_aim(text, rig->scene, rig->index);

    int x = area_print(area, 0, 0, chosen ? ROLE_STRONG : ROLE_LABEL, "%s%d ",
                       chosen ? glyph(area.canvas->glyphs, GLYPH_POINTER) : " ", rig->index + 1);
    bool done = rig->now->aim_state == AIM_DONE;
    if (area.height == 1) {
        if (done)
            (void)snprintf(setting, sizeof setting, "done");
        else if (exposure->known && exposure->bracket_frames == 1)
            (void)dial_words(exposure, setting);
        else
            (void)words_setting(setting, exposure, area_part(area, x, 0, area.width - x, 1));
        x = area_text(area, x, 0, setting_role(exposure), setting);
        if (area.width - x >= AIM_LEAST)
            (void)area_text(area, x + 2, 0, role, text);
        return;
    }
    if (done)
        (void)area_text(area, x, 0, ROLE_DONE, "done");
    else
        draw_dial(area_part(area, x, 0, area.width - x, area.height), exposure);
    (void)area_text(area, x, 1, role, text);
    say_place(text, rig, area_part(area, x, 2, area.width - x, 1));
    (void)area_text(area, x, 2, ROLE_VALUE, text);
}

void panel_rig(struct area area, const struct scene *scene, int index)
{
    const struct rig_scene rig = {scene, index, &scene->night->rig[index],
                                  &scene->moment->rig[index]};
    enum { PRINT_FROM = 150, PRINT_LINES = 3 };
    int margin = scene->gutter;

    if (margin == 0) {
        draw_stack(area, &rig);
        return;
    }
    if (area.width >= PRINT_FROM && area.height >= PRINT_LINES) {
        int columns = 3 * area.height + 2;
        panel_print(area_part(area, area.width - columns, 0, columns, area.height), scene, index);
        area = area_part(area, 0, 0, area.width - columns - 1, area.height);
    }
    draw_name(area_part(area, 0, 0, margin - 1, area.height), &rig);
    draw_columns(area_part(area, margin, 0, area.width - margin, area.height), &rig);
}
