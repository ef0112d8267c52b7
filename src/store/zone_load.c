/* Local time from the C library, which reads the system's zone files and the rules of $TZ. What it
 * cannot read it takes for UTC without a word, so names, files and rules are checked first. */
#include "files.h"

#include <moonstand/instant.h>
#include <moonstand/zone_load.h>

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

/* On 32-bit machines the Makefile asks for it, for this file. */
_Static_assert(sizeof(time_t) >= 8, "local time until 2100 needs 64 bits");

enum { ZONE_LARGEST = 1 << 20, LIBRARY_ZONE = PATH_SIZE + 1 };
#define LETTERS "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz"
#define ZONE_FOLDER "/usr/share/zoneinfo"
#define LOCAL_FILE "/etc/localtime"
/* The closest two changes of any zone are 4 days apart in 1939 (Freetown), and a week since then
 * (Ramadan in Gaza); the test over every zone of the system depends on it. */
#define STRIDE_1939_S (3 * SECONDS_PER_DAY)
#define STRIDE_S (6 * SECONDS_PER_DAY)

/* ---- the zone of the process ---- */

/* Makes `zone` the zone of the C library. `before` is for leave_zone: hooks inherit $TZ. */
static bool enter_zone(const char *zone, char **before)
{
    const char *old = getenv("TZ");

    *before = old ? strdup(old) : NULL;
    if ((old && !*before) || setenv("TZ", zone, 1) != 0) {
        free(*before);
        return false;
    }
    tzset();
    return true;
}

static void leave_zone(char *before)
{
    if (before)
        (void)setenv("TZ", before, 1);
    else
        (void)unsetenv("TZ");
    tzset();
    free(before);
}

/* ---- the table ---- */

static struct tm local_at(double utc)
{
    time_t instant = (time_t)utc;
    struct tm local = {.tm_zone = ""};

    (void)localtime_r(&instant, &local);
    return local;
}

static bool is_same(const struct tm *a, const struct tm *b)
{
    return a->tm_gmtoff == b->tm_gmtoff && strcmp(a->tm_zone, b->tm_zone) == 0;
}

static bool add_step(struct zone_table *zone, double from_utc, const struct tm *local)
{
    struct zone_step *step = &zone->step[zone->count];

    if (zone->count >= ZONE_STEPS)
        return false;
    step->from_utc = from_utc;
    step->offset_s = (int)local->tm_gmtoff;
    (void)snprintf(step->abbreviation, sizeof step->abbreviation, "%s", local->tm_zone);
    zone->count++;
    return true;
}

/* The first second at which what holds at `from` no longer does; at `to` it does not. */
static double find_change(double from, double to)
{
    struct tm before = local_at(from);

    while (to - from > 1) {
        double middle = floor((from + to) / 2);
        struct tm local = local_at(middle);

        if (is_same(&local, &before))
            from = middle;
        else
            to = middle;
    }
    return to;
}

/* At most a day more at both ends than the years that the program answers for: local days are not
 * UTC's. */
static bool fill_table(double utc_from, double utc_to, struct zone_table *zone)
{
    const struct civil first = {.year = YEAR_FIRST - 1, .month = 12, .day = 31},
                       last = {.year = YEAR_LAST + 1, .month = 1, .day = 3},
                       second = {.year = 1940, .month = 1, .day = 1};
    double utc = floor(fmax(utc_from, seconds_from_civil(&first)));
    double end = fmin(utc_to, seconds_from_civil(&last));
    double of_1940 = seconds_from_civil(&second);
    struct tm before = local_at(utc);

    zone->count = 0;
    (void)add_step(zone, -INFINITY, &before);
    while (utc < end) {
        double next = utc + (utc < of_1940 ? STRIDE_1939_S : STRIDE_S);
        struct tm after = local_at(next);

        if (!is_same(&before, &after)) {
            next = find_change(utc, next);
            after = local_at(next);
            if (!add_step(zone, next, &after))
                return false;
        }
        utc = next;
        before = after;
    }
    return true;
}

/* ---- what can be read ---- */

