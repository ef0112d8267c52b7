/* words: places in the frame, directions, sites. */
#ifndef MOONSTAND_PLACE_WORDS_H
#define MOONSTAND_PLACE_WORDS_H

#include <moonstand/frame.h>

struct site;

/* Where a point of the frame is: "left, a little low", "far left, near the lower edge". Shorter with
 * more `brevity`: 1 "far left, low", 2 "far left", 3 "left". "-" if not finite. */
enum { FRAME_WORDS = 48 };
char *frame_words(struct frame_point point, int brevity, char out[FRAME_WORDS]);
/* The same in numbers, in parts of the frame's width and height: "23 % right, 4 % below the centre"; `brief`:
 * "23 % right, 4 % below". */
char *offset_words(struct frame_point point, bool brief, char out[FRAME_WORDS]);
/* "portrait" or "landscape". */
const char *orientation_words(bool portrait);
/* "altitude 38.2, azimuth 124.5 SE", in degrees. */
enum { DIRECTION_WORDS = 48 };
char *direction_words(double altitude_rad, double azimuth_rad, char out[DIRECTION_WORDS]);

/* What the marks in a drawn frame are: of a wide rig the discs of its chain, so far apart and as large as they
 * are drawn ("" where that is as they are); of others minutes, or rings. */
char *frame_chain_words(int minutes, char out[FRAME_WORDS]);
char *frame_chain_size_words(double times, char out[FRAME_WORDS]);
#define FRAME_MINUTES_WORDS "numbers: minutes from now"
#define FRAME_RINGS_WORDS "rings: in 30, 60 min"

/* Of a site, in degrees: "latitude 62.00000, longitude 60.00000, 420 m". */
enum { SITE_PLACE_WORDS = 64 };
char *site_place_words(const struct site *site, char out[SITE_PLACE_WORDS]);

#endif
