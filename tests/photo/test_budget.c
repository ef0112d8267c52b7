/* Batteries in the cold, their swaps around totality, frames on a card. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <moonstand/aim.h>
#include <moonstand/budget.h>
#include <moonstand/rig.h>

#include "../../src/photo/photo_private.h"
#include "near.h"

#include <string.h>

/* ---- power ---- */

/* Samsung SDI, specification of the INR18650-15L, 7.5: discharge at 10 A against 25 C. */
static struct power default_power(void)
{
    struct rig rig;

    rig_default(&rig);
    return rig.power;
}

static void capacity_as_published(void **state)
{
    static const double published[][2] = {{-20, 0.60}, {-10, 0.75}, {0, 0.80}, {25, 1.00}};
    struct power power;

    (void)state;
    power = default_power();
    for (int i = 0; i < 4; i++)
        assert_near(power_capacity(&power, published[i][0]), published[i][1], 1e-12);
    assert_near(power_capacity(&power, -5), 0.775, 1e-12);
    assert_near(power_capacity(&power, 12.5), 0.9, 1e-12);
    /* 100 percent at 60 C too; colder than the table nothing is known to be better. */
    assert_near(power_capacity(&power, 60), 1, 1e-12);
    assert_near(power_capacity(&power, -35), 0.60, 1e-12);
    assert_true(isnan(power_capacity(&power, NAN)));
}

/* Battery University, BU-502,
 * https://batteryuniversity.com/learn/article/discharging_at_high_and_low_temperatures: 100 percent at 27 C typically are 50 at -18 C. */
static void a_table_of_ones_own(void **state)
{
    struct power power;

    (void)state;
    power = default_power();
    power.cold_count = 2;
    power.cold[0] = (struct cold_point){-18, 0.5};
    power.cold[1] = (struct cold_point){27, 1};
    assert_near(power_capacity(&power, 4.5), 0.75, 1e-12);
    assert_near(power_capacity(&power, -30), 0.5, 1e-12);
    power.cold_count = 1;
    assert_near(power_capacity(&power, 20), 0.5, 1e-12);
}

/* Shots of one battery, when it ends by them. */
static double shots_of(const struct power *power, double temperature_c)
{
    double frames_per_s = 2;

    return power_life_s(power, frames_per_s, temperature_c) * frames_per_s;
}

/* Canon's manuals, by CIPA's rule. EOS-1D Mark III with LP-E4: 1500 at 23 C, 1200 at 0 C. Rebel T6:
 * 600 by the finder, 190 in live view; the factor 3 is good to 6 percent. */
static void shots_as_published(void **state)
{
    struct power power;

    (void)state;
    power = default_power();
    assert_near(power.rated_shots, 1500, 0);
    assert_near(shots_of(&power, 25), 1500, 1e-9);
    assert_near(shots_of(&power, 0), 1200, 1e-9);
    power.rated_shots = 600;
    power.live_view = true;
    assert_near(shots_of(&power, 25), 190, 0.06 * 190);
}

static void whichever_ends_first(void **state)
{
    struct power power;

    (void)state;
    power = default_power();
    power.rated_shots = 720;
    power.rated_hours = 4;
    assert_near(power_life_s(&power, 0.1, 25), 7200, 1e-6);          /* 720 shots, 10 s apart */
    assert_near(power_life_s(&power, 1 / 30.0, 25), 4 * 3600, 1e-6); /* would take 6 h */
    assert_near(power_life_s(&power, 0, 25), 4 * 3600, 1e-6);
    assert_near(power_life_s(&power, 0, -10), 3 * 3600, 1e-6);
    power.live_view = true;
    assert_near(power_life_s(&power, 0, -10), 3600, 1e-6);
    power.external = true;
    assert_true(isinf(power_life_s(&power, 0.1, -10)));
}

static void a_heater_shares_the_battery(void **state)
{
    struct power power;

    (void)state;
    power = default_power();
    power.rated_hours = 4;
    power.battery_wh = 12; /* the camera draws 3 W */
    power.heater_w = 3;
    assert_near(power_life_s(&power, 0, 25), 2 * 3600, 1e-6);
}

