/* Inside the room: what canvas.c and dots.c share. */
#ifndef MOONSTAND_SCREEN_CANVAS_H
#define MOONSTAND_SCREEN_CANVAS_H

#include <moonstand/screen.h>

/* Makes room for a character of `width` columns at a cell of the canvas: a wide character that it
 * would cut in half is blanked. Returns the cell. */
struct cell *cell_claim(struct canvas *canvas, int x, int y, int width);

#endif
