/* The mount turns about its own axis, which misses the celestial pole by the alignment errors;
 * everything is computed with the axis as it is. For small errors, an axis `a` east of the pole
 * and `b` above it, a body at hour angle H and declination d drifts by -w (a cos H + b sin H) in
 * declination and by w sin d (a sin H - b cos H) towards east; w is the rate.
 */
#include "photo_private.h"

#include <moonstand/angle.h>
#include <moonstand/instant.h>
#include <moonstand/mount.h>

#include <math.h>

#define RAD_PER_ARCMIN (PI / (180 * 60))
#define RAD_PER_MINUTE_OF_ANGLE (2 * PI / (24 * 60))
#define LIMIT_ACCURACY_S 0.1

/* Errors assumed by the estimate, one standard deviation each. */
#define DRIVE_ARCSEC 15.0 /* periodic error of a small mount's worm: common practice, no source */
#define CAMERA_TURNED_DEG 1.0  /* of the frame's up from the mount's pole, set by hand */
#define ALIGNED_ARCMIN 60.0    /* of any mount set up by compass and level */
#define ESTIMATE_STEP_ARCMIN 1 /* for slopes */
#define ESTIMATE_ROUNDS 4      /* each gains at least three digits */

/* A turn in a mean sidereal day. */
#define SIDEREAL_RATE (2 * PI / 86164.0905)
/* The Moon's mean motion among the stars. A mount's lunar rate ignores the Moon's true distance,
 * declination and parallax. */
#define MOON_RATE (13.17636 * PI / 180 / SECONDS_PER_DAY)

double support_rate_rad_per_s(enum support support)
{
    static const double rates[SUPPORTS] = {[SUPPORT_SIDEREAL] = SIDEREAL_RATE,
                                           [SUPPORT_LUNAR] = SIDEREAL_RATE - MOON_RATE,
                                           [SUPPORT_SOLAR] = 2 * PI / SECONDS_PER_DAY};

    return rates[support];
}

/* ---- the axis ---- */

static void axes_make(double az_error_arcmin, double alt_error_arcmin, struct vec3 pole,
                      struct axes *axes)
{
    double side = pole.z < 0 ? -1 : 1;
    double azimuth = az_error_arcmin * RAD_PER_ARCMIN;
    double altitude = atan2(fabs(pole.z), pole.y) + alt_error_arcmin * RAD_PER_ARCMIN;
    double sz = sin(azimuth), cz = cos(azimuth), ca = cos(altitude);

    axes->east = (struct vec3){cz, -sz, 0};
    axes->north = (struct vec3){ca * sz, ca * cz, side * sin(altitude)};
    axes->meridian = vec3_cross(axes->east, axes->north);
    axes->up = vec3_scale(axes->north, side);
}

void axes_of(const struct mount *mount, const struct track *track, struct axes *axes)
{
    axes_make(mount->polar_az_error_arcmin, mount->polar_alt_error_arcmin, track->pole, axes);
}

static double hour_angle(const struct axes *axes, struct vec3 direction)
{
    return atan2(-vec3_dot(direction, axes->east), vec3_dot(direction, axes->meridian));
}

static struct vec3 turned(struct vec3 v, struct vec3 axis, double angle)
{
    double c = cos(angle), s = sin(angle);
    struct vec3 along = vec3_scale(axis, vec3_dot(axis, v) * (1 - c));

    return vec3_add(vec3_add(vec3_scale(v, c), vec3_scale(vec3_cross(axis, v), s)), along);
}

/* ---- drift ---- */

void mount_drift(const struct mount *mount, enum support support, const struct track *track,
                 double utc, struct mount_drift *drift)
{
    double rate = support_rate_rad_per_s(support);
    struct vec3 moon = track_direction(track, utc);
    struct vec3 east = vec3_unit(vec3_cross(track->pole, moon));
    struct vec3 north = vec3_cross(moon, east);
    struct axes axes;

    axes_of(mount, track, &axes);
    struct vec3 left =
        vec3_add(track_velocity(track, utc), vec3_scale(vec3_cross(track->pole, moon), rate));
    struct vec3 added = vec3_add(axes.north, vec3_scale(track->pole, -1));
    added = vec3_scale(vec3_cross(added, moon), rate);
    drift->rate_east_arcsec_per_s = arcsec_from_rad(vec3_dot(left, east));
    drift->rate_north_arcsec_per_s = arcsec_from_rad(vec3_dot(left, north));
    drift->polar_east_arcsec_per_s = arcsec_from_rad(vec3_dot(added, east));
    drift->polar_north_arcsec_per_s = arcsec_from_rad(vec3_dot(added, north));
    drift->arcsec_per_s = arcsec_from_rad(vec3_length(vec3_add(left, added)));
}

