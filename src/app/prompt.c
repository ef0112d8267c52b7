/* What is typed on the last line, and what an answer does. */
#include "live.h"

#include <moonstand/series.h>
#include <moonstand/setting_words.h>

#include <math.h>
#include <stdio.h>
#include <string.h>
#include <strings.h>

#include <utf8proc.h>

#define MPH_M_S 0.44704

void prompt_open(struct live *live, enum prompt prompt, int rig, const char *typed)
{
    const struct session *session = &live->session;
    const struct act seen = {.kind = ACT_SEEN, .rig = rig, .utc = session->moment.utc};
    const char *why_not = session_looks_on(session);
    struct fault fault;

    /* What the night refuses whatever the answer is not asked for. */
    if (!why_not && prompt == PROMPT_SEEN && act_check(&session->night, &seen, &fault) != 0)
        why_not = fault.text;
    if (why_not) {
        session_say(&live->session, "%s", why_not);
        return;
    }
    live->prompt = prompt;
    live->prompt_rig = rig;
    (void)snprintf(live->typed, sizeof live->typed, "%s", typed);
    session_say(&live->session, "%s", "");
}

enum { WORD = 24 };

/* The next of the words that blanks or commas keep apart; "" after the last. */
static void take_word(const char **text, char word[WORD])
{
    size_t length = strcspn(*text, " ,");

    (void)snprintf(word, WORD, "%.*s", (int)length, *text);
    *text += length + strspn(*text + length, " ,");
}

/* "A B" or "A,B". */
static int split_pair(const char *text, char first[WORD], char second[WORD], const char *example,
                      struct fault *fault)
{
    take_word(&text, first);
    take_word(&text, second);
    if (*first && *second && !*text)
        return 0;
    return fault_set(fault, "expected two values, such as %s", example);
}

static int answer_air(const struct live *live, struct act *act, struct fault *fault)
{
    return parse_air(live->typed, session_reader(&live->session).units, &act->value[0],
                     &act->value[1], fault);
}

/* A setting that looked right shows how far ours is off; the offset holds from now on. */
static int answer_looked_right(const struct live *live, struct act *act, struct fault *fault)
{
    const struct session *session = &live->session;
    const struct exposure *now = &session->moment.rig[act->rig].exposure;
    double wanted = now->ev100;
    char shutter[WORD], iso_text[WORD];
    double iso, stops;
    int index;

    if (split_pair(live->typed, shutter, iso_text, "1/30 1600", fault) != 0 ||
        shutter_parse(shutter, &index, fault) != 0 ||
        parse_number(iso_text, 25, 409600, &iso, fault) != 0)
        return -1;
    if (!now->known)
        return fault_set(fault, NO_LIGHT_WORDS);
    /* Against the ideal exposure, not the one that limits and steps allow; against what is
     * dialled where that is the middle of several. */
    if (now->bracket_shown == BRACKET_MIDDLE)
        wanted = 2 * log2(now->f_number) - exposure_thirds(now) / 3.0;
    stops = wanted - log2(now->f_number * now->f_number / shutter_seconds(index) * 100 / iso);
    act->value[0] = (double)now->target;
    act->value[1] =
        night_correction(&session->night, &session->moment, act->rig, now->target) + stops;
    act->value[2] = NAN; /* that frame's setting is on the dial */
    return 0;
}

/* By so much the plan is hardly ever wrong: common practice, no source. A slip of the fingers is. */
#define FAR_STOPS 3.0

/* The question to ask before a setting is taken that looked right. */
static enum prompt far_question(struct live *live, const struct act *act)
{
    struct session *session = &live->session;
    double stops = act->value[1] - night_correction(&session->night, &session->moment, act->rig,
                                                    (enum target)act->value[0]);

    if (fabs(stops) <= FAR_STOPS)
        return PROMPT_NONE;
    session_say(session, FAR_FROM_PLANNED_WORDS, fabs(stops), stops > 0 ? "brighter" : "darker");
    return PROMPT_LOOKED_FAR;
}

