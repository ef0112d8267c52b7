/* Private to the room: what its files share. */
#ifndef MOONSTAND_REPORT_PRIVATE_H
#define MOONSTAND_REPORT_PRIVATE_H

#include <moonstand/report.h>

#include <cjson/cJSON.h>

/* ---- JSON (json.c) ---- */

/* A document being built. One flag remembers that memory ran out; a null parent is allowed, so that
 * nobody has to ask on the way. */
struct document {
    cJSON *root;
    bool failed;
};

void document_object(struct document *document);
void document_array(struct document *document);
/* Writes the document unless it failed, and frees it. */
int document_write(struct document *document, FILE *out);

/* Members of an object; `key` is a string constant, null in an array. What is not finite, or a null
 * text, is left out. */
cJSON *put_object(struct document *document, cJSON *parent, const char *key);
cJSON *put_array(struct document *document, cJSON *parent, const char *key);
void put_number(struct document *document, cJSON *parent, const char *key, double value,
                int decimals);
void put_deg(struct document *document, cJSON *parent, const char *key, double rad);
void put_text(struct document *document, cJSON *parent, const char *key, const char *text);
void put_flag(struct document *document, cJSON *parent, const char *key, bool flag);
void put_instant(struct document *document, cJSON *parent, const char *key, double utc);
void put_tt(struct document *document, cJSON *parent, const char *key, double tt);

/* Parts that several documents have. */
void put_eclipse(struct document *document, cJSON *object, const struct nights_entry *entry);
void put_air(struct document *document, cJSON *object, const struct air *air);
void put_checklist(struct document *document, cJSON *object, const struct night *night);
void put_site(struct document *document, cJSON *object, const struct night *night);

/* ---- text (text.c) ---- */

/* A label and a text, wrapped below 80 columns under the text's beginning. */
void text_entry(FILE *out, const char *label, const char *format, ...)
    __attribute__((format(printf, 3, 4)));
/* 0, or -1 where `out` has failed. */
int text_done(FILE *out);
/* "UTC", or "UT1" before 1972. */
const char *scale_name(double utc);
/* HH:MM:SS of the night's local time. */
char *local_clock(char out[TEXT_INSTANT], const struct night *night, double utc);
/* YYYY-MM-DD of the night's local time. */
char *local_day(char out[TEXT_INSTANT], const struct night *night, double utc);
/* The day of greatest eclipse in UTC, YYYY-MM-DD. */
char *eclipse_day(char out[TEXT_INSTANT], const struct eclipse *eclipse);
/* "totality begins" ... */
const char *contact_meaning(enum contact contact);
/* "1/60 s, ISO 400, f/5.6", or why there is none. */
enum { TEXT_SETTING = 64 };
char *setting_words(char out[TEXT_SETTING], const struct exposure *exposure);
/* "23 % right, 4 % low of the centre" */
enum { TEXT_PLACE = 64 };
char *place_words(char out[TEXT_PLACE], struct frame_point place);
/* "12 GB" from bytes */

/* ---- CSV (csv.c), RFC 4180 ---- */

struct csv {
    FILE *out;
    int fields; /* of this row so far */
};
void csv_text(struct csv *csv, const char *text);
void csv_number(struct csv *csv, double value, int decimals);
void csv_instant(struct csv *csv, double utc);
void csv_end(struct csv *csv);

/* ---- what plan, calendar and session are made of (timeline.c) ---- */

enum line_kind { LINE_CONTACT, LINE_SHADING, LINE_SKY, LINE_CHECK };
struct line {
    double utc;
    enum line_kind kind;
    int which; /* as in night_event; for LINE_CHECK the item's index */
    bool moon_up;
    const char *name; /* short name of an event, text of an item */
};
enum { TIMELINE_LINES = NIGHT_EVENTS + CHECK_ITEMS };
const char *line_kind_name(enum line_kind kind);
/* Contacts, what the sky does around them, and checklist items with a due time, in order. */
int timeline_make(const struct night *night, struct line lines[TIMELINE_LINES]);
/* When an item is due in this eclipse; NaN: at no set time. */
double check_due_utc(const struct night *night, int item);
/* False for an item that hangs on a contact which this eclipse does not have. */
bool check_applies(const struct night *night, int item);

#endif