static void unknown_life(void **state)
{
    struct power power;

    (void)state;
    power = default_power();
    assert_true(isnan(power_life_s(&power, 0.1, NAN)));
    assert_true(isnan(power_life_s(&power, NAN, 0)));
    power.rated_hours = NAN;
    assert_true(isnan(power_life_s(&power, 0.1, 0)));
    power = default_power();
    power.heater_w = 5;
    power.battery_wh = NAN;
    assert_true(isnan(power_life_s(&power, 0.1, 0)));
}

/* ---- swaps ---- */

/* Contacts of 2025-03-14 in seconds of that day, UTC (Goddard Space Flight Center). */
#define HMS(h, m, s) ((h)*3600.0 + (m)*60.0 + (s))
#define P1 HMS(3, 57, 24)
#define U1 HMS(5, 9, 33)
#define U2 HMS(6, 25, 59)
#define U3 HMS(7, 31, 23)
#define U4 HMS(8, 47, 48)
#define P4 HMS(10, 0, 1)

static struct swap_ask night_of(double life_s)
{
    return (struct swap_ask){
        .utc = P1,
        .utc_to = P4,
        .changed_utc = NAN,
        .life_s = life_s,
        .swap_s = SWAP_S,
        .spares = 10,
        .u2_utc = U2,
        .u3_utc = U3,
        .calm_s = AIM_KEEP_OFF_S,
    };
}

static bool hands_between(const struct swap_ask *ask, double utc, double from, double to)
{
    return utc + ask->swap_s > from + 0.01 && utc < to - 0.01;
}

static bool in_totality(const struct swap_ask *ask, double utc)
{
    return hands_between(ask, utc, ask->u2_utc - AIM_KEEP_OFF_S, ask->u3_utc + AIM_KEEP_OFF_S);
}

static bool forbidden(const struct swap_ask *ask, double utc)
{
    for (int i = 0; i < ask->off_count; i++)
        if (hands_between(ask, utc, ask->off[i].from, ask->off[i].to))
            return true;
    return false;
}

/* Lives through the night second by second with the plan in hand; fails where the camera goes dark
 * or hands come at a wrong time. */
static void live_through(const struct swap_ask *ask, const struct swap_plan *plan,
                         bool spare_totality)
{
    double charge_s = ask->life_s;
    int next = 0;

    if (!isnan(ask->changed_utc))
        charge_s -= ask->utc - ask->changed_utc;
    for (double utc = ask->utc; utc < ask->utc_to; utc++) {
        if (next < plan->count && plan->swap[next].utc <= utc) {
            double swap = plan->swap[next].utc;

            assert_false(forbidden(ask, swap));
            assert_true(!spare_totality || !in_totality(ask, swap));
            assert_int_equal(plan->swap[next].in_totality, in_totality(ask, swap));
            charge_s = ask->life_s - (utc - swap);
            next++;
        }
        assert_true(charge_s > -1);
        charge_s--;
    }
    assert_int_equal(next, plan->count);
    assert_int_equal(plan->batteries, plan->count + 1);
}

/* -15 C, 10 s interval, from a quarter of an hour before U1. A battery of 1500 shots gives out
 * after 131 minutes, by its hours; one of 600 shots after 67, by its shots: two minutes more than
 * totality lasts. Both would be due in the middle of it. */
static void cold_night_keeps_totality_free(void **state)
{
    static const double rated_shots[] = {1500, 600};

    (void)state;
    for (int i = 0; i < 2; i++) {
        struct power power;
        struct swap_ask ask;
        struct swap_plan plan;
        double due;

        power = default_power();
        power.rated_shots = rated_shots[i];
        ask = night_of(power_life_s(&power, 0.1, -15));
        ask.utc = U1 - 900;
        due = ask.utc + (i + 1) * 0.9 * ask.life_s;
        assert_true(due > U2 && due < U3);
        swap_plan_make(&ask, &plan);
        live_through(&ask, &plan, true);
        assert_true(plan.known && plan.totality_free && !plan.external && isnan(plan.dry_utc));
        assert_near(plan.swap[i].utc, U2 - AIM_KEEP_OFF_S - SWAP_S, 1e-3);
    }
}

/* Due four minutes before U2, and the next one in totality: one swap does, on the reserve. */
static void one_swap_where_one_does(void **state)
{
    struct swap_ask ask = night_of(70 * 60);
    struct swap_plan plan;

    (void)state;
    ask.utc = U2 - 240 - 0.9 * ask.life_s;
    swap_plan_make(&ask, &plan);
    live_through(&ask, &plan, true);
    assert_near(plan.swap[0].utc, U2 - AIM_KEEP_OFF_S - SWAP_S, 1e-3);
    assert_true(plan.swap[1].utc > U3);
    /* A battery that lasts through is changed when it is due. */
    ask.life_s = 120 * 60;
    ask.utc = U2 - 240 - 0.9 * ask.life_s;
    swap_plan_make(&ask, &plan);
    assert_near(plan.swap[0].utc, U2 - 240, 1e-3);
}

