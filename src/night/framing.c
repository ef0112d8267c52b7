/* How each rig frames the night: the composition of a wide one, re-aims, what a mount can do. */
#include "derive.h"

#include <moonstand/angle.h>

#include <math.h>

/* What a mount will have to do is looked for from so long before P1 on. */
#define SETTING_UP_S (2 * 3600.0)
/* A place is read off the frame to a hundredth of its height. */
#define READING 0.01
/* Longest interval that is looked for to put frames on the contacts. */
#define LONGEST_INTERVAL_S 900.0

/* ---- mounts ---- */

/* The last two places of the Moon tell how far off the axis is; else the setup's word holds. */
void polar_make(const struct night *night, struct rig_state *rig)
{
    struct polar_estimate *polar = &rig->polar;

    mount_polar_estimate(&rig->rig, &night->track, rig->seen, READING, polar);
    if (isfinite(polar->az_error_arcmin))
        rig->rig.mount.polar_az_error_arcmin = polar->az_error_arcmin;
    if (isfinite(polar->alt_error_arcmin))
        rig->rig.mount.polar_alt_error_arcmin = polar->alt_error_arcmin;
}

void mount_duties_make(const struct night *night, int index, struct framing *framing)
{
    const struct rig *rig = &night->rig[index].rig;
    double from = night->contact_utc[CONTACT_P1] - SETTING_UP_S;
    double to = night->rig[index].ends_utc;

    framing->flips = false;
    framing->limit_count = 0;
    if (rig->support == SUPPORT_FIXED)
        return;
    framing->flips =
        mount_flip(&rig->mount, &night->track, (struct span){from, to},
                   (struct span){night->contact_utc[CONTACT_U2], night->contact_utc[CONTACT_U3]},
                   &framing->flip);
    framing->limit_count =
        mount_limits(&rig->mount, &night->track, from, to, framing->limit, RIG_LIMITS);
    if (framing->limit_count > RIG_LIMITS)
        framing->limit_count = RIG_LIMITS;
}

/* ---- how a camera is pointed on a tripod ---- */

double first_of(const struct night *night, enum sky_event_kind kind, double from, double to)
{
    for (int i = 0; i < night->event_count; i++) {
        const struct night_event *event = &night->event[i];

        if (event->kind == NIGHT_SKY && event->which == (int)kind && event->utc > from &&
            event->utc < to)
            return event->utc;
    }
    return NAN;
}

struct frame_point place_at(const struct rig *rig, const struct track *track,
                            const struct pointing *pointing, double utc)
{
    struct frame_point place = {NAN, NAN};

    (void)frame_project(rig, pointing, track_direction(track, utc), &place);
    return place;
}

/* The Moon's way through the picture, inside which it is at `inside`, as far as it is up. */
static void pose_follow(const struct night *night, const struct rig *rig, const struct track *track,
                        double inside, struct pose *pose)
{
    struct pointing pointing;

    pointing_make(pose->altitude_rad, pose->azimuth_rad, pose->roll_rad, &pointing);
    double enters = frame_entry_utc(rig, track, &pointing, inside);
    double leaves = frame_exit_utc(rig, track, &pointing, inside, EDGE_MARGIN);
    pose->known = !isnan(leaves) && leaves > inside;
    double rise = track_is_up(track, &night->observer.horizon, fmax(enters, track->utc_from))
                      ? NAN
                      : first_of(night, SKY_MOONRISE, enters, leaves);
    pose->rises = isfinite(rise);
    pose->enters_utc = pose->rises ? rise : enters;
    double set = first_of(night, SKY_MOONSET, pose->enters_utc, leaves);
    pose->sets = isfinite(set);
    pose->leaves_utc = pose->sets ? set : leaves;
    pose->enters = place_at(rig, track, &pointing, pose->enters_utc);
    pose->leaves = place_at(rig, track, &pointing, pose->leaves_utc);
}

