/* Layouts: which panels go where, and how many lines each may have. */
#include "panels.h"


/* ---- a column of panels ---- */

/* In the order in which a cold person reads: what to do, until when, each rig, the rest. */
enum block {
    BLOCK_STATUS,
    BLOCK_GAP_TOP,
    BLOCK_ALARM,
    BLOCK_HANDS,
    BLOCK_GAP_HANDS,
    BLOCK_HEADLINE,
    BLOCK_GAP_RIGS,
    BLOCK_RIG_1,
    BLOCK_GAP_2,
    BLOCK_RIG_2,
    BLOCK_GAP_3,
    BLOCK_RIG_3,
    BLOCK_GAP_MOON,
    BLOCK_MOON,
    BLOCK_GAP_LIST,
    BLOCK_SPLIT, /* Moon beside list */
    BLOCK_LIST,
    BLOCK_FAR,
    BLOCK_CURVES,
    BLOCK_KIT,
    BLOCK_TIME_CARD,
    BLOCK_SETUP,
    BLOCK_FRAME,
    BLOCK_HELP,
    BLOCK_GAP_SITE,
    BLOCK_SITE,
    BLOCK_WARNING,
    BLOCK_ANSWER, /* a message or a question, in place of the hints */
    BLOCK_KEYS,
    BLOCKS
};

/* A layout is a list of wishes, the most important first: this block asks for so many lines. A wish is
 * granted where that many lines are left; ALL_LINES takes what is left. Blocks are drawn in the order
 * of the enum. */
struct wish {
    enum block block;
    int lines;
};
enum { ALL_LINES = CANVAS_HEIGHT };
/* Lines that a rig's words take at most. */
enum { RIG_WORDS = 3 };

/* Fewer lines than this are not drawn apart. */
enum { APART_HEIGHT = 12 };

