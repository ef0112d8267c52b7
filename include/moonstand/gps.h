/* devices: a gpsd on this machine.
 *
 * All devices work alike; none waits, sleeps or reads a clock:
 *   X_fd           descriptor to poll for reading, -1 if there is none now; may change with every
 *                  call below; a device without this function never has one
 *   X_on_readable  call it when poll reports anything for that descriptor, errors included
 *   X_tick         call it once a second: does what is due
 *   X_fill         writes the device's part of the readings; a device without this function has its
 *                  tick do so, if it has any
 * `boot_s` is CLOCK_BOOTTIME in seconds, which runs on while the laptop sleeps.
 */
#ifndef MOONSTAND_GPS_H
#define MOONSTAND_GPS_H

struct fault;
struct readings;

struct gps_device;

/* `host`: a numeric loopback address (127.x.x.x or ::1); `port`: 1 to 65535.
 * Names and other addresses are refused because they could block the loop. Opens nothing yet.
 * Returns null with a fault if the address is refused or memory runs out. */
struct gps_device *gps_device_new(const char *host, int port, struct fault *fault);
/* Closes the connection; accepts null. */
void gps_device_free(struct gps_device *gps);

/* gpsd may be absent, fall silent, die and come back: the device reconnects after 1, 2, 5, 10, then
 * every 30 s, and starts again at 1 s after a report. */
int gps_device_fd(const struct gps_device *gps);
void gps_device_on_readable(struct gps_device *gps, double boot_s);
void gps_device_tick(struct gps_device *gps, double boot_s);

/* Writes readings->gps. `utc` and `boot_s`: the machine's own wall clock (not a rehearsal's) and
 * boot clock at the same instant.
 *   - Place and height are the median of the last 20 fixes. They stay put until that median moves
 *     10 m sideways or 20 m in height (0.3 arcsec of the sky), so that the site does not jitter.
 *   - A fix is kept for 60 s, with its age, then dropped; so is the number of satellites.
 *   - error_m is gpsd's estimate for the last fix; receivers differ in its confidence level.
 *   - clock_offset_s is the median over the last fixes, if there are at least five, and
 *     clock_spread_s their interquartile range. Reports arrive some tenths of a second late, which
 *     makes the offset too large by as much; a receiver after a cold start may be off by whole leap
 *     seconds for a quarter of an hour. A change of the wall clock shows at once. */
void gps_device_fill(const struct gps_device *gps, double utc, double boot_s,
                     struct readings *readings);

#endif
