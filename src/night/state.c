/* The fold: what each act does to what is known. */
#include "derive.h"

#include <moonstand/angle.h>
#include <moonstand/pick.h>

#include <math.h>
#include <stdio.h>
#include <string.h>

/* Items of the checklist that are a look at the focus begin so. */
#define FOCUS_ID "focus"
/* And so those that are a look at the front lenses. */
#define GLASS_ID "glass"
/* And so those that were told in the night. */
#define OWN_ID "own-"

static void reset_rig(struct rig_state *state, const struct rig *rig)
{
    *state = (struct rig_state){
        .rig = *rig,
        .aimed_utc = NAN,
        .ends_utc = NAN,
        .cut_utc = NAN,
        .gone_utc = NAN,
        .leaves_utc = NAN,
        .due_utc = NAN,
        .due_before = -1,
        .seen = {{.utc = NAN}, {.utc = NAN}},
        .polar = {NAN, NAN, NAN, NAN},
        .snoozed_until = NAN,
        .alarm_utc = NAN,
        .umbra_utc = NAN,
        .pictures = {.last_utc = NAN},
        .on_card = {.last_utc = NAN},
        .counted_utc = NAN,
        .stopped_utc = NAN,
        .picture_behind_s = NAN,
        .battery_utc = NAN,
        .card_utc = NAN,
        .camera_behind_s = NAN,
    };
}

/* Contacts are all that the eclipse alone tells; the rest is derived. */
static void know_eclipse(struct night *night)
{
    night->event_count = 0;
    for (int i = 0; i < CONTACT_COUNT; i++) {
        double utc = utc_from_tt(night->eclipse.tt[i]);

        night->contact_utc[i] = utc;
        if (isfinite(utc))
            night->event[night->event_count++] =
                (struct night_event){NIGHT_CONTACT, i, -1, utc, true};
    }
    items_begin(night);
}

void setup_begin(struct night *night)
{
    night->setup = night->began.setup;
    night->eclipse = night->began.eclipse;
    night->zone = night->began.zone;
    night->items_of_setup = night->setup.checklist.count;
    night->setup_changed = false;
    night->stale |= STALE_SITE;
    know_eclipse(night);
}

void eclipse_by_rule(struct eclipse *eclipse, enum shadow_rule rule)
{
    double greatest = utc_from_tt(eclipse->tt[CONTACT_GREATEST]);

    if (rule != eclipse->rule)
        (void)eclipse_of_day(floor(greatest / SECONDS_PER_DAY) * SECONDS_PER_DAY, rule, eclipse);
}

void state_reset(struct night *night)
{
    if (night->setup_changed)
        setup_begin(night);
    night->run_is_old = false;
    night->setup_settled = 0;
    night->site = night->setup.site;
    (void)snprintf(night->site_source, sizeof night->site_source, "setup");
    for (int i = 0; i < night->setup.rig_count; i++)
        reset_rig(&night->rig[i], &night->setup.rig[i]);
    night->setup.checklist.count = night->items_of_setup;
    for (int i = 0; i < CHECK_ITEMS; i++)
        night->checked_utc[i] = night->later_utc[i] = NAN;
    night->forecast = night->forecast_file;
    night->danjon_rating = NAN;
    night->focus_utc = NAN;
    night->glass_utc = NAN;
    night->air_log = (struct air_log){0};
    night->cloud = false;
    night->gap_to = NAN;
    night->clock_offset_s = NAN;
}

/* ---- fields of a rig that the live screen can change ---- */

enum field_kind { FIELD_NUMBER, FIELD_FLAG };

struct rig_field {
    const char *name; /* in the record */
    enum field_kind kind;
    size_t offset;
    double lowest, highest;
};