static const struct wish column_layout[] = {
    {BLOCK_HEADLINE, 1},     {BLOCK_ALARM, 1},     {BLOCK_STATUS, 1},   {BLOCK_ANSWER, 1},
    {BLOCK_ANSWER, 2},       {BLOCK_ANSWER, 3},    {BLOCK_HANDS, 1},    {BLOCK_WARNING, 1},
    {BLOCK_RIG_1, 1},        {BLOCK_RIG_2, 1},     {BLOCK_RIG_3, 1},    {BLOCK_MOON, 1},
    {BLOCK_LIST, 1},         {BLOCK_KEYS, 1},      {BLOCK_SITE, 1},     {BLOCK_ALARM, 4},
    {BLOCK_HEADLINE, 5},     {BLOCK_RIG_1, 2},     {BLOCK_RIG_2, 2},    {BLOCK_RIG_3, 2},
    {BLOCK_HANDS, 2},        {BLOCK_HANDS, 3},     {BLOCK_MOON, 2},     {BLOCK_LIST, 2},
    {BLOCK_GAP_TOP, 1},      {BLOCK_GAP_HANDS, 1}, {BLOCK_GAP_RIGS, 1}, {BLOCK_GAP_MOON, 1},
    {BLOCK_LIST, 3},         {BLOCK_RIG_1, 3},     {BLOCK_RIG_2, 3},    {BLOCK_RIG_3, 3},
    {BLOCK_GAP_2, 1},        {BLOCK_GAP_3, 1},     {BLOCK_GAP_SITE, 1}, {BLOCK_SITE, 2},
    {BLOCK_GAP_LIST, 1},     {BLOCK_LIST, 6},      {BLOCK_ALARM, 7},    {BLOCK_HEADLINE, 8},
    {BLOCK_LIST, ALL_LINES},
};
static const struct wish wide_layout[] = {
    {BLOCK_HEADLINE, 1},      {BLOCK_ALARM, 7},    {BLOCK_HEADLINE, 8},  {BLOCK_HANDS, 1},
    {BLOCK_STATUS, 1},        {BLOCK_ANSWER, 1},   {BLOCK_ANSWER, 2},    {BLOCK_ANSWER, 3},
    {BLOCK_WARNING, 1},       {BLOCK_KEYS, 1},     {BLOCK_RIG_1, 3},     {BLOCK_RIG_2, 3},
    {BLOCK_RIG_3, 3},         {BLOCK_SPLIT, 5},    {BLOCK_SITE, 1},      {BLOCK_GAP_TOP, 1},
    {BLOCK_GAP_HANDS, 1},     {BLOCK_GAP_RIGS, 1}, {BLOCK_GAP_LIST, 1},  {BLOCK_GAP_SITE, 1},
    {BLOCK_GAP_2, 1},         {BLOCK_GAP_3, 1},    {BLOCK_SITE, 2},      {BLOCK_HANDS, 2},
    {BLOCK_HANDS, 3},         {BLOCK_SPLIT, 14},   {BLOCK_HEADLINE, 15}, {BLOCK_RIG_1, 6},
    {BLOCK_RIG_2, 6},         {BLOCK_RIG_3, 6},    {BLOCK_SPLIT, 16},    {BLOCK_SPLIT, 24},
    {BLOCK_HEADLINE, 10},     {BLOCK_RIG_1, 9},    {BLOCK_RIG_2, 9},     {BLOCK_RIG_3, 9},
    {BLOCK_SPLIT, ALL_LINES},
};
static const struct wish slim_layout[] = {
    {BLOCK_HEADLINE, 1},     {BLOCK_ALARM, 1},    {BLOCK_STATUS, 1},   {BLOCK_ANSWER, 1},
    {BLOCK_ANSWER, 2},       {BLOCK_ANSWER, 3},   {BLOCK_HANDS, 1},    {BLOCK_WARNING, 1},
    {BLOCK_RIG_1, 1},        {BLOCK_RIG_2, 1},    {BLOCK_RIG_3, 1},    {BLOCK_HANDS, 2},
    {BLOCK_ALARM, 3},        {BLOCK_KEYS, 1},     {BLOCK_LIST, 1},     {BLOCK_MOON, 1},
    {BLOCK_HANDS, 4},        {BLOCK_RIG_1, 3},    {BLOCK_RIG_2, 3},    {BLOCK_RIG_3, 3},
    {BLOCK_LIST, 3},         {BLOCK_MOON, 4},     {BLOCK_SITE, 2},     {BLOCK_GAP_HANDS, 1},
    {BLOCK_ALARM, 7},        {BLOCK_HEADLINE, 4}, {BLOCK_GAP_RIGS, 1}, {BLOCK_SITE, 4},
    {BLOCK_LIST, ALL_LINES},
};
static const struct wish list_page[] = {
    {BLOCK_HEADLINE, 1}, {BLOCK_ALARM, 1},   {BLOCK_STATUS, 1},       {BLOCK_ANSWER, 1},
    {BLOCK_ANSWER, 2},   {BLOCK_ANSWER, 3},  {BLOCK_LIST, 1},         {BLOCK_HANDS, 1},
    {BLOCK_WARNING, 1},  {BLOCK_LIST, 3},    {BLOCK_KEYS, 1},         {BLOCK_HANDS, 2},
    {BLOCK_ALARM, 3},    {BLOCK_LIST, 10},   {BLOCK_HANDS, 3},        {BLOCK_GAP_LIST, 1},
    {BLOCK_GAP_SITE, 1}, {BLOCK_GAP_TOP, 1}, {BLOCK_LIST, ALL_LINES},
};
static const struct wish far_page[] = {
    {BLOCK_FAR, 1},     {BLOCK_STATUS, 1},      {BLOCK_ANSWER, 1}, {BLOCK_ANSWER, 2},
    {BLOCK_ANSWER, 3},  {BLOCK_WARNING, 1},     {BLOCK_FAR, 7},    {BLOCK_KEYS, 1},
    {BLOCK_GAP_TOP, 1}, {BLOCK_FAR, ALL_LINES},
};
static const struct wish curves_page[] = {
    {BLOCK_HEADLINE, 1}, {BLOCK_ALARM, 1},          {BLOCK_STATUS, 1},  {BLOCK_ANSWER, 1},
    {BLOCK_ANSWER, 2},   {BLOCK_ANSWER, 3},         {BLOCK_CURVES, 1},  {BLOCK_HANDS, 1},
    {BLOCK_WARNING, 1},  {BLOCK_CURVES, 3},         {BLOCK_CURVES, 5},  {BLOCK_KEYS, 1},
    {BLOCK_HANDS, 2},    {BLOCK_ALARM, 3},          {BLOCK_CURVES, 12}, {BLOCK_GAP_LIST, 1},
    {BLOCK_GAP_TOP, 1},  {BLOCK_CURVES, ALL_LINES},
};
static const struct wish frame_page[] = {
    {BLOCK_HEADLINE, 1}, {BLOCK_ALARM, 1},         {BLOCK_STATUS, 1}, {BLOCK_ANSWER, 1},
    {BLOCK_ANSWER, 2},   {BLOCK_ANSWER, 3},        {BLOCK_FRAME, 1},  {BLOCK_HANDS, 1},
    {BLOCK_WARNING, 1},  {BLOCK_FRAME, 3},         {BLOCK_FRAME, 5},  {BLOCK_KEYS, 1},
    {BLOCK_ALARM, 3},    {BLOCK_FRAME, 18},        {BLOCK_HANDS, 2},  {BLOCK_GAP_LIST, 1},
    {BLOCK_GAP_TOP, 1},  {BLOCK_FRAME, ALL_LINES},
};
static const struct wish kit_page[] = {
    {BLOCK_HEADLINE, 1}, {BLOCK_ALARM, 1},  {BLOCK_STATUS, 1}, {BLOCK_ANSWER, 1},
    {BLOCK_ANSWER, 2},   {BLOCK_ANSWER, 3}, {BLOCK_KIT, 1},    {BLOCK_HANDS, 1},
    {BLOCK_WARNING, 1},  {BLOCK_KIT, 3},    {BLOCK_KIT, 9},    {BLOCK_KEYS, 1},
    {BLOCK_ALARM, 3},    {BLOCK_KIT, 16},   {BLOCK_HANDS, 2},  {BLOCK_KIT, ALL_LINES},
};
static const struct wish setup_page[] = {
    {BLOCK_HEADLINE, 1}, {BLOCK_ALARM, 1},   {BLOCK_STATUS, 1},   {BLOCK_ANSWER, 1},
    {BLOCK_ANSWER, 2},   {BLOCK_ANSWER, 3},  {BLOCK_SETUP, 1},    {BLOCK_HANDS, 1},
    {BLOCK_WARNING, 1},  {BLOCK_SETUP, 3},   {BLOCK_KEYS, 1},     {BLOCK_ALARM, 3},
    {BLOCK_SETUP, 12},   {BLOCK_GAP_TOP, 1}, {BLOCK_GAP_LIST, 1}, {BLOCK_SETUP, ALL_LINES},
};
static const struct wish time_card_page[] = {
    {BLOCK_TIME_CARD, 1}, {BLOCK_ALARM, 1},  {BLOCK_ANSWER, 1},
    {BLOCK_ANSWER, 2},    {BLOCK_ANSWER, 3}, {BLOCK_TIME_CARD, ALL_LINES},
};
static const struct wish help_page[] = {
    {BLOCK_HEADLINE, 1}, {BLOCK_ALARM, 1},    {BLOCK_STATUS, 1},       {BLOCK_HELP, 1},
    {BLOCK_ANSWER, 1},   {BLOCK_ANSWER, 2},   {BLOCK_ANSWER, 3},       {BLOCK_HELP, 3},
    {BLOCK_HELP, 4},     {BLOCK_HANDS, 1},    {BLOCK_WARNING, 1},      {BLOCK_HELP, 12},
    {BLOCK_ALARM, 3},    {BLOCK_GAP_MOON, 1}, {BLOCK_HELP, ALL_LINES},
};

