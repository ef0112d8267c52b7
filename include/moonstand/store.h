/* store: what outlives the program. Setup and themes (JSON), where files live, time zones, the
 * journal of a night.
 *
 * Whoever reads: nothing is half read. On any error the output is untouched and the fault names the
 * file, line and column (and the key's path), what was found and what is allowed.
 */
#ifndef MOONSTAND_STORE_H
#define MOONSTAND_STORE_H

#include <moonstand/night.h>

/* ---- setup file (setup.c) ----
 *
 * One JSON object (RFC 8259, UTF-8, at most 1 MiB, nested at most 16 deep; no comments). Every key
 * may be left out unless marked with *; what is left out keeps its default.
 *
 *   site             name, latitude_deg*, longitude_deg* (numbers, north and east positive, or text
 *                    such as "3 6 7 S"), height_m (-500 to 9000; 0), time_zone (a name such as
 *                    "Europe/Rome", or "system"), pressure_hpa (300 to 1100), temperature_c (-90 to
 *                    60) (both: standard atmosphere), horizon: list of [azimuth_deg, altitude_deg],
 *                    azimuth rising from 0 to below 360, or the path of a file with such a profile
 *                    (below; a session's copy has the path, then the points), or "sea": the open sea,
 *                    as deep as height_m puts it; forecast: path of a forecast file (below).
 *                    Or the name of one of `sites`; left out: the first of them
 *   sites            list of up to 8 to choose from; as `site`, each with a name of its own
 *   rigs             list of 1 to 3 (the built-in three):
 *     name*, lens, camera (its serial number or model, as its pictures have it),
 *     focal_mm* (1 to 20000), f_number* (0.5 to 64)
 *     sensor_width_mm, sensor_height_mm (1 to 200; 36 x 24), pixel_pitch_um (0.5 to 50; 5.9)
 *     support        "fixed", "sidereal", "lunar", "solar"
 *     iso_min, iso_max (25 to 409600), shutter_min_s, shutter_max_s (1/32768 to 64)
 *     until          of its frames and re-aims: a contact, with up to 4h before or after it, as in
 *                    U4+10m (P4); P4 where the eclipse has no such contact
 *     iso_comfort    25 to 409600; 3200: the whole blur limit is spent before ISO goes beyond it
 *     interval_s     0.5 to 3600, frame_mb 0.1 to 2000
 *     target         "lit", "umbra", "bracket", "stars", "foreground", "auto"
 *     placement_stops  object: lit, umbra, stars, foreground (-6 to 6)
 *     blur_limit_px (0.1 to 100), tolerance_stops (1/6 to 2: of a setting by hand), bracket_frames (1 to 15), bracket_step_stops (0.3 to 5)
 *     remote_exposure, portrait (true or false)
 *     filter_stops (0 to 20), extender (0.3 to 5)
 *     margin, aim_tolerance (0 to 0.45 of the frame's height), warn_s (0 to 3600)
 *     power          rated_shots (1 to 100000; 1500), rated_hours (0.1 to 1000; 3.25) (of a full
 *                    battery in the warm, whichever ends first), spares (0 to 50; 2), live_view,
 *                    external (a supply that outlasts the night), heater_w (0 to 100; on the same
 *                    battery), battery_wh (0.1 to 1000; 13), cold: 1 to 8 [temperature_c, capacity],
 *                    temperature rising, capacity 0.01 to 1 of what the battery holds in the warm
 *     heater         true or false: a dew heater is on this lens, on a supply of its own (one of
 *                    power.heater_w counts without it)
 *     card_gb        0.1 to 100000, size of a card
 *     card_path      a folder on the card as it is mounted: its free space is read
 *     saving_s       0 to 60; 1: what a frame takes to be saved
 *     mount          of a rig that follows: polar_az_error_arcmin, polar_alt_error_arcmin (-300 to
 *                    300), german_equatorial (true or false), past_meridian_min (0 to 240),
 *                    altitude_min_deg, altitude_max_deg (-10 to 90)
 *     composition    of a wide rig on a tripod: part ("P1-P4", "U1-U4", "U2-U3"), foreground (0 to
 *                    0.49 of the frame's height below the skyline), tilt_deg (0 to 45, to either
 *                    side; 0: the camera is level)
 *   checklist        list of up to 128; replaces the one that comes with the program:
 *     group*         "day before", "at the site", "before P1", "before U2", "before P4", "after"
 *     text*, note, rig (a rig's name), due ("U1-30m", "start-2h, by sunset-40m" and so on: struct due
 *                    of field.h; or an instant, UTC), when (the nights that it is for: "total moon";
 *                    field.h has the words), id (made from the rest where left out; it names the
 *                    item in the journal)
 *   reminders        list of up to 32, beside the checklist: text*, due*, note, rig, when, id
 *   shadow_rule      "danjon", "chauvenet", "oblate"
 *   theme            name of a theme file
 *   clock            "24" or "12": local time, for people
 *   units            "metric" or "imperial": the air, for people (the file itself is metric)
 *   danjon           0 to 4, state of the air at the start
 *   extinction_mag   0.05 to 2, zenith extinction of one's own
 *   glass_cooling_c  0 to 10
 *   gpsd             host* (numeric loopback address; "" for none), port (1 to 65535)
 *   hands            aim_s, battery_s, card_s, exposure_s (1 to 1800; 20, 60, 30, 10): what each takes
 *   air              file or command (not both): where temperature (C) and relative humidity (%) are
 *                    read from, two numbers and nothing else ("-8.5 81"); every_s (10 to 3600; 60)
 *   hooks            contact, alarm, warning, missed, swap, air: command to run at such an event
 *   keep_awake       true or false: whether a live night keeps the laptop from sleeping
 *
 * Paths are absolute. A command is a list of 1 to 16 texts, the program and its arguments; it runs
 * without a shell, and only if the user owns the setup file, nobody else can change it, and every
 * link and folder on the way to it is root's or the user's and cannot be written by others, unless
 * the sticky bit holds them back. The same holds for the program.
 */

