/* Building and writing a JSON document. */
#include "print.h"

#include <moonstand/angle.h>
#include <moonstand/around_words.h>
#include <moonstand/clock_words.h>
#include <moonstand/list_words.h>
#include <moonstand/series.h>

#include <math.h>

enum { DECIMALS_MOST = 9 };
/* 2000-01-01T12:00:00, from which TT is counted, on the scale of format_iso. */
#define J2000_S 946728000.0

static void document_open(struct document *document, cJSON *root)
{
    document->root = root;
    document->failed = root == NULL;
}

void document_object(struct document *document)
{
    document_open(document, cJSON_CreateObject());
}

void document_array(struct document *document)
{
    document_open(document, cJSON_CreateArray());
}

static int write_as(struct document *document, FILE *out, char *print(const cJSON *item))
{
    char *text = document->failed ? NULL : print(document->root);
    int result = text && fprintf(out, "%s\n", text) > 0 ? text_done(out) : -1;

    cJSON_free(text);
    cJSON_Delete(document->root);
    return result;
}

int document_write(struct document *document, FILE *out)
{
    return write_as(document, out, cJSON_Print);
}

int document_write_line(struct document *document, FILE *out)
{
    return write_as(document, out, cJSON_PrintUnformatted);
}

static cJSON *put(struct document *document, cJSON *parent, const char *key, cJSON *item)
{
    bool put_in = item && (key ? cJSON_AddItemToObjectCS(parent, key, item)
                               : cJSON_AddItemToArray(parent, item));

    if (put_in)
        return item;
    cJSON_Delete(item);
    document->failed = true;
    return NULL;
}

cJSON *put_object(struct document *document, cJSON *parent, const char *key)
{
    return put(document, parent, key, cJSON_CreateObject());
}

cJSON *put_array(struct document *document, cJSON *parent, const char *key)
{
    return put(document, parent, key, cJSON_CreateArray());
}

void put_number(struct document *document, cJSON *parent, const char *key, double value,
                int decimals)
{
    static const double scales[DECIMALS_MOST + 1] = {1,   1e1, 1e2, 1e3, 1e4,
                                                     1e5, 1e6, 1e7, 1e8, 1e9};
    double scale = scales[decimals];

    /* Adding zero takes the sign from a negative zero. */
    if (isfinite(value))
        put(document, parent, key, cJSON_CreateNumber(round(value * scale) / scale + 0.0));
}

void put_deg(struct document *document, cJSON *parent, const char *key, double rad)
{
    put_number(document, parent, key, deg_from_rad(rad), 5);
}

void put_text(struct document *document, cJSON *parent, const char *key, const char *text)
{
    if (text)
        put(document, parent, key, cJSON_CreateString(text));
}

const char *text_or_null(const char *text)
{
    return *text ? text : NULL;
}

void put_null(struct document *document, cJSON *parent, const char *key)
{
    put(document, parent, key, cJSON_CreateNull());
}

void put_flag(struct document *document, cJSON *parent, const char *key, bool flag)
{
    put(document, parent, key, cJSON_CreateBool(flag));
}

void put_instant(struct document *document, cJSON *parent, const char *key, double utc)
{
    char iso[TEXT_INSTANT];

    if (isfinite(utc))
        put_text(document, parent, key, format_iso(iso, utc, 3, "Z"));
}

void put_tt(struct document *document, cJSON *parent, const char *key, double tt)
{
    char iso[TEXT_INSTANT];

    if (isfinite(tt))
        put_text(document, parent, key, format_iso(iso, tt + J2000_S, 3, ""));
}

/* ---- parts that several documents have ---- */

static void put_seen(struct document *document, cJSON *object, const struct nights_entry *entry)
{
    cJSON *seen = put_object(document, object, "seen");

    for (int i = 0; i < CONTACT_COUNT; i++) {
        cJSON *contact;

        if (!isfinite(entry->eclipse.tt[i]))
            continue;
        contact = put_object(document, seen, contact_name((enum contact)i));
        put_deg(document, contact, "altitude_deg", entry->seen[i].altitude_rad);
        put_deg(document, contact, "azimuth_deg", entry->seen[i].azimuth_rad);
        put_flag(document, contact, "up", entry->seen[i].up);
    }
}