/* A life longer than totality and what hands and the kept-off minutes need always keeps it free,
 * wherever in the night the battery was changed; a shorter one never can. */
static void whether_totality_can_be_kept_free(void **state)
{
    double needed = U3 - U2 + 2 * AIM_KEEP_OFF_S + SWAP_S;

    (void)state;
    for (double changed = P1 - 3000; changed <= P1; changed += 100)
        for (double spare = -600; spare <= 9000; spare += 300) {
            struct swap_ask ask = night_of(needed + spare + 1);
            struct swap_plan plan;

            ask.changed_utc = changed;
            swap_plan_make(&ask, &plan);
            live_through(&ask, &plan, spare >= 0);
            assert_int_equal(plan.totality_free, spare >= 0);
            assert_int_equal(plan.external, spare < 0);
        }
}

/* Live view at -20 C: 39 minutes a battery, 65 of totality. */
static void cold_night_that_cannot(void **state)
{
    struct power power;
    struct swap_ask ask;
    struct swap_plan plan;
    int inside = 0;

    (void)state;
    power = default_power();
    power.live_view = true;
    ask = night_of(power_life_s(&power, 0.1, -20));
    assert_near(ask.life_s, 39 * 60, 1e-6);
    swap_plan_make(&ask, &plan);
    live_through(&ask, &plan, false);
    for (int i = 0; i < plan.count; i++)
        inside += plan.swap[i].in_totality;
    assert_int_equal(inside, 1); /* just ahead of U2, once inside, then after U3 */
    assert_true(!plan.totality_free && plan.external && isnan(plan.dry_utc));
}

static void a_wide_rig_is_not_touched(void **state)
{
    static const struct span run = {U1, U4};
    struct swap_ask ask = night_of(4 * 3600);
    struct swap_plan plan;

    (void)state;
    ask.off = &run;
    ask.off_count = 1;
    swap_plan_make(&ask, &plan); /* due at 7:33; the next one three minutes before U4 */
    live_through(&ask, &plan, true);
    assert_int_equal(plan.count, 2);
    assert_near(plan.swap[0].utc, U1 - SWAP_S, 1e-3);
    assert_near(plan.swap[1].utc, U4, 1e-3);
    assert_true(!plan.external && !plan.swap[1].late);

    ask.life_s = 3 * 3600; /* the run takes 3 h 38 min */
    swap_plan_make(&ask, &plan);
    assert_int_equal(plan.count, 2);
    assert_near(plan.swap[0].utc, U1 - SWAP_S, 1e-3);
    assert_near(plan.swap[1].utc, U4, 1e-3);
    assert_true(plan.swap[1].late && !plan.swap[0].late);
    assert_near(plan.dry_utc, U1 - SWAP_S + 3 * 3600, 1e-3);
    assert_true(plan.external && plan.totality_free);

    ask.life_s = 2 * 3600; /* dark from 7:08, before U3 */
    swap_plan_make(&ask, &plan);
    assert_near(plan.dry_utc, U1 - SWAP_S + 2 * 3600, 1e-3);
    assert_true(plan.external && !plan.totality_free);
}

static void spares_and_external_power(void **state)
{
    struct swap_ask ask = night_of(2 * 3600);
    struct swap_plan plan;

    (void)state;
    swap_plan_make(&ask, &plan);
    assert_int_equal(plan.batteries, 4);
    for (ask.spares = 0; ask.spares <= 4; ask.spares++) {
        swap_plan_make(&ask, &plan);
        assert_int_equal(plan.external, ask.spares < 3);
    }
    ask.spares = 0;
    ask.life_s = INFINITY;
    swap_plan_make(&ask, &plan);
    assert_true(plan.known && plan.batteries == 1 && !plan.external);
    ask.life_s = NAN;
    swap_plan_make(&ask, &plan);
    assert_false(plan.known);
    ask.life_s = 120; /* not worth a plan */
    swap_plan_make(&ask, &plan);
    assert_int_equal(plan.count, 0);
    assert_near(plan.dry_utc, P1 + 120, 1e-6);
    assert_true(plan.external && !plan.totality_free);
    /* More swaps than are written. */
    ask.life_s = 660;
    swap_plan_make(&ask, &plan);
    assert_true(plan.count > SWAPS && plan.external);
}

