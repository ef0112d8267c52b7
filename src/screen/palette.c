#include "colours.h"

#include <moonstand/fault.h>
#include <moonstand/palette.h>
#include <moonstand/theme.h>

#include <limits.h>
#include <stdlib.h>

/* Only red keeps the eyes adapted, so no colour here has green or blue. Brightness ranks the roles;
 * bold, underline and reverse carry the same ranks where there is no colour. */
static const struct theme red = {
    .name = "red",
    .background = {0x000000, 0x000000},
    .look =
        {
            {
                [ROLE_LABEL] = {.rgb = 0xaf0000},
                [ROLE_VALUE] = {.rgb = 0xd70000},
                [ROLE_STRONG] = {.rgb = 0xff0000, .bold = true},
                [ROLE_BORDER] = {.rgb = 0x5f0000},
                [ROLE_DUE] = {.rgb = 0xff0000, .bold = true, .underline = true},
                [ROLE_ALARM] = {.rgb = 0xff0000, .bold = true, .reverse = true},
                [ROLE_STALE] = {.rgb = 0x870000, .underline = true},
                [ROLE_DONE] = {.rgb = 0x870000},
                [ROLE_LIT] = {.rgb = 0xff0000},
                [ROLE_SHADE] = {.rgb = 0x5f0000},
            },
            {
                [ROLE_LABEL] = {.rgb = 0x5f0000},
                [ROLE_VALUE] = {.rgb = 0x870000},
                [ROLE_STRONG] = {.rgb = 0xaf0000, .bold = true},
                [ROLE_BORDER] = {.rgb = 0x5f0000},
                [ROLE_DUE] = {.rgb = 0xaf0000, .bold = true, .underline = true},
                [ROLE_ALARM] = {.rgb = 0xd70000, .bold = true, .reverse = true},
                [ROLE_STALE] = {.rgb = 0x5f0000, .underline = true},
                [ROLE_DONE] = {.rgb = 0x5f0000},
                [ROLE_LIT] = {.rgb = 0xaf0000},
                [ROLE_SHADE] = {.rgb = 0x5f0000},
            },
        },
};

void theme_default(struct theme *theme)
{
    *theme = red;
}

/* ---- channels ---- */

enum { CHANNELS = 3 };

static int channel(uint32_t rgb, int which)
{
    return (int)(rgb >> (8 * which) & 0xff);
}

static int channel_sum(uint32_t rgb)
{
    return channel(rgb, 0) + channel(rgb, 1) + channel(rgb, 2);
}

/* Half a step of the 256-colour palette's darkest colours: less is not surely visible. */
enum { CONTRAST_LEAST = 48 };

static int contrast(uint32_t a, uint32_t b)
{
    int most = 0;
    for (int i = 0; i < CHANNELS; i++) {
        int apart = abs(channel(a, i) - channel(b, i));
        most = apart > most ? apart : most;
    }
    return most;
}

int theme_valid(const struct theme *theme, struct fault *fault)
{
    for (int step = 0; step < THEME_STEPS; step++) {
        for (int role = 0; role < ROLE_COUNT; role++) {
            uint32_t rgb = theme->look[step][role].rgb, background = theme->background[step];
            if (contrast(rgb, background) < CONTRAST_LEAST)
                return fault_set(fault,
                                 "theme %s, %s%s: colour #%06x is too near to the background "
                                 "#%06x; one of red, green, blue must differ by %d at least",
                                 theme->name, step > 0 ? "dim " : "", role_name((enum role)role),
                                 (unsigned)rgb, (unsigned)background, CONTRAST_LEAST);
        }
    }
    return 0;
}

/* ---- lowering ---- */

enum { CUBE_FIRST = 16, GREY_FIRST = 232, PALETTE_END = 256 };

uint32_t colour_of_256(int entry)
{
    static const uint32_t level[6] = {0, 95, 135, 175, 215, 255};

    if (entry >= GREY_FIRST)
        return (uint32_t)(8 + 10 * (entry - GREY_FIRST)) * 0x010101;
    int cube = entry - CUBE_FIRST;
    return level[cube / 36] << 16 | level[cube / 6 % 6] << 8 | level[cube % 6];
}

