/* The table of keys, and what each key does. Every act goes through live_act; everything else only
 * changes the view. */
#include "live.h"

#include <moonstand/setting_words.h>

#include <math.h>
#include <stdio.h>

#define THIRD_STOP (1.0 / 3)
#define SNOOZE_S 120.0
#define LATER_S 600.0
/* One stop of corrections before the key has to be let go of. */
enum { THIRDS_HELD = 3 };
/* A battery or card changed twice in such a time is more likely a key pressed twice. */
#define AGAIN_S 30.0

/* ---- what an act changed, and for whom ---- */

/* What a rig has now, and what the hands will set on it next. */
struct asked {
    struct exposure now, next;
};

static void see_asked(const struct session *session, struct asked asked[RIGS])
{
    for (int i = 0; i < session->night.setup.rig_count; i++) {
        double utc;
        const struct exposure *next =
            rounds_next(&session->night.rounds, i, session->moment.utc, &utc);

        asked[i].now = session->moment.rig[i].exposure;
        asked[i].next = next ? *next : (struct exposure){.known = false};
    }
}

/* A bit for each rig whose setting has changed, now or at its next round; the one that was acted on is
 * left out. */
static unsigned followers(const struct session *session, const struct asked before[RIGS], int but)
{
    struct asked after[RIGS];
    unsigned rigs = 0;

    see_asked(session, after);
    for (int i = 0; i < session->night.setup.rig_count; i++)
        if (i != but && !(exposure_same_dial(&before[i].now, &after[i].now) &&
                          exposure_same_dial(&before[i].next, &after[i].next)))
            rigs |= 1U << i;
    return rigs;
}

int live_act(struct live *live, struct act *act)
{
    struct session *session = &live->session;
    double l_before = session->night.danjon_state;
    struct asked before[RIGS];
    bool rates = act->kind == ACT_DANJON;
    char follows[SENTENCE];

    see_asked(session, before);
    if (session_act(session, act) != 0)
        return -1;
    if (act->kind == ACT_AIM || act->kind == ACT_POINT)
        eye_device_hurry(&live->eye);
    (void)umbra_follows_words(&session->night, rates ? act->value[0] : session->night.danjon_state,
                              followers(session, before, act->rig), follows);
    if (rates)
        (void)snprintf(session->message, sizeof session->message, "%s", follows);
    else if (act->kind == ACT_CORRECTION && session->night.danjon_state != l_before)
        text_add(session->message, sizeof session->message, "; ", "%s", follows);
    return 0;
}

static void act_on_rig(struct live *live, enum act_kind kind, int rig, double first, double second)
{
    struct act act = {.kind = kind, .rig = rig, .value = {first, second}};

    (void)live_act(live, &act);
}

/* ---- acts of one key ---- */

/* An act on the chosen rig that needs nothing more. */
static void plain_act(struct live *live, int kind)
{
    act_on_rig(live, (enum act_kind)kind, kind == ACT_GLASS ? -1 : live->view.rig, 0, 0);
}

/* A fresh battery or card; so soon after the last one it asks. */
static void change_spare(struct live *live, int kind)
{
    const struct session *session = &live->session;
    const struct night *night = &session->night;
    double ago_s = NAN;
    int rig = live->view.rig;

    for (size_t i = night->act_count; i > 0 && isnan(ago_s); i--) {
        const struct act *act = &night->acts[i - 1];

        if (act->kind == (enum act_kind)kind && act->rig == rig && !act->undone)
            ago_s = session->clock.boot(&session->clock) - act->boot_s;
    }
    if (!(ago_s >= 0 && ago_s < AGAIN_S)) {
        plain_act(live, kind);
        return;
    }
    prompt_open(live, kind == ACT_BATTERY ? PROMPT_BATTERY_AGAIN : PROMPT_CARD_AGAIN, rig, "");
    if (live->prompt != PROMPT_NONE)
        session_say(&live->session, CHANGED_JUST_NOW_WORDS, ago_s, night->rig[rig].rig.name);
}

