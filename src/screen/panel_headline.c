/* What happens next and when, in large digits, with what follows; and the band of an alarm. */
#include "panels.h"

#include <moonstand/aim_words.h>
#include <moonstand/clock_words.h>
#include <moonstand/event_words.h>
#include <moonstand/key_words.h>

#include <ctype.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

enum { WORDS_COLUMN_LEAST = 32, WORDS_COLUMN_MOST = 46, SCALE_MOST = 12, EVENT_NAME = 14 };
/* Beside the Moon's disc: both clocks of the next event, one of those that follow. */
enum { WORDS_COLUMN_BRIEF = 28, DISC_GAP = 2 };
enum { LARGE_FROM = 4 };

static const struct night_event *next_event(const struct scene *scene)
{
    return event_to_come(scene->night, scene->moment, 0);
}

static double seconds_to(const struct scene *scene, const struct night_event *event)
{
    return event->utc - scene->moment->utc;
}

/* Nothing, if it does not fit whole. Returns the column behind it. */
static int draw_whole(struct area area, int x, int y, enum role role, const char *text)
{
    bool fits = x + text_columns(area, text) <= area.width;

    return fits ? area_text(area, x, y, role, text) : x;
}

/* ---- one line ---- */

/* The name and the unit are given up before the countdown is. */
static void say_next(struct area area, const struct scene *scene, const struct night_event *event,
                     char out[SENTENCE])
{
    enum { WITH_UNIT = 2, FORMS };
    char count[TEXT_SPAN];
    const char *unit = countdown_words(count, seconds_to(scene, event));

    for (int form = 0; form < FORMS; form++) {
        const char *name = event_words(night_event_name(event), form > 0);

        if (form < WITH_UNIT)
            (void)snprintf(out, SENTENCE, "%s in %s %s", name, count, unit);
        else
            (void)snprintf(out, SENTENCE, "%s %s", name, count);
        if (text_columns(area, out) <= area.width)
            return;
    }
}

static void draw_line(struct area area, const struct scene *scene)
{
    const struct night_event *event = next_event(scene);
    char clock[TEXT_INSTANT], other[TEXT_INSTANT], text[SENTENCE], rounds[ROUNDS_LEFT_WORDS];

    if (!event) {
        (void)no_event_words(&scene->about, text);
        fit_clauses(area_part(area, 0, 0, area.width, 1), text);
        (void)area_text(area, 0, 0, ROLE_STRONG, text);
        return;
    }
    say_next(area, scene, event, text);
    int x = area_text(area, 0, 0, ROLE_STRONG, text);
    if (area.width - x >= 20)
        x = area_text(area, x + 3, 0, ROLE_VALUE,
                      clock_near(clock, &scene->about, event->utc, CLOCK_ZONE));
    if (area.width - x >= 24 && !scene->one_clock)
        x = area_text(area, x + 2, 0, ROLE_LABEL,
                      clock_near(other, &scene->other, event->utc, CLOCK_ZONE));
    (void)draw_whole(area, x + 3, 0, ROLE_VALUE, rounds_left_words(&scene->about, rounds));
}

/* ---- large ---- */

/* The columns of a countdown with its unit. */
static int count_columns(struct area area, const char *count, const char *unit)
{
    int scale = digits_scale(area, SCALE_MOST, count),
        units = text_columns(area, unit);
    int x = scale == 0 ? text_columns(area, count) + 1
                       : digits_columns(scale, count) + 1;

    return scale == 0 || x + units <= area.width ? x + units : x;
}

static void draw_count(struct area area, const struct night_event *event, const struct scene *scene)
{
    char count[TEXT_SPAN];
    const char *unit = countdown_words(count, seconds_to(scene, event));
    int scale = digits_scale(area, SCALE_MOST, count);

    if (scale == 0) {
        (void)area_print(area, 0, 0, ROLE_STRONG, "%s %s", count, unit);
        return;
    }
    area_digits(area, 0, 0, scale, ROLE_STRONG, count);
    (void)draw_whole(area, digits_columns(scale, count) + 1, digits_lines(scale) - 1, ROLE_VALUE,
                     unit);
}

