/* Writing needs no memory but the line, so that no act is lost when there is none. */
#include "files.h"

#include <moonstand/act.h>

#include <errno.h>
#include <inttypes.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

/* The end of a line: ,"crc":"6e55632c"} */
#define CRC_KEY ",\"crc\":\""
enum { CRC_DIGITS = 8, CRC_TAIL = sizeof CRC_KEY - 1 + CRC_DIGITS + 2 };

/* ---- out ---- */

/* Cleaned, and quoted by the library: into the line itself, which takes no memory. */
static void add_text(char line[ENTRY_LINE], const char *text)
{
    char clean[ACT_TEXT];
    cJSON quoted = {.type = cJSON_String, .valuestring = clean};

    (void)snprintf(clean, sizeof clean, "%s", text);
    text_clean(clean);
    text_add(line, ENTRY_LINE, "", ",\"text\":");
    size_t length = strlen(line);
    (void)cJSON_PrintPreallocated(&quoted, line + length, (int)(ENTRY_LINE - length), 0);
}

static void add_value(char line[ENTRY_LINE], const char *name, double value)
{
    char text[TEXT_INSTANT];

    if (!isfinite(value))
        return;
    if (act_value_is_instant(name))
        text_add(line, ENTRY_LINE, "", ",\"%s\":\"%s\"", name, format_iso(text, value, 3, "Z"));
    else
        text_add(line, ENTRY_LINE, "", ",\"%s\":%s", name, format_exact(text, value));
}

size_t entry_encode(const struct act *act, const char *boot, char line[ENTRY_LINE])
{
    const struct act_form *form = act_form(act->kind);
    char utc[TEXT_INSTANT];

    (void)snprintf(line, ENTRY_LINE, "{\"seq\":%" PRIu64 ",\"utc\":\"%s\"", act->seq,
                   format_iso(utc, act->utc, 3, "Z"));
    if (isfinite(act->boot_s))
        text_add(line, ENTRY_LINE, "", ",\"boot_s\":%.3f", act->boot_s);
    text_add(line, ENTRY_LINE, "", ",\"boot\":\"%s\",\"kind\":\"%s\"", boot, form->name);
    if (form->has & HAS_RIG && act->rig >= 0)
        text_add(line, ENTRY_LINE, "", ",\"rig\":%d", act->rig);
    if (form->has & HAS_REF)
        text_add(line, ENTRY_LINE, "", ",\"ref\":%" PRIu64, act->ref);
    for (int i = 0; form->value[i].name; i++)
        add_value(line, form->value[i].name, act->value[i]);
    if (form->has & HAS_TEXT)
        add_text(line, act->text);
    text_add(line, ENTRY_LINE, "", CRC_KEY "%08" PRIx32 "\"}\n", crc32_of(line, strlen(line)));
    return strlen(line);
}

/* ---- in ---- */

bool entry_is_whole(const char *line, size_t length)
{
    char tail[CRC_TAIL + 1];

    if (length <= CRC_TAIL)
        return false;
    length -= CRC_TAIL;
    (void)snprintf(tail, sizeof tail, CRC_KEY "%08" PRIx32 "\"}", crc32_of(line, length));
    return memcmp(line + length, tail, CRC_TAIL) == 0;
}

/* NaN if it is missing. */
static double value_of(const cJSON *object, const char *name)
{
    return act_value_is_instant(name) ? json_instant(object, name)
                                      : cJSON_GetNumberValue(json_member(object, name));
}

/* A whole number from 0; `missing` if there is none. */
static double count_of(const cJSON *object, const char *name, double missing)
{
    double value = value_of(object, name);

    return value >= 0 && value < 9007199254740992.0 && value == floor(value) ? value : missing;
}

static int find_kind(const char *name)
{
    int kind = 0;

    while (kind < ACT_KINDS && strcmp(act_form((enum act_kind)kind)->name, name) != 0)
        kind++;
    return kind;
}

static int take_act(const cJSON *object, struct act *act, struct fault *fault)
{
    int kind = find_kind(json_text(object, "kind"));

    *act = (struct act){
        .seq = (uint64_t)count_of(object, "seq", 0),
        .utc = json_instant(object, "utc"),
        .boot_s = value_of(object, "boot_s"),
        .rig = -1,
    };
    if (kind == ACT_KINDS)
        return fault_set(fault, "entry of unknown kind \"%.40s\"", json_text(object, "kind"));
    if (act->seq == 0 || isnan(act->utc))
        return fault_set(fault, "entry has no sequence number or time");
    act->kind = (enum act_kind)kind;
    const struct act_form *form = act_form(act->kind);
    if (form->has & HAS_RIG)
        act->rig = (int)fmin(count_of(object, "rig", -1), RIGS);
    if (form->has & HAS_REF)
        act->ref = (uint64_t)count_of(object, "ref", 0);
    for (int i = 0; form->value[i].name; i++)
        act->value[i] = value_of(object, form->value[i].name);
    if (form->has & HAS_TEXT)
        (void)snprintf(act->text, sizeof act->text, "%s", json_text(object, "text"));
    /* Another program may have written it, and it may be cut inside a character. */
    text_clean(act->text);
    return 0;
}

int entry_decode(const char *line, size_t length, struct act *act, char boot[BOOT_ID],
                 struct fault *fault)
{
    errno = 0;
    cJSON *object = cJSON_ParseWithLength(line, length);
    if (!object) {
        bool no_memory = errno == ENOMEM;

        (void)fault_set(fault, no_memory ? "out of memory" : "entry is not valid JSON");
        return no_memory ? -2 : -1;
    }
    int status = take_act(object, act, fault);
    if (status == 0 && boot)
        (void)snprintf(boot, BOOT_ID, "%.*s", BOOT_ID - 1, json_text(object, "boot"));
    cJSON_Delete(object);
    return status;
}
