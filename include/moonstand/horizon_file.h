/* store: horizon files. */
#ifndef MOONSTAND_HORIZON_FILE_H
#define MOONSTAND_HORIZON_FILE_H

struct fault;
struct horizon;

/*  *
 * Text, at most 64 KiB and 360 points: on each line azimuth (rising from 0 to below 360) and altitude
 * (-10 to 90) in degrees, parted by blanks, tabs, commas or semicolons; from # on a remark.
 */
int horizon_parse(const char *name, const char *text, struct horizon *horizon, struct fault *fault);
int horizon_read(const char *path, struct horizon *horizon, struct fault *fault);

#endif
