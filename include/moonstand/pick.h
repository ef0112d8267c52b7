/* night: which eclipse, from a site. */
#ifndef MOONSTAND_PICK_H
#define MOONSTAND_PICK_H

#include <moonstand/eclipse.h>

#include <stdbool.h>

struct observer;
struct site;

/* The eclipse to open at `utc` from a site: the next (or current) umbral eclipse whose umbral phase
 * is up at some time; `penumbral_from` also takes penumbral ones of at least that magnitude (NaN:
 * none). Returns false where there is none before the end of 2100. `site` null: seen from anywhere.
 */
bool eclipse_pick(const struct site *site, enum shadow_rule rule, double utc, double penumbral_from,
                  struct eclipse *eclipse);
/* Whether the Moon is up at some time between P1 and P4; `site` null: seen from anywhere. */
bool eclipse_is_seen(const struct eclipse *eclipse, const struct site *site);
/* The eclipse whose night it is at `utc`: one of any kind from P1 to P4, seen from the site or not;
 * after P4, as long as the checklist goes on, one that was up there at some time. `site` null: seen
 * from anywhere. False if there is none. */
#define NIGHT_AFTER_P4_S (12 * 3600.0)
bool eclipse_tonight(const struct site *site, enum shadow_rule rule, double utc,
                     struct eclipse *eclipse);
/* The eclipse with greatest on the UTC day that begins at `day_utc`; false where there is none. */
bool eclipse_of_day(double day_utc, enum shadow_rule rule, struct eclipse *eclipse);
/* The eclipse of any kind in progress at `utc` (P1 to P4), else the next: after the last one of 2100
 * the first of 2101. */
bool eclipse_current(double utc, enum shadow_rule rule, struct eclipse *eclipse);
void site_observer(const struct site *site, struct observer *observer);

#endif