void put_eclipse(struct document *document, cJSON *object, const struct nights_entry *entry)
{
    const struct eclipse *eclipse = &entry->eclipse;
    double greatest = utc_from_tt(eclipse->tt[CONTACT_GREATEST]);
    cJSON *contacts, *contacts_tt;

    put_instant(document, object, "greatest", greatest);
    contacts = put_object(document, object, "contacts");
    put_text(document, object, "time_scale", scale_name(greatest));
    put_tt(document, object, "greatest_tt", eclipse->tt[CONTACT_GREATEST]);
    contacts_tt = put_object(document, object, "contacts_tt");
    for (int i = 0; i < CONTACT_COUNT; i++) {
        const char *name = contact_name((enum contact)i);

        if (i == CONTACT_GREATEST)
            continue;
        put_instant(document, contacts, name, utc_from_tt(eclipse->tt[i]));
        put_tt(document, contacts_tt, name, eclipse->tt[i]);
    }
    put_text(document, object, "kind", eclipse_kind_name(eclipse->kind));
    put_number(document, object, "gamma", eclipse->gamma, 5);
    put_number(document, object, "penumbral_magnitude", eclipse->penumbral_magnitude, 5);
    put_number(document, object, "umbral_magnitude", eclipse->umbral_magnitude, 5);
    put_number(document, object, "saros", eclipse->saros, 0);
    put_text(document, object, "shadow", shadow_rule_name(eclipse->rule));
    if (entry->has_site)
        put_seen(document, object, entry);
}

void put_air(struct document *document, cJSON *object, const struct air *air)
{
    put_number(document, object, "temperature_c", air->temperature_c, 2);
    put_number(document, object, "humidity_percent", air->humidity_percent, 1);
    put_number(document, object, "dew_point_c", air->dew_point_c, 2);
    put_number(document, object, "frost_point_c", air->frost_point_c, 2);
    put_number(document, object, "glass_c", air->glass_c, 2);
    put_number(document, object, "margin_c", air->margin_c, 2);
    if (!isfinite(air->margin_c))
        return;
    put_text(document, object, "advice", air_advice_code(air->advice));
    put_text(document, object, "advice_text", air_advice_words(air->advice));
}

void put_checklist(struct document *document, cJSON *object, const struct night *night)
{
    const struct checklist *list = &night->setup.checklist;
    cJSON *items = put_array(document, object, "items");

    for (int i = 0; i < list->count; i++) {
        const struct check_item *item = &list->item[i];
        cJSON *entry;

        if (!item_applies(night, i))
            continue;
        entry = put_object(document, items, NULL);
        put_text(document, entry, "id", item->id);
        put_text(document, entry, "group", item_group_words(night, item->group));
        put_text(document, entry, "text", item->text);
        put_text(document, entry, "note", text_or_null(item->note));
        put_text(document, entry, "rig", text_or_null(item->rig));
        put_instant(document, entry, "due", item_due_utc(night, i));
        put_instant(document, entry, "done", night->checked_utc[i]);
    }
}

void put_site(struct document *document, cJSON *object, const struct night *night)
{
    const struct site *site = &night->site;

    put_text(document, object, "name", text_or_null(site->name));
    put_number(document, object, "latitude_deg", site->latitude_deg, 6);
    put_number(document, object, "longitude_deg", site->longitude_deg, 6);
    put_number(document, object, "height_m", site->height_m, 1);
    put_text(document, object, "source", night->site_source);
    put_text(document, object, "zone", night->zone.name);
}

void put_shutter_iso(struct document *document, cJSON *object, const struct exposure *exposure)
{
    char label[SHUTTER_LABEL];

    put_text(document, object, "shutter", shutter_label(exposure->shutter, label));
    put_number(document, object, "iso", iso_label(exposure->iso), 0);
}

void put_bracket(struct document *document, cJSON *object, const struct exposure *exposure)
{
    put_number(document, object, "bracket_frames", exposure->bracket_frames, 0);
    if (exposure->bracket_frames <= 1)
        return;
    put_number(document, object, "bracket_step_stops", exposure->bracket_step_stops, 2);
    put_text(document, object, "bracket_shown", bracket_shown_name(exposure->bracket_shown));
}
