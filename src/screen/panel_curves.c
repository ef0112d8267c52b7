/* The night as curves over one axis of time, P1 to P4: the Moon's light, its altitude over the
 * horizon, and the settings of the chosen rig, with much room those of all rigs. The past differs
 * from what comes by its role and by the mark of now; a Moon that is down by a broken line. */
#include "panels.h"

#include <moonstand/angle.h>
#include <moonstand/clock_words.h>
#include <moonstand/list_words.h>
#include <moonstand/setting_words.h>
#include <moonstand/sky_words.h>

#include <math.h>
#include <stdio.h>
#include <string.h>

enum { SLOTS = 2 * CANVAS_WIDTH, SCALE_TEXT = 12 };

/* What is known at each dot of the axis. */
struct chart {
    const struct scene *scene;
    int rig; /* whose settings are drawn */
    double from, to;
    int slots; /* dots across */
    int now;   /* slot of now; outside [0, slots) where the eclipse is not on */
    bool hidden[SLOTS];
    double altitude_deg[SLOTS], horizon_deg[SLOTS]; /* NaN: the sky of another day is followed */
};

/* Values between two ends of a plot's height. */
struct scale {
    double top, bottom;
};

/* ---- the axis ---- */

static double slot_utc(const struct chart *chart, int slot)
{
    return chart->from + (slot + 0.5) / chart->slots * (chart->to - chart->from);
}

static int utc_slot(const struct chart *chart, double utc)
{
    return (int)floor((utc - chart->from) / (chart->to - chart->from) * chart->slots);
}

static const struct run_sample *sample_at(const struct night *night, double utc)
{
    const struct run_sample *sample = night->sample;
    int last = night->sample_count - 1;
    double step = (sample[last].utc - sample[0].utc) / last;

    return &sample[clamp((int)lround((utc - sample[0].utc) / step), 0, last)];
}

static void see_slot(struct chart *chart, int slot)
{
    const struct night *night = chart->scene->night;
    double utc = slot_utc(chart, slot);
    struct vec3 moon = track_direction(&night->track, utc);
    double horizon = horizon_altitude(&night->observer.horizon, atan2(moon.x, moon.y));
    double limb = asin(moon.z) + track_semidiameter(&night->track, utc);

    chart->altitude_deg[slot] = deg_from_rad(asin(moon.z));
    chart->horizon_deg[slot] = isnan(moon.z) ? NAN : deg_from_rad(horizon);
    chart->hidden[slot] = isnan(sample_at(night, utc)->luminance) || limb < horizon;
}

static bool chart_make(struct chart *chart, const struct scene *scene, int columns)
{
    const struct night *night = scene->night;

    chart->scene = scene;
    chart->from = night->contact_utc[CONTACT_P1];
    chart->to = night->contact_utc[CONTACT_P4];
    chart->slots = 2 * columns;
    if (columns < 1 || night->sample_count < 2)
        return false;
    double now = fmax(chart->from - 60, fmin(chart->to + 60, scene->moment->utc));
    chart->now = utc_slot(chart, now);
    for (int slot = 0; slot < chart->slots; slot++)
        see_slot(chart, slot);
    return true;
}

/* ---- marks ---- */

static void draw_contacts(struct area area, const struct chart *chart)
{
    for (int contact = CONTACT_U1; contact <= CONTACT_U4; contact++) {
        double utc = chart->scene->night->contact_utc[contact];
        for (int y = 1; isfinite(utc) && y < 4 * area.height; y += 2)
            area_mark(area, utc_slot(chart, utc), y, ROLE_BORDER, ':');
    }
}

static void draw_now(struct area area, const struct chart *chart)
{
    for (int y = 0; y < 4 * area.height; y++)
        area_mark(area, chart->now, y, ROLE_STRONG, '|');
}

