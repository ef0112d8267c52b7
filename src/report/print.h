/* Private to the room: what its files share. */
#ifndef MOONSTAND_REPORT_PRIVATE_H
#define MOONSTAND_REPORT_PRIVATE_H

#include <moonstand/fault.h>
#include <moonstand/moment.h>
#include <moonstand/night.h>
#include <moonstand/record_words.h>
#include <moonstand/report.h>
#include <moonstand/sheet.h>

#include <cjson/cJSON.h>

/* ---- JSON (json_out.c) ---- */

/* A document being built, and a place in it to put things into. One flag remembers that memory ran out; a
 * place that is not there takes all the same, so that nobody has to ask on the way. */
struct document {
    cJSON *root;
    bool failed;
};
struct node {
    struct document *document;
    cJSON *item; /* an object or an array */
};

/* Begin a document and give its root. */
struct node document_object(struct document *document);
struct node document_array(struct document *document);
/* Writes the document unless it failed, and frees it. */
int document_write(struct document *document, FILE *out);
/* The same in one line, for one document after the other. */
int document_write_line(struct document *document, FILE *out);

/* Members of an object; `key` is a string constant, null in an array. What is not finite, or a null
 * text, is left out. */
struct node put_object(struct node parent, const char *key);
struct node put_array(struct node parent, const char *key);
void put_number(struct node parent, const char *key, double value, int decimals);
void put_deg(struct node parent, const char *key, double rad);
void put_text(struct node parent, const char *key, const char *text);
/* A member that is there and holds nothing. */
void put_null(struct node parent, const char *key);
void put_flag(struct node parent, const char *key, bool flag);
void put_instant(struct node parent, const char *key, double utc);
void put_tt(struct node parent, const char *key, double tt);

/* A text, or null where it is empty. */
const char *text_or_null(const char *text);

/* Parts that several documents have. */
void put_eclipse(struct node object, const struct nights_entry *entry);
void put_air(struct node object, const struct air *air);
void put_checklist(struct node object, const struct night *night);
void put_site(struct node object, const struct night *night);
/* What to dial. */
void put_shutter_iso(struct node object, const struct exposure *exposure);
/* The frames of an exposure: how many, and of a bracket what else to dial. */
void put_bracket(struct node object, const struct exposure *exposure);

/* ---- batteries, cards, air (kit_out.c) ---- */

void put_power(struct node object, const struct night *night, const struct rig_power *power);
/* `known`: size or free space of the card are; else only the frames. */
void put_card(struct node object, const struct card_budget *card, bool known, double change_utc);
void put_forecast(struct node object, const struct forecast_row *row, double age_s, bool old);
void put_moment_kit(struct node object, const struct night *night, const struct moment *moment);
void put_moment_air(struct node object, const struct night *night, const struct moment *moment);
/* Lines of a rig's paragraph. */
void print_power(FILE *out, const struct subject *about, int rig, const struct rig_power *power);
void print_moment_kit(FILE *out, const struct subject *about, int rig);
void print_moment_air(FILE *out, const struct subject *about);

/* ---- text (text.c) ---- */

/* A label and a text, wrapped below 80 columns under the text's beginning; nothing if the text is
 * empty. */
void text_entry(FILE *out, const char *label, const char *format, ...)
    __attribute__((format(printf, 3, 4)));
/* 0, or -1 where `out` has failed. */
int text_done(FILE *out);
/* Its columns: code points, which is the same for the letters that names are written in here. */
int text_width(const char *text);
/* How many bytes its first so many columns are. */
int text_bytes(const char *text, int columns);
/* The columns of a table's column that has to hold this text as well. */
int text_wider(int columns, const char *text);
/* The name of a rig; null: of none (-1). */
const char *rig_name(const struct setup *setup, int rig);
/* "long (400 mm f/5.6, fixed)" */
enum { RIG_TITLE = 128 };
char *rig_title(char out[RIG_TITLE], const struct rig *rig);
/* Words of the user in Markdown as they are: nothing in them is taken for markup. */
void text_plain(FILE *out, const char *text);

/* ---- CSV (csv.c), RFC 4180 ---- */

struct csv {
    FILE *out;
    int fields; /* of this row so far */
};
/* Null: an empty field. */
void csv_text(struct csv *csv, const char *text);
void csv_number(struct csv *csv, double value, int decimals);
void csv_instant(struct csv *csv, double utc);
void csv_end(struct csv *csv);

