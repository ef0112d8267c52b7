/* The acts: how each is written down, what is allowed for it, and what it does to what is known. */
#include "derive.h"

#include <moonstand/angle.h>

#include <math.h>
#include <stdio.h>
#include <string.h>

/* Items of the checklist that are a look at the focus begin so. */
#define FOCUS_ID "focus"
/* Likewise those that were entered in the night. */
#define OWN_ID "own-"
/* Instants are written down to the millisecond. */
#define WRITTEN_S 0.002
/* Of a bracket that a record tells of. */
#define MOST_FRAMES 99
#define MOST_STOPS 10

void act_forecast_row(const struct act *act, struct forecast_row *row)
{
    const double *value = act->value;

    *row = (struct forecast_row){value[0], value[1], value[2], value[3], value[4]};
}

/* ---- checks: what more than the ranges of its values an act must meet ---- */

static int check_range(double value, double lowest, double highest, const char *what,
                       struct fault *fault)
{
    if (isfinite(value) && value >= lowest && value <= highest)
        return 0;
    return fault_set(fault, "%s %g is out of range; expected %g to %g", what, value, lowest,
                     highest);
}

static int check_undo(const struct night *night, const struct act *act, struct fault *fault)
{
    const struct act *named = night_act(night, act->ref);

    if (named && act_is_undoable(night, named))
        return 0;
    return fault_set(fault, "entry %llu cannot be undone", (unsigned long long)act->ref);
}

static void own_item_id(char id[CHECK_ID], uint64_t seq)
{
    (void)snprintf(id, CHECK_ID, OWN_ID "%llu", (unsigned long long)seq);
}

/* An item of the setup, or one that was entered in the night by an act that was not undone: known
 * without the fold. */
static bool has_item(const struct night *night, const char *id)
{
    int item = checklist_find(&night->setup.checklist, id);
    char own[CHECK_ID];
    double seq;

    if (item >= 0 && item < night->items_of_setup)
        return true;
    if (strncmp(id, OWN_ID, strlen(OWN_ID)) != 0 ||
        parse_number(id + strlen(OWN_ID), 1, 0x1p53, &seq, NULL) != 0)
        return false;
    const struct act *told = night_act(night, (uint64_t)seq);
    if (!told || told->kind != ACT_ITEM || told->undone)
        return false;
    own_item_id(own, told->seq);
    return strcmp(id, own) == 0;
}

static int check_item(const struct night *night, const struct act *act, struct fault *fault)
{
    return has_item(night, act->text)
               ? 0
               : fault_set(fault, "the checklist has no item '%.40s'", act->text);
}

static int check_own_item(const struct night *night, const struct act *act, struct fault *fault)
{
    if (*act->text == '\0' || strlen(act->text) >= CHECK_TEXT || !text_is_clean(act->text))
        return fault_set(fault, "an item needs 1 to %d bytes of text", CHECK_TEXT - 1);
    if (night->items_of_setup + night->own_items >= CHECK_ITEMS)
        return fault_set(fault, "the checklist is full with its %d items", CHECK_ITEMS);
    return 0;
}

static int check_point(const struct night *night, const struct act *act, struct fault *fault)
{
    const struct rig *rig = &night->rig[act->rig].rig;

    return rig->support == SUPPORT_FIXED
               ? 0
               : fault_set(fault, "%s is on a mount that follows", rig->name);
}

static int check_seen(const struct night *night, const struct act *act, struct fault *fault)
{
    const struct rig_state *rig = &night->rig[act->rig];

    if (rig->rig.support == SUPPORT_FIXED)
        return fault_set(fault, "%s is on a tripod, which has no axis to measure", rig->rig.name);
    if (!night->unfolded && !rig->aimed)
        return fault_set(fault, "first say where the Moon stood when %s was aimed", rig->rig.name);
    return 0;
}

static int check_flip(const struct night *night, const struct act *act, struct fault *fault)
{
    const struct rig *rig = &night->rig[act->rig].rig;

    return rig->support != SUPPORT_FIXED && rig->mount.german_equatorial
               ? 0
               : fault_set(fault, "%s has no mount that is turned over at the meridian", rig->name);
}

