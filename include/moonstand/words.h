/* words: English about the night, for every screen and print: instants in local time, settings,
 * jobs. Pure. */
#ifndef MOONSTAND_WORDS_H
#define MOONSTAND_WORDS_H

#include <moonstand/act.h>
#include <moonstand/air.h>
#include <moonstand/event.h>
#include <moonstand/frame.h>
#include <moonstand/framing.h>
#include <moonstand/moment.h>
#include <moonstand/night.h>
#include <moonstand/seen.h>
#include <moonstand/test_print.h>

/* ---- instants (local_time.c) ---- */

/* The clock that a reader goes by. */
struct reader {
    const struct zone_table *zone;
    enum hours hours;
    enum units units;
    bool still; /* reads what changes, line by line: no running numbers */
};
/* The local clock of a night as its setup has it. */
struct reader reader_local(const struct night *night);
/* UTC, with 24 hours, metric. */
struct reader reader_utc(void);
/* With the other form of hours, or the other units. */
struct reader reader_swapped(struct reader reader, bool hours, bool units);
/* The letters of a reader's zone at an instant: "+05", "UTC" (before 1972 "UT1"). */
const char *reader_zone(struct reader reader, double utc);
/* "UTC", or "UT1" before 1972. */
const char *scale_name(double utc);

/* What a sentence is about, and who reads it. */
struct subject {
    const struct night *night;
    const struct moment *moment; /* null on paper, which knows no now */
    struct reader reader;
};

/* A sentence about one rig, or about the night whatever the rig: in full with `brevity` 0, shorter with
 * every step up to BREVITIES - 1, until the reader has room for it. Returns `out`. */
enum { SENTENCE = 160, BREVITIES = 5 };
typedef char *sentence(const struct subject *about, int rig, int brevity, char out[SENTENCE]);

/* An instant, rounded to the nearest second or minute shown. The zone's letters follow where the
 * clock shows that time twice, or always. */
enum clock_form {
    CLOCK_SECONDS = 1,
    CLOCK_DAY = 2,    /* "2028-12-31 22:04" */
    CLOCK_ZONE = 4,   /* "22:04 +05" */
    CLOCK_RUNNING = 8 /* what a clock shows now: cut, as clocks are */
};
char *clock_words(char out[TEXT_INSTANT], struct reader reader, double utc, unsigned form);
/* "22:04" and "22:04:18". */
char *clock_minute(char out[TEXT_INSTANT], struct reader reader, double utc);
char *clock_second(char out[TEXT_INSTANT], struct reader reader, double utc);
/* Whether an instant is so close to `now`, or unknown, that its day need not be named. */
bool is_near(double utc, double now);
/* "22:04:18"; "2028-12-31 22:04" if it is not near. `form`: 0 or CLOCK_ZONE. */
char *clock_near(char out[TEXT_INSTANT], const struct subject *about, double utc, unsigned form);
/* "22:04:18 +05, 17:04:18 UTC"; once if the local time is UTC. */
char *clock_both(char out[2 * TEXT_INSTANT], const struct subject *about, double utc);
/* YYYY-MM-DD on the reader's clock. */
char *day_words(char out[TEXT_INSTANT], struct reader reader, double utc);
/* The day of greatest eclipse in UTC, YYYY-MM-DD. */
char *eclipse_day(char out[TEXT_INSTANT], const struct eclipse *eclipse);
/* A countdown; returns its unit: "1:02:33" and "h", "2:33" and "min", or "733" and "days". */
const char *countdown_words(char out[TEXT_SPAN], double seconds);
/* For people, to the second only within the hour: "2:33 min", "1h02", "21 days". */
char *left_words(char out[TEXT_SPAN], double seconds);
/* A length of time that nobody needs to the second, without its sign: "45 s", "12 min", "1h05",
 * "21 days". */
char *rough_words(char out[TEXT_SPAN], double seconds);

/* How long a Moon stays, never told too long: "12:41 min", from an hour on "2h05". */
char *stay_words(char out[TEXT_SPAN], double seconds);

/* ---- what happens by itself (event.c) ---- */