/* Reads a setup file. 0; 1 where there is no such file (with a fault); -1 where it is refused. */
int setup_read(const char *path, struct setup *setup, struct fault *fault);
/* Whether a program may be run: 0, also if there is none; -1 with a fault that names the file or
 * folder that somebody else could have changed. Without a '/' it is looked for in $PATH, as it will
 * be when it is started. */
int program_check(const char *program, struct fault *fault);
/* The same from memory; `name` stands for the file in messages; text[length] must be '\0'. */
int setup_parse(const char *name, const char *text, size_t length, struct setup *setup,
                struct fault *fault);
/* Whether a file of this setup would be taken by its own reader: 0, -1 with a fault that names the
 * key. */
int setup_check(const struct setup *setup, struct fault *fault);
/* Writes a setup file that setup_read takes back unchanged; one that it would not take (as
 * setup_check says) is not written. Folders are made; a file that was there
 * is kept as PATH.bak, and both have its owner and mode; at every instant there is a whole file at
 * PATH. */
int setup_write(const char *path, const struct setup *setup, struct fault *fault);
/* Whether it could, as far as can be told without writing: 0, -1 with the reason. To be asked before
 * the user is. */
int setup_can_write(const char *path, struct fault *fault);

/* Keeps the setup of a session as FOLDER/setup.json, without commands that may not run. Another one
 * that was there becomes setup-1.json, setup-2.json ...: its number; 0 where none was there, or the
 * same one; -1. */
int setup_keep(const char *folder, const struct setup *setup, struct fault *fault);
/* Reads what became number `number`; 0: the one in force. */
int setup_kept(const char *folder, int number, struct setup *setup, struct fault *fault);

/* The lines of a setup below a path ("": the whole), in the order of the file; how many, 0 where the
 * path leads to no more lines. A horizon keeps to its first SETUP_ROWS points. */
int setup_rows(const struct setup *setup, const char *path, struct setup_row rows[SETUP_ROWS]);
/* A copy of a setup with one value changed, judged like a file. `typed` is the value as a person
 * types it: a text, a choice, a number without quotes, "90, 12.5" for a pair, the values that
 * the row of one more entry names, parted by commas; "": left out, so that the default holds. Null
 * takes an entry of a list out. What names a rig, or the site in force, follows its new name; a rig
 * that is taken out is named no more. -1 with a fault that names the key. */
int setup_edit(const struct setup *setup, const char *path, const char *typed, struct setup *fresh,
               struct fault *fault);

/* ---- forecast files (forecast.c) ----
 *
 *   { "issued": "2028-12-31T06:00Z",
 *     "hours": [ { "time": "2028-12-31T12:00Z", "cloud_percent": 20, "temperature_c": -18,
 *                  "humidity_percent": 70, "wind_m_s": 3 }, ... ] }
 *
 * `hours`: 1 to 240 rows, rising by time; rows may be further apart than an hour, but nothing is
 * read out of a gap of more than six. Cloud 0 to 100, temperature -90 to 60, humidity above 0 to
 * 100, wind 0 to 120; each may be left out. `issued` is when the forecast was made: one that is
 * older than twelve hours, does not say, or says that it is to come, is called old.
 */
