#include "panels.h"

void panel_hands(struct area area, const struct scene *scene)
{
    struct hands hands;

    hands_find(scene, &hands);
    area = panel_named(area, scene, "Hands");
    /* The band of an alarm says the same. */
    if (hands.role == ROLE_ALARM && area.height == 1) {
        (void)area_text(area, 0, 0, hands.then_role, hands.then);
        return;
    }
    hands_draw(area, &hands);
}

/* What is to be done now takes the lines that it needs, what follows the others. */
void hands_draw(struct area area, const struct hands *hands)
{
    int lines = text_lines(area.canvas->glyphs, hands->now, area.width);

    if (area.height == 1) {
        int x = area_text(area, 0, 0, hands->role, hands->now);
        if (area.width - x >= 16 && *hands->then)
            (void)area_text(area, x + 2, 0, hands->then_role, hands->then);
        return;
    }
    lines = lines < area.height ? lines : area.height;
    area_wrap(area_part(area, 0, 0, area.width, lines), hands->role, hands->now);
    area_wrap(area_part(area, 0, lines, area.width, area.height), hands->then_role, hands->then);
}