static void draw_split(struct area area, const struct scene *scene);

static bool is_gap(enum block block)
{
    switch (block) {
    case BLOCK_GAP_TOP:
    case BLOCK_GAP_HANDS:
    case BLOCK_GAP_MOON:
    case BLOCK_GAP_RIGS:
    case BLOCK_GAP_2:
    case BLOCK_GAP_3:
    case BLOCK_GAP_LIST:
    case BLOCK_GAP_SITE:
        return true;
    default:
        return false;
    }
}

static bool is_rig(enum block block)
{
    return block == BLOCK_RIG_1 || block == BLOCK_RIG_2 || block == BLOCK_RIG_3;
}

static int rig_of(enum block block)
{
    return block == BLOCK_RIG_1 ? 0 : block == BLOCK_RIG_2 ? 1 : 2;
}

enum { WIDE_WIDTH = 110, WIDE_HEIGHT = 32 };

static bool is_wide(const struct canvas *canvas, const struct view *view)
{
    return canvas->width >= WIDE_WIDTH && canvas->height >= WIDE_HEIGHT && !view->apart;
}

static bool is_huge(const struct canvas *canvas)
{
    return canvas->width >= 160 && canvas->height >= 50;
}

static bool is_wanted(const struct wish *wish, struct area area, const struct scene *scene)
{
    int rigs = scene->night->setup.rig_count;
    bool alarm = scene->moment->alarm_rig >= 0;

    switch (wish->block) {
    case BLOCK_HEADLINE:
        /* From ten lines on it is only larger, where nothing else is the smaller for it. */
        return wish->lines == 1 || (!alarm && event_to_come(scene->night, scene->moment, 0) &&
                                    (wish->lines <= 10 || is_huge(area.canvas)));
    case BLOCK_ALARM:
        return alarm;
    case BLOCK_HANDS:
        /* A third line is for the Sun's warning; a slim canvas breaks its lines. */
        return wish->lines != 3 || sun_warns(&scene->moment->sun);
    case BLOCK_RIG_1:
    case BLOCK_RIG_2:
    case BLOCK_RIG_3:
        /* More lines are for the picture beside the words. */
        return rigs > rig_of(wish->block) && (wish->lines <= RIG_WORDS || prints_fit(area));
    case BLOCK_GAP_2:
        return rigs > 1;
    case BLOCK_GAP_3:
        return rigs > 2;
    case BLOCK_WARNING:
        return warning_stands(scene);
    case BLOCK_ANSWER:
        return keys_speak(scene->view) && wish->lines <= keys_lines(area, scene->view);
    case BLOCK_KEYS:
        return !keys_speak(scene->view);
    default:
        return true;
    }
}

