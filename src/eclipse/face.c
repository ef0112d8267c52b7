/* The maria are circles: centres and diameters of the Gazetteer of Planetary Nomenclature (IAU,
 * USGS), from memory; Oceanus Procellarum and Mare Frigoris, which are no circles, are made of
 * several. They have 0.6 times the albedo of the highlands (0.07 against 0.12; Heiken, Vaniman &
 * French, "Lunar Sourcebook", 1991, from memory). */
#include <moonstand/angle.h>
#include <moonstand/eclipse.h>
#include <moonstand/face.h>
#include <moonstand/sight.h>

#include <math.h>

#define OBLIQUITY_DEG 23.44 /* the ecliptic's pole is at 18 h and 90 degrees less this */
#define MOON_RADIUS_KM 1737.4
#define MARE_ALBEDO 0.6

static const struct {
    double latitude_deg, longitude_deg, diameter_km;
} maria[FACE_MARIA] = {
    {34.7, -14.9, 1146},                                 /* Imbrium */
    {27.3, 18.4, 674},                                   /* Serenitatis */
    {8.4, 30.8, 876},                                    /* Tranquillitatis */
    {16.2, 59.1, 556},                                   /* Crisium */
    {-7.8, 53.7, 840},                                   /* Fecunditatis */
    {-15.2, 34.6, 339},                                  /* Nectaris */
    {-20.6, -17.3, 715},                                 /* Nubium */
    {-24.5, -38.6, 420},                                 /* Humorum */
    {-10.5, -22.3, 350},                                 /* Cognitum */
    {7.8, -30.6, 512},                                   /* Insularum */
    {13.2, 4.1, 242},                                    /* Vaporum */
    {22, -58, 900},                                      /* Oceanus Procellarum */
    {2, -48, 800},       {42, -58, 600}, {57, -30, 320}, /* Mare Frigoris */
    {59, -5, 320},       {57, 22, 320},
};

/* The position angle of the ecliptic's pole at a body, from north through east. */
static double ecliptic_pole_rad(const struct sight *moon)
{
    double pole_declination = rad_from_deg(90 - OBLIQUITY_DEG);
    double east = rad_from_deg(270) - moon->right_ascension_rad,
           declination = moon->declination_rad;

    return atan2(sin(east),
                 tan(pole_declination) * cos(declination) - sin(declination) * cos(east));
}

/* `pole`: of the Moon's north, clockwise from up. */
static void place_maria(struct face *face, double pole)
{
    for (int i = 0; i < FACE_MARIA; i++) {
        double latitude = rad_from_deg(maria[i].latitude_deg);
        double longitude = rad_from_deg(maria[i].longitude_deg);
        /* With north up the Moon's east, the side of Crisium, is at the right. */
        double north = sin(latitude), east = cos(latitude) * sin(longitude);

        face->mare[i].x = north * sin(pole) + east * cos(pole);
        face->mare[i].y = north * cos(pole) - east * sin(pole);
        face->mare[i].near = cos(latitude) * cos(longitude);
        face->mare[i].cosine = cos(maria[i].diameter_km / 2 / MOON_RADIUS_KM);
    }
}

void face_make(const struct light_model *model, const struct shadow *shadow,
               const struct sight *moon, double lean_rad, struct face *face)
{
    /* The zenith is at the parallactic angle from north; on the sky east is left of north. */
    double q = moon->parallactic_rad - lean_rad;
    double east = -shadow->east / shadow->moon_radius, north = -shadow->north / shadow->moon_radius;

    *face = (struct face){.shadow_x = north * sin(q) - east * cos(q),
                          .shadow_y = north * cos(q) + east * sin(q),
                          .umbra = shadow->umbra / shadow->moon_radius};
    for (int i = 0; i < FACE_STEPS; i++)
        face->stops[i] =
            isfinite(shadow->moon_radius)
                ? log2(light_at(model, i * FACE_REACH / (FACE_STEPS - 1) * shadow->moon_radius,
                                shadow->umbra, shadow->penumbra))
                : NAN;
    place_maria(face, q - ecliptic_pole_rad(moon));
}

double face_stops(const struct face *face, double x, double y)
{
    double step = hypot(x - face->shadow_x, y - face->shadow_y) / FACE_REACH * (FACE_STEPS - 1);

    if (isnan(step))
        return NAN;
    step = fmin(step, FACE_STEPS - 1); /* held at the end */
    int i = step < FACE_STEPS - 2 ? (int)step : FACE_STEPS - 2;
    return face->stops[i] + (face->stops[i + 1] - face->stops[i]) * (step - i);
}

double face_albedo(const struct face *face, double x, double y)
{
    double near = sqrt(fmax(0, 1 - x * x - y * y));

    for (int i = 0; i < FACE_MARIA; i++) {
        if (face->mare[i].x * x + face->mare[i].y * y + face->mare[i].near * near >
            face->mare[i].cosine)
            return MARE_ALBEDO;
    }
    return 1;
}
