/* words: what an act did, and the record of a night. */
#ifndef MOONSTAND_RECORD_WORDS_H
#define MOONSTAND_RECORD_WORDS_H

#include <moonstand/act.h>
#include <moonstand/setting_words.h>

/* What an act did: "long: aimed, Moon far left", "ticked: focus". Without a reader for tools: UTC as
 * ISO 8601 and degrees Celsius. */
void act_words(const struct night *night, const struct act *act, const struct reader *reader,
               char *out, size_t size);
/* What acts of a kind are called when they are counted: "frames by hand"; null where nobody does. */
const char *act_count_words(enum act_kind kind);
/* Of an act of kind ACT_MISSED, as one of `count`, from 1: "missed 2 of 5: U1 at 20:07:42". */
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
    size_t dialled; /* the index of the act that has the proof of this one: with the same on the dial */
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

#endif