static const struct rig_field rig_fields[] = {
    {"filter_stops", FIELD_NUMBER, offsetof(struct rig, filter_stops), 0, 20},
    {"extender", FIELD_NUMBER, offsetof(struct rig, extender), 0.3, 5},
    {"f_number", FIELD_NUMBER, offsetof(struct rig, f_number), 0.5, 64},
    {"interval_s", FIELD_NUMBER, offsetof(struct rig, interval_s), 0.5, 3600},
    {"portrait", FIELD_FLAG, offsetof(struct rig, portrait), 0, 1},
};

/* `name` ends with the text or at a blank. */
static const struct rig_field *rig_field(const char *name)
{
    size_t length = strcspn(name, " ");

    for (size_t i = 0; i < sizeof rig_fields / sizeof rig_fields[0]; i++)
        if (strlen(rig_fields[i].name) == length && memcmp(rig_fields[i].name, name, length) == 0)
            return &rig_fields[i];
    return NULL;
}

void rig_field_range(const char *name, double *lowest, double *highest)
{
    const struct rig_field *field = rig_field(name);

    *lowest = field ? field->lowest : NAN;
    *highest = field ? field->highest : NAN;
}

static void rig_field_set(struct rig *rig, const struct rig_field *field, double value)
{
    void *place = (char *)rig + field->offset;

    if (field->kind == FIELD_NUMBER)
        *(double *)place = value;
    else
        *(bool *)place = value > 0;
}

static double rig_field_get(const struct rig *rig, const struct rig_field *field)
{
    const void *place = (const char *)rig + field->offset;

    return field->kind == FIELD_NUMBER ? *(const double *)place : *(const bool *)place;
}

void act_forecast_row(const struct act *act, struct forecast_row *row)
{
    const double *value = act->value;

    *row = (struct forecast_row){value[0], value[1], value[2], value[3], value[4]};
}

/* ---- checks ---- */

static int check_range(double value, double lowest, double highest, const char *what,
                       struct fault *fault)
{
    if (isfinite(value) && value >= lowest && value <= highest)
        return 0;
    return fault_set(fault, "%s %g is out of range; expected %g to %g", what, value, lowest,
                     highest);
}

/* ---- changes of the setup ---- */

void night_setup(const struct night *night, struct setup *setup)
{
    *setup = night->setup;
    setup->checklist.count = night->items_of_setup;
}

static int change_setup(const struct night *night, const char *change, struct setup *setup,
                        struct zone_table *zone, struct fault *fault)
{
    if (!night->editor.edit)
        return fault_set(fault, "the setup cannot be changed here");
    night_setup(night, setup);
    *zone = night->zone;
    return night->editor.edit(night->editor.context, change, setup, zone, fault);
}

