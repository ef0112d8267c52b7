/* Where the Moon is in a picture, where a camera looks, where a site lies. */
#include "parts.h"

#include <moonstand/angle.h>
#include <moonstand/frame.h>
#include <moonstand/setup.h>

#include <math.h>
#include <stdio.h>

/* Bounds of 'centre', 'a little', plain and 'far', in fractions of the frame from its centre. */
#define LITTLE_FROM 0.04
#define PLAIN_FROM 0.15
#define FAR_FROM 0.32

char *frame_words(struct frame_point point, int brevity, char out[FRAME_WORDS])
{
    double x = fabs(point.x), y = fabs(point.y);
    const char *degree_x = x < PLAIN_FROM ? "a little " : x < FAR_FROM ? "" : "far ";
    const char *degree_y = y < PLAIN_FROM ? "a little " : "";
    const char *side = point.x < 0 ? "left" : "right", *level = point.y < 0 ? "low" : "high";

    if (y >= FAR_FROM && brevity == 0)
        level = point.y < 0 ? "near the lower edge" : "near the upper edge";
    if (brevity > 2)
        degree_x = degree_y = "";
    if (!isfinite(x) || !isfinite(y))
        return text_set(out, FRAME_WORDS, "-");
    if (x < LITTLE_FROM && y < LITTLE_FROM)
        return text_set(out, FRAME_WORDS, "centre");
    if (y < LITTLE_FROM || (brevity > 1 && x >= LITTLE_FROM))
        return text_set(out, FRAME_WORDS, "%s%s", degree_x, side);
    if (x < LITTLE_FROM)
        return text_set(out, FRAME_WORDS, "%s%s", degree_y, level);
    return text_set(out, FRAME_WORDS, "%s%s, %s%s", degree_x, side, degree_y, level);
}

char *offset_words(struct frame_point point, bool brief, char out[FRAME_WORDS])
{
    return text_set(out, FRAME_WORDS, "%.0f %% %s, %.0f %% %s%s", fabs(point.x) * 100,
                    point.x < 0 ? "left" : "right", fabs(point.y) * 100,
                    point.y < 0 ? "below" : "above", brief ? "" : " the centre");
}

char *place_words(struct frame_point point, char out[PLACE_WORDS])
{
    char words[FRAME_WORDS], offset[FRAME_WORDS];

    return text_set(out, PLACE_WORDS, "%s (%s)", frame_words(point, 0, words),
                    offset_words(point, false, offset));
}

const char *orientation_words(bool portrait)
{
    return portrait ? "portrait" : "landscape";
}

char *direction_words(double altitude_rad, double azimuth_rad, char out[DIRECTION_WORDS])
{
    char azimuth[TEXT_AZIMUTH];

    return text_set(out, DIRECTION_WORDS, "altitude %.1f, azimuth %s", deg_from_rad(altitude_rad),
                    format_azimuth(azimuth, azimuth_rad, 1));
}

char *frame_chain_words(int minutes, char out[FRAME_WORDS])
{
    return text_set(out, FRAME_WORDS, "a disc every %d min", minutes);
}

char *frame_chain_size_words(double times, char out[FRAME_WORDS])
{
    *out = '\0';
    if (times > 1)
        (void)snprintf(out, FRAME_WORDS, "drawn %.1f times as large", times);
    return out;
}

char *site_place_words(const struct site *site, char out[SITE_PLACE_WORDS])
{
    return text_set(out, SITE_PLACE_WORDS, "latitude %.5f, longitude %.5f, %.0f m",
                    site->latitude_deg, site->longitude_deg, site->height_m);
}
