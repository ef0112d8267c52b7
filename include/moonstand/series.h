/* photo: the third-stop steps of shutter and ISO. */
#ifndef MOONSTAND_SERIES_H
#define MOONSTAND_SERIES_H

struct fault;

/* Third-stop steps of shutter and ISO as cameras label them. Shutter: index 0 is 1 s, + is longer,
 * exact time 2^(index/3) s; -45 (1/32000) to 18 (60). */
int shutter_index(double seconds); /* nearest step, clamped to the series */
double shutter_seconds(int index); /* exact */
/* As printed on cameras: "1/60", "0.6", "2". */
const char *shutter_label(int index);
/* The step of such a label; a trailing "s" is accepted. -1 with a fault if there is none. */
int shutter_parse(const char *label, int *index, struct fault *fault);
/* ISO: index 0 is 100, exact 100 * 2^(index/3); -6 (25) to 36 (409600). */
int iso_index(double iso); /* nearest step, clamped to the series */
int iso_label(int index);  /* as printed: 100 125 160 200 ... */

#endif