int forecast_read(const char *path, struct forecast *forecast, struct fault *fault);
/* The same from memory, as setup_parse. */
int forecast_parse(const char *name, const char *text, size_t length, struct forecast *forecast,
                   struct fault *fault);

/* When a file was last written, by the clock of the machine; NaN: there is none. */
double file_written_utc(const char *path);

/* ---- horizon file (horizon.c) ----
 *
 * Text, at most 64 KiB and 360 points: on each line azimuth (rising from 0 to below 360) and altitude
 * (-10 to 90) in degrees, parted by blanks, tabs, commas or semicolons; from # on a remark.
 */
int horizon_parse(const char *name, const char *text, struct horizon *horizon, struct fault *fault);
int horizon_read(const char *path, struct horizon *horizon, struct fault *fault);

/* ---- theme files (theme.c) ----
 *
 *   { "name": "red",
 *     "normal": { "background": "#000000",
 *                 "label": { "colour": "#af0000", "bold": false, "reverse": false,
 *                            "underline": false }, ... every role ... },
 *     "dim": { as normal; where left out, the same as normal } }
 *
 * Colours are "#rrggbb"; bold, reverse and underline are false where left out and carry the roles
 * where the terminal has no colour. What comes with the program: red (the default), plain (greys),
 * daylight (dark on white) and blue-orange (daylight for eyes that cannot tell red from green; its
 * hues are those of Okabe & Ito, "Color Universal Design", 2008).
 */
int theme_read(const char *path, struct theme *theme, struct fault *fault);
int theme_parse(const char *name, const char *text, size_t length, struct theme *theme,
                struct fault *fault);

/* ---- where files live (path.c) ----
 *
 *   $XDG_CONFIG_HOME/moonstand/setup.json, themes/NAME.json          (else ~/.config)
 *   $XDG_STATE_HOME/moonstand/sessions/2028-12-31, 2028-12-31-rehearsal   (else ~/.local/state)
 *
 * Variables that are empty or relative are ignored, as the XDG base directory specification says.
 */
enum { PATH_SIZE = 1024, SESSION_NAME = 40 };

int path_setup(char out[PATH_SIZE], struct fault *fault);
/* A theme by name: the user's own, then the installed ones, then `beside` (a folder; may be null).
 * -1 where none has it. */
int path_theme(const char *name, const char *beside, char out[PATH_SIZE], struct fault *fault);
/* The names of all of them, sorted, each once; how many, at most `most`. */
int theme_list(const char *beside, char (*names)[THEME_NAME], int most);
int path_sessions(char out[PATH_SIZE], struct fault *fault);
/* The same, made where it is missing. */
int sessions_make(char out[PATH_SIZE], struct fault *fault);

/* The folder of a session, made where it is missing. `day` is YYYY-MM-DD. With `fresh` a folder
 * that did not exist before: 2028-12-31-rehearsal, then 2028-12-31-rehearsal-2 ... */
int session_make(const char *day, bool rehearsal, bool fresh, char out[PATH_SIZE],
                 struct fault *fault);
/* Names of all sessions, in order; how many exist, of which `most` are written; -1 on an error. No
 * folder of sessions is none. */
int session_list(char (*names)[SESSION_NAME], int most, struct fault *fault);

/* ---- sign of life (alive.c) ---- */

/* Marks that at `utc` somebody was still being told what happens; quiet where it cannot. */
void alive_set(const char *folder, double utc);
/* The last such mark, as finely as the file system keeps it; NaN where there is none. */
double alive_utc(const char *folder);

/* ---- time zones (zone.c) ---- */

/* Reads every change of a place's local time from the C library, between two instants or, with
 * -INFINITY and INFINITY, of the years YEAR_FIRST to YEAR_LAST (2 to 5 ms). `name`: a zone file below $TZDIR, else /usr/share/zoneinfo, such as "Europe/Rome"; "" or "system": $TZ (also a
 * path, or a rule such as CET-1CEST,M3.5.0,M10.5.0/3), else /etc/localtime, else UTC. -1 for an
 * unknown name, a damaged file, one that counts leap seconds, or more than ZONE_STEPS changes. $TZ is
 * another one during the call: no other thread may read the environment then. */
int zone_load(const char *name, double utc_from, double utc_to, struct zone_table *zone,
              struct fault *fault);
/* The same without the table: 0 if zone_load takes that name. */
int zone_check(const char *name, struct fault *fault);