/* Asked in the middle of the night. */
static void from_now_on(void **state)
{
    struct swap_ask ask = night_of(2 * 3600);
    struct swap_plan plan;

    (void)state;
    /* In totality: the tenth in reserve lasts beyond U3. */
    ask.utc = U2 + 60;
    ask.changed_utc = U3 - 1.95 * 3600;
    swap_plan_make(&ask, &plan);
    live_through(&ask, &plan, true);
    assert_near(plan.swap[0].utc, U3 + AIM_KEEP_OFF_S, 1e-3);
    assert_true(plan.totality_free);
    /* It does not: hands must come, and at the last instant of the ninth tenth. */
    ask.changed_utc = U3 - 2.2 * 3600;
    ask.utc = U2 - 60;
    swap_plan_make(&ask, &plan);
    live_through(&ask, &plan, false);
    assert_true(plan.swap[0].in_totality && plan.external);
    assert_near(plan.swap[0].utc, ask.changed_utc + 1.8 * 3600, 1e-3);
    /* Long overdue: now. */
    ask.utc = U4;
    ask.changed_utc = P1;
    swap_plan_make(&ask, &plan);
    assert_near(plan.swap[0].utc, U4, 1e-3);
    assert_true(!plan.swap[0].late && !plan.external);
    /* Now, but the rig may not be touched for ten minutes. */
    ask.off = &(const struct span){U4 - 60, U4 + 600};
    ask.off_count = 1;
    swap_plan_make(&ask, &plan);
    assert_near(plan.swap[0].utc, U4 + 600, 1e-3);
    assert_near(plan.dry_utc, U4, 1e-3);
    assert_true(plan.swap[0].late && plan.external);
    /* The Moon sets in totality, and the reserve lasts until then. */
    ask = night_of(2 * 3600);
    ask.changed_utc = U2 - AIM_KEEP_OFF_S - SWAP_S - 3600;
    ask.utc = U2;
    ask.utc_to = ask.changed_utc + 1.95 * 3600;
    swap_plan_make(&ask, &plan);
    assert_true(ask.utc_to < U3 && plan.count == 0 && !plan.external && plan.totality_free);
    /* No totality, and the reserve lasts to the end inside a span that is not to be touched. */
    ask = night_of(2 * 3600);
    ask.u2_utc = ask.u3_utc = NAN;
    ask.utc_to = P1 + 1.95 * 3600;
    ask.off = &(const struct span){P1, P4};
    ask.off_count = 1;
    swap_plan_make(&ask, &plan);
    assert_true(plan.count == 0 && !plan.external && plan.totality_free);
}

enum { GRID = 15, INSTANTS = 1 + 21600 / GRID };

/* Whether any choice of instants on a grid spares totality and every span, by trying them all. */
static bool can_be_had(const struct swap_ask *ask, double life_s)
{
    bool reached[INSTANTS] = {false};
    double changed = ask->changed_utc;

    for (int i = 0; i < INSTANTS && ask->utc + i * GRID < ask->utc_to; i++) {
        double utc = ask->utc + i * GRID;

        if (forbidden(ask, utc) || in_totality(ask, utc))
            continue;
        reached[i] = utc - changed <= life_s;
        for (int j = 0; j < i && !reached[i]; j++)
            reached[i] = reached[j] && (i - j) * GRID <= life_s;
        if (reached[i] && ask->utc_to - utc <= life_s)
            return true;
    }
    return ask->utc_to - changed <= life_s;
}

static double uniform(uint32_t *seed, double from, double to)
{
    *seed = *seed * 1664525u + 1013904223u;
    return from + (to - from) * (*seed >> 8) / 16777216.0;
}

