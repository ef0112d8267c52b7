/* Exposures in words, for every place that shows one. */
#include "parts.h"

#include <moonstand/clock_words.h>
#include <moonstand/event_words.h>
#include <moonstand/framing.h>
#include <moonstand/moment.h>
#include <moonstand/night.h>
#include <moonstand/series.h>
#include <moonstand/sheet.h>
#include <moonstand/test_print.h>

#include <math.h>
#include <stdio.h>

const char *target_words(enum target target)
{
    static const char *const words[TARGETS] = {
        [TARGET_LIT] = "for the sunlit part",       [TARGET_UMBRA] = "for the umbra",
        [TARGET_BRACKET] = "as a bracket",          [TARGET_STARS] = "for stars and Moon",
        [TARGET_FOREGROUND] = "for the foreground", [TARGET_AUTO] = "as the Moon needs it",
    };

    return words[target];
}

const char *bracket_shown_name(enum bracket_shown shown)
{
    static const char *const names[] = {"first", "middle"};

    return names[shown];
}

char *setting_words(const struct exposure *exposure, int brevity, char out[SETTING_WORDS])
{
    char f_number[16] = "", bracket[24] = "";
    bool is_bracket = exposure->bracket_frames > 1;
    const char *shown = bracket_shown_name(exposure->bracket_shown);

    if (!exposure->known)
        return text_set(out, SETTING_WORDS, NO_SETTING_WORDS);
    if (brevity == 0)
        (void)snprintf(f_number, sizeof f_number, ", f/%.3g", exposure->f_number);
    if (brevity < 2 && is_bracket)
        (void)snprintf(bracket, sizeof bracket, " (%s of %d)", shown, exposure->bracket_frames);
    return text_set(out, SETTING_WORDS, "%s%s%s s, ISO %d%s%s",
                    brevity > 1 && is_bracket ? shown : "", brevity > 1 && is_bracket ? " " : "",
                    shutter_label(exposure->shutter), iso_label(exposure->iso), f_number, bracket);
}

char *bracket_words(const struct exposure *exposure, int brevity, char out[BRACKET_WORDS])
{
    out[0] = '\0';
    if (!exposure->known || exposure->bracket_frames <= 1)
        return out;
    if (brevity == 0)
        return text_set(out, BRACKET_WORDS, "%d frames, %.3g stops apart", exposure->bracket_frames,
                        exposure->bracket_step_stops);
    return text_set(out, BRACKET_WORDS, "%d x %.3g%s", exposure->bracket_frames,
                    exposure->bracket_step_stops, brevity == 1 ? " stops" : "");
}

char *print_words(const struct test_print *print, char out[SETTING_WORDS])
{
    *out = '\0';
    if (isfinite(print->clipped) && isfinite(print->lost))
        (void)snprintf(out, SETTING_WORDS, "%.0f %% clipped, %.0f %% too dark", 100 * print->clipped,
                       100 * print->lost);
    return out;
}

char *off_words(const struct rig *rig, const struct rig_moment *now, char out[STOPS_WORDS])
{
    enum { ROUNDED = 20 }; /* of a stop: printed rounded to a tenth */

    out[0] = '\0';
    if (!now->idle && fabs(now->off_stops) > rig->tolerance_stops + 1.0 / ROUNDED)
        (void)stops_words(now->off_stops, out);
    return out;
}

/* From these brevities on a limit has no ISO before it, and nothing behind its comma. */
enum { WITHOUT_ISO = 2, BAREST = 4 };

/* Shutter and ISO are both held back by blur, or by what a mount does unguided: which of them gave
 * way. */
