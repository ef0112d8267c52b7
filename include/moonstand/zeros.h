/* base: zeros. */
#ifndef MOONSTAND_ZEROS_H
#define MOONSTAND_ZEROS_H

#include <stddef.h>

/* Sets all bytes to zero, and writes only where one is not: pages that nobody has written to yet cost no
 * memory, and much of a night stays such. */
void zeros_put(void *bytes, size_t size);

#endif
