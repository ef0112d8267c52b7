/* words: what a camera is set to, and why. */
#ifndef MOONSTAND_SETTING_WORDS_H
#define MOONSTAND_SETTING_WORDS_H

#include <moonstand/exposure.h>
#include <moonstand/subject.h>

struct rig_moment;
struct shooting;
struct test_print;

#define NO_SETTING_WORDS "no setting"
#define NO_LIGHT_WORDS "no light on that target now"
#define NO_FRAMES_WORDS "done: no more frames"
#define NO_CHANGE_WORDS "no more changes"
/* What to set: "1/60 s, ISO 400, f/6.3", of a bracket "1/20 s, ISO 400, f/6.3 (middle of 5)"; "no
 * setting". `brevity` 1 leaves out the f-number, 2 says "middle 1/20 s, ISO 400". */
enum { SETTING_WORDS = 64 };
char *setting_words(const struct exposure *exposure, int brevity, char out[SETTING_WORDS]);
/* The frames of a bracket: "5 frames, 2 stops apart"; with more `brevity` "5 x 2 stops", "5 x 2".
 * Empty if it is none. */
enum { BRACKET_WORDS = 48 };
char *bracket_words(const struct exposure *exposure, int brevity, char out[BRACKET_WORDS]);
/* "first" or "middle": the frame of a bracket whose setting is shown. */
const char *bracket_shown_name(enum bracket_shown shown);
/* "1 % clipped, 47 % too dark": what of the disc a test print loses. Empty if unknown. */
char *print_words(const struct test_print *print, char out[SETTING_WORDS]);
/* "0.9 stops too dark": the setting of the round in force if it is further off than the rig tolerates;
 * else, if that is unknown, or if the next round comes before a frame, empty. */
enum { STOPS_WORDS = 32 };
char *off_words(const struct rig *rig, const struct rig_moment *now, char out[STOPS_WORDS]);
/* Why the setting is no better: "ISO 10000: shutter capped by blur", "umbra 1.3 stops short"; shorter
 * with more `brevity` as a sentence is. Empty if nothing limits it, and when the sky outshines the
 * target (nothing is missing then). */
enum { LIMIT_WORDS = 48 };
char *limit_words(const struct rig *rig, const struct exposure *exposure, int brevity,
                  char out[LIMIT_WORDS]);
/* What would help against a deficit, or what the speed calls for; null where there is nothing to
 * say. */
enum { HELP_WORDS = 96 };
const char *exposure_help(const struct rig *rig, const struct exposure *exposure,
                          char out[HELP_WORDS]);
/* What a rig's setting is for and what limits it: "for the umbra, shutter capped by blur, +0.3"; what
 * the sky hides; or why there is no setting. */
sentence purpose_words;
/* How often a rig shoots, and why if its setup does not say so: "20 s", "10 s (a time-lapse)", "3 min (a
 * chain: no two discs touch)". */
enum { INTERVAL_WORDS = 48 };
char *interval_words(const struct shooting *shooting, char out[INTERVAL_WORDS]);
/* Of a rig that is done: "last frame 01:41:02", "no frames". */
sentence last_frame_words;
/* Its next change: "21:04:18 set 1/60 s, ISO 400"; empty if none comes. */
sentence next_words;

#endif
