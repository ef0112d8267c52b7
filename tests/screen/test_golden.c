/* Whole canvases, attributes included, against tests/screens/NAME.txt. BLESS=1 writes them anew:
 * the difference is then for people to review. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "blessed.h"
#include "digest.h"
#include "screen/scene.h"
#include "../../src/screen/colours.h"

#include <moonstand/palette.h>
#include <moonstand/seen.h>
#include <moonstand/setup_file.h>
#include <moonstand/setup_words.h>
#include <moonstand/theme_file.h>

enum {
    TICKED = 1, /* what was due is done */
    COLD = 2,   /* the air, and damp */
    FORMS = 4,  /* twelve hours, imperial units */
    CLOUDY = 8, /* a forecast told by hand */
    ROOF = 16,  /* 40 degrees further east, behind a roof */
    FLIP =
        32, /* there: the mount must be flipped in totality, and looks no higher than 49 degrees */
    DUSK = 64,  /* in London, where the Moon rises in the partial phase */
    AWAY = 128, /* in the South Pacific, where no phase of it is up */
    ENDS = 256, /* the long rig ends after U3 */
    CARDS = 512, /* cards, one of them nearly full, and a laptop that runs out */
    TROUBLE = 1024, /* no site in the setup, no GPS, no sensor, an old forecast, commands that are not run */
    PICTURES = 2048, /* all rigs' pictures come in; with TROUBLE nobody watches them any more */
    WRONG = 4096 /* those of the wide rig have stopped, of the long one are too bright, of the third soft */
};

struct golden {
    const char *name;
    int width, height;
    enum glyph_set glyphs;
    const char *at; /* instant */
    double aimed_s; /* the long rig was aimed that long ago; 0: not yet */
    unsigned with;
    struct view view;
};

static struct setup_row rows[SETUP_ROWS];
static char trail[ROW_TRAIL];