/* A text with its middle at a slot, where nothing has been written within a column of it. */
static void place_label(struct area area, int slot, enum role role, const char *text,
                        bool taken[CANVAS_WIDTH + 2])
{
    int columns = (int)strlen(text), x = clamp(slot / 2 - columns / 2, 0, area.width - columns);

    if (columns > area.width || memchr(taken + x, 1, (size_t)columns + 2))
        return;
    memset(taken + x + 1, true, (size_t)columns);
    (void)area_text(area, x, 0, role, text);
}

static void draw_names(struct area gutter, struct area area, const struct chart *chart)
{
    static const enum contact order[] = {CONTACT_U2, CONTACT_U3, CONTACT_U1,      CONTACT_U4,
                                         CONTACT_P1, CONTACT_P4, CONTACT_GREATEST};
    bool taken[CANVAS_WIDTH + 2] = {false};

    (void)gutter;
    for (size_t i = 0; i < sizeof order / sizeof *order; i++) {
        double utc = chart->scene->night->contact_utc[order[i]];
        if (isfinite(utc))
            place_label(area, utc_slot(chart, utc), ROLE_VALUE, contact_name(order[i]), taken);
    }
}

/* The first whole hour of the user's clock. */
static double first_hour(const struct chart *chart)
{
    const struct scene *scene = chart->scene;
    int offset = zone_offset(scene->about.reader.zone, chart->from, NULL);

    return ceil((chart->from + offset) / 3600) * 3600 - offset;
}

static void draw_hours(struct area gutter, struct area area, const struct chart *chart)
{
    const struct scene *scene = chart->scene;
    bool taken[CANVAS_WIDTH + 2] = {false};
    char clock[TEXT_INSTANT];

    (void)area_text(gutter, 0, 0, ROLE_LABEL, reader_zone(scene->about.reader, chart->from));
    for (double utc = first_hour(chart); utc <= chart->to; utc += 3600)
        place_label(area, utc_slot(chart, utc), ROLE_LABEL,
                    clock_minute(clock, scene->about.reader, utc), taken);
}

/* ---- curves ---- */

static int value_dot(const struct area *area, const struct scale *scale, double value)
{
    double share = (value - scale->top) / (scale->bottom - scale->top);

    return (int)lround(share * (4 * area->height - 1));
}

/* The dots of one slot between two values. */
static void draw_stretch(struct area area, const struct chart *chart, int slot, int from, int to)
{
    enum role role = slot < chart->now ? ROLE_DONE : ROLE_VALUE;
    int low = from < to ? from : to, high = from < to ? to : from;

    if (chart->hidden[slot]) {
        if (slot % 3 != 0)
            return;
        role = ROLE_LABEL;
    }
    if (high < 4 * area.height - 1)
        high++; /* two dots thick, to be seen from a step away */
    for (int y = low; y <= high; y++)
        area_mark(area, slot, y, role, chart->hidden[slot] ? '.' : '*');
}

/* A line through the values of all slots, with gaps where they are unknown. */
static void draw_curve(struct area area, const struct chart *chart, const struct scale *scale,
                       const double *value)
{
    int last = -1;

    for (int slot = 0; slot < chart->slots; slot++) {
        bool joined = slot > 0 && isfinite(value[slot - 1]);
        if (!isfinite(value[slot]))
            continue;
        int y = value_dot(&area, scale, value[slot]);
        int from = !joined || last == y ? y : last < y ? last + 1 : last - 1;
        draw_stretch(area, chart, slot, from, y);
        last = y;
    }
}

/* The name of a plot, what is so now, and the ends of its scale. */
static void draw_gutter(struct area area, const char *name, enum role role, const char *now,
                        const char *top, const char *bottom)
{
    struct area left = area_part(area, 0, 0, area.width - 1, area.height);

    (void)area_text(left, 0, 0, ROLE_LABEL, name);
    area_text_right(left, 0, ROLE_LABEL, top);
    (void)area_text(left, 0, 1, role, now);
    if (area.height > 2)
        area_text_right(left, area.height - 1, ROLE_LABEL, bottom);
}

