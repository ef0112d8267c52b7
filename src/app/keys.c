/* What each key does. Every act goes through session_act; everything else only changes the view. */
#include "live.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* Ctrl-C and Ctrl-\: the same as q, also while an answer is typed. */
enum { INTERRUPT = 'C' - '@', INTERRUPT_HARD = '\\' - '@' };
#define THIRD_STOP (1.0 / 3)
#define QUIET_S 120.0
#define LATER_S 600.0
#define QUIT_TWICE_S 2.0
/* Pasted text comes in one go: where its end got lost, keys are keys again after so long. */
#define PASTE_LOST_S 0.5

static struct session *session_of(struct live *live)
{
    return &live->session;
}

static void act_on_rig(struct live *live, enum act_kind kind, int rig, double first, double second)
{
    struct act act = {.kind = kind, .rig = rig, .value = {first, second}};

    (void)session_act(session_of(live), &act);
}

/* ---- acts of one key ---- */

static void tick_item(struct live *live)
{
    struct session *session = session_of(live);
    int item = view_item(&live->view, &session->night, &session->moment);
    struct act act = {.kind = ACT_CHECK, .rig = -1};

    if (item < 0) {
        session_say(session, "nothing to tick");
        return;
    }
    act.value[0] = isfinite(session->night.checked_utc[item]) ? 0 : 1;
    (void)snprintf(act.text, sizeof act.text, "%s", session->night.setup.checklist.item[item].id);
    (void)session_act(session, &act);
}

static void put_off_item(struct live *live)
{
    struct session *session = session_of(live);
    int item = view_item(&live->view, &session->night, &session->moment);
    struct act act = {.kind = ACT_LATER, .rig = -1, .value = {LATER_S}};

    if (item < 0) {
        session_say(session, "nothing to put off");
        return;
    }
    (void)snprintf(act.text, sizeof act.text, "%s", session->night.setup.checklist.item[item].id);
    (void)session_act(session, &act);
}

/* The Moon was put where the screen advised at this moment. */
static void aimed_again(struct live *live)
{
    struct session *session = session_of(live);
    int rig = view_aim_rig(&live->view, &session->moment);
    struct act act = advised_aim(&session->moment.rig[rig], rig);

    (void)session_act(session, &act);
}

static void quiet(struct live *live)
{
    struct session *session = session_of(live);
    int rig = view_aim_rig(&live->view, &session->moment);

    if (!isfinite(session->night.rig[rig].due_utc))
        session_say(session, "%s has no re-aim to be quiet about",
                    session->night.rig[rig].rig.name);
    else
        act_on_rig(live, ACT_SNOOZE, rig, QUIET_S, 0);
}

static void turn_camera(struct live *live)
{
    struct act act = {.kind = ACT_RIG, .rig = live->view.rig, .text = "portrait"};

    act.value[0] = session_of(live)->night.rig[act.rig].rig.portrait ? 0 : 1;
    (void)session_act(session_of(live), &act);
}

static void correct(struct live *live, double stops)
{
    struct session *session = session_of(live);
    int rig = live->view.rig;
    enum target target = session->moment.rig[rig].exposure.target;

    act_on_rig(live, ACT_CORRECTION, rig, (double)target,
               night_correction(&session->night, &session->moment, rig, target) + stops);
}

static void next_target(struct live *live)
{
    int rig = live->view.rig;
    int target = (int)session_of(live)->night.rig[rig].rig.target;

    act_on_rig(live, ACT_TARGET, rig, (target + 1) % TARGETS, 0);
}

static void accept_fix(struct live *live)
{
    struct session *session = session_of(live);
    const struct gps_reading *gps = &session->readings.gps;
    struct act act = {.kind = ACT_SITE, .rig = -1, .text = "gps"};

    if (gps->state != GPS_FIX) {
        session_say(session, "no fresh GPS fix to accept (GPS: %s)", gps_state_name(gps->state));
        return;
    }
    act.value[0] = gps->latitude_deg;
    act.value[1] = gps->longitude_deg;
    act.value[2] = isfinite(gps->height_m) ? gps->height_m : session->night.site.height_m;
    (void)session_act(session, &act);
}

