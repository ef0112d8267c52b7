/* Building and writing a JSON document. */
#include "print.h"

#include <moonstand/angle.h>
#include <moonstand/around_words.h>
#include <moonstand/clock_words.h>
#include <moonstand/list_words.h>
#include <moonstand/series.h>

#include <math.h>

/* 2000-01-01T12:00:00, from which TT is counted, on the scale of format_iso. */
#define J2000_S 946728000.0

static struct node document_open(struct document *document, cJSON *root)
{
    *document = (struct document){root, root == NULL};
    return (struct node){document, root};
}

struct node document_object(struct document *document)
{
    return document_open(document, cJSON_CreateObject());
}

struct node document_array(struct document *document)
{
    return document_open(document, cJSON_CreateArray());
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

static struct node put(struct node parent, const char *key, cJSON *item)
{
    bool put_in = item && (key ? cJSON_AddItemToObjectCS(parent.item, key, item)
                               : cJSON_AddItemToArray(parent.item, item));

    if (put_in)
        return (struct node){parent.document, item};
    cJSON_Delete(item);
    parent.document->failed = true;
    return (struct node){parent.document, NULL};
}

struct node put_object(struct node parent, const char *key)
{
    return put(parent, key, cJSON_CreateObject());
}

struct node put_array(struct node parent, const char *key)
{
    return put(parent, key, cJSON_CreateArray());
}

void put_number(struct node parent, const char *key, double value, int decimals)
{
    double scale = pow(10, decimals);

    /* Adding zero takes the sign from a negative zero. */
    if (isfinite(value))
        put(parent, key, cJSON_CreateNumber(round(value * scale) / scale + 0.0));
}

void put_deg(struct node parent, const char *key, double rad)
{
    put_number(parent, key, deg_from_rad(rad), 5);
}

void put_text(struct node parent, const char *key, const char *text)
{
    if (text)
        put(parent, key, cJSON_CreateString(text));
}

const char *text_or_null(const char *text)
{
    return *text ? text : NULL;
}

void put_null(struct node parent, const char *key)
{
    put(parent, key, cJSON_CreateNull());
}

void put_flag(struct node parent, const char *key, bool flag)
{
    put(parent, key, cJSON_CreateBool(flag));
}

void put_instant(struct node parent, const char *key, double utc)
{
    char iso[TEXT_INSTANT];

    if (isfinite(utc))
        put_text(parent, key, format_iso(iso, utc, 3, "Z"));
}

void put_tt(struct node parent, const char *key, double tt)
{
    char iso[TEXT_INSTANT];

    if (isfinite(tt))
        put_text(parent, key, format_iso(iso, tt + J2000_S, 3, ""));
}

/* ---- parts that several documents have ---- */

static void put_seen(struct node object, const struct nights_entry *entry)
{
    struct node seen = put_object(object, "seen");

    for (int i = 0; i < CONTACT_COUNT; i++) {
        if (!isfinite(entry->eclipse.tt[i]))
            continue;
        struct node contact = put_object(seen, contact_name((enum contact)i));
        put_deg(contact, "altitude_deg", entry->seen[i].altitude_rad);
        put_deg(contact, "azimuth_deg", entry->seen[i].azimuth_rad);
        put_flag(contact, "up", entry->seen[i].up);
    }
}

void put_eclipse(struct node object, const struct nights_entry *entry)
{
    const struct eclipse *eclipse = &entry->eclipse;
    double greatest = utc_from_tt(eclipse->tt[CONTACT_GREATEST]);

    put_instant(object, "greatest", greatest);
    struct node contacts = put_object(object, "contacts");
    put_text(object, "time_scale", scale_name(greatest));
    put_tt(object, "greatest_tt", eclipse->tt[CONTACT_GREATEST]);
    struct node contacts_tt = put_object(object, "contacts_tt");
    for (int i = 0; i < CONTACT_COUNT; i++) {
        const char *name = contact_name((enum contact)i);

        if (i == CONTACT_GREATEST)
            continue;
        put_instant(contacts, name, utc_from_tt(eclipse->tt[i]));
        put_tt(contacts_tt, name, eclipse->tt[i]);
    }
    put_text(object, "kind", eclipse_kind_name(eclipse->kind));
    put_number(object, "gamma", eclipse->gamma, 5);
    put_number(object, "penumbral_magnitude", eclipse->penumbral_magnitude, 5);
    put_number(object, "umbral_magnitude", eclipse->umbral_magnitude, 5);
    put_number(object, "saros", eclipse->saros, 0);
    put_text(object, "shadow", shadow_rule_name(eclipse->rule));
    if (entry->has_site)
        put_seen(object, entry);
}

void put_air(struct node object, const struct air *air)
{
    put_number(object, "temperature_c", air->temperature_c, 2);
    put_number(object, "humidity_percent", air->humidity_percent, 1);
    put_number(object, "dew_point_c", air->dew_point_c, 2);
    put_number(object, "frost_point_c", air->frost_point_c, 2);
    put_number(object, "glass_c", air->glass_c, 2);
    put_number(object, "margin_c", air->margin_c, 2);
    if (!isfinite(air->margin_c))
        return;
    put_text(object, "advice", air_advice_code(air->advice));
    put_text(object, "advice_text", air_advice_words(air->advice));
}

void put_checklist(struct node object, const struct night *night)
{
    const struct checklist *list = &night->setup.checklist;
    struct node items = put_array(object, "items");

    for (int i = 0; i < list->count; i++) {
        const struct check_item *item = &list->item[i];

        if (!item_applies(night, i))
            continue;
        struct node entry = put_object(items, NULL);
        put_text(entry, "id", item->id);
        put_text(entry, "group", item_group_words(night, item->group));
        put_text(entry, "text", item->text);
        put_text(entry, "note", text_or_null(item->note));
        put_text(entry, "rig", text_or_null(item->rig));
        put_instant(entry, "due", item_due_utc(night, i));
        put_instant(entry, "done", night->checked_utc[i]);
    }
}

void put_site(struct node object, const struct night *night)
{
    const struct site *site = &night->site;

    put_text(object, "name", text_or_null(site->name));
    put_number(object, "latitude_deg", site->latitude_deg, 6);
    put_number(object, "longitude_deg", site->longitude_deg, 6);
    put_number(object, "height_m", site->height_m, 1);
    put_text(object, "source", night->site_source);
    put_text(object, "zone", night->zone.name);
}

void put_shutter_iso(struct node object, const struct exposure *exposure)
{
    put_text(object, "shutter", shutter_label(exposure->shutter));
    put_number(object, "iso", iso_label(exposure->iso), 0);
}

void put_bracket(struct node object, const struct exposure *exposure)
{
    put_number(object, "bracket_frames", exposure->bracket_frames, 0);
    if (exposure->bracket_frames <= 1)
        return;
    put_number(object, "bracket_step_stops", exposure->bracket_step_stops, 2);
    put_text(object, "bracket_shown", bracket_shown_name(exposure->bracket_shown));
}
