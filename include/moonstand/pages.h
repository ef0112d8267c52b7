/* base: pages of memory. One costs time and memory when it is written to for the first time. */
#ifndef MOONSTAND_PAGES_H
#define MOONSTAND_PAGES_H

#include <stddef.h>

/* Sets all bytes to zero, and writes only where one is not: pages that nobody has written to yet cost no
 * memory, and much of a night stays such. */
void pages_clear(void *bytes, size_t size);

/* Asks for all pages of these bytes at once, which are written to soon: in a virtual machine each of them costs ten
 * times as much by itself. Where the kernel cannot (before Linux 5.14, or where its pages are larger than 4 kB),
 * they come one by one. Returns `bytes`; NULL stays NULL. */
void *pages_fetch(void *bytes, size_t size);

#endif