static void ask(struct live *live, enum prompt prompt)
{
    prompt_open(live, prompt, live->view.rig, "");
}

static void cloud(struct live *live)
{
    act_on_rig(live, ACT_CLOUD, -1, session_of(live)->night.cloud ? 0 : 1, 0);
}

/* ---- the view ---- */

static void choose_item(struct live *live, int by)
{
    const struct session *session = &live->session;

    live->view.item = view_item_step(&live->view, &session->night, &session->moment, by);
}

static void choose_rig(struct live *live, int rig)
{
    int count = session_of(live)->night.setup.rig_count;

    live->view.rig = (rig + count) % count;
}

static void toggle_page(struct live *live, enum page page)
{
    live->view.page = live->view.page == page ? PAGE_NIGHT : page;
}

static void dim(struct live *live)
{
    live->theme_step = (live->theme_step + 1) % THEME_STEPS;
    term_theme(&live->theme, live->theme_step);
    term_redraw();
}

bool live_quit_armed(const struct live *live)
{
    const struct clock *clock = &live->session.clock;

    return clock->boot(clock) - live->quit_armed_boot <= QUIT_TWICE_S;
}

static void quit_key(struct live *live)
{
    const struct clock *clock = &live->session.clock;

    if (live_quit_armed(live))
        live->leaving = true;
    live->quit_armed_boot = clock->boot(clock);
}

/* Keys that only change what is looked at; false where the key is none of them. */
static bool view_key(struct live *live, int key)
{
    struct setup *setup = &session_of(live)->night.setup;

    switch (key) {
    case INPUT_UP:
    case 'k':
        choose_item(live, -1);
        return true;
    case INPUT_DOWN:
    case 'j':
        choose_item(live, 1);
        return true;
    case INPUT_LEFT:
    case 'h':
        choose_rig(live, live->view.rig - 1);
        return true;
    case INPUT_RIGHT:
    case 'l':
        choose_rig(live, live->view.rig + 1);
        return true;
    case '1':
    case '2':
    case '3':
        if (key - '1' < session_of(live)->night.setup.rig_count)
            live->view.rig = key - '1';
        return true;
    case PRESS_LIST:
        toggle_page(live, PAGE_LIST);
        return true;
    case PRESS_FAR:
        toggle_page(live, PAGE_FAR);
        return true;
    case PRESS_VIEWFINDER:
        toggle_page(live, PAGE_FRAME);
        return true;
    case PRESS_CURVES:
        toggle_page(live, PAGE_CURVES);
        return true;
    case PRESS_KIT:
        toggle_page(live, PAGE_KIT);
        return true;
    case PRESS_TIME_CARD:
        toggle_page(live, PAGE_TIME_CARD);
        return true;
    case PRESS_SETUP:
        setup_page_toggle(live);
        return true;
    case PRESS_UTC:
        live->view.utc_first = !live->view.utc_first;
        return true;
    case PRESS_HOURS:
        setup->hours = setup->hours == HOURS_12 ? HOURS_24 : HOURS_12;
        return true;
    case PRESS_UNITS:
        setup->units = setup->units == UNITS_IMPERIAL ? UNITS_METRIC : UNITS_IMPERIAL;
        return true;
    case PRESS_APART:
        live->view.apart = !live->view.apart;
        return true;
    case PRESS_HELP:
        live->view.help =
            live->view.help < live->help_parts || live->view.help == 0 ? live->view.help + 1 : 0;
        return true;
    case INPUT_ESCAPE:
        live->view.help = 0;
        live->view.page = PAGE_NIGHT;
        return true;
    case PRESS_THEME:
        look_next(live);
        return true;
    case PRESS_DIM:
        dim(live);
        return true;
    case 'L' - '@': /* Ctrl-L */
        term_redraw();
        return true;
    default:
        return false;
    }
}