static int answer_optics(const struct live *live, struct act *act, struct fault *fault)
{
    static const char *const fields[][2] = {{"f", "f_number"},
                                            {"filter", "filter_stops"},
                                            {"extender", "extender"},
                                            {"interval", "interval_s"}};
    char name[WORD], number[WORD];
    double lowest, highest;

    if (split_pair(live->typed, name, number, "filter 3", fault) != 0)
        return -1;
    for (size_t i = 0; i < sizeof fields / sizeof fields[0]; i++)
        if (strcmp(name, fields[i][0]) == 0) {
            (void)snprintf(act->text, sizeof act->text, "%s", fields[i][1]);
            rig_field_range(act->text, &lowest, &highest);
            return parse_number(number, lowest, highest, &act->value[0], fault);
        }
    return fault_set(fault, "found '%s'; expected f, filter, extender or interval", name);
}

/* A place in the frame, in per cent of its width and height from its centre. */
static int answer_place(const struct live *live, struct act *act, struct fault *fault)
{
    char right[WORD] = "0", up[WORD] = "0";

    if ((*live->typed && split_pair(live->typed, right, up, "-30 5", fault) != 0) ||
        parse_number(right, -50, 50, &act->value[0], fault) != 0 ||
        parse_number(up, -50, 50, &act->value[1], fault) != 0)
        return -1;
    act->value[0] /= 100;
    act->value[1] /= 100;
    return 0;
}

/* HH:MM or HH:MM:SS of the day of `now`, as people type it: 9:30, 9:30pm. */
static int parse_clock(const char *text, double now, double *at)
{
    size_t length = strspn(text, "0123456789:.");
    const char *half = text + length + strspn(text + length, " ");
    bool am = strcasecmp(half, "am") == 0, pm = strcasecmp(half, "pm") == 0;
    char day[TEXT_INSTANT], whole[TEXT_INSTANT];
    double midnight = floor(now / SECONDS_PER_DAY) * SECONDS_PER_DAY, hour;

    (void)snprintf(whole, sizeof whole, "%.10sT%s%.*s", format_iso(day, now, 0, ""),
                   length > 1 && text[1] == ':' ? "0" : "", (int)length, text);
    if ((*half && !am && !pm) || parse_instant(whole, at, NULL) != 0)
        return -1;
    if (!*half)
        return 0;
    hour = floor((*at - midnight) / 3600);
    if (hour < 1 || hour > 12)
        return -1;
    *at += ((pm ? 12 : 0) - (hour == 12 ? 12 : 0)) * 3600;
    return 0;
}

/* HH:MM:SS of whatever zone the camera keeps, within half a day of UTC; or a whole date and time.
 */
static int answer_camera_clock(const struct live *live, struct act *act, struct fault *fault)
{
    const struct clock *clock = &live->session.clock;
    double utc = clock->utc(clock), shown;

    if (strchr(live->typed, 'T')) {
        if (parse_instant(live->typed, &shown, fault) != 0)
            return -1;
    } else {
        if (parse_clock(live->typed, utc, &shown) != 0)
            return fault_set(fault, "expected a time, such as 21:04:30");
        shown += round((utc - shown) / SECONDS_PER_DAY) * SECONDS_PER_DAY;
    }
    act->value[0] = utc - shown;
    return 0;
}

/* The next instant at which a clock of the zone shows the time of day of `shown`, which is on the day
 * that it shows at `now`. It may be set meanwhile: a time can come twice, or (then the old offset
 * holds) not at all. */
static double next_shown(const struct zone_table *zone, double shown, double now)
{
    const int offsets[] = {zone_offset(zone, now, NULL),
                           zone_offset(zone, now + SECONDS_PER_DAY, NULL)};
    double first = INFINITY, plain = shown - offsets[0];

    for (int day = 0; day < 2; day++)
        for (int i = 0; i < 2; i++) {
            double utc = shown + day * SECONDS_PER_DAY - offsets[i];

            if (utc > now && utc < first && zone_offset(zone, utc, NULL) == offsets[i])
                first = utc;
        }
    if (isfinite(first))
        return first;
    return plain > now ? plain : plain + SECONDS_PER_DAY;
}