static int check_rig(const struct night *night, const struct act *act, struct fault *fault)
{
    double lowest, highest;

    (void)night;
    rig_field_range(act->text, &lowest, &highest);
    return isnan(lowest) ? fault_set(fault, "a rig has no field '%.40s' to change", act->text)
                         : check_range(act->value[0], lowest, highest, act->text, fault);
}

static int check_pictures(const struct night *night, const struct act *act, struct fault *fault)
{
    (void)night;
    return act->value[2] > act->value[0]
               ? fault_set(fault, "more pictures with a raw file than pictures")
               : 0;
}

/* Whether there is room for it is a matter of the state. */
static int check_forecast(const struct night *night, const struct act *act, struct fault *fault)
{
    static const struct forecast empty;
    struct forecast_row row;

    act_forecast_row(act, &row);
    return isfinite(row.utc)
               ? forecast_check(night->unfolded ? &empty : &night->forecast, &row, fault)
               : fault_set(fault, "a forecast entry needs a time");
}

/* ---- folds ---- */

static void fold_check(struct night *night, const struct act *act)
{
    bool done = act->kind == ACT_PAST || act->value[0] > 0;
    int item = checklist_find(&night->setup.checklist, act->text);

    if (item < 0) /* an own one that was undone */
        return;
    night->checked_utc[item] = done ? act->utc : NAN;
    /* Nobody has looked where an item was past before the program began. */
    done = done && act->kind == ACT_CHECK;
    if (done && strncmp(act->text, FOCUS_ID, strlen(FOCUS_ID)) == 0)
        night->focus_utc = act->utc;
    if (done && asks_for_glass(night, item))
        night->glass_utc = act->utc;
}

static void fold_aim(struct night *night, const struct act *act)
{
    struct rig_state *rig = &night->rig[act->rig];

    rig->aimed = true;
    rig->aimed_utc = rig->made_utc = act->utc;
    rig->over_due_utc = act->kind == ACT_SPOTTED ? act->value[2] : NAN;
    rig->pointed = act->kind == ACT_POINT;
    rig->pose = (struct pose){.altitude_rad = rad_from_deg(act->value[0]),
                              .azimuth_rad = rad_from_deg(act->value[1]),
                              .roll_rad = rad_from_deg(act->value[2])};
    if (!rig->pointed)
        rig->aimed_at = (struct frame_point){act->value[0], act->value[1]};
    rig->snoozed_until = NAN;
    rig->alarm_utc = NAN;
}

/* Within the aim that it corrects, and no other: alarms and quiet of that aim stay. */
static void fold_place(struct night *night, const struct act *act)
{
    struct rig_state *rig = &night->rig[act->rig];

    if (!rig->aimed || rig->pointed || !(fabs(rig->made_utc - act->value[3]) < WRITTEN_S))
        return;
    rig->aimed_utc = act->utc;
    rig->aimed_at = (struct frame_point){act->value[0], act->value[1]};
    rig->over_due_utc = act->value[2];
}

static void fold_seen(struct night *night, const struct act *act)
{
    struct rig_state *rig = &night->rig[act->rig];

    rig->seen[0] = (struct mount_seen){rig->aimed_utc, rig->aimed_at};
    rig->seen[1] = (struct mount_seen){act->utc, {act->value[0], act->value[1]}};
}

static void fold_snooze(struct night *night, const struct act *act)
{
    night->rig[act->rig].snoozed_until = act->utc + act->value[0];
}

static void fold_flip(struct night *night, const struct act *act)
{
    night->rig[act->rig].flipped_utc = act->utc;
}

static void fold_site(struct night *night, const struct act *act)
{
    night->site.latitude_deg = act->value[0];
    night->site.longitude_deg = act->value[1];
    night->site.height_m = act->value[2];
    (void)snprintf(night->site_source, sizeof night->site_source, "%.7s", act->text);
}

static void fold_target(struct night *night, const struct act *act)
{
    night->rig[act->rig].rig.target = (enum target)act->value[0];
}

static void fold_correction(struct night *night, const struct act *act)
{
    struct rig_state *rig = &night->rig[act->rig];
    enum target target = (enum target)act->value[0];

    rig->correction_stops[target] = act->value[1];
    if (target != TARGET_UMBRA)
        return;
    rig->umbra_utc = act->utc;
    go_stale(night, STALE_LIGHT);
}