static void draw_block(enum block block, struct area area, const struct scene *scene)
{
    static panel_draw *const panels[BLOCKS] = {
        [BLOCK_STATUS] = panel_status,   [BLOCK_HEADLINE] = panel_headline,
        [BLOCK_ALARM] = panel_alarm,     [BLOCK_HANDS] = panel_hands,
        [BLOCK_MOON] = panel_moon,       [BLOCK_SPLIT] = draw_split,
        [BLOCK_LIST] = panel_list,       [BLOCK_FAR] = panel_far,
        [BLOCK_HELP] = panel_help,       [BLOCK_CURVES] = panel_curves,
        [BLOCK_FRAME] = panel_frame,     [BLOCK_SITE] = panel_site,
        [BLOCK_KIT] = panel_kit,         [BLOCK_TIME_CARD] = panel_timecard,
        [BLOCK_WARNING] = panel_warning, [BLOCK_ANSWER] = panel_keys,
        [BLOCK_KEYS] = panel_keys,       [BLOCK_SETUP] = panel_setup,
    };

    if (is_rig(block))
        panel_rig(area, scene, rig_of(block));
    else if (panels[block])
        panels[block](area, scene);
}

/* Whether a wish asks for more than there is room for. For a picture beside their words all rigs grow
 * together, or none. */
