/* What is known of a picture before its pixels are looked at: whose it is, how large the Moon in it. */
#include <moonstand/arc.h>
#include <moonstand/eye.h>
#include <moonstand/instant.h>
#include <moonstand/pick.h>
#include <moonstand/seen.h>
#include <moonstand/setup.h>
#include <moonstand/sight.h>

#include <math.h>
#include <string.h>

/* Focal lengths this close are one: cameras round them. */
#define FOCAL_SAME 0.03
/* How well the Moon's radius in a picture is known: lenses are off their names by some per cent;
 * without a time the Moon's distance adds 7 %. */
#define KNOWN_WITH_TIME 0.05
#define KNOWN_WITHOUT_TIME 0.1
/* Centre of the Earth to a site that has the Moon 40 degrees up, Earth radii: the mean gain of an
 * observer whose place is not known. */
#define NEARER_RADII 0.64
/* Diagonal of 36 x 24 mm. */
#define DIAGONAL_35MM 43.267
#define MEAN_DISTANCE_KM 384400.0

bool picture_is_of(const struct rig *rig, const struct metadata *metadata)
{
    size_t make = strlen(metadata->make);

    return *rig->camera &&
           (strcmp(rig->camera, metadata->serial) == 0 ||
            strcmp(rig->camera, metadata->model) == 0 ||
            (make > 0 && strncmp(rig->camera, metadata->make, make) == 0 &&
             rig->camera[make] == ' ' && strcmp(rig->camera + make + 1, metadata->model) == 0));
}

static bool has_focal_of(const struct rig *rig, const struct metadata *metadata)
{
    return fabs(rig_focal_mm(rig) / metadata->focal_mm - 1) < FOCAL_SAME ||
           fabs(rig->focal_mm / metadata->focal_mm - 1) < FOCAL_SAME;
}

/* The only rig that is so; -1: none, or more than one. */
static int only_rig(const struct setup *setup, const struct metadata *metadata,
                    bool (*is)(const struct rig *rig, const struct metadata *metadata))
{
    int found = -1;

    for (int i = 0; i < setup->rig_count; i++) {
        if (!is(&setup->rig[i], metadata))
            continue;
        if (found >= 0)
            return -1;
        found = i;
    }
    return found;
}

/* The Moon's semidiameter when the picture was taken. A camera that does not say its zone is taken to
 * run on UTC: in half a day the distance changes by less than 1 %. */
static double semidiameter(const struct setup *setup, const struct metadata *metadata)
{
    double utc = metadata->taken - (isfinite(metadata->offset_min) ? 60 * metadata->offset_min : 0);
    struct observer observer;
    struct sight sight;
    struct arc arc;
    double distance_km = MEAN_DISTANCE_KM;

    if (isfinite(utc) && isfinite(metadata->offset_min) && setup->has_site &&
        arc_make(&arc, tt_from_utc(utc) - 60, tt_from_utc(utc) + 60, true) == 0) {
        site_observer(&setup->site, &observer);
        sky_moon(&arc, &observer, utc, &sight);
        return sight.semidiameter_rad;
    }
    if (isfinite(utc))
        distance_km = vec3_length(moon_geometric(tt_from_utc(utc)));
    return asin(MOON_K * EARTH_EQUATOR_KM / (distance_km - NEARER_RADII * EARTH_EQUATOR_KM));
}

/* Focal length in px of the picture's JPEG by what the camera wrote; NaN: it did not. */
static double own_focal_px(const struct metadata *metadata)
{
    double smaller = metadata->width > 0 ? (double)metadata->jpeg_width / metadata->width : 1;
    double by_sensor = metadata->focal_mm * metadata->sensor_px_per_mm * smaller;

    return isfinite(by_sensor)
               ? by_sensor
               : metadata->focal_35mm * hypot(metadata->jpeg_width, metadata->jpeg_height) /
                     DIAGONAL_35MM;
}

static double rig_focal_px(const struct rig *rig, const struct metadata *metadata)
{
    return rig_focal_mm(rig) * fmax(metadata->jpeg_width, metadata->jpeg_height) /
           rig->sensor_width_mm;
}

int picture_rig(const struct setup *setup, const struct metadata *metadata)
{
    int rig = only_rig(setup, metadata, picture_is_of);

    return rig >= 0 ? rig : only_rig(setup, metadata, has_focal_of);
}

bool picture_moon_size(const struct setup *setup, int rig, bool asked,
                       const struct metadata *metadata, struct moon_size *size)
{
    double focal_px = own_focal_px(metadata);

    if (rig >= 0 && (asked || isnan(focal_px) || picture_is_of(&setup->rig[rig], metadata)))
        focal_px = rig_focal_px(&setup->rig[rig], metadata);
    size->semidiameter_rad = semidiameter(setup, metadata);
    size->radius_px = focal_px * tan(size->semidiameter_rad);
    size->tolerance = isfinite(metadata->taken) ? KNOWN_WITH_TIME : KNOWN_WITHOUT_TIME;
    size->width = metadata->jpeg_width;
    size->height = metadata->jpeg_height;
    return isfinite(size->radius_px);
}
