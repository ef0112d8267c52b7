/* Eleven nights, most of them minute by minute, against tests/prints/ledger-NAME.txt: what the rigs are set to and
 * when, who is to be aimed and what lives how long, what the hands must do, what is written down.
 * What is right, the other tests of this room say by numbers from outside; here nothing of it changes
 * unseen. BLESS=1 writes them anew: the difference is then for people to review. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "blessed.h"
#include "night/ledger.h"
#include "night/tales.h"

#define NUMBERS_STEPS 30

static double numbers_utc;

static void begins(void)
{
    ledger_night(night, moment.utc);
    ledger_remedy(night, moment.utc);
    numbers_utc = moment.utc;
}

static void turns(void)
{
    ledger_rigs(night, moment.utc);
}

static void minute(void)
{
    double after = since(CONTACT_GREATEST, moment.utc);

    ledger_moment(night, &moment);
    if (after >= 0 && after < step_s)
        ledger_night(night, moment.utc);
    if (moment.utc < numbers_utc)
        return;
    ledger_numbers(night, &moment);
    numbers_utc += NUMBERS_STEPS * step_s;
}

static void ends(void)
{
    ledger_night(night, moment.utc);
}

static void whole_nights_are_as_blessed(void **state)
{
    static const struct diary kept = {begins, ledger_act, turns, minute, ends};

    (void)state;
    for (int i = 0; i < TALES; i++) {
        char *text = NULL, name[32];
        size_t size;
        FILE *out = open_memstream(&text, &size);

        assert_non_null(out);
        ledger_begin(out);
        tale_live(&tales[i], &kept);
        assert_int_equal(fclose(out), 0);
        (void)snprintf(name, sizeof name, "ledger-%s", tales[i].name);
        hold_print(name, text);
        free(text);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(whole_nights_are_as_blessed)};

    return cmocka_run_group_tests(tests, NULL, NULL);
}