/* Ticks the chosen item, opens it again, or puts it off. */
static void act_on_item(struct live *live, int kind)
{
    struct session *session = &live->session;
    int item = view_item(&live->view, &session->night, &session->moment);
    struct act act = {.kind = (enum act_kind)kind, .rig = -1, .value = {LATER_S}};

    if (item < 0) {
        session_say(session, "%s",
                    kind == ACT_CHECK ? NOTHING_TO_TICK_WORDS : NOTHING_TO_PUT_OFF_WORDS);
        return;
    }
    if (kind == ACT_CHECK)
        act.value[0] = isfinite(session->night.checked_utc[item]) ? 0 : 1;
    (void)snprintf(act.text, sizeof act.text, "%s", session->night.setup.checklist.item[item].id);
    (void)live_act(live, &act);
}

/* The Moon was put where the screen advised at this moment. */
static void aimed(struct live *live)
{
    struct session *session = &live->session;
    int rig = view_aim_rig(&live->view, &session->moment);
    struct act act = advised_aim(&session->moment.rig[rig], rig);

    (void)live_act(live, &act);
}

static void silence(struct live *live)
{
    struct session *session = &live->session;
    int rig = view_aim_rig(&live->view, &session->moment);

    if (!isfinite(session->night.rig[rig].due_utc))
        session_say(session, NO_ALARM_WORDS, session->night.rig[rig].rig.name);
    else
        act_on_rig(live, ACT_SNOOZE, rig, SNOOZE_S, 0);
}

/* The acts of a round one after the other; the last one is the round, which undo takes back whole. */
static void round_is_done(struct live *live)
{
    struct session *session = &live->session;
    struct act acts[ROUND_ACTS];
    struct fault fault;
    int count = round_done(&session->night, &session->moment, acts, &fault);

    if (count == 0)
        session_say(session, "%.200s", fault.text);
    for (int i = 0; i < count && session_act(session, &acts[i]) == 0; i++)
        continue;
}

static void turn_camera(struct live *live)
{
    struct act act = {.kind = ACT_RIG, .rig = live->view.rig, .text = "portrait"};

    act.value[0] = live->session.night.rig[act.rig].rig.portrait ? 0 : 1;
    (void)live_act(live, &act);
}

/* What the pictures tell of the umbra, if the key goes that way: 0: nothing. */
static double told_stops(const struct session *session, int rig, int thirds)
{
    double darker = -session->moment.album[rig].umbra_stops;

    return thirds * darker > 0 ? darker : 0;
}

/* A rig at its limit cannot follow the key: that its frames are too dark tells nothing new of the umbra, and
 * would send the other rigs astray. */
static void say_at_limit(struct session *session, int rig, int thirds)
{
    const struct rig *used = &session->night.rig[rig].rig;
    char limit[LIMIT_WORDS];

    (void)limit_words(used, &session->moment.rig[rig].exposure, 0, limit);
    session_say(session, "%s can be no %s%s%s", used->name, thirds > 0 ? "brighter" : "darker",
                *limit ? ": " : "", limit);
}

/* `thirds` of a stop; what is told of the umbra is taken as a whole. A key that is held down, or has
 * become stuck, stops at one stop. */
static void correct(struct live *live, int thirds)
{
    struct session *session = &live->session;
    int rig = live->view.rig;
    const struct exposure *asked = &session->moment.rig[rig].exposure;
    double told = told_stops(session, rig, thirds), dialled = told != 0 ? 0 : thirds * THIRD_STOP;
    enum target target = told != 0 ? TARGET_UMBRA : asked->target;
    struct act act = {.kind = ACT_CORRECTION, .rig = rig, .value = {(double)target}};

    if (told == 0 && thirds * asked->deficit_stops > 0) {
        say_at_limit(session, rig, thirds);
    } else if (told == 0 && live->pressed_times > THIRDS_HELD) {
        session_say(session, "one stop at a time: let go of the key, then go on");
    } else {
        act.value[1] =
            night_correction(&session->night, &session->moment, rig, target) + told + dialled;
        act.value[2] = dialled;
        (void)live_act(live, &act);
    }
}

static void next_target(struct live *live)
{
    int rig = live->view.rig;
    int target = (int)live->session.night.rig[rig].rig.target;

    act_on_rig(live, ACT_TARGET, rig, (target + 1) % TARGETS, 0);
}

static void switch_heater(struct live *live)
{
    act_on_rig(live, ACT_HEATER, live->view.rig,
               live->session.moment.rig[live->view.rig].heated ? 0 : 1, 0);
}

static void note_cloud(struct live *live)
{
    act_on_rig(live, ACT_CLOUD, -1, live->session.night.cloud ? 0 : 1, 0);
}