static void draw_light(struct area gutter, struct area area, const struct chart *chart)
{
    const struct moment *moment = chart->scene->moment;
    double drop[SLOTS];
    struct scale scale = {0, 1};
    char now[WORDS_LINE] = "-", bottom[SCALE_TEXT];

    for (int slot = 0; slot < chart->slots; slot++) {
        drop[slot] = sample_at(chart->scene->night, slot_utc(chart, slot))->light.drop_mag;
        scale.bottom = fmax(scale.bottom, ceil(drop[slot]));
    }
    if (isfinite(moment->light.drop_mag))
        (void)dimmer_words(moment->light.drop_mag, now);
    draw_gutter(gutter, "Light", ROLE_STRONG, now, "0",
                text_set(bottom, sizeof bottom, "%.0f mag", scale.bottom));
    draw_curve(area, chart, &scale, drop);
}

static void draw_altitude(struct area gutter, struct area area, const struct chart *chart)
{
    const struct sight *moon = &chart->scene->moment->moon;
    struct scale scale = {10, 0};
    char now[WORDS_LINE] = "-", top[SCALE_TEXT];

    for (int slot = 0; slot < chart->slots; slot++)
        scale.top = fmax(scale.top,
                         10 * ceil(fmax(chart->altitude_deg[slot], chart->horizon_deg[slot]) / 10));
    if (isfinite(moon->altitude_rad))
        (void)snprintf(now, sizeof now, "%.1f deg", deg_from_rad(moon->altitude_rad));
    (void)snprintf(top, sizeof top, "%.0f", scale.top);
    bool known = !isnan(chart->altitude_deg[0]);
    draw_gutter(gutter, "Altitude", ROLE_STRONG, now, known ? top : "", known ? "0" : "");
    if (!known) {
        (void)area_text(area, 1, area.height / 2, ROLE_STALE, NO_TRACK_WORDS);
        return;
    }
    for (int slot = 0; slot < chart->slots; slot++)
        area_mark(area, slot, value_dot(&area, &scale, chart->horizon_deg[slot]), ROLE_LABEL, '_');
    draw_curve(area, chart, &scale, chart->altitude_deg);
}

/* ---- the run of settings ---- */

/* What is dialled, as an exposure value at ISO 100. */
static double dial_ev(const struct exposure *exposure, int shutter, int iso)
{
    return 2 * log2(exposure->f_number) - (shutter + iso) / 3.0;
}

/* The brightest setting of an exposure: of the camera's bracket as far before the middle, which is
 * dialled, as the last frame is behind it. */
static double first_ev(const struct exposure *exposure)
{
    int before =
        exposure->bracket_shown == BRACKET_MIDDLE ? exposure->shutter_last - exposure->shutter : 0;

    return dial_ev(exposure, exposure->shutter - before, exposure->iso);
}

static struct scale run_scale(const struct run *run)
{
    enum { LEAST_STOPS = 3 };
    struct scale scale = {-INFINITY, INFINITY};

    for (int i = 0; i < run->count; i++) {
        const struct exposure *exposure = &run->segment[i].exposure;
        if (!exposure->known)
            continue;
        scale.top = fmax(scale.top, ceil(first_ev(exposure)));
        scale.bottom = fmin(scale.bottom,
                            floor(dial_ev(exposure, exposure->shutter_last, exposure->iso_last)));
    }
    scale.bottom = fmin(scale.bottom, scale.top - LEAST_STOPS);
    return scale;
}

/* A step for every change; a bracket fills what it covers. */
static void draw_steps(struct area area, const struct chart *chart, const struct run *run,
                       const struct scale *scale)
{
    int last = -1;

    for (int slot = 0, i = 0; slot < chart->slots; slot++) {
        while (i + 1 < run->count && run->segment[i + 1].utc_from <= slot_utc(chart, slot))
            i++;
        const struct exposure *exposure = &run->segment[i].exposure;
        if (!exposure->known) {
            last = -1;
            continue;
        }
        int y = value_dot(&area, scale, first_ev(exposure));
        int end =
            value_dot(&area, scale, dial_ev(exposure, exposure->shutter_last, exposure->iso_last));
        draw_stretch(area, chart, slot, last < 0 || end != y ? y : last, end);
        last = y;
    }
}

