/* The picture of one rig: where the Moon is in it, or where it should be put, and which way it
 * will go. Words beside it say the same. */
#include "panels.h"

#include <moonstand/aim_words.h>
#include <moonstand/angle.h>
#include <moonstand/clock_words.h>
#include <moonstand/list_words.h>
#include <moonstand/place_words.h>
#include <moonstand/setting_words.h>
#include <moonstand/sky_words.h>

#include <math.h>
#include <string.h>

/* A chain's discs are drawn at least this large: smaller ones would show no shadow. */
#define CHAIN_RADIUS_DOTS 2.2
#define RESIDUAL_STEP_S 1800.0

enum { WORDS_LEAST = 28, WORDS_MOST = 36, SIDE_FROM = 56, CHAIN_DISCS = 64, RESIDUAL_STEPS = 2 };
/* With fewer lines there is no picture. */
enum { FRAME_LEAST = 4 };

struct finder {
    const struct scene *scene;
    int index;
    const struct rig_state *state;
    const struct rig_moment *now;
    struct area area;
    double width, height; /* of the frame, in dots from the area's corner */
    double radius;        /* of the Moon in it */
    bool aimed;           /* the aim is known; else the Moon is drawn where it should be put */
    double since;         /* when it was (or is, if put there) ... */
    struct frame_point place;
    struct pointing pointing; /* of a tripod's camera */
};

struct dot {
    double x, y;
};

/* ---- geometry ---- */

static struct dot dot_of(const struct finder *finder, struct frame_point point)
{
    return (struct dot){(0.5 + point.x) * finder->width, (0.5 - point.y) * finder->height};
}

static bool in_frame(const struct finder *finder, struct dot dot)
{
    return dot.x >= 0 && dot.x < finder->width && dot.y >= 0 && dot.y < finder->height;
}

static bool is_fixed(const struct finder *finder)
{
    return finder->state->rig.support == SUPPORT_FIXED;
}

/* A Moon that is down cannot be put anywhere; a camera that is pointed, or has a pose, has its picture
 * all the same. */
static bool is_placed(const struct finder *finder)
{
    if (finder->now->aim_state == AIM_DONE && !finder->aimed)
        return false;
    if (is_fixed(finder) && (finder->aimed || finder->now->pose))
        return true;
    return isfinite(finder->place.x) && (finder->aimed || finder->scene->moment->moon.up);
}

/* Where the Moon is at an instant; NaN where that is not known. */
static struct dot moon_at(const struct finder *finder, double utc)
{
    const struct rig *rig = &finder->state->rig;
    const struct track *track = &finder->scene->night->track;
    struct frame_point point = {NAN, NAN};

    if (is_fixed(finder))
        (void)frame_project(rig, &finder->pointing, track_direction(track, utc), &point);
    else
        (void)aim_leaves(rig, track, finder->since, finder->place, utc, &point);
    return dot_of(finder, point);
}

/* A tripod sees the zenith by its own level; on a mount the pole that is up is the frame's up. */
static double lean_at(const struct finder *finder, double utc, const struct sight *moon)
{
    enum { ZENITH_STEP_MRAD = 1 };
    const struct night *night = finder->scene->night;
    struct frame_point above;

    if (!is_fixed(finder))
        return moon->parallactic_rad - (night->track.pole.z < 0 ? PI : 0);
    struct vec3 higher = vec3_add(moon->enu, (struct vec3){0, 0, ZENITH_STEP_MRAD / 1000.0});
    if (!frame_project(&finder->state->rig, &finder->pointing, higher, &above))
        return 0;
    struct dot from = moon_at(finder, utc), to = dot_of(finder, above);
    return atan2(from.x - to.x, from.y - to.y);
}

static double moon_radius_dots(const struct finder *finder, double semidiameter_rad)
{
    const struct rig *rig = &finder->state->rig;

    return rig_focal_mm(rig) * tan(semidiameter_rad) / rig_frame_height_mm(rig) * finder->height;
}