/* The eye's word starts the umbra anew: test frames before it were held against another L. */
static void fold_danjon(struct night *night, const struct act *act)
{
    night->danjon_rating = act->value[0];
    for (int i = 0; i < night->setup.rig_count; i++) {
        night->rig[i].correction_stops[TARGET_UMBRA] = 0;
        night->rig[i].umbra_utc = NAN;
    }
}

static void fold_rig(struct night *night, const struct act *act)
{
    struct rig_state *rig = &night->rig[act->rig];

    rig_field_set(&rig->rig, act->text, act->value[0]);
    /* After a turn of the camera it is not known where the Moon is in its frame. */
    if (strncmp(act->text, "portrait", strlen("portrait")) == 0)
        rig->aimed = false;
}

static void fold_frame(struct night *night, const struct act *act)
{
    night->rig[act->rig].frames++;
}

static void fold_cloud(struct night *night, const struct act *act)
{
    night->cloud = act->value[0] > 0;
}

/* The item that waits for a fall of the temperature since the last look at the focus comes up. */
static void fold_air(struct night *night, const struct act *act)
{
    struct air_reading reading = {act->utc, act->value[0], act->value[1]};
    int item = checklist_find(&night->setup.checklist, FOCUS_ID "-cold");

    if (!air_log_add(&night->air_log, &reading) || item < 0 ||
        night->later_utc[item] > night->focus_utc ||
        !(air_log_fall_c(&night->air_log, night->focus_utc) >= FOCUS_FALL_C))
        return;
    night->checked_utc[item] = NAN;
    night->later_utc[item] = act->utc;
}

static void fold_battery(struct night *night, const struct act *act)
{
    night->rig[act->rig].battery_utc = act->utc;
    night->rig[act->rig].batteries_changed++;
}

static void fold_card(struct night *night, const struct act *act)
{
    night->rig[act->rig].card_utc = act->utc;
    night->rig[act->rig].on_card = night->rig[act->rig].pictures;
}

static void fold_glass(struct night *night, const struct act *act)
{
    night->glass_utc = act->utc;
}

static void fold_heater(struct night *night, const struct act *act)
{
    night->rig[act->rig].heater_told = true;
    night->rig[act->rig].heater_on = act->value[0] > 0;
}

static void fold_camera_clock(struct night *night, const struct act *act)
{
    night->rig[act->rig].camera_behind_s = act->value[0];
}

static void fold_later(struct night *night, const struct act *act)
{
    int item = checklist_find(&night->setup.checklist, act->text);

    if (item >= 0)
        night->later_utc[item] = act->utc + act->value[0];
}

/* Named by the number of its entry, so that its ticks find it again. */
static void fold_item(struct night *night, const struct act *act)
{
    struct checklist *list = &night->setup.checklist;
    struct check_item *item;

    if (list->count >= CHECK_ITEMS) /* the setup's own list has grown since */
        return;
    item = &list->item[list->count++];
    *item = (struct check_item){
        .group = CHECK_REMINDER, .at_instant = isfinite(act->value[0]), .due_utc = act->value[0]};
    own_item_id(item->id, act->seq);
    (void)memcpy(item->text, act->text, strlen(act->text) + 1);
}

static void fold_forecast(struct night *night, const struct act *act)
{
    struct forecast_row row;

    act_forecast_row(act, &row);
    if (night->forecast_file.count == 0)
        night->forecast.issued_utc = act->utc;
    (void)forecast_put(&night->forecast, &row, NULL);
}

static void fold_alarm(struct night *night, const struct act *act)
{
    if (act->rig < 0)
        return;
    night->rig[act->rig].alarm_utc = act->value[0];
}

static void fold_setting(struct night *night, const struct act *act)
{
    struct rig_state *rig = &night->rig[act->rig];

    rig->set_utc = act->utc;
    rig->setting_target = (enum target)act->value[2];
    rig->dial = (struct dial){true, (int)act->value[0], (int)act->value[1],
                              (int)fmin(fmax(act->value[3], 1), MOST_FRAMES)};
}