/* Words for the name of an event: "penumbral shading visible"; `brief`: "first shading". */
const char *event_words(const char *name, bool brief);
/* What a contact means for the eye: "umbra touches the Moon". */
const char *contact_meaning(enum contact contact, bool brief);
/* The same for an event; "" for any other than a contact. */
const char *event_meaning(const struct night_event *event, bool brief);
/* An event by its name and meaning: "U1, umbra touches the Moon". */
char *event_told_words(const struct night_event *event, char out[SENTENCE]);
/* The same with when it is: "U1 in 12:33 min: 21:04:18 +01, 20:04:18 UTC - umbra touches the Moon"; for
 * a still reader "U1 at 21:04:18, umbra touches the Moon". */
char *event_when_words(const struct subject *about, const struct night_event *event,
                       char out[SENTENCE]);
/* How near it is, in steps: "less than 10 min to U1"; empty an hour and more ahead. */
char *event_near_words(const struct subject *about, const struct night_event *event,
                       char out[SENTENCE]);
/* "total lunar eclipse of 2028-12-31". */
char *eclipse_title_words(const struct eclipse *eclipse, char out[SENTENCE]);
/* "total, greatest 2028-12-31 16:52:06 UTC, umbral magnitude 1.246, penumbral 2.274, Saros 125". */
char *eclipse_words(const struct eclipse *eclipse, char out[SENTENCE]);
/* "umbral 1.246, penumbral 2.274, gamma -0.3268, Saros 125, shadow danjon". */
char *magnitude_words(const struct eclipse *eclipse, char out[SENTENCE]);
/* In a calendar: "Lunar eclipse U1: umbra touches the Moon", "Lunar eclipse: moonrise"; what it says of
 * the Moon: "Moon at altitude 38.2, azimuth 124.5 SE". */
char *calendar_contact_words(enum contact contact, char out[SENTENCE]);
char *calendar_sky_words(const char *name, char out[SENTENCE]);
char *calendar_moon_words(const struct sight *moon, char out[SENTENCE]);
/* When no event is to come: "nothing more in the sky tonight, 4 left on the list". */
char *no_event_words(const struct subject *about, char out[SENTENCE]);
#define NEVER_UP_WORDS "no phase is up from here"
#define UNSEEN_WORDS "Moon not up"
/* Behind the name of an event. */
#define UNSEEN_NOTE " (" UNSEEN_WORDS ")"
/* Whether the Moon is not up then. Moonrise and moonset are seen as far as anything is. */
bool is_unseen(const struct night_event *event);
/* What begins or ends when the sky hides a target: "umbra lost in twilight". The same text for the
 * same event. */
const char *lost_event_words(const struct lost_span *lost, bool ends);
/* "Moon lost in twilight until about 18:10", or a shorter form: `brevity` 0 (all of it) to
 * LOST_BREVITIES - 1. `until` is the end of its span as the reader has it. */
enum { LOST_BREVITIES = 3, LOST_WORDS = 80 };
char *lost_words(const struct lost_span *lost, const char *until, int brevity,
                 char out[LOST_WORDS]);
/* On paper: "from 16:05: Moon lost in twilight until about 16:41". */
char *lost_span_words(const struct lost_span *lost, struct reader reader, char out[LOST_WORDS]);
/* The sky's light for an airless altitude of the Sun: "day" ... "full night"; "" if unknown. */
const char *sky_words(double sun_altitude_rad);
/* "partial, umbral magnitude 0.412", "outside the shadow". */
sentence phase_words;
#define UNPLACED_WORDS "place unknown"
/* "35.1 deg up, rising, azimuth 108 ESE", "just up, rising, azimuth 54 NE". */
sentence moon_place_words;
/* "sets in 1h02, at 22:04:18", "behind the local horizon until 22:04", "stays up to the end". Empty
 * after the last exposure. */
sentence horizon_words;
/* "9.2 mag dimmer", "full light", "no phase is up from here". */
sentence light_words;
/* "9.2 mag dimmer". */
char *dimmer_words(double drop_mag, char out[SENTENCE]);
/* Of a curve, or a stretch of it: it is drawn later; the Moon is down, or hidden. */
#define NO_TRACK_WORDS "known from the eclipse's day on"
#define NOT_SEEN_WORDS "not seen"
/* What to know of every time. */
#define UMBRA_CAVEAT "The edge of the real umbra is uncertain by tens of seconds."
/* What to know about UTC so far ahead that no leap second is announced; false if it is. */
enum { CAVEAT_WORDS = 200 };
bool utc_caveat_words(double utc, bool brief, char out[CAVEAT_WORDS]);
/* Why the Moon is not seen: "Moon is down", "behind the local horizon". */
const char *hidden_words(const struct sight *moon);