static const struct golden goldens[] = {
    {"wide-partial", 120, 40, GLYPHS_UTF8, "U1+35m", 60, TICKED | COLD, {.item = -1, .rig = 1}},
    {"wide-alarm", 120, 40, GLYPHS_UTF8, "U2-2m", 700, TICKED, {.item = -1}},
    {"huge", 200, 60, GLYPHS_UTF8, "U1+35m", 60, TICKED | COLD, {.item = -1, .rig = 1}},
    {"classic-before", 80, 24, GLYPHS_UTF8, "U1-20m", 60, 0, {.item = -1}},
    {"classic-total", 80, 24, GLYPHS_UTF8, "U2+5m", 60, TICKED | COLD, {.item = -1, .utc_first = true}},
    {"classic-alarm", 80, 24, GLYPHS_UTF8, "U2-2m", 700, TICKED, {.item = -1}},
    {"classic-ascii", 80, 24, GLYPHS_ASCII, "U1+35m", 60, TICKED, {.item = -1}},
    {"classic-far-off", 80, 24, GLYPHS_UTF8, "P1-3000h", 0, 0, {.item = -1}},
    {"classic-list", 80, 24, GLYPHS_UTF8, "P1-22m", 0, 0, {.page = PAGE_LIST, .item = 30}},
    {"classic-menu", 80, 24, GLYPHS_UTF8, "U1+35m", 60, TICKED,
     {.item = -1, .rig = 1, .keys_open = KEYS_ALL, .key = 14}},
    {"large-menu", 120, 40, GLYPHS_UTF8, "U1+35m", 60, TICKED,
     {.item = -1, .rig = 1, .page = PAGE_FRAME, .keys_open = KEYS_ALL, .key = 4}},
    {"classic-help", 80, 24, GLYPHS_UTF8, "U1-20m", 0, TICKED, {.item = -1, .keys_open = KEYS_TO_LEARN}},
    {"classic-afar", 80, 24, GLYPHS_UTF8, "U1-20m", 60, TICKED, {.item = -1, .page = PAGE_FAR}},
    {"classic-trouble", 80, 24, GLYPHS_UTF8, "U1-20m", 60, TICKED,
     {.item = -1,
      .trouble = "the disk is full",
      .message = "ticked: focus",
      .acted = true,
      .unwritten = 1}},
    {"kit", 80, 24, GLYPHS_UTF8, "U1+35m", 0, TICKED | COLD, {.item = -1, .page = PAGE_KIT}},
    {"kit-ascii", 60, 16, GLYPHS_ASCII, "U1+35m", 0, TICKED, {.item = -1, .page = PAGE_KIT}},
    {"setup", 80, 24, GLYPHS_UTF8, "U1-20m", 0, TICKED,
     {.item = -1, .page = PAGE_SETUP, .rows_path = "rigs[1]", .row = 8, .setup_file = "~/.config/moonstand/setup.json", .prompt = "support", .typed = "tripod", .message = "rigs > 2 long > support: found \"tripod\"; expected \"fixed\""}},
    {.name = "setup-narrow-ascii",
     .width = 44,
     .height = 12,
     .glyphs = GLYPHS_ASCII,
     .at = "U1-20m",
     .with = TICKED,
     .view = {.item = -1, .page = PAGE_SETUP, .rows_path = "", .row = 4}},
    {"time-card", 80, 24, GLYPHS_UTF8, "P4+2m", 0, TICKED, {.item = -1, .page = PAGE_TIME_CARD}},
    {"time-card-ascii", 44, 10, GLYPHS_ASCII, "P4+2m", 0, TICKED, {.item = -1, .page = PAGE_TIME_CARD}},
    {"curves", 80, 24, GLYPHS_UTF8, "U1+35m", 60, TICKED, {.item = -1, .rig = 1, .page = PAGE_CURVES}},
    {"curves-ascii", 80, 24, GLYPHS_ASCII, "U1+35m", 60, TICKED, {.item = -1, .rig = 1, .page = PAGE_CURVES}},
    {"curves-wide", 120, 40, GLYPHS_UTF8, "U2+5m", 60, TICKED | CLOUDY,
     {.item = -1, .page = PAGE_CURVES, .utc_first = true}},
    {"curves-wide-ascii", 120, 40, GLYPHS_ASCII, "U2+5m", 60, TICKED,
     {.item = -1, .page = PAGE_CURVES, .utc_first = true}},
    {"frame-long", 80, 24, GLYPHS_UTF8, "U1+35m", 60, TICKED, {.item = -1, .rig = 1, .page = PAGE_FRAME}},
    {"frame-long-ascii", 80, 24, GLYPHS_ASCII, "U1+35m", 60, TICKED,
     {.item = -1, .rig = 1, .page = PAGE_FRAME}},
    {"frame-alarm", 80, 24, GLYPHS_UTF8, "U2-2m", 700, TICKED, {.item = -1, .page = PAGE_FRAME}},
    {"frame-tracked", 120, 40, GLYPHS_UTF8, "U1+35m", 60, TICKED, {.item = -1, .rig = 2, .page = PAGE_FRAME}},
    {"frame-tracked-ascii", 120, 40, GLYPHS_ASCII, "U1+35m", 60, TICKED,
     {.item = -1, .rig = 2, .page = PAGE_FRAME}},
    {"frame-chain", 80, 24, GLYPHS_UTF8, "U1+35m", 60, TICKED, {.item = -1, .page = PAGE_FRAME}},
    {"frame-chain-ascii", 120, 40, GLYPHS_ASCII, "U1+35m", 60, TICKED, {.item = -1, .page = PAGE_FRAME}},
    {"narrow", 60, 24, GLYPHS_UTF8, "U1+35m", 60, TICKED, {.item = -1}},
    {"classic-apart", 80, 24, GLYPHS_UTF8, "U1+35m", 60, TICKED | COLD, {.item = -1, .apart = true}},
    {"wide-apart", 120, 50, GLYPHS_UTF8, "U1+35m", 60, TICKED | COLD, {.item = -1, .apart = true}},
    {"classic-twelve", 80, 28, GLYPHS_UTF8, "U1+35m", 60, TICKED | COLD | FORMS, {.item = -1}},
    {"narrow-alarm", 60, 24, GLYPHS_UTF8, "U2-2m", 700, TICKED, {.item = -1}},
    {"strip-alarm", 80, 6, GLYPHS_UTF8, "U2-2m", 700, TICKED, {.item = -1}},
    {"strip-asked", 80, 6, GLYPHS_UTF8, "U1+35m", 60, TICKED,
     {.item = -1, .prompt = "Note", .typed = "thin cloud from the west"}},
    {"line-alarm", 80, 1, GLYPHS_UTF8, "U2-2m", 700, TICKED, {.item = -1}},
    {"strip", 80, 6, GLYPHS_UTF8, "U1+35m", 60, TICKED, {.item = -1}},
    {"line", 80, 1, GLYPHS_UTF8, "U1+35m", 60, TICKED, {.item = -1}},
    {"slim", 20, 5, GLYPHS_UTF8, "U1+35m", 60, TICKED, {.item = -1}},
    {"countdown", 18, 7, GLYPHS_UTF8, "U1+35m", 60, TICKED, {.item = -1}},
    {"narrow-help", 60, 24, GLYPHS_UTF8, "U1+35m", 60, TICKED, {.item = -1, .keys_open = KEYS_TO_LEARN}},
    {"narrow-kit", 60, 24, GLYPHS_UTF8, "U1+35m", 60, TICKED, {.item = -1, .page = PAGE_KIT}},
    {"strip-curves", 80, 6, GLYPHS_UTF8, "U1+35m", 60, TICKED, {.item = -1, .page = PAGE_CURVES}},
    {"wide-afar", 120, 40, GLYPHS_UTF8, "U1+35m", 60, TICKED, {.item = -1, .page = PAGE_FAR}},
    {"small", 30, 8, GLYPHS_UTF8, "U1+35m", 60, TICKED, {.item = -1}},
    /* At the sizes at which one layout gives way to the next. */
    {"edge-19x3", 19, 3, GLYPHS_UTF8, "U1+35m", 60, TICKED, {.item = -1}},
    {"edge-20x2", 20, 2, GLYPHS_UTF8, "U1+35m", 60, TICKED, {.item = -1}},
    {"edge-20x3", 20, 3, GLYPHS_UTF8, "U1+35m", 60, TICKED, {.item = -1}},
    {"edge-24x2", 24, 2, GLYPHS_UTF8, "U1+35m", 60, TICKED, {.item = -1}},
    {"edge-23x2", 23, 2, GLYPHS_UTF8, "U1+35m", 60, TICKED, {.item = -1, .page = PAGE_LIST}},
    {"edge-18x5", 18, 5, GLYPHS_UTF8, "U2-2m", 700, TICKED, {.item = -1}},
    {"edge-39x12", 39, 12, GLYPHS_UTF8, "U1+35m", 60, TICKED, {.item = -1}},
    {"edge-40x12", 40, 12, GLYPHS_UTF8, "U1+35m", 60, TICKED, {.item = -1, .apart = true}},
    {"edge-109x32", 109, 32, GLYPHS_UTF8, "U1+35m", 60, TICKED, {.item = -1}},
    {"edge-110x31", 110, 31, GLYPHS_UTF8, "U1+35m", 60, TICKED, {.item = -1}},
    {"edge-110x32", 110, 32, GLYPHS_UTF8, "U1+35m", 60, TICKED, {.item = -1}},
    /* What else a night can bring. */
    {"roof", 80, 24, GLYPHS_UTF8, "U1-5m", 0, TICKED | ROOF, {.item = -1}},
    {"roof-wide", 120, 40, GLYPHS_UTF8, "U2-5m", 0, TICKED | ROOF | COLD, {.item = -1}},
    {"roof-curves", 100, 30, GLYPHS_UTF8, "U1-5m", 0, ROOF, {.item = -1, .page = PAGE_CURVES}},
    {"roof-frame", 100, 30, GLYPHS_UTF8, "U1-5m", 0, ROOF, {.item = -1, .page = PAGE_FRAME}},
    {"roof-frame-ascii", 80, 24, GLYPHS_ASCII, "U1-5m", 60, ROOF, {.item = -1, .rig = 1, .page = PAGE_FRAME}},
    {"flip", 80, 24, GLYPHS_UTF8, "U2-5m", 60, TICKED | FLIP, {.item = -1, .rig = 2}},
    {"flip-wide", 120, 40, GLYPHS_UTF8, "U3+1m", 0, TICKED | FLIP, {.item = -1, .rig = 2}},
    {"flip-frame", 80, 24, GLYPHS_UTF8, "U2-5m", 60, FLIP, {.item = -1, .rig = 2, .page = PAGE_FRAME}},
    {"dusk", 80, 24, GLYPHS_UTF8, "U2-10m", 0, TICKED | DUSK, {.item = -1}},
    {"dusk-wide", 120, 40, GLYPHS_UTF8, "U1+20m", 0, TICKED | DUSK | COLD, {.item = -1}},
    {"dusk-curves", 80, 24, GLYPHS_UTF8, "U2-10m", 0, DUSK, {.item = -1, .page = PAGE_CURVES}},
    {"away", 80, 24, GLYPHS_UTF8, "greatest", 0, TICKED | AWAY, {.item = -1}},
    {"away-kit", 80, 24, GLYPHS_UTF8, "greatest", 0, AWAY, {.item = -1, .page = PAGE_KIT}},
    {"ends", 80, 24, GLYPHS_UTF8, "U3+10m", 60, TICKED | ENDS | COLD, {.item = -1, .rig = 1}},
    {"ends-frame", 80, 24, GLYPHS_UTF8, "U3+10m", 60, ENDS, {.item = -1, .rig = 1, .page = PAGE_FRAME}},
    {"after", 120, 40, GLYPHS_UTF8, "P4+5m", 0, COLD, {.item = -1}},
    {"after-list", 80, 24, GLYPHS_UTF8, "P4+5m", 0, 0, {.item = 70, .page = PAGE_LIST}},
    {"cards", 80, 24, GLYPHS_UTF8, "U2-1m", 60, TICKED | CARDS, {.item = -1}},
    {"cards-kit", 100, 30, GLYPHS_UTF8, "U2-1m", 60, TICKED | CARDS | COLD | FORMS | CLOUDY,
     {.item = -1, .page = PAGE_KIT}},
    {"cards-narrow", 60, 20, GLYPHS_UTF8, "U2-1m", 60, CARDS | COLD, {.item = -1}},
    {"setup-trouble", 100, 30, GLYPHS_UTF8, "U1-20m", 0, TICKED | TROUBLE,
     {.item = -1, .page = PAGE_SETUP, .rows_path = "", .row = 2}},
    {"setup-rigs", 90, 20, GLYPHS_UTF8, "U1-20m", 0, CARDS,
     {.item = -1, .page = PAGE_SETUP, .rows_path = "rigs", .row = 1, .setup_file = "setup.json"}},
    {"setup-card", 120, 40, GLYPHS_UTF8, "U1-20m", 0, CARDS,
     {.item = -1, .page = PAGE_SETUP, .rows_path = "rigs[1]", .row = 20, .setup_file = "setup.json"}},
    {"setup-large", 160, 50, GLYPHS_UTF8, "U1-20m", 0, CARDS,
     {.item = -1, .page = PAGE_SETUP, .rows_path = "rigs[1]", .row = 5}},
    {"setup-no-card", 72, 40, GLYPHS_UTF8, "U1-20m", 0, CARDS,
     {.item = -1, .page = PAGE_SETUP, .rows_path = "rigs[0]", .row = 0}},
    {"setup-site", 80, 16, GLYPHS_UTF8, "U1-20m", 0, TICKED | TROUBLE,
     {.item = -1, .page = PAGE_SETUP, .rows_path = "site", .row = 1}},
    {"list-trouble", 100, 20, GLYPHS_UTF8, "P1-22h", 0, TROUBLE, {.page = PAGE_LIST, .item = 4}},
    {"list-first", 60, 16, GLYPHS_UTF8, "P1-22h", 0, 0, {.page = PAGE_LIST}},
    {"list-early", 80, 30, GLYPHS_UTF8, "P1-22h", 0, 0, {.page = PAGE_LIST, .item = 2}},
    {"list-late", 120, 40, GLYPHS_UTF8, "U1-5m", 0, COLD | FORMS, {.page = PAGE_LIST, .item = 40}},
    {"long-answer", 60, 12, GLYPHS_UTF8, "U1+35m", 60, TICKED,
     {.item = -1,
      .prompt = "Note",
      .typed = "thin cloud from the west, \u00e9t\u00e9 and much more to be said of it",
      .message = "too long: at most 60 letters; what was typed is kept, so shorten it and press enter again"}},
    {"asked-line", 100, 5, GLYPHS_ASCII, "U1+35m", 60, TICKED,
     {.item = -1, .prompt = "Air", .typed = "-12", .message = "expected two values"}},
    {"quit", 80, 24, GLYPHS_UTF8, "U1+35m", 60, TICKED, {.item = -1, .quit_armed = true, .message = "x"}},
    {"read-only", 60, 20, GLYPHS_UTF8, "U1+35m", 0, TICKED, {.item = -1, .looking_on = true}},
    {"saving", 80, 24, GLYPHS_UTF8, "U1+35m", 60, TICKED,
     {.item = -1, .message = "ticked: focus", .acted = true, .unwritten = 1}},
    {"saved", 40, 12, GLYPHS_ASCII, "U1+35m", 60, TICKED, {.item = -1, .message = "aimed: long, the Moon is left of the middle", .acted = true}},
    {"curves-trouble", 100, 30, GLYPHS_UTF8, "P4+1m", 0, TICKED | TROUBLE | COLD, {.item = -1, .page = PAGE_CURVES}},
    {"trouble", 80, 24, GLYPHS_UTF8, "U1+35m", 60, TICKED | TROUBLE, {.item = -1, .rig = 1}},
    {"trouble-wide", 130, 40, GLYPHS_UTF8, "U2+1m", 60, TICKED | TROUBLE | COLD | FORMS, {.item = -1, .rig = 1}},
    {"cards-strip", 100, 10, GLYPHS_UTF8, "U3-1m", 60, TICKED | CARDS | FORMS, {.item = -1}},
    {"pictures", 80, 24, GLYPHS_UTF8, "U2+5m", 60, TICKED | PICTURES, {.item = -1}},
    {"pictures-wide", 120, 40, GLYPHS_UTF8, "U2+5m", 60, TICKED | PICTURES, {.item = -1}},
    {"pictures-wrong", 80, 24, GLYPHS_UTF8, "U1+35m", 60, TICKED | PICTURES | WRONG, {.item = -1, .rig = 1}},
    {"pictures-wrong-wide", 120, 40, GLYPHS_ASCII, "U1+35m", 60, TICKED | PICTURES | WRONG, {.item = -1}},
    {"pictures-trouble", 80, 24, GLYPHS_UTF8, "U1+35m", 60, TICKED | PICTURES | TROUBLE, {.item = -1}},
};

