/* What the pictures show, in words. */
#include "parts.h"

#include <moonstand/album_words.h>
#include <moonstand/moment.h>
#include <moonstand/seen.h>
#include <moonstand/series.h>

#include <math.h>
#include <stdio.h>

/* A smaller share of clipped disc is not mentioned. */
#define CLIPPED_SAID 0.01

char *stops_words(double stops, char out[STOPS_WORDS])
{
    const char *way = stops < 0 ? "too dark" : "too bright";

    if (fabs(stops) < 0.95)
        return text_set(out, STOPS_WORDS, "%.1f stop %s", fabs(stops), way);
    if (fabs(stops) < 1.5)
        return text_set(out, STOPS_WORDS, "1 stop %s", way);
    return text_set(out, STOPS_WORDS, "%.0f stops %s", fabs(stops), way);
}

char *shot_words(const struct shot *shot, char out[SHOT_WORDS])
{
    return text_set(out, SHOT_WORDS, "%s s, ISO %.0f",
                    shutter_label(shutter_index(shot->shutter_s)), shot->iso);
}

const char *looks_words(enum look_news looks)
{
    static const char *const words[] = {
        [LOOKS_QUIET] = "",
        [LOOKS_NO_MOON] = "no Moon in its pictures: look at the aim",
        [LOOKS_CLOUD] = "all pictures fade: cloud?",
        [LOOKS_DEW] = "its pictures alone fade: dew?",
        [LOOKS_FADE] = "its pictures fade: cloud or dew?",
        [LOOKS_SMEARED] = "its pictures are smeared: wind, or a loose tripod?",
        [LOOKS_SOFT] = "its pictures are soft: focus?",
    };

    return words[looks];
}

const char *news_words(enum news_kind news)
{
    static const char *const words[] = {
        [NEWS_RE_AIM] = "re-aim",
        [NEWS_RE_AIM_SOON] = "re-aim soon",
        [NEWS_RE_AIM_DUE] = "re-aim due",
        [NEWS_PUT_OFF] = "re-aim put off",
        [NEWS_NO_PICTURE] = "no picture",
        [NEWS_WRONG_SETTING] = "wrong setting",
        [NEWS_POWER] = "external power",
    };

    return words[news];
}

/* What is wrong with the watching itself; null: nothing. */
static const char *trouble_words(const struct moment *moment, int rig)
{
    if (moment->readings.eye == EYE_ENDED)
        return "pictures not watched: press P";
    if (moment->readings.eye == EYE_SILENT)
        return "the watcher hangs: press P";
    return moment->readings.album[rig].folder_gone ? "folder of pictures is gone" : NULL;
}

/* Why the Moon cannot be looked for in this camera's pictures; null: it can. */
static const char *why_not_words(int why_not)
{
    static const char *const words[SEEN_STATES] = {
        [SEEN_TOO_SMALL] = "Moon too small to be seen in them",
        [SEEN_NO_SCALE] = "name the rig's camera: scale unknown",
        [SEEN_NO_JPEG] = "raw without a preview",
        [SEEN_HEIF] = "HEIF: set the camera to JPEG",
    };

    return words[why_not];
}

/* "8 s", "1:40". */
static char *age_words(double age_s, char out[TEXT_SPAN])
{
    if (age_s < 60)
        return text_set(out, TEXT_SPAN, "%.0f s", fmax(age_s, 0));
    return format_span(out, age_s);
}

/* "412 seen, last 8 s ago", with less of it where there is little room. */
static char *say_count(const struct moment *moment, int rig, int brevity, char out[ALBUM_WORDS])
{
    const struct album *album = &moment->readings.album[rig];
    const struct album_moment *seen = &moment->album[rig];
    char ago[TEXT_SPAN];

    if (isnan(seen->last_utc))
        return text_set(out, ALBUM_WORDS, "no picture yet");
    (void)age_words(moment->utc - seen->last_utc, ago);
    if (fabs(seen->clock_error_s) > CAMERA_CLOCK_OFF_S && brevity == 0)
        return text_set(out, ALBUM_WORDS, "%.0f seen, last %s ago, clock %.0f s %s", album->frames,
                        ago, fabs(seen->clock_error_s), seen->clock_error_s > 0 ? "slow" : "fast");
    return text_set(out, ALBUM_WORDS, brevity < 2 ? "%.0f seen, last %s ago" : "%.0f, %s",
                    album->frames, ago);
}

/* What the last look shows if nothing is wrong: "Moon left, a little low", "lit part clipped 4 %". */
static void say_look(const struct look_at_moon *look, int brevity, char out[ALBUM_WORDS])
{
    char place[FRAME_WORDS];

    if (look->clipped >= CLIPPED_SAID)
        (void)snprintf(out, ALBUM_WORDS, "lit part clipped %.0f %%", 100 * look->clipped);
    else if (isfinite(look->place.x))
        (void)snprintf(out, ALBUM_WORDS, "Moon %s", frame_words(look->place, brevity, place));
    else
        (void)snprintf(out, ALBUM_WORDS, "%s", look->found ? "Moon seen" : "no Moon found");
}