/* The first time after an instant that the user's first clock shows HH:MM. */
static int parse_time(const struct live *live, const char *text, double after, double *utc)
{
    struct zone_table zone = live->session.night.zone;
    double shown;

    if (live->view.utc_first)
        zone_utc(&zone);
    if (parse_clock(text, after + zone_offset(&zone, after, NULL), &shown) != 0)
        return -1;
    *utc = next_shown(&zone, shown, after);
    return 0;
}

/* The next time that the user's first clock shows HH:MM, or so long before or after a contact,
 * a sunset or whatever else an item can hang on. */
static int parse_due(const struct live *live, const char *text, double *utc, struct fault *fault)
{
    const struct night *night = &live->session.night;
    struct due due;

    if (parse_time(live, text, live->session.moment.utc, utc) == 0)
        return 0;
    if (due_parse(text, &due, NULL) != 0)
        return fault_set(fault, "found '%.40s'; expected a time such as 21:30 or U2-10m", text);
    *utc = due_utc(&due, night->anchor_utc);
    return isfinite(*utc) ? 0 : fault_set(fault, "this night has no %.20s", text);
}

/* What is typed for when an item is due; null: nothing. */
static const char *typed_due(const struct live *live)
{
    const char *at = strrchr(live->typed, '@');

    return at ? at + 1 + strspn(at + 1, " ") : NULL;
}

static int answer_item(const struct live *live, struct act *act, struct fault *fault)
{
    const char *due = typed_due(live);
    size_t length = due ? (size_t)(strrchr(live->typed, '@') - live->typed) : strlen(live->typed);

    while (length > 0 && live->typed[length - 1] == ' ')
        length--;
    act->value[0] = NAN;
    (void)snprintf(act->text, sizeof act->text, "%.*s", (int)length, live->typed);
    return due ? parse_due(live, due, &act->value[0], fault) : 0;
}

/* The question to ask before an item is taken whose time is past: a time of day that was less than
 * half a day ago, or a time beside a contact. PROMPT_NONE: it is not past. */
static enum prompt past_question(const struct live *live, double due_utc)
{
    double now = live->session.moment.utc, next;

    if (!typed_due(live))
        return PROMPT_NONE;
    if (parse_time(live, typed_due(live), now, &next) == 0)
        return next - now > SECONDS_PER_DAY / 2 ? PROMPT_ITEM_PAST : PROMPT_NONE;
    return due_utc <= now ? PROMPT_ITEM_GONE : PROMPT_NONE;
}

/* One word of an hour of the forecast; "-", or nothing, is unknown. */
static int next_number(const char **text, double lowest, double highest, double *value,
                       struct fault *fault)
{
    char word[WORD];

    take_word(text, word);
    *value = NAN;
    return *word == '\0' || strcmp(word, "-") == 0
               ? 0
               : parse_number(word, lowest, highest, value, fault);
}