static void finder_make(struct finder *finder, const struct scene *scene, int index)
{
    const struct night *night = scene->night;
    const struct rig_state *state = &night->rig[index];
    const struct rig_moment *now = &scene->moment->rig[index];
    *finder = (struct finder){.scene = scene, .index = index, .state = state, .now = now};
    finder->aimed = state->aimed;
    finder->since = state->aimed ? state->aimed_utc : scene->moment->utc;
    finder->place = state->aimed ? state->aimed_at : advised_place(now);
    if (state->aimed && is_fixed(finder))
        finder->pointing = state->pointing;
    else if (now->pose)
        pointing_make(now->pose->altitude_rad, now->pose->azimuth_rad, now->pose->roll_rad,
                      &finder->pointing);
    else
        (void)pointing_for(&state->rig, track_direction(&night->track, finder->since),
                           finder->place, &finder->pointing);
}

/* The largest frame of true proportions. */
static void finder_fit(struct finder *finder, struct area area)
{
    const struct rig *rig = &finder->state->rig;
    double aspect = rig_frame_width_mm(rig) / rig_frame_height_mm(rig);

    finder->height = floor(fmin(4 * area.height, 2 * area.width / aspect));
    finder->width = floor(finder->height * aspect);
    finder->radius = moon_radius_dots(finder, finder->scene->moment->moon.semidiameter_rad);
    finder->area =
        area_part(area, 0, 0, ((int)finder->width + 1) / 2, ((int)finder->height + 3) / 4);
}

/* ---- lines ---- */

static void mark(const struct finder *finder, struct dot dot, enum role role, char ascii)
{
    if (in_frame(finder, dot))
        area_mark(finder->area, (int)dot.x, (int)dot.y, role, ascii);
}

/* How a line is drawn: every `step`th dot. */
struct stroke {
    int step;
    enum role role;
    char ascii;
};

/* A level or upright line through the middle of the dot at (x, y). */
static void draw_horizontal(const struct finder *finder, double y, double from, double to,
                            struct stroke stroke)
{
    for (double x = from; x < to; x += stroke.step)
        mark(finder, (struct dot){x, y}, stroke.role, stroke.ascii);
}

static void draw_vertical(const struct finder *finder, double x, double from, double to,
                          struct stroke stroke)
{
    for (double y = from; y < to; y += stroke.step)
        mark(finder, (struct dot){x, y}, stroke.role, stroke.ascii);
}

static void draw_rectangle(const struct finder *finder, double inset, int step, enum role role,
                           const char ascii[2])
{
    double right = finder->width - 1 - inset, bottom = finder->height - 1 - inset;

    draw_horizontal(finder, inset, inset, right, (struct stroke){step, role, ascii[0]});
    draw_horizontal(finder, bottom, inset, right, (struct stroke){step, role, ascii[0]});
    draw_vertical(finder, inset, inset, bottom, (struct stroke){step, role, ascii[1]});
    draw_vertical(finder, right, inset, bottom + 1, (struct stroke){step, role, ascii[1]});
}

static void draw_lines(const struct finder *finder)
{
    const struct rig *rig = &finder->state->rig;
    double margin = rig->margin * rig->sensor_height_mm / rig_frame_height_mm(rig) * finder->height;
    const double margin_least = 3; /* nearer to the border it would only blur it */

    for (int third = 1; third <= 2; third++) {
        draw_horizontal(finder, third * finder->height / 3, 0, finder->width,
                        (struct stroke){6, ROLE_BORDER, '.'});
        draw_vertical(finder, third * finder->width / 3, 0, finder->height,
                      (struct stroke){4, ROLE_BORDER, '.'});
    }
    if (margin >= margin_least)
        draw_rectangle(finder, margin, 3, ROLE_BORDER, "..");
    draw_rectangle(finder, 0, 1, ROLE_LABEL, "-|");
}