static void fold_clock(struct night *night, const struct act *act)
{
    night->clock_offset_s = act->value[0];
}

/* The clock was set: what was done keeps its distance from now, and so do the things that run. */
static void fold_gap(struct night *night, const struct act *act)
{
    double by_s = act->value[2];

    if (!isfinite(by_s))
        return;
    for (int i = 0; i < night->setup.rig_count; i++) {
        struct rig_state *rig = &night->rig[i];

        rig->aimed_utc += by_s;
        rig->snoozed_until += by_s;
        rig->alarm_utc += by_s;
        rig->umbra_utc += by_s;
        rig->seen[0].utc += by_s;
        rig->seen[1].utc += by_s;
        rig->battery_utc += by_s;
        rig->card_utc += by_s;
        rig->camera_behind_s += by_s; /* it was held against the clock that was wrong */
        rig->picture_behind_s += by_s;
        rig->pictures.last_utc += by_s;
        rig->counted_utc += by_s;
        rig->stopped_utc += by_s;
        rig->made_utc += by_s;
        rig->over_due_utc += by_s;
        rig->set_utc += by_s;
    }
    for (int i = 0; i < CHECK_ITEMS; i++) {
        night->checked_utc[i] += by_s;
        night->later_utc[i] += by_s;
    }
    night->replan.utc += by_s;
    night->replan.planned_utc += by_s;
    night->replan.set_utc += by_s;
    night->focus_utc += by_s;
    night->glass_utc += by_s;
    for (int i = 0; i < AIR_READINGS; i++)
        night->air_log.reading[i].utc += by_s;
    go_stale(night, STALE_LIGHT);
}

static void fold_pictures(struct night *night, const struct act *act)
{
    const double *value = act->value;

    night->rig[act->rig].pictures = (struct pictures_count){value[0], value[1], value[2], value[3]};
    night->rig[act->rig].counted_utc = act->utc;
}

static void fold_stopped(struct night *night, const struct act *act)
{
    night->rig[act->rig].stopped_utc = act->value[0];
}

static void fold_picture_clock(struct night *night, const struct act *act)
{
    night->rig[act->rig].picture_behind_s = act->value[0];
}

/* The rounds are planned again from an act on, with what is on the dials then. */
static void replan(struct night *night, const struct act *act)
{
    struct replan *replan = &night->replan;
    const double *value = act->value;

    *replan = (struct replan){.utc = act->utc,
                              .planned_utc = NAN,
                              .set_utc = NAN,
                              .asks = act->kind != ACT_CLOUD && act->kind != ACT_ROUND,
                              .rig = act->rig,
                              .pinned = act->kind == ACT_CORRECTION && isnan(value[2])};
    if (act->kind == ACT_ROUND) {
        replan->done = true;
        replan->planned_utc = value[0];
    }
    for (int i = 0; i < night->setup.rig_count; i++) {
        replan->set_utc = fmax(replan->set_utc, night->rig[i].set_utc);
        replan->dial[i] = night->rig[i].dial;
    }
    if (act->kind == ACT_CORRECTION && fabs(value[2]) <= MOST_STOPS)
        replan->more_thirds = (int)lround(3 * value[2]);
}

/* ---- the table ---- */

struct act_row {
    struct act_form form;
    int (*check)(const struct night *night, const struct act *act, struct fault *fault);
    void (*fold)(struct night *night, const struct act *act); /* null: known, and no more */
    enum stale stale; /* whatever was there before; a fold may add to it */
};

/* clang-format off */
#define ANY(name) {name, 0, 0}
#define X {"x", -0.5, 0.5}
#define Y {"y", -0.5, 0.5}
#define TARGET {"target", 0, TARGETS - 1}
#define AIR {{"temperature_c", -45, 60}, {"humidity_percent", 1, 100}}
#define BEHIND {{"behind_s", -1e9, 1e9}}