/* Opens the night once more with another setup. */
static void bring(unsigned with)
{
    struct setup *setup = &scene.setup;
    struct fault fault = {0};

    if (with & (ROOF | FLIP))
        setup->site.longitude_deg = 100;
    if (with & ROOF)
        setup->site.horizon = (struct horizon){
            .count = 3, .azimuth_rad = {1.75, 2.6, 3.5}, .altitude_rad = {0, 0.96, 0}};
    if (with & FLIP) {
        setup->rig[2].mount.german_equatorial = true;
        setup->rig[2].mount.altitude_max_deg = 49;
        setup->rig[2].mount.polar_az_error_arcmin = 30;
    }
    if (with & DUSK) {
        setup->site.latitude_deg = 51.5;
        setup->site.longitude_deg = 0;
    }
    if (with & AWAY) {
        setup->site.latitude_deg = -30;
        setup->site.longitude_deg = -90;
    }
    if (with & ENDS)
        setup->rig[1].until = (struct contact_offset){CONTACT_U3, 60};
    if (with & CARDS) {
        setup->rig[0].card_gb = 128;
        setup->rig[1].card_gb = 8;
        setup->rig[1].target = TARGET_BRACKET;
        setup->rig[2].power.external = true;
        setup->rig[2].filter_stops = 3;
        scene.readings.card_free_bytes[1] = 2e9;
        (void)snprintf(setup->rig[0].card_path, sizeof setup->rig[0].card_path, "/media/wide");
        scene.readings.card_absent[0] = true;
    }
    for (int i = 0; with & PICTURES && i < setup->rig_count; i++)
        (void)snprintf(setup->rig[i].pictures, RIG_PICTURES, "/card");
    if (with & TROUBLE) {
        (void)snprintf(setup->trust.doubt, sizeof setup->trust.doubt, "others can write the setup");
        (void)snprintf(scene.readings.air_trouble, sizeof scene.readings.air_trouble,
                       "the sensor answers nothing");
        scene.readings.clock_synchronised = 0;
    }
    night_close(&scene.night);
    memset(&scene.night, 0, sizeof scene.night);
    if (night_open(&scene.night, setup, &scene.eclipse, &scene.zone, true, &fault) != 0)
        fail_msg("%s", fault.text);
}

