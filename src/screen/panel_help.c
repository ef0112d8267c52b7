/* The keys on a page, in groups by what they are for: those to learn for a night (?), or all of
 * them, to be chosen and done (the menu). The chosen one is explained below. */
#include "panels.h"

#include <moonstand/keys.h>
#include <moonstand/sky_words.h>

enum {
    NAMED = 2 + KEY_LABEL + KEY_NAME + 1, /* columns of a key and its name */
    TIGHT = 2 + 1 + 1 + KEY_NAME + 1,     /* columns of a letter and its name right behind */
    EXPLAINED = NAMED + KEY_HELP_LINES * KEY_HELP_WIDTH, /* of those and its help, in one line */
    HEADED = 5, /* from so many lines on groups have headings */
    ROOMY = 14, /* so many have room for caveats, too */
};

const char *key_group_name(enum key_group group)
{
    static const char *const names[KEY_GROUPS] = {
        [KEYS_AIM] = "Aim",         [KEYS_EXPOSE] = "Expose",
        [KEYS_KIT] = "Kit and air", [KEYS_NOTE] = "Tick and note",
        [KEYS_SEE] = "See it so",   [KEYS_GO] = "Get about",
        [KEYS_SETUP] = "Set up",
    };

    return names[group];
}

/* Whether the page of keys that is open has this row. */
static bool key_is_shown(const struct view *view, const struct key_row *row)
{
    return row->label && (row->learn || view->keys_open == KEYS_ALL);
}

static int next_shown(const struct view *view, int index, int by)
{
    int count = 0;

    while (view->keys[count].name)
        count++;
    do
        index = (index + by + count) % count;
    while (!key_is_shown(view, &view->keys[index]));
    return index;
}

/* The first row of another group on the way up or down. */
static int past_group(const struct view *view, int index, int by)
{
    enum key_group group = view->keys[index].group;

    while (view->keys[index].group == group)
        index = next_shown(view, index, by);
    return index;
}

int key_step(const struct view *view, int rows, int groups)
{
    int index = view->key;

    if (!key_is_shown(view, &view->keys[index]))
        index = next_shown(view, index, 1);
    for (; rows; rows += rows < 0 ? 1 : -1)
        index = next_shown(view, index, rows < 0 ? -1 : 1);
    for (; groups > 0; groups--)
        index = past_group(view, index, 1);
    /* The group before begins below the one before that. */
    for (; groups < 0; groups++)
        index = next_shown(view, past_group(view, past_group(view, index, -1), -1), 1);
    return index;
}

/* What the page below the help is for. */
static const char *const page_help[PAGES] = {
    [PAGE_NIGHT] = "The night at a glance. Every key works on every page.",
    [PAGE_LIST] = "The whole checklist, with the chosen item's note.",
    [PAGE_FAR] = "To be read from afar; an alarm takes the whole of it.",
    [PAGE_CURVES] = "Light, altitude and the settings of the chosen rig, from P1 to P4.",
    [PAGE_FRAME] = "The picture of a rig: where to put the Moon, and which way it moves.",
    [PAGE_KIT] = "What could run out, and the clocks of the cameras.",
    [PAGE_SETUP] = "The setup, line by line; left goes back, Ctrl-U empties an answer.",
    [PAGE_TIME_CARD] = "Photograph it with every camera; its clock can then be corrected.",
};

static void draw_about(struct area area, const struct scene *scene, bool all)
{
    const struct view *view = scene->view;

    if (view->keys_open == KEYS_ALL)
        (void)area_print(area, 0, 0, ROLE_VALUE,
                         "Menu for rig %d %s: choose%s with the arrows, Enter does it%s",
                         view->rig + 1, scene->night->rig[view->rig].rig.name,
                         all ? "" : " and see more", all ? ", Esc goes back" : "");
    else
        (void)area_text(area, 0, 0, ROLE_VALUE, page_help[view->page]);
}

static void draw_key(struct area area, const struct scene *scene, int index)
{
    const struct view *view = scene->view;
    const struct key_row *row = &view->keys[index];
    bool chosen = index == view->key, here = row->pages & 1U << view->page;
    enum role role = here ? ROLE_VALUE : ROLE_LABEL;

    if (chosen)
        (void)area_text(area, 0, 0, ROLE_STRONG, glyph(area.canvas->glyphs, GLYPH_POINTER));
    int x = 1 + area_text(area, 2, 0, chosen || here ? ROLE_STRONG : ROLE_VALUE, row->label);
    if (area.width >= NAMED - 1)
        x = 2 + KEY_LABEL;
    (void)area_text(area, x, 0, chosen ? ROLE_STRONG : role, row->name);
    if (area.width >= EXPLAINED - 1)
        (void)area_text(area, NAMED, 0, chosen ? ROLE_VALUE : ROLE_LABEL, row->help);
}

