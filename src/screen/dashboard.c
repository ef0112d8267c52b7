/* Layouts: which panels go where, and how many lines each may have. */
#include "panels.h"

/* In the order in which a cold person reads: what to do, until when, each rig, the rest. */
enum block {
    BLOCK_STATUS,
    BLOCK_GAP_TOP,
    BLOCK_ALARM,
    BLOCK_HANDS,
    BLOCK_GAP_HANDS,
    BLOCK_HEADLINE,
    BLOCK_GAP_RIGS,
    BLOCK_RIG_1, /* rigs and gaps in turn */
    BLOCK_GAP_2,
    BLOCK_RIG_2,
    BLOCK_GAP_3,
    BLOCK_RIG_3,
    BLOCK_GAP_MOON,
    BLOCK_MOON,
    BLOCK_GAP_LIST,
    BLOCK_SPLIT, /* Moon beside list */
    BLOCK_LIST,
    BLOCK_PAGE, /* what a page other than the night's is for */
    BLOCK_GAP_SITE,
    BLOCK_SITE,
    BLOCK_WARNING,
    BLOCK_ANSWER, /* a message or a question, in place of the hints */
    BLOCK_KEYS,
    BLOCKS
};

/* A layout is a list of wishes, the most important first: this block asks for so many lines. A wish is
 * granted where that many lines are left; ALL_LINES takes what is left. What is asked for the first rig
 * or the gap below it is asked for every rig and gap. Blocks are drawn in the order of the enum. */
struct wish {
    enum block block;
    int lines;
};
enum { ALL_LINES = CANVAS_HEIGHT };
/* Lines that a rig's words take at most. */
enum { RIG_WORDS = 3 };

/* Fewer lines than this are not drawn apart. */
enum { APART_HEIGHT = 12 };

/* What every page begins with. */
static const struct wish first_wishes[] = {
    {BLOCK_HEADLINE, 1}, {BLOCK_ALARM, 1},          {BLOCK_STATUS, 1}, {BLOCK_ANSWER, 1},
    {BLOCK_PAGE, 1},     {BLOCK_ANSWER, ALL_LINES}, {BLOCK_HANDS, 1},  {BLOCK_WARNING, 1},
};

/* ---- the night at a glance ---- */

static const struct wish column_wishes[] = {
    {BLOCK_RIG_1, 1},    {BLOCK_MOON, 1},         {BLOCK_LIST, 1},     {BLOCK_KEYS, 1},
    {BLOCK_SITE, 1},     {BLOCK_ALARM, 4},        {BLOCK_HEADLINE, 5}, {BLOCK_RIG_1, 2},
    {BLOCK_HANDS, 2},    {BLOCK_HANDS, 3},        {BLOCK_MOON, 2},     {BLOCK_LIST, 2},
    {BLOCK_GAP_TOP, 1},  {BLOCK_GAP_HANDS, 1},    {BLOCK_GAP_RIGS, 1}, {BLOCK_GAP_MOON, 1},
    {BLOCK_LIST, 3},     {BLOCK_RIG_1, 3},        {BLOCK_GAP_2, 1},    {BLOCK_GAP_SITE, 1},
    {BLOCK_SITE, 2},     {BLOCK_GAP_LIST, 1},     {BLOCK_LIST, 6},     {BLOCK_ALARM, 7},
    {BLOCK_HEADLINE, 8}, {BLOCK_LIST, ALL_LINES},
};
static const struct wish wide_wishes[] = {
    {BLOCK_ALARM, 7},     {BLOCK_HEADLINE, 8}, {BLOCK_KEYS, 1},          {BLOCK_RIG_1, 3},
    {BLOCK_SPLIT, 5},     {BLOCK_SITE, 1},     {BLOCK_GAP_TOP, 1},       {BLOCK_GAP_HANDS, 1},
    {BLOCK_GAP_RIGS, 1},  {BLOCK_GAP_LIST, 1}, {BLOCK_GAP_SITE, 1},      {BLOCK_GAP_2, 1},
    {BLOCK_SITE, 2},      {BLOCK_HANDS, 2},    {BLOCK_HANDS, 3},         {BLOCK_SPLIT, 14},
    {BLOCK_HEADLINE, 15}, {BLOCK_RIG_1, 6},    {BLOCK_SPLIT, 16},        {BLOCK_SPLIT, 24},
    {BLOCK_HEADLINE, 10}, {BLOCK_RIG_1, 9},    {BLOCK_SPLIT, ALL_LINES},
};
static const struct wish slim_wishes[] = {
    {BLOCK_RIG_1, 1},        {BLOCK_HANDS, 2},    {BLOCK_ALARM, 3},    {BLOCK_KEYS, 1},
    {BLOCK_LIST, 1},         {BLOCK_MOON, 1},     {BLOCK_HANDS, 4},    {BLOCK_RIG_1, 3},
    {BLOCK_LIST, 3},         {BLOCK_MOON, 4},     {BLOCK_SITE, 2},     {BLOCK_GAP_HANDS, 1},
    {BLOCK_ALARM, 7},        {BLOCK_HEADLINE, 4}, {BLOCK_GAP_RIGS, 1}, {BLOCK_SITE, 4},
    {BLOCK_LIST, ALL_LINES},
};