static void against_every_other_plan(void **state)
{
    uint32_t seed = 20250314;
    int had = 0, not_had = 0;

    (void)state;
    for (int i = 0; i < 400; i++) {
        struct span off[2];
        struct swap_ask ask = night_of(uniform(&seed, 1500, 12000));
        struct swap_plan plan;
        bool good;

        for (int j = 0; j < 2; j++) {
            off[j].from = uniform(&seed, P1, P4);
            off[j].to = off[j].from + uniform(&seed, 60, 4000);
        }
        ask.off = off;
        ask.off_count = 2;
        ask.changed_utc = P1 - uniform(&seed, 0, 0.8) * ask.life_s;
        swap_plan_make(&ask, &plan);
        good = plan.totality_free && isnan(plan.dry_utc);
        if (isnan(plan.dry_utc))
            live_through(&ask, &plan, plan.totality_free);
        /* The planner never changes twice within a minute, and the grid is coarse. */
        if (can_be_had(&ask, ask.life_s - SWAP_S - 2 * GRID)) {
            assert_true(good);
            had++;
        } else if (!can_be_had(&ask, ask.life_s + 2 * GRID)) {
            assert_false(good);
            not_had++;
        }
    }
    assert_true(had > 50 && not_had > 50);
}

/* ---- swaps that cost the aim ---- */

enum { RE_AIMS = 80 };

/* A night of a long rig: re-aims every 6 to 16 minutes, the minutes around contacts kept free. */
static struct swap_ask long_rig(uint32_t *seed, double re_aim[RE_AIMS], struct span around[3])
{
    struct swap_ask ask = night_of(uniform(seed, 1500, 12000));
    double at = P1;

    for (int i = 0; i < RE_AIMS; i++)
        re_aim[i] = at += uniform(seed, 360, 960);
    around[0] = (struct span){U1 - AIM_KEEP_OFF_S, U1 + AIM_KEEP_OFF_S};
    around[1] = (struct span){(U2 + U3) / 2 - 30, (U2 + U3) / 2 + 30};
    around[2] = (struct span){U4 - AIM_KEEP_OFF_S, U4 + AIM_KEEP_OFF_S};
    ask.off = around;
    ask.off_count = 3;
    ask.swap_s = SWAP_S + AIM_HANDS_S;
    ask.calm_s = SWAP_CALM_S;
    ask.re_aim = re_aim;
    ask.re_aim_count = RE_AIMS;
    ask.changed_utc = P1 - uniform(seed, 0, 0.8) * ask.life_s;
    return ask;
}

static bool is_calm(const struct swap_ask *ask, double utc)
{
    return !forbidden(ask, utc) && !hands_between(ask, utc, U2 - 600, U3 + 600);
}

/* Whether some second between two instants is neither in the ten minutes beside totality nor in
 * totality nor kept free, by trying each. */
static bool another_second(const struct swap_ask *ask, double from, double to)
{
    for (double utc = ceil(from); utc <= to; utc++)
        if (is_calm(ask, utc))
            return true;
    return false;
}

static bool goes_with_a_re_aim(const struct swap_ask *ask, double utc)
{
    for (int i = 0; i < ask->re_aim_count; i++)
        if (fabs(utc + ask->swap_s - ask->re_aim[i]) < 0.01)
            return true;
    return false;
}

/* Never in the ten minutes before U2 or after U3 where the battery allows another second; beside a
 * re-aim, unless none is near or it would cost a battery. */
static void a_swap_goes_with_a_re_aim(void **state)
{
    uint32_t seed = 20290626;
    int swaps = 0, joined = 0, hurried = 0, costly = 0;

    (void)state;
    for (int i = 0; i < 1500; i++) {
        double re_aim[RE_AIMS];
        struct span around[3];
        struct swap_ask ask = long_rig(&seed, re_aim, around), free = ask;
        struct swap_plan plan, unbound;
        double changed = ask.changed_utc;

        free.re_aim_count = 0;
        swap_plan_make(&ask, &plan);
        swap_plan_make(&free, &unbound);
        assert_int_equal(plan.totality_free, unbound.totality_free);
        assert_int_equal(isnan(plan.dry_utc), isnan(unbound.dry_utc));
        if (plan.count > SWAPS)
            continue;
        if (isnan(plan.dry_utc) && plan.totality_free)
            assert_true(plan.count <= unbound.count);
        for (int j = 0; j < plan.count; j++) {
            const struct swap *swap = &plan.swap[j];
            double from = fmax(ask.utc, changed + ask.swap_s);
            double empty = fmax(changed + ask.life_s, ask.utc);

            assert_int_equal(swap->at_re_aim, goes_with_a_re_aim(&ask, swap->utc));
            if (!is_calm(&ask, swap->utc)) {
                assert_false(another_second(&ask, from, empty));
                hurried++;
            }
            swaps++;
            joined += swap->at_re_aim;
            changed = swap->utc;
        }
        costly += unbound.count > 0 && plan.count == unbound.count && !plan.swap[0].at_re_aim;
    }
    print_message("%d swaps of a long rig, %d with a re-aim, %d hurried, %d nights otherwise\n",
                  swaps, joined, hurried, costly);
    assert_true(swaps > 3000 && joined > swaps * 6 / 10 && hurried > 20 && hurried < swaps / 5);
}