/* The parts of a rule, each taken off the front of a text; false if it does not begin with one. Written
 * out: the library's regular expressions take 150 kB of the night for this one. */
static bool rule_char(const char **at, char wanted)
{
    return *(*at)++ == wanted;
}

static bool rule_name(const char **at)
{
    bool quoted = **at == '<';
    size_t length = strspn(*at += quoted, quoted ? LETTERS "0123456789+-" : LETTERS);

    *at += length;
    return length >= 3 && length <= 7 && (!quoted || rule_char(at, '>'));
}

static bool rule_number(const char **at, size_t digits, long least, long most)
{
    size_t length = strspn(*at, "0123456789");
    long value = strtol(*at, NULL, 10);

    *at += length;
    return length > 0 && length <= digits && value >= least && value <= most;
}

static bool rule_time(const char **at, size_t digits, long most_hours)
{
    *at += **at == '-' || **at == '+';
    bool fits = rule_number(at, digits, 0, most_hours);
    for (int i = 0; i < 2 && fits && **at == ':'; i++)
        fits = rule_char(at, ':') && rule_number(at, 2, 0, 59);
    return fits;
}

static bool rule_day(const char **at)
{
    bool counts_from_1 = **at == 'J';

    if (**at == 'M')
        return rule_char(at, 'M') && rule_number(at, 2, 1, 12) && rule_char(at, '.') &&
               rule_number(at, 1, 1, 5) && rule_char(at, '.') && rule_number(at, 1, 0, 6);
    *at += counts_from_1;
    return rule_number(at, 3, counts_from_1, 365);
}

static bool rule_date(const char **at)
{
    return rule_char(at, ',') && rule_day(at) &&
           (**at != '/' || (rule_char(at, '/') && rule_time(at, 3, 167)));
}

/* POSIX.1-2017 section 8.3 with the hours of RFC 8536 section 3.3.1; summer time needs its
 * dates. */
static bool is_rule(const char *text)
{
    if (!rule_name(&text) || !rule_time(&text, 2, 24))
        return false;
    return *text == '\0' ||
           (rule_name(&text) && (*text == ',' || rule_time(&text, 2, 24)) && rule_date(&text) &&
            rule_date(&text) && *text == '\0');
}

/* TZif (RFC 8536) with all of its last line, the rule for the years past the file's table: the
 * library does without a line that is cut off. Ends the text at the line's end. */
static bool is_whole(char *bytes, size_t length)
{
    char *line = bytes + length - 1;

    if (length < 5 || memcmp(bytes, "TZif", 4) != 0)
        return false;
    if (bytes[4] == '\0')
        return true; /* version 1 has no such line */
    if (*line != '\n')
        return false;
    *line = '\0';
    while (line > bytes && line[-1] > ' ' && line[-1] < 0x7f)
        line--;
    return line > bytes && line[-1] == '\n' && (*line == '\0' || is_rule(line));
}

static int check_file(const char *path, struct fault *fault)
{
    char *bytes;
    size_t length;

    if (file_read(path, ZONE_LARGEST, &bytes, &length, fault) != 0)
        return -1;
    bool whole = is_whole(bytes, length);
    free(bytes);
    return whole ? 0 : fault_set(fault, "%s: damaged, or not a time zone file", path);
}

/* Whether the library could read its zone (if not, it has no abbreviation), and counts no leap
 * seconds ("right/..."), which is another scale than UTC. */
static bool library_keeps_utc(void)
{
    const double instant = 1861833600;
    struct tm local = local_at(instant);
    struct civil civil = {local.tm_year + 1900, local.tm_mon + 1, local.tm_mday,
                          local.tm_hour,        local.tm_min,     local.tm_sec};

    return *local.tm_zone != '\0' &&
           seconds_from_civil(&civil) == instant + (double)local.tm_gmtoff;
}

/* ---- names ---- */

/* What a name means: what the table is called, and the text of $TZ for the library. */
struct zone_source {
    char name[sizeof((struct zone_table *)0)->name];
    char library[LIBRARY_ZONE];
};

