/* The keys of the files that a user writes, with the range of every number, against
 * tests/prints/setup-keys.txt: BLESS=1 writes them anew. tests/night/manual.sh holds the manual page to that
 * list. */
#include "../../src/store/files.h"
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "blessed.h"

/* 1/32768, as people write it. */
static void put_limit(FILE *out, double limit)
{
    fprintf(out, limit > 0 && limit < 0.01 ? "1/%.10g" : "%.10g",
            limit > 0 && limit < 0.01 ? 1 / limit : limit);
}

static void put_form(FILE *out, const struct form *form)
{
    for (int i = 0; i < form->count; i++) {
        const struct field *field = &form->field[i];

        fputs(field->key, out);
        if (field->kind == FIELD_NUMBER || field->kind == FIELD_INTEGER) {
            put_limit((fputc(' ', out), out), field->lowest);
            put_limit((fputs(" to ", out), out), field->highest);
        }
        fputc('\n', out);
        if (field->form)
            put_form(out, field->form);
    }
}

static void keys_are_as_blessed(void **state)
{
    char *text = NULL;
    size_t size;
    FILE *out = open_memstream(&text, &size);

    (void)state;
    assert_non_null(out);
    put_form(out, &setup_form);
    put_form(out, &forecast_form);
    assert_int_equal(fclose(out), 0);
    hold_print("setup-keys", text);
    free(text);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(keys_are_as_blessed)};

    return cmocka_run_group_tests(tests, NULL, NULL);
}