/* A night with one swap: it goes with the last re-aim before a tenth is left, by looking at each. */
static void one_swap_with_the_last_re_aim(void **state)
{
    uint32_t seed = 20281231;
    int seen = 0;

    (void)state;
    for (int i = 0; i < 3000; i++) {
        double re_aim[RE_AIMS], best = NAN;
        struct span around[3];
        struct swap_ask ask = long_rig(&seed, re_aim, around);
        struct swap_plan plan;
        double limit;

        ask.life_s = uniform(&seed, 9000, 21000);
        limit = ask.changed_utc + (1 - SWAP_RESERVE) * ask.life_s;
        swap_plan_make(&ask, &plan);
        for (int j = 0; j < RE_AIMS; j++) {
            double utc = re_aim[j] - ask.swap_s;
            if (utc <= limit && utc > limit - 1200 && utc >= ask.utc && is_calm(&ask, utc))
                best = utc;
        }
        /* The next battery lasts to the end, so that nothing speaks for another instant. */
        if (isnan(best) || !is_calm(&ask, limit) ||
            best + (1 - SWAP_RESERVE) * ask.life_s < ask.utc_to)
            continue;
        assert_int_equal(plan.count, 1);
        assert_near(plan.swap[0].utc, best, 1e-3);
        seen++;
    }
    assert_true(seen > 50);
}

/* ---- card ---- */

/* Shoots the night frame by frame: how many frames, and when the first one does not fit. */
static double shoot(const struct card_ask *ask, double interval_s, int longest, double room,
                    double *full_utc)
{
    double frames = 0;

    *full_utc = NAN;
    for (int i = 0;; i++) {
        double utc = ask->utc + i * interval_s;
        const struct card_span *span = NULL;

        if (utc >= ask->span[ask->span_count - 1].utc_to)
            return frames;
        for (int j = 0; j < ask->span_count; j++)
            if (utc >= ask->span[j].utc_from && utc < ask->span[j].utc_to)
                span = &ask->span[j];
        if (!span)
            continue;
        frames += span->bracket_frames < longest ? span->bracket_frames : longest;
        if (isnan(*full_utc) && frames > room)
            *full_utc = utc;
    }
}

/* 24 Mpx, 28 MB a frame: usual for 14 bits, compressed without loss: common practice, no
 * source. */
static void card_of_one_setting(void **state)
{
    static const struct card_span night = {P1, P4, 1};
    struct card_ask ask = {.utc = P1,
                           .interval_s = 10,
                           .span = &night,
                           .span_count = 1,
                           .longest_bracket = 1,
                           .frame_bytes = 28e6,
                           .card_bytes = 64e9,
                           .free_bytes = NAN};
    struct card_budget budget;

    (void)state;
    card_budget_make(&ask, &budget);
    assert_near(budget.frames, 2176, 0); /* 21757 s */
    assert_near(budget.frames_fit, 2285, 0);
    assert_true(budget.fits && isnan(budget.full_utc));
    assert_near(budget.interval_fits_s, 10, 0);
    assert_int_equal(budget.bracket_fits, 1);

    ask.card_bytes = 32e9;
    card_budget_make(&ask, &budget);
    assert_false(budget.fits);
    assert_near(budget.frames_fit, 1142, 0);
    assert_near(budget.full_utc, P1 + 11420, 1e-6);
    assert_near(budget.interval_fits_s, 20, 0); /* at 19 s it would be 1146 */
    assert_int_equal(budget.bracket_fits, 0);

    ask.frames_taken = 142;
    card_budget_make(&ask, &budget);
    assert_near(budget.frames_fit, 1000, 0);
    ask.frames_taken = 1200; /* frames were smaller than reckoned */
    card_budget_make(&ask, &budget);
    assert_near(budget.frames_fit, 0, 0);
    ask.free_bytes = 28e6 * 2176; /* read from the card: goes first */
    card_budget_make(&ask, &budget);
    assert_true(budget.fits);
    ask.free_bytes -= 1;
    card_budget_make(&ask, &budget);
    assert_false(budget.fits);
    assert_near(budget.full_utc, P1 + 21750, 1e-6);
}