/* In a table: "35 SE", "down", "hidden" (behind the local horizon). */
enum { SIGHT_CELL = 16 };
char *sight_cell(const struct sight *moon, char out[SIGHT_CELL]);
/* "altitude 35 deg SE, 28 deg over the local horizon", "NOT SEEN: Moon is down". */
char *sight_words(const struct sight *moon, char out[SENTENCE]);
/* "full night, the Sun at -31 deg". */
char *sun_words(double altitude_rad, char out[SENTENCE]);

/* ---- places (place.c) ---- */

/* Where a point of the frame is: "left, a little low", "far left, near the lower edge". Shorter with
 * more `brevity`: 1 "far left, low", 2 "far left", 3 "left". "-" if not finite. */
enum { FRAME_WORDS = 48 };
char *frame_words(struct frame_point point, int brevity, char out[FRAME_WORDS]);
/* Both: "right, a little low (23 % right, 4 % below the centre)". */
enum { PLACE_WORDS = 2 * FRAME_WORDS };
char *place_words(struct frame_point point, char out[PLACE_WORDS]);
/* "portrait" or "landscape". */
const char *orientation_words(bool portrait);
/* "altitude 38.2, azimuth 124.5 SE", in degrees. */
enum { DIRECTION_WORDS = 48 };
char *direction_words(double altitude_rad, double azimuth_rad, char out[DIRECTION_WORDS]);

/* Of a site, in degrees: "latitude 62.00000, longitude 60.00000, 420 m". */
enum { SITE_PLACE_WORDS = 64 };
char *site_place_words(const struct site *site, char out[SITE_PLACE_WORDS]);

/* ---- settings (setting.c) ---- */

#define NO_SETTING_WORDS "no setting"
#define NO_LIGHT_WORDS "no light on that target now"
#define NO_FRAMES_WORDS "done: no more frames"
#define NO_CHANGE_WORDS "no more changes"
/* What is exposed for: "for the sunlit part", "for the umbra". */
const char *target_words(enum target target);
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

/* ---- aims (stance.c) ---- */

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
/* What of a rig's picture does not fit: "P1 to P4 needs 17.2 mm or less; at 18 mm only U1 to U4
 * fits". Empty if all does. */
char *misfit_words(const struct night *night, int rig, char out[SENTENCE]);
/* "tilt 3.7 clockwise"; empty: no tilt. */
enum { TILT_WORDS = 32 };
char *tilt_words(double roll_rad, char out[TILT_WORDS]);
/* "the Moon left the frame at 22:12", `clock` being loss_utc as its reader has it; `brief`: "Moon left
 * frame 22:12". Empty for LOSS_NONE. */
enum { LOSS_WORDS = 96 };
char *loss_words(enum aim_loss loss, const char *clock, bool brief, char out[LOSS_WORDS]);

/* ---- what is around (around.c); sentences of no rig ---- */

/* "8.0 C, 95 %, dew margin 0.7 C: dew likely", "no air reading yet (w to enter)". */
sentence air_words;
/* How old that is: "read 12 min ago"; empty if there is none. */
sentence air_source_words;
/* Of a forecast: "cloud 20 %"; "forecast made 3h05 ago: old". */
char *cloud_words(double percent, char out[SENTENCE]);
char *forecast_age_words(double age_s, bool old, char out[SENTENCE]);
/* "dew from 20:41", "dew margin -0.4 C an hour"; empty if unknown. */
sentence air_trend_words;
/* What to do about the glass, or why nothing is to be done; empty without a reading. */
sentence glass_state_words;
/* Of the GPS "fix, 9 satellites", of the clock "+0.12 s against GPS", of the laptop "63 %, kept awake". */
sentence gps_words, clock_state_words, laptop_words;
#define LAPTOP_SHORT_WORDS "battery ends before P4"
/* Of a camera whose clock error is noted: "long UTC-0:12"; of all others "not noted (K): wide, scope". */
sentence camera_clock_words, unnoted_clocks_words;
/* How far the time card can be trusted, and what to do with it. */
sentence time_card_words;
#define TIME_CARD_WORDS "photograph this with every camera"
/* Before the reason, in words of the disk. */
#define UNSAVED_WORDS "NOTHING IS BEING SAVED"
/* "62.0000 N  60.0000 E  420 m  (gps)". */
sentence site_words;
/* "  (gps)", "  (hand)"; empty where the site is that of the setup or of the command line. */
enum { SOURCE_WORDS = 16 };
char *site_source_words(const struct night *night, char out[SOURCE_WORDS]);
/* One sentence: "Dew is likely soon: look at the glass, heater on. Never wipe it." */
const char *air_advice_words(enum air_advice advice);
enum { GLASS_WORDS = 112 };
/* "dew likely: look at the glass", and of which rigs if not of all. Empty if no look is asked for. */
char *glass_words(const struct subject *about, char out[GLASS_WORDS]);

