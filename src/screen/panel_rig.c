/* One rig: what to set, where to aim. */
#include "panels.h"

#include <moonstand/aim_words.h>
#include <moonstand/album_words.h>
#include <moonstand/list_words.h>
#include <moonstand/setting_words.h>

#include <math.h>

/* ---- setting ---- */

static enum role setting_role(const struct exposure *exposure)
{
    return exposure->known ? ROLE_STRONG : ROLE_STALE;
}

enum role aim_role(const struct scene *scene, int rig)
{
    const struct rig_moment *now = &scene->moment->rig[rig];
    bool held = now->pose && pose_is_held(scene->night, scene->moment, rig);

    switch (now->aim_state) {
    case AIM_SOON:
    case AIM_SNOOZED:
        return ROLE_DUE;
    case AIM_DUE:
        return ROLE_ALARM;
    case AIM_DONE:
        return ROLE_DONE;
    case AIM_TRACKED:
        if (!scene->moment->moon.up)
            return ROLE_STALE;
        return now->out_of_reach ? ROLE_DUE : ROLE_VALUE;
    case AIM_STEADY:
        return isfinite(now->due_in_s) || !now->pose || held ? ROLE_VALUE : ROLE_STALE;
    case AIM_DOWN:
        return held ? ROLE_VALUE : ROLE_STALE;
    case AIM_FREE:
        /* While the Moon is there to be aimed at, and the eclipse is on, it is missing. */
        if (scene->moment->moon.up && scene->moment->phase != PHASE_NONE)
            return ROLE_DUE;
        break;
    }
    return ROLE_STALE;
}

/* Whether its first line has where it points. */
static bool brief_state(const struct scene *scene, int rig)
{
    const struct rig_moment *now = &scene->moment->rig[rig];

    if (pose_is_held(scene->night, scene->moment, rig))
        return !isfinite(now->due_in_s);
    return now->aim_state == AIM_FREE || now->aim_state == AIM_DOWN;
}

/* A pose has three lines to say; where there are fewer, two have to say it. */
static bool is_brief(struct area area, const struct scene *scene, int rig)
{
    const struct rig_moment *now = &scene->moment->rig[rig];

    return area.height <= 2 && now->pose && now->aim_state != AIM_DONE &&
           !moon_is_gone(scene->night, scene->moment);
}

/* Whether nobody will move it any more: until when it needs no hand is all that is wanted, and neither
 * where it points nor how the Moon leaves its frame after all. */
static bool stands_to_the_end(const struct scene *scene, int rig)
{
    const struct rig_moment *now = &scene->moment->rig[rig];
    const struct pose *pose = now->pose;

    return pose && pose_is_held(scene->night, scene->moment, rig) && !isfinite(now->due_in_s) &&
           (pose->sets || pose->leaves_utc >= scene->night->contact_utc[CONTACT_P4]);
}

/* ---- the panel ---- */

static void draw_name(struct area area, const struct scene *scene, int rig)
{
    const struct rig *own = &scene->night->rig[rig].rig;
    bool chosen = scene->view->rig == rig;
    enum role role = chosen ? ROLE_STRONG : ROLE_LABEL;

    (void)area_print(area, 0, 0, role, "%s%d",
                     chosen ? glyph(area.canvas->glyphs, GLYPH_POINTER) : " ", rig + 1);
    if (area.width >= GUTTER_NAME - 1)
        (void)area_text(area, 3, 0, role, own->name);
    if (area.width >= GUTTER_LENS - 1)
        (void)area_text(area, 3, 1, ROLE_LABEL, own->lens);
}

void dial_draw(struct area area, const struct exposure *exposure)
{
    bool alone = area.height == 1;
    char text[SETTING_WORDS];

    for (int brevity = alone ? 1 : 0; brevity < 3; brevity++) {
        (void)setting_words(exposure, brevity, text);
        if (text_columns(area, text) <= area.width)
            break;
    }
    (void)area_text(area, 0, 0, setting_role(exposure), text);
}

/* What the pictures tell takes the place of what the exposure is for. */
static bool draw_album(struct area area, const struct scene *scene, int rig)
{
    static const enum role roles[] = {[ALBUM_QUIET] = ROLE_VALUE,
                                      [ALBUM_TROUBLE] = ROLE_DUE,
                                      [ALBUM_WRONG] = ROLE_DUE,
                                      [ALBUM_STOPPED] = ROLE_ALARM};
    enum album_news news = ALBUM_NONE;
    char words[ALBUM_WORDS] = "";

    for (int i = 0; i < ALBUM_BREVITIES; i++) {
        news = album_words(scene->moment, rig, i, words);
        if (text_columns(area, words) <= area.width)
            break;
    }
    if (news == ALBUM_NONE || (news == ALBUM_QUIET && scene->moment->rig[rig].lost))
        return false;
    (void)area_text(area, 0, 1, roles[news], words);
    return true;
}