int setup_check_change(const struct night *night, const char *change, struct fault *fault)
{
    struct setup setup;
    struct zone_table zone;

    return change_setup(night, change, &setup, &zone, fault);
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

/* An item of the setup, or one that was told in the night by an act that holds: known without the
 * fold. */
static bool has_item(const struct night *night, const char *id)
{
    int item = checklist_find(&night->setup.checklist, id);
    const struct act *told;
    char own[CHECK_ID];
    double seq;

    if (item >= 0 && item < night->items_of_setup)
        return true;
    if (strncmp(id, OWN_ID, strlen(OWN_ID)) != 0 ||
        parse_number(id + strlen(OWN_ID), 1, 0x1p53, &seq, NULL) != 0)
        return false;
    told = night_act(night, (uint64_t)seq);
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

/* Whether there is room for it is a matter of the state. */
static int check_forecast(const struct night *night, const struct act *act, struct fault *fault)
{
    static const struct forecast empty;
    struct forecast_row row;

    act_forecast_row(act, &row);
    return isfinite(row.utc)
               ? forecast_check(night->unfolded ? &empty : &night->forecast, &row, fault)
               : fault_set(fault, "an hour of the forecast wants a time");
}

static int check_values(const struct night *night, const struct act *act, struct fault *fault)
{
    const double *value = act->value;
    const struct rig_field *field;

    switch (act->kind) {
    case ACT_CHECK:
        return check_item(night, act, fault) == 0 ? check_range(value[0], 0, 1, "done", fault) : -1;
    case ACT_PAST:
        return check_item(night, act, fault);
    case ACT_SEEN:
        if (night->rig[act->rig].rig.support == SUPPORT_FIXED)
            return fault_set(fault, "%s is on a tripod, which has no axis to measure",
                             night->rig[act->rig].rig.name);
        if (!night->unfolded && !night->rig[act->rig].aimed)
            return fault_set(fault, "first say where the Moon stood when %s was aimed",
                             night->rig[act->rig].rig.name);
        /* fall through */
    case ACT_AIM:
        return check_range(value[0], -0.5, 0.5, "x", fault) ||
                       check_range(value[1], -0.5, 0.5, "y", fault)
                   ? -1
                   : 0;
    case ACT_POINT:
        if (night->rig[act->rig].rig.support != SUPPORT_FIXED)
            return fault_set(fault, "%s is on a mount that follows", night->rig[act->rig].rig.name);
        return check_range(value[0], -90, 90, "altitude", fault) ||
                       check_range(value[1], 0, 360, "azimuth", fault) ||
                       check_range(value[2], -45, 45, "roll", fault)
                   ? -1
                   : 0;
    case ACT_SNOOZE:
        return check_range(value[0], 1, 3600, "snooze", fault);
    case ACT_SITE:
        return check_range(value[0], -90, 90, "latitude", fault) ||
                       check_range(value[1], -180, 180, "longitude", fault) ||
                       check_range(value[2], -500, 9000, "height", fault)
                   ? -1
                   : 0;
    case ACT_TARGET:
    case ACT_CORRECTION:
        if (check_range(value[0], 0, TARGETS - 1, "target", fault) != 0)
            return -1;
        return act->kind == ACT_TARGET ? 0 : check_range(value[1], -10, 10, "correction", fault);
    case ACT_DANJON:
        return check_range(value[0], 0, 4, "L", fault);
    case ACT_HEATER:
        return check_range(value[0], 0, 1, "on", fault);
    case ACT_RIG:
        field = rig_field(act->text);
        if (!field)
            return fault_set(fault, "a rig has no field '%.40s' to change", act->text);
        return check_range(value[0], field->lowest, field->highest, field->name, fault);
    case ACT_LATER:
        return check_item(night, act, fault) == 0
                   ? check_range(value[0], 1, 24 * 3600, "seconds", fault)
                   : -1;
    case ACT_ITEM:
        if (*act->text == '\0' || strlen(act->text) >= CHECK_TEXT || !text_is_clean(act->text))
            return fault_set(fault, "an item wants 1 to %d bytes of text", CHECK_TEXT - 1);
        if (night->items_of_setup + night->own_items >= CHECK_ITEMS)
            return fault_set(fault, "the checklist is full with its %d items", CHECK_ITEMS);
        return 0;
    case ACT_AIR:
    case ACT_SENSOR:
        return check_range(value[0], -45, 60, "temperature", fault) ||
                       check_range(value[1], 1, 100, "humidity", fault)
                   ? -1
                   : 0;
    case ACT_CAMERA_CLOCK:
    case ACT_PICTURE_CLOCK:
        return check_range(value[0], -1e9, 1e9, "camera clock", fault);
    case ACT_PICTURES:
        return check_range(value[0], 0, 1e7, "frames", fault) ||
                       check_range(value[1], 0, 1e15, "bytes", fault) ||
                       check_range(value[2], 0, value[0], "raw", fault)
                   ? -1
                   : 0;
    case ACT_SETTING:
        return check_range(value[0], -45, 18, "shutter", fault) ||
                       check_range(value[1], -6, 36, "iso", fault) ||
                       check_range(value[2], 0, TARGETS - 1, "target", fault)
                   ? -1
                   : 0;
    case ACT_FORECAST:
        return check_forecast(night, act, fault);
    case ACT_UNDO:
        return check_undo(night, act, fault);
    default:
        return 0;
    }
}

int state_check(const struct night *night, const struct act *act, struct fault *fault)
{
    const struct act_form *form;
    bool any_rig = act->kind == ACT_MISSED && act->rig == -1;

    if ((int)act->kind < 0 || act->kind >= ACT_KINDS || !isfinite(act->utc))
        return fault_set(fault, "an entry of no known kind or time");
    form = act_form(act->kind);
    if (form->has_rig && !any_rig && (act->rig < 0 || act->rig >= night->setup.rig_count))
        return fault_set(fault, "there is no rig %d", act->rig + 1);
    return check_values(night, act, fault);
}

/* ---- the fold ---- */

static void fold_aim(struct rig_state *rig, const struct act *act)
{
    rig->aimed = true;
    rig->aimed_utc = act->utc;
    rig->pointed = act->kind == ACT_POINT;
    rig->pose = (struct pose){.altitude_rad = rad_from_deg(act->value[0]),
                              .azimuth_rad = rad_from_deg(act->value[1]),
                              .roll_rad = rad_from_deg(act->value[2])};
    if (!rig->pointed)
        rig->aimed_at = (struct frame_point){act->value[0], act->value[1]};
    rig->snoozed_until = NAN;
    rig->alarm_utc = NAN;
    rig->alarm_missed = false;
}

static unsigned fold_correction(struct rig_state *rig, const struct act *act)
{
    enum target target = (enum target)act->value[0];

    rig->correction_stops[target] = act->value[1];
    if (target != TARGET_UMBRA)
        return STALE_RUN;
    rig->umbra_utc = act->utc;
    return STALE_LIGHT;
}

static unsigned fold_rig(struct rig_state *rig, const struct act *act)
{
    const struct rig_field *field = rig_field(act->text);

    if (!field)
        return STALE_NOTHING;
    rig_field_set(&rig->rig, field, act->value[0]);
    /* Where the Moon is in a camera that was turned has to be told anew. */
    if (strcmp(field->name, "portrait") == 0)
        rig->aimed = false;
    return STALE_RUN | STALE_AIM | STALE_FRAMING;
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

static void fold_site(struct night *night, const struct act *act)
{
    night->site.latitude_deg = act->value[0];
    night->site.longitude_deg = act->value[1];
    night->site.height_m = act->value[2];
    (void)snprintf(night->site_source, sizeof night->site_source, "%.7s", act->text);
}

static void fold_alarm(struct rig_state *rig, const struct act *act)
{
    rig->alarm_utc = act->value[0];
    rig->alarm_missed = act->kind == ACT_MISSED;
}

/* The clock was set: what was done keeps its distance from now, and so do the things that run. */
static unsigned fold_clock_set(struct night *night, double by_s)
{
    if (!isfinite(by_s))
        return STALE_NOTHING;
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
    }
    for (int i = 0; i < CHECK_ITEMS; i++) {
        night->checked_utc[i] += by_s;
        night->later_utc[i] += by_s;
    }
    night->focus_utc += by_s;
    night->glass_utc += by_s;
    for (int i = 0; i < AIR_READINGS; i++)
        night->air_log.reading[i].utc += by_s;
    return STALE_AIM | STALE_LIGHT;
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

static unsigned fold_forecast(struct night *night, const struct act *act)
{
    struct forecast_row row;

    act_forecast_row(act, &row);
    if (night->forecast_file.count == 0)
        night->forecast.issued_utc = act->utc;
    (void)forecast_put(&night->forecast, &row, NULL);
    return STALE_ADVICE;
}

/* What was changed in the setup holds from then on, over what keys have changed before. */
static void follow_rig(struct rig_state *state, const struct rig *before, const struct rig *after)
{
    struct rig rig = *after;

    for (size_t i = 0; i < sizeof rig_fields / sizeof rig_fields[0]; i++)
        if (rig_field_get(before, &rig_fields[i]) == rig_field_get(after, &rig_fields[i]))
            rig_field_set(&rig, &rig_fields[i], rig_field_get(&state->rig, &rig_fields[i]));
    if (before->target == after->target)
        rig.target = state->rig.target;
    state->rig = rig;
}

/* So it is with the place, which a receiver may have told. */
static void follow_site(struct night *night, const struct site *before, const struct site *after)
{
    struct site told = night->site;

    night->site = *after;
    if (before->latitude_deg != after->latitude_deg ||
        before->longitude_deg != after->longitude_deg || before->height_m != after->height_m) {
        (void)snprintf(night->site_source, sizeof night->site_source, "setup");
        return;
    }
    night->site.latitude_deg = told.latitude_deg;
    night->site.longitude_deg = told.longitude_deg;
    night->site.height_m = told.height_m;
}

/* The items of the night go on behind the setup's, and each item keeps its ticks. */
static void follow_items(struct night *night, struct checklist *after)
{
    const struct checklist *before = &night->setup.checklist;
    double checked[CHECK_ITEMS], later[CHECK_ITEMS];

    for (int i = night->items_of_setup; i < before->count && after->count < CHECK_ITEMS; i++)
        after->item[after->count++] = before->item[i];
    for (int i = 0; i < CHECK_ITEMS; i++) {
        int was = i < after->count ? checklist_find(before, after->item[i].id) : -1;

        checked[i] = was < 0 ? NAN : night->checked_utc[was];
        later[i] = was < 0 ? NAN : night->later_utc[was];
    }
    (void)memcpy(night->checked_utc, checked, sizeof checked);
    (void)memcpy(night->later_utc, later, sizeof later);
}

static unsigned put_setup(struct night *night, struct setup *after, const struct zone_table *zone)
{
    int items = after->checklist.count;

    for (int i = 0; i < after->rig_count; i++)
        if (i < night->setup.rig_count)
            follow_rig(&night->rig[i], &night->setup.rig[i], &after->rig[i]);
        else
            reset_rig(&night->rig[i], &after->rig[i]);
    follow_site(night, &night->setup.site, &after->site);
    follow_items(night, &after->checklist);
    night->items_of_setup = items;
    night->setup = *after;
    night->zone = *zone;
    night->setup_changed = true;
    eclipse_by_rule(&night->eclipse, after->rule);
    know_eclipse(night);
    return STALE_SITE;
}

/* A change that can no longer be made has no effect. */
static unsigned fold_setup(struct night *night, const struct act *act)
{
    struct setup after;
    struct zone_table zone;
    struct fault fault;

    if (night->run_is_old || change_setup(night, act->text, &after, &zone, &fault) != 0)
        return STALE_NOTHING;
    return put_setup(night, &after, &zone);
}

/* Nobody sat through what a rehearsal leaves out: its batteries are full when it begins. */
static unsigned fold_begin(struct night *night, const struct act *act)
{
    unsigned stale = STALE_NOTHING;

    night->run_is_old = isnan(act->value[0]);
    if (act->value[0] != 0) {
        struct setup setup = night->began.setup;

        night->setup_settled = act->seq;
        if (night->setup_changed)
            stale = put_setup(night, &setup, &night->began.zone);
    }
    if (!night->rehearsal)
        return stale;
    for (int i = 0; i < night->setup.rig_count; i++)
        if (isnan(night->rig[i].battery_utc))
            night->rig[i].battery_utc = act->utc;
    return stale | STALE_ADVICE;
}

static void fold_check(struct night *night, const struct act *act, bool done)
{
    int item = checklist_find(&night->setup.checklist, act->text);

    if (item < 0) /* an own one that was undone */
        return;
    night->checked_utc[item] = done ? act->utc : NAN;
    /* Nobody has looked where an item was past before the program began. */
    done = done && act->kind == ACT_CHECK;
    if (done && strncmp(act->text, FOCUS_ID, strlen(FOCUS_ID)) == 0)
        night->focus_utc = act->utc;
    if (done && strncmp(act->text, GLASS_ID, strlen(GLASS_ID)) == 0)
        night->glass_utc = act->utc;
}

unsigned state_fold(struct night *night, const struct act *act)
{
    struct rig_state *rig = &night->rig[act->rig < 0 ? 0 : act->rig];
    const double *value = act->value;
    int item;

    switch (act->kind) {
    case ACT_CHECK:
    case ACT_PAST:
        fold_check(night, act, act->kind == ACT_PAST || value[0] > 0);
        return STALE_NOTHING;
    case ACT_AIM:
    case ACT_POINT:
        fold_aim(rig, act);
        return STALE_AIM;
    case ACT_SEEN:
        rig->seen[0] = (struct mount_seen){rig->aimed_utc, rig->aimed_at};
        rig->seen[1] = (struct mount_seen){act->utc, {value[0], value[1]}};
        return STALE_LIGHT | STALE_FRAMING;
    case ACT_SNOOZE:
        rig->snoozed_until = act->utc + value[0];
        return STALE_NOTHING;
    case ACT_SITE:
        fold_site(night, act);
        return STALE_SITE;
    case ACT_TARGET:
        rig->rig.target = (enum target)value[0];
        return STALE_RUN;
    case ACT_CORRECTION:
        return fold_correction(rig, act);
    case ACT_DANJON:
        fold_danjon(night, act);
        return STALE_LIGHT;
    case ACT_RIG:
        return fold_rig(rig, act);
    case ACT_FRAME:
        rig->frames++;
        return STALE_NOTHING;
    case ACT_CLOUD:
        night->cloud = value[0] > 0;
        return STALE_NOTHING;
    case ACT_AIR:
    case ACT_SENSOR:
        fold_air(night, act);
        return STALE_ADVICE;
    case ACT_LATER:
        item = checklist_find(&night->setup.checklist, act->text);
        if (item >= 0)
            night->later_utc[item] = act->utc + value[0];
        return STALE_NOTHING;
    case ACT_ITEM:
        fold_item(night, act);
        return STALE_NOTHING;
    case ACT_FORECAST:
        return fold_forecast(night, act);
    case ACT_SETUP:
        return fold_setup(night, act);
    case ACT_BEGIN:
        return fold_begin(night, act);
    case ACT_BATTERY:
        rig->battery_utc = act->utc;
        rig->batteries_changed++;
        return STALE_ADVICE;
    case ACT_CARD:
        rig->card_utc = act->utc;
        rig->on_card = rig->pictures;
        return STALE_NOTHING;
    case ACT_GLASS:
        night->glass_utc = act->utc;
        return STALE_NOTHING;
    case ACT_HEATER:
        rig->heater_told = true;
        rig->heater_on = value[0] > 0;
        return STALE_NOTHING;
    case ACT_CAMERA_CLOCK:
        rig->camera_behind_s = value[0];
        return STALE_NOTHING;
    case ACT_ALARM:
    case ACT_MISSED:
        if (act->rig >= 0)
            fold_alarm(rig, act);
        return STALE_NOTHING;
    case ACT_SETTING:
        rig->has_setting = true;
        rig->shutter = (int)value[0];
        rig->iso = (int)value[1];
        rig->setting_target = (enum target)value[2];
        return STALE_NOTHING;
    case ACT_GAP:
        night->gap_to = value[1];
        return fold_clock_set(night, value[2]);
    case ACT_PICTURES:
        rig->pictures = (struct pictures_count){value[0], value[1], value[2], value[3]};
        rig->counted_utc = act->utc;
        return STALE_NOTHING;
    case ACT_STOPPED:
        rig->stopped_utc = value[0];
        return STALE_NOTHING;
    case ACT_PICTURE_CLOCK:
        rig->picture_behind_s = value[0];
        return STALE_NOTHING;
    case ACT_CLOCK:
        night->clock_offset_s = value[0];
        return STALE_NOTHING;
    default:
        return STALE_NOTHING;
    }
}