/* How keys stand: down the columns, then on to the next part. Groups are whole, or begin with a heading
 * and a row; one that goes on in the next column has its heading there, too. */
struct grid {
    int columns, height;
    bool whole;
    int parts; /* that all keys take */
};

static int group_lines(const struct view *view, int first)
{
    int lines = 1;

    for (int i = first; view->keys[i].name && view->keys[i].group == view->keys[first].group; i++)
        lines += key_is_shown(view, &view->keys[i]);
    return lines;
}

static int longest_group(const struct view *view)
{
    int longest = HEADED;

    for (int i = 0; view->keys[i].name; i++) {
        int lines = group_lines(view, i);
        longest = lines > longest ? lines : longest;
    }
    return longest;
}

/* Draws part `wanted`, and counts them. Returns the part that has the chosen row. */
static int flow_keys(struct area area, const struct scene *scene, struct grid *grid, int wanted)
{
    const struct view *view = scene->view;
    int width = area.width / grid->columns, height = grid->height;
    int slot = 0, group = -1, part_of_chosen = 0;

    for (int i = 0; view->keys[i].name; i++) {
        const struct key_row *row = &view->keys[i];
        bool begins = (int)row->group != group;
        bool heads = (begins || slot % height == 0) && height >= HEADED;

        if (!key_is_shown(view, row))
            continue;
        group = (int)row->group;
        if (heads && slot % height > 0)
            slot++;
        if (heads && slot % height + (grid->whole ? group_lines(view, i) : 2) > height)
            slot += height - slot % height;
        for (int line = heads ? 0 : 1; line < 2; line++, slot++) {
            struct area own =
                area_part(area, slot / height % grid->columns * width, slot % height, width - 1, 1);
            int part = slot / height / grid->columns;

            grid->parts = part + 1;
            if (line == 1 && i == view->key)
                part_of_chosen = part;
            if (part != wanted)
                continue;
            if (line == 0)
                (void)area_text(own, 0, 0, ROLE_STRONG, key_group_name(row->group));
            else
                draw_key(own, scene, i);
        }
    }
    return part_of_chosen;
}

/* The lowest that has all keys at once: one column with their help, else as many as fit, for want of
 * room with names right behind the keys, and with groups that go on in the next column. */
static struct grid grid_for(struct area area, const struct scene *scene)
{
    static const struct {
        int pitch;
        bool whole;
    } ways[] = {{EXPLAINED, true}, {NAMED, true}, {TIGHT, true}, {TIGHT, false}};
    struct grid grid = {.columns = 1};

    for (size_t i = 0; i < sizeof ways / sizeof *ways; i++) {
        if (area.width < ways[i].pitch)
            continue;
        grid.columns = ways[i].pitch == EXPLAINED ? 1 : area.width / ways[i].pitch;
        grid.whole = ways[i].whole;
        for (grid.height = longest_group(scene->view); grid.height <= area.height; grid.height++) {
            (void)flow_keys(area, scene, &grid, -1);
            if (grid.parts == 1)
                return grid;
        }
    }
    grid.height = area.height;
    grid.whole = scene->view->keys_open == KEYS_TO_LEARN;
    return grid;
}

void panel_help(struct area area, const struct scene *scene)
{
    const struct view *view = scene->view;
    bool framed = area.height > HEADED,
         caution = area.height >= ROOMY && view->keys_open == KEYS_TO_LEARN;
    int help = area.width < KEY_HELP_WIDTH ? KEY_HELP_LINES + 1 : KEY_HELP_LINES, below = 0;
    char caveats[2 * CAVEAT_WORDS] = "", utc[CAVEAT_WORDS];

    if (caution) {
        text_add(caveats, sizeof caveats, "", "%s", UMBRA_CAVEAT);
        if (utc_caveat_words(scene->moment->utc, true, utc))
            text_add(caveats, sizeof caveats, " ", "%s", utc);
    }
    if (framed)
        below = help + text_lines(area, caveats);
    struct area keys = area_part(area, 0, framed, area.width, area.height - framed - below);
    struct grid grid = grid_for(keys, scene);
    int part = flow_keys(keys, scene, &grid, -1);

    (void)flow_keys(keys, scene, &grid, part);
    if (!framed)
        return;
    draw_about(area, scene, grid.parts == 1);
    int y = 1 + grid.height, gap = y + 1 + below <= area.height;
    struct area foot = area_from(area, 0, y + gap);
    if (keys.width < EXPLAINED || grid.columns > 1) {
        area_wrap(area_part(foot, 0, 0, foot.width, help), ROLE_VALUE, view->keys[view->key].help);
        foot = area_from(foot, 0, help);
    }
    area_wrap(foot, ROLE_LABEL, caveats);
}