/* ---- every other page ---- */

#define WITHOUT(block) (1U << (block))
#define WITHOUT_GAPS (WITHOUT(BLOCK_GAP_LIST) | WITHOUT(BLOCK_GAP_SITE))

/* What a page adds, and what of the common wishes it goes without. */
struct page_layout {
    const char *no_room; /* in a window of two lines */
    panel_draw *panel;   /* null: the night at a glance */
    bool spread;         /* its lines are drawn apart, if the user wants that */
    int few, many;       /* lines before the hints, and before more for the hands */
    int hands;           /* lines for them at most */
    unsigned without;    /* bits of blocks */
};
static const struct page_layout layouts[PAGES + 1] = {
    [PAGE_NIGHT] = {.hands = ALL_LINES},
    [PAGE_LIST] = {"list: no room", panel_list, true, 3, 10, 3, 0},
    /* Has the countdown, the hands and an alarm of its own. */
    [PAGE_FAR] = {NULL, panel_far, false, 7, 7, 0,
                  WITHOUT(BLOCK_HEADLINE) | WITHOUT(BLOCK_ALARM) | WITHOUT_GAPS},
    [PAGE_CURVES] = {"curves: no room", panel_curves, false, 5, 12, 2, WITHOUT(BLOCK_GAP_SITE)},
    [PAGE_FRAME] = {"frame: no room", panel_frame, false, 5, 18, 2, WITHOUT(BLOCK_GAP_SITE)},
    [PAGE_KIT] = {"kit: no room", panel_kit, false, 9, 16, 2,
                  WITHOUT(BLOCK_GAP_TOP) | WITHOUT_GAPS},
    [PAGE_SETUP] = {"setup: no room", panel_setup, false, 3, 12, 1, WITHOUT(BLOCK_GAP_SITE)},
    /* Is photographed: nothing but an alarm or an answer takes room from it. */
    [PAGE_TIME_CARD] = {NULL, panel_timecard, false, 1, 1, 0,
                        ~(WITHOUT(BLOCK_PAGE) | WITHOUT(BLOCK_ALARM) | WITHOUT(BLOCK_ANSWER))},
    /* The keys, whatever the page below them. */
    [PAGES] = {"help: no room", panel_help, true, 4, 12, 1,
               WITHOUT(BLOCK_KEYS) | WITHOUT(BLOCK_GAP_TOP) | WITHOUT(BLOCK_GAP_SITE)},
};

static const struct page_layout *layout_of(const struct view *view)
{
    return &layouts[view->keys_open ? PAGES : view->page];
}

/* ---- a column of blocks ---- */

/* From PAGE_AND_COUNT lines on a page has room for a rig's setup below a large countdown. */
enum { WIDE_WIDTH = 110, WIDE_HEIGHT = 32, PAGE_AND_COUNT = 56 };

static bool is_wide(const struct canvas *canvas, const struct view *view)
{
    return canvas->width >= WIDE_WIDTH && canvas->height >= WIDE_HEIGHT && !view->apart;
}

static bool is_huge(const struct canvas *canvas)
{
    return canvas->width >= 160 && canvas->height >= 50;
}

static void draw_split(struct area area, const struct scene *scene)
{
    struct scene right = *scene;
    int half = area.width / 2;

    right.gutter = 0;
    panel_moon(area_part(area, 0, 0, half - 2, area.height), scene);
    area_upright(area, half - 1, ROLE_BORDER);
    panel_list(area_from(area, half + 1, 0), &right);
}

struct block_look {
    panel_draw *draw;
    bool spread;
    int rig; /* of its block, from 1; with no panel either it is a gap */
};

struct column {
    struct area area;
    const struct scene *scene;
    const struct page_layout *page;
    bool apart;
    int lines[BLOCKS], left;
};

