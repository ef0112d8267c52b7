/* Exposures in words, for every place that shows one. */
#include <moonstand/series.h>
#include <moonstand/words.h>

#include <math.h>
#include <stdio.h>

const char *target_words(enum target target)
{
    static const char *const words[TARGETS] = {
        [TARGET_LIT] = "for the sunlit part",
        [TARGET_UMBRA] = "for the umbra",
        [TARGET_BRACKET] = "bracket",
        [TARGET_STARS] = "for stars and Moon",
        [TARGET_FOREGROUND] = "for the landscape",
        [TARGET_AUTO] = "auto",
    };

    return words[target];
}

const char *bracket_shown_name(enum bracket_shown shown)
{
    static const char *const names[] = {"first", "middle"};

    return names[shown];
}

char *dial_words(const struct exposure *exposure, char out[DIAL_WORDS])
{
    char shutter[SHUTTER_LABEL];
    int length = snprintf(out, DIAL_WORDS, "%s s, ISO %d",
                          shutter_label(exposure->shutter, shutter), iso_label(exposure->iso));

    if (exposure->bracket_frames > 1)
        (void)snprintf(out + length, (size_t)(DIAL_WORDS - length), " (%s of %d)",
                       bracket_shown_name(exposure->bracket_shown), exposure->bracket_frames);
    return out;
}

char *bracket_words(const struct exposure *exposure, char out[BRACKET_WORDS])
{
    char shutter[SHUTTER_LABEL];

    out[0] = '\0';
    if (exposure->known && exposure->bracket_frames > 1)
        (void)snprintf(out, BRACKET_WORDS, "%d frames, %.3g stops apart, %s %s",
                       exposure->bracket_frames, exposure->bracket_step_stops,
                       bracket_shown_name(exposure->bracket_shown),
                       shutter_label(exposure->shutter, shutter));
    return out;
}

char *off_words(const struct rig *rig, double off_stops, char out[STOPS_WORDS])
{
    enum { ROUNDED = 20 }; /* of a stop: what is said is rounded to a tenth */

    out[0] = '\0';
    if (fabs(off_stops) > rig->tolerance_stops + 1.0 / ROUNDED)
        (void)stops_words(off_stops, out);
    return out;
}

/* Shutter and ISO are both held back by blur, or by what a mount does unguided: which of them gave
 * way. */
static void say_blur(const struct rig *rig, const struct exposure *exposure, char out[LIMIT_WORDS])
{
    enum { A_THIRD_LONGER = 1 };
    int comfort = iso_index(rig->iso_comfort);
    double longer_px = exposure->blur_px * shutter_seconds(A_THIRD_LONGER);

    if (rig->support != SUPPORT_FIXED && longer_px <= rig->blur_limit_px &&
        exposure->shutter_last == shutter_index(UNGUIDED_S))
        (void)snprintf(out, LIMIT_WORDS, "%g s unguided, so ISO %d", UNGUIDED_S,
                       iso_label(exposure->iso_last));
    else if (exposure->iso_last > comfort)
        (void)snprintf(out, LIMIT_WORDS, "at blur limit, so ISO %d", iso_label(exposure->iso_last));
    else if (exposure->iso_last == comfort && exposure->blur_px > rig->blur_limit_px / 2)
        (void)snprintf(out, LIMIT_WORDS, "more blur, ISO kept at %d", iso_label(comfort));
    else
        (void)snprintf(out, LIMIT_WORDS, "shutter capped by blur");
}

char *limit_words(const struct rig *rig, const struct exposure *exposure, char out[LIMIT_WORDS])
{
    bool is_bracket = exposure->target == TARGET_BRACKET && isfinite(exposure->range_stops);

    out[0] = '\0';
    if (!exposure->known)
        return out;
    if (exposure->deficit_stops < 0)
        (void)snprintf(out, LIMIT_WORDS, "%.1f stops too bright", -exposure->deficit_stops);
    else if (exposure->deficit_stops > 0 && exposure->sky_stops > 0)
        return out;
    else if (exposure->deficit_stops > 0)
        (void)snprintf(out, LIMIT_WORDS, "%s%.1f stops %s", is_bracket ? "umbra " : "",
                       exposure->deficit_stops, is_bracket ? "short" : "dark, ISO limit");
    else if (exposure->limited_by == LIMITED_BLUR)
        say_blur(rig, exposure, out);
    return out;
}

/* The bracket of the setup is too narrow: by how much, and how many frames that are. */
static const char *help_with_bracket(const struct rig *rig, const struct exposure *exposure,
                                     char out[HELP_WORDS])
{
    int frames = (int)ceil(exposure->bracket_missing_stops / exposure->bracket_step_stops - 1e-9);

    if (!rig->remote_exposure && frames % 2 == 1) /* a camera adds one at either end */
        frames++;
    (void)snprintf(out, HELP_WORDS,
                   "bracket %.1f stops too narrow: %d more frame%s, or wider steps",
                   exposure->bracket_missing_stops, frames, frames == 1 ? "" : "s");
    return out;
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