/* A frame every ten seconds, the last one some seconds ago, the Moon looked for in each. */
static void bring_pictures(double utc, unsigned with)
{
    enum { WIDE, LONG, SCOPE };
    bool wrong = with & WRONG;

    scene.readings.eye = with & TROUBLE ? EYE_ENDED : EYE_WATCHES;
    for (int rig = WIDE; rig <= SCOPE; rig++) {
        struct album *album = &scene.readings.album[rig];
        double last = utc - (rig == WIDE && wrong ? 1500 : 8);

        *album = (struct album){.frames = 412 - 100 * rig, .bytes = 1e10, .best_limb_px = 2.1, .camera_known = true};
        for (int i = 7; i >= 0; i--) {
            struct shot shot = {.utc = last - 10 * i,
                                .shutter_s = 1. / 60,
                                .iso = 400,
                                .off_stops = rig == LONG && wrong ? 1.7 + 0.1 * i : 0.2,
                                .behind_s = rig == WIDE ? 3641 : 0.4};
            struct look_at_moon look = {.utc = shot.utc,
                                        .found = true,
                                        .place = {-0.2 + 0.001 * i, 0.1},
                                        .clipped = rig == LONG ? 0.04 : 0,
                                        .limb_px = rig == SCOPE && wrong ? 3.4 : 2.2,
                                        .limb_least_px = rig == SCOPE && wrong ? 3.3 : 2.1,
                                        .lit = {NAN, NAN},
                                        .umbra = {-0.7, -0.8},
                                        .umbra_off_stops = rig == SCOPE ? -0.8 : NAN,
                                        .danjon = scene.night.danjon_state};

            album_add(album, &shot);
            album_look(album, &look);
        }
    }
    if (!wrong) {
        scene.readings.album[WIDE].look_count = 0;
        scene.readings.album[WIDE].why_not = SEEN_TOO_SMALL;
    }
}