/* The horizon profile as far as a level camera sees it. */
static void draw_horizon(const struct finder *finder)
{
    const struct rig *rig = &finder->state->rig;
    const struct vec3 *axis = &finder->pointing.axis;
    double middle = atan2(axis->x, axis->y);
    double half = atan(rig_frame_width_mm(rig) / 2 / rig_focal_mm(rig));
    double reach = fmin(rad_from_deg(80), 2 * half), step = half / finder->width;

    for (double azimuth = middle - reach; azimuth <= middle + reach; azimuth += step) {
        double altitude = horizon_altitude(&finder->scene->night->observer.horizon, azimuth);
        struct vec3 direction = {cos(altitude) * sin(azimuth), cos(altitude) * cos(azimuth),
                                 sin(altitude)};
        struct frame_point point;
        if (frame_project(rig, &finder->pointing, direction, &point))
            mark(finder, dot_of(finder, point), ROLE_VALUE, '_');
    }
}

static void draw_ring(const struct finder *finder, struct dot centre, double radius, enum role role)
{
    int steps = (int)fmin(2 * PI * radius, 1000);

    for (int i = 0; i < steps; i++) {
        double angle = 2 * PI * i / steps;
        mark(finder, (struct dot){centre.x + radius * cos(angle), centre.y + radius * sin(angle)},
             role, 'o');
    }
}

/* A text with its middle at a dot, where that is in the frame. */
static void draw_label(const struct finder *finder, struct dot dot, enum role role,
                       const char *text)
{
    int columns = text_columns(finder->area, text);

    if (!in_frame(finder, dot))
        return;
    int x = (int)dot.x / 2 - columns / 2, most = (int)finder->width / 2 - 1 - columns;
    x = x < most ? x : most;
    (void)area_text(finder->area, x > 1 ? x : 1, (int)dot.y / 4, role, text);
}

/* ---- the Moon ---- */

/* Returns how the zenith leans in the frame. */
static double face_at(const struct finder *finder, double utc, struct face *face)
{
    const struct night *night = finder->scene->night;
    struct shadow shadow;
    struct sight moon;

    shadow_at(&night->arc, tt_from_utc(utc), night->eclipse.rule, &shadow);
    sky_moon(&night->arc, &night->observer, utc, &moon);
    double lean_rad = lean_at(finder, utc, &moon);
    face_make(&night->light, &shadow, &moon, lean_rad, face);
    return lean_rad;
}

/* A short line from the limb towards the zenith. */
static void draw_up(const struct finder *finder, struct dot centre, double lean_rad)
{
    enum { GAP = 2, LENGTH = 7, WORD = 11 };

    for (int i = GAP; i <= WORD; i++) {
        double away = finder->radius + i;
        struct dot dot = {centre.x - away * sin(lean_rad), centre.y - away * cos(lean_rad)};

        if (i < GAP + LENGTH)
            mark(finder, dot, ROLE_VALUE, '\'');
        else if (i == WORD)
            draw_label(finder, dot, ROLE_LABEL, "up");
    }
}

/* Exposed as the setting will expose it, smeared by its own drift. */
static void draw_moon(const struct finder *finder, bool with_up)
{
    double utc = finder->scene->moment->utc;
    struct dot centre = moon_at(finder, utc);
    struct disc disc = {.x = centre.x, .y = centre.y, .radius = fmax(finder->radius, 1)};
    struct print_ask print;
    struct face face;

    if (!isfinite(centre.x))
        return;
    print_ask_make(finder->scene->night, finder->scene->moment, finder->index, &print);
    if (print.exposure->known) {
        struct dot later = moon_at(finder, utc + print.exposure->shutter_s);
        disc.smear_x = isfinite(later.x) ? later.x - centre.x : 0;
        disc.smear_y = isfinite(later.y) ? later.y - centre.y : 0;
    }
    double lean_rad = face_at(finder, utc, &face);
    disc_draw(finder->area, disc, &face, print.exposure->known ? &print : NULL);
    if (with_up)
        draw_up(finder, centre, lean_rad);
}

/* Where the Moon should be put, while it is still elsewhere. */
static void draw_wish(const struct finder *finder)
{
    bool due = finder->now->aim_state == AIM_SOON || finder->now->aim_state == AIM_DUE ||
               finder->now->aim_state == AIM_SNOOZED;

    if (finder->aimed && due && isfinite(advised_place(finder->now).x))
        draw_ring(finder, dot_of(finder, advised_place(finder->now)), fmax(finder->radius, 2),
                  ROLE_DUE);
}

