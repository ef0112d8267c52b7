/* How each rig frames the night: whether its picture holds what it is there for, and all that tools
 * are told about composition, re-aims and mount. */
#include "print.h"

#include <moonstand/angle.h>

#include <math.h>
#include <stdio.h>

/* Less foreground than this is none. */
#define FOREGROUND_TOLD 0.005
/* Longest interval that is looked for to put frames on the contacts. */
#define LONGEST_INTERVAL_S 900.0

/* ---- what fits ---- */

static bool disc_fits(const struct night *night, const struct rig *rig, char misfit[TEXT_MISFIT])
{
    double greatest = night->contact_utc[CONTACT_GREATEST];
    double disc_mm =
        2 * rig_focal_mm(rig) * tan(track_semidiameter(&night->eclipse_track, greatest));
    double free_mm = (1 - 2 * rig->margin) * rig->sensor_height_mm;

    if (disc_mm <= free_mm)
        return true;
    (void)snprintf(misfit, TEXT_MISFIT,
                   "the disc is %.1f mm across, the frame inside its margins %.1f mm", disc_mm,
                   free_mm);
    return false;
}

static void say_misfit(const struct wide *wide, enum wide_part asked, char misfit[TEXT_MISFIT])
{
    const struct wide_fit *fit = &wide->fit[asked];
    char part[TEXT_PART], other[TEXT_PART], lens[32] = "";

    if (isnan(fit->path_deg) || isnan(fit->utc_from)) {
        (void)snprintf(misfit, TEXT_MISFIT, "the Moon is down from %s", part_words(part, asked));
        return;
    }
    if (isfinite(fit->focal_mm))
        (void)snprintf(lens, sizeof lens, ", with %.1f mm it would",
                       floor(fit->focal_mm * 10) / 10);
    (void)snprintf(
        misfit, TEXT_MISFIT,
        "%s is a path of %.0f degrees, the frame inside its margins %.0f x %.0f%s: %s%s",
        part_words(part, asked), fit->path_deg, wide->free_width_deg, wide->free_height_deg, lens,
        wide->fit[wide->use].fits ? part_words(other, wide->use) : "no part between contacts",
        " fits");
}

char *part_words(char out[TEXT_PART], enum wide_part part)
{
    (void)snprintf(out, TEXT_PART, "%s to %s", contact_name(wide_begins(part)),
                   contact_name(wide_ends(part)));
    return out;
}

bool never_up(const struct night *night)
{
    struct span up[UP_SPANS];

    return up_spans(night, up) == 0;
}

bool picture_fits(const struct night *night, int index, char misfit[TEXT_MISFIT])
{
    const struct rig *rig = &night->rig[index].rig;
    const struct framing *framing = &night->framing[index];

    *misfit = '\0';
    if (never_up(night)) {
        (void)snprintf(misfit, TEXT_MISFIT, "the Moon is not up");
        return false;
    }
    if (!framing->wide)
        return disc_fits(night, rig, misfit);
    if (!framing->composition.fits)
        say_misfit(&framing->composition, rig->part, misfit);
    return framing->composition.fits;
}

/* ---- spacing ---- */

/* An interval that leaves room between the discs and puts frames on the contacts. */
static bool fit_contacts(const struct night *night, const struct wide_fit *fit,
                         struct interval_fit *on)
{
    double least_s = disc_least_interval_s(&night->eclipse_track, fit->utc_from, fit->utc_to);

    return interval_on_contacts(night->contact_utc, fit->utc_from, fit->utc_to, least_s,
                                LONGEST_INTERVAL_S, on);
}

/* ---- for people ---- */