/* Never, where the Moon stays until the rig ends or the Moon sets for good. */
static double due_if_ever(const struct night *night, const struct rig_state *rig, double due)
{
    bool seen_again = track_is_up(&night->track, &night->observer.horizon, due) ||
                      isfinite(first_of(night, SKY_MOONRISE, due, rig->ends_utc));

    return isnan(due) || (due < rig->ends_utc && seen_again) ? due : INFINITY;
}

/* When it is to be aimed again: before the minute around a contact that it would not last through;
 * a picture that holds the contact is left alone until that minute is over. */
static void find_due(const struct night *night, struct rig_state *rig)
{
    const double *contact = night->contact_utc;
    double due = aim_due(rig->leaves_utc, rig->aimed_utc, contact, &rig->due_before);

    for (int i = CONTACT_U1; i <= CONTACT_U4 && rig->pose.known; i++)
        if (rig->leaves_utc >= contact[i] && rig->leaves_utc < contact[i] + AIM_KEEP_OFF_S) {
            due = contact[i] + AIM_KEEP_OFF_S;
            rig->due_before = -1;
        }
    rig->due_utc = due_if_ever(night, rig, due);
    if (rig->due_utc == INFINITY)
        rig->due_before = -1;
}

void aim_follow(const struct night *night, struct rig_state *rig)
{
    const struct track *track = &night->track;
    double since = rig->aimed_utc, inside = since;

    if (rig->pointed) {
        pointing_make(rig->pose.altitude_rad, rig->pose.azimuth_rad, rig->pose.roll_rad,
                      &rig->pointing);
        rig->aimed_at = place_at(&rig->rig, track, &rig->pointing, since);
        inside = frame_inside_utc(&rig->rig, track, &rig->pointing, since);
        if (isnan(inside))
            inside = since;
        rig->leaves_utc = frame_exit_utc(&rig->rig, track, &rig->pointing, inside, EDGE_MARGIN);
    } else {
        (void)pointing_for(&rig->rig, track_direction(track, since), rig->aimed_at, &rig->pointing);
        rig->pose.altitude_rad = asin(rig->pointing.axis.z);
        rig->pose.azimuth_rad = angle_wrap(atan2(rig->pointing.axis.x, rig->pointing.axis.y));
        rig->pose.roll_rad = 0;
        rig->leaves_utc = aim_leaves(&rig->rig, track, since, rig->aimed_at, since, NULL);
    }
    rig->cut_utc = frame_exit_utc(&rig->rig, track, &rig->pointing, inside, EDGE_FRAME);
    rig->gone_utc = frame_exit_utc(&rig->rig, track, &rig->pointing, inside, EDGE_GONE);
    rig->pose.since_utc = since;
    if (rig_is_wide(&rig->rig))
        pose_follow(night, &rig->rig, track, inside, &rig->pose);
    find_due(night, rig);
}

bool pose_holds(const struct night *night, const struct pose *pose, double utc, enum contact *first,
                enum contact *last)
{
    bool holds = false;

    for (int i = 0; i < CONTACT_COUNT; i++) {
        double contact = night->contact_utc[i];

        if (!(contact >= fmax(utc, pose->enters_utc) - 1 && contact <= pose->leaves_utc + 1))
            continue;
        if (!holds)
            *first = (enum contact)i;
        *last = (enum contact)i;
        holds = true;
    }
    return holds;
}

/* ---- the picture of the whole, and of what is left ---- */

/* One that was composed for what is left is kept for so long: a camera is pointed by it meanwhile. */
#define LATE_KEPT_S 300.0

static void pose_of_fit(const struct night *night, const struct rig *rig,
                        const struct wide_fit *fit, struct pose *pose)
{
    *pose = (struct pose){.since_utc = fit->utc_from,
                          .altitude_rad = fit->altitude_rad,
                          .azimuth_rad = fit->azimuth_rad,
                          .roll_rad = fit->roll_rad};
    pose_follow(night, rig, &night->eclipse_track, (fit->utc_from + fit->utc_to) / 2, pose);
}