static void draw(const struct golden *golden)
{
    double utc;

    scene_open(true);
    if (golden->with >= ROOF)
        bring(golden->with);
    utc = scene_utc(golden->at);
    scene.view = golden->view;
    scene.view.keys = key_table;
    scene.view.speed = golden->with & TROUBLE ? 1 : 60;
    if (golden->with & FORMS) {
        scene.night.setup.hours = HOURS_12;
        scene.night.setup.units = UNITS_IMPERIAL;
    }
    scene.readings.gps = (struct gps_reading){.state = GPS_FIX,
                                              .mode = 3,
                                              .satellites = 9,
                                              .latitude_deg = 62.0001,
                                              .longitude_deg = 60.0001,
                                              .height_m = 420,
                                              .error_m = 4,
                                              .age_s = 1,
                                              .clock_offset_s = 0.04,
                                              .clock_spread_s = 0.01};
    scene.readings.battery_discharging = true;
    scene.readings.battery_percent = 64;
    if (golden->with & TROUBLE) {
        scene.readings.gps.state = GPS_NO_FIX;
        scene.readings.battery_percent = 12;
        scene.night.setup.has_site = golden->view.page != PAGE_SETUP || *golden->view.rows_path;
    }
    if (golden->with & TICKED)
        scene_tick_before(utc);
    if (golden->with & PICTURES)
        bring_pictures(utc, golden->with);
    if (golden->aimed_s > 0)
        scene_aim(utc - golden->aimed_s);
    if (golden->with & COLD)
        scene_act((struct act){.utc = utc - 100, .kind = ACT_AIR, .rig = -1, .value = {-22, 70}});
    for (int hour = -1; (golden->with & (CLOUDY | TROUBLE)) && hour <= 4; hour += 2)
        scene_act((struct act){.utc = utc - 100,
                               .kind = ACT_FORECAST,
                               .rig = -1,
                               .value = {utc + hour * 3600, 40 + 15 * hour, NAN, NAN, NAN}});
    if (golden->with & TROUBLE)
        scene.night.forecast.issued_utc = utc - 86400;
    if (golden->view.page == PAGE_SETUP) {
        scene.view.rows = rows;
        scene.view.row_count = setup_rows(&scene.night.setup, golden->view.rows_path, rows);
        scene.view.rows_path =
            setup_path_words(&scene.night.setup, golden->view.rows_path, trail);
    }
    scene_at(utc);
    scene_draw(golden->width, golden->height, golden->glyphs);
}