static void draw_run(struct area gutter, struct area area, const struct chart *chart)
{
    const struct scene *scene = chart->scene;
    int rig = chart->rig;
    const struct run *run = &scene->night->step[rig];
    const struct exposure *now = &scene->moment->rig[rig].exposure;
    struct scale scale = run_scale(run);
    char name[WORDS_LINE], dial[SETTING_WORDS], top[SCALE_TEXT], bottom[SCALE_TEXT];

    (void)snprintf(name, sizeof name, "%d %.12s", rig + 1, scene->night->rig[rig].rig.name);
    if (!isfinite(scale.top)) {
        draw_gutter(gutter, name, ROLE_STALE, NO_SETTING_WORDS, "", "");
        return;
    }
    (void)snprintf(top, sizeof top, "EV %.0f", scale.top);
    (void)snprintf(bottom, sizeof bottom, "EV %.0f", scale.bottom);
    if (scene->moment->rig[rig].aim_state == AIM_DONE)
        draw_gutter(gutter, name, ROLE_DONE, DONE_WORD, top, bottom);
    else
        draw_gutter(gutter, name, now->known ? ROLE_STRONG : ROLE_STALE,
                    setting_words(now, 1, dial), top, bottom);
    draw_steps(area, chart, run, &scale);
}

/* The next changes, as many as there is room for. */
static void draw_changes(struct area gutter, struct area area, const struct chart *chart)
{
    const struct scene *scene = chart->scene;
    const struct run *run = &scene->night->step[scene->view->rig];
    char clock[TEXT_INSTANT], dial[SETTING_WORDS], text[WORDS_LINE];
    enum role role = ROLE_VALUE;
    int x = 0;

    (void)area_print(gutter, 0, 0, ROLE_LABEL, "Next set %d", scene->view->rig + 1);
    for (int i = 0; i < run->count; i++) {
        const struct segment *segment = &run->segment[i];
        if (segment->utc_from <= scene->moment->utc || !segment->exposure.known)
            continue;
        (void)snprintf(text, sizeof text, "%s  %s",
                       clock_near(clock, &scene->about, segment->utc_from, 0),
                       setting_words(&segment->exposure, 1, dial));
        if (x > 0 && x + (int)strlen(text) > area.width)
            return;
        x = area_text(area, x, 0, role, text) + 4;
        role = ROLE_LABEL;
    }
    if (x == 0)
        (void)area_text(area, 0, 0, ROLE_LABEL, NO_CHANGE_WORDS);
}

/* ---- the sky's light ---- */

static const char *sky_word(const struct chart *chart, int slot)
{
    double sun = sample_at(chart->scene->night, slot_utc(chart, slot))->sun_altitude_rad;

    return chart->hidden[slot] ? NOT_SEEN_WORDS : sky_words(sun);
}

/* The cloud that is foretold, hour by hour. */
static void draw_cloud(struct area gutter, struct area area, const struct chart *chart)
{
    const struct scene *scene = chart->scene;
    enum role role = scene->moment->forecast_old ? ROLE_STALE : ROLE_VALUE;
    bool taken[CANVAS_WIDTH + 2] = {false};
    struct forecast_row row;
    char text[TEXT_INSTANT];

    (void)area_text(gutter, 0, 0, ROLE_LABEL,
                    scene->moment->forecast_old ? "Cloud (old)" : "Cloud");
    for (double utc = first_hour(chart); utc <= chart->to; utc += 3600) {
        forecast_at(&scene->night->forecast, utc, &row);
        if (!isfinite(row.cloud_percent))
            continue;
        place_label(area, utc_slot(chart, utc), role,
                    text_set(text, sizeof text, "%.0f%%", row.cloud_percent), taken);
    }
}

