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
    int x = area_text(area, 0, 0, hands.role, hands.now);
    if (area.height > 1)
        (void)area_text(area, 0, 1, hands.then_role, hands.then);
    else if (area.width - x >= 16 && *hands.then)
        (void)area_text(area, x + 2, 0, hands.then_role, hands.then);
}
