/* One rig: what to set, where to aim. */
#include "panels.h"

#include <math.h>
#include <stdio.h>

/* A stay that the track's end bounds is not told to the second. */
#define LONG_STAY_S (4 * 3600.0)

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

static void say_limit_in(char out[WORDS_LINE], const struct rig_scene *rig, bool brief)
{
    const struct exposure *exposure = &rig->now->exposure;
    bool named = rig->scene->gutter >= GUTTER_NAME;
    int at = snprintf(out, WORDS_LINE, "%s%s%s",
                      brief   ? ""
                      : named ? "target: "
                              : rig->state->rig.name,
                      named || brief ? "" : ", ", target_name(exposure->target));

    if (exposure->known && exposure->deficit_stops != 0)
        at +=
            snprintf(out + at, (size_t)(WORDS_LINE - at), ", %.1f stops %s (%s)",
                     fabs(exposure->deficit_stops), exposure->deficit_stops > 0 ? "dark" : "bright",
                     exposure_limit_name(exposure->limited_by));
    else if (exposure->limited_by != LIMITED_NONE)
        at += snprintf(out + at, (size_t)(WORDS_LINE - at), "%s%s",
                       brief ? ", " : ", limit: ", exposure_limit_name(exposure->limited_by));
    if (exposure->known && exposure->bracket_frames > 1)
        at +=
            snprintf(out + at, (size_t)(WORDS_LINE - at), ", %d frames", exposure->bracket_frames);
    /* What a frame told of the air leaves some thousand millionths of a stop. */
    if (fabs(exposure->correction_stops) >= 0.05)
        (void)snprintf(out + at, (size_t)(WORDS_LINE - at), ", %+.1f", exposure->correction_stops);
}