/* ---- the way of the next minutes ---- */

/* The least of the usual numbers of minutes that makes steps of so many dots. */
static int minutes_for(double dots_per_minute, double dots)
{
    static const int usual[] = {1, 2, 5, 10, 15, 20, 30, 40};

    for (size_t i = 0; i < sizeof usual / sizeof *usual; i++) {
        if (usual[i] * dots_per_minute >= dots)
            return usual[i];
    }
    return 60;
}

/* Marks every few minutes, some with their number, beside the way rather than on it. */
static void draw_way(const struct finder *finder)
{
    enum { MARK_DOTS = 4, NUMBER_DOTS = 14, BESIDE_DOTS = 7, MINUTES_MOST = 360 };
    double utc = finder->scene->moment->utc;
    struct dot from = moon_at(finder, utc);
    struct dot next = moon_at(finder, utc + 60);
    double pace = hypot(next.x - from.x, next.y - from.y);
    double stays_s = finder->aimed ? finder->state->leaves_utc - utc : finder->now->aim.placed_stays_s;
    double minutes = stays_s / 60;
    char text[16];

    if (!(pace > 0) || !(minutes > 0))
        return;
    int mark_step = minutes_for(pace, MARK_DOTS), number_step = minutes_for(pace, NUMBER_DOTS);
    double side = next.x < from.x ? -1 : 1;
    struct dot beside = {-side * (next.y - from.y) / pace, side * (next.x - from.x) / pace};
    for (int i = mark_step; i <= minutes && i <= MINUTES_MOST; i += mark_step) {
        struct dot at = moon_at(finder, utc + 60.0 * i);
        bool numbered = i % number_step == 0;
        if (hypot(at.x - from.x, at.y - from.y) <= finder->radius + 1)
            continue;
        if (!numbered) {
            mark(finder, at, ROLE_VALUE, '*');
            continue;
        }
        for (int dot = 0; dot < 4; dot++)
            mark(finder, (struct dot){at.x + dot % 2, at.y + dot / 2}, ROLE_STRONG, '+');
        draw_label(finder,
                   (struct dot){at.x + BESIDE_DOTS * beside.x, at.y + BESIDE_DOTS * beside.y},
                   ROLE_LABEL, text_set(text, sizeof text, "%d", i));
    }
}

/* What a mount leaves of the motion: the limb some time from now. */
static void draw_residual(const struct finder *finder)
{
    for (int i = RESIDUAL_STEPS; i >= 1; i--) {
        double utc = finder->scene->moment->utc + i * RESIDUAL_STEP_S;
        struct dot at = moon_at(finder, utc);
        if (isfinite(at.x))
            draw_ring(finder, at, finder->radius, i == 1 ? ROLE_LABEL : ROLE_BORDER);
    }
}

/* ---- the whole eclipse in a wide frame ---- */

struct chain {
    double radius; /* of a disc as drawn */
    double times;  /* as large as it is */
    int minutes;   /* between discs */
};

static struct chain chain_for(const struct finder *finder)
{
    const struct track *track = &finder->scene->night->track;
    double greatest = finder->scene->night->contact_utc[CONTACT_GREATEST];
    double true_radius = moon_radius_dots(finder, track_semidiameter(track, greatest));
    struct chain chain = {.radius = fmax(true_radius, CHAIN_RADIUS_DOTS)};

    chain.times = chain.radius / true_radius;
    chain.minutes =
        minutes_for(disc_spacing(track, greatest, 60) * 2 * true_radius, 2 * chain.radius + 1);
    return chain;
}