static void watch_pictures(struct live *live)
{
    session_say(&live->session, "no rig's setup names a folder of pictures");
    live_watch(live); /* it may have another reason */
    if (live->eye.wanted)
        session_say(&live->session, "watching the pictures again");
}

static void accept_fix(struct live *live)
{
    struct session *session = &live->session;
    const struct gps_reading *gps = &session->readings.gps;
    struct act act = {.kind = ACT_SITE, .rig = -1, .text = "gps"};

    if (gps->state != GPS_FIX) {
        session_say(session, NO_FIX_WORDS, gps_state_name(gps->state));
        return;
    }
    act.value[0] = gps->latitude_deg;
    act.value[1] = gps->longitude_deg;
    act.value[2] = isfinite(gps->height_m) ? gps->height_m : session->night.site.height_m;
    (void)live_act(live, &act);
}

static void prompt_for(struct live *live, int prompt)
{
    int rig =
        prompt == PROMPT_AIMED ? view_aim_rig(&live->view, &live->session.moment) : live->view.rig;

    prompt_open(live, (enum prompt)prompt, rig, "");
}

static void undo(struct live *live)
{
    session_undo(&live->session);
}

/* ---- the view ---- */

static void choose_item(struct live *live, int by)
{
    const struct session *session = &live->session;

    live->view.item = view_item_step(&live->view, &session->night, &session->moment, by);
}

static void step_rig(struct live *live, int by)
{
    int count = live->session.night.setup.rig_count;

    live->view.rig = (live->view.rig + by + count) % count;
}

static void choose_rig(struct live *live, int rig)
{
    if (rig < live->session.night.setup.rig_count)
        live->view.rig = rig;
}

static void toggle_page(struct live *live, int page)
{
    live->view.page = live->view.page == (enum page)page ? PAGE_NIGHT : (enum page)page;
}

static void open_keys(struct live *live, int which)
{
    live->view.keys_open = (enum keys_open)which;
    live->view.key = key_step(&live->view, 0, 0);
}

enum { SWAP_CLOCKS, SWAP_HOURS, SWAP_UNITS, SWAP_APART };

static void swap(struct live *live, int which)
{
    bool *const flags[] = {
        [SWAP_CLOCKS] = &live->view.utc_first,
        [SWAP_HOURS] = &live->session.hours_swapped,
        [SWAP_UNITS] = &live->session.units_swapped,
        [SWAP_APART] = &live->view.apart,
    };

    *flags[which] = !*flags[which];
}

static void dim(struct live *live)
{
    live->theme_step = (live->theme_step + 1) % THEME_STEPS;
    term_theme(&live->theme, live->theme_step);
    term_redraw();
}

static void paint_anew(struct live *live)
{
    (void)live;
    term_redraw();
}

#define ON(page) ON_PAGE(page)
#define LEARN .learn = true
enum { CTRL_L = 'L' - '@' };