/* The kinds of sky one after another, each named where its span has room for the name. */
static void draw_sky(struct area gutter, struct area area, const struct chart *chart)
{
    (void)area_text(gutter, 0, 0, ROLE_LABEL, "Sky");
    for (int x = 0, end; x < area.width; x = end) {
        const char *word = sky_word(chart, 2 * x);
        for (end = x + 1; end < area.width && sky_word(chart, 2 * end) == word; end++)
            continue;
        if (x > 0)
            area_upright(area, x++, ROLE_BORDER);
        if (text_columns(area, word) <= end - x)
            (void)area_text(area, x, 0, ROLE_LABEL, word);
    }
}

/* ---- the page ---- */

enum { GUTTER = 20, LINES_SMALL = 10, LINES_AIRY = 26, PLOT_TALL = 8 };

static bool is_small(struct area area)
{
    return area.height < LINES_SMALL;
}

static int margin_of(struct area area)
{
    return area.width >= 3 * GUTTER ? GUTTER : 0;
}

bool curves_say_light(struct area area)
{
    return margin_of(area) > 0;
}

bool curves_say_sky(struct area area)
{
    return margin_of(area) > 0 && !is_small(area);
}

/* A part of the page, from the top: its lines, and blank ones below it. */
struct part {
    void (*draw)(struct area gutter, struct area area, const struct chart *chart);
    int lines, gap, rig;
};
enum { CURVE_PARTS = 7 + RIGS };

static int small_parts(struct part part[CURVE_PARTS], struct area area)
{
    int plot = area.height - 2, axis = plot >= 1;

    part[0] = (struct part){draw_light, axis ? plot : area.height, 0, 0};
    part[1] = (struct part){draw_names, axis, 0, 0};
    part[2] = (struct part){draw_hours, axis, 0, 0};
    return 3;
}

/* All rigs, if every plot is then tall enough. */
static int large_parts(struct part part[CURVE_PARTS], struct area area, const struct scene *scene)
{
    int gap = area.height >= LINES_AIRY, cloud = scene->night->forecast.count > 0;
    int rest = area.height - (5 + cloud + 2 * gap), rigs = scene->night->setup.rig_count;
    bool all = rest / (2 + rigs) >= PLOT_TALL;
    int first = all ? 0 : scene->view->rig, last = all ? rigs - 1 : first;
    int plots = 3 + last - first, lines = rest / plots, spare = rest % plots, count = 0;

    part[count++] = (struct part){draw_names, 1, 0, 0};
    part[count++] = (struct part){draw_light, lines + (spare > 0), 0, 0};
    part[count++] = (struct part){draw_sky, 1, 0, 0};
    part[count++] = (struct part){draw_cloud, cloud, gap, 0};
    part[count++] = (struct part){draw_altitude, lines + (spare > 1), 1, 0};
    for (int rig = first; rig <= last; rig++)
        part[count++] = (struct part){draw_run, lines + (spare > 2 + rig - first), 0, rig};
    part[count++] = (struct part){draw_hours, 1, gap, 0};
    part[count++] = (struct part){draw_changes, 1, 0, 0};
    return count;
}

void panel_curves(struct area area, const struct scene *scene)
{
    bool small = is_small(area);
    int margin = margin_of(area), gap = area.height >= LINES_AIRY;
    struct part part[CURVE_PARTS];
    struct chart chart;

    if (!chart_make(&chart, scene, area.width - margin)) {
        (void)area_text(area, 0, 0, ROLE_STALE, "nothing to draw");
        return;
    }
    int count = small ? small_parts(part, area) : large_parts(part, area, scene);
    struct area marked = area_part(area, margin, small ? 0 : 1, area.width - margin,
                                   area.height - 2 - (small ? 0 : 1 + gap));

    draw_contacts(marked, &chart);
    draw_now(marked, &chart);
    for (int i = 0, y = 0; i < count; y += part[i].lines + part[i].gap, i++) {
        chart.rig = part[i].rig;
        part[i].draw(area_part(area, 0, y, margin, part[i].lines),
                     area_part(area, margin, y, area.width - margin, part[i].lines), &chart);
    }
}
