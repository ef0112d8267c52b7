/* What searching and computing cost: medians of runs side by side.
 * usage: bench NOVA   (the program that does the search with libnova; run as a process of its own)
 */
#include "../../src/sky/sky_private.h"
#include "search.h"

#include <moonstand/fault.h>
#include <moonstand/moment.h>
#include <moonstand/night.h>
#include <moonstand/pick.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { RUNS = 5 };

/* ---- allocations ---- */

void *__libc_malloc(size_t size);
void *__libc_calloc(size_t count, size_t size);
void *__libc_realloc(void *old, size_t size);

static long allocations;

void *malloc(size_t size)
{
    allocations++;
    return __libc_malloc(size);
}

void *calloc(size_t count, size_t size)
{
    allocations++;
    return __libc_calloc(count, size);
}

void *realloc(void *old, size_t size)
{
    allocations++;
    return __libc_realloc(old, size);
}

/* ---- medians ---- */

static int compare(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;

    return (x > y) - (x < y);
}

static double median(double value[RUNS])
{
    qsort(value, RUNS, sizeof value[0], compare);
    return value[RUNS / 2];
}

static int missed;

static const char *verdict(bool holds)
{
    missed += !holds;
    return holds ? "holds" : "MISSED";
}

/* ---- the search ---- */

static struct place place_of(struct vec3 v)
{
    return (struct place){v.x, v.y, v.z};
}

static struct place full_moon(double tt)
{
    return place_of(moon_geometric_full(tt - 1.28));
}

static struct place full_sun(double tt)
{
    return place_of(sun_geometric(tt - 499));
}

static double ours_ms(struct found *found)
{
    static struct eclipse eclipses[600];
    double from = now_ms();
    size_t count = eclipse_search(-36524.5 * DAY_S, 36889.5 * DAY_S, SHADOW_DANJON, eclipses, 600);
    double ms = now_ms() - from;

    *found = (struct found){.eclipses = (int)count};
    for (size_t i = 0; i < count; i++)
        found->greatest_s += eclipses[i].tt[CONTACT_GREATEST];
    return ms;
}

static double full_ms(struct found *found)
{
    const struct source source = {full_moon, full_sun};
    double from = now_ms();

    *found = search_all(&source);
    return now_ms() - from;
}

static double nova_ms(const char *program, struct found *found)
{
    FILE *out = popen(program, "r");
    double ms = NAN;

    if (!out || fscanf(out, "%lf %d %ld %lf", &ms, &found->eclipses, &found->steps,
                       &found->greatest_s) != 4)
        ms = NAN;
    if (out)
        (void)pclose(out);
    return ms;
}

static void search(const char *nova)
{
    double ours[RUNS], full[RUNS], other[RUNS];
    struct found a, b, c;

    for (int i = 0; i < RUNS; i++) {
        ours[i] = ours_ms(&a);
        full[i] = full_ms(&b);
        other[i] = nova_ms(nova, &c);
    }
    double mine = median(ours), plain = median(full), theirs = median(other);

    printf("Eclipses 1900-2100 with all contacts, medians of %d runs:\n", RUNS);
    printf("  %-38s %9.1f ms, %d eclipses\n", "ours", mine, a.eclipses);
    printf("  %-38s %9.1f ms, %d eclipses, %ld steps, greatest %.2f s off on average\n",
           "our full series at every step", plain, b.eclipses, b.steps,
           (b.greatest_s - a.greatest_s) / a.eclipses);
    printf("  %-38s %9.1f ms, %d eclipses, %ld steps, greatest %.2f s off on average\n",
           "libnova at every step, all its terms", theirs, c.eclipses, c.steps,
           (c.greatest_s - a.greatest_s) / a.eclipses);
    printf("  ours / full series: %.3f (at most 0.1: %s)\n", mine / plain,
           verdict(mine <= 0.1 * plain));
    printf("  ours / libnova: %.3f (at most 0.5: %s)\n", mine / theirs,
           verdict(mine <= 0.5 * theirs));
}

/* ---- the moment ---- */

static void open_night(struct night *night)
{
    static struct setup setup;
    struct eclipse eclipse;
    struct zone_table zone;
    struct fault fault;
    double day;

    setup_default(&setup);
    setup.has_site = true;
    setup.site.latitude_deg = 62;
    setup.site.longitude_deg = 60;
    zone_utc(&zone);
    if (parse_day("2028-12-31", &day, &fault) != 0 ||
        !eclipse_of_day(day, SHADOW_DANJON, &eclipse) ||
        night_open(night, &setup, &eclipse, &zone, false, &fault) != 0)
        exit(1);
    night_follow(night, utc_from_tt(eclipse.tt[CONTACT_U2]));
}

static void moment(void)
{
    enum { CALLS = 2000 };
    static struct night night;
    static struct moment moment;
    struct readings readings;
    double us[RUNS];

    open_night(&night);
    readings_none(&readings);
    double from_utc = night.contact_utc[CONTACT_U1];
    long before = allocations;

    for (int i = 0; i < RUNS; i++) {
        double from = now_ms();

        for (int call = 0; call < CALLS; call++)
            moment_at(&night, &readings, from_utc + 5 * call, &moment);
        us[i] = (now_ms() - from) / CALLS * 1000;
    }
    long made = allocations - before;
    double each = median(us);

    printf("\nOne moment for %d rigs, medians of %d runs of %d:\n", night.setup.rig_count, RUNS,
           CALLS);
    printf("  %.1f microseconds (under 100: %s), %ld allocations (none: %s)\n", each,
           verdict(each < 100), made, verdict(made == 0));
    night_close(&night);
}

/* ---- the plan ---- */

/* The slowest step of those that follow one act, in which the night is planned anew from it on. */
static double replan_ms(struct night *night, struct act act)
{
    struct fault fault;
    double slowest = 0, from = now_ms();

    if (night_apply(night, &act, &fault) != 0)
        exit(1);
    for (int tick = 0; tick < 10; tick++) {
        night_follow(night, act.utc + tick);
        slowest = fmax(slowest, now_ms() - from);
        from = now_ms();
    }
    return slowest;
}

static void plan(void)
{
    static struct night night;
    double whole[RUNS], again[RUNS], corrected[RUNS];
    int rounds = 0;

    for (int i = 0; i < RUNS; i++) {
        double from = now_ms();

        open_night(&night);
        whole[i] = now_ms() - from;
        double u1 = night.contact_utc[CONTACT_U1];
        again[i] =
            replan_ms(&night, (struct act){.kind = ACT_DANJON, .utc = u1, .rig = -1, .value = {1}});
        corrected[i] = replan_ms(&night, (struct act){.kind = ACT_CORRECTION,
                                                      .utc = u1 + 600,
                                                      .rig = 1,
                                                      .value = {TARGET_LIT, 1, NAN}});
        rounds = night.rounds.count;
        night_close(&night);
    }
    double all = median(whole), rated = median(again), moved = median(corrected);

    printf("\nThe plan of a night with 3 rigs (%d rounds), medians of %d runs:\n", rounds, RUNS);
    printf("  the whole night, from nothing: %.1f ms (at most 20: %s)\n", all, verdict(all <= 20));
    printf("  slowest tick after a rating of L: %.1f ms (at most 50: %s)\n", rated,
           verdict(rated <= 50));
    printf("  slowest tick after a correction: %.1f ms (at most 50: %s)\n", moved,
           verdict(moved <= 50));
}

int main(int argc, char **argv)
{
    if (argc != 2)
        return 2;
    search(argv[1]);
    moment();
    plan();
    return missed > 0;
}