static void draw_chain(const struct finder *finder)
{
    const struct night *night = finder->scene->night;
    const double *contact = night->contact_utc;
    struct chain chain = chain_for(finder);
    double step = 60.0 * chain.minutes;
    double before = floor((contact[CONTACT_GREATEST] - contact[CONTACT_P1]) / step);
    double first = contact[CONTACT_GREATEST] - before * step;
    struct disc_place discs[CHAIN_DISCS];
    const struct disc_ask ask = {&finder->state->rig,
                                 &finder->pointing,
                                 &night->track,
                                 &night->observer.horizon,
                                 first,
                                 step,
                                 contact[CONTACT_P4]};
    int count = wide_discs(&ask, discs, CHAIN_DISCS);
    char clock[TEXT_INSTANT];

    draw_ring(finder, moon_at(finder, finder->scene->moment->utc), chain.radius + 2, ROLE_STRONG);
    for (int i = 0; i < count && i < CHAIN_DISCS; i++) {
        struct face face;
        struct dot at = dot_of(finder, discs[i].centre);
        if (!in_frame(finder, at))
            continue;
        (void)face_at(finder, discs[i].utc, &face);
        disc_draw(finder->area, (struct disc){.x = at.x, .y = at.y, .radius = chain.radius}, &face,
                  NULL);
        if (i == 0 || i == count - 1) {
            /* On the side that the chain does not go to. */
            const struct disc_place *next = &discs[i == 0 ? i + (count > 1) : i - 1];
            double side = next->centre.y > discs[i].centre.y ? 1 : -1;
            at.y += side * (chain.radius + 3);
            draw_label(finder, at, ROLE_LABEL,
                       clock_minute(clock, finder->scene->about.reader, discs[i].utc));
        }
    }
}

static void draw_picture(const struct finder *finder)
{
    const struct sight *moon = &finder->scene->moment->moon;
    const char *why = moon->up ? UNPLACED_WORDS : hidden_words(moon);

    draw_lines(finder);
    if (!is_placed(finder)) {
        area_text_middle(finder->area, finder->area.height / 2, ROLE_STALE,
                         finder->now->aim_state == AIM_DONE ? DONE_WORD : why);
        return;
    }
    if (is_fixed(finder))
        draw_horizon(finder);
    if (rig_is_wide(&finder->state->rig)) {
        draw_chain(finder);
        return;
    }
    if (is_fixed(finder))
        draw_way(finder);
    else
        draw_residual(finder);
    if (moon->up)
        draw_moon(finder, true);
    draw_wish(finder);
}

/* ---- beside a rig ---- */

/* The sky is black but for twilight; lines at both sides show where the frame ends. */
void panel_print(struct area area, const struct scene *scene, int index)
{
    struct finder finder;
    struct print_ask print;

    finder_make(&finder, scene, index);
    finder_fit(&finder, area_part(area, 1, 0, area.width - 2, area.height));
    print_ask_make(scene->night, scene->moment, index, &print);
    double sky = print.exposure->known ? fmin(1, print_tone(print_stops(&print, 0))) : 0;
    for (int y = 0; y < 2 * finder.area.height; y++)
        for (int x = 0; x < finder.area.width; x++)
            area_tone(finder.area, x, y, sky);
    area_upright(area, 0, ROLE_BORDER);
    area_upright(area, finder.area.width + 1, ROLE_BORDER);
    if (is_placed(&finder) && scene->moment->moon.up)
        draw_moon(&finder, false);
}

/* ---- words ---- */

enum { NAME_COLUMNS = 11 };

struct words {
    struct area area;
    int line;
    bool airy; /* room for blank lines */
};

static void put_word(struct words *words, enum role role, const char *text)
{
    (void)area_text(words->area, 0, words->line++, role, text);
}

static void say_pair(struct words *words, const char *name, enum role role, const char *value)
{
    (void)area_text(words->area, 0, words->line, ROLE_LABEL, name);
    (void)area_text(words->area, NAME_COLUMNS, words->line++, role, value);
}

/* "far left" and, after it, "low", in no more columns than there are: the first behind so many. The
 * second is empty in the middle. */
static char *two_places(const struct words *words, struct frame_point point, int behind,
                        char out[FRAME_WORDS])
{
    enum { FRAME_BREVITIES = 4 };
    int room = words->area.width - NAME_COLUMNS;
    char *second = "";

    for (int brevity = 0; brevity < FRAME_BREVITIES; brevity++) {
        char *comma = strchr(frame_words(point, brevity, out), ',');
        second = comma ? comma + 2 : strchr(out, '\0');
        if (comma)
            *comma = '\0';
        if (behind + text_columns(words->area, out) <= room &&
            text_columns(words->area, second) <= room)
            break;
    }
    return second;
}

