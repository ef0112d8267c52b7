/* devices: a gpsd on this machine.
 *
 * All devices are driven alike; none waits, sleeps or looks at a clock by itself:
 *   X_fd             descriptor to poll for reading; -1 none now; may change with every call below;
 *                    a device without this function never has one
 *   X_on_readable    call it when poll reports anything for that descriptor, errors included
 *   X_next_deadline  when X_on_deadline wants to be called; INFINITY: no wish
 *   X_on_deadline    does nothing before the deadline: a loop that calls it every second, as the
 *                    live screen's does, need not ask for that
 *   X_fill           the device's part of the readings as it stands
 * `boot_s` and deadlines are seconds of CLOCK_BOOTTIME, which runs on while the laptop sleeps.
 */
#ifndef MOONSTAND_GPS_H
#define MOONSTAND_GPS_H

struct fault;
struct readings;

struct gps_device;

/* `host`: a numeric loopback address (127.x.x.x or ::1), or empty for no GPS at all; `port`: 1 to
 * 65535. Names and other addresses are refused: they could make the loop wait. Nothing is opened
 * yet. Returns null with a fault where the address is refused or memory is out. */
struct gps_device *gps_device_new(const char *host, int port, struct fault *fault);
/* Closes the connection; null is allowed. */
void gps_device_free(struct gps_device *gps);

/* gpsd may be absent, fall silent, die and come back: the device reconnects after 1, 2, 5, 10, then
 * every 30 s, and from 1 s again once a report has come. */
int gps_device_fd(const struct gps_device *gps);
void gps_device_on_readable(struct gps_device *gps, double boot_s);
double gps_device_next_deadline(const struct gps_device *gps);
void gps_device_on_deadline(struct gps_device *gps, double boot_s);

/* Writes readings->gps. `utc` and `boot_s`: the machine's own wall clock (not a rehearsal's) and
 * boot clock at the same instant.
 *   - Place and height are the median of the last 20 fixes, held still until that median has gone
 *     10 m sideways or 20 m in height (0.3 arcsec of the sky): a site does not follow the jitter.
 *   - A fix is kept for 60 s, with its age, then forgotten; so is the count of satellites.
 *   - error_m is gpsd's estimate for the last fix; receivers do not agree on its confidence.
 *   - clock_offset_s is the median over the last fixes, from five on, and clock_spread_s their
 *     interquartile range. A report arrives some tenths of a second after its instant and the
 *     offset is too large by that; a receiver fresh from the cold may be off by whole leap seconds
 *     for its first quarter of an hour. Setting the wall clock shows at once. */
void gps_device_fill(const struct gps_device *gps, double utc, double boot_s,
                     struct readings *readings);

#endif