/* Reads one field into `out`. Returns what ended it: ',' (whatever parts fields), '\n' (also for the last
 * field of an input without a line end), EOF after the last row, or CSV_FAULT with a fault (without the place). */
enum { CSV_FAULT = -2 };
struct csv_reader {
    FILE *in;
    int line, column; /* of the next byte, from 1 */
    int parted_by;    /* what parts fields; 0: the first of comma, semicolon and tab that comes */
};
/* Begins at a first byte; a byte order mark before it is left out. */
void csv_begin(struct csv_reader *reader, FILE *in);
int csv_read(struct csv_reader *reader, char *out, size_t size, struct fault *fault);
/* Skips what is left of a line. */
void csv_skip_line(struct csv_reader *reader);

/* ---- what the acts tell (acts.c) ---- */

/* The circumstances of one instant of the night; NaN outside the sky that the night follows. */
struct circumstances {
    enum phase phase;
    double umbral_magnitude, penumbral_magnitude, moon_altitude_rad;
};
void circumstances_at(const struct night *night, double utc, struct circumstances *circumstances);
/* Until when the program ran: its last act or sign of life; NaN where it never did. */
double recorded_until(const struct night *night);
/* The setting of a rig in force at an instant, as journaled; null where none is known, as in a gap
 * and after the record's end. */
const struct act *setting_at(const struct night *night, int rig, double utc);
/* The last setting of a rig before an act, one of the night's; null: none. */
const struct act *setting_before(const struct night *night, const struct act *act, int rig);
/* Whether a setting, one of the night's, is another on the dial than the one before it: not only for another
 * target. */
bool is_dialled(const struct night *night, const struct act *setting);

/* Who confirmed that a rig was set as advised, at the index `dialled` of an act's own; null: memory is out. Only
 * those of settings are filled in. `pictures` may be null. */
struct proof *proofs_make(const struct night *night, const struct pictures *pictures);
/* Of a setting, one of the night's. */
struct proof *proof_of(struct proof *proofs, const struct night *night, const struct act *setting);
/* Whether anybody did. */
bool is_confirmed(const struct proof *proof);

/* As members phase, umbral_magnitude, penumbral_magnitude, moon_altitude_deg; as four fields. */
void put_circumstances(struct node object, const struct night *night, double utc);
#define CSV_CIRCUMSTANCES "phase,umbral_magnitude,penumbral_magnitude,moon_altitude_deg"
void csv_circumstances(struct csv *csv, const struct night *night, double utc);
/* The values of an act as members under their names: instants and settings in words. */
void put_act_values(struct node object, const struct act *act);

/* ---- what plan, calendar and session are made of (timeline.c) ---- */

enum line_kind { LINE_CONTACT, LINE_SHADING, LINE_SKY, LINE_CHECK, LINE_MOUNT, LINE_LIGHT };
struct line {
    double utc;
    enum line_kind kind;
    int which; /* as in night_event; for LINE_CHECK the item's index */
    int rig;   /* of LINE_MOUNT */
    bool moon_up;
    const char *name; /* short name of an event, text of an item */
};
enum { TIMELINE_LINES = NIGHT_EVENTS + CHECK_ITEMS + 2 * LOST_SPANS * RIGS };
const char *line_kind_name(enum line_kind kind);
/* Contacts, what the sky does around them and hides of the Moon, and checklist items with a due time, in order. */
int timeline_make(const struct night *night, struct line lines[TIMELINE_LINES]);

/* ---- the plan's first page (pocket.c) ---- */

/* Contacts, rounds, aims and cautions on one page, and a form feed. -1: memory is out. */
int print_pocket(FILE *out, const struct night *night);

/* ---- how a rig frames the night (framing_out.c) ---- */

/* Members held, late, altitude_deg, azimuth_deg, roll_deg, enters, leaves (both at, x, y). */
void put_pose(struct node object, const struct pose *pose, bool held);
/* Members composition, re_aims and mount of a rig; a mount's drift is that of `utc`. */
void put_framing(struct node object, const struct night *night, int rig, double utc);

/* ---- what a rig shoots (plan.c) ---- */

enum { PLAN_LINES = SEGMENTS + UP_SPANS };
/* An intervalometer that is started whenever the Moon comes up. */
struct plan_rig {
    struct sheet sheet;
    struct sheet_line line[PLAN_LINES];
};
void plan_rig_make(const struct night *night, int rig, struct plan_rig *plan);

/* When a picture was taken, as far as is known. */
double picture_utc(const struct night *night, const struct picture *picture);

#endif