static void draw_setting(struct area area, const struct scene *scene, int rig)
{
    const struct rig_moment *now = &scene->moment->rig[rig];
    bool is_short = now->exposure.deficit_stops > 0 || now->lost;

    if (now->aim_state == AIM_DONE) {
        (void)area_text(area, 0, 0, ROLE_DONE, DONE_WORD);
        (void)draw_sentence(area, 1, ROLE_LABEL, last_frame_words, scene, rig);
        return;
    }
    dial_draw(area, &now->exposure);
    if (!draw_album(area, scene, rig))
        (void)draw_sentence(area, 1, is_short ? ROLE_DUE : ROLE_LABEL, purpose_words, scene, rig);
    (void)draw_sentence(area, 2, ROLE_LABEL, next_words, scene, rig);
}

/* Setting at the left, aim at the right, line by line. */
static void draw_columns(struct area area, const struct scene *scene, int rig)
{
    static sentence *const full[] = {aim_words, look_words, else_words};
    static sentence *const brief[] = {aim_words, pose_way_words, else_words};
    int half = left_columns(area);
    struct area right = area_from(area, half, 0);
    sentence *const *says = is_brief(right, scene, rig) ? brief : full;
    const enum role roles[] = {aim_role(scene, rig), ROLE_VALUE, ROLE_LABEL};
    bool stands = stands_to_the_end(scene, rig);

    draw_setting(area_part(area, 0, 0, half - 1, area.height), scene, rig);
    for (int i = 0; i < (stands ? 1 : 3); i++) {
        bool points = i == 0 && !stands && says == brief && brief_state(scene, rig);
        (void)draw_sentence(right, i, roles[i], points ? pose_state_words : says[i], scene, rig);
    }
}

/* Narrow: everything below everything. */
static void draw_stack(struct area area, const struct scene *scene, int rig)
{
    enum { AIM_LEAST = 8 };
    const struct exposure *exposure = &scene->moment->rig[rig].exposure;
    bool chosen = scene->view->rig == rig, done = scene->moment->rig[rig].aim_state == AIM_DONE;
    enum role role = aim_role(scene, rig);
    int brevity = exposure->bracket_frames > 1 ? 2 : 1;
    char text[SETTING_WORDS], frames[BRACKET_WORDS];

    int x = area_print(area, 0, 0, chosen ? ROLE_STRONG : ROLE_LABEL, "%s%d ",
                       chosen ? glyph(area.canvas->glyphs, GLYPH_POINTER) : " ", rig + 1);
    struct area rest = area_from(area, x, 0);
    x = done
            ? area_text(rest, 0, 0, ROLE_DONE, DONE_WORD)
            : area_text(rest, 0, 0, setting_role(exposure), setting_words(exposure, brevity, text));
    x += 2;
    if (area.height == 1) {
        rest = area_from(rest, x, 0);
        if (rest.width >= AIM_LEAST - 2)
            (void)draw_sentence(rest, 0, role, aim_words, scene, rig);
        return;
    }
    if (!done)
        (void)area_text(rest, x, 0, ROLE_LABEL, bracket_words(exposure, 1, frames));
    (void)draw_sentence(rest, 1, role, aim_words, scene, rig);
    if (!stands_to_the_end(scene, rig))
        (void)draw_sentence(rest, 2, ROLE_VALUE, look_words, scene, rig);
}

bool prints_fit(struct area area)
{
    enum { PRINT_FROM = 150 };

    return area.width >= PRINT_FROM;
}

void panel_rig(struct area area, const struct scene *scene, int rig)
{
    enum { PRINT_LINES = 3 };
    int margin = scene->gutter;

    if (margin == 0) {
        draw_stack(area, scene, rig);
        return;
    }
    if (prints_fit(area) && area.height >= PRINT_LINES) {
        int columns = 3 * area.height + 2;
        panel_print(area_from(area, area.width - columns, 0), scene, rig);
        area = area_part(area, 0, 0, area.width - columns - 1, area.height);
    }
    draw_name(area_part(area, 0, 0, margin - 1, area.height), scene, rig);
    draw_columns(area_from(area, margin, 0), scene, rig);
}
