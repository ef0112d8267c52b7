/* How a rig is aimed: what it exposes for, where it looks, the Moon's way through its picture. */
#include "parts.h"

#include <moonstand/aim_words.h>
#include <moonstand/angle.h>
#include <moonstand/clock_words.h>
#include <moonstand/frame.h>
#include <moonstand/moment.h>
#include <moonstand/night.h>
#include <moonstand/sky_words.h>

#include <math.h>
#include <stdio.h>
#include <string.h>

/* A tilt that nobody could set is none. */
#define TILT_LEAST_RAD rad_from_deg(0.05)

static const struct rig_moment *now_of(const struct subject *about, int rig)
{
    return &about->moment->rig[rig];
}

char *loss_words(enum aim_loss loss, const char *clock, bool brief, char out[LOSS_WORDS])
{
    static const char *const words[][2] = {
        [LOSS_MARGIN] = {"the Moon passed the margin at", "past margin"},
        [LOSS_CUT] = {"the frame has cut off the Moon since", "Moon cut off"},
        [LOSS_GONE] = {"the Moon left the frame at", "Moon left frame"},
    };

    *out = '\0';
    if (loss != LOSS_NONE)
        (void)snprintf(out, LOSS_WORDS, "%s %.50s", words[loss][brief], clock);
    return out;
}

/* ---- a wide rig's pose ---- */

char *part_words(char out[PART_WORDS], enum wide_part part)
{
    return text_set(out, PART_WORDS, "%s to %s", contact_name(wide_begins(part)),
                    contact_name(wide_ends(part)));
}

static char *say_no_part(const struct rig *rig, const struct wide *wide, char out[SENTENCE])
{
    const struct wide_fit *asked = &wide->fit[rig->part];
    char part[PART_WORDS], use[PART_WORDS], needs[40] = "does not fit", fits[PART_WORDS + 24];

    (void)part_words(part, rig->part);
    if (isnan(asked->path_deg) || isnan(asked->utc_from))
        return text_set(out, SENTENCE, "the Moon is down from %s", part);
    if (isfinite(asked->focal_mm))
        (void)snprintf(needs, sizeof needs, "needs %.1f mm or less",
                       floor(asked->focal_mm * 10) / 10);
    (void)snprintf(fits, sizeof fits, wide->fit[wide->use].fits ? "only %s fits" : "nothing fits",
                   part_words(use, wide->use));
    return text_set(out, SENTENCE, "%s %s; at %.3g mm %s", part, needs, rig_focal_mm(rig), fits);
}

char *misfit_words(const struct night *night, int rig, char out[SENTENCE])
{
    const struct rig *used = &night->rig[rig].rig;

    *out = '\0';
    if (picture_fits(night, rig))
        return out;
    if (never_up(night))
        return text_set(out, SENTENCE, "the Moon is not up");
    if (night->framing[rig].wide)
        return say_no_part(used, &night->framing[rig].composition, out);
    return text_set(out, SENTENCE,
                    "the disc is %.1f mm across, the frame inside its margins %.1f mm",
                    disc_mm(night, used), frame_free_mm(used));
}

char *tilt_words(double roll_rad, char out[TILT_WORDS])
{
    *out = '\0';
    if (fabs(roll_rad) > TILT_LEAST_RAD)
        (void)snprintf(out, TILT_WORDS, "tilt %.1f %s", fabs(deg_from_rad(roll_rad)),
                       roll_rad > 0 ? "clockwise" : "anticlockwise");
    return out;
}

/* "38.2 up, 124.5 SE, tilt 3.7 clockwise". */
static char *say_pointing(const struct pose *pose, char out[SENTENCE])
{
    char tilt[TILT_WORDS], azimuth[TEXT_AZIMUTH];

    (void)tilt_words(pose->roll_rad, tilt);
    return text_set(out, SENTENCE, "%.1f up, %s%s%s", deg_from_rad(pose->altitude_rad),
                    format_azimuth(azimuth, pose->azimuth_rad, 1), *tilt ? ", " : "", tilt);
}