/* Against the file; `drawn` is freed. */
static void compare(const char *name, char *drawn)
{
    char path[256];

    (void)snprintf(path, sizeof path, "%s/../screens/%s.txt", TEST_DATA, name);
    char *wanted = blessed(path, drawn);
    bool same = strcmp(drawn, wanted) == 0;
    if (!same)
        print_error("%s differs; drawn is:\n%s\n", name, drawn);
    free(wanted);
    free(drawn);
    assert_true(same);
}

/* ---- other sizes ---- */

/* On both sides of what a layout asks for, and some between. */
static const int widths[] = {18, 19, 20, 23, 24, 29, 30, 39, 40, 43, 44, 49, 50, 59, 60, 61, 71,
                             72, 79, 80, 89, 90, 99, 100, 109, 110, 119, 120, 131, 160, 199, 200};
static const int heights[] = {1,  2,  3,  4,  5,  6,  7,  9,  11, 12, 13, 16, 20, 23,
                              24, 25, 28, 31, 32, 33, 36, 40, 47, 50, 59, 60, 70};

/* The scene that is drawn, at a dozen other sizes, each canvas as a number. */
static void add_sizes(FILE *out, const struct golden *golden)
{
    enum { TIMES = 12, W = sizeof widths / sizeof *widths, H = sizeof heights / sizeof *heights };
    static unsigned step;

    for (int time = 0; time < TIMES; time++, step++) {
        int width = widths[7 * step % W], height = heights[5 * step % H];
        char *drawn;

        scene_draw(width, height, time % 4 == 3 ? GLYPHS_ASCII : GLYPHS_UTF8);
        drawn = scene_text(true);
        (void)fprintf(out, "%s %dx%d %08x\n", golden->name, width, height, digest_of(drawn));
        free(drawn);
    }
}