static void say_blur(const struct rig *rig, const struct exposure *exposure, int brevity,
                     char out[LIMIT_WORDS])
{
    enum { A_THIRD_LONGER = 1 };
    int comfort = iso_index(rig->iso_comfort);
    double longer_px = exposure->blur_px * shutter_seconds(A_THIRD_LONGER);
    bool unguided = rig->support != SUPPORT_FIXED && longer_px <= rig->blur_limit_px &&
                    exposure->shutter_last == shutter_index(UNGUIDED_S);
    char iso[16] = "", most[24] = "";

    if (brevity < WITHOUT_ISO && (unguided || exposure->iso_last > comfort))
        (void)snprintf(iso, sizeof iso, "ISO %d: ", iso_label(exposure->iso_last));
    if (unguided) {
        if (brevity < BAREST)
            (void)snprintf(most, sizeof most, ", %g s at most", UNGUIDED_S);
        (void)snprintf(out, LIMIT_WORDS, "%sunguided%s", iso, most);
    } else if (exposure->iso_last == comfort && exposure->blur_px > rig->blur_limit_px / 2) {
        if (brevity < BAREST)
            (void)snprintf(most, sizeof most, ", to keep ISO %d", iso_label(comfort));
        (void)snprintf(out, LIMIT_WORDS, "blur %.1f px%s", exposure->blur_px, most);
    } else {
        (void)snprintf(out, LIMIT_WORDS, "%slonger would blur", iso);
    }
}

char *limit_words(const struct rig *rig, const struct exposure *exposure, int brevity,
                  char out[LIMIT_WORDS])
{
    bool is_bracket = exposure->target == TARGET_BRACKET && isfinite(exposure->range_stops);

    out[0] = '\0';
    if (!exposure->known || (exposure->deficit_stops > 0 && exposure->sky_stops > 0))
        return out;
    if (exposure->deficit_stops < 0)
        (void)snprintf(out, LIMIT_WORDS, "%.1f stops too bright", -exposure->deficit_stops);
    else if (exposure->deficit_stops > 0 && is_bracket)
        (void)snprintf(out, LIMIT_WORDS, "umbra %.1f%s short", exposure->deficit_stops,
                       brevity > 0 ? "" : " stops");
    else if (exposure->deficit_stops > 0)
        (void)snprintf(out, LIMIT_WORDS, "%.1f stops dark%s", exposure->deficit_stops,
                       brevity < BAREST ? ", ISO limit" : "");
    else if (exposure->limited_by == LIMITED_BLUR)
        say_blur(rig, exposure, brevity, out);
    return out;
}

/* The bracket of the setup is too narrow: by how much, and how many frames that are. */
static const char *help_with_bracket(const struct rig *rig, const struct exposure *exposure,
                                     char out[HELP_WORDS])
{
    int frames = (int)ceil(exposure->bracket_missing_stops / exposure->bracket_step_stops - 1e-9);

    if (!rig->remote_exposure && frames % 2 == 1) /* a camera adds one at either end */
        frames++;
    return text_set(out, HELP_WORDS,
                    "bracket %.1f stops too narrow: %d more frame%s, or wider steps",
                    exposure->bracket_missing_stops, frames, frames == 1 ? "" : "s");
}

static const char *help_in_the_dark(const struct rig *rig, const struct exposure *exposure,
                                    char out[HELP_WORDS])
{
    if (exposure->bracket_missing_stops > 0)
        return help_with_bracket(rig, exposure, out);
    if (exposure->limited_by != LIMITED_ISO)
        return "a remote that sets every frame reaches it; or expose for the umbra alone";
    if (rig->filter_stops > 0)
        return "take the filter out";
    if (rig->extender > 1)
        return "take the extender off";
    if (rig->support == SUPPORT_FIXED)
        return "a mount that follows, a faster lens, or 2 px of blur";
    return "a faster lens, or a longer shutter with a guider";
}

const char *exposure_help(const struct rig *rig, const struct exposure *exposure,
                          char out[HELP_WORDS])
{
    if (!exposure->known)
        return NULL;
    if (exposure->deficit_stops < 0)
        return "too bright: stop down, or put a filter in";
    if (exposure->deficit_stops > 0)
        return exposure->sky_stops > 0 ? NULL : help_in_the_dark(rig, exposure, out);
    if (exposure->vibration_risk)
        return "mirror up and wait, wind off the lens; fire that much ahead of a contact";
    return NULL;
}