/* Letters, digits and + - _ / alone: no way out of the zone folder. */
static bool is_zone_name(const char *name)
{
    size_t length = strlen(name);

    return length > 0 && length < sizeof((struct zone_table *)0)->name && name[0] != '/' &&
           strspn(name, LETTERS "0123456789+-_/") == length;
}

void zone_path(const char *name, char out[PATH_SIZE])
{
    const char *folder = getenv("TZDIR");

    (void)snprintf(out, PATH_SIZE, "%s/%s", folder && *folder == '/' ? folder : ZONE_FOLDER, name);
}

static int find_file(const char *path, struct zone_source *source, struct fault *fault)
{
    (void)snprintf(source->library, sizeof source->library, ":%s", path);
    return check_file(path, fault);
}

static int find_name(const char *name, struct zone_source *source, struct fault *fault)
{
    char path[PATH_SIZE];

    if (is_zone_name(name)) {
        zone_path(name, path);
        if (access(path, R_OK) == 0)
            return find_file(path, source, fault);
    }
    zone_path("", path);
    return fault_set(fault,
                     "found time zone \"%.60s\"; expected a name of %s such as "
                     "Europe/Rome, or \"system\" (is the package tzdata there?)",
                     name, path);
}

static void name_source(struct zone_source *source, const char *name)
{
    (void)snprintf(source->name, sizeof source->name, "%.*s", (int)sizeof source->name - 1, name);
}

/* $TZ may also be a path or a rule of its own. */
static int find_environment(const char *text, struct zone_source *source, struct fault *fault)
{
    text += *text == ':';
    name_source(source, text);
    if (*text == '/')
        return find_file(text, source, fault);
    if (!is_rule(text))
        return find_name(text, source, fault);
    (void)snprintf(source->library, sizeof source->library, "%.*s", LIBRARY_ZONE - 1, text);
    return 0;
}

static int find_system(struct zone_source *source, struct fault *fault)
{
    static const char marker[] = "zoneinfo/";
    const char *environment = getenv("TZ"), *name;

    if (environment && *environment)
        return find_environment(environment, source, fault);
    if (environment || access(LOCAL_FILE, F_OK) != 0) {
        name_source(source, "UTC");
        (void)snprintf(source->library, sizeof source->library, "UTC0");
        return 0;
    }
    char *real = realpath(LOCAL_FILE, NULL);
    name = real ? strstr(real, marker) : NULL;
    name_source(source, name ? name + strlen(marker) : "local");
    free(real);
    return find_file(LOCAL_FILE, source, fault);
}

static int find_zone(const char *name, struct zone_source *source, struct fault *fault)
{
    if (*name == '\0' || strcmp(name, "system") == 0)
        return find_system(source, fault);
    name_source(source, name);
    return find_name(name, source, fault);
}

/* `zone` null: the library need only be able to read it. */
static int ask_library(const struct zone_source *source, double utc_from, double utc_to,
                       struct zone_table *zone, struct fault *fault)
{
    char *before;
    int status = 0;

    if (!enter_zone(source->library, &before))
        return fault_set(fault, "out of memory");
    if (!library_keeps_utc())
        status = fault_set(fault, "time zone %s: its file is damaged, or counts leap seconds",
                           source->name);
    else if (zone && !fill_table(utc_from, utc_to, zone))
        status =
            fault_set(fault, "time zone %s: more than %d changes", source->name, ZONE_STEPS - 1);
    leave_zone(before);
    return status;
}

int zone_check(const char *name, struct fault *fault)
{
    struct zone_source source;

    return find_zone(name, &source, fault) == 0 ? ask_library(&source, 0, 0, NULL, fault) : -1;
}

int zone_load(const char *name, double utc_from, double utc_to, struct zone_table *zone,
              struct fault *fault)
{
    struct zone_source source;
    struct zone_table fresh = {0};

    if (find_zone(name, &source, fault) != 0 ||
        ask_library(&source, utc_from, utc_to, &fresh, fault) != 0)
        return -1;
    memcpy(fresh.name, source.name, sizeof fresh.name);
    *zone = fresh;
    return 0;
}