static void compose(const struct night *night, const struct rig *rig, struct framing *framing)
{
    struct wide *wide = &framing->composition;
    const struct wide_fit *fit;

    wide_compose(rig, &night->eclipse_track, &night->observer.horizon, night->contact_utc, wide);
    fit = &wide->fit[wide->use];
    framing->whole.known = false;
    if (!fit->fits)
        return;
    framing->untouched = (struct span){fit->utc_from, fit->utc_to};
    pose_of_fit(night, rig, fit, &framing->whole);
}

/* What is left, to the last contact that still goes into one picture with now. */
static void compose_rest(const struct night *night, const struct rig *rig, double utc,
                         struct pose *pose)
{
    double last = INFINITY;

    pose->known = false;
    for (int part = (int)rig->part; part < WIDE_PARTS && !pose->known; part++) {
        double to = night->contact_utc[wide_ends((enum wide_part)part)];
        struct wide_fit fit;

        if (!(to > utc && to < last))
            continue;
        last = to;
        wide_compose_span(rig, &night->eclipse_track, &night->observer.horizon,
                          (struct span){utc, to}, &fit);
        if (fit.fits)
            pose_of_fit(night, rig, &fit, pose);
    }
    pose->late = true;
    pose->since_utc = utc;
}

void pose_advise(struct night *night, int index, double utc)
{
    struct framing *framing = &night->framing[index];
    const struct rig_state *rig = &night->rig[index];
    struct pose *pose = &framing->pose;
    bool wanted = !rig->aimed || !(re_aim_utc(night, index, utc) - utc > rig->rig.warn_s);

    if (!framing->wide)
        return;
    const struct wide_fit *asked = &framing->composition.fit[rig->rig.part];
    /* A part that fits is over once the Moon has left its picture. */
    if ((framing->composition.fits && utc < framing->whole.leaves_utc) ||
        !(utc > asked->utc_from) || (framing->whole.known && utc <= framing->whole.enters_utc))
        *pose = framing->whole;
    else if (!wanted || utc >= rig->ends_utc)
        pose->known = false;
    else if (!pose->known || !pose->late || utc < pose->since_utc ||
             utc - pose->since_utc > LATE_KEPT_S || utc >= pose->leaves_utc)
        compose_rest(night, &rig->rig, utc, pose);
}

/* Setting up comes first; what is aimed after it while the Moon is up are re-aims. */
struct aims {
    int count, early;
    bool whole; /* the Moon stays in the frame whenever it is up */
};
/* Lists the re-aims of a rig from an instant on; all its aims. */
static struct aims list_aims(const struct night *night, int index, double since, bool aimed,
                             struct framing *framing)
{
    const struct rig_state *rig = &night->rig[index];
    struct aims aims = {.whole = true};
    struct aim_step step[AIM_STEPS];
    struct span up[UP_SPANS];
    int spans = up_spans_to(night, rig->ends_utc, up);

    framing->re_aims_since = since;
    framing->re_aim_count = 0;
    for (int i = 0; i < spans; i++) {
        struct span rest = {fmax(since, up[i].from), up[i].to};
        int count =
            aim_plan(&rig->rig, &night->eclipse_track, rest, night->contact_utc, step, AIM_STEPS);

        aims.whole &= count > 0;
        aims.count += count;
        for (int j = 0; j < count && j < AIM_STEPS; j++) {
            aims.early += step[j].early;
            /* The first one of a rig that is not aimed yet is its setting up. */
            if ((aimed || i + j > 0) && framing->re_aim_count < AIM_STEPS)
                framing->re_aim_utc[framing->re_aim_count++] = step[j].utc;
        }
    }
    return aims;
}