/* "23:00 40 -5 80 3"; the time alone takes that hour out. */
static int answer_forecast(const struct live *live, struct act *act, struct fault *fault)
{
    bool imperial = session_reader(&live->session).units == UNITS_IMPERIAL;
    const char *rest = live->typed;
    struct forecast_row row;
    char time[WORD];

    take_word(&rest, time);
    if (parse_due(live, time, &act->value[0], fault) != 0)
        return -1;
    /* An hour that has just passed is meant, not tomorrow's. */
    if (act->value[0] - live->session.moment.utc > SECONDS_PER_DAY - FORECAST_GAP_S)
        act->value[0] -= SECONDS_PER_DAY;
    if (next_number(&rest, 0, 100, &act->value[1], fault) != 0 ||
        next_number(&rest, imperial ? -130 : -90, imperial ? 140 : 60, &act->value[2], fault) !=
            0 ||
        next_number(&rest, 0, 100, &act->value[3], fault) != 0 ||
        next_number(&rest, 0, imperial ? 268 : 120, &act->value[4], fault) != 0)
        return -1;
    act_forecast_row(act, &row);
    if (forecast_row_is_empty(&row) && !forecast_has(&live->session.night.forecast, row.utc))
        return fault_set(fault, "the forecast has no hour %.20s to delete", time);
    if (*rest)
        return fault_set(
            fault, "too many values at '%.40s'; expected time, cloud, temperature, humidity, wind",
            rest);
    if (imperial) {
        act->value[2] = (act->value[2] - 32) / 1.8;
        act->value[4] *= MPH_M_S;
    }
    return 0;
}

static int answer_note(const struct live *live, struct act *act, struct fault *fault)
{
    (void)fault;
    (void)snprintf(act->text, sizeof act->text, "%.*s", ACT_TEXT - 1, live->typed);
    return 0;
}

static int answer_site(const struct live *live, struct act *act, struct fault *fault)
{
    (void)snprintf(act->text, sizeof act->text, "hand");
    if (parse_site(live->typed, &act->value[0], &act->value[1], &act->value[2], fault) != 0)
        return -1;
    if (isnan(act->value[2]))
        act->value[2] = live->session.night.site.height_m;
    return 0;
}

static int answer_rating(const struct live *live, struct act *act, struct fault *fault)
{
    return parse_number(live->typed, 0, 4, &act->value[0], fault);
}

static const struct prompt_form {
    enum act_kind kind;
    /* Fills the act; null: Enter alone is the answer. */
    int (*answer)(const struct live *live, struct act *act, struct fault *fault);
} forms[PROMPT_SETUP + 1] = { /* nothing asks itself; of the setup the chosen line */
    [PROMPT_NOTE] = {ACT_NOTE, answer_note},
    [PROMPT_SITE] = {ACT_SITE, answer_site},
    [PROMPT_AIR] = {ACT_AIR, answer_air},
    [PROMPT_RATING] = {ACT_DANJON, answer_rating},
    [PROMPT_LOOKED_RIGHT] = {ACT_CORRECTION, answer_looked_right},
    [PROMPT_LOOKED_FAR] = {ACT_CORRECTION, answer_looked_right},
    [PROMPT_OPTICS] = {ACT_RIG, answer_optics},
    [PROMPT_AIMED] = {ACT_AIM, answer_place},
    [PROMPT_SEEN] = {ACT_SEEN, answer_place},
    [PROMPT_CAMERA_CLOCK] = {ACT_CAMERA_CLOCK, answer_camera_clock},
    [PROMPT_ITEM] = {ACT_ITEM, answer_item},
    [PROMPT_ITEM_PAST] = {ACT_ITEM, answer_item},
    [PROMPT_ITEM_GONE] = {ACT_ITEM, answer_item},
    [PROMPT_FORECAST] = {ACT_FORECAST, answer_forecast},
    [PROMPT_BATTERY_AGAIN] = {ACT_BATTERY, NULL},
    [PROMPT_CARD_AGAIN] = {ACT_CARD, NULL},
};

static bool asks_rig(enum prompt prompt)
{
    return act_form(forms[prompt].kind)->has & HAS_RIG;
}

/* The act that the question is about, and what was typed for it; -1, and says why, if that is wrong. */
static int answered(struct live *live, struct act *act)
{
    const struct prompt_form *form = &forms[live->prompt];
    struct fault fault;

    *act = (struct act){.kind = form->kind, .rig = asks_rig(live->prompt) ? live->prompt_rig : -1};
    if (!form->answer || form->answer(live, act, &fault) == 0)
        return 0;
    session_say(&live->session, "%.200s", fault.text);
    return -1;
}