static bool asks_too_much(const struct wish *wish, const int lines[BLOCKS], int room, int rigs)
{
    int more = wish->lines - lines[wish->block];

    if (is_rig(wish->block) && wish->lines > RIG_WORDS)
        return wish->block == BLOCK_RIG_1 ? rigs * more > room
                                          : wish->lines > lines[BLOCK_RIG_1] || more > room;
    return more > room && wish->lines < ALL_LINES;
}

/* Lines of the canvas that a line of a block takes. */
static int pitch_of(enum block block, bool apart)
{
    switch (block) {
    case BLOCK_STATUS:
    case BLOCK_HANDS:
    case BLOCK_MOON:
    case BLOCK_RIG_1:
    case BLOCK_RIG_2:
    case BLOCK_RIG_3:
    case BLOCK_LIST:
    case BLOCK_HELP:
    case BLOCK_SITE:
        return apart ? 2 : 1;
    default:
        return 1;
    }
}

static void draw_layout(struct area area, const struct scene *scene, const struct wish *wishes,
                        size_t count)
{
    int lines[BLOCKS] = {0}, left = area.height;
    bool apart = scene->view->apart && area.height >= APART_HEIGHT;
    struct scene known = *scene;

    for (size_t i = 0; i < count; i++) {
        enum block block = wishes[i].block;
        int more = wishes[i].lines - lines[block], room = left / pitch_of(block, apart);
        if (!is_wanted(&wishes[i], area, scene) || (apart && is_gap(block)) || more <= 0)
            continue;
        if (asks_too_much(&wishes[i], lines, room, scene->night->setup.rig_count))
            continue;
        if (more > room)
            more = room;
        lines[block] += more;
        left -= more * pitch_of(block, apart);
    }
    struct area headline = area_part(area, 0, 0, area.width, lines[BLOCK_HEADLINE]);
    known.disc_apart = (is_wide(area.canvas, scene->view) && !is_huge(area.canvas)) ||
                       !disc_fits_headline(headline, scene);
    for (int block = 0, y = 0; block < BLOCKS; block++) {
        int pitch = pitch_of((enum block)block, apart), height = pitch * lines[block];
        if (lines[block] > 0)
            draw_block((enum block)block, area_part(area, 0, y, area.width, lines[block]), &known);
        if (pitch > 1)
            area_spread(area_part(area, 0, y, area.width, height));
        y += height;
    }
}
#define DRAW_LAYOUT(area, scene, wishes)                                                           \
    draw_layout(area, scene, wishes, sizeof(wishes) / sizeof *(wishes))

static void draw_split(struct area area, const struct scene *scene)
{
    struct scene right = *scene;
    int half = area.width / 2;

    right.gutter = 0;
    panel_moon(area_part(area, 0, 0, half - 2, area.height), scene);
    area_upright(area, half - 1, ROLE_BORDER);
    panel_list(area_part(area, half + 1, 0, area.width - half - 1, area.height), &right);
}

/* ---- smaller than any layout ---- */

/* Two lines, or very narrow: a page that has no room is named. */
static const char *page_without_room(const struct view *view)
{
    static const char *const words[PAGES] = {
        [PAGE_LIST] = "list: no room",   [PAGE_CURVES] = "curves: no room",
        [PAGE_FRAME] = "frame: no room", [PAGE_KIT] = "kit: no room",
        [PAGE_SETUP] = "setup: no room",
    };

    return view->keys_open ? "help: no room" : words[view->page];
}

/* One countdown, and what the hands must do where there is a line for it. The mark of a rehearsal
 * has a line of its own, or comes before the countdown. */
