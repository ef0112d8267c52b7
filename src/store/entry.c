/* Writing needs no memory but the line, so that no act is lost when there is none. */
#include "files.h"

#include <moonstand/act.h>

#include <errno.h>
#include <inttypes.h>
#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* The end of a line: ,"crc":"6e55632c"} */
#define CRC_KEY ",\"crc\":\""
enum { CRC_DIGITS = 8, CRC_TAIL = sizeof CRC_KEY - 1 + CRC_DIGITS + 2 };

/* ---- out ---- */

/* A growing line; the longest act fits easily. */
struct line {
    char *bytes;
    size_t length;
};

static void put(struct line *line, const char *format, ...) __attribute__((format(printf, 2, 3)));

static void put(struct line *line, const char *format, ...)
{
    va_list args;

    va_start(args, format);
    int written = vsnprintf(line->bytes + line->length, ENTRY_LINE - line->length, format, args);
    va_end(args);
    if (written > 0 && line->length + (size_t)written < ENTRY_LINE)
        line->length += (size_t)written;
}

static void put_text(struct line *line, const char *text)
{
    bool ascii_only = !text_is_clean(text);

    put(line, ",\"text\":\"");
    for (const char *at = text; *at; at++) {
        unsigned char byte = (unsigned char)*at;

        if (byte < 0x20 || byte == 0x7f)
            put(line, "\\u%04x", byte);
        else if (byte == '"' || byte == '\\')
            put(line, "\\%c", byte);
        else
            put(line, "%c", byte >= 0x80 && ascii_only ? '?' : byte);
    }
    put(line, "\"");
}

static void put_value(struct line *line, const char *name, double value)
{
    char text[TEXT_INSTANT];

    if (!isfinite(value))
        return;
    if (act_value_is_instant(name))
        put(line, ",\"%s\":\"%s\"", name, format_iso(text, value, 3, "Z"));
    else
        put(line, ",\"%s\":%s", name, format_exact(text, value));
}

size_t entry_encode(const struct act *act, const char *boot, char bytes[ENTRY_LINE])
{
    const struct act_form *form = act_form(act->kind);
    struct line line = {.bytes = bytes};
    char utc[TEXT_INSTANT];

    put(&line, "{\"seq\":%" PRIu64 ",\"utc\":\"%s\"", act->seq, format_iso(utc, act->utc, 3, "Z"));
    if (isfinite(act->boot_s))
        put(&line, ",\"boot_s\":%.3f", act->boot_s);
    put(&line, ",\"boot\":\"%s\",\"kind\":\"%s\"", boot, form->name);
    if (form->has & HAS_RIG && act->rig >= 0)
        put(&line, ",\"rig\":%d", act->rig);
    if (form->has & HAS_REF)
        put(&line, ",\"ref\":%" PRIu64, act->ref);
    for (int i = 0; form->value[i].name; i++)
        put_value(&line, form->value[i].name, act->value[i]);
    if (form->has & HAS_TEXT)
        put_text(&line, act->text);
    put(&line, CRC_KEY "%08" PRIx32 "\"}\n", crc32_of(bytes, line.length));
    return line.length;
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

static const char *text_of(const cJSON *object, const char *key)
{
    const char *text = cJSON_GetStringValue(json_member(object, key));

    return text ? text : "";
}

/* NaN if it is missing. */
static double value_of(const cJSON *object, const char *name)
{
    double utc = NAN;

    if (!act_value_is_instant(name))
        return cJSON_GetNumberValue(json_member(object, name));
    (void)parse_instant(text_of(object, name), &utc, NULL);
    return utc;
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
    int kind = find_kind(text_of(object, "kind"));

    *act = (struct act){
        .seq = (uint64_t)count_of(object, "seq", 0),
        .boot_s = value_of(object, "boot_s"),
        .rig = -1,
    };
    if (kind == ACT_KINDS)
        return fault_set(fault, "entry of unknown kind \"%.40s\"", text_of(object, "kind"));
    if (act->seq == 0 || parse_instant(text_of(object, "utc"), &act->utc, NULL) != 0)
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
        (void)snprintf(act->text, sizeof act->text, "%s", text_of(object, "text"));
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
        (void)snprintf(boot, BOOT_ID, "%.*s", BOOT_ID - 1, text_of(object, "boot"));
    cJSON_Delete(object);
    return status;
}
