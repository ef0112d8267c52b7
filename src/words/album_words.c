/* What the pictures show, in words. */
#include <moonstand/series.h>
#include <moonstand/words.h>

#include <math.h>
#include <stdio.h>
#include <string.h>

/* Less of the disc with a channel at its end is not said. */
#define CLIPPED_SAID 0.01

char *stops_words(double stops, char out[STOPS_WORDS])
{
    const char *way = stops < 0 ? "too dark" : "too bright";

    if (fabs(stops) < 0.95)
        (void)snprintf(out, STOPS_WORDS, "%.1f stop %s", fabs(stops), way);
    else if (fabs(stops) < 1.5)
        (void)snprintf(out, STOPS_WORDS, "1 stop %s", way);
    else
        (void)snprintf(out, STOPS_WORDS, "%.0f stops %s", fabs(stops), way);
    return out;
}

char *shot_words(const struct shot *shot, char out[SHOT_WORDS])
{
    char shutter[SHUTTER_LABEL];

    (void)shutter_label(shutter_index(shot->shutter_s), shutter);
    (void)snprintf(out, SHOT_WORDS, "%s s, ISO %.0f", shutter, shot->iso);
    return out;
}

/* What is wrong with the watching itself; null: nothing. */
static const char *trouble_words(const struct moment *moment, int rig)
{
    if (moment->readings.eye == EYE_ENDED)
        return "pictures not watched any more: press P";
    if (moment->readings.eye == EYE_SILENT)
        return "pictures: the watcher hangs, press P";
    return moment->readings.album[rig].folder_gone ? "folder of pictures is gone" : NULL;
}

/* "412 seen, last 8 s ago", with less of it where there is little room. */
static void say_count(const struct moment *moment, int rig, int brevity, char out[ALBUM_WORDS])
{
    const struct album *album = &moment->readings.album[rig];
    const struct album_moment *seen = &moment->album[rig];
    double age_s = moment->utc - seen->last_utc;
    char span[TEXT_SPAN], ago[TEXT_SPAN + 4];

    if (isnan(age_s)) {
        (void)snprintf(out, ALBUM_WORDS, "no picture yet");
        return;
    }
    if (age_s < 60)
        (void)snprintf(ago, sizeof ago, "%.0f s", fmax(age_s, 0));
    else
        (void)snprintf(ago, sizeof ago, "%s", format_span(span, age_s));
    if (fabs(seen->clock_error_s) > CAMERA_CLOCK_OFF_S && brevity == 0)
        (void)snprintf(out, ALBUM_WORDS, "%.0f seen, last %s ago, clock %.0f s %s", album->frames,
                       ago, fabs(seen->clock_error_s), seen->clock_error_s > 0 ? "slow" : "fast");
    else
        (void)snprintf(out, ALBUM_WORDS, brevity < 2 ? "%.0f seen, last %s ago" : "%.0f, %s",
                       album->frames, ago);
}

/* What the last look at the Moon shows: "trial: left, a little low", "trial: lit part clipped 4 %". */
static void say_look(const struct look_at_moon *look, char out[ALBUM_WORDS])
{
    char place[FRAME_WORDS];

    if (look->clipped >= CLIPPED_SAID)
        (void)snprintf(out, ALBUM_WORDS, "trial: lit part clipped %.0f %%", 100 * look->clipped);
    else
        (void)snprintf(out, ALBUM_WORDS, "trial: Moon %s", frame_words(look->place, 0, place));
}

enum album_news album_words(const struct moment *moment, int rig, int brevity,
                            char out[ALBUM_WORDS])
{
    const struct album *album = &moment->readings.album[rig];
    const struct album_moment *seen = &moment->album[rig];
    const char *trouble = trouble_words(moment, rig);
    char span[TEXT_SPAN], off[STOPS_WORDS], shot[SHOT_WORDS];

    out[0] = '\0';
    if (!seen->watched)
        return ALBUM_NONE;
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
        (void)snprintf(out, ALBUM_WORDS, "%s%s: %s", brevity > 0 ? "" : "camera: ",
                       shot_words(&album->shot[0], shot), stops_words(seen->off_stops, off));
        return ALBUM_WRONG;
    }
    if (seen->soft) {
        (void)snprintf(out, ALBUM_WORDS, "%slimb %.1f px, was %.1f: focus?",
                       brevity > 1 ? "" : "trial: ", seen->limb_px, album->best_limb_px);
        return ALBUM_WRONG;
    }
    say_count(moment, rig, brevity > 0 ? brevity - 1 : 0, out);
    if (brevity == 0 && seen->looked) {
        char look[ALBUM_WORDS];
        size_t length = strlen(out);

        say_look(&album->look[0], look);
        (void)snprintf(out + length, ALBUM_WORDS - length, "; %s", look);
    }
    return ALBUM_QUIET;
}
