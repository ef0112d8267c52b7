/* What tools are told about how each rig frames the night: composition, re-aims and mount. */
#include "print.h"

#include <moonstand/angle.h>

#include <math.h>

static void put_span(struct document *document, cJSON *object, const struct wide_fit *fit)
{
    put_instant(document, object, "from", fit->utc_from);
    put_instant(document, object, "to", fit->utc_to);
}

static void put_part(struct document *document, cJSON *object, enum wide_part part,
                     const struct wide_fit *fit)
{
    put_text(document, object, "part", wide_part_name(part));
    put_flag(document, object, "fits", fit->fits);
    put_span(document, object, fit);
    put_flag(document, object, "cut", fit->cut);
    put_number(document, object, "path_deg", fit->path_deg, 2);
    put_number(document, object, "longest_focal_mm", fit->focal_mm, 2);
}

/* How far apart the discs are, and the intervals that suit them. */
static void put_spacing(struct document *document, cJSON *object, const struct night *night,
                        int index, const struct wide_fit *fit)
{
    const struct track *track = &night->eclipse_track;
    double interval_s = night->shooting[index].interval_s;
    struct interval_fit on;
    cJSON *entry;

    put_number(document, object, "disc_spacing",
               disc_spacing(track, (fit->utc_from + fit->utc_to) / 2, interval_s), 3);
    put_number(document, object, "least_interval_s",
               disc_least_interval_s(track, fit->utc_from, fit->utc_to), 1);
    if (!chain_on_contacts(night, fit, &on))
        return;
    entry = put_object(document, object, "on_contacts");
    put_number(document, entry, "interval_s", on.interval_s, 0);
    put_instant(document, entry, "first", on.first_utc);
    put_number(document, entry, "frames", on.frames, 0);
    put_number(document, entry, "worst_miss_s", on.worst_miss_s, 1);
}

static void put_composition(struct document *document, cJSON *object, const struct night *night,
                            int index)
{
    const struct rig *rig = &night->rig[index].rig;
    const struct wide *wide = &night->framing[index].composition;
    const struct wide_fit *fit = &wide->fit[wide->use];
    cJSON *entry;

    put_text(document, object, "asked", wide_part_name(rig->part));
    put_text(document, object, "part", wide_part_name(wide->use));
    put_flag(document, object, "fits", wide->fits);
    put_number(document, object, "free_width_deg", wide->free_width_deg, 2);
    put_number(document, object, "free_height_deg", wide->free_height_deg, 2);
    entry = put_array(document, object, "parts");
    for (int i = 0; i < WIDE_PARTS; i++)
        put_part(document, put_object(document, entry, NULL), (enum wide_part)i, &wide->fit[i]);
    if (isnan(fit->utc_from))
        return;
    entry = put_object(document, object, "pointing");
    put_number(document, entry, "altitude_deg", deg_from_rad(fit->altitude_rad), 2);
    put_number(document, entry, "azimuth_deg", deg_from_rad(fit->azimuth_rad), 2);
    put_number(document, entry, "roll_deg", deg_from_rad(fit->roll_rad), 2);
    put_number(document, object, "foreground", fit->foreground, 3);
    put_span(document, put_object(document, object, "untouched"), fit);
    put_spacing(document, object, night, index, fit);
}

static void put_flip(struct document *document, cJSON *object, const struct mount_flip *flip)
{
    put_instant(document, object, "earliest", flip->earliest_utc);
    put_instant(document, object, "meridian", flip->meridian_utc);
    put_instant(document, object, "latest", flip->latest_utc);
    put_instant(document, object, "advised", flip->advised_utc);
    put_flag(document, object, "in_totality", flip->in_totality);
}

static void put_limit(struct document *document, cJSON *object, const struct mount_limit *limit)
{
    put_instant(document, object, "at", limit->utc);
    put_text(document, object, "limit", limit->upper ? "upper" : "lower");
    put_text(document, object, "reach", limit->enters ? "begins" : "ends");
}

static void put_polar(struct document *document, cJSON *object, const struct rig_state *rig)
{
    put_number(document, object, "azimuth_arcmin", rig->rig.mount.polar_az_error_arcmin, 2);
    put_number(document, object, "altitude_arcmin", rig->rig.mount.polar_alt_error_arcmin, 2);
    put_flag(document, object, "measured",
             isfinite(rig->polar.az_error_arcmin) || isfinite(rig->polar.alt_error_arcmin));
    put_number(document, object, "azimuth_doubt_arcmin", rig->polar.az_doubt_arcmin, 2);
    put_number(document, object, "altitude_doubt_arcmin", rig->polar.alt_doubt_arcmin, 2);
}

static void put_drift(struct document *document, cJSON *object, const struct mount_drift *drift)
{
    put_number(document, object, "rate_east_arcsec_per_s", drift->rate_east_arcsec_per_s, 4);
    put_number(document, object, "rate_north_arcsec_per_s", drift->rate_north_arcsec_per_s, 4);
    put_number(document, object, "polar_east_arcsec_per_s", drift->polar_east_arcsec_per_s, 4);
    put_number(document, object, "polar_north_arcsec_per_s", drift->polar_north_arcsec_per_s, 4);
    put_number(document, object, "arcsec_per_s", drift->arcsec_per_s, 4);
}

static void put_mount(struct document *document, cJSON *object, const struct night *night,
                      int index, double utc)
{
    const struct rig_state *rig = &night->rig[index];
    const struct framing *framing = &night->framing[index];
    struct mount_drift drift;
    struct sight moon;
    cJSON *entry;

    put_polar(document, put_object(document, object, "polar_error"), rig);
    sky_moon(&night->arc, &night->observer, utc, &moon);
    if (moon.up) {
        mount_drift(&rig->rig.mount, rig->rig.support, &night->track, utc, &drift);
        put_drift(document, put_object(document, object, "drift"), &drift);
    }
    if (framing->flips)
        put_flip(document, put_object(document, object, "flip"), &framing->flip);
    entry = put_array(document, object, "limits");
    for (int i = 0; i < framing->limit_count; i++)
        put_limit(document, put_object(document, entry, NULL), &framing->limit[i]);
}

static void put_end(struct document *document, cJSON *object, double utc, struct frame_point place)
{
    put_instant(document, object, "at", utc);
    put_number(document, object, "x", place.x, 4);
    put_number(document, object, "y", place.y, 4);
}

void put_pose(struct document *document, cJSON *object, const struct pose *pose, bool held)
{
    put_flag(document, object, "held", held);
    put_flag(document, object, "late", pose->late);
    put_number(document, object, "altitude_deg", deg_from_rad(pose->altitude_rad), 2);
    put_number(document, object, "azimuth_deg", deg_from_rad(pose->azimuth_rad), 2);
    put_number(document, object, "roll_deg", deg_from_rad(pose->roll_rad), 2);
    put_end(document, put_object(document, object, "enters"), pose->enters_utc, pose->enters);
    put_end(document, put_object(document, object, "leaves"), pose->leaves_utc, pose->leaves);
}

void put_framing(struct document *document, cJSON *object, const struct night *night, int index,
                 double utc)
{
    const struct framing *framing = &night->framing[index];
    cJSON *entry;

    if (night->rig[index].rig.support != SUPPORT_FIXED)
        put_mount(document, put_object(document, object, "mount"), night, index, utc);
    if (framing->wide)
        put_composition(document, put_object(document, object, "composition"), night, index);
    if (framing->re_aims < 0)
        return;
    entry = put_object(document, object, "re_aims");
    put_number(document, entry, "count", framing->re_aims, 0);
    put_number(document, entry, "early", framing->early, 0);
}