/* A line for each direction. */
static void say_place(struct words *words, const char *name, enum role role,
                      struct frame_point point)
{
    char text[FRAME_WORDS];
    const char *second = two_places(words, point, 0, text);

    say_pair(words, name, role, text);
    if (*second)
        say_pair(words, "", role, second);
}

/* "35 % left", and "28 % below" on the next line; nothing of the centre itself. */
static void say_offset(struct words *words, struct frame_point point)
{
    const double least = 0.005; /* rounds to a per cent */
    char text[FRAME_WORDS];

    if (fabs(point.x) < least && fabs(point.y) < least)
        return;
    char *comma = strchr(offset_words(point, true, text), ',');

    *comma = '\0';
    say_pair(words, OF_CENTRE_LABEL, ROLE_VALUE, text);
    say_pair(words, "", ROLE_VALUE, comma + 2);
}

static void say_gap(struct words *words)
{
    words->line += words->airy;
}

/* "21:04 far left", and "low" on the next line where there is one to spare. */
static void say_end(struct words *words, const struct finder *finder, const char *name,
                    struct frame_point point, double utc)
{
    char text[WORDS_LINE], clock[TEXT_INSTANT], place[FRAME_WORDS];

    if (!isfinite(utc))
        return;
    (void)clock_minute(clock, finder->scene->about.reader, utc);
    const char *second = two_places(words, point, text_columns(words->area, clock) + 1, place);
    say_pair(words, name, ROLE_VALUE, text_set(text, sizeof text, "%s %s", clock, place));
    if (*second && words->airy)
        say_pair(words, "", ROLE_VALUE, second);
}

/* How a wide rig is pointed, or should be. */
static void say_pose(struct words *words, const struct finder *finder)
{
    const struct scene *scene = finder->scene;
    const struct pose *pose = finder->now->pose;
    char text[WORDS_LINE];

    char *azimuth = strstr(direction_words(pose->altitude_rad, pose->azimuth_rad, text), ", ");
    *azimuth = '\0';
    say_pair(words, pose_name(&scene->about, finder->index), ROLE_STRONG, text);
    say_pair(words, "", ROLE_STRONG, azimuth + strlen(", "));
    if (*tilt_words(pose->roll_rad, text))
        say_pair(words, "", ROLE_STRONG, text);
    say_pair(words, COVERS_LABEL, ROLE_VALUE, covers_words(&scene->about, finder->index, 0, text));
    say_gap(words);
    say_end(words, finder, pose_enters_name(pose), pose->enters, pose->enters_utc);
    say_end(words, finder, pose_leaves_name(pose), pose->leaves, pose->leaves_utc);
}

static void say_frame_aim(struct words *words, const struct finder *finder)
{
    const struct aim *aim = &finder->now->aim;
    enum aim_state state = finder->now->aim_state;
    char span[TEXT_SPAN];

    if (finder->aimed && isfinite(finder->now->moon_at.x))
        say_place(words, IT_STANDS_LABEL, ROLE_VALUE, finder->now->moon_at);
    if (finder->now->pose) {
        say_pose(words, finder);
        return;
    }
    if (!isfinite(aim->place.x) || !finder->scene->moment->moon.up || state == AIM_DONE ||
        state == AIM_STEADY || (state == AIM_TRACKED && finder->aimed))
        return;
    const struct frame_point place = aim->place;
    say_place(words, PUT_IT_LABEL, ROLE_STRONG, place);
    say_offset(words, place);
    say_gap(words);
    say_pair(words, PUT_THERE_LABEL, ROLE_VALUE,
             stay_left_words(&finder->scene->about, aim->placed_stays_s, span));
    if (state == AIM_FREE)
        say_pair(words, CENTRED_LABEL, ROLE_VALUE,
                 stay_left_words(&finder->scene->about, aim->centred_stays_s, span));
    if (turning_pays(finder->now))
        say_pair(words, orientation_words(!finder->state->rig.portrait), ROLE_STRONG,
                 stay_left_words(&finder->scene->about, finder->now->turned_stays_s, span));
}