/* When it is by the first clock, and by the other one if all of that fits. Returns the column after. */
static int draw_clock_row(struct area area, const struct scene *scene, double utc, unsigned form,
                          bool stale)
{
    char clock[TEXT_INSTANT], other[TEXT_INSTANT];
    int x = area_text(area, 0, 0, stale ? ROLE_STALE : ROLE_VALUE,
                      clock_near(clock, &scene->about, utc, form));

    if (scene->one_clock)
        return x;
    return draw_whole(area, x + 2, 0, stale ? ROLE_STALE : ROLE_LABEL,
                      clock_near(other, &scene->other, utc, form));
}

static void draw_event(struct area area, const struct night_event *event, const struct scene *scene)
{
    struct area rest = area_from(area, EVENT_NAME, 0);

    (void)area_text(area_part(area, 0, 0, EVENT_NAME - 1, 1), 0, 0, ROLE_LABEL,
                    event_words(night_event_name(event), true));
    int x = draw_clock_row(rest, scene, event->utc, 0, is_unseen(event));
    if (is_unseen(event))
        (void)draw_whole(rest, x, 0, ROLE_STALE, UNSEEN_NOTE);
}

static void draw_following(struct area area, int first_line, const struct scene *scene)
{
    for (int y = first_line; y < area.height; y++) {
        const struct night_event *event =
            event_to_come(scene->night, scene->moment, 1 + y - first_line);
        if (!event)
            return;
        draw_event(area_from(area, 0, y), event, scene);
    }
}

static void draw_words(struct area area, const struct night_event *event, const struct scene *scene)
{
    char text[WORDS_LINE], rounds[ROUNDS_LEFT_WORDS];

    const char *name = event_words(night_event_name(event), false);
    if (text_columns(area, name) > area.width)
        name = event_words(night_event_name(event), true);
    int x = 2 + area_text(area, 0, 0, ROLE_STRONG, name);
    const char *told = text_set(text, sizeof text, "%s%s", event_meaning(event, is_unseen(event)),
                                is_unseen(event) ? UNSEEN_NOTE : "");
    /* Where not all of it fits, the warning stays. */
    if (x + text_columns(area, told) > area.width)
        told = is_unseen(event) ? UNSEEN_WORDS : event_meaning(event, true);
    (void)draw_whole(area, x, 0, ROLE_VALUE, told);
    (void)draw_clock_row(area_from(area, 0, 1), scene, event->utc, CLOCK_ZONE, false);
    bool counts = *rounds_left_words(&scene->about, rounds);
    (void)draw_whole(area, 0, 2, ROLE_VALUE, rounds);
    draw_following(area, counts || area.height > 5 ? 3 : 2, scene);
}

/* Columns of a large headline: the countdown at the left, words at the right, between them the Moon's
 * disc if neither the digits nor the next event's line are the smaller for it. */
struct parts {
    int digits; /* at most */
    int words;
    int disc;
    int disc_at;
};

static struct parts parts_make(struct area area, const struct scene *scene)
{
    bool is_long = scene->about.reader.hours == HOURS_12;
    int least = is_long ? WORDS_COLUMN_LEAST + 2 : WORDS_COLUMN_LEAST;
    int words = clamp(area.width * 2 / 5, least, WORDS_COLUMN_MOST), taken, rest;
    struct parts parts = {0};
    char count[TEXT_SPAN];

    if (area.width < least + 28)
        return parts;
    parts.digits = area.width - words - 2;
    const char *unit = countdown_words(count, seconds_to(scene, next_event(scene)));
    struct area digits = area_part(area, 0, 0, parts.digits, area.height);
    taken = count_columns(digits, count, unit);
    rest = area.width - taken - 2 * area.height - 2 * DISC_GAP;
    if (scene->moment->moon.up && !scene->disc_apart && rest >= WORDS_COLUMN_BRIEF) {
        parts.disc = 2 * area.height;
        words = rest < words ? rest : words;
        parts.disc_at = (taken + area.width - words - parts.disc) / 2;
    }
    parts.words = words;
    return parts;
}

