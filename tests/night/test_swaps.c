/* Changes of battery and card at a long rig on a tripod, lived through on five nights in the cold,
 * in mild air, and with the temperature unknown: whoever does what the program says. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "night/ridge.h"

#include <moonstand/fault.h>
#include <moonstand/moment.h>
#include <moonstand/night.h>

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

enum { LONG };
/* Looks are so far apart at most; what falls due sooner is not missed. */
#define LOOK_S 120.0
#define SOONEST_S 1.0

static struct setup setup;
static struct zone_table zone;
static struct eclipse eclipse;
static struct readings readings;
static struct night *night;
static struct moment moment;

/* Total eclipses: high at midnight, low in the south, at moonset, at moonrise, deep in summer. */
static const struct {
    const char *day;
    double latitude_deg, longitude_deg;
} nights[] = {
    {"2028-12-31", 62, 60},   {"2029-06-26", -33, -70}, {"2025-03-14", 35, -100},
    {"2026-03-03", -40, 175}, {"2029-12-20", 48, 10},
};
enum { NIGHTS = sizeof nights / sizeof *nights };

static double day_of(const char *day)
{
    double seconds = NAN;
    char iso[32];
    struct fault fault;

    (void)snprintf(iso, sizeof iso, "%sT00:00Z", day);
    assert_int_equal(parse_instant(iso, &seconds, &fault), 0);
    return seconds;
}

/* `temperature_c`: NaN for unknown. */
static void open_night(int index, double temperature_c)
{
    struct fault fault = {""};

    assert_int_equal(ridge(&setup, &zone, &eclipse), 0);
    assert_true(eclipse_of_day(day_of(nights[index].day), SHADOW_DANJON, &eclipse));
    setup.site.latitude_deg = nights[index].latitude_deg;
    setup.site.longitude_deg = nights[index].longitude_deg;
    setup.site.temperature_c = temperature_c;
    setup.rig[LONG] = setup.rig[1];
    setup.rig_count = 1;
    setup.rig[LONG].power.spares = 6;
    readings_none(&readings);
    night = calloc(1, sizeof *night);
    assert_non_null(night);
    if (night_open(night, &setup, &eclipse, &zone, false, &fault) != 0)
        fail_msg("%s", fault.text);
}

static void close_night(void)
{
    night_close(night);
    free(night);
}

static void look(double utc)
{
    night_follow(night, utc);
    moment_at(night, &readings, utc, &moment);
}

static void apply(enum act_kind kind, double utc)
{
    struct act act = {.utc = utc, .kind = kind, .rig = LONG};
    struct frame_point place = advised_place(&moment.rig[LONG]);
    struct fault fault = {""};

    if (kind == ACT_AIM) {
        act.value[0] = place.x;
        act.value[1] = place.y;
    }
    if (night_apply(night, &act, &fault) != 0)
        fail_msg("%s", fault.text);
}

/* Hands of a swap and of the re-aim behind it are at the rig between two instants. */
static bool hands_between(double utc, double from, double to)
{
    double takes_s = SWAP_S + AIM_HANDS_S;

    return utc + takes_s > from + 0.01 && utc < to - 0.01;
}

static bool is_calm(double utc)
{
    static const enum contact kept[] = {CONTACT_U1, CONTACT_GREATEST, CONTACT_U4};

    for (size_t i = 0; i < sizeof kept / sizeof *kept; i++)
        if (hands_between(utc, night->contact_utc[kept[i]] - AIM_KEEP_OFF_S,
                          night->contact_utc[kept[i]] + AIM_KEEP_OFF_S))
            return false;
    return !hands_between(utc, night->contact_utc[CONTACT_U2] - 600,
                          night->contact_utc[CONTACT_U3] + 600);
}

static bool another_second(double from, double to)
{
    for (double utc = from; utc <= to; utc++)
        if (is_calm(utc))
            return true;
    return false;
}

/* The next instant to look at. */
static double next_look(double utc, double aim_utc, double swap_utc)
{
    double due = fmin(night->rig[LONG].due_utc - AIM_HANDS_S, aim_utc);

    if (swap_utc > utc)
        due = fmin(due, swap_utc);
    return utc + fmin(fmax(due - utc, SOONEST_S), LOOK_S);
}

struct lived {
    int aims, swaps, with_re_aim, hurried;
};

