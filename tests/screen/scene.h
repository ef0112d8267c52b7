/* A night to draw: the total eclipse of 2028-12-31 from 62 N 60 E, the built-in rigs, local time
 * five hours ahead. */
#ifndef MOONSTAND_TESTS_SCENE_H
#define MOONSTAND_TESTS_SCENE_H

#include "../../src/app/live.h"

#include <moonstand/canvas.h>
#include <moonstand/dashboard.h>
#include <moonstand/fault.h>
#include <moonstand/moment.h>
#include <moonstand/night.h>
#include <moonstand/pick.h>

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static struct {
    struct setup setup;
    struct eclipse eclipse;
    struct zone_table zone;
    struct readings readings;
    struct night night;
    struct moment moment;
    struct view view;
    struct canvas canvas;
} scene;

/* Opens the night anew, with every item of the checklist open; nothing is aimed yet. */
static inline void scene_open(bool rehearsal)
{
    struct fault fault = {0};

    night_close(&scene.night);
    memset(&scene.night, 0, sizeof scene.night);
    setup_default(&scene.setup);
    scene.setup.has_site = true;
    (void)snprintf(scene.setup.site.name, sizeof scene.setup.site.name, "Gravel bank");
    scene.setup.site.latitude_deg = 62;
    scene.setup.site.longitude_deg = 60;
    scene.setup.site.height_m = 420;
    scene.setup.site.temperature_c = 12.27;
    zone_utc(&scene.zone);
    scene.zone.step[0].offset_s = 5 * 3600;
    (void)snprintf(scene.zone.step[0].abbreviation, sizeof scene.zone.step[0].abbreviation, "+05");
    readings_none(&scene.readings);
    scene.view = (struct view){.item = -1, .keys = key_table};
    assert_true(eclipse_of_day(1861833600, SHADOW_DANJON, &scene.eclipse)); /* 2028-12-31 */
    if (night_open(&scene.night, &scene.setup, &scene.eclipse, &scene.zone, rehearsal, &fault) != 0)
        fail_msg("%s", fault.text);
}

static inline void scene_close(void)
{
    night_close(&scene.night);
    canvas_free(&scene.canvas);
}

/* "U1-20m" as UTC. */
static inline double scene_utc(const char *offset)
{
    struct contact_offset parsed;

    assert_int_equal(contact_offset_parse(offset, &parsed, NULL), 0);
    return utc_from_tt(contact_offset_tt(&parsed, &scene.eclipse));
}

static inline void scene_act(struct act act)
{
    struct fault fault = {0};

    act.boot_s = NAN;
    if (night_apply(&scene.night, &act, &fault) != 0)
        fail_msg("%s", fault.text);
}

/* Rig 1 (the long one) aimed at that instant. */
static inline void scene_aim(double utc)
{
    scene_act((struct act){.utc = utc, .kind = ACT_AIM, .rig = 1, .value = {-0.2, -0.1}});
}

static inline void scene_aim_wide(double utc)
{
    scene_act((struct act){.utc = utc, .kind = ACT_AIM, .rig = 0, .value = {-0.2, -0.3}});
}

static inline void scene_tick(int item, double utc)
{
    struct act act = {.utc = utc, .kind = ACT_CHECK, .rig = -1, .value = {1}};

    (void)snprintf(act.text, sizeof act.text, "%s", scene.setup.checklist.item[item].id);
    scene_act(act);
}

/* All that was due before `utc` is done. */
static inline void scene_tick_before(double utc)
{
    night_follow(&scene.night, utc);
    for (int i = 0; i < scene.setup.checklist.count; i++) {
        double due = item_due_utc(&scene.night, i);
        if (item_applies(&scene.night, i) && !(due >= utc))
            scene_tick(i, utc);
    }
}

static inline void scene_at(double utc)
{
    memcpy(scene.night.card_free_bytes, scene.readings.card_free_bytes,
           sizeof scene.night.card_free_bytes);
    night_follow(&scene.night, utc);
    moment_at(&scene.night, &scene.readings, utc, &scene.moment);
}

static inline void scene_draw(int width, int height, enum glyph_set glyphs)
{
    scene.canvas.glyphs = glyphs;
    assert_int_equal(canvas_resize(&scene.canvas, width, height), 0);
    dashboard_draw(&scene.canvas, &scene.night, &scene.moment, &scene.view);
}

/* The canvas as text; the caller frees it. */
static inline char *scene_text(bool roles)
{
    char *text = NULL;
    size_t size = 0;
    FILE *out = open_memstream(&text, &size);

    assert_non_null(out);
    canvas_print(&scene.canvas, out, roles);
    assert_int_equal(fclose(out), 0);
    return text;
}

#endif
