/* What the panels share: the scene, their columns, sentences that fit. */
#include "panels.h"

#include <string.h>

struct scene scene_of(const struct night *night, const struct moment *moment,
                      const struct view *view)
{
    struct subject local = {
        night, moment,
        reader_swapped(reader_local(night), view->hours_swapped, view->units_swapped)};
    struct subject utc = {night, moment, reader_utc()};

    utc.reader.units = local.reader.units;
    return (struct scene){.night = night,
                          .moment = moment,
                          .view = view,
                          .one_clock = strcmp(reader_zone(local.reader, moment->utc),
                                              reader_zone(utc.reader, moment->utc)) == 0,
                          .about = view->utc_first ? utc : local,
                          .other = view->utc_first ? local : utc};
}

char *scene_sentence(struct area area, sentence *say, const struct scene *scene, int rig,
                     char out[SENTENCE])
{
    for (int brevity = 0; brevity < BREVITIES; brevity++) {
        (void)say(&scene->about, rig, brevity, out);
        if (text_columns(area, out) <= area.width)
            break;
    }
    return out;
}

void fit_clauses(struct area area, char *text)
{
    static const char *const marks[] = {"; ", ", ", ": "};

    for (size_t i = 0; i < sizeof marks / sizeof *marks; i++) {
        while (text_lines(area, text) > area.height) {
            char *last = NULL;
            for (char *at = strstr(text, marks[i]); at; at = strstr(at + 1, marks[i]))
                last = at;
            if (!last)
                break;
            *last = '\0';
        }
    }
}

int draw_sentence(struct area area, int y, enum role role, sentence *say, const struct scene *scene,
                  int rig)
{
    char text[SENTENCE];

    return area_text(area, 0, y, role, scene_sentence(area, say, scene, rig, text));
}

bool two_columns(struct area area)
{
    return area.width >= 52;
}

int left_columns(struct area area)
{
    return area.width < 66 ? area.width / 2 : area.width * 9 / 20;
}

struct area panel_named(struct area area, const struct scene *scene, const char *name)
{
    int margin = scene->gutter;

    if (margin >= GUTTER_NAME)
        (void)area_text(area_part(area, 0, 0, margin - 1, 1), 0, 0, ROLE_LABEL, name);
    return area_from(area, margin, 0);
}