static void draw_small(struct area area, const struct scene *scene)
{
    const char *without = page_without_room(scene->view);
    bool has_own_line = area.height > 2 || (area.height == 2 && area.width < 24);
    bool alarm = scene->moment->alarm_rig >= 0;

    if (scene->view->prompt || (keys_speak(scene->view) && area.height > 2)) {
        int most = area.height > 2 ? area.height - 1 : 1, lines = keys_lines(area, scene->view);
        if (lines > most)
            lines = most;

        panel_keys(area_part(area, 0, area.height - lines, area.width, lines), scene);
        area = area_part(area, 0, 0, area.width, area.height - lines);
    }
    if (scene->night->rehearsal && has_own_line) {
        (void)area_text(area, 0, area.height - 1, ROLE_STRONG, "REHEARSAL");
        area = area_part(area, 0, 0, area.width, area.height - 1);
    } else if (scene->night->rehearsal) {
        int x = area_text(area, 0, 0, ROLE_STRONG, area.width < 24 ? "R" : "REHEARSAL") + 1;
        area = area_part(area, x, 0, area.width - x, area.height);
    }
    if (scene->view->page == PAGE_TIME_CARD) {
        panel_timecard(area, scene);
        return;
    }
    if (without && !alarm) {
        area_text_right(area, area.width, area.height - 1, ROLE_LABEL, without);
        if (area.height == 1)
            area = area_part(area, 0, 0,
                             area.width - text_columns(area.canvas->glyphs, without) - 1, 1);
        else
            area = area_part(area, 0, 0, area.width, area.height - 1);
    }
    if (area.height >= 5) {
        panel_far(area, scene);
        return;
    }
    struct area rest = area_part(area, 0, 1, area.width, area.height - 1);
    if (alarm && area.height == 1)
        panel_alarm(area, scene);
    else
        panel_headline(area_part(area, 0, 0, area.width, 1), scene);
    if (alarm)
        panel_alarm(rest, scene);
    else
        draw_block(BLOCK_HANDS, rest, scene);
}

/* ---- all of it ---- */

enum { SLIM_WIDTH = 20, COLUMN_WIDTH = 40, COLUMN_HEIGHT = 3 };

static void draw_page(struct area area, const struct scene *scene)
{
    const struct view *view = scene->view;

    if (area.width < SLIM_WIDTH || area.height < COLUMN_HEIGHT)
        draw_small(area, scene);
    else if (view->keys_open)
        DRAW_LAYOUT(area, scene, help_page);
    else if (view->page == PAGE_LIST)
        DRAW_LAYOUT(area, scene, list_page);
    else if (view->page == PAGE_FAR)
        DRAW_LAYOUT(area, scene, far_page);
    else if (view->page == PAGE_FRAME)
        DRAW_LAYOUT(area, scene, frame_page);
    else if (view->page == PAGE_CURVES)
        DRAW_LAYOUT(area, scene, curves_page);
    else if (view->page == PAGE_KIT)
        DRAW_LAYOUT(area, scene, kit_page);
    else if (view->page == PAGE_SETUP)
        DRAW_LAYOUT(area, scene, setup_page);
    else if (view->page == PAGE_TIME_CARD)
        DRAW_LAYOUT(area, scene, time_card_page);
    else if (area.width < COLUMN_WIDTH)
        DRAW_LAYOUT(area, scene, slim_layout);
    else if (is_wide(area.canvas, view))
        DRAW_LAYOUT(area, scene, wide_layout);
    else
        DRAW_LAYOUT(area, scene, column_layout);
}

void dashboard_draw(struct canvas *canvas, const struct night *night, const struct moment *moment,
                    const struct view *view)
{
    struct scene scene = scene_of(night, moment, view);

    scene.gutter = gutter_for(canvas->width);
    canvas_clear(canvas);
    draw_page(canvas_area(canvas), &scene);
}

int view_aim_rig(const struct view *view, const struct moment *moment)
{
    return moment->alarm_rig >= 0 ? moment->alarm_rig : view->rig;
}