/* Lives from the first shot to the last; `batteries`: else the rig has power from elsewhere. */
static void live(struct lived *lived, bool batteries)
{
    double from, to, aim_utc, full, life;

    *lived = (struct lived){0};
    night->rig[LONG].rig.power.external = !batteries;
    look(night->contact_utc[CONTACT_GREATEST]);
    from = full = night->shooting[LONG].utc_from;
    to = night->shooting[LONG].utc_to;
    look(from);
    life = night->power[LONG].life_s;
    aim_utc = from;
    for (double utc = from; utc < to; utc = next_look(utc, aim_utc, moment.kit[LONG].swap_utc)) {
        look(utc);
        double due = night->rig[LONG].due_utc, swap = moment.kit[LONG].swap_utc;

        if (utc >= aim_utc || due - AIM_HANDS_S <= utc) {
            apply(ACT_AIM, utc);
            lived->aims++;
            aim_utc = INFINITY;
            continue;
        }
        assert_true(!batteries || utc < full + life);
        if (!(swap <= utc))
            continue;
        lived->swaps++;
        lived->with_re_aim += due - utc <= SWAP_S + AIM_HANDS_S + SOONEST_S;
        if (!is_calm(swap)) {
            assert_false(another_second(full + SWAP_S + AIM_HANDS_S, full + life));
            lived->hurried++;
        }
        apply(ACT_BATTERY, utc);
        aim_utc = utc + SWAP_S; /* it has cost the aim */
        full = utc;
        look(utc + 0.1);
        life = night->power[LONG].life_s;
    }
}

static void whoever_does_what_is_said_loses_no_aim(void **state)
{
    static const double temperature_c[] = {-20, 10, NAN}; /* the last for one of the nights */
    int swaps = 0, joined = 0;

    (void)state;
    for (int i = 0; i < NIGHTS; i++) {
        struct lived with, without;

        open_night(i, 0);
        live(&without, false);
        close_night();
        for (int j = 0; j < (i == 0 ? 3 : 2); j++) {
            open_night(i, temperature_c[j]);
            live(&with, true);
            close_night();
            print_message("%s at %5.1f C: %d aims, with %d swaps %d, %d of these with a re-aim, %d "
                          "beside totality\n",
                          nights[i].day, temperature_c[j], without.aims, with.swaps, with.aims,
                          with.with_re_aim, with.hurried);
            assert_true(with.swaps >= 2);
            assert_true(with.aims <= without.aims + with.swaps - with.with_re_aim + 1);
            swaps += with.swaps;
            joined += with.with_re_aim;
        }
    }
    assert_true(joined * 10 >= swaps * 7);
}

/* The card: at the last re-aim before it is full, and it stays said until that is done. */
static void a_card_goes_with_a_re_aim(void **state)
{
    (void)state;
    for (int i = 0; i < NIGHTS; i++)
        for (double card_gb = 16; card_gb < 40; card_gb += 20) {
            double from, to, aim_utc, last_due = NAN;
            bool done = false;

            open_night(i, 15);
            night->rig[LONG].rig.power.external = true;
            night->rig[LONG].rig.card_gb = card_gb;
            look(night->contact_utc[CONTACT_GREATEST]);
            from = aim_utc = night->shooting[LONG].utc_from;
            to = night->shooting[LONG].utc_to;
            for (double utc = from; utc < to && !done;
                 utc = next_look(utc, aim_utc, moment.kit[LONG].card_utc)) {
                look(utc);
                double due = night->rig[LONG].due_utc;

                if (moment.kit[LONG].card_utc <= utc) {
                    double full = moment.kit[LONG].card.full_utc;
                    done = true;
                    assert_true(utc < full);
                    /* Beside totality only if it was full before any other second came. */
                    if (!is_calm(utc))
                        assert_false(another_second(from, full - SWAP_S));
                    else
                        assert_true(due - utc <= SWAP_S + AIM_HANDS_S + SOONEST_S ||
                                    full - utc <= 1200 + SWAP_S + AIM_HANDS_S + SOONEST_S);
                    last_due = due;
                } else if (utc >= aim_utc || due - AIM_HANDS_S <= utc) {
                    apply(ACT_AIM, utc);
                    aim_utc = INFINITY;
                }
            }
            assert_true(done == isfinite(last_due));
            close_night();
        }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(whoever_does_what_is_said_loses_no_aim),
        cmocka_unit_test(a_card_goes_with_a_re_aim),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