const char *pose_name(const struct subject *about, int rig)
{
    return pose_is_held(about->night, about->moment, rig) ? "aimed at" : "aim at";
}

const char *pose_enters_name(const struct pose *pose)
{
    return pose->rises ? "Moon rises" : "Moon in";
}

const char *pose_leaves_name(const struct pose *pose)
{
    return pose->sets ? "Moon sets" : "Moon out";
}

char *covers_words(const struct subject *about, int rig, int brevity, char out[SENTENCE])
{
    const struct pose *pose = now_of(about, rig)->pose;
    bool held = pose_is_held(about->night, about->moment, rig);
    double from = held ? pose->since_utc : about->moment->utc;
    bool is_late = !held && from > about->night->contact_utc[CONTACT_P1];
    enum contact first = CONTACT_P1, last = CONTACT_P1;
    bool any = pose_holds(about->night, pose, from, &first, &last);
    char clock[TEXT_INSTANT];
    const char *begins = contact_name(first), *ends = contact_name(last);

    if (pose->rises && pose->enters_utc > from)
        begins = brevity ? "rise" : "moonrise";
    else if (!any || (is_late && from >= pose->enters_utc))
        begins = "now";
    if (pose->sets && (!any || last != CONTACT_P4))
        ends = brevity ? "set" : "moonset";
    else if (!any)
        ends = clock_minute(clock, about->reader, pose->leaves_utc);
    if (strcmp(begins, ends) == 0)
        return text_set(out, SENTENCE, "%s", ends);
    return text_set(out, SENTENCE, "%s to %s", begins, ends);
}

/* "far left 21:04", "long before". */
static void say_end(const struct subject *about, double utc, struct frame_point place, int brevity,
                    char out[SENTENCE])
{
    char words[FRAME_WORDS], clock[TEXT_INSTANT];

    if (isfinite(utc))
        (void)snprintf(out, SENTENCE, "%s %s", frame_words(place, brevity, words),
                       clock_minute(clock, about->reader, utc));
    else
        (void)snprintf(out, SENTENCE, "%s", utc < 0 ? "long before" : "long after");
}

char *way_words(const struct subject *about, const struct pose *pose, int brevity,
                char out[SENTENCE])
{
    bool has_entered = about->moment && pose->enters_utc < about->moment->utc;
    const char *leaves = pose->sets ? "sets" : "leaves";
    double missing_s = about->night->contact_utc[CONTACT_P4] - pose->leaves_utc;
    char from[SENTENCE], to[SENTENCE], p4[40] = "";

    say_end(about, pose->enters_utc, pose->enters, brevity, from);
    say_end(about, pose->leaves_utc, pose->leaves, brevity, to);
    if (!pose->sets && missing_s > 0 && brevity < 4)
        (void)snprintf(p4, sizeof p4, brevity < 2 ? ", %.0f min before P4" : ", before P4",
                       ceil(missing_s / 60));
    /* Where it came in is past: nobody aims by it any more. */
    if (has_entered)
        return text_set(out, SENTENCE, "%s%s %.60s%s", brevity < 2 ? "Moon " : "", leaves, to, p4);
    if (brevity < 2)
        return text_set(out, SENTENCE, "Moon %s %.60s, %s %.60s%s",
                        pose->rises ? "rises" : "enters", from, leaves, to, p4);
    return text_set(out, SENTENCE, "%.50s to %.50s%s", from, to, p4);
}