double next_up_utc(const struct night *night, int rig, double utc)
{
    struct span up[UP_SPANS];
    int ups = up_spans_to(night, night->rig[rig].ends_utc, up);

    for (int i = 0; i < ups; i++)
        if (up[i].from > utc)
            return up[i].from;
    return NAN;
}

/* Of a rig that is not aimed yet the list stays. */
static void count_aims(const struct night *night, int index, struct framing *framing)
{
    struct aims aims =
        list_aims(night, index, next_up_utc(night, index, -INFINITY), false, framing);

    if (!aims.whole)
        return;
    framing->re_aims = aims.count > 0 ? aims.count - 1 : 0;
    framing->early = aims.early;
}

void re_aims_follow(struct night *night, int index)
{
    const struct rig_state *rig = &night->rig[index];
    struct framing *framing = &night->framing[index];
    bool aimed = rig->aimed && isfinite(rig->due_utc);
    double since = aimed ? rig->due_utc : next_up_utc(night, index, -INFINITY);

    if (framing->re_aims <= 0)
        framing->re_aim_count = 0;
    else if (since != framing->re_aims_since)
        (void)list_aims(night, index, since, aimed, framing);
}

void framing_make(const struct night *night, int index, struct framing *framing)
{
    const struct rig *rig = &night->rig[index].rig;

    framing->wide = rig_is_wide(rig);
    framing->untouched = (struct span){NAN, NAN};
    framing->whole.known = framing->pose.known = false;
    framing->re_aims = framing->early = -1;
    framing->re_aims_since = NAN;
    framing->re_aim_count = framing->planned_count = framing->passed_count = 0;
    if (framing->wide)
        compose(night, rig, framing);
    if (rig->support != SUPPORT_FIXED)
        return;
    if (framing->wide && framing->composition.fits)
        framing->re_aims = framing->early = 0;
    else
        count_aims(night, index, framing);
}

/* ---- what fits ---- */

bool never_up(const struct night *night)
{
    struct span up[UP_SPANS];

    return up_spans_to(night, night->contact_utc[CONTACT_P4], up) == 0;
}

double disc_mm(const struct night *night, const struct rig *rig)
{
    double greatest = night->contact_utc[CONTACT_GREATEST];

    return 2 * rig_focal_mm(rig) * tan(track_semidiameter(&night->eclipse_track, greatest));
}

double frame_free_mm(const struct rig *rig)
{
    return (1 - 2 * rig->margin) * rig->sensor_height_mm;
}

bool picture_fits(const struct night *night, int rig)
{
    const struct framing *framing = &night->framing[rig];

    if (never_up(night))
        return false;
    if (framing->wide)
        return framing->composition.fits;
    return disc_mm(night, &night->rig[rig].rig) <= frame_free_mm(&night->rig[rig].rig);
}

bool chain_on_contacts(const struct night *night, const struct wide_fit *fit,
                       struct interval_fit *on)
{
    double least_s = disc_least_interval_s(&night->eclipse_track, fit->utc_from, fit->utc_to);

    return interval_on_contacts(night->contact_utc, fit->utc_from, fit->utc_to, least_s,
                                LONGEST_INTERVAL_S, on);
}

void first_aim_make(const struct night *night, int index, struct first_aim *first)
{
    const struct rig *rig = &night->rig[index].rig;
    struct span up[UP_SPANS];

    *first = (struct first_aim){.utc = NAN};
    if (rig->support != SUPPORT_FIXED || night->framing[index].whole.known ||
        up_spans_to(night, night->rig[index].ends_utc, up) == 0)
        return;
    first->utc = up[0].from;
    struct vec3 moon = track_direction(&night->track, first->utc);
    first->moon_altitude_rad = asin(moon.z);
    first->moon_azimuth_rad = angle_wrap(atan2(moon.x, moon.y));
    aim_advise(rig, &night->track, first->utc, up[0].to, &first->aim);
    first->turned_stays_s = aim_turned_stays_s(rig, &night->track, first->utc, up[0].to);
}
