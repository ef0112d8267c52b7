/* When the items of the checklist are due in this night, and which of them it has. */
#include "derive.h"

#include <moonstand/sky_light.h>
#include <moonstand/wide.h>

#include <math.h>

/* The sky's instants are looked for from the sunset before a long winter night on: in the hours
 * before the eclipse's own night, whose events are known. */
#define SKY_BEFORE_S (18 * 3600.0)
/* An earlier sunset belongs to another night. */
#define DAY_BEFORE_S (20 * 3600.0)
/* The work at the site begins so long before the start: common practice, no source. */
#define SITE_WORK_S (2 * 3600.0)
/* The eve: this local time of the last evening that leaves so long until then. Whatever charges
 * overnight is full by then. */
#define EVE_LOCAL_S (19 * 3600.0)
#define EVE_BEFORE_S (8 * 3600.0)

/* ---- anchors ---- */

/* What is known as soon as a night is opened: the contacts, the Moon up at all of them. */
static void set_contacts(struct night *night)
{
    double *anchor = night->anchor_utc;

    for (int i = 0; i < ANCHORS; i++)
        anchor[i] = i < CONTACT_COUNT ? night->contact_utc[i] : NAN;
    if (night->eclipse.kind == ECLIPSE_PARTIAL)
        anchor[CONTACT_U2] = anchor[CONTACT_U3] = anchor[CONTACT_GREATEST];
    anchor[ANCHOR_START] = anchor[CONTACT_P1];
    anchor[ANCHOR_END] = anchor[CONTACT_P4];
}

/* False where the Moon is down all the time. */
static bool set_watch(struct night *night)
{
    struct span up[UP_SPANS];
    int count = up_spans_to(night, night->contact_utc[CONTACT_P4], up);

    if (count == 0)
        return false;
    night->anchor_utc[ANCHOR_START] = up[0].from;
    night->anchor_utc[ANCHOR_END] = up[count - 1].to;
    return true;
}

struct sky {
    int count;
    struct sky_event event[2 * NIGHT_EVENTS];
};

/* The last of a kind up to an instant; NaN: none. */
static double last_of(const struct sky *sky, enum sky_event_kind kind, double until)
{
    double last = NAN;

    for (int i = 0; i < sky->count; i++)
        if (sky->event[i].kind == kind && sky->event[i].utc <= until)
            last = sky->event[i].utc;
    return last;
}

static void add_own_sky(const struct night *night, struct sky *sky)
{
    for (int i = 0; i < night->event_count; i++)
        if (night->event[i].kind == NIGHT_SKY)
            sky->event[sky->count++] =
                (struct sky_event){(enum sky_event_kind)night->event[i].which, night->event[i].utc};
}

/* The night's own instants; those before them only where the last sunset or moonrise is not there. */
static void find_sky(const struct night *night, struct sky *sky)
{
    double from = night->utc_from - SKY_BEFORE_S, to = night->utc_from;
    struct arc arc;

    sky->count = 0;
    add_own_sky(night, sky);
    if (isfinite(last_of(sky, SKY_SUNSET, night->anchor_utc[ANCHOR_END])) &&
        isfinite(last_of(sky, SKY_MOONRISE, night->anchor_utc[ANCHOR_START])))
        return;
    (void)arc_make(&arc, tt_from_utc(from) - 60, tt_from_utc(to) + 60, true);
    sky->count = sky_events(&arc, &night->observer, from, to, sky->event, NIGHT_EVENTS);
    add_own_sky(night, sky);
}

/* The Moon's rise at the start, to which it was found, is that instant itself. */
static void set_sky(struct night *night, const struct sky *sky)
{
    double *anchor = night->anchor_utc;
    double start = anchor[ANCHOR_START], end = anchor[ANCHOR_END];

    anchor[ANCHOR_MOONRISE] =
        start > anchor[CONTACT_P1] ? start : last_of(sky, SKY_MOONRISE, start);
    anchor[ANCHOR_MOONSET] =
        end < anchor[CONTACT_P4] ? end : first_of(night, SKY_MOONSET, end, INFINITY);
    anchor[ANCHOR_SUNSET] = last_of(sky, SKY_SUNSET, end);
    if (anchor[ANCHOR_SUNSET] < start - DAY_BEFORE_S)
        anchor[ANCHOR_SUNSET] = NAN;
    anchor[ANCHOR_SUNRISE] = first_of(night, SKY_SUNRISE, start, INFINITY);
}