/* ---- batteries and cards (power.c) ---- */

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

/* ---- acts (record.c) ---- */

/* What an act did: "long: aimed, Moon far left", "ticked: focus". Without a reader for tools: UTC as
 * ISO 8601 and degrees Celsius. */
void act_words(const struct night *night, const struct act *act, const struct reader *reader,
               char *out, size_t size);
/* What an act of kind ACT_MISSED is about: "re-aim of long", "U1". */
char *missed_words(const struct night *night, const struct act *act, char out[ACT_TEXT]);
/* The same as one of `count`, from 1: "missed 2 of 5: U1 at 20:07:42". */
char *missed_turn_words(const struct subject *about, const struct act *act, int turn, int count,
                        char out[SENTENCE]);
/* The setting that an ACT_SETTING records: "1/60 s, ISO 400", with "for the umbra". */
char *act_setting_words(const struct act *act, bool with_target, char out[SETTING_WORDS]);
/* Between two times: from when to P4 nothing is in the record. */
#define RECORD_ENDS_WORDS "the record ends: no setting is known from here to P4 at"
/* When an alarm was answered: "answered after 1:40", "never answered" (NaN). */
enum { ANSWER_WORDS = 48 };
char *answer_words(double late_s, char out[ANSWER_WORDS]);
/* How many of `count` alarms were answered, and how late: "5: answered after 0:12 in the middle, 1:40 at
 * most, 1 never". */
char *alarms_words(int count, int answered, double middle_s, double most_s, char out[SENTENCE]);
/* Where the record of a night has an act, and what that part is called. */
enum record_section {
    RECORD_GAPS,
    RECORD_MISSED,
    RECORD_AIMS,
    RECORD_NOTES,
    RECORD_AIR,
    RECORD_CHANGES,
    RECORD_FRAMES,
    RECORD_CHECKLIST,
    RECORD_SETTINGS,
    RECORD_PROGRAM,
    RECORD_SECTIONS
};
enum record_section record_section(enum act_kind kind);
const char *record_section_words(enum record_section section);

/* Who says that a camera was set as it was advised. */
struct proof {
    bool by_user;
    /* Pictures that were taken so while it was in force; on another dial but as bright, within the
     * rig's tolerance; and otherwise. */
    int same, near, others;
};
/* "no", "user" or "pictures": who confirms it. */
const char *proof_name(const struct proof *proof);
/* "confirmed by 12 pictures, 2 of them within tolerance", "confirmed by you", "advised only"; with
 * "3 pictures differ". */
enum { PROOF_WORDS = 96 };
char *proof_words(const struct proof *proof, char out[PROOF_WORDS]);
/* Of a stretch of a night: "1/60 s, ISO 400 to 1/125 s, ISO 400, 2 changes; 3 of 3 confirmed". `last` counts
 * only if there are changes. */
char *settings_words(const struct act *first, const struct act *last, int changes, int confirmed,
                     char out[SENTENCE]);

/* ---- the setup (setup_words.c) ---- */

/* A line of the setup: its path in the file without the numbers of entries, what the screen calls it,
 * and what depends on it. */
struct setup_word {
    const char *path, *words, *why;
};
/* Of a path such as "rigs[1].focal_mm"; null if there is none. */
const struct setup_word *setup_word(const char *path);
/* All of them, in the order of the file. */
const struct setup_word *setup_words_all(int *count);
/* "rigs > 2 long > focal length". `setup` may be null: then entries have no names. */
char *setup_path_words(const struct setup *setup, const char *path, char out[ROW_TRAIL]);
/* The rig that a path leads to; -1: none. `rest`: what follows, "" for the rig itself. */
int setup_path_rig(const struct setup *setup, const char *path, const char **rest);
/* What is wrong with what a path leads to: "too small for the night", "GPS off"; empty: nothing. */
char *setup_fault_words(const struct subject *about, const char *path, char out[SENTENCE]);
/* A message of the file's reader with words in place of paths and keys. */
char *setup_in_words(const struct setup *setup, const char *text, char *out, size_t size);

