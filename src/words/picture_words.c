/* One picture in words: what its camera wrote, and the Moon that was found in it. */
#include "parts.h"

#include <moonstand/picture_words.h>
#include <moonstand/seen.h>

#include <math.h>
#include <stdio.h>
#include <string.h>

/* From here on cameras write seconds instead of a fraction. */
#define FRACTION_BELOW_S 0.3

char *camera_offset_words(char out[OFFSET_WORDS], double offset_min)
{
    int minutes = (int)fabs(offset_min);

    return text_set(out, OFFSET_WORDS, "%c%02d:%02d", offset_min < 0 ? '-' : '+',
                    minutes / 60 % 100, minutes % 60);
}

static void say_taken(const struct metadata *metadata, char out[SENTENCE])
{
    char text[TEXT_INSTANT], offset[OFFSET_WORDS];

    (void)format_iso(text, metadata->taken, metadata->taken_decimals, "");
    text[strcspn(text, "T")] = ' ';
    text_add(out, SENTENCE, "", "%s", text);
    if (isfinite(metadata->offset_min))
        text_add(out, SENTENCE, " ", "%s", camera_offset_words(offset, metadata->offset_min));
}

char *metadata_words(const struct metadata *metadata, char out[SENTENCE])
{
    double shutter_s = metadata->shutter_s;

    *out = '\0';
    if (isfinite(metadata->taken))
        say_taken(metadata, out);
    if (shutter_s < FRACTION_BELOW_S)
        text_add(out, SENTENCE, ", ", "1/%.0f s", 1 / shutter_s);
    else if (isfinite(shutter_s))
        text_add(out, SENTENCE, ", ", "%.3g s", shutter_s);
    if (isfinite(metadata->iso))
        text_add(out, SENTENCE, ", ", "ISO %.0f", metadata->iso);
    if (isfinite(metadata->f_number))
        text_add(out, SENTENCE, ", ", "f/%.3g", metadata->f_number);
    if (isfinite(metadata->focal_mm))
        text_add(out, SENTENCE, ", ", "%.4g mm", metadata->focal_mm);
    if (!*out)
        text_add(out, SENTENCE, "", "the camera wrote no time and no setting");
    return out;
}

const char *no_disc_words(enum seen_state state)
{
    static const char *const words[SEEN_STATES] = {
        [SEEN_DISC] = NULL,
        [SEEN_NO_DISC] = "no Moon found",
        [SEEN_TOO_SMALL] = "the Moon is too small at this focal length",
        [SEEN_NO_SCALE] = "focal length unknown: name a rig with --rig",
        [SEEN_NO_JPEG] = "no JPEG in it that can be decoded",
        [SEEN_HEIF] = "HEIF: set the camera to JPEG",
        [SEEN_NOT_LOOKED] = NULL,
    };

    return words[state];
}

char *disc_words(const struct seen *seen, char out[SENTENCE])
{
    const struct disc_light *light = &seen->light;
    char words[PLACE_WORDS];

    (void)snprintf(out, SENTENCE, "trial: Moon %s, radius %.0f px",
                   place_words(seen->place, words), seen->disc.radius_px);
    if (isfinite(light->lit))
        text_add(out, SENTENCE, ", ", "lit part %.0f", light->lit);
    if (isfinite(light->umbra[0]))
        text_add(out, SENTENCE, ", ", "umbra %.0f %.0f %.0f", light->umbra[0], light->umbra[1],
                 light->umbra[2]);
    if (isfinite(light->clipped))
        text_add(out, SENTENCE, ", ", "clipped %.1f %%", 100 * light->clipped);
    if (isfinite(seen->limb.width_px))
        text_add(out, SENTENCE, ", ", "limb %.1f px", seen->limb.width_px);
    return out;
}