/* ---- the axis from two places ---- */

/* The errors in azimuth and altitude, or right and up. */
struct pair {
    double value[2];
};

struct plate {
    const struct rig *rig;
    const struct track *track;
    const struct mount_seen *seen;
};

static struct vec3 in_camera_base(const struct axes *axes, struct vec3 direction)
{
    return vec3_in(direction, axes->east, vec3_cross(axes->up, axes->east), axes->up);
}

/* A place of the frame as angles near its middle, radians. */
static struct pair angles_of(const struct rig *rig, struct frame_point place)
{
    return (struct pair){{place.x * rig_frame_width_mm(rig) / rig_focal_mm(rig),
                          place.y * rig_frame_height_mm(rig) / rig_focal_mm(rig)}};
}

/* Predicts where the Moon is at the second instant if the axis has these errors. */
static bool predict(const struct plate *plate, struct pair error, struct pair *angles)
{
    const struct mount_seen *seen = plate->seen;
    double turn = support_rate_rad_per_s(plate->rig->support) * (seen[1].utc - seen[0].utc);
    struct vec3 first = track_direction(plate->track, seen[0].utc);
    struct vec3 second = track_direction(plate->track, seen[1].utc);
    struct pointing pointing;
    struct frame_point place;
    struct axes axes;

    axes_make(error.value[0], error.value[1], plate->track->pole, &axes);
    second = turned(second, axes.north, turn);
    if (!pointing_for(plate->rig, in_camera_base(&axes, first), seen[0].place, &pointing) ||
        !frame_project(plate->rig, &pointing, in_camera_base(&axes, second), &place))
        return false;
    *angles = angles_of(plate->rig, place);
    return true;
}

/* Weights (one over the variance) of the reading, right and up. */
static struct pair weights_of(const struct plate *plate, double reading)
{
    const struct rig *rig = plate->rig;
    struct pair from = angles_of(rig, plate->seen[0].place);
    struct pair to = angles_of(rig, plate->seen[1].place);
    double read = sqrt(2) * reading * rig->sensor_height_mm / rig_focal_mm(rig);
    double turn = rad_from_deg(CAMERA_TURNED_DEG), drive = rad_from_arcsec(DRIVE_ARCSEC);
    double right = to.value[0] - from.value[0], up = to.value[1] - from.value[1];

    return (struct pair){{1 / (read * read + turn * turn * up * up + drive * drive),
                          1 / (read * read + turn * turn * right * right)}};
}

/* Least squares of the readings, with a prior on the errors. */
struct normal {
    double m00, m01, m11;
    struct pair g;
};

static void normal_add(struct normal *normal, double slope0, double slope1, double rest,
                       double weight)
{
    normal->m00 += weight * slope0 * slope0;
    normal->m01 += weight * slope0 * slope1;
    normal->m11 += weight * slope1 * slope1;
    normal->g.value[0] += weight * slope0 * rest;
    normal->g.value[1] += weight * slope1 * rest;
}

static bool estimate_round(const struct plate *plate, struct pair weight, struct pair *error,
                           struct pair *doubt)
{
    const double prior = 1 / (ALIGNED_ARCMIN * ALIGNED_ARCMIN);
    struct pair seen = angles_of(plate->rig, plate->seen[1].place);
    struct pair here, by_az, by_alt, az = *error, alt = *error;
    struct normal n = {0};

    az.value[0] += ESTIMATE_STEP_ARCMIN;
    alt.value[1] += ESTIMATE_STEP_ARCMIN;
    if (!predict(plate, *error, &here) || !predict(plate, az, &by_az) ||
        !predict(plate, alt, &by_alt))
        return false;
    for (int i = 0; i < 2; i++)
        normal_add(&n, (by_az.value[i] - here.value[i]) / ESTIMATE_STEP_ARCMIN,
                   (by_alt.value[i] - here.value[i]) / ESTIMATE_STEP_ARCMIN,
                   seen.value[i] - here.value[i], weight.value[i]);
    normal_add(&n, 1, 0, -error->value[0], prior);
    normal_add(&n, 0, 1, -error->value[1], prior);
    double determinant = n.m00 * n.m11 - n.m01 * n.m01;
    error->value[0] += (n.m11 * n.g.value[0] - n.m01 * n.g.value[1]) / determinant;
    error->value[1] += (n.m00 * n.g.value[1] - n.m01 * n.g.value[0]) / determinant;
    *doubt = (struct pair){{sqrt(n.m11 / determinant), sqrt(n.m00 / determinant)}};
    return true;
}

