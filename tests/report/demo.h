/* What the tests of report share: a night to print, and what was printed. */
#ifndef TESTS_REPORT_DEMO_H
#define TESTS_REPORT_DEMO_H

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <cjson/cJSON.h>
#include <math.h>
#include <moonstand/act.h>
#include <moonstand/fault.h>
#include <moonstand/night.h>
#include <moonstand/pick.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* Ekaterinburg keeps UTC+5 the whole year. */
static inline struct zone_table demo_zone(void)
{
    return (struct zone_table){
        .name = "Asia/Yekaterinburg", .count = 1, .step = {{-INFINITY, 5 * 3600, "+05"}}};
}

/* The built-in rigs at 62 N 60 E, 420 m, unless changed. */
static inline struct setup *demo_setup(void)
{
    static struct setup setup;

    setup_default(&setup);
    setup.has_site = true;
    setup.site.latitude_deg = 62;
    setup.site.longitude_deg = 60;
    setup.site.height_m = 420;
    (void)snprintf(setup.site.name, sizeof setup.site.name, "%s", "Northern \xc3\x96rn; hill, A");
    return &setup;
}

static inline struct night *demo_night(const struct setup *setup, const char *day)
{
    struct night *night = calloc(1, sizeof *night);
    struct zone_table zone = demo_zone();
    struct eclipse eclipse;
    double day_utc;

    assert_non_null(night);
    assert_int_equal(parse_day(day, &day_utc, NULL), 0);
    assert_true(eclipse_of_day(day_utc, SHADOW_DANJON, &eclipse));
    assert_int_equal(night_open(night, setup, &eclipse, &zone, false, NULL), 0);
    night_follow(night, utc_from_tt(eclipse.tt[CONTACT_GREATEST]));
    return night;
}

/* Items of the checklist that are on the list of this night. */
static inline int demo_items(const struct night *night)
{
    int count = 0;

    for (int i = 0; i < night->setup.checklist.count; i++)
        count += item_applies(night, i);
    return count;
}

static inline void demo_free(struct night *night)
{
    night_close(night);
    free(night);
}

static inline void demo_apply(struct night *night, struct act act)
{
    struct fault fault = {""};

    act.boot_s = NAN;
    if (night_replay(night, &act, &fault) != 0)
        fail_msg("%s", fault.text);
    night_follow(night, night->contact_utc[CONTACT_GREATEST]);
}

/* ---- what was printed ---- */

static inline FILE *page_open(char **text)
{
    static size_t size;
    FILE *out = open_memstream(text, &size);

    assert_non_null(out);
    return out;
}

/* Adds a print to the file that $PRINTS names, if it names one. */
static inline void page_keep(const char *text)
{
    const char *path = getenv("PRINTS");
    FILE *out = path ? fopen(path, "a") : NULL;

    if (!path)
        return;
    assert_non_null(out);
    assert_true(fputs(text, out) >= 0);
    assert_int_equal(fclose(out), 0);
}

/* Prints by a function of (FILE *) as written by the caller: PRINTED(text, report_x(out, ...)). */
#define PRINTED(text, call)                                                                        \
    do {                                                                                           \
        FILE *out = page_open(&(text));                                                            \
        assert_int_equal(call, 0);                                                                 \
        assert_int_equal(fclose(out), 0);                                                          \
        page_keep(text);                                                                           \
    } while (0)

/* A full disk is told. */
#define REFUSED_BY_FULL_DISK(call)                                                                 \
    do {                                                                                           \
        FILE *out = fopen("/dev/full", "w");                                                       \
        assert_non_null(out);                                                                      \
        assert_int_equal(call, -1);                                                                \
        (void)fclose(out);                                                                         \
    } while (0)

static inline cJSON *json_parse(const char *text)
{
    cJSON *root = cJSON_ParseWithOpts(text, NULL, 1);

    assert_non_null(root);
    return root;
}

/* A member that must be there. */
static inline const cJSON *member(const cJSON *object, const char *key)
{
    const cJSON *item = cJSON_GetObjectItemCaseSensitive(object, key);

    if (!item)
        fail_msg("no member '%s'", key);
    return item;
}

static inline bool has(const cJSON *object, const char *key)
{
    return cJSON_GetObjectItemCaseSensitive(object, key) != NULL;
}

static inline double number(const cJSON *object, const char *key)
{
    const cJSON *item = member(object, key);

    if (!cJSON_IsNumber(item))
        fail_msg("'%s' is no number", key);
    return item->valuedouble;
}

static inline const char *text_of(const cJSON *object, const char *key)
{
    const cJSON *item = member(object, key);

    if (!cJSON_IsString(item))
        fail_msg("'%s' is no text", key);
    return item->valuestring;
}

static inline bool flag(const cJSON *object, const char *key)
{
    const cJSON *item = member(object, key);

    if (!cJSON_IsBool(item))
        fail_msg("'%s' is no flag", key);
    return cJSON_IsTrue(item);
}

/* An instant with a fraction of a second and a Z. */
static inline double instant(const cJSON *object, const char *key)
{
    const char *text = text_of(object, key);
    double utc = NAN;

    if (!strchr(text, '.') || text[strlen(text) - 1] != 'Z' || parse_instant(text, &utc, NULL) != 0)
        fail_msg("'%s' is '%s', not an instant with a fraction and Z", key, text);
    return utc;
}

/* No null anywhere, for that is how a number that is not finite would show: but the rig of a job that
 * is no rig's. */
static inline void assert_no_null(const cJSON *item)
{
    for (; item; item = item->next) {
        if (cJSON_IsNull(item) && !(item->string && strcmp(item->string, "rig") == 0))
            fail_msg("'%s' is null", item->string ? item->string : "an element");
        assert_no_null(item->child);
    }
}

/* Every line below 80 columns and without blanks at its end. */
static inline void assert_fits_paper(const char *text)
{
    for (const char *line = text; *line; line += strcspn(line, "\n") + 1) {
        int bytes = (int)strcspn(line, "\n"), columns = 0;

        for (int i = 0; i < bytes; i++)
            columns += ((unsigned char)line[i] & 0xc0) != 0x80;
        if (columns > 79 || (bytes > 0 && line[bytes - 1] == ' '))
            fail_msg("'%.*s'", bytes, line);
    }
}

static inline int times_in(const char *text, const char *part)
{
    int times = 0;

    for (const char *at = text; (at = strstr(at, part)) != NULL; at += strlen(part))
        times++;
    return times;
}

#endif
