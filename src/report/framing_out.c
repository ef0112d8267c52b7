/* What tools are told about how each rig frames the night: composition, re-aims and mount. */
#include "print.h"

#include <moonstand/angle.h>

#include <math.h>

static void put_span(struct node object, const struct wide_fit *fit)
{
    put_instant(object, "from", fit->utc_from);
    put_instant(object, "to", fit->utc_to);
}

static void put_part(struct node object, const struct night *night, int index, enum wide_part part)
{
    const struct rig *rig = &night->rig[index].rig;
    const struct span span = {night->contact_utc[wide_begins(part)],
                              night->contact_utc[wide_ends(part)]};
    struct wide_fit fit;

    wide_compose_span(rig, &night->eclipse_track, &night->observer.horizon, span, &fit);
    put_text(object, "part", wide_part_name(part));
    put_flag(object, "fits", fit.fits);
    put_span(object, &fit);
    put_flag(object, "cut", fit.cut);
    put_number(object, "path_deg", fit.path_deg, 2);
    put_number(object, "longest_focal_mm", fit.focal_mm, 2);
}

/* How far apart the discs are, and the intervals that suit them. */
static void put_spacing(struct node object, const struct night *night, int index,
                        const struct wide_fit *fit)
{
    const struct track *track = &night->eclipse_track;
    double interval_s = night->shooting[index].interval_s;
    struct interval_fit on;

    put_number(object, "disc_spacing",
               disc_spacing(track, (fit->utc_from + fit->utc_to) / 2, interval_s), 3);
    put_number(object, "least_interval_s", disc_least_interval_s(track, fit->utc_from, fit->utc_to),
               1);
    if (!chain_on_contacts(night, fit, &on))
        return;
    struct node entry = put_object(object, "on_contacts");
    put_number(entry, "interval_s", on.interval_s, 0);
    put_instant(entry, "first", on.first_utc);
    put_number(entry, "frames", on.frames, 0);
    put_number(entry, "worst_miss_s", on.worst_miss_s, 1);
}

static void put_composition(struct node object, const struct night *night, int index)
{
    const struct rig *rig = &night->rig[index].rig;
    const struct wide *wide = &night->framing[index].composition;
    const struct wide_fit *fit = &wide->fit[wide->use];

    put_text(object, "asked", wide_part_name(rig->part));
    put_text(object, "part", wide_part_name(wide->use));
    put_flag(object, "fits", wide->fits);
    put_number(object, "free_width_deg", wide->free_width_deg, 2);
    put_number(object, "free_height_deg", wide->free_height_deg, 2);
    struct node entry = put_array(object, "parts");
    for (int i = 0; i < WIDE_PARTS; i++)
        put_part(put_object(entry, NULL), night, index, (enum wide_part)i);
    if (isnan(fit->utc_from))
        return;
    entry = put_object(object, "pointing");
    put_number(entry, "altitude_deg", deg_from_rad(fit->altitude_rad), 2);
    put_number(entry, "azimuth_deg", deg_from_rad(fit->azimuth_rad), 2);
    put_number(entry, "roll_deg", deg_from_rad(fit->roll_rad), 2);
    put_number(object, "foreground", fit->foreground, 3);
    put_span(put_object(object, "untouched"), fit);
    put_spacing(object, night, index, fit);
}

static void put_flip(struct node object, const struct mount_flip *flip)
{
    put_instant(object, "earliest", flip->earliest_utc);
    put_instant(object, "meridian", flip->meridian_utc);
    put_instant(object, "latest", flip->latest_utc);
    put_instant(object, "advised", flip->advised_utc);
    put_flag(object, "in_totality", flip->in_totality);
}

static void put_limit(struct node object, const struct mount_limit *limit)
{
    put_instant(object, "at", limit->utc);
    put_text(object, "limit", limit->upper ? "upper" : "lower");
    put_text(object, "reach", limit->enters ? "begins" : "ends");
}

static void put_polar(struct node object, const struct rig_state *rig)
{
    put_number(object, "azimuth_arcmin", rig->rig.mount.polar_az_error_arcmin, 2);
    put_number(object, "altitude_arcmin", rig->rig.mount.polar_alt_error_arcmin, 2);
    put_flag(object, "measured",
             isfinite(rig->polar.az_error_arcmin) || isfinite(rig->polar.alt_error_arcmin));
    put_number(object, "azimuth_doubt_arcmin", rig->polar.az_doubt_arcmin, 2);
    put_number(object, "altitude_doubt_arcmin", rig->polar.alt_doubt_arcmin, 2);
}

static void put_drift(struct node object, const struct mount_drift *drift)
{
    put_number(object, "rate_east_arcsec_per_s", drift->rate_east_arcsec_per_s, 4);
    put_number(object, "rate_north_arcsec_per_s", drift->rate_north_arcsec_per_s, 4);
    put_number(object, "polar_east_arcsec_per_s", drift->polar_east_arcsec_per_s, 4);
    put_number(object, "polar_north_arcsec_per_s", drift->polar_north_arcsec_per_s, 4);
    put_number(object, "arcsec_per_s", drift->arcsec_per_s, 4);
}

static void put_mount(struct node object, const struct night *night, int index, double utc)
{
    const struct rig_state *rig = &night->rig[index];
    const struct framing *framing = &night->framing[index];
    struct mount_drift drift;
    struct sight moon;

    put_polar(put_object(object, "polar_error"), rig);
    sky_moon(&night->arc, &night->observer, utc, &moon);
    if (moon.up) {
        mount_drift(&rig->rig.mount, rig->rig.support, &night->track, utc, &drift);
        put_drift(put_object(object, "drift"), &drift);
    }
    if (framing->flips)
        put_flip(put_object(object, "flip"), &framing->flip);
    struct node entry = put_array(object, "limits");
    for (int i = 0; i < framing->limit_count; i++)
        put_limit(put_object(entry, NULL), &framing->limit[i]);
}

static void put_end(struct node object, double utc, struct frame_point place)
{
    put_instant(object, "at", utc);
    put_number(object, "x", place.x, 4);
    put_number(object, "y", place.y, 4);
}

void put_pose(struct node object, const struct pose *pose, bool held)
{
    put_flag(object, "held", held);
    put_flag(object, "late", pose->late);
    put_number(object, "altitude_deg", deg_from_rad(pose->altitude_rad), 2);
    put_number(object, "azimuth_deg", deg_from_rad(pose->azimuth_rad), 2);
    put_number(object, "roll_deg", deg_from_rad(pose->roll_rad), 2);
    put_end(put_object(object, "enters"), pose->enters_utc, pose->enters);
    put_end(put_object(object, "leaves"), pose->leaves_utc, pose->leaves);
}

void put_framing(struct node object, const struct night *night, int index, double utc)
{
    const struct framing *framing = &night->framing[index];

    if (night->rig[index].rig.support != SUPPORT_FIXED)
        put_mount(put_object(object, "mount"), night, index, utc);
    if (framing->wide)
        put_composition(put_object(object, "composition"), night, index);
    if (framing->re_aims < 0)
        return;
    struct node entry = put_object(object, "re_aims");
    put_number(entry, "count", framing->re_aims, 0);
    put_number(entry, "early", framing->early, 0);
}