/* The target with what limits it and how far the user has moved it; a bracket by itself. */
static char *say_purpose(const struct rig *rig, const struct rig_moment *now, bool still,
                         int brevity, char out[SENTENCE])
{
    const struct exposure *exposure = &now->exposure;
    /* What test frames tell of the air leaves some thousandths. */
    bool corrected = fabs(exposure->correction_stops) >= 0.05 && brevity < BAREST;
    char limit[LIMIT_WORDS], bracket[BRACKET_WORDS], correction[16] = "";
    const char *what = target_words(exposure->target);

    /* That light runs away from a setting counts for more than what keeps it from being better. */
    if (still || !*off_words(rig, now, limit))
        (void)limit_words(rig, exposure, brevity, limit);
    if (*bracket_words(exposure, brevity, bracket))
        what = bracket;
    else if (*limit && brevity > 0)
        what = "";
    if (corrected)
        (void)snprintf(correction, sizeof correction, ", %+.1f", exposure->correction_stops);
    return text_set(out, SENTENCE, "%s%s%s%s", what, *what && *limit ? ", " : "", limit,
                    correction);
}

/* Why there is no setting; what does not show in the aim's words. */
static const char *no_setting(const struct moment *moment, enum target target)
{
    if (!moment->moon.up)
        return "";
    if (target == TARGET_LIT && moment->phase == PHASE_TOTAL)
        return "no sunlit part in totality";
    return target == TARGET_UMBRA && moment->phase < PHASE_PARTIAL ? "no umbra on the Moon now"
                                                                   : "";
}

char *purpose_words(const struct subject *about, int rig, int brevity, char out[SENTENCE])
{
    const struct rig_moment *now = &about->moment->rig[rig];
    char clock[TEXT_INSTANT];

    if (now->lost)
        return lost_words(&now->lost_span,
                          clock_minute(clock, about->reader, now->lost_span.span.to), brevity, out);
    if (now->exposure.known)
        return say_purpose(&about->night->rig[rig].rig, now, about->reader.still, brevity, out);
    return text_set(out, SENTENCE, "%s", no_setting(about->moment, now->exposure.target));
}

char *next_words(const struct subject *about, int rig, int brevity, char out[SENTENCE])
{
    const struct rig_moment *now = &about->moment->rig[rig];
    char setting[SETTING_WORDS], clock[TEXT_INSTANT];

    *out = '\0';
    if (isfinite(now->change_utc) && now->change_to.known)
        (void)snprintf(out, SENTENCE, "%s%s %s", clock_near(clock, about, now->change_utc, 0),
                       brevity == 0 ? " set" : "",
                       setting_words(&now->change_to, brevity > 1 ? 2 : 1, setting));
    return out;
}

char *interval_words(const struct shooting *shooting, char out[INTERVAL_WORDS])
{
    static const char *const reasons[INTERVAL_REASONS] = {
        [INTERVAL_SETUP] = "",
        [INTERVAL_CHAIN] = " (a chain: no two discs touch)",
        [INTERVAL_LAPSE] = " (a time-lapse)",
        [INTERVAL_LONGEST] = " (the longest shot takes as long)",
    };
    bool minutes = shooting->interval_s >= 60 && fmod(shooting->interval_s, 60) == 0;

    return text_set(out, INTERVAL_WORDS, "%g %s%s",
                    minutes ? shooting->interval_s / 60 : shooting->interval_s,
                    minutes ? "min" : "s", reasons[shooting->interval_reason]);
}

char *last_frame_words(const struct subject *about, int rig, int brevity, char out[SENTENCE])
{
    double last = about->night->shooting[rig].utc_to;
    char clock[TEXT_INSTANT];

    (void)brevity;
    if (isfinite(last))
        return text_set(out, SENTENCE, "last frame %s", clock_near(clock, about, last, 0));
    return text_set(out, SENTENCE, "no frames");
}