const struct key_row key_table[] = {
    {"a", "aimed", KEYS_AIM, 'a', LEARN, .hint = 4, .act = aimed,
     .pages = ON(NIGHT) | ON(FRAME) | ON(FAR),
     .help = "You have aimed as the screen advised: the rig whose alarm sounds, else the chosen "
             "one. A wide rig with one pointing then points as its row shows."},
    {"z", "silence alarm", KEYS_AIM, 'z', LEARN, .hint = 7, .act = silence,
     .pages = ON(NIGHT) | ON(FRAME) | ON(FAR) | ON(LIST),
     .help = "Silences the re-aim alarm of a rig for two minutes: the one that sounds, else the "
             "chosen rig's."},
    {".", "round done", KEYS_AIM, '.', LEARN, .act = round_is_done, .pages = ON(NIGHT) | ON(FAR),
     .help = "The round that Hands shows is done, early or late: settings, aims, batteries. What "
             "follows is planned from now on; u undoes all of it."},
    {"i", "frame", KEYS_AIM, 'i', LEARN, .hint = 9, .act_on = toggle_page, .what = PAGE_FRAME,
     .help = "The picture of the chosen rig: where to put the Moon, and a test print of the "
             "setting, checked where it clips, black where nothing is left."},
    {"A", "aimed elsewhere", KEYS_AIM, 'A', .act_on = prompt_for, .what = PROMPT_AIMED,
     .pages = ON(NIGHT) | ON(FRAME) | ON(FAR),
     .help = "You have aimed with the Moon elsewhere: asks for its place, in per cent of the "
             "frame's width and height to the right of the centre and above it."},
    {"S", "mount drift", KEYS_AIM, 'S', .act_on = prompt_for, .what = PROMPT_SEEN,
     .pages = ON(FRAME),
     .help = "Enter where the Moon has drifted to in the frame of the chosen rig, on a mount and "
             "untouched since. Two places give the error of the mount's axis."},
    {"M", "mount flipped", KEYS_AIM, 'M', .act_on = plain_act, .what = ACT_FLIP,
     .pages = ON(NIGHT) | ON(FRAME),
     .help = "The mount of the chosen rig has been turned over at the meridian: its flip is no "
             "longer told."},
    {"T", "camera turned", KEYS_AIM, 'T', .act = turn_camera, .pages = ON(FRAME),
     .help = "You have turned the camera of the chosen rig from landscape to portrait, or back. It "
             "must then be aimed again."},

    {"+", "brighter", KEYS_EXPOSE, '+', '=', LEARN, .act_on = correct, .what = 1,
     .pages = ON(NIGHT) | ON(CURVES),
     .help = "Makes the chosen rig a third of a stop brighter, or takes what its pictures ask for "
             "the umbra. Held down it stops at one stop. On the umbra all follow."},
    {"-", "darker", KEYS_EXPOSE, '-', LEARN, .act_on = correct, .what = -1,
     .pages = ON(NIGHT) | ON(CURVES),
     .help = "Makes the chosen rig a third of a stop darker, or takes what its pictures ask for "
             "the umbra. Held down it stops at one stop. On the umbra all follow."},
    {"s", "looked right", KEYS_EXPOSE, 's', LEARN, .act_on = prompt_for,
     .what = PROMPT_LOOKED_RIGHT, .pages = ON(NIGHT) | ON(CURVES),
     .help = "Enter the setting of a test frame that looked right, such as 1/60 400: the rig goes "
             "on from it, and on the umbra the others follow."},
    {"d", "rate the umbra", KEYS_EXPOSE, 'd', LEARN, .act_on = prompt_for, .what = PROMPT_RATING,
     .pages = ON(NIGHT) | ON(CURVES),
     .help = "Rate the umbra as you see it, Danjon's L from 0 (dark) to 4 (bright): all rigs that "
             "expose for it follow."},
    {"t", "next target", KEYS_EXPOSE, 't', .act = next_target, .pages = ON(NIGHT) | ON(CURVES),
     .help = "The next thing that the chosen rig exposes for: chosen for you, the sunlit part, the "
             "umbra, both in a bracket, the foreground."},
    {"e", "lens and filter", KEYS_EXPOSE, 'e', .act_on = prompt_for, .what = PROMPT_OPTICS,
     .pages = ON(NIGHT) | ON(CURVES),
     .help = "Change f-number, filter, extender or interval of the chosen rig, one at a time: f 8, "
             "filter 3 (stops), extender 1.4, interval 20 (seconds)."},
    {"f", "frame taken", KEYS_EXPOSE, 'f', .act_on = plain_act, .what = ACT_FRAME,
     .pages = ON(NIGHT) | ON(FRAME),
     .help = "Counts a frame taken with the chosen rig, with its setting of this moment, for the "
             "report."},
    {"o", "curves", KEYS_EXPOSE, 'o', .hint = 10, .act_on = toggle_page, .what = PAGE_CURVES,
     .help = "The night as curves: light, altitude and the settings of the chosen rig from P1 to "
             "P4. Again: back to the night."},

    {"b", "battery changed", KEYS_KIT, 'b', LEARN, .act_on = change_spare, .what = ACT_BATTERY,
     .pages = ON(NIGHT) | ON(KIT),
     .help = "You have put a fresh battery into the chosen rig. Pressed again within 30 seconds it "
             "asks."},
    {"m", "card changed", KEYS_KIT, 'm', .act_on = change_spare, .what = ACT_CARD,
     .pages = ON(NIGHT) | ON(KIT),
     .help = "You have put an empty memory card into the chosen rig. Pressed again within 30 "
             "seconds it asks."},
    {"w", "air reading", KEYS_KIT, 'w', LEARN, .act_on = prompt_for, .what = PROMPT_AIR,
     .pages = ON(NIGHT) | ON(KIT),
     .help = "Enter temperature and humidity, such as -8 75, 4C 88% or 39F 88 %: dew, frost and "
             "the batteries are reckoned with them."},
    {"c", "cloud", KEYS_KIT, 'c', .act = note_cloud, .pages = ON(NIGHT) | ON(KIT),
     .help = "Cloud came; again: cloud went."},
    {"y", "kit", KEYS_KIT, 'y', .act_on = toggle_page, .what = PAGE_KIT,
     .help = "Batteries, cards, air, forecast and clocks: what could run out. Again: back to the "
             "night."},
    {"G", "glass is dry", KEYS_KIT, 'G', .act_on = plain_act, .what = ACT_GLASS,
     .pages = ON(NIGHT) | ON(KIT),
     .help = "You have looked at the front lenses and they are dry: no reminder for twenty "
             "minutes."},
    {"H", "heater on, off", KEYS_KIT, 'H', .act = switch_heater, .pages = ON(NIGHT) | ON(KIT),
     .help = "You have switched the heater on the lens of the chosen rig on, or off. While it is "
             "on there is no reminder to look at that lens."},
    {"F", "forecast hour", KEYS_KIT, 'F', .act_on = prompt_for, .what = PROMPT_FORECAST,
     .pages = ON(NIGHT) | ON(KIT),
     .help = "Enter an hour of the forecast: time, cloud %, temperature, humidity %, wind, with - "
             "for what is not known. The time alone deletes that hour."},
    {"C", "time card", KEYS_KIT, 'C', .act_on = toggle_page, .what = PAGE_TIME_CARD,
     .help = "UTC on the whole screen, to be photographed by every camera, so that its clock can "
             "be corrected afterwards. Again: back to the night."},
    {"K", "camera clock", KEYS_KIT, 'K', .act_on = prompt_for, .what = PROMPT_CAMERA_CLOCK,
     .pages = ON(KIT) | ON(TIME_CARD),
     .help = "Enter what the clock of the chosen rig's camera shows at this moment, such as "
             "21:04:30."},
    {"P", "watch pictures", KEYS_KIT, 'P', .act = watch_pictures, .pages = ON(KIT),
     .help = "Starts watching the folders of pictures again, after the watcher has stopped or "
             "hangs."},

    {"space", "tick", KEYS_NOTE, ' ', LEARN, .hint = 3, .act_on = act_on_item, .what = ACT_CHECK,
     .pages = ON(NIGHT) | ON(LIST),
     .help = "Ticks the chosen item of the checklist (the most urgent one if none is chosen), or "
             "opens it again."},
    {"tab", "list", KEYS_NOTE, INPUT_TAB, LEARN, .hint = 8, .act_on = toggle_page,
     .what = PAGE_LIST,
     .help = "The whole checklist, with the chosen item's note. Again: back to the night."},
    {"n", "note", KEYS_NOTE, 'n', LEARN, .act_on = prompt_for, .what = PROMPT_NOTE,
     .pages = ON(NIGHT) | ON(LIST),
     .help = "Write a line into the record of the night, kept with the time, the phase and the "
             "settings of all rigs."},
    {"Z", "put item off", KEYS_NOTE, 'Z', .act_on = act_on_item, .what = ACT_LATER,
     .pages = ON(NIGHT) | ON(LIST),
     .help = "Puts the chosen item of the checklist off for ten minutes."},
    {"N", "new item", KEYS_NOTE, 'N', .act_on = prompt_for, .what = PROMPT_ITEM,
     .pages = ON(NIGHT) | ON(LIST),
     .help = "Adds an item to the checklist, with its time after @ if it has one: Move the car @ "
             "21:30, or Cap off @ U2-10m."},

    {"v", "far view", KEYS_SEE, 'v', LEARN, .hint = 11, .act_on = toggle_page, .what = PAGE_FAR,
     .help = "The countdowns to the next event and to your next job, large enough to read from "
             "afar. Again: back to the night."},
    {"r", "dim", KEYS_SEE, 'r', LEARN, .hint = 12, .act = dim,
     .help = "The other brightness of the theme."},
    {"R", "next theme", KEYS_SEE, 'R', .act = look_next,
     .help = "The next theme, your own included. Some are bright and spoil the eyes for the "
             "dark."},
    {"x", "local or UTC", KEYS_SEE, 'x', .act_on = swap, .what = SWAP_CLOCKS,
     .help = "Local time first, or UTC."},
    {"X", "12 or 24 hours", KEYS_SEE, 'X', .act_on = swap, .what = SWAP_HOURS,
     .help = "Local time with 24 hours, or with 12."},
    {"W", "units", KEYS_SEE, 'W', .act_on = swap, .what = SWAP_UNITS, .pages = ON(KIT),
     .help = "Temperature and wind in metric units, or in imperial ones."},
    {"L", "lines apart", KEYS_SEE, 'L', .act_on = swap, .what = SWAP_APART,
     .help = "A blank line after each line of text, or none."},
    {"Ctrl-L", "repaint", KEYS_SEE, CTRL_L, .act = paint_anew,
     .help = "Paints the screen anew, if something else has written over it."},

    {"arrows", "choose", KEYS_GO, LEARN,
     .help = "Up and down choose an item of the checklist, left and right a rig. In the menu and "
             "in the help they choose a key, in the setup (E) a line."},
    {NULL, "item above", KEYS_GO, INPUT_UP, 'k', .act_on = choose_item, .what = -1},
    {NULL, "item below", KEYS_GO, INPUT_DOWN, 'j', .act_on = choose_item, .what = 1},
    {NULL, "rig before", KEYS_GO, INPUT_LEFT, 'h', .act_on = step_rig, .what = -1},
    {NULL, "rig after", KEYS_GO, INPUT_RIGHT, 'l', .act_on = step_rig, .what = 1},
    {"Enter", "menu", KEYS_GO, INPUT_ENTER, LEARN, .hint = 2, .act_on = open_keys, .what = KEYS_ALL,
     .help = "The menu of everything that can be done: arrows choose, Enter does it, Esc goes "
             "back. In a question Enter gives the answer."},
    {"u", "undo", KEYS_GO, 'u', LEARN, .hint = 5, .act = undo,
     .help = "Undoes the last act; again, the one before it. Changes of the setup are acts, too."},
    {"?", "help", KEYS_GO, '?', LEARN, .hint = 1, .act_on = open_keys, .what = KEYS_TO_LEARN,
     .help = "The keys for tonight in groups; the arrows choose one to be explained, and Enter "
             "does it. Again, or Esc: back."},
    {"q q", "quit", KEYS_GO, 'q', 'Q', LEARN, .hint = 6, .act = live_quit,
     .help = "Ends the program and every alarm: pressed twice within two seconds. Ctrl-C does the "
             "same, also in a question. The night goes on at the next start."},
    {"1", "rig 1", KEYS_GO, '1', .act_on = choose_rig, .what = 0,
     .help = "Chooses rig 1; keys for a rig then act on it."},
    {"2", "rig 2", KEYS_GO, '2', .act_on = choose_rig, .what = 1,
     .help = "Chooses rig 2; keys for a rig then act on it."},
    {"3", "rig 3", KEYS_GO, '3', .act_on = choose_rig, .what = 2,
     .help = "Chooses rig 3; keys for a rig then act on it."},
    {"Esc", "back", KEYS_GO, INPUT_ESCAPE, .act_on = toggle_page, .what = PAGE_NIGHT,
     .help = "Closes help and menu, leaves a question unanswered, goes back to the night."},

    {"E", "setup", KEYS_SETUP, 'E', .act_on = toggle_page, .what = PAGE_SETUP,
     .help = "The setup line by line, changed in place; a change applies at once and is saved to "
             "the setup file. Enter or right opens, left or Esc goes back."},
    {"p", "site by hand", KEYS_SETUP, 'p', .act_on = prompt_for, .what = PROMPT_SITE,
     .pages = ON(NIGHT),
     .help = "Enter latitude, longitude and, if you know it, the height, such as 41.9, 2.3, 800 m "
             "or 41 54 N 2 18 E."},
    {"g", "site from GPS", KEYS_SETUP, 'g', .act = accept_fix, .pages = ON(NIGHT),
     .help = "Takes the fix of the GPS as the site."},
    {"D", "delete entry", KEYS_SETUP, 'D', INPUT_DELETE, .act = setup_page_take_out,
     .pages = ON(SETUP),
     .help = "In the setup: deletes the chosen entry of a list, such as a rig or a site."},
    {.name = NULL},
};
