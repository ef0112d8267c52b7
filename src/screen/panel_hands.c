/* What the hands must do: the words of the moment's jobs, the keys for them, and how much they
 * matter. */
#include "panels.h"

#include <moonstand/key_words.h>

#include <stdio.h>
#include <string.h>

void hands_lines_make(const struct scene *scene, struct hands_lines *lines)
{
    static const enum role roles[] = {[URGENCY_FREE] = ROLE_VALUE,
                                      [URGENCY_SOON] = ROLE_DUE,
                                      [URGENCY_NOW] = ROLE_DUE,
                                      [URGENCY_ALARM] = ROLE_ALARM};
    const struct hands *hands = &scene->moment->hands;

    hands_say(&scene->about, &lines->words);
    lines->sun = sun_warns(&scene->moment->sun);
    lines->role = roles[hands->urgency];
    lines->then_role = lines->words.then_due ? ROLE_DUE : ROLE_LABEL;
    if (hands->count > 0 && hands->job[0].kind == JOB_GLASS)
        text_add(lines->words.now, JOB_WORDS, "", GLANCE_KEYS_WORDS);
}

void panel_hands(struct area area, const struct scene *scene)
{
    struct hands_lines hands;

    hands_lines_make(scene, &hands);
    area = panel_named(area, scene, "Hands");
    /* The band of an alarm has the same. */
    if (hands.role == ROLE_ALARM) {
        hands.role = hands.then_role;
        (void)memcpy(hands.words.now, hands.words.then, sizeof hands.words.now);
        (void)memcpy(hands.words.now_brief, hands.words.then_brief, sizeof hands.words.now_brief);
        *hands.words.then = *hands.words.then_brief = '\0';
    }
    hands_draw(area, &hands);
}

/* In full where that fits, else briefly. Returns the lines that it takes. */
static int draw_fitting(struct area area, enum role role, const char *full, const char *brief)
{
    char text[JOB_WORDS];
    bool fits = text_lines(area, full) <= area.height;

    (void)snprintf(text, sizeof text, "%s", fits ? full : brief);
    fit_clauses(area, text);
    area_wrap(area, role, text);
    return text_lines(area, text);
}

/* Texts beside each other, as far as there is room for a few words. */
static void draw_in_line(struct area area, const struct hands_lines *hands)
{
    enum { LEAST = 16 };
    int x = 0;

    if (hands->sun)
        x = area_text(area, 0, 0, ROLE_DUE,
                      (int)strlen(SUN_WARNING) <= area.width ? SUN_WARNING : SUN_WARNING_SHORT) +
            2;
    struct area rest = area_from(area, x, 0);
    int now = text_columns(area, hands->words.now);
    if (rest.width >= LEAST || x == 0)
        (void)draw_fitting(rest, hands->role, hands->words.now, hands->words.now_brief);
    rest = area_from(rest, now + 2, 0);
    if (*hands->words.then && rest.width >= LEAST - 2 &&
        text_columns(area, hands->words.then_brief) <= rest.width)
        (void)draw_fitting(rest, hands->then_role, hands->words.then, hands->words.then_brief);
}

/* The Sun's line comes first. What is to be done now takes the lines that it needs, what follows the
 * others. */
void hands_draw(struct area area, const struct hands_lines *hands)
{
    int lines;

    if (area.height == 1) {
        draw_in_line(area, hands);
        return;
    }
    if (hands->sun) {
        lines = text_lines(area, SUN_WARNING);
        lines = lines < area.height ? lines : area.height - 1;
        area_wrap(area_part(area, 0, 0, area.width, lines), ROLE_DUE, SUN_WARNING);
        area = area_from(area, 0, lines);
    }
    lines = draw_fitting(area, hands->role, hands->words.now, hands->words.now_brief);
    (void)draw_fitting(area_from(area, 0, lines), hands->then_role, hands->words.then,
                       hands->words.then_brief);
}
