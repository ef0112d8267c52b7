/* words: batteries and cards. */
#ifndef MOONSTAND_POWER_WORDS_H
#define MOONSTAND_POWER_WORDS_H

#include <moonstand/kit.h>
#include <moonstand/subject.h>

/* "reading", "forecast", "site" (the setup's), "unknown": where a temperature comes from. */
const char *cold_source_name(enum cold_source source);
/* "runs down", "before totality", "after totality", "with the re-aim", "beside a contact",
 * "in totality", "too late". */
const char *swap_reason_name(enum swap_reason reason);
/* "2 batteries needed, 1 spare left; each lasts 2:49 at 12 C (site)"; "no time for a change, 1 spare left;
 * ..." of a rig that must not be touched before its battery is empty. */
char *needed_words(const struct subject *about, int rig, const struct rig_power *power,
                   char out[SENTENCE]);
/* Whether the first change of a plan should have been; never on paper. */
bool swap_is_overdue(const struct subject *about, const struct rig_power *power);
/* When batteries are changed and why: "at 21:10 (before totality), 23:30"; empty: never. */
char *swaps_words(const struct subject *about, const struct rig_power *power, char out[SENTENCE]);
/* Those after the first one: "then change 23:30"; empty: none. */
char *later_swaps_words(const struct subject *about, const struct rig_power *power,
                        char out[SENTENCE]);
/* Why external power is needed: "battery ends 21:59: connect external power". Empty if it is not. */
#define EXTERNAL_WORDS "external power"
char *supply_plan_words(const struct subject *about, int rig, const struct rig_power *power,
                        char out[SENTENCE]);
/* "room for 2285 frames, 149 still to take", or when it is full, to be changed at `change_utc`. */
char *card_plan_words(const struct subject *about, int rig, const struct card_budget *card,
                      double change_utc, char out[SENTENCE]);
/* The same at this moment; the battery in use: "change the battery 21:10 (before totality), empty
 * 21:59". */
sentence battery_words, life_words, supply_words, card_words;

#endif