static const struct act_row rows[ACT_KINDS] = {
    [ACT_CHECK] = {{"check", BY_USER | HAS_TEXT, {{"done", 0, 1}}}, check_item, fold_check, STALE_ADVICE},
    [ACT_AIM] = {{"aim", BY_USER | HAS_RIG, {X, Y}}, NULL, fold_aim, STALE_AIM},
    [ACT_POINT] = {{"point", BY_USER | HAS_RIG,
                    {{"altitude_deg", -90, 90}, {"azimuth_deg", 0, 360}, {"roll_deg", -45, 45}}},
                   check_point, fold_aim, STALE_AIM},
    [ACT_SEEN] = {{"seen", BY_USER | HAS_RIG, {X, Y}},
                  check_seen, fold_seen, STALE_FRAMING},
    [ACT_SNOOZE] = {{"snooze", BY_USER | HAS_RIG, {{"seconds", 1, 3600}}}, NULL, fold_snooze, STALE_NOTHING},
    [ACT_FLIP] = {{.name = "flip", .has = BY_USER | HAS_RIG}, check_flip, fold_flip, STALE_ADVICE},
    [ACT_SITE] = {{"site", BY_USER | HAS_TEXT,
                   {{"latitude_deg", -90, 90}, {"longitude_deg", -180, 180},
                    {"height_m", -500, 9000}}},
                  NULL, fold_site, STALE_SITE},
    [ACT_TARGET] = {{"target", BY_USER | HAS_RIG, {TARGET}},
                    NULL, fold_target, STALE_RUN},
    [ACT_CORRECTION] = {{"correction", BY_USER | HAS_RIG,
                         {TARGET, {"stops", -MOST_STOPS, MOST_STOPS}, ANY("by")}},
                        NULL, fold_correction, STALE_RUN},
    [ACT_DANJON] = {{"danjon", BY_USER, {{"l", 0, 4}}},
                    NULL, fold_danjon, STALE_LIGHT},
    [ACT_RIG] = {{"rig", BY_USER | HAS_RIG | HAS_TEXT, {ANY("value")}},
                 check_rig, fold_rig, STALE_FRAMING},
    [ACT_NOTE] = {{.name = "note", .has = BY_USER | HAS_TEXT}, NULL, NULL, STALE_NOTHING},
    [ACT_FRAME] = {{.name = "frame", .has = BY_USER | HAS_RIG}, NULL, fold_frame, STALE_NOTHING},
    [ACT_CLOUD] = {{"cloud", BY_USER, {ANY("came")}}, NULL, fold_cloud, STALE_ROUNDS},
    [ACT_AIR] = {{"air", BY_USER, AIR}, NULL, fold_air, STALE_ADVICE},
    [ACT_BATTERY] = {{.name = "battery", .has = BY_USER | HAS_RIG},
                     NULL, fold_battery, STALE_ADVICE},
    [ACT_CARD] = {{.name = "card", .has = BY_USER | HAS_RIG}, NULL, fold_card, STALE_NOTHING},
    [ACT_GLASS] = {{.name = "glass", .has = BY_USER}, NULL, fold_glass, STALE_ADVICE},
    [ACT_HEATER] = {{"heater", BY_USER | HAS_RIG, {{"on", 0, 1}}}, NULL, fold_heater, STALE_ADVICE},
    [ACT_CAMERA_CLOCK] = {{"camera_clock", BY_USER | HAS_RIG, BEHIND}, NULL, fold_camera_clock, STALE_NOTHING},
    [ACT_LATER] = {{"later", BY_USER | HAS_TEXT, {{"seconds", 1, 24 * 3600}}},
                   check_item, fold_later, STALE_ADVICE},
    [ACT_ITEM] = {{"item", BY_USER | HAS_TEXT, {ANY("due_utc")}}, check_own_item, fold_item, STALE_NOTHING},
    [ACT_FORECAST] = {{"forecast", BY_USER,
                       {ANY("for_utc"), ANY("cloud_percent"), ANY("temperature_c"),
                        ANY("humidity_percent"), ANY("wind_m_s")}},
                      check_forecast, fold_forecast, STALE_ADVICE},
    [ACT_SETUP] = {{.name = "setup", .has = BY_USER | HAS_TEXT},
                   NULL, setup_fold_change, STALE_ROUNDS},
    [ACT_ROUND] = {{"round", BY_USER, {ANY("planned_utc"), {"acts", 0, ROUND_ACTS - 1}}},
                   NULL, NULL, STALE_ROUNDS},
    [ACT_UNDO] = {{.name = "undo", .has = HAS_REF}, check_undo, NULL, STALE_NOTHING},
    [ACT_BEGIN] = {{"begin", HAS_TEXT, {ANY("anew")}}, NULL, setup_fold_begin, STALE_ADVICE},
    [ACT_END] = {{.name = "end"}, NULL, NULL, STALE_NOTHING},
    [ACT_PAST] = {{.name = "past", .has = HAS_TEXT}, check_item, fold_check, STALE_NOTHING},
    [ACT_ALARM] = {{"alarm", HAS_RIG, {ANY("due_utc")}}, NULL, fold_alarm, STALE_NOTHING},
    [ACT_MISSED] = {{"missed", HAS_RIG | HAS_TEXT, {ANY("due_utc")}}, NULL, fold_alarm, STALE_NOTHING},
    [ACT_SETTING] = {{"setting", HAS_RIG,
                      {{"shutter", -45, 18}, {"iso", -6, 36}, TARGET, ANY("frames")}},
                     NULL, fold_setting, STALE_NOTHING},
    [ACT_CLOCK] = {{"clock", 0, {ANY("offset_s")}}, NULL, fold_clock, STALE_NOTHING},
    [ACT_SENSOR] = {{"sensor", 0, AIR}, NULL, fold_air, STALE_ADVICE},
    [ACT_GAP] = {{"gap", 0, {ANY("from_utc"), ANY("to_utc"), ANY("clock_set_s")}},
                 NULL, fold_gap, STALE_NOTHING},
    [ACT_PICTURES] = {{"pictures", HAS_RIG,
                       {{"frames", 0, 1e7}, {"bytes", 0, 1e15}, {"raw", 0, 1e7}, ANY("last_utc")}},
                      check_pictures, fold_pictures, STALE_NOTHING},
    [ACT_STOPPED] = {{"stopped", HAS_RIG, {ANY("since_utc")}}, NULL, fold_stopped, STALE_NOTHING},
    [ACT_PICTURE_CLOCK] = {{"picture_clock", HAS_RIG, BEHIND}, NULL, fold_picture_clock, STALE_NOTHING},
    [ACT_SPOTTED] = {{"spotted", BY_USER | HAS_RIG, {X, Y, ANY("due_utc")}},
                     check_point, fold_aim, STALE_AIM},
    [ACT_PLACE] = {{"place", HAS_RIG, {X, Y, ANY("due_utc"), ANY("since_utc")}},
                   check_point, fold_place, STALE_AIM},
};
/* clang-format on */