static void card_shot_by_shot(void **state)
{
    uint32_t seed = 7;
    int full = 0;

    (void)state;
    for (int i = 0; i < 300; i++) {
        struct card_span span[3] = {{P1, U2, 1}, {U2, U3 + 60 * (i % 3), 7}, {U3 + 300, P4, 3}};
        struct card_ask ask = {.utc = i % 2 ? P1 : U1,
                               .interval_s = floor(uniform(&seed, 5, 60)),
                               .span = span,
                               .span_count = 3,
                               .longest_bracket = 7,
                               .frame_bytes = 28e6,
                               .free_bytes = uniform(&seed, 0, 2e11)};
        struct card_budget budget;
        double full_utc, ignored;

        card_budget_make(&ask, &budget);
        assert_near(budget.frames, shoot(&ask, ask.interval_s, 7, budget.frames_fit, &full_utc), 0);
        assert_int_equal(budget.fits, isnan(full_utc));
        if (budget.fits)
            continue;
        full++;
        assert_near(budget.full_utc, full_utc, 1e-6);
        /* What is advised fits; a little less does not. */
        if (!isnan(budget.interval_fits_s)) {
            assert_true(shoot(&ask, budget.interval_fits_s, 7, 0, &ignored) <= budget.frames_fit);
            assert_true(budget.interval_fits_s - 1 < ask.interval_s ||
                        shoot(&ask, budget.interval_fits_s - 1, 7, 0, &ignored) >
                            budget.frames_fit);
        }
        if (budget.bracket_fits > 0)
            assert_true(shoot(&ask, ask.interval_s, budget.bracket_fits, 0, &ignored) <=
                        budget.frames_fit);
        assert_true(shoot(&ask, ask.interval_s, budget.bracket_fits + 1, 0, &ignored) >
                    budget.frames_fit);
    }
    assert_true(full > 50);
}

static void card_unknown_or_full(void **state)
{
    static const struct card_span night = {P1, P4, 1};
    struct card_ask ask = {.utc = P1,
                           .interval_s = 10,
                           .span = &night,
                           .span_count = 1,
                           .longest_bracket = 1,
                           .frame_bytes = 28e6,
                           .card_bytes = NAN,
                           .free_bytes = NAN};
    struct card_budget budget;

    (void)state;
    card_budget_make(&ask, &budget);
    assert_false(budget.fits);
    assert_true(isnan(budget.frames_fit) && isnan(budget.full_utc) &&
                isnan(budget.interval_fits_s));
    assert_near(budget.frames, 2176, 0);
    ask.free_bytes = 1e6;
    card_budget_make(&ask, &budget);
    assert_near(budget.frames_fit, 0, 0);
    assert_near(budget.full_utc, P1, 1e-6);
    assert_true(isnan(budget.interval_fits_s));
    assert_int_equal(budget.bracket_fits, 0);
    /* The night is over. */
    ask.utc = P4;
    card_budget_make(&ask, &budget);
    assert_true(budget.fits && budget.frames == 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(capacity_as_published),
        cmocka_unit_test(a_table_of_ones_own),
        cmocka_unit_test(shots_as_published),
        cmocka_unit_test(whichever_ends_first),
        cmocka_unit_test(a_heater_shares_the_battery),
        cmocka_unit_test(unknown_life),
        cmocka_unit_test(cold_night_keeps_totality_free),
        cmocka_unit_test(whether_totality_can_be_kept_free),
        cmocka_unit_test(one_swap_where_one_does),
        cmocka_unit_test(cold_night_that_cannot),
        cmocka_unit_test(a_wide_rig_is_not_touched),
        cmocka_unit_test(spares_and_external_power),
        cmocka_unit_test(from_now_on),
        cmocka_unit_test(against_every_other_plan),
        cmocka_unit_test(a_swap_goes_with_a_re_aim),
        cmocka_unit_test(one_swap_with_the_last_re_aim),
        cmocka_unit_test(card_of_one_setting),
        cmocka_unit_test(card_shot_by_shot),
        cmocka_unit_test(card_unknown_or_full),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
