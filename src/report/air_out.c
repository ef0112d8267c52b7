/* Dew and frost. */
#include "print.h"

#include <moonstand/around_words.h>

#include <math.h>

int report_air_json(FILE *out, const struct air *air)
{
    struct document document;

    struct node root = document_object(&document);
    put_air(root, air);
    return document_write(&document, out);
}

static void print_celsius(FILE *out, const char *label, double celsius)
{
    char text[TEXT_AIR];

    text_entry(out, label, "%s", format_temperature(text, celsius, 1, UNITS_METRIC));
}

int report_air_text(FILE *out, const struct air *air)
{
    text_entry(out, "Air", "%.1f C, %.0f %%", air->temperature_c, air->humidity_percent);
    print_celsius(out, "Dew point", air->dew_point_c);
    if (isfinite(air->frost_point_c))
        print_celsius(out, "Frost pt.", air->frost_point_c);
    print_celsius(out, "Glass", air->glass_c);
    if (isfinite(air->margin_c))
        text_entry(out, "Margin", "%.1f C: %s", air->margin_c, air_advice_words(air->advice));
    return text_done(out);
}