/* What the looks at the Moon tell; empty: there were none. */
static enum album_news say_trial(const struct moment *moment, int rig, int brevity,
                                 char out[ALBUM_WORDS])
{
    static const char *const fades[] = {
        [LOOKS_NO_MOON] = "no Moon in it",
        [LOOKS_CLOUD] = "fades: cloud?",
        [LOOKS_DEW] = "fades: dew?",
        [LOOKS_FADE] = "fades: cloud or dew?",
    };
    const struct album *album = &moment->readings.album[rig];
    const struct album_moment *seen = &moment->album[rig];
    const char *why_not = why_not_words(album->why_not);
    bool darker = seen->umbra_stops < 0;

    out[0] = '\0';
    if (isfinite(seen->put_off_utc))
        (void)snprintf(out, ALBUM_WORDS, "re-aim alarm put off%s",
                       brevity > 1 ? "" : ": Moon seen elsewhere");
    else if (seen->looks == LOOKS_SOFT || seen->looks == LOOKS_SMEARED)
        (void)snprintf(out, ALBUM_WORDS, "limb %.1f px, was %.1f: %s", seen->limb_px,
                       album->best_limb_px,
                       seen->looks == LOOKS_SOFT ? "focus?" : brevity > 1 ? "shaken?" : "smeared or shaken?");
    else if (seen->looks != LOOKS_QUIET)
        (void)snprintf(out, ALBUM_WORDS, "%s", fades[seen->looks]);
    if (*out)
        return ALBUM_WRONG;
    if (isfinite(seen->umbra_stops))
        (void)snprintf(out, ALBUM_WORDS,
                       brevity > 1 ? "umbra %.1f %s: press %s"
                                   : "umbra %.1f %s than expected: %s takes it",
                       fabs(seen->umbra_stops), darker ? "darker" : "brighter", darker ? "+" : "-");
    else if (seen->looked)
        say_look(&album->look[0], brevity > 0, out);
    else if (why_not)
        (void)snprintf(out, ALBUM_WORDS, "%s", why_not);
    return ALBUM_QUIET;
}

/* "trial 40 s ago: ...": the age of the last look is told, unless there is hardly room for what it shows. */
static enum album_news say_looks(const struct moment *moment, int rig, int brevity,
                                 char out[ALBUM_WORDS])
{
    const struct album *album = &moment->readings.album[rig];
    char what[ALBUM_WORDS], ago[TEXT_SPAN];
    enum album_news news = say_trial(moment, rig, brevity, what);

    *out = '\0';
    if (album->look_count > 0 && brevity < ALBUM_BREVITIES - 1)
        (void)snprintf(out, ALBUM_WORDS, "trial %s ago: ",
                       age_words(moment->utc - album->look[0].utc, ago));
    text_add(out, ALBUM_WORDS, "", "%s", what);
    return news;
}

/* What must be put right first; ALBUM_NONE: nothing. */
static enum album_news say_wrong(const struct moment *moment, int rig, int brevity,
                                 char out[ALBUM_WORDS])
{
    const struct album_moment *seen = &moment->album[rig];
    const char *trouble = trouble_words(moment, rig);
    char span[TEXT_SPAN], off[STOPS_WORDS], shot[SHOT_WORDS];

    if (trouble) {
        (void)snprintf(out, ALBUM_WORDS, "%s", trouble);
        return ALBUM_TROUBLE;
    }
    if (seen->stopped) {
        (void)snprintf(out, ALBUM_WORDS, "NO PICTURE FOR %s",
                       format_span(span, moment->utc - seen->since_utc));
        return ALBUM_STOPPED;
    }
    if (seen->off_stops != 0) {
        (void)snprintf(out, ALBUM_WORDS, "%s%s%s%s", brevity == 1 ? "" : "camera: ",
                       brevity > 1 ? "" : shot_words(&moment->readings.album[rig].shot[0], shot),
                       brevity > 1 ? "" : ": ", stops_words(seen->off_stops, off));
        return ALBUM_WRONG;
    }
    return ALBUM_NONE;
}

enum album_news album_words(const struct moment *moment, int rig, int brevity,
                            char out[ALBUM_WORDS])
{
    char looks[ALBUM_WORDS];

    out[0] = '\0';
    if (!moment->album[rig].watched)
        return ALBUM_NONE;
    enum album_news news = say_wrong(moment, rig, brevity, out);
    if (news != ALBUM_NONE)
        return news;
    news = say_looks(moment, rig, brevity, looks);
    if (news == ALBUM_WRONG || (brevity > 0 && isfinite(moment->album[rig].umbra_stops))) {
        (void)snprintf(out, ALBUM_WORDS, "%s", looks);
        return news;
    }
    if (brevity == 1 && *looks)
        (void)snprintf(out, ALBUM_WORDS, "%.0f seen", moment->readings.album[rig].frames);
    else
        (void)say_count(moment, rig, brevity > 0 ? brevity - 1 : 0, out);
    if (brevity <= 1 && *looks)
        text_add(out, ALBUM_WORDS, "", "; %s", looks);
    return news;
}