static void say_drift(struct words *words, const struct finder *finder)
{
    char text[SENTENCE];

    put_word(words, ROLE_VALUE, drift_words(finder->now, text));
    if (*drift_disc_words(&finder->scene->about, finder->index, text))
        say_pair(words, "", ROLE_VALUE, text);
}

static void say_legend(struct words *words, const struct finder *finder)
{
    char text[FRAME_WORDS];

    if (rig_is_wide(&finder->state->rig)) {
        struct chain chain = chain_for(finder);
        put_word(words, ROLE_LABEL, frame_chain_words(chain.minutes, text));
        if (*frame_chain_size_words(chain.times, text))
            put_word(words, ROLE_LABEL, text);
    } else {
        put_word(words, ROLE_LABEL, is_fixed(finder) ? FRAME_MINUTES_WORDS : FRAME_RINGS_WORDS);
    }
}

/* The setting that the picture is taken with, and what becomes of the disc. */
static void say_frame_setting(struct words *words, const struct finder *finder)
{
    const struct scene *scene = finder->scene;
    struct print_ask ask;
    struct test_print print;
    char text[WORDS_LINE];

    if (!finder->now->exposure.known || finder->now->aim_state == AIM_DONE)
        return;
    print_ask_make(scene->night, scene->moment, finder->index, &ask);
    test_print_make(&ask, &print);
    say_gap(words);
    dial_draw(area_part(words->area, 0, words->line++, words->area.width, 2),
              &finder->now->exposure);
    put_word(words, ROLE_LABEL,
             scene_sentence(words->area, purpose_words, scene, finder->index, text));
    put_word(words, ROLE_VALUE, print_words(&print, text));
}

static void draw_frame_words(struct area area, const struct finder *finder)
{
    enum { AIRY_FROM = 16, SETTING_LINES = 4 };
    const struct rig *rig = &finder->state->rig;
    struct words words = {area, 0, area.height >= AIRY_FROM};
    char text[WORDS_LINE];

    put_word(&words, ROLE_STRONG,
             text_set(text, sizeof text, "%s%d %s, %s", glyph(area.canvas->glyphs, GLYPH_POINTER),
                      finder->index + 1, rig->name, orientation_words(rig->portrait)));
    put_word(&words, aim_role(finder->scene, finder->index),
             scene_sentence(area, aim_words, finder->scene, finder->index, text));
    say_gap(&words);
    say_frame_aim(&words, finder);
    if (is_placed(finder)) {
        say_drift(&words, finder);
        say_gap(&words);
        if (finder->area.height >= FRAME_LEAST)
            say_legend(&words, finder);
    }
    if (words.line + SETTING_LINES < area.height)
        say_frame_setting(&words, finder);
    if (words.line + 1 < area.height)
        say_gap(&words);
    put_word(&words, ROLE_LABEL, "a aimed   1-3 rig   i back");
}

void panel_frame(struct area area, const struct scene *scene)
{
    enum { WORDS_BELOW = 6 };
    struct finder finder;
    struct area rest;

    finder_make(&finder, scene, view_aim_rig(scene->view, scene->moment));
    if (area.width >= SIDE_FROM) {
        int words = clamp(area.width * 3 / 10, WORDS_LEAST, WORDS_MOST);
        finder_fit(&finder, area_part(area, 0, 0, area.width - words - 2, area.height));
        rest = area_from(area, finder.area.width + 2, 0);
    } else {
        int lines = area.height - WORDS_BELOW < FRAME_LEAST ? 0 : area.height - WORDS_BELOW;
        finder_fit(&finder, area_part(area, 0, 0, area.width, lines));
        rest = area_from(area, 0, finder.area.height);
    }
    if (finder.area.height >= FRAME_LEAST)
        draw_picture(&finder);
    else
        rest = area;
    draw_frame_words(rest, &finder);
}