char *pose_words(const struct subject *about, int rig, int brevity, char out[SENTENCE])
{
    const struct pose *pose = now_of(about, rig)->pose;
    char point[SENTENCE], covers[SENTENCE], direction[DIRECTION_WORDS], tilt[TILT_WORDS];
    const char *verb = pose_is_held(about->night, about->moment, rig) ? "aimed" : "aim";

    (void)say_pointing(pose, point);
    (void)tilt_words(pose->roll_rad, tilt);
    (void)covers_words(about, rig, brevity > 2, covers);
    if (brevity == 0)
        return text_set(out, SENTENCE, "%s at %s%s%s: covers %.30s", verb,
                        direction_words(pose->altitude_rad, pose->azimuth_rad, direction),
                        *tilt ? ", " : "", tilt, covers);
    if (brevity == 1)
        return text_set(out, SENTENCE, "%s %.60s: covers %.30s", verb, point, covers);
    if (brevity < 4)
        return text_set(out, SENTENCE, "%.60s: %s%.30s", point, brevity < 3 ? "covers " : "",
                        covers);
    return text_set(out, SENTENCE, "%.60s", point);
}

char *pose_state_words(const struct subject *about, int rig, int brevity, char out[SENTENCE])
{
    const struct pose *pose = now_of(about, rig)->pose;
    char point[SENTENCE], azimuth[TEXT_AZIMUTH];

    (void)say_pointing(pose, point);
    if (pose_is_held(about->night, about->moment, rig))
        return text_set(out, SENTENCE, "%.60s: do not touch it", point);
    if (brevity == 0)
        return text_set(out, SENTENCE, "aim %.60s, press a", point);
    return text_set(out, SENTENCE, "aim %.0f up, %s: a", deg_from_rad(pose->altitude_rad),
                    format_azimuth(azimuth, pose->azimuth_rad, 0));
}

char *pose_way_words(const struct subject *about, int rig, int brevity, char out[SENTENCE])
{
    char covers[SENTENCE], way[SENTENCE];

    (void)way_words(about, now_of(about, rig)->pose, brevity, way);
    if (brevity < 4)
        return text_set(out, SENTENCE, "%.30s: %.120s", covers_words(about, rig, 1, covers), way);
    return text_set(out, SENTENCE, "%.120s", way);
}

/* ---- every rig ---- */

/* Until when a Moon stays that is not to be aimed at again. */
static const char *say_until(const struct subject *about, int rig, char out[TEXT_INSTANT])
{
    const struct moment *moment = about->moment;
    double ends = about->night->rig[rig].ends_utc;

    if (moment->horizon_utc < ends && !moment->horizon_is_rise)
        return "moonset";
    if (ends == about->night->contact_utc[CONTACT_P4])
        return "P4";
    return clock_minute(out, about->reader, ends);
}

static char *say_late(const struct subject *about, int rig, int brevity, char out[SENTENCE])
{
    const struct rig_moment *now = now_of(about, rig);
    char clock[TEXT_INSTANT], words[LOSS_WORDS];

    (void)clock_near(clock, about, now->loss_utc, 0);
    if (now->loss != LOSS_NONE)
        return text_set(out, SENTENCE, "RE-AIM: %s",
                        loss_words(now->loss, clock, brevity > 0, words));
    return text_set(out, SENTENCE, "RE-AIM NOW%s%s", now->due_before < 0 ? "" : ", before ",
                    now->due_before < 0 ? "" : contact_name((enum contact)now->due_before));
}

static char *say_unaimed_frame(int brevity, char out[SENTENCE])
{
    return text_set(out, SENTENCE, "not aimed: %spress a", brevity > 0 ? "" : "aim, then ");
}

/* The latest: "re-aim within 4:10 min", in short without the unit; for a still reader "re-aim by 21:04:18"; in
 * capitals soon before it. Hands have it sooner, with a round. */
