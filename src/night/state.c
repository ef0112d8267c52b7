/* The state before any act, and the setup in force. */
#include "derive.h"

#include <moonstand/pick.h>

#include <math.h>
#include <stdio.h>
#include <string.h>

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
        .flipped_utc = NAN,
        .alarm_utc = NAN,
        .umbra_utc = NAN,
        .pictures = {.last_utc = NAN},
        .on_card = {.last_utc = NAN},
        .counted_utc = NAN,
        .stopped_utc = NAN,
        .made_utc = NAN,
        .over_due_utc = NAN,
        .picture_behind_s = NAN,
        .battery_utc = NAN,
        .card_utc = NAN,
        .camera_behind_s = NAN,
        .set_utc = NAN,
    };
}

/* The eclipse alone gives contacts; the rest is derived. */
static void know_eclipse(struct night *night)
{
    night->event_count = 0;
    for (int i = 0; i < CONTACT_COUNT; i++)
        night->contact_utc[i] = utc_from_tt(night->eclipse.tt[i]);
    items_begin(night);
}

void setup_begin(struct night *night)
{
    setup_copy(&night->setup, &night->began.setup);
    night->eclipse = night->began.eclipse;
    night->zone = night->began.zone;
    night->items_of_setup = night->setup.checklist.count;
    night->setup_changed = false;
    go_stale(night, STALE_SITE);
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
    night->replan = (struct replan){.utc = NAN, .planned_utc = NAN, .set_utc = NAN, .rig = -1};
    night->clock_offset_s = NAN;
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

/* What was changed in the setup holds from then on, over what keys have changed before. */
static void follow_rig(struct rig_state *state, const struct rig *before, const struct rig *after)
{
    struct rig rig = *after;

    rig_fields_keep(&rig, &state->rig, before, after);
    if (before->target == after->target)
        rig.target = state->rig.target;
    state->rig = rig;
}

/* Likewise the place, which may come from a receiver. */
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

static void put_setup(struct night *night, struct setup *after, const struct zone_table *zone)
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
    setup_copy(&night->setup, after);
    night->zone = *zone;
    night->setup_changed = true;
    eclipse_by_rule(&night->eclipse, after->rule);
    know_eclipse(night);
    go_stale(night, STALE_SITE);
}

/* A change that can no longer be made has no effect. */
void setup_fold_change(struct night *night, const struct act *act)
{
    struct setup after;
    struct zone_table zone;
    struct fault fault;

    if (!night->run_is_old && change_setup(night, act->text, &after, &zone, &fault) == 0)
        put_setup(night, &after, &zone);
}

void setup_fold_begin(struct night *night, const struct act *act)
{
    night->run_is_old = isnan(act->value[0]);
    if (act->value[0] != 0) {
        night->setup_settled = act->seq;
        if (night->setup_changed) {
            struct setup setup = night->began.setup;
            put_setup(night, &setup, &night->began.zone);
        }
    }
    /* Nobody sat through what a rehearsal leaves out: its batteries are full when it begins. */
    for (int i = 0; night->rehearsal && i < night->setup.rig_count; i++)
        if (isnan(night->rig[i].battery_utc))
            night->rig[i].battery_utc = act->utc;
}