static struct block_look look_of(const struct column *column, enum block block)
{
    static const struct block_look looks[BLOCKS] = {
        [BLOCK_STATUS] = {panel_status, true, 0}, [BLOCK_ALARM] = {panel_alarm, false, 0},
        [BLOCK_HANDS] = {panel_hands, true, 0},   [BLOCK_HEADLINE] = {panel_headline, false, 0},
        [BLOCK_RIG_1] = {NULL, true, 1},          [BLOCK_RIG_2] = {NULL, true, 2},
        [BLOCK_RIG_3] = {NULL, true, 3},          [BLOCK_MOON] = {panel_moon, true, 0},
        [BLOCK_SPLIT] = {draw_split, false, 0},   [BLOCK_LIST] = {panel_list, true, 0},
        [BLOCK_SITE] = {panel_site, true, 0},     [BLOCK_WARNING] = {panel_warning, false, 0},
        [BLOCK_ANSWER] = {panel_keys, false, 0},  [BLOCK_KEYS] = {panel_keys, false, 0},
    };

    return block == BLOCK_PAGE ? (struct block_look){column->page->panel, column->page->spread, 0}
                               : looks[block];
}

/* Lines of the canvas that a line of a block takes. */
static int pitch_of(const struct column *column, enum block block)
{
    return column->apart && look_of(column, block).spread ? 2 : 1;
}

static bool is_wanted(const struct column *column, struct wish wish)
{
    const struct scene *scene = column->scene;
    struct block_look look = look_of(column, wish.block);
    bool alarm = scene->moment->alarm_rig >= 0, is_gap = !look.draw && !look.rig;

    if (column->page->without & WITHOUT(wish.block) || (column->apart && is_gap))
        return false;
    switch (wish.block) {
    case BLOCK_HEADLINE:
        /* From ten lines on it is only larger, where nothing else is the smaller for it; so it is on
         * other pages. */
        return wish.lines == 1 ||
               (!alarm && event_to_come(scene->night, scene->moment, 0) &&
                (column->page->panel ? column->area.height >= PAGE_AND_COUNT
                                     : wish.lines <= 10 || is_huge(column->area.canvas)));
    case BLOCK_ALARM:
        return alarm;
    case BLOCK_HANDS:
        /* A third line is for the Sun's warning; a slim canvas breaks its lines. */
        return wish.lines != 3 || sun_warns(&scene->moment->sun);
    case BLOCK_RIG_1:
        /* More lines are for the picture beside the words. */
        return wish.lines <= RIG_WORDS || prints_fit(column->area);
    case BLOCK_PAGE:
        return column->page->panel;
    case BLOCK_WARNING:
        return warning_stands(scene);
    case BLOCK_KEYS:
        return keys_lines(column->area, scene->view) == 0;
    default:
        return true;
    }
}

static int lines_wished(const struct column *column, struct wish wish)
{
    int most = wish.block == BLOCK_ANSWER  ? keys_lines(column->area, column->scene->view)
               : wish.block == BLOCK_HANDS ? column->page->hands
                                           : ALL_LINES;

    return wish.lines < most ? wish.lines : most;
}

/* Gives a wish's blocks what they ask for, if it is left. For a picture beside their words all rigs grow
 * together, or none. */
static void grant(struct column *column, struct wish wish)
{
    int rigs = column->scene->night->setup.rig_count, pitch = pitch_of(column, wish.block);
    int blocks = wish.block == BLOCK_RIG_1 ? rigs : wish.block == BLOCK_GAP_2 ? rigs - 1 : 1;
    int lines = lines_wished(column, wish);
    bool picture = wish.block == BLOCK_RIG_1 && lines > RIG_WORDS;

    if (!is_wanted(column, wish) ||
        (picture && rigs * (lines - column->lines[BLOCK_RIG_1]) > column->left / pitch))
        return;
    for (int i = 0; i < blocks; i++) {
        int *own = &column->lines[(int)wish.block + 2 * i];
        int more = lines - *own, room = column->left / pitch;
        if (more <= 0 || (more > room && wish.lines < ALL_LINES))
            continue;
        more = more < room ? more : room;
        *own += more;
        column->left -= more * pitch;
    }
}

static void draw_column(const struct column *column)
{
    const struct area area = column->area;
    const struct scene *scene = column->scene;
    struct area headline = area_part(area, 0, 0, area.width, column->lines[BLOCK_HEADLINE]);
    struct scene known = *scene;

    known.disc_apart = (is_wide(area.canvas, scene->view) && !is_huge(area.canvas)) ||
                       !disc_fits_headline(headline, scene);
    for (int block = 0, y = 0; block < BLOCKS; block++) {
        struct block_look look = look_of(column, (enum block)block);
        int lines = column->lines[block], pitch = pitch_of(column, (enum block)block);
        struct area own = area_part(area, 0, y, area.width, lines);

        if (lines > 0 && look.rig)
            panel_rig(own, &known, look.rig - 1);
        else if (lines > 0 && look.draw)
            look.draw(own, &known);
        if (pitch > 1)
            area_spread(area_part(area, 0, y, area.width, pitch * lines));
        y += pitch * lines;
    }
}

