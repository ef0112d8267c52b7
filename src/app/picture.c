/* Metadata, then the disc, then what can be measured on it. */
#include "picture.h"

#include "jpeg.h"

#include <moonstand/angle.h>

#include <math.h>
#include <stdbool.h>
#include <stdlib.h>

/* Smaller discs have no limb to measure. */
#define RADIUS_FOR_LIMB 60.0
/* What is decoded around a disc for its limb, radii. */
#define LIMB_REACH 1.15
/* A small Moon in a large picture is found at half its size first, for the memory that it costs, and
 * then again at full size in this part around it, radii. */
#define CLOSER_REACH 6.0
#define LARGE_PX 8e6
#define RADIUS_OF_HALF 9.0

static bool is_costly(const struct moon_size *size)
{
    return disc_shrink(size) == 1 && size->radius_px / 2 >= RADIUS_OF_HALF &&
           (double)size->width * size->height > LARGE_PX;
}

/* The part around a disc at full size, px. */
static struct jpeg_part part_around(const struct moon_disc *disc, double reach)
{
    return (struct jpeg_part){.shrink = 1,
                              .left = (int)floor(disc->x - reach),
                              .top = (int)floor(disc->y - reach),
                              .width = (int)ceil(2 * reach),
                              .height = (int)ceil(2 * reach)};
}

/* Finds the disc; 1, 0 as disc_find has it, -1 with a fault. The pixels are to be freed. */
static int find_in(const uint8_t *jpeg, const struct metadata *metadata,
                   const struct moon_size *size, struct pixels *pixels, struct moon_disc *disc,
                   struct fault *fault)
{
    bool costly = is_costly(size);
    struct jpeg_part part = {.shrink = costly ? 2 : disc_shrink(size)};
    struct moon_disc closer;

    if (jpeg_decode(jpeg, metadata->jpeg_size, &part, pixels, fault) != 0)
        return -1;
    int result = disc_find(pixels, size, disc);
    if (result < 0)
        return fault_set(fault, "out of memory");
    if (result == 0 || !costly)
        return result;
    free(pixels->rgb);
    pixels->rgb = NULL;
    part = part_around(disc, CLOSER_REACH * size->radius_px);
    if (jpeg_decode(jpeg, metadata->jpeg_size, &part, pixels, fault) != 0)
        return -1;
    if (disc_find(pixels, size, &closer) > 0)
        *disc = closer;
    return result;
}

static int find_moon(const uint8_t *jpeg, const struct metadata *metadata,
                     const struct moon_size *size, struct seen *seen, struct fault *fault)
{
    struct pixels pixels = {.rgb = NULL};
    int result = find_in(jpeg, metadata, size, &pixels, &seen->disc, fault);

    if (result > 0)
        disc_light(&pixels, size, &seen->disc, &seen->light);
    free(pixels.rgb);
    seen->state = result > 0 ? SEEN_DISC : SEEN_NO_DISC;
    return result < 0 ? -1 : 0;
}

static int measure_limb(const uint8_t *jpeg, const struct metadata *metadata,
                        const struct moon_size *size, struct seen *seen, struct fault *fault)
{
    const struct moon_disc *disc = &seen->disc;
    const struct jpeg_part part = part_around(disc, LIMB_REACH * disc->radius_px);
    struct pixels pixels;

    if (jpeg_decode(jpeg, metadata->jpeg_size, &part, &pixels, fault) != 0)
        return -1;
    disc_limb(&pixels, size, disc, &seen->limb);
    free(pixels.rgb);
    return 0;
}

/* A preview is smaller than the picture: its px become those of the picture. */
static void scale_up(struct seen *seen)
{
    const struct metadata *metadata = &seen->metadata;
    double larger = metadata->width > 0 ? (double)metadata->width / metadata->jpeg_width : 1;

    seen->disc.radius_px *= larger;
    seen->disc.scatter_px *= larger;
    seen->limb.width_px *= larger;
    seen->limb.least_px *= larger;
    seen->limb.most_px *= larger;
}

/* A step to the right and down in a picture as stored, when it is held upright (EXIF, tag 0x0112). */
static void turn_upright(int orientation, double *right, double *down)
{
    static const struct {
        bool swap;
        int right, down;
    } turns[] = {{false, 1, 1}, {false, -1, 1}, {false, -1, -1}, {false, 1, -1},
                 {true, 1, 1},  {true, -1, 1},  {true, -1, -1},  {true, 1, -1}};
    int i = orientation - 1;
    double a = turns[i].swap ? *down : *right, b = turns[i].swap ? *right : *down;

    *right = turns[i].right * a;
    *down = turns[i].down * b;
}

/* The place in the frame, and the limb's direction, of the picture held upright. */
static void place(struct seen *seen)
{
    const struct metadata *metadata = &seen->metadata;
    double right = seen->disc.x / metadata->jpeg_width - 0.5;
    double down = seen->disc.y / metadata->jpeg_height - 0.5;
    double angle = rad_from_deg(seen->limb.most_deg), along = cos(angle), below = -sin(angle);

    turn_upright(metadata->orientation, &right, &down);
    seen->place = (struct frame_point){right, -down};
    turn_upright(metadata->orientation, &along, &below);
    angle = angle_wrap(atan2(-below, along));
    seen->limb.most_deg = deg_from_rad(angle >= PI ? angle - PI : angle);
}

int picture_look(const uint8_t *bytes, size_t size, const struct picture_context *context,
                 struct seen *seen, struct fault *fault)
{
    struct metadata *metadata = &seen->metadata;
    struct moon_size moon;

    seen->limb = (struct limb){NAN, NAN, NAN, NAN};
    if (metadata_read(bytes, size, metadata, fault) != 0)
        return -1;
    seen->rig = context->rig >= 0 ? context->rig : picture_rig(context->setup, metadata);
    if (context->metadata_only) {
        seen->state = SEEN_NOT_LOOKED;
    } else if (metadata->format == PICTURE_HEIF) {
        seen->state = SEEN_HEIF;
    } else if (metadata->jpeg_size == 0) {
        seen->state = SEEN_NO_JPEG;
    } else if (!picture_moon_size(context->setup, seen->rig, context->rig >= 0, metadata, &moon)) {
        seen->state = SEEN_NO_SCALE;
    } else if (moon.radius_px < DISC_RADIUS_LEAST) {
        seen->state = SEEN_TOO_SMALL;
    } else if (find_moon(bytes + metadata->jpeg_at, metadata, &moon, seen, fault) != 0 ||
               (seen->state == SEEN_DISC && seen->disc.radius_px >= RADIUS_FOR_LIMB &&
                measure_limb(bytes + metadata->jpeg_at, metadata, &moon, seen, fault) != 0)) {
        return -1;
    }
    if (seen->state == SEEN_DISC) {
        place(seen);
        scale_up(seen);
    }
    return 0;
}