/* What the sky hides counts for more than what it is exposed for. */
static void say_lost(char out[WORDS_LINE], const struct rig_scene *rig, struct area area)
{
    char clock[WORDS_WHEN], words[LOST_WORDS];

    (void)words_minute(clock, rig->scene, rig->now->lost_span.span.to);
    for (int i = 0; i < LOST_BREVITIES; i++) {
        (void)snprintf(out, WORDS_LINE, "%s", lost_say(&rig->now->lost_span, clock, i, words));
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
    say_limit_in(out, rig, false);
    if (text_columns(area.canvas->glyphs, out) > area.width)
        say_limit_in(out, rig, true);
}

static void say_change(char out[WORDS_LINE], const struct rig_scene *rig, struct area area)
{
    char dial[WORDS_SETTING], clock[WORDS_WHEN];

    out[0] = '\0';
    if (!isfinite(rig->now->change_utc) || !rig->now->change_to.known)
        return;
    (void)words_when(clock, rig->scene, rig->now->change_utc);
    (void)words_dial(dial, &rig->now->change_to);
    (void)snprintf(out, WORDS_LINE, "%s set %s", clock, dial);
    if (text_columns(area.canvas->glyphs, out) > area.width)
        (void)snprintf(out, WORDS_LINE, "%s %s", clock, dial);
}

/* ---- aim ---- */

enum role words_aim(char out[WORDS_LINE], const struct scene *scene, int rig)
{
    char span[TEXT_SPAN], clock[WORDS_WHEN];
    const struct rig_moment *now = &scene->moment->rig[rig];
    double left = now->due_in_s;

    (void)(left > 0 ? format_left(span, left) : format_span(span, -left));
    switch (now->aim_state) {
    case AIM_FREE:
        (void)snprintf(out, WORDS_LINE, "aim it, press a");
        return ROLE_STALE;
    case AIM_STEADY:
        if (left > LONG_STAY_S)
            (void)snprintf(out, WORDS_LINE, "stays in the frame");
        else
            (void)snprintf(out, WORDS_LINE, "re-aim in %s", span);
        return ROLE_VALUE;
    case AIM_SOON:
        (void)snprintf(out, WORDS_LINE, "RE-AIM IN %s", span);
        return ROLE_DUE;
    case AIM_DUE:
        (void)snprintf(out, WORDS_LINE, "RE-AIM NOW, %s over", span);
        return ROLE_ALARM;
    case AIM_SNOOZED:
        (void)snprintf(out, WORDS_LINE, "re-aim %s%s, quiet until %s", left < 0 ? "" : "in ",
                       left < 0 ? "due" : span,
                       words_when(clock, scene, scene->night->rig[rig].snoozed_until));
        return ROLE_DUE;
    case AIM_TRACKED:
        if (!scene->moment->moon.up)
            break;
        (void)snprintf(out, WORDS_LINE, "%s",
                       now->out_of_reach ? "out of the mount's reach" : "the mount follows");
        return now->out_of_reach ? ROLE_DUE : ROLE_VALUE;
    case AIM_DOWN:
        break;
    }
    (void)snprintf(out, WORDS_LINE, "%s", words_hidden(scene));
    return ROLE_STALE;
}

/* Where to put the Moon, in as many words as fit. */
static void say_place(char out[WORDS_LINE], const struct rig_scene *rig, struct area area)
{
    static const char *const forms[] = {"put the Moon ", "put it ", ""};
    enum { FORMS = sizeof forms / sizeof *forms };
    const struct aim *aim = &rig->now->aim;
    char words[FRAME_WORDS], span[TEXT_SPAN];

    out[0] = '\0';
    if (rig->now->aim_state == AIM_DOWN || !isfinite(aim->drift_px_per_s))
        return;
    if (rig->now->aim_state == AIM_TRACKED) {
        (void)snprintf(out, WORDS_LINE, "drifts %.2f px a second", aim->drift_px_per_s);
        return;
    }
    bool composed = isfinite(rig->now->composed.x);
    (void)frame_words(advised_place(rig->now), words);
    (void)format_span(span, aim->placed_stays_s);
    for (int i = 0; i < FORMS; i++) {
        (void)snprintf(out, WORDS_LINE, "%s%s: %s%s", forms[i], words,
                       composed ? "as composed" : "stays ", composed ? "" : span);
        if (text_columns(area.canvas->glyphs, out) <= area.width)
            return;
    }
    (void)snprintf(out, WORDS_LINE, "%s", words);
}

static void say_centred(char out[WORDS_LINE], const struct rig_scene *rig)
{
    char span[TEXT_SPAN];

    out[0] = '\0';
    if (rig->state->rig.support == SUPPORT_FIXED && isfinite(rig->now->aim.centred_stays_s))
        (void)snprintf(out, WORDS_LINE, "put in the centre: stays %s",
                       format_span(span, rig->now->aim.centred_stays_s));
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

/* Setting at the left, aim at the right, line by line. */
static void draw_columns(struct area area, const struct rig_scene *rig)
{
    int half = area.width < 66 ? area.width / 2 : area.width * 9 / 20;
    struct area left = area_part(area, 0, 0, half - 1, area.height);
    struct area right = area_part(area, half, 0, area.width - half, area.height);
    const struct exposure *exposure = &rig->now->exposure;
    char setting[WORDS_SETTING], text[WORDS_LINE];

    (void)area_text(left, 0, 0, setting_role(exposure), words_setting(setting, exposure));
    say_limit(text, rig, left);
    (void)area_text(left, 0, 1,
                    exposure->deficit_stops > 0 || rig->now->lost ? ROLE_DUE : ROLE_LABEL, text);
    say_change(text, rig, left);
    (void)area_text(left, 0, 2, ROLE_LABEL, text);
    enum role role = words_aim(text, rig->scene, rig->index);
    (void)area_text(right, 0, 0, role, text);
    say_place(text, rig, right);
    (void)area_text(right, 0, 1, ROLE_VALUE, text);
    say_centred(text, rig);
    (void)area_text(right, 0, 2, ROLE_LABEL, text);
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
    if (area.height == 1) {
        if (exposure->known)
            (void)words_dial(setting, exposure);
        else
            (void)snprintf(setting, sizeof setting, "no light");
        x = area_text(area, x, 0, setting_role(exposure), setting);
        if (area.width - x >= AIM_LEAST)
            (void)area_text(area, x + 2, 0, role, text);
        return;
    }
    (void)area_text(area, x, 0, setting_role(exposure), words_setting(setting, exposure));
    (void)area_text(area, x, 1, role, text);
    say_place(text, rig, area_part(area, x, 2, area.width - x, 1));
    (void)area_text(area, x, 2, ROLE_VALUE, text);
}

void panel_rig(struct area area, const struct scene *scene, int index)
{
    const struct rig_scene rig = {scene, index, &scene->night->rig[index],
                                  &scene->moment->rig[index]};
    int margin = scene->gutter;

    if (margin == 0) {
        draw_stack(area, &rig);
        return;
    }
    draw_name(area_part(area, 0, 0, margin - 1, area.height), &rig);
    draw_columns(area_part(area, margin, 0, area.width - margin, area.height), &rig);
}