/* ---- one picture (picture_words.c) ---- */

/* "+01:00": how far a camera's clock is set ahead of UTC. */
enum { OFFSET_WORDS = 16 };
char *camera_offset_words(char out[OFFSET_WORDS], double offset_min);
/* "2028-12-31 21:04:18, 1/60 s, ISO 400, f/5.6, 400 mm". */
char *metadata_words(const struct metadata *metadata, char out[SENTENCE]);
/* Why no Moon was found; null for SEEN_DISC and SEEN_NOT_LOOKED. */
const char *no_disc_words(enum seen_state state);
/* Of one that was; called a trial until it has been held against real pictures. */
char *disc_words(const struct seen *seen, char out[SENTENCE]);

/* ---- pictures (album_words.c) ---- */

enum { ALBUM_WORDS = 128 };
/* What the looks at the Moon tell the hands: "no Moon in its pictures: look at the aim"; empty: nothing. */
const char *looks_words(enum look_news looks);
/* What the pictures of a rig tell now, the worst of it: "NO PICTURE FOR 1:40", "camera: 1/500 s, ISO
 * 400: 3 stops too dark", "412 seen, last 8 s ago". `brevity` 0 to 3. */
enum album_news { ALBUM_NONE, ALBUM_QUIET, ALBUM_TROUBLE, ALBUM_WRONG, ALBUM_STOPPED };
enum { ALBUM_BREVITIES = 4 };
enum album_news album_words(const struct moment *moment, int rig, int brevity,
                            char out[ALBUM_WORDS]);

/* What a hook is told beside the rig's name. */
enum news_kind {
    NEWS_RE_AIM,
    NEWS_RE_AIM_SOON,
    NEWS_RE_AIM_DUE,
    NEWS_PUT_OFF,
    NEWS_NO_PICTURE,
    NEWS_WRONG_SETTING,
    NEWS_POWER
};
const char *news_words(enum news_kind news);

/* ---- what the hands must do (job.c) ---- */

/* Said before anything else while the Sun is up; the short form for narrow canvases. */
#define SUN_WARNING "Sun up: never point optics near it"
#define SUN_WARNING_SHORT "Sun: optics away"

enum { JOB_WORDS = 160, JOB_LABEL = 24 };
/* "re-aim long before U2", "set scope to 1/60 s, ISO 400": one job, without a time. */
char *job_words(const struct subject *about, const struct job *job, char out[JOB_WORDS]);
/* Of a rig whose re-aim is late: "RE-AIM long NOW: the Moon left the frame at 22:12:04". */
char *alarm_words(const struct subject *about, int rig, char out[JOB_WORDS]);
/* All that is done in one go with a job. */
char *walk_words(const struct subject *about, const struct job *first, char out[JOB_WORDS]);

/* ---- the list (list_words.c) ---- */

/* Of an item, or a rig, that is. */
#define DONE_WORD "done"
#define NO_FORECAST_WORDS "no forecast"
/* What people read for a group of the list: as check_group_name, without contacts that this eclipse
 * does not have: "before greatest", "at moonrise". */
const char *item_group_words(const struct night *night, enum check_group group);
/* "long: clean the lens", without a rig its text alone. */
char *item_words(const struct check_item *item, char out[SENTENCE]);
/* "12 open"; behind it ", 3 overdue", empty if none is. */
enum { COUNT_WORDS = 24 };
char *open_words(const struct moment *moment, char out[COUNT_WORDS]);
char *overdue_words(const struct moment *moment, char out[COUNT_WORDS]);
/* "in 12 min", "1h05 late", "done", "not done"; empty where nothing is due. */
char *item_stand_words(const struct subject *about, int item, char out[SENTENCE]);
/* What the program itself sees amiss in what an item asks for: "no reading yet"; empty: nothing, or it
 * cannot see it. */
char *item_fault_words(const struct subject *about, int item, char out[SENTENCE]);
/* Why nothing of the list is asked for. */
const char *no_item_words(const struct subject *about);

/* ---- on paper (paper.c) ---- */

/* The cautions one by one, from 0; null after the last. */
const char *caution_words(int index);
/* The first aim of a rig that is aimed again and again: "first at 14:03: altitude 20.6, azimuth 79.8 E;
 * put the Moon far left, low". */