/* ---- smaller than any layout ---- */

/* One countdown, and what the hands must do where there is a line for it. The mark of a rehearsal
 * has a line of its own, or comes before the countdown. */
static void draw_small(struct area area, const struct scene *scene)
{
    const char *no_room = layout_of(scene->view)->no_room;
    bool has_own_line = area.height > 2 || (area.height == 2 && area.width < 24);
    bool alarm = scene->moment->alarm_rig >= 0;
    int answer = keys_lines(area, scene->view);
    int most = area.height > 2 ? area.height - 1 : scene->view->prompt != NULL;

    answer = answer < most ? answer : most;
    panel_keys(area_part(area, 0, area.height - answer, area.width, answer), scene);
    area = area_part(area, 0, 0, area.width, area.height - answer);
    if (scene->night->rehearsal && has_own_line) {
        (void)area_text(area, 0, area.height - 1, ROLE_STRONG, "REHEARSAL");
        area = area_part(area, 0, 0, area.width, area.height - 1);
    } else if (scene->night->rehearsal) {
        int x = area_text(area, 0, 0, ROLE_STRONG, area.width < 24 ? "R" : "REHEARSAL") + 1;
        area = area_from(area, x, 0);
    }
    if (scene->view->page == PAGE_TIME_CARD) {
        panel_timecard(area, scene);
        return;
    }
    if (no_room && !alarm) {
        area_text_right(area, area.height - 1, ROLE_LABEL, no_room);
        if (area.height == 1)
            area = area_part(area, 0, 0, area.width - text_columns(area, no_room) - 1, 1);
        else
            area = area_part(area, 0, 0, area.width, area.height - 1);
    }
    if (area.height >= 5) {
        panel_far(area, scene);
        return;
    }
    struct area rest = area_from(area, 0, 1);
    if (alarm && area.height == 1)
        panel_alarm(area, scene);
    else
        panel_headline(area_part(area, 0, 0, area.width, 1), scene);
    if (alarm)
        panel_alarm(rest, scene);
    else
        panel_hands(rest, scene);
}

/* ---- all of it ---- */

enum { SLIM_WIDTH = 20, COLUMN_WIDTH = 40, COLUMN_HEIGHT = 3 };

static void grant_all(struct column *column, const struct wish *wishes, size_t count)
{
    for (size_t i = 0; i < count; i++)
        grant(column, wishes[i]);
}
#define GRANT_ALL(column, wishes) grant_all(column, wishes, sizeof(wishes) / sizeof *(wishes))

static void draw_page(struct area area, const struct scene *scene)
{
    const struct page_layout *page = layout_of(scene->view);
    struct column column = {.area = area,
                            .scene = scene,
                            .page = page,
                            .apart = scene->view->apart && area.height >= APART_HEIGHT,
                            .left = area.height};
    const struct wish page_wishes[] = {
        {BLOCK_PAGE, 2},         {BLOCK_PAGE, 3},    {BLOCK_PAGE, page->few},
        {BLOCK_KEYS, 1},         {BLOCK_ALARM, 3},   {BLOCK_PAGE, page->many},
        {BLOCK_HANDS, 2},        {BLOCK_HANDS, 3},   {BLOCK_GAP_LIST, 1},
        {BLOCK_GAP_SITE, 1},     {BLOCK_GAP_TOP, 1}, {BLOCK_HEADLINE, 5},
        {BLOCK_PAGE, ALL_LINES},
    };

    if (area.width < SLIM_WIDTH || area.height < COLUMN_HEIGHT) {
        draw_small(area, scene);
        return;
    }
    GRANT_ALL(&column, first_wishes);
    if (page->panel)
        GRANT_ALL(&column, page_wishes);
    else if (area.width < COLUMN_WIDTH)
        GRANT_ALL(&column, slim_wishes);
    else if (is_wide(area.canvas, scene->view))
        GRANT_ALL(&column, wide_wishes);
    else
        GRANT_ALL(&column, column_wishes);
    draw_column(&column);
}

void dashboard_draw(struct canvas *canvas, const struct night *night, const struct moment *moment,
                    const struct view *view)
{
    struct scene scene = scene_of(night, moment, view);
    int width = canvas->width;

    scene.gutter = width >= 110  ? GUTTER_LENS
                   : width >= 72 ? GUTTER_NAME
                   : width >= 58 ? GUTTER_NUMBER
                                 : 0;
    canvas_clear(canvas);
    draw_page(canvas_area(canvas), &scene);
}

int view_aim_rig(const struct view *view, const struct moment *moment)
{
    return moment->alarm_rig >= 0 ? moment->alarm_rig : view->rig;
}