void text_way(FILE *out, const struct night *night, const struct pose *pose, double now)
{
    char enters[TEXT_INSTANT], leaves[TEXT_INSTANT], from[FRAME_WORDS], to[FRAME_WORDS],
        against[64] = "after P4";
    static const char *const words[][2] = {{"enters it", "rises in it"},
                                           {"entered it", "rose in it"}};
    double left_s = night->contact_utc[CONTACT_P4] - pose->leaves_utc;

    if (!isfinite(pose->enters_utc) || !isfinite(pose->leaves_utc))
        return;
    if (left_s > 0)
        (void)snprintf(against, sizeof against, "%.0f min before P4", ceil(left_s / 60));
    text_entry(out, "", "the Moon %s %s at %s and %s %s at %s, %s",
               words[pose->enters_utc < now][pose->rises], frame_words(pose->enters, 0, from),
               clock_minute(enters, reader_local(night), pose->enters_utc),
               pose->sets ? "sets" : "leaves", frame_words(pose->leaves, 0, to),
               clock_minute(leaves, reader_local(night), pose->leaves_utc), against);
}

void text_composition(FILE *out, const struct night *night, int index, double now)
{
    const struct wide *wide = &night->framing[index].composition;
    const struct wide_fit *fit = &wide->fit[wide->use];
    char from[TEXT_INSTANT], to[TEXT_INSTANT], part[TEXT_PART],
        tilt[48] = "camera level", ground[48] = "no foreground in the frame";
    struct interval_fit on;

    if (!night->framing[index].whole.known)
        return;
    if (fabs(fit->roll_rad) > rad_from_deg(0.05))
        (void)snprintf(tilt, sizeof tilt, "camera tilted %.1f degrees %s",
                       fabs(deg_from_rad(fit->roll_rad)),
                       fit->roll_rad > 0 ? "clockwise" : "anticlockwise");
    text_entry(out, "  aim", "once: altitude %.1f, azimuth %.1f (%s), %s",
               deg_from_rad(fit->altitude_rad), deg_from_rad(fit->azimuth_rad),
               compass_point(fit->azimuth_rad), tilt);
    if (fit->foreground >= FOREGROUND_TOLD)
        (void)snprintf(ground, sizeof ground, "%.0f %% of the frame is foreground",
                       100 * fit->foreground);
    text_entry(out, "", "one pointing covers %s: do not touch it from %s to %s; %s",
               part_words(part, wide->use), clock_second(from, reader_local(night), fit->utc_from),
               clock_second(to, reader_local(night), fit->utc_to), ground);
    text_way(out, night, &night->framing[index].whole, now);
    text_entry(out, "", "discs overlap where the interval is below %.0f s",
               ceil(disc_least_interval_s(&night->eclipse_track, fit->utc_from, fit->utc_to)));
    if (fit_contacts(night, fit, &on))
        text_entry(out, "",
                   "start at %s, every %.0f s: one frame falls on greatest, contacts are missed by "
                   "at most %.0f s",
                   clock_second(from, reader_local(night), on.first_utc), on.interval_s,
                   ceil(on.worst_miss_s));
}

void text_mount(FILE *out, const struct night *night, int index)
{
    const struct framing *framing = &night->framing[index];
    char clock[TEXT_INSTANT], latest[TEXT_INSTANT];

    text_entry(out, "  aim", "the mount follows (%s)", support_name(night->rig[index].rig.support));
    if (framing->flips)
        text_entry(out, "  flip", "at %s%s; the mount stops at %s",
                   clock_second(clock, reader_local(night), framing->flip.advised_utc),
                   framing->flip.in_totality ? ", INSIDE TOTALITY" : "",
                   clock_second(latest, reader_local(night), framing->flip.latest_utc));
}

/* ---- for tools ---- */

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

/* How far apart the discs stand, and the intervals that suit them. */
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
    if (!fit_contacts(night, fit, &on))
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
    if (!framing->known)
        return;
    if (framing->wide)
        put_composition(document, put_object(document, object, "composition"), night, index);
    if (framing->re_aims < 0)
        return;
    entry = put_object(document, object, "re_aims");
    put_number(document, entry, "count", framing->re_aims, 0);
    put_number(document, entry, "early", framing->early, 0);
}