char *first_aim_words(const struct subject *about, const struct first_aim *first,
                      char out[SENTENCE]);
/* "35 % left, 28 % below the centre: stays 12:41; in the centre 8:03, with the camera turned 6:10". */
char *first_stay_words(const struct first_aim *first, char out[SENTENCE]);
/* "51 re-aims after that, of which early because of a contact: 4"; re_aims is not negative. */
char *re_aims_words(const struct framing *framing, char out[SENTENCE]);
/* "every 10 s, f/8, 1404 frames, 42.1 GB on the card". */
char *shoots_words(const struct night *night, int rig, int frames, char out[SENTENCE]);
/* What the rows of a bracket's sheet are. */
char *bracket_sheet_words(const struct rig *rig, char out[SENTENCE]);
#define NOTHING_TO_SET_WORDS "nothing: the Moon is down, or has no light for this target"
/* How another is aimed: "once: altitude 47.1, azimuth 113.4 ESE; do not touch it from 14:03 to
 * 19:40", "the mount follows (lunar); meridian flip at 22:10: the mount stops at 22:40". */
char *aim_plan_words(const struct subject *about, int rig, char out[SENTENCE]);
/* Of a rig whose one picture holds the whole: "one picture for P1 to P4; 12 % of it is foreground";
 * how close its frames may be; and how an interval hits the contacts, empty if none does. */
char *whole_words(const struct subject *about, int rig, char out[SENTENCE]);
char *spacing_words(const struct night *night, int rig, char out[SENTENCE]);
char *chain_words(const struct subject *about, int rig, char out[SENTENCE]);

/* ---- rounds (round.c) ---- */

/* All that is done in a round: "all 2 stops brighter: wide 1/60 s ISO 100, long 1/125 s ISO 400; aim
 * long; second person: battery of scope". */
enum { ROUND_WORDS = 320 };
char *round_words(const struct night *night, const struct agenda_round *round,
                  char out[ROUND_WORDS]);
/* What a round has besides its settings: "aim long; battery of long, scope". */
char *round_jobs_words(const struct night *night, const struct agenda_round *round,
                       char out[ROUND_WORDS]);
/* What is set before the first frame: "wide 1/60 s ISO 100, long 1/125 s ISO 400". */
char *begin_words(const struct night *night, char out[ROUND_WORDS]);
/* How many there are: "44 rounds; at 38 of them 70 settings keep every camera within 0.5 stops", "no
 * rounds: no camera is set by hand". */
char *rounds_words(const struct night *night, const struct agenda *agenda, char out[ROUND_WORDS]);
#define NO_HAND_WORDS "no camera is set by hand"
/* "from 19:10 to 19:32 more jobs than two hands can do: 5 rounds, settings up to 1.0 stops off". */
enum { OVERLOAD_WORDS = 160 };
char *overload_words(const struct night *night, const struct overload *overload,
                     char out[OVERLOAD_WORDS]);
/* What to change against it: "bracket 5 frames, 2 stops apart on scope (key t)"; of REMEDY_NONE that
 * nothing helps. */
enum { REMEDY_WORDS = 160 };
char *remedy_words(const struct night *night, const struct remedy *remedy, char out[REMEDY_WORDS]);
/* "bracket", "tolerance", "turn", "margin", "second person"; null: none. */
const char *remedy_name(enum remedy_kind kind);

/* ---- the answer (job.c) ---- */

/* "12 rounds to U4", after that "3 rounds to P4"; "8 rounds to moonset" if that is sooner. Empty if no
 * round is left. */
enum { ROUNDS_LEFT_WORDS = 32 };
char *rounds_left_words(const struct subject *about, char out[ROUNDS_LEFT_WORDS]);

/* The answer to the one question of a cold person. */
struct hands_words {
    char now[JOB_WORDS];  /* the most pressing thing, or for how long there is nothing to do */
    char then[JOB_WORDS]; /* what else is overdue or close; what comes next; may be empty */
    char now_brief[JOB_WORDS],
        then_brief[JOB_WORDS]; /* with less: no settings, one clause, one job */
    bool then_due;             /* that is due as well */
    double left_s;             /* until the next job; 0: now; NaN: none is left */
    char label[JOB_LABEL];     /* that job for large letters: "AIM 2 LONG", "ROUND"; empty: none */
};
void hands_say(const struct subject *about, struct hands_words *words);

#endif
