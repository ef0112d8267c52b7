/* The sites of the setup side by side, before anybody drives out. */
#include "print.h"

#include <moonstand/angle.h>
#include <moonstand/around_words.h>
#include <moonstand/clock_words.h>
#include <moonstand/event_words.h>
#include <moonstand/list_words.h>
#include <moonstand/pick.h>
#include <moonstand/place_words.h>
#include <moonstand/sky_words.h>

#include <math.h>
#include <stdio.h>

int site_view_make(struct site_view *view, const struct site *site, const struct eclipse *eclipse,
                   const struct forecast *forecast, double now_utc)
{
    double greatest = utc_from_tt(eclipse->tt[CONTACT_GREATEST]);
    struct observer observer;
    struct sight sun;
    struct arc arc;

    *view = (struct site_view){.site = *site, .has_forecast = forecast->count > 0};
    site_observer(site, &observer);
    if (nights_entry_make(&view->entry, eclipse, &observer) != 0 ||
        arc_make(&arc, eclipse->tt[CONTACT_GREATEST] - 60, eclipse->tt[CONTACT_GREATEST] + 60,
                 true) != 0)
        return -1;
    sky_sun(&arc, &observer, greatest, &sun);
    view->sun_altitude_rad = sun.altitude_airless_rad;
    forecast_at(forecast, greatest, &view->forecast);
    view->forecast_age_s = forecast_age_s(forecast, now_utc);
    view->forecast_old = forecast_is_old(forecast, now_utc);
    return 0;
}

/* How far the Moon's centre is above the horizon profile. */
static double clear_deg(const struct site_view *view, enum contact contact)
{
    const struct sight *moon = &view->entry.seen[contact];

    return deg_from_rad(moon->altitude_rad - moon->horizon_rad);
}

static void put_site_view(struct node object, const struct site_view *view)
{
    const struct site *site = &view->site;

    put_text(object, "name", text_or_null(site->name));
    put_flag(object, "active", view->active);
    put_number(object, "latitude_deg", site->latitude_deg, 6);
    put_number(object, "longitude_deg", site->longitude_deg, 6);
    put_number(object, "height_m", site->height_m, 1);
    put_eclipse(put_object(object, "eclipse"), &view->entry);
    struct node entry = put_object(object, "clear_deg");
    for (int i = 0; i < CONTACT_COUNT; i++)
        if (isfinite(view->entry.eclipse.tt[i]))
            put_number(entry, contact_name((enum contact)i), clear_deg(view, (enum contact)i), 2);
    put_deg(object, "sun_altitude_deg", view->sun_altitude_rad);
    if (view->has_forecast)
        put_forecast(put_object(object, "forecast"), &view->forecast, view->forecast_age_s,
                     view->forecast_old);
}

int report_sites_json(FILE *out, const struct site_view *views, size_t count)
{
    struct document document;

    struct node root = document_array(&document);
    for (size_t i = 0; i < count; i++)
        put_site_view(put_object(root, NULL), &views[i]);
    return document_write(&document, out);
}

/* What of the eclipse is seen from there. */
static void print_seen(FILE *out, const struct site_view *view)
{
    const struct nights_entry *entry = &view->entry;
    char text[SENTENCE];

    for (int i = 0; i < CONTACT_COUNT; i++)
        if (isfinite(entry->eclipse.tt[i]))
            text_entry(out, contact_name((enum contact)i), "%s",
                       sight_words(&entry->seen[i], text));
}

static void print_forecast(FILE *out, const struct site_view *view, enum units units)
{
    const struct forecast_row *row = &view->forecast;
    char text[SENTENCE], value[TEXT_AIR];

    if (!view->has_forecast) {
        text_entry(out, "Forecast", NO_FORECAST_WORDS);
        return;
    }
    text_entry(out, "Forecast", "%s" AT_GREATEST_NOTE, cloud_words(row->cloud_percent, text));
    if (isfinite(row->temperature_c))
        text_entry(out, "", "%s", format_temperature(value, row->temperature_c, 0, units));
    if (isfinite(row->wind_m_s))
        text_entry(out, "", "wind %s", format_wind(value, row->wind_m_s, units));
    text_entry(out, "", "%s", forecast_age_words(view->forecast_age_s, view->forecast_old, text));
}

int report_sites_text(FILE *out, const struct site_view *views, size_t count, enum units units)
{
    char day[TEXT_INSTANT], place[SITE_PLACE_WORDS], text[SENTENCE];

    for (size_t i = 0; i < count; i++) {
        const struct site_view *view = &views[i];
        const struct site *site = &view->site;

        if (i == 0)
            text_entry(out, "Eclipse", "%s, %s", eclipse_day(day, &view->entry.eclipse),
                       eclipse_kind_name(view->entry.eclipse.kind));
        fprintf(out, "\n");
        text_entry(out, "SITE", "%s%s", *site->name ? site->name : "without a name",
                   view->active ? " (active)" : "");
        text_entry(out, "Place", "%s", site_place_words(site, place));
        print_seen(out, view);
        text_entry(out, "Sky", "%s" AT_GREATEST_NOTE, sun_words(view->sun_altitude_rad, text));
        print_forecast(out, view, units);
    }
    return text_done(out);
}