static void set_eve(struct night *night)
{
    double work =
        fmin(night->anchor_utc[ANCHOR_START] - SITE_WORK_S, night->anchor_utc[ANCHOR_SUNSET]);
    double latest = work - EVE_BEFORE_S, offset = zone_offset(&night->zone, latest, NULL);
    double day = floor((latest + offset - EVE_LOCAL_S) / SECONDS_PER_DAY) * SECONDS_PER_DAY;

    night->anchor_utc[ANCHOR_EVE] = day + EVE_LOCAL_S - offset;
}

/* ---- items ---- */

void items_begin(struct night *night)
{
    set_contacts(night);
    for (int i = 0; i < CHECK_ITEMS; i++)
        night->left_out[i] = false;
}

/* The Sun is up when the work at the site begins, or sets after that. */
static bool works_by_day(const struct night *night)
{
    struct sight sun;

    sky_sun(&night->arc, &night->observer, night->anchor_utc[ANCHOR_START] - SITE_WORK_S, &sun);
    return sun.up || isfinite(night->anchor_utc[ANCHOR_SUNSET]);
}

/* Just after its rise the hands are busy with aim and focus. What hides it for a while later on does
 * not count, and an item without a due time waits for no Moon. */
static bool moon_is_up(const struct night *night, const struct check_item *item)
{
    const double *anchor = night->anchor_utc;
    double due = item->at_instant ? item->due_utc : due_utc(&item->due, anchor);

    if (!item->has_due && !item->at_instant)
        return true;
    return !(due < anchor[ANCHOR_MOONRISE] + WHEN_MOON_SINCE_S) && !(due > anchor[ANCHOR_MOONSET]);
}

/* The minute around greatest is left alone. */
#define AFTER_GREATEST_S 120.0
/* So much brighter than the sky an umbra has to be for its colour to be told: common practice, no source. */
#define TELLS_OVER_SKY 2.0

void items_follow_umbra(struct night *night)
{
    double *anchor = night->anchor_utc, best_s = INFINITY;

    anchor[ANCHOR_UMBRA] = NAN;
    for (int i = 0; i < night->sample_count; i++) {
        const struct run_sample *sample = &night->sample[i];
        double off_s = fabs(sample->utc - anchor[CONTACT_GREATEST] - AFTER_GREATEST_S);

        if (off_s < best_s && sample->utc > night->contact_utc[CONTACT_U2] &&
            sample->utc < night->contact_utc[CONTACT_U3] &&
            !(sample->utc < anchor[ANCHOR_MOONRISE] + WHEN_MOON_SINCE_S) &&
            !(sample->utc > anchor[ANCHOR_MOONSET]) &&
            moon_part_luminance(sample->luminance, sample->light.umbra) >
                TELLS_OVER_SKY * sample->sky.luminance) {
            best_s = off_s;
            anchor[ANCHOR_UMBRA] = sample->utc;
        }
    }
}

/* The sorts of rigs that the setup has. */
static unsigned rigs_met(const struct setup *setup)
{
    unsigned met = 0;

    for (int i = 0; i < setup->rig_count; i++)
        met |= rig_is_wide(&setup->rig[i])              ? WHEN_WIDE
               : setup->rig[i].support == SUPPORT_FIXED ? WHEN_LONG
                                                        : WHEN_MOUNT;
    return met;
}

void items_make(struct night *night)
{
    unsigned met = when_kind(night->eclipse.kind) | rigs_met(&night->setup);
    struct sky sky;

    items_begin(night);
    bool seen = set_watch(night);
    find_sky(night, &sky);
    set_sky(night, &sky);
    set_eve(night);
    met |= works_by_day(night) ? WHEN_SUN : WHEN_NO_SUN;
    for (int i = 0; i < night->items_of_setup; i++) {
        const struct check_item *item = &night->setup.checklist.item[i];

        night->left_out[i] =
            !when_is_met(item->when, met | (seen && moon_is_up(night, item) ? WHEN_MOON : 0));
    }
}

double item_due_utc(const struct night *night, int item)
{
    const struct check_item *checked = &night->setup.checklist.item[item];
    double due = NAN, later = night->later_utc[item];

    if (night->left_out[item])
        return NAN;
    if (checked->at_instant)
        due = checked->due_utc;
    else if (checked->has_due)
        due = due_utc(&checked->due, night->anchor_utc);
    return isfinite(later) && !(later <= due) ? later : due;
}

bool item_applies(const struct night *night, int item)
{
    return !night->left_out[item] &&
           (!night->setup.checklist.item[item].has_due || isfinite(item_due_utc(night, item)));
}