/* Every height at two widths and every width at one height, eight canvases to a number: the edges of what a
 * panel draws lie anywhere. Once for each page. */
static void add_edges(FILE *out, const struct golden *golden)
{
    enum { HEIGHTS = 48, WIDTHS = 112, TOGETHER = 8 };
    uint64_t all = 0;

    for (int i = 0; i < 2 * HEIGHTS + WIDTHS; i++) {
        int width = i < HEIGHTS ? 80 : i < 2 * HEIGHTS ? 120 : 20 + i - 2 * HEIGHTS;
        int height = i < 2 * HEIGHTS ? 1 + i % HEIGHTS : 24;
        char *drawn;

        scene_draw(width, height, GLYPHS_UTF8);
        drawn = scene_text(true);
        all = 31 * all + digest_of(drawn);
        free(drawn);
        if (i % TOGETHER == TOGETHER - 1) {
            (void)fprintf(out, "%s to %dx%d %08x\n", golden->name, width, height, (unsigned)(uint32_t)all);
            all = 0;
        }
    }
}

/* The numbers hold that nothing changes unseen: a canvas whose number is another one is to be looked at,
 * before and after, by its name among the goldens in that size. */
static void canvases_are_as_blessed(void **state)
{
    bool met[KEYS_ALL + 1][PAGES] = {{false}};
    char *sizes = NULL;
    size_t size = 0;
    FILE *out = open_memstream(&sizes, &size);

    (void)state;
    assert_non_null(out);
    for (size_t i = 0; i < sizeof goldens / sizeof *goldens; i++) {
        draw(&goldens[i]);
        compare(goldens[i].name, scene_text(true));
        add_sizes(out, &goldens[i]);
        if (!met[goldens[i].view.keys_open][goldens[i].view.page])
            add_edges(out, &goldens[i]);
        met[goldens[i].view.keys_open][goldens[i].view.page] = true;
    }
    assert_int_equal(fclose(out), 0);
    hold_print("screen-sizes", sizes);
    free(sizes);
}

