/* words: how a rig is aimed. */
#ifndef MOONSTAND_AIM_WORDS_H
#define MOONSTAND_AIM_WORDS_H

#include <moonstand/moment.h>
#include <moonstand/subject.h>

/* The state of a rig's aim: "re-aim in 4:10 min", "not aimed: aim, then press a". */
sentence aim_words;
/* Whether a camera turned to portrait, or back, would keep the Moon longer by more than a third. */
bool turning_pays(const struct rig_moment *rig);
/* Where to put the Moon and whether to turn the camera, unless it has just been put there; where a
 * wide rig points, or how a mount drifts; empty if nothing is to be known: "Moon far left, low: stays
 * in frame 8:16, portrait 12:40". */
sentence look_words;
/* How fast the Moon drifts: "drifts 0.02 px a second"; of a mount how long that takes for its own
 * breadth: "a disc in 40 min". Empty if unknown. */
char *drift_words(const struct rig_moment *rig, char out[SENTENCE]);
char *drift_disc_words(const struct subject *about, int rig, char out[SENTENCE]);
/* A mount's flip: "in 1:02:33", "is due"; empty if none comes. */
char *flip_words(const struct rig_moment *rig, char out[SENTENCE]);
/* How long the Moon stays: "12:41", or "to P4" if nothing else ends it. */
char *stay_left_words(const struct subject *about, double stay_s, char out[TEXT_SPAN]);
/* What else there is to know: of a wide rig the Moon's way through the picture, of another that is not
 * aimed yet how long the Moon would stay from the centre. */
sentence else_words;
/* Of a rig that has a pose: where it points and what it covers. */
sentence pose_words;
/* The same in two sentences that say all of it: "38.2 up, 124.5 SE: do not touch it", and
 * "P1 to P4: left 21:04 to right 03:12". */
sentence pose_state_words, pose_way_words;
/* Before where a rig points, and before where the Moon enters and leaves: "aimed at", "aim at"; "Moon in",
 * "Moon rises"; "Moon out", "Moon sets". */
const char *pose_name(const struct subject *about, int rig);
const char *pose_enters_name(const struct pose *pose);
const char *pose_leaves_name(const struct pose *pose);
/* What a pose covers: "P1 to P4", "now to U4", "U2 to moonset"; with brevity "U2 to set". */
sentence covers_words;
/* Where and when the Moon enters and leaves a pose's picture. About a null moment: on paper. */
char *way_words(const struct subject *about, const struct pose *pose, int brevity,
                char out[SENTENCE]);
/* Labels: before the Moon's place in the frame, where to put it, and that from the frame's centre; before how
 * long it stays from there, and from the centre; before what a pose covers. */
#define IT_STANDS_LABEL "it stands"
#define PUT_IT_LABEL "put it"
#define OF_CENTRE_LABEL "of centre"
#define PUT_THERE_LABEL "put there"
#define CENTRED_LABEL "centred"
#define COVERS_LABEL "covers"
/* What of a rig's picture does not fit: "P1 to P4 needs 17.2 mm or less; at 18 mm only U1 to U4
 * fits". Empty if all does. */
char *misfit_words(const struct night *night, int rig, char out[SENTENCE]);
/* "tilt 3.7 clockwise"; empty: no tilt. */
enum { TILT_WORDS = 32 };
char *tilt_words(double roll_rad, char out[TILT_WORDS]);

#endif
