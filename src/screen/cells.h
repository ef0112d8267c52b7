/* Inside the room: what canvas.c and dots.c share. */
#ifndef MOONSTAND_SCREEN_CELLS_H
#define MOONSTAND_SCREEN_CELLS_H

#include "area.h"

static inline struct cell *cell_at(const struct canvas *canvas, int x, int y)
{
    return &canvas->cell[(size_t)y * (size_t)canvas->width + (size_t)x];
}

/* Makes room for a character of `width` columns at a cell of the canvas: a wide character that it
 * would cut in half is blanked. Returns the cell. */
struct cell *cell_claim(struct canvas *canvas, int x, int y, int width);

#endif