void mount_polar_estimate(const struct rig *rig, const struct track *track,
                          const struct mount_seen seen[2], double reading,
                          struct polar_estimate *estimate)
{
    struct plate plate = {rig, track, seen};
    struct pair weight = weights_of(&plate, reading);
    struct pair error = {{0, 0}}, doubt = {{NAN, NAN}};
    bool known = rig->support != SUPPORT_FIXED;

    for (int i = 0; i < ESTIMATE_ROUNDS && known; i++)
        known = estimate_round(&plate, weight, &error, &doubt);
    if (!known)
        doubt = (struct pair){{NAN, NAN}};
    *estimate = (struct polar_estimate){doubt.value[0] <= POLAR_TOLD_ARCMIN ? error.value[0] : NAN,
                                        doubt.value[1] <= POLAR_TOLD_ARCMIN ? error.value[1] : NAN,
                                        doubt.value[0], doubt.value[1]};
}

/* ---- meridian and limits ---- */

/* The instant nearest to a guess at which the Moon has an hour angle; NaN outside the track. */
static double at_hour_angle(const struct axes *axes, const struct track *track, double wanted,
                            double guess)
{
    /* The Moon's hour angle changes within a few per cent of its mean rate. */
    const double rate = support_rate_rad_per_s(SUPPORT_LUNAR);
    double first = track->utc_from, last = first + (track->count - 1) * track->step_s;
    double utc = guess, off = NAN;

    for (int i = 0; i < 12; i++) {
        utc = fmax(first, fmin(last, utc));
        off = angle_wrap_signed(wanted - hour_angle(axes, track_direction(track, utc))) / rate;
        utc += off;
    }
    return fabs(off) < LIMIT_ACCURACY_S ? utc : NAN;
}

bool mount_flip(const struct mount *mount, const struct track *track, struct span span,
                struct span totality, struct mount_flip *flip)
{
    const double rate = support_rate_rad_per_s(SUPPORT_LUNAR);
    double past = mount->past_meridian_min * RAD_PER_MINUTE_OF_ANGLE;
    struct axes axes;

    *flip = (struct mount_flip){NAN, NAN, NAN, NAN, false};
    axes_of(mount, track, &axes);
    double now = hour_angle(&axes, track_direction(track, span.from));
    if (!mount->german_equatorial || isnan(now))
        return false;
    now = at_hour_angle(&axes, track, past, span.from + angle_wrap(past - now) / rate);
    if (!(now >= span.from && now <= span.to))
        return false;
    flip->latest_utc = flip->advised_utc = now;
    flip->meridian_utc = at_hour_angle(&axes, track, 0, now - past / rate);
    flip->earliest_utc = at_hour_angle(&axes, track, -past, now - 2 * past / rate);
    if (!(now + MOUNT_FLIP_S > totality.from && now < totality.to))
        return true;
    double spared = totality.from - MOUNT_FLIP_S;
    flip->in_totality = !(spared >= flip->earliest_utc);
    if (!flip->in_totality)
        flip->advised_utc = spared;
    return true;
}

bool mount_reaches(const struct mount *mount, double altitude_rad)
{
    return altitude_rad >= rad_from_deg(mount->altitude_min_deg) &&
           altitude_rad <= rad_from_deg(mount->altitude_max_deg);
}

/* The Moon's height above a limit, as a difference of sines. */
static double over(const struct track *track, double utc, double limit_deg)
{
    return track_direction(track, utc).z - sin(rad_from_deg(limit_deg));
}

static double crossing(const struct track *track, double limit_deg, double before, double after)
{
    bool was_over = over(track, before, limit_deg) > 0;

    while (after - before > LIMIT_ACCURACY_S) {
        double middle = (before + after) / 2;

        if ((over(track, middle, limit_deg) > 0) == was_over)
            before = middle;
        else
            after = middle;
    }
    return (before + after) / 2;
}

int mount_limits(const struct mount *mount, const struct track *track, double utc_from,
                 double utc_to, struct mount_limit *limits, int most)
{
    const double limit_deg[2] = {mount->altitude_min_deg, mount->altitude_max_deg};
    int count = 0;

    for (double utc = utc_from; utc < utc_to; utc += track->step_s) {
        double next = fmin(utc_to, utc + track->step_s);

        for (int upper = 0; upper < 2; upper++) {
            double before = over(track, utc, limit_deg[upper]);
            double after = over(track, next, limit_deg[upper]);

            if (isnan(before + after) || (before > 0) == (after > 0))
                continue;
            if (count < most)
                limits[count] = (struct mount_limit){crossing(track, limit_deg[upper], utc, next),
                                                     (after > 0) == (upper == 0), upper == 1};
            count++;
        }
    }
    return count;
}
