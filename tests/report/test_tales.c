/* What is printed of whole nights, against tests/prints/tales-report.txt: each print as a number, so that
 * nothing of it changes unseen. Whether it is right, the other tests of this room say; SHOW=1 writes the prints
 * themselves, to be compared with those of before. BLESS=1 writes the numbers anew. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "blessed.h"
#include "digest.h"
#include "night/tales.h"

#include <moonstand/report.h>

enum { EVERY_STEPS = 40 };

static FILE *out;
static double printed_utc;

static void keep(const char *name, int (*write)(FILE *page))
{
    char *text = NULL;
    size_t size;
    FILE *page = open_memstream(&text, &size);

    assert_non_null(page);
    assert_int_equal(write(page), 0);
    assert_int_equal(fclose(page), 0);
    fprintf(out, "%+.0f min %s %08x\n", since(CONTACT_GREATEST, moment.utc) / 60, name, digest_of(text));
    if (getenv("SHOW"))
        printf("%s", text);
    free(text);
}

static int write_now(FILE *page)
{
    return report_now_text(page, night, &moment) || report_now_json(page, night, &moment);
}

static int write_plan(FILE *page)
{
    return report_plan_text(page, night) || report_plan_json(page, night);
}

static int write_calendar(FILE *page)
{
    return report_calendar(page, night, moment.utc);
}

static int write_session(FILE *page)
{
    return report_session_markdown(page, night, NULL) || report_session_csv(page, night, NULL) ||
           report_session_json(page, night, NULL);
}

/* JSON has all of both. */
static int write_comparison(FILE *page)
{
    const struct compared kept = {"kept", night};

    return report_comparison_json(page, &kept, &kept);
}

static void begins(void)
{
    printed_utc = moment.utc;
    keep("plan", write_plan);
    keep("calendar", write_calendar);
}

static void acts(const struct act *act, const char *by)
{
    (void)act;
    (void)by;
}

static void turns(void) {}

static void minute(void)
{
    if (moment.utc < printed_utc)
        return;
    keep("now", write_now);
    printed_utc += EVERY_STEPS * step_s;
}

static void ends(void)
{
    keep("plan", write_plan);
    keep("session", write_session);
    keep("comparison", write_comparison);
}

static void prints_are_as_blessed(void **state)
{
    static const char *const names[] = {"madrid", "chile", "japan", "bolivia", "newyork"};
    static const struct diary kept = {begins, acts, turns, minute, ends};
    char *text = NULL;
    size_t size;

    (void)state;
    out = open_memstream(&text, &size);
    assert_non_null(out);
    for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
        fprintf(out, "%s\n", names[i]);
        tale_live(tale_of(names[i]), &kept);
    }
    assert_int_equal(fclose(out), 0);
    hold_print("tales-report", text);
    free(text);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(prints_are_as_blessed)};

    return cmocka_run_group_tests(tests, NULL, NULL);
}