/* ---- how a theme shows the roles on each kind of terminal ---- */

static void print_looks(FILE *out, const struct theme *theme)
{
    for (int step = 0; step < THEME_STEPS; step++) {
        uint32_t background = theme->background[step];
        (void)fprintf(out, "%-7s background #%06x %3d %d\n", step > 0 ? "dim" : "normal",
                      (unsigned)background, colour_256(background, background),
                      colour_8(background, background));
        for (int role = 0; role < ROLE_COUNT; role++) {
            const struct look *look = &theme->look[step][role];
            (void)fprintf(out, "%-7s %-10s #%06x %3d %d%s%s%s\n", step > 0 ? "dim" : "normal",
                          role_name((enum role)role), (unsigned)look->rgb,
                          colour_256(look->rgb, background), colour_8(look->rgb, background),
                          look->bold ? " bold" : "", look->reverse ? " reverse" : "",
                          look->underline ? " underline" : "");
        }
    }
}

static void themes_are_as_blessed(void **state)
{
    static const char *const names[] = {"red", "daylight", "plain", "blue-orange"};

    (void)state;
    for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
        char path[256], name[40], *text = NULL;
        size_t size = 0;
        struct theme theme;
        struct fault fault = {0};
        FILE *out = open_memstream(&text, &size);

        assert_non_null(out);
        (void)snprintf(path, sizeof path, "%s/../../themes/%s.json", TEST_DATA, names[i]);
        if (theme_read(path, &theme, &fault) != 0 || theme_valid(&theme, &fault) != 0)
            fail_msg("%s", fault.text);
        print_looks(out, &theme);
        assert_int_equal(fclose(out), 0);
        (void)snprintf(name, sizeof name, "theme-%s", names[i]);
        compare(name, text);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(canvases_are_as_blessed),
        cmocka_unit_test(themes_are_as_blessed),
    };
    int result = cmocka_run_group_tests(tests, NULL, NULL);

    scene_close();
    return result;
}