static char *due_words(const struct subject *about, int rig, int brevity, char out[SENTENCE])
{
    bool soon = now_of(about, rig)->aim_state == AIM_SOON;
    char text[TEXT_INSTANT], *unit;

    if (about->reader.still)
        return text_set(out, SENTENCE, "%s %s", soon ? "RE-AIM BY" : "re-aim by",
                        clock_near(text, about, about->night->rig[rig].due_utc, 0));
    unit = strstr(left_words(text, now_of(about, rig)->due_in_s), " min");
    if (unit && brevity > 0)
        *unit = '\0';
    return text_set(out, SENTENCE, "%s %s", soon ? "RE-AIM WITHIN" : "re-aim within", text);
}

static char *say_steady(const struct subject *about, int rig, int brevity, char out[SENTENCE])
{
    const struct rig_moment *now = now_of(about, rig);
    char text[SENTENCE];

    if (isfinite(now->due_in_s))
        return due_words(about, rig, brevity, out);
    if (!now->pose)
        return text_set(out, SENTENCE, "stays in frame to %s", say_until(about, rig, text));
    if (!pose_is_held(about->night, about->moment, rig))
        return say_unaimed_frame(brevity, out);
    if (brevity < 2)
        return text_set(out, SENTENCE, "covers %.30s: do not touch it",
                        covers_words(about, rig, brevity, text));
    return text_set(out, SENTENCE, "do not touch it");
}

/* Whether there is a pose to be told of: not once the Moon is gone. */
static bool poses(const struct subject *about, int rig)
{
    return now_of(about, rig)->pose && !moon_is_gone(about->night, about->moment);
}

char *aim_words(const struct subject *about, int rig, int brevity, char out[SENTENCE])
{
    const struct rig_state *state = &about->night->rig[rig];
    const struct rig_moment *now = now_of(about, rig);
    bool is_fixed = state->rig.support == SUPPORT_FIXED, is_due = now->due_in_s < 0;
    char due[SENTENCE], clock[TEXT_INSTANT];

    switch (now->aim_state) {
    case AIM_FREE:
        return say_unaimed_frame(brevity, out);
    case AIM_STEADY:
        return say_steady(about, rig, brevity, out);
    case AIM_SOON:
        return due_words(about, rig, brevity, out);
    case AIM_DUE:
        return say_late(about, rig, brevity, out);
    case AIM_SNOOZED:
        return text_set(out, SENTENCE, "%.60s, quiet until %s",
                        is_due ? "re-aim due" : due_words(about, rig, brevity, due),
                        clock_near(clock, about, state->snoozed_until, 0));
    case AIM_DONE:
        return text_set(out, SENTENCE, "%s", is_fixed ? "no more re-aims" : "the mount may stop");
    case AIM_TRACKED:
        if (about->moment->moon.up)
            return text_set(out, SENTENCE, "%s",
                            now->out_of_reach ? "out of the mount's reach" : "the mount follows");
        break;
    case AIM_DOWN:
        if (poses(about, rig))
            return say_steady(about, rig, brevity, out);
    }
    return text_set(out, SENTENCE, "%s", hidden_words(&about->moment->moon));
}

bool turning_pays(const struct rig_moment *rig)
{
    return rig->turned_stays_s > rig->aim.placed_stays_s * 4 / 3;
}

static char *put_words(const struct subject *about, int rig, int brevity, char out[SENTENCE])
{
    bool turns = turning_pays(now_of(about, rig));
    const struct aim *aim = &now_of(about, rig)->aim;
    /* Second by second it is news to nobody who reads line by line. */
    char *(*say)(char *, double) = about->reader.still ? rough_words : stay_words;
    char place[FRAME_WORDS], span[TEXT_SPAN], turned_span[TEXT_SPAN], turned[64] = "";
    const char *brief = brevity < 4 || !turns ? "stays " : "";

    (void)frame_words(aim->place, brevity < 4 ? brevity > 0 : 2 + turns, place);
    (void)say(span, aim->placed_stays_s);
    if (turns)
        (void)snprintf(turned, sizeof turned, ", %s %.40s",
                       orientation_words(!about->night->rig[rig].rig.portrait),
                       say(turned_span, now_of(about, rig)->turned_stays_s));
    /* With least room minutes have no unit. */
    char *const spans[] = {strstr(span, " min"), strstr(turned, " min")};
    for (int i = 0; i < 2 && brevity == BREVITIES - 1; i++)
        if (spans[i])
            *spans[i] = '\0';
    return text_set(out, SENTENCE, "%s%s: %s%s%s", brevity < 2 ? "Moon " : "", place,
                    brevity < 3 ? "stays in frame " : brief, span, turned);
}