static void act_key(struct live *live, int key)
{
    struct session *session = session_of(live);
    int rig = live->view.rig;

    switch (key) {
    case PRESS_TICK:
        tick_item(live);
        break;
    case PRESS_AIMED:
        aimed_again(live);
        break;
    case PRESS_AIMED_AT:
        prompt_open(live, PROMPT_AIMED, view_aim_rig(&live->view, &session->moment), "");
        break;
    case PRESS_SEEN_AT:
        ask(live, PROMPT_SEEN);
        break;
    case PRESS_TURN:
        turn_camera(live);
        break;
    case PRESS_QUIET:
        quiet(live);
        break;
    case PRESS_LATER:
        put_off_item(live);
        break;
    case PRESS_UNDO:
        session_undo(&live->session);
        break;
    case PRESS_FRAME:
        act_on_rig(live, ACT_FRAME, rig, 0, 0);
        break;
    case PRESS_TARGET:
        next_target(live);
        break;
    case PRESS_BRIGHTER:
    case '=': /* the same key without shift */
        correct(live, THIRD_STOP);
        break;
    case PRESS_DARKER:
        correct(live, -THIRD_STOP);
        break;
    case PRESS_BATTERY:
        act_on_rig(live, ACT_BATTERY, rig, 0, 0);
        break;
    case PRESS_CARD:
        act_on_rig(live, ACT_CARD, rig, 0, 0);
        break;
    case PRESS_GLASS:
        act_on_rig(live, ACT_GLASS, -1, 0, 0);
        break;
    case PRESS_HEATER:
        act_on_rig(live, ACT_HEATER, rig, session->moment.rig[rig].heated ? 0 : 1, 0);
        break;
    case PRESS_CLOUD:
        cloud(live);
        break;
    case PRESS_WATCH:
        live_watch(live);
        break;
    case PRESS_FIX:
        accept_fix(live);
        break;
    case PRESS_RATING:
        ask(live, PROMPT_RATING);
        break;
    case PRESS_AIR:
        ask(live, PROMPT_AIR);
        break;
    case PRESS_CAMERA_CLOCK:
        ask(live, PROMPT_CAMERA_CLOCK);
        break;
    case PRESS_LOOKED_RIGHT:
        ask(live, PROMPT_LOOKED_RIGHT);
        break;
    case PRESS_OPTICS:
        ask(live, PROMPT_OPTICS);
        break;
    case PRESS_ITEM:
        ask(live, PROMPT_ITEM);
        break;
    case PRESS_FORECAST:
        ask(live, PROMPT_FORECAST);
        break;
    case PRESS_NOTE:
        ask(live, PROMPT_NOTE);
        break;
    case PRESS_PLACE:
        ask(live, PROMPT_SITE);
        break;
    case PRESS_QUIT:
        quit_key(live);
        break;
    case PRESS_QUIT_NOW:
        live->leaving = true;
        break;
    default:
        break;
    }
}

/* Pasted text is only ever text: it goes into the answer that is being typed, a new line as a
 * blank, and acts on nothing. True where the key was part of it. */
static bool paste_key(struct live *live, int key)
{
    const struct clock *clock = &live->session.clock;
    double boot = clock->boot(clock);

    if (key != INPUT_PASTE && boot - live->pasted_boot > PASTE_LOST_S)
        return false;
    live->pasted_boot = key == INPUT_PASTE_END ? -INFINITY : boot;
    if (key == INPUT_ENTER || key == INPUT_TAB)
        key = ' ';
    if (live->prompt == PROMPT_NONE)
        session_say(&live->session, "pasted text was left out: no answer is being typed");
    else if (key >= ' ' && key < INPUT_UP)
        prompt_key(live, key);
    return true;
}

void live_key(struct live *live, int key)
{
    if (paste_key(live, key))
        return;
    if (key == INTERRUPT || key == INTERRUPT_HARD)
        quit_key(live);
    else if (live->prompt != PROMPT_NONE)
        prompt_key(live, key);
    else if (!setup_page_key(live, key) && !view_key(live, key))
        act_key(live, key);
    if (live->view.page == PAGE_SETUP)
        setup_page_fill(live);
}