/* ---- journal (journal.c, entry.c) ----
 *
 * SESSION/journal.jsonl: one act per line, only ever appended to:
 *
 *   {"seq":12,"utc":"2028-12-31T15:07:30.250Z","boot_s":5234.118,"boot":"9c1f03ab",
 *    "kind":"aim","rig":1,"x":-0.31,"y":0.02,"crc":"6e55632c"}                     (on one line)
 *
 * `seq` rises; `boot` is the first eight digits of the kernel's boot id; the fields are those of
 * act_form, instants (names in _utc) as ISO 8601, unknown ones left out; `crc` is the CRC-32 of
 * IEEE 802.3 (as in zip and PNG) over the line's bytes before `,"crc"`.
 *
 * What stands after the last whole line is a torn tail: it is added to SESSION/journal.torn and
 * cut. Damaged lines before it are skipped and counted, never removed. One writer at a time: it
 * holds a lock on the folder.
 *
 * A helper thread does all writing: each entry by one write() at once, then fdatasync, at most once
 * a second. What fails is kept in memory and tried again every second: after a failed write the
 * file is cut back to its last whole line; after a failed sync, which says nothing about what is on
 * the disk, it is opened anew and all that was not yet synced is written again.
 *
 * After each sync, and every five seconds, the thread looks whether the file of that name is still
 * the one it writes. If file or folder was removed, replaced, cut or added to, the whole night is
 * written anew from memory; what took the journal's place is kept as SESSION/journal.other.
 *
 * Nothing in a session's folder is followed if it is a link, and a folder of another user's is not
 * written to.
 */

enum { ENTRY_LINE = 2048, BOOT_ID = 9 };

/* One act as a line with its newline; its length. Of a text that is not clean UTF-8 only the ASCII
 * remains, the other bytes become '?'. */
size_t entry_encode(const struct act *act, const char *boot, char line[ENTRY_LINE]);
/* True where a line (without its newline) is whole: its checksum fits. */
bool entry_is_whole(const char *line, size_t length);
/* Reads a whole line. `boot` gets the boot id; may be null. -1: not an act that this program knows;
 * -2: memory is out. */
int entry_decode(const char *line, size_t length, struct act *act, char boot[BOOT_ID],
                 struct fault *fault);

struct journal;

/* Takes one act of the journal, oldest first; boot_s of an earlier boot is unknown (NaN). */
typedef void journal_take(void *context, struct act *act);

/* Opens a session's journal and hands every act in it to `take`. Not writable: looks on (also
 * for reports), an absent file is an error. Returns 0; 1 where another program writes it (only if
 * `writable`); -1 where it cannot be read. A journal that can be read but not written opens with
 * trouble. */
int journal_open(const char *folder, bool writable, journal_take *take, void *context,
                 struct journal **journal, struct fault *fault);

/* The number for the next act, to be set before night_apply: entries that the night no longer takes
 * (an item that has left the checklist, say) keep theirs. */
uint64_t journal_next_seq(struct journal *journal);
/* Adds a numbered act. Never waits for a disk. -1 if the journal is as large as can be read back
 * (64 MiB, a thousand nights), memory is out, or the number does not rise. */
int journal_append(struct journal *journal, const struct act *act, struct fault *fault);

struct journal_state {
    uint64_t appended_seq, written_seq, synced_seq; /* last of each; not synced: being written */
    int unsynced;                                   /* acts that are not synced */
    int damaged;                                    /* lines skipped */
    uint64_t torn_bytes; /* put aside at the open; looking on: left out then */
    int renewed;         /* how often the file had lost its place and was written anew */
    char trouble[160];   /* empty: none */
};
void journal_state(struct journal *journal, struct journal_state *state);
/* "2 damaged entries were skipped; left out after the last whole entry: 17 bytes"; false, and "",
 * where nothing is damaged. */
enum { JOURNAL_DAMAGE = 120 };
bool journal_damage(const struct journal_state *state, char out[JOURNAL_DAMAGE]);
/* When a session's journal was last written to, by the clock of the machine; NaN: there is none. */
double journal_written_utc(const char *folder);
/* Whether another program writes the session that this journal looks on at. */
bool journal_is_written(const struct journal *journal);

/* Readable when the state has changed (looking on: when the file has grown); -1 where there is no
 * such descriptor. Then call journal_poll, which never waits: it takes the event and, looking on,
 * hands what is new to `take`. -1 on an error while looking on. */
int journal_fd(const struct journal *journal);
int journal_poll(struct journal *journal, struct fault *fault);

/* Writes and syncs what is left (one attempt), frees. Returns how many acts were lost. */
int journal_close(struct journal *journal);

#endif