const struct act_form *act_form(enum act_kind kind)
{
    return &rows[kind].form;
}

bool act_value_is_instant(const char *name)
{
    const char *unit = strrchr(name, '_');

    return unit && strcmp(unit, "_utc") == 0;
}

bool act_is_undoable(const struct night *night, const struct act *act)
{
    return act_form(act->kind)->has & BY_USER &&
           (act->kind != ACT_SETUP || act->seq > night->setup_settled);
}

int act_check(const struct night *night, const struct act *act, struct fault *fault)
{
    bool any_rig = act->kind == ACT_MISSED && act->rig == -1;

    if ((int)act->kind < 0 || act->kind >= ACT_KINDS || !isfinite(act->utc))
        return fault_set(fault, "an entry of no known kind or time");
    const struct act_row *row = &rows[act->kind];
    if (row->form.has & HAS_RIG && !any_rig && (act->rig < 0 || act->rig >= night->setup.rig_count))
        return fault_set(fault, "there is no rig %d", act->rig + 1);
    if (row->check && row->check(night, act, fault) != 0)
        return -1;
    for (int i = 0; row->form.value[i].name; i++) {
        const struct act_value *value = &row->form.value[i];

        if (value->lowest < value->highest &&
            check_range(act->value[i], value->lowest, value->highest, value->name, fault) != 0)
            return -1;
    }
    return 0;
}

void act_fold(struct night *night, const struct act *act)
{
    const struct act_row *row = &rows[act->kind];

    if (row->fold)
        row->fold(night, act);
    if (row->stale >= STALE_ROUNDS)
        replan(night, act);
    go_stale(night, row->stale);
}