bool disc_fits_headline(struct area area, const struct scene *scene)
{
    return area.height >= LARGE_FROM && next_event(scene) && parts_make(area, scene).disc > 0;
}

static void draw_large(struct area area, const struct scene *scene)
{
    const struct night_event *event = next_event(scene);

    if (!event) {
        draw_line(area, scene);
        return;
    }
    struct parts parts = parts_make(area, scene);
    if (parts.words == 0) {
        /* Too narrow for two columns: words in the first line, digits below. */
        draw_line(area, scene);
        draw_count(area_from(area, 0, 1), event, scene);
        return;
    }
    draw_count(area_part(area, 0, 0, parts.digits, area.height), event, scene);
    if (parts.disc)
        moon_disc(area_part(area, parts.disc_at, 0, parts.disc, area.height), scene);
    draw_words(area_from(area, area.width - parts.words, 0), event, scene);
}

void panel_headline(struct area area, const struct scene *scene)
{
    if (area.height >= LARGE_FROM)
        draw_large(area, scene);
    else
        draw_line(area, scene);
}

/* ---- alarm ---- */

enum { PHRASES = 3 };

/* A band over the whole area. With fewer lines than phrases the last line takes what fits of the
 * rest; where there is a line to spare, the Sun's warning is above them. */
void panel_alarm(struct area area, const struct scene *scene)
{
    char phrase[PHRASES][WORDS_LINE] = {"", "", ALARM_KEYS_WORDS}, joined[2 * WORDS_LINE];
    struct hands_words words;

    area_fill(area, ROLE_ALARM);
    hands_say(&scene->about, &words);
    (void)text_set(phrase[0], WORDS_LINE, "%s", words.now);
    (void)look_words(&scene->about, scene->moment->alarm_rig, 0, phrase[1]);
    if (sun_warns(&scene->moment->sun) && area.height > PHRASES) {
        area_text_middle(area, 0, ROLE_ALARM, SUN_WARNING);
        area = area_from(area, 0, 1);
    }
    int lines = area.height < PHRASES ? area.height : PHRASES, top = (area.height - lines) / 2;
    for (int line = 0; line < lines; line++) {
        const char *text = phrase[line];
        fit_clauses(area_part(area, 0, line, area.width, 1), phrase[line]);
        if (line == lines - 1 && line < PHRASES - 1) {
            (void)snprintf(joined, sizeof joined, "%.150s   %.150s", text, phrase[line + 1]);
            if (text_columns(area, joined) <= area.width)
                text = joined;
        }
        area_text_middle(area, top + line, ROLE_ALARM, text);
    }
}

/* ---- from afar ---- */

/* What is counted down to. */
struct goal {
    const char *name;
    double left_s;
};

/* A countdown for an area, with its name: a short one in the same line if it costs little, a longer
 * one above it, or beside it if there is room for no more. */
struct far_count {
    struct area area;
    char text[TEXT_SPAN + 4], label[JOB_LABEL]; /* the label is empty where it is in the line */
    int scale, label_scale;                     /* 0: it does not fit */
    int beside;                                 /* columns of the label at the left, or 0 */
};

/* Below the label, or beside it. */
static struct area count_area(const struct far_count *far)
{
    int lines = far->label_scale && !far->beside ? digits_lines(far->label_scale) + 1 : 0;

    return area_from(far->area, far->beside, lines);
}

/* Puts the label at the left of a countdown that stays as large as it is; without the rig's name if that
 * is too long: its number says the same. */
static void put_beside(struct far_count *far)
{
    enum { GAP = 4, LEAST = 2 };
    int room = far->area.width - digits_columns(far->scale, far->text) - GAP;
    struct area left = area_part(far->area, 0, 0, room, far->area.height);
    int most = far->scale > LEAST + 1 ? far->scale * 2 / 3 : LEAST;
    char *name = strrchr(far->label, ' ');

    if (name && digits_scale(left, most, far->label) < LEAST)
        *name = '\0';
    far->label_scale = digits_scale(left, most, far->label);
    if (far->label_scale < LEAST)
        far->label_scale = 0;
    else
        far->beside = digits_columns(far->label_scale, far->label) + GAP;
}