/* Whether somebody is about to put the Moon in its place. */
static bool is_to_be_put(const struct rig_moment *rig)
{
    return rig->aim_state == AIM_FREE || rig->aim_state == AIM_SOON || rig->aim_state == AIM_DUE ||
           rig->aim_state == AIM_SNOOZED;
}

char *drift_words(const struct rig_moment *rig, char out[SENTENCE])
{
    *out = '\0';
    if (isfinite(rig->aim.drift_px_per_s))
        (void)snprintf(out, SENTENCE, "drifts %.2f px a second", rig->aim.drift_px_per_s);
    return out;
}

char *drift_disc_words(const struct subject *about, int rig, char out[SENTENCE])
{
    const double most_min = 600; /* no night is longer */
    double disc_arcsec = 2 * arcsec_from_rad(about->moment->moon.semidiameter_rad);
    double minutes = disc_arcsec / now_of(about, rig)->aim.drift_arcsec_per_s / 60;
    char span[TEXT_SPAN];

    *out = '\0';
    if (about->night->rig[rig].rig.support != SUPPORT_FIXED && minutes <= most_min)
        (void)snprintf(out, SENTENCE, "a disc in %s", rough_words(span, minutes * 60));
    return out;
}

char *flip_words(const struct rig_moment *rig, char out[SENTENCE])
{
    char left[TEXT_SPAN];

    *out = '\0';
    if (rig->flip_in_s > 0)
        (void)snprintf(out, SENTENCE, "in %s", format_left(left, rig->flip_in_s));
    else if (isfinite(rig->flip_in_s))
        (void)snprintf(out, SENTENCE, "is due");
    return out;
}

char *stay_left_words(const struct subject *about, double stay_s, char out[TEXT_SPAN])
{
    const double advice_age_s = 15;
    double p4 = about->night->contact_utc[CONTACT_P4], utc = about->moment->utc;

    if (utc < p4 && utc + stay_s > p4 - advice_age_s)
        return text_set(out, TEXT_SPAN, "to P4");
    return stay_words(out, stay_s);
}

char *look_words(const struct subject *about, int rig, int brevity, char out[SENTENCE])
{
    const struct rig_moment *now = now_of(about, rig);

    *out = '\0';
    if (now->aim_state == AIM_DONE)
        return out;
    if (poses(about, rig))
        return pose_words(about, rig, brevity, out);
    if (now->aim_state == AIM_DOWN || !isfinite(now->aim.drift_px_per_s))
        return out;
    if (now->aim_state == AIM_TRACKED)
        return drift_words(now, out);
    if (is_to_be_put(now))
        return put_words(about, rig, brevity, out);
    return out;
}

char *else_words(const struct subject *about, int rig, int brevity, char out[SENTENCE])
{
    const struct rig_moment *now = now_of(about, rig);
    bool is_fixed = about->night->rig[rig].rig.support == SUPPORT_FIXED;
    char span[TEXT_SPAN];

    *out = '\0';
    if (now->aim_state == AIM_DONE)
        return out;
    if (poses(about, rig))
        return way_words(about, now->pose, brevity, out);
    if (is_fixed && now->aim_state == AIM_FREE && isfinite(now->aim.centred_stays_s))
        (void)snprintf(out, SENTENCE, "from the centre it stays %s",
                       stay_words(span, now->aim.centred_stays_s));
    return out;
}