static int distance(uint32_t a, uint32_t b)
{
    int sum = 0;
    for (int i = 0; i < CHANNELS; i++) {
        int apart = channel(a, i) - channel(b, i);
        sum += apart * apart;
    }
    return sum;
}

static bool keeps_zeros(uint32_t rgb, uint32_t candidate)
{
    for (int i = 0; i < CHANNELS; i++) {
        if (channel(rgb, i) == 0 && channel(candidate, i) != 0)
            return false;
    }
    return true;
}

static int nearest_but(uint32_t rgb, int taken)
{
    int best = CUBE_FIRST, best_distance = -1;

    for (int entry = CUBE_FIRST; entry < PALETTE_END; entry++) {
        uint32_t candidate = colour_of_256(entry);
        if (entry == taken || !keeps_zeros(rgb, candidate))
            continue;
        int apart = distance(rgb, candidate);
        if (best_distance < 0 || apart < best_distance) {
            best = entry;
            best_distance = apart;
        }
    }
    return best;
}

int colour_256(uint32_t rgb, uint32_t background)
{
    return nearest_but(rgb, rgb == background ? -1 : nearest_but(background, -1));
}

/* Bit order of the basic colours: red 1, green 2, blue 4. */
static int basic(uint32_t rgb)
{
    int most = contrast(rgb, 0x000000); /* of the brightest channel */

    if (most < CONTRAST_LEAST)
        return 0;
    return (2 * channel(rgb, 2) > most) << 0 | (2 * channel(rgb, 1) > most) << 1 |
           (2 * channel(rgb, 0) > most) << 2;
}

int colour_8(uint32_t rgb, uint32_t background)
{
    int colour = basic(rgb), behind = basic(background);

    if (rgb == background || colour != behind)
        return colour;
    return behind == 0 ? 7 : 0;
}

/* ---- tones ---- */

enum { TONES = 256 };

uint32_t tone_rgb(const struct theme *theme, int step, int tone)
{
    uint32_t dark = theme->background[step], bright = theme->look[step][ROLE_LIT].rgb, rgb = 0;

    if (channel_sum(dark) > channel_sum(bright)) {
        uint32_t swapped = dark;
        dark = bright;
        bright = swapped;
    }
    for (int i = 0; i < CHANNELS; i++) {
        int from = channel(dark, i), way = channel(bright, i) - from;
        rgb |= (uint32_t)(from + way * (tone - 1) / (TONES - 2)) << (8 * i);
    }
    return rgb;
}

void ramp_make(const struct theme *theme, int step, struct ramp *ramp)
{
    int nearest = 0; /* of the tones that show the last entry, to its colour */

    ramp->count = 0;
    for (int tone = 1; tone < TONES; tone++) {
        uint32_t rgb = tone_rgb(theme, step, tone);
        int entry = colour_256(rgb, rgb);
        int apart = distance(rgb, colour_of_256(entry));
        if (ramp->count == 0 || ramp->entry[ramp->count - 1] != entry) {
            if (ramp->count == RAMP_MOST)
                return;
            ramp->entry[ramp->count++] = entry;
            nearest = INT_MAX;
        }
        if (apart < nearest) {
            nearest = apart;
            ramp->tone[ramp->count - 1] = tone;
        }
    }
}

int ramp_entry(const struct ramp *ramp, int tone, int x, int y)
{
    static const int matrix[4][4] = {{0, 8, 2, 10}, {12, 4, 14, 6}, {3, 11, 1, 9}, {15, 7, 13, 5}};
    int above = 0;

    while (above < ramp->count && ramp->tone[above] <= tone)
        above++;
    if (above == 0 || above == ramp->count)
        return ramp->entry[above == 0 ? 0 : above - 1];
    int from = ramp->tone[above - 1], to = ramp->tone[above];
    bool up = 32 * (tone - from) > (2 * matrix[y % 4][x % 4] + 1) * (to - from);
    return ramp->entry[up ? above : above - 1];
}