static struct far_count far_count_make(struct area area, int most, const struct goal *goal)
{
    enum { LABEL_SHARE = 3 };
    struct area above = area_part(area, 0, 0, area.width, area.height / LABEL_SHARE);
    struct far_count far = {.area = area};
    char count[TEXT_SPAN];

    (void)countdown_words(count, goal->left_s);
    (void)snprintf(far.text, sizeof far.text, "%.2s %.30s", goal->name, count);
    far.scale = digits_scale(area, most, far.text);
    if (strlen(goal->name) == 2 && 3 * far.scale >= 2 * digits_scale(area, most, count))
        return far;
    (void)snprintf(far.text, sizeof far.text, "%s", count);
    for (int i = 0; goal->name[i] && i < JOB_LABEL - 1; i++)
        far.label[i] = (char)toupper((unsigned char)goal->name[i]);
    far.label_scale = digits_scale(above, most, far.label);
    far.scale = digits_scale(count_area(&far), most, count);
    if (!far.label_scale && *far.label)
        put_beside(&far);
    return far;
}

static void draw_far_count(const struct far_count *far)
{
    struct area label = far->area;

    if (far->beside)
        label.width = far->beside;
    else
        label.height = digits_lines(far->label_scale);
    area_digits_middle(label, far->label_scale, ROLE_STRONG, far->label);
    area_digits_middle(count_area(far), far->scale, ROLE_STRONG, far->text);
}

enum { FAR_SCALE = 40, HANDS_LINES = 2 };

/* Two countdowns with the lines of the hands between. */
struct far_pair {
    struct far_count above, below;
    struct area hands;
};

static struct far_pair far_pair_make(struct area area, int split, int most,
                                     const struct goal goal[2])
{
    struct area upper = area_part(area, 0, 0, area.width, split);
    struct area lower = area_from(area, 0, split + HANDS_LINES);

    return (struct far_pair){far_count_make(upper, most, &goal[0]),
                             far_count_make(lower, most, &goal[1]),
                             area_part(area, 0, split, area.width, HANDS_LINES)};
}

/* Both of one size, as large as the area allows: above the event, below the hands and what they do
 * next. */
static void draw_far_both(struct area area, const struct goal goal[2],
                          const struct hands_lines *hands)
{
    int best = area.height / 2, most = 0;

    for (int split = best; split > 0; split--) {
        struct far_pair pair = far_pair_make(area, split, FAR_SCALE, goal);
        int scale = pair.above.scale < pair.below.scale ? pair.above.scale : pair.below.scale;

        if (scale > most) {
            most = scale;
            best = split;
        }
    }
    struct far_pair pair = far_pair_make(area, best, most, goal);
    draw_far_count(&pair.above);
    hands_draw(pair.hands, hands);
    draw_far_count(&pair.below);
}

/* The next event, and where there is room for both the next act of the hands. */
void panel_far(struct area area, const struct scene *scene)
{
    const struct night_event *event = next_event(scene);
    enum { BOTH_FROM = 14 };
    struct hands_lines hands;
    struct goal goal[2];
    int goals = 0;

    draw_line(area, scene);
    if (scene->moment->alarm_rig >= 0) {
        panel_alarm(area_from(area, 0, area.height > 1 ? 1 : 0), scene);
        return;
    }
    hands_lines_make(scene, &hands);
    if (event)
        goal[goals++] =
            (struct goal){event_words(night_event_name(event), false), seconds_to(scene, event)};
    if (isfinite(hands.words.left_s))
        goal[goals++] = (struct goal){hands.words.label, hands.words.left_s};
    struct area rest = area_from(area, 0, 1);
    if (goals == 2 && area.height >= BOTH_FROM) {
        draw_far_both(rest, goal, &hands);
        return;
    }
    int own = area.height < 8 ? 1 : HANDS_LINES;
    hands_draw(area_part(rest, 0, 0, rest.width, own), &hands);
    if (goals == 0)
        return;
    struct far_count far = far_count_make(area_from(rest, 0, own), FAR_SCALE, &goal[0]);
    draw_far_count(&far);
}