/* The item goes onto the list as one that is done. */
static int add_done(struct live *live, struct act *act)
{
    struct act check = {.rig = -1, .kind = ACT_CHECK, .value = {1}};
    const struct checklist *list = &live->session.night.setup.checklist;

    if (live->prompt == PROMPT_ITEM_PAST)
        (void)parse_time(live, typed_due(live), live->session.moment.utc - SECONDS_PER_DAY,
                         &act->value[0]);
    if (live_act(live, act) != 0)
        return -1;
    (void)snprintf(check.text, sizeof check.text, "%s", list->item[list->count - 1].id);
    return live_act(live, &check);
}

/* One key answers whether an item whose time is past is meant for tomorrow, still to be done, or done.
 * Escape goes back to what was typed. */
static void past_key(struct live *live, int key)
{
    bool on = key == (live->prompt == PROMPT_ITEM_PAST ? 't' : 's');
    struct act act;

    if (key == INPUT_ESCAPE)
        live->prompt = PROMPT_ITEM;
    if (!on && key != 'd')
        return;
    bool taken =
        answered(live, &act) == 0 && (on ? live_act(live, &act) : add_done(live, &act)) == 0;
    live->prompt = taken ? PROMPT_NONE : PROMPT_ITEM;
}

const char *prompt_question(struct live *live)
{
    const char *words = prompt_words(live->prompt, session_reader(&live->session).units);

    if (live->prompt == PROMPT_SETUP)
        return live->setup_row[live->view.row].label;
    if (!words || !asks_rig(live->prompt))
        return words;
    (void)snprintf(live->question, sizeof live->question, "%s: %s",
                   live->session.night.rig[live->prompt_rig].rig.name, words);
    return live->question;
}

/* Takes the answer, or asks another question; what is refused stays on the screen to be mended. */
static void take_answer(struct live *live)
{
    enum prompt next = PROMPT_NONE;
    struct act act;

    if (live->prompt == PROMPT_SETUP) {
        if (setup_page_change(live, live->typed) == 0)
            live->prompt = PROMPT_NONE;
        return;
    }
    if (answered(live, &act) != 0)
        return;
    if (live->prompt == PROMPT_ITEM)
        next = past_question(live, act.value[0]);
    else if (live->prompt == PROMPT_LOOKED_RIGHT)
        next = far_question(live, &act);
    if (next == PROMPT_NONE && !(live->prompt == PROMPT_NOTE && *live->typed == '\0') &&
        live_act(live, &act) != 0)
        return;
    live->prompt = next;
}

/* Adds a character to what is typed, as UTF-8, where it will be kept. */
static void type_character(struct live *live, int code)
{
    size_t length = strlen(live->typed);
    char bytes[5] = "";

    (void)utf8proc_encode_char(code, (utf8proc_uint8_t *)bytes);
    if (text_is_clean(bytes) && length + strlen(bytes) < TYPED)
        (void)snprintf(live->typed + length, sizeof live->typed - length, "%s", bytes);
}

static void rub_out(struct live *live)
{
    size_t length = strlen(live->typed);

    while (length > 0 && !begins_character(live->typed[--length]))
        continue;
    live->typed[length] = '\0';
}

void prompt_key(struct live *live, int key)
{
    if (live->prompt == PROMPT_ITEM_PAST || live->prompt == PROMPT_ITEM_GONE) {
        past_key(live, key);
        return;
    }
    switch (key) {
    case INPUT_ESCAPE:
        live->prompt = PROMPT_NONE;
        session_say(&live->session, "cancelled");
        return;
    case INPUT_ENTER:
        take_answer(live);
        return;
    case INPUT_BACKSPACE:
    case INPUT_DELETE:
        rub_out(live);
        return;
    case 'U' - '@': /* Ctrl-U */
        live->typed[0] = '\0';
        return;
    default:
        if (key >= ' ' && key < INPUT_UP &&
            (forms[live->prompt].answer || live->prompt == PROMPT_SETUP))
            type_character(live, key);
    }
}
