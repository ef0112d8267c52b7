#include "files.h"

#include <moonstand/angle.h>
#include <moonstand/setup_file.h>

#include <arpa/inet.h>
#include <ctype.h>
#include <math.h>
#include <stddef.h>
#include <stdio.h>
#include <string.h>

/* Reads [number, number], the first from `lowest` to below `below`. */
static bool read_pair(const cJSON *node, double lowest, double below, double pair[2])
{
    const cJSON *first = cJSON_GetArrayItem(node, 0), *second = cJSON_GetArrayItem(node, 1);

    if (!cJSON_IsArray(node) || cJSON_GetArraySize(node) != 2 || !cJSON_IsNumber(first) ||
        !cJSON_IsNumber(second))
        return false;
    pair[0] = first->valuedouble;
    pair[1] = second->valuedouble;
    return pair[0] >= lowest && pair[0] < below;
}

/* As json_with has it. */
static cJSON *list_with_pair(cJSON *list, double first, double second)
{
    return json_with(list, NULL, cJSON_CreateDoubleArray((const double[]){first, second}, 2));
}

/* The names of an enum, for a field. */
#define NAMES(name, function, kind)                                                                \
    static const char *name(int value)                                                             \
    {                                                                                              \
        return function((enum kind)value);                                                         \
    }
NAMES(look_choice, look_for_name, look_for)
NAMES(support_choice, support_name, support)
NAMES(target_choice, target_name, target)
NAMES(part_choice, wide_part_name, wide_part)
NAMES(group_choice, check_group_name, check_group)
NAMES(rule_choice, shadow_rule_name, shadow_rule)

/* ---- site ---- */

static int read_angle(const struct json_file *file, const cJSON *node, bool latitude, double *deg)
{
    double limit = latitude ? 90 : 180;
    struct fault cause;
    char allowed[96];

    if (cJSON_IsString(node))
        return parse_angle_deg(node->valuestring, latitude, deg, &cause) == 0
                   ? 0
                   : json_refuse(file, node, "%s", cause.text);
    if (!cJSON_IsNumber(node) || !(fabs(node->valuedouble) <= limit)) {
        (void)snprintf(allowed, sizeof allowed, "-%g to %g degrees, or a text such as \"3 6 7 %s\"",
                       limit, limit, latitude ? "S" : "W");
        return json_refuse_value(file, node, allowed);
    }
    *deg = node->valuedouble;
    return 0;
}

static int read_latitude(const struct json_file *file, const cJSON *node, void *place)
{
    return read_angle(file, node, true, place);
}

static int read_longitude(const struct json_file *file, const cJSON *node, void *place)
{
    return read_angle(file, node, false, place);
}

static cJSON *write_number(const void *place)
{
    return json_number(*(const double *)place);
}

static int check_zone(const char *text, void *place, struct fault *fault)
{
    (void)place;
    return zone_check(text, fault);
}

static int read_points(const struct json_file *file, const cJSON *first, struct horizon *horizon)
{
    double last_deg = -1, deg[2];

    for (const cJSON *pair = first; pair; pair = pair->next) {
        if (!read_pair(pair, 0, 360, deg) || !(deg[1] >= -10 && deg[1] <= 90))
            return json_refuse(file, pair,
                               "expected [azimuth, altitude] in degrees, azimuth from 0 to below "
                               "360, altitude from -10 to 90");
        if (deg[0] <= last_deg)
            return json_refuse(file, pair->child, "found azimuth %.10g after %.10g; it must rise",
                               deg[0], last_deg);
        last_deg = deg[0];
        horizon->azimuth_rad[horizon->count] = rad_from_deg(deg[0]);
        horizon->altitude_rad[horizon->count++] = rad_from_deg(deg[1]);
    }
    return 0;
}

/* The horizon already read from that file; null: none. */
static const struct horizon *known_horizon(const struct setup *known, const char *path)
{
    if (!known)
        return NULL;
    if (strcmp(known->site.horizon_file, path) == 0)
        return &known->site.horizon;
    for (int i = 0; i < known->site_count; i++)
        if (strcmp(known->sites[i].horizon_file, path) == 0)
            return &known->sites[i].horizon;
    return NULL;
}

static bool is_path(const cJSON *node)
{
    return cJSON_IsString(node) && *node->valuestring == '/';
}

static int keep_path(const struct json_file *file, const cJSON *node, struct site *site)
{
    return snprintf(site->horizon_file, FILE_PATH, "%s", node->valuestring) < FILE_PATH
               ? 0
               : json_refuse(file, node, "a path longer than %d bytes", FILE_PATH - 1);
}

static int read_horizon_file(const struct json_file *file, const cJSON *node, struct site *site)
{
    const struct horizon *known = known_horizon(file->known, node->valuestring);
    struct fault cause;

    if (keep_path(file, node, site) != 0)
        return -1;
    if (known)
        site->horizon = *known;
    else if (horizon_read(node->valuestring, &site->horizon, &cause) != 0)
        return json_refuse(file, node, "%s", cause.text);
    return 0;
}

/* Points, the path of their file, or (in a session's copy) the path and then the points. */
static int read_horizon(const struct json_file *file, const cJSON *node, void *place)
{
    struct site *site = place;

    if (cJSON_IsString(node) && strcmp(node->valuestring, HORIZON_OF_SEA) == 0) {
        site->horizon.sea = true;
        return 0;
    }
    if (is_path(node))
        return read_horizon_file(file, node, site);
    if (!cJSON_IsArray(node) || cJSON_GetArraySize(node) > HORIZON_POINTS + is_path(node->child))
        return json_refuse(file, node,
                           "expected a list of up to %d [azimuth, altitude], the path from "
                           "the root, /, of a file with such lines, or \"sea\"",
                           HORIZON_POINTS);
    if (!is_path(node->child))
        return read_points(file, node->child, &site->horizon);
    return keep_path(file, node->child, site) == 0
               ? read_points(file, node->child->next, &site->horizon)
               : -1;
}

/* Rounds to the nanodegree, so that degrees come back as they were written. */
static double plain_deg(double rad)
{
    return round(deg_from_rad(rad) * 1e9) / 1e9;
}

/* As json_with has it. */
static cJSON *list_with_points(cJSON *list, const struct horizon *horizon)
{
    for (int i = 0; list && i < horizon->count; i++)
        list = list_with_pair(list, plain_deg(horizon->azimuth_rad[i]),
                              plain_deg(horizon->altitude_rad[i]));
    return list;
}

static cJSON *write_horizon(const void *place)
{
    const struct site *site = place;

    if (site->horizon.sea)
        return cJSON_CreateString(HORIZON_OF_SEA);
    if (*site->horizon_file)
        return cJSON_CreateString(site->horizon_file);
    return site->horizon.count > 0 ? list_with_points(cJSON_CreateArray(), &site->horizon)
                                   : cJSON_CreateNull();
}

int check_path(const char *text, void *place, struct fault *fault)
{
    (void)place;
    return *text == '/'
               ? 0
               : fault_set(fault, "found \"%.50s\"; expected a path from the root, /", text);
}

#define AT(member) .offset = offsetof(struct site, member)
static const struct field site_fields[] = {
    {"name", FIELD_TEXT, AT(name), .size = SITE_NAME},
    {"latitude_deg", FIELD_OTHER, .required = true, AT(latitude_deg),
     .unit = "degrees, or a text such as 3 6 7 S", .read = read_latitude, .write = write_number},
    {"longitude_deg", FIELD_OTHER, .required = true, AT(longitude_deg),
     .unit = "degrees, or a text such as 3 6 7 W", .read = read_longitude, .write = write_number},
    {"height_m", FIELD_NUMBER, AT(height_m), RANGE(-500, 9000, "m")},
    {"time_zone", FIELD_TEXT, AT(zone), .size = sizeof((struct site *)0)->zone,
     .parse = check_zone},
    {"pressure_hpa", FIELD_NUMBER, AT(pressure_hpa), RANGE(300, 1100, "hPa")},
    {"temperature_c", FIELD_NUMBER, AT(temperature_c), RANGE(-90, 60, "C")},
    /* Its points and the path of their file lie in the site itself. */
    {"horizon", FIELD_PAIRS, .offset = 0,
     .unit = "azimuth, altitude in degrees; a path from /; or sea", .read = read_horizon,
     .write = write_horizon},
    {"forecast", FIELD_TEXT, AT(forecast), .size = FILE_PATH, .lowest = 1, .parse = check_path},
};
#undef AT
static const struct form site_form = {FORM(site_fields)};

static void prepare_site(void *place)
{
    struct site *site = place;

    site->pressure_hpa = site->temperature_c = NAN;
}

static int check_named(const struct json_file *file, const cJSON *node, void *place)
{
    const struct site *site = place;

    return *site->name ? 0 : json_refuse(file, node, "a site of the list needs a name");
}

static const struct form listed_site_form = {FORM(site_fields), .prepare = prepare_site,
                                             .check = check_named,
                                             .asks = "name, latitude_deg, longitude_deg"};

/* An object, or the name of a site of the list, looked up after everything is read. */
static int read_site(const struct json_file *file, const cJSON *node, void *place)
{
    struct site *site = &((struct setup *)place)->site;

    if (!cJSON_IsString(node))
        return json_read(file, &site_form, node, site);
    if (snprintf(site->name, sizeof site->name, "%s", node->valuestring) >= (int)sizeof site->name)
        return json_refuse(file, node, "a name longer than %d bytes", SITE_NAME - 1);
    return 0;
}

/* ---- commands ---- */

#define COMMAND_IN_WORDS "a list of texts, the program and its arguments: [\"aplay\", \"/a.wav\"]"

static int read_command(const struct json_file *file, const cJSON *node, void *place)
{
    struct user_command *command = place;
    const cJSON *word;

    if (!cJSON_IsArray(node) || cJSON_GetArraySize(node) < 1 ||
        cJSON_GetArraySize(node) > COMMAND_WORDS)
        return json_refuse(file, node,
                           "expected a list of 1 to %d texts, the program and its arguments",
                           COMMAND_WORDS);
    memset(command, 0, sizeof *command);
    cJSON_ArrayForEach(word, node)
    {
        if (!cJSON_IsString(word) || (command->count == 0 && *word->valuestring == '\0'))
            return json_refuse_value(file, word, "a text, the first one the name of a program");
        if (!command_add(command, word->valuestring))
            return json_refuse(file, word, "a command longer than %d bytes", COMMAND_TEXT);
    }
    return 0;
}

static cJSON *write_command(const void *place)
{
    const struct user_command *command = place;
    const char *words[COMMAND_WORDS], *at = command->text;

    if (command->count == 0)
        return cJSON_CreateNull();
    for (int i = 0; i < command->count; i++, at += strlen(at) + 1)
        words[i] = at;
    return cJSON_CreateStringArray(words, command->count);
}

/* ---- rigs ---- */

static int read_cold(const struct json_file *file, const cJSON *node, void *place)
{
    struct power *power = place;
    const cJSON *pair;

    if (!cJSON_IsArray(node) || cJSON_GetArraySize(node) < 1 ||
        cJSON_GetArraySize(node) > COLD_POINTS)
        return json_refuse(file, node, "expected a list of 1 to %d [temperature, capacity]",
                           COLD_POINTS);
    power->cold_count = 0;
    cJSON_ArrayForEach(pair, node)
    {
        double cold[2], last = power->cold_count > 0
                                   ? power->cold[power->cold_count - 1].temperature_c
                                   : -INFINITY;

        if (!read_pair(pair, -90, 60, cold) || !(cold[1] >= 0.01 && cold[1] <= 1))
            return json_refuse(file, pair,
                               "expected [temperature, capacity], temperature from -90 to below "
                               "60, capacity from 0.01 to 1");
        if (cold[0] <= last)
            return json_refuse(file, pair->child,
                               "found %.10g after %.10g; the temperature must rise", cold[0], last);
        power->cold[power->cold_count++] = (struct cold_point){cold[0], cold[1]};
    }
    return 0;
}

static cJSON *write_cold(const void *place)
{
    const struct power *power = place;
    cJSON *list = cJSON_CreateArray();

    for (int i = 0; list && i < power->cold_count; i++)
        list = list_with_pair(list, power->cold[i].temperature_c, power->cold[i].capacity);
    return list;
}

#define AT(member) .offset = offsetof(struct power, member)
static const struct field power_fields[] = {
    {"rated_shots", FIELD_NUMBER, AT(rated_shots), RANGE(1, 100000, NULL)},
    {"rated_hours", FIELD_NUMBER, AT(rated_hours), RANGE(0.1, 1000, "h")},
    {"spares", FIELD_INTEGER, AT(spares), RANGE(0, 50, NULL)},
    {"live_view", FIELD_FLAG, AT(live_view)},
    {"external", FIELD_FLAG, AT(external)},
    {"heater_w", FIELD_NUMBER, AT(heater_w), RANGE(0, 100, "W")},
    {"battery_wh", FIELD_NUMBER, AT(battery_wh), RANGE(0.1, 1000, "Wh")},
    /* Table and count lie in the power itself. */
    {"cold", FIELD_PAIRS, .offset = 0, .unit = "temperature in C, capacity from 0.01 to 1",
     .read = read_cold, .write = write_cold},
};
#undef AT
static const struct form power_form = {FORM(power_fields)};

#define AT(target) .offset = (target) * sizeof(double), RANGE(-6, 6, "stops")
static const struct field placement_fields[] = {
    {"lit", FIELD_NUMBER, AT(TARGET_LIT)},
    {"umbra", FIELD_NUMBER, AT(TARGET_UMBRA)},
    {"stars", FIELD_NUMBER, AT(TARGET_STARS)},
    {"foreground", FIELD_NUMBER, AT(TARGET_FOREGROUND)},
};
#undef AT
static const struct form placement_form = {FORM(placement_fields)};

static void prepare_rig(void *place)
{
    rig_default(place);
}

static int check_order(const struct json_file *file, const cJSON *node, double low, double high,
                       const char *low_name, const char *high_name)
{
    return low <= high ? 0
                       : json_refuse(file, node, "found %s %.10g above %s %.10g", low_name, low,
                                     high_name, high);
}

static int check_rig(const struct json_file *file, const cJSON *node, void *place)
{
    const struct rig *rig = place;

    if (check_order(file, node, rig->iso_min, rig->iso_max, "iso_min", "iso_max") != 0 ||
        check_order(file, node, rig->shutter_min_s, rig->shutter_max_s, "shutter_min_s",
                    "shutter_max_s") != 0 ||
        check_order(file, node, rig->sensor_height_mm, rig->sensor_width_mm, "sensor_height_mm",
                    "sensor_width_mm (write it as held level; portrait turns it)") != 0 ||
        check_order(file, node, rig->mount.altitude_min_deg, rig->mount.altitude_max_deg,
                    "altitude_min_deg", "altitude_max_deg") != 0)
        return -1;
    return 0;
}

#define AT(member) .offset = offsetof(struct mount, member)
static const struct field mount_fields[] = {
    {"polar_az_error_arcmin", FIELD_NUMBER, AT(polar_az_error_arcmin), RANGE(-300, 300, "arcmin")},
    {"polar_alt_error_arcmin", FIELD_NUMBER, AT(polar_alt_error_arcmin),
     RANGE(-300, 300, "arcmin")},
    {"german_equatorial", FIELD_FLAG, AT(german_equatorial)},
    {"past_meridian_min", FIELD_NUMBER, AT(past_meridian_min), RANGE(0, 240, "min")},
    {"altitude_min_deg", FIELD_NUMBER, AT(altitude_min_deg), RANGE(-10, 90, "degrees")},
    {"altitude_max_deg", FIELD_NUMBER, AT(altitude_max_deg), RANGE(-10, 90, "degrees")},
};
#undef AT
static const struct form mount_form = {FORM(mount_fields)};

#define UNTIL_WORDS "a contact and at most 4h, such as P4, U4+10m or P4-30m"

static int read_until(const char *text, void *place, struct fault *fault)
{
    struct contact_offset until, *out = place;

    if (contact_offset_parse(text, &until, fault) != 0)
        return -1;
    if (fabs(until.offset_s) > UNTIL_WITHIN_S)
        return fault_set(fault, "found \"%.50s\"; expected " UNTIL_WORDS, text);
    /* Member by member, so that no padding comes along: two rigs are compared as bytes. */
    out->contact = until.contact;
    out->offset_s = until.offset_s;
    return 0;
}

static cJSON *write_until(const void *place)
{
    const struct contact_offset *until = place;
    const struct due due = {.at = {(enum anchor)until->contact, until->offset_s}};
    char text[DUE_TEXT];

    return cJSON_CreateString(due_format(text, &due));
}

#define AT(member) .offset = offsetof(struct rig, member)
static const struct field composition_fields[] = {
    {"part", FIELD_CHOICE, AT(part), .choices = WIDE_PARTS, .choice = part_choice},
    {"foreground", FIELD_NUMBER, AT(foreground), RANGE(0, 0.49, "of the frame's height")},
    {"tilt_deg", FIELD_NUMBER, AT(tilt_deg), RANGE(0, 45, "degrees")},
};
static const struct form composition_form = {FORM(composition_fields)};

static const struct field rig_fields[] = {
    {"name", FIELD_TEXT, .required = true, AT(name), .size = RIG_NAME, .lowest = 1},
    {"lens", FIELD_TEXT, AT(lens), .size = RIG_LENS},
    {"camera", FIELD_TEXT, AT(camera), .size = RIG_CAMERA},
    {"pictures", FIELD_TEXT, AT(pictures), .size = RIG_PICTURES, .lowest = 1, .parse = check_path},
    {"look", FIELD_CHOICE, AT(look), .choices = LOOK_FOR_KINDS, .choice = look_choice},
    {"focal_mm", FIELD_NUMBER, .required = true, AT(focal_mm), RANGE(1, 20000, "mm")},
    {"f_number", FIELD_NUMBER, .required = true, AT(f_number), RANGE(0.5, 64, NULL)},
    {"sensor_width_mm", FIELD_NUMBER, AT(sensor_width_mm), RANGE(1, 200, "mm")},
    {"sensor_height_mm", FIELD_NUMBER, AT(sensor_height_mm), RANGE(1, 200, "mm")},
    {"pixel_pitch_um", FIELD_NUMBER, AT(pixel_pitch_um), RANGE(0.5, 50, "micrometres")},
    {"support", FIELD_CHOICE, AT(support), .choices = SUPPORTS, .choice = support_choice},
    {"iso_min", FIELD_NUMBER, AT(iso_min), RANGE(25, 409600, NULL)},
    {"iso_max", FIELD_NUMBER, AT(iso_max), RANGE(25, 409600, NULL)},
    {"iso_comfort", FIELD_NUMBER, AT(iso_comfort), RANGE(25, 409600, NULL)},
    {"shutter_min_s", FIELD_NUMBER, AT(shutter_min_s), RANGE(1.0 / 32768, 64, "s")},
    {"shutter_max_s", FIELD_NUMBER, AT(shutter_max_s), RANGE(1.0 / 32768, 64, "s")},
    {"interval_s", FIELD_NUMBER, AT(interval_s), RANGE(0.5, 3600, "s")},
    {"until", FIELD_WORDS, AT(until), .unit = UNTIL_WORDS, .parse = read_until,
     .write = write_until},
    {"frame_mb", FIELD_NUMBER, AT(frame_mb), RANGE(0.1, 2000, "MB")},
    {"target", FIELD_CHOICE, AT(target), .choices = TARGETS, .choice = target_choice},
    {"placement_stops", FIELD_OBJECT, AT(placement_stops), .form = &placement_form},
    {"blur_limit_px", FIELD_NUMBER, AT(blur_limit_px), RANGE(0.1, 100, "px")},
    {"tolerance_stops", FIELD_NUMBER, AT(tolerance_stops), RANGE(0.15, 2, "stops")},
    {"bracket_frames", FIELD_INTEGER, AT(bracket_frames), RANGE(1, 15, NULL)},
    {"bracket_step_stops", FIELD_NUMBER, AT(bracket_step_stops), RANGE(0.3, 5, "stops")},
    {"remote_exposure", FIELD_FLAG, AT(remote_exposure)},
    {"filter_stops", FIELD_NUMBER, AT(filter_stops), RANGE(0, 20, "stops")},
    {"extender", FIELD_NUMBER, AT(extender), RANGE(0.3, 5, NULL)},
    {"portrait", FIELD_FLAG, AT(portrait)},
    {"margin", FIELD_NUMBER, AT(margin), RANGE(0, 0.45, "of the frame's height")},
    {"aim_tolerance", FIELD_NUMBER, AT(aim_tolerance), RANGE(0, 0.45, "of the frame's height")},
    {"warn_s", FIELD_NUMBER, AT(warn_s), RANGE(0, 3600, "s")},
    {"power", FIELD_OBJECT, AT(power), .form = &power_form},
    {"heater", FIELD_FLAG, AT(heater)},
    {"card_gb", FIELD_NUMBER, AT(card_gb), RANGE(0.1, 100000, "GB")},
    {"card_path", FIELD_TEXT, AT(card_path), .size = CARD_PATH, .lowest = 1, .parse = check_path},
    {"saving_s", FIELD_NUMBER, AT(saving_s), RANGE(0, 60, "s")},
    {"mount", FIELD_OBJECT, AT(mount), .form = &mount_form},
    /* Its members lie in the rig itself. */
    {"composition", FIELD_OBJECT, .offset = 0, .form = &composition_form},
};
#undef AT
static const struct form rig_form = {FORM(rig_fields), .prepare = prepare_rig, .check = check_rig,
                                     .asks = "name, focal_mm, f_number"};

/* ---- checklist ---- */

#define DUE_WORDS "an instant such as U1-30m, U2+10s, sunset-1h or 2028-12-31T18:00Z"
#define WHEN_WORDS "some of total, partial, penumbral, moon, sun, no-sun, wide, long, mount"

/* No name of an anchor has a capital T. */
static int read_due(const char *text, void *place, struct fault *fault)
{
    struct check_item *item = place;

    item->at_instant = strchr(text, 'T') != NULL;
    item->has_due = !item->at_instant;
    return item->has_due ? due_parse(text, &item->due, fault)
                         : parse_instant(text, &item->due_utc, fault);
}

static cJSON *write_due(const void *place)
{
    const struct check_item *item = place;
    char text[DUE_TEXT];

    if (item->at_instant)
        (void)format_iso(text, item->due_utc, item->due_utc == floor(item->due_utc) ? 0 : 3, "Z");
    else if (item->has_due)
        (void)due_format(text, &item->due);
    else
        return cJSON_CreateNull();
    return cJSON_CreateString(text);
}

static int read_when(const char *text, void *place, struct fault *fault)
{
    struct check_item *item = place;

    return when_parse(text, &item->when, fault);
}

static cJSON *write_when(const void *place)
{
    const struct check_item *item = place;
    char text[WHEN_TEXT];

    return item->when ? cJSON_CreateString(when_format(text, item->when)) : cJSON_CreateNull();
}

/* The start of the text in plain letters, and a checksum of what identifies the item: the same item
 * has the same id in every list. */
static void make_id(struct check_item *item)
{
    enum { PLAIN = 14 };
    char whole[2 * CHECK_TEXT + RIG_NAME], plain[PLAIN + 1];
    size_t length = 0;

    for (const char *at = item->text; *at && length < PLAIN; at++) {
        if (isalnum((unsigned char)*at) && (unsigned char)*at < 0x80)
            plain[length++] = (char)tolower((unsigned char)*at);
        else if (length > 0 && plain[length - 1] != '-')
            plain[length++] = '-';
    }
    plain[length] = '\0';
    (void)snprintf(whole, sizeof whole, "%s|%s|%s", check_group_name(item->group), item->rig,
                   item->text);
    (void)snprintf(item->id, sizeof item->id, "%s%s%08x", plain,
                   length > 0 && plain[length - 1] != '-' ? "-" : "",
                   (unsigned)crc32_of(whole, strlen(whole)));
}

static int check_item(const struct json_file *file, const cJSON *node, void *place)
{
    struct check_item *item = place;

    (void)file;
    (void)node;
    if (item->id[0] == '\0')
        make_id(item);
    return 0;
}

#define AT(member) .offset = offsetof(struct check_item, member)
static const struct field item_fields[] = {
    {"group", FIELD_CHOICE, .required = true, AT(group), .choices = CHECK_GROUPS,
     .choice = group_choice},
    {"text", FIELD_TEXT, .required = true, AT(text), .size = CHECK_TEXT, .lowest = 1},
    {"due", FIELD_WORDS, .unit = DUE_WORDS, .parse = read_due, .write = write_due},
    {"when", FIELD_WORDS, .unit = WHEN_WORDS, .parse = read_when, .write = write_when},
    {"rig", FIELD_TEXT, AT(rig), .size = RIG_NAME, .lowest = 1},
    {"note", FIELD_TEXT, AT(note), .size = CHECK_TEXT},
    {"id", FIELD_TEXT, AT(id), .size = CHECK_ID, .lowest = 1},
};
#undef AT
static const struct form item_form = {FORM(item_fields), .check = check_item,
                                      .asks = "group, text"};

static void prepare_reminder(void *place)
{
    ((struct check_item *)place)->group = CHECK_REMINDER;
}

static int check_reminder(const struct json_file *file, const cJSON *node, void *place)
{
    const struct check_item *item = place;

    if (!item->has_due && !item->at_instant)
        return json_refuse(file, node, "the key \"due\" is missing");
    return check_item(file, node, place);
}

/* An item of its own group, which it need not name. */
static const struct form reminder_form = {.field = item_fields + 1,
                                          .count =
                                              (int)(sizeof item_fields / sizeof *item_fields) - 1,
                                          .prepare = prepare_reminder,
                                          .check = check_reminder,
                                          .asks = "due, text"};

/* ---- air and hooks ---- */

static int check_sensor(const struct json_file *file, const cJSON *node, void *place)
{
    const struct air_sensor *sensor = place;

    return *sensor->file && sensor->command.count > 0
               ? json_refuse(file, node, "found both a file and a command; expected one of them")
               : 0;
}

#define AT(member) .offset = offsetof(struct air_sensor, member)
static const struct field sensor_fields[] = {
    {"file", FIELD_TEXT, AT(file), .size = FILE_PATH, .lowest = 1, .parse = check_path},
    {"command", FIELD_OTHER, AT(command), .unit = COMMAND_IN_WORDS, .read = read_command,
     .write = write_command},
    {"every_s", FIELD_NUMBER, AT(every_s), RANGE(10, 3600, "s")},
};
#undef AT
static const struct form sensor_form = {FORM(sensor_fields), .check = check_sensor};

#define AT(kind) .offset = (kind) * sizeof(double), RANGE(1, 1800, "s")
static const struct field hands_fields[] = {
    {"aim_s", FIELD_NUMBER, AT(HANDS_AIM)},   {"battery_s", FIELD_NUMBER, AT(HANDS_BATTERY)},
    {"card_s", FIELD_NUMBER, AT(HANDS_CARD)}, {"exposure_s", FIELD_NUMBER, AT(HANDS_EXPOSURE)},
    {"walk_s", FIELD_NUMBER, AT(HANDS_WALK)},
};
#undef AT
static const struct form hands_form = {FORM(hands_fields)};

#define HOOK(event)                                                                                \
    FIELD_OTHER, .offset = (event) * sizeof(struct user_command), .unit = COMMAND_IN_WORDS,        \
                 .read = read_command, .write = write_command
static const struct field hook_fields[] = {
    {"contact", HOOK(HOOK_CONTACT)}, {"alarm", HOOK(HOOK_ALARM)}, {"warning", HOOK(HOOK_WARNING)},
    {"missed", HOOK(HOOK_MISSED)},   {"swap", HOOK(HOOK_SWAP)},   {"air", HOOK(HOOK_AIR)},
    {"say", HOOK(HOOK_SAY)},
};
#undef HOOK
static const struct form hook_form = {FORM(hook_fields)};

/* ---- the whole ---- */

static int check_host(const char *host, void *place, struct fault *fault)
{
    struct in6_addr six;
    struct in_addr four;

    (void)place;
    if (*host == '\0' ||
        (inet_pton(AF_INET, host, &four) == 1 && ntohl(four.s_addr) >> 24 == 127) ||
        (inet_pton(AF_INET6, host, &six) == 1 && IN6_IS_ADDR_LOOPBACK(&six)))
        return 0;
    return fault_set(fault,
                     "found \"%.50s\"; expected \"127.0.0.1\", \"::1\" (this machine), or \"\" "
                     "for none",
                     host);
}

static const char *hours_choice(int value)
{
    return value == HOURS_12 ? "12" : "24";
}

static const char *units_choice(int value)
{
    return value == UNITS_IMPERIAL ? "imperial" : "metric";
}

#define AT(member) .offset = offsetof(struct setup, member)
static const struct field gpsd_fields[] = {
    {"host", FIELD_TEXT, .required = true, AT(gpsd_host), .size = HOST_NAME, .parse = check_host},
    {"port", FIELD_INTEGER, AT(gpsd_port), RANGE(1, 65535, NULL)},
};
static const struct form gpsd_form = {FORM(gpsd_fields)};

static const cJSON *member(const cJSON *list, int index, const char *key)
{
    return json_member(cJSON_GetArrayItem(list, index), key);
}

/* The active site: an object, or one of the list. */
static int choose_site(const struct json_file *file, const cJSON *node, struct setup *setup)
{
    const cJSON *chosen = json_member(node, "site");
    const cJSON *list = json_member(node, "sites");
    const struct site *site = setup_site(setup, setup->site.name);

    setup->has_site = chosen || setup->site_count > 0;
    for (int i = 0; i < setup->site_count; i++)
        if (setup_site(setup, setup->sites[i].name) != &setup->sites[i])
            return json_refuse_value(file, member(list, i, "name"), "a name of its own");
    if (!chosen && setup->site_count > 0)
        site = &setup->sites[0];
    if (cJSON_IsString(chosen) && !site)
        return json_refuse_value(file, chosen, "the name of one of the sites");
    if (cJSON_IsObject(chosen) && site)
        return json_refuse_value(file, json_member(chosen, "name"),
                                 "a name that none of the sites has");
    if (site)
        setup->site = *site;
    return 0;
}

/* Adds the reminders at the end of the checklist. The built-in list needs no check. */
static int check_items(const struct json_file *file, const cJSON *node, struct setup *setup)
{
    struct checklist *checklist = &setup->checklist;
    const cJSON *list = json_member(node, "checklist"), *more = json_member(node, "reminders");
    int own = checklist->count;

    if (own + setup->reminder_count > CHECK_ITEMS)
        return json_refuse(file, cJSON_GetArrayItem(more, CHECK_ITEMS - own),
                           "more than %d entries in checklist and reminders together", CHECK_ITEMS);
    for (int i = 0; i < setup->reminder_count; i++)
        checklist->item[checklist->count++] = setup->reminder[i];
    for (int i = list ? 0 : own; i < checklist->count; i++) {
        const struct check_item *item = &checklist->item[i];
        const cJSON *entry = cJSON_GetArrayItem(i < own ? list : more, i < own ? i : i - own);

        if (item->rig[0] && setup_rig(setup, item->rig) < 0)
            return json_refuse_value(file, json_member(entry, "rig"),
                                     "the name of one of the rigs");
        if (checklist_find(checklist, item->id) < i)
            return json_refuse(file, entry,
                               "found the id \"%s\" twice; give one of the items another \"id\"",
                               item->id);
    }
    return 0;
}

static int check_setup(const struct json_file *file, const cJSON *node, void *place)
{
    struct setup *setup = place;
    const cJSON *rigs = json_member(node, "rigs");

    if (choose_site(file, node, setup) != 0)
        return -1;
    for (int i = 0; rigs && i < setup->rig_count; i++)
        if (setup_rig(setup, setup->rig[i].name) < i)
            return json_refuse_value(file, member(rigs, i, "name"), "a name of its own");
    return check_items(file, node, setup);
}

/* One of the list is written by its name. */
static cJSON *write_site(const void *place)
{
    const struct setup *setup = place;

    if (!setup->has_site)
        return cJSON_CreateNull();
    return setup_site(setup, setup->site.name) ? cJSON_CreateString(setup->site.name)
                                               : json_write(&site_form, &setup->site);
}

static const struct field setup_fields[] = {
    /* May be the name of one of the sites: written from the whole setup. */
    {"site", FIELD_OTHER, .offset = 0, .form = &site_form, .unit = "the name of one of the sites",
     .read = read_site, .write = write_site},
    {"sites", FIELD_LIST, AT(sites), .size = sizeof(struct site), .highest = SITES,
     .count_offset = offsetof(struct setup, site_count), .form = &listed_site_form},
    {"rigs", FIELD_LIST, AT(rig), .size = sizeof(struct rig), .lowest = 1, .highest = RIGS,
     .count_offset = offsetof(struct setup, rig_count), .form = &rig_form},
    {"checklist", FIELD_LIST, AT(checklist.item), .size = sizeof(struct check_item),
     .highest = CHECK_ITEMS, .count_offset = offsetof(struct setup, checklist.count),
     .form = &item_form},
    {"reminders", FIELD_LIST, AT(reminder), .size = sizeof(struct check_item), .highest = REMINDERS,
     .count_offset = offsetof(struct setup, reminder_count), .form = &reminder_form},
    {"shadow_rule", FIELD_CHOICE, AT(rule), .choices = SHADOW_RULES, .choice = rule_choice},
    {"theme", FIELD_TEXT, AT(theme), .size = THEME_NAME, .lowest = 1},
    {"clock", FIELD_CHOICE, AT(hours), .choices = HOURS_FORMS, .choice = hours_choice},
    {"units", FIELD_CHOICE, AT(units), .choices = UNITS_FORMS, .choice = units_choice},
    {"danjon", FIELD_NUMBER, AT(danjon), RANGE(0, 4, NULL)},
    {"extinction_mag", FIELD_NUMBER, AT(extinction_mag), RANGE(0.05, 2, "magnitudes")},
    {"glass_cooling_c", FIELD_NUMBER, AT(glass_cooling_c), RANGE(0, 10, "C")},
    /* Its members lie in the setup itself. */
    {"gpsd", FIELD_OBJECT, .offset = 0, .form = &gpsd_form},
    {"hands", FIELD_OBJECT, AT(hands_s), .form = &hands_form},
    {"people", FIELD_INTEGER, AT(people), RANGE(1, 2, NULL)},
    {"air", FIELD_OBJECT, AT(air), .form = &sensor_form},
    {"hooks", FIELD_OBJECT, AT(hook), .form = &hook_form},
    {"look_every_s", FIELD_NUMBER, AT(look_every_s), RANGE(1, 3600, "s")},
    {"keep_awake", FIELD_FLAG, AT(keep_awake)},
};
#undef AT

static void prepare_setup(void *place)
{
    setup_default(place);
}

const struct form setup_form = {FORM(setup_fields), .size = sizeof(struct setup),
                                .prepare = prepare_setup, .check = check_setup};

int setup_parse(const char *name, const char *text, size_t length, const struct setup *known,
                struct setup *setup, struct fault *fault)
{
    struct json_file file = {.name = name, .text = text, .fault = fault, .known = known};

    return json_read_text(&file, length, &setup_form, setup);
}

int setup_read(const char *path, struct setup *setup, struct fault *fault)
{
    struct fault doubt;
    int file = own_open(path, OWN_SETUP, &doubt);
    int status = json_take_file(file, path, &setup_form, setup, fault);

    if (status == 0) {
        setup->trust.may_run = *doubt.text == '\0';
        (void)snprintf(setup->trust.doubt, SETUP_DOUBT, "%.*s", SETUP_DOUBT - 1, doubt.text);
    }
    return status;
}

/* ---- writing ---- */

static bool same_item(const struct check_item *a, const struct check_item *b)
{
    return strcmp(a->id, b->id) == 0 && a->group == b->group && strcmp(a->text, b->text) == 0 &&
           strcmp(a->note, b->note) == 0 && strcmp(a->rig, b->rig) == 0 && a->when == b->when &&
           a->has_due == b->has_due && a->at_instant == b->at_instant &&
           (!a->at_instant || a->due_utc == b->due_utc) &&
           (!a->has_due || due_is_same(&a->due, &b->due));
}

/* The number of reminders at the end of a list. */
static int reminders_in(const struct checklist *list)
{
    int count = 0;

    while (count < list->count && list->item[list->count - 1 - count].group == CHECK_REMINDER)
        count++;
    return count;
}

/* The built-in list stays out of the file, so that a later version of it can replace it. */
static bool has_own_checklist(const struct setup *setup)
{
    struct checklist stock;

    checklist_default(&stock);
    if (stock.count != setup->checklist.count - reminders_in(&setup->checklist))
        return true;
    for (int i = 0; i < stock.count; i++)
        if (!same_item(&stock.item[i], &setup->checklist.item[i]))
            return true;
    return false;
}

cJSON *setup_tree(const struct setup *setup)
{
    cJSON *tree = json_write(&setup_form, setup);
    cJSON *checklist = json_member(tree, "checklist");

    /* Reminders have their own list. */
    for (int i = reminders_in(&setup->checklist); i > 0; i--)
        cJSON_DeleteItemFromArray(checklist, cJSON_GetArraySize(checklist) - 1);
    return tree;
}

/* Leaves out what is empty, and commands unless asked for. */
static void leave_out(cJSON *tree, const struct setup *setup, bool commands)
{
    static const char *const lists[] = {"sites", "reminders", "hooks"};

    if (!commands) {
        cJSON_DeleteItemFromObjectCaseSensitive(tree, "hooks");
        cJSON_DeleteItemFromObjectCaseSensitive(json_member(tree, "air"), "command");
    }
    if (!has_own_checklist(setup))
        cJSON_DeleteItemFromObjectCaseSensitive(tree, "checklist");
    for (size_t i = 0; i < sizeof lists / sizeof *lists; i++)
        if (cJSON_GetArraySize(json_member(tree, lists[i])) == 0)
            cJSON_DeleteItemFromObjectCaseSensitive(tree, lists[i]);
    if (!*setup->air.file && (!commands || setup->air.command.count == 0))
        cJSON_DeleteItemFromObjectCaseSensitive(tree, "air");
}

/* Frees the tree; free the text by cJSON_free. Null if memory is out. */
static char *tree_text(cJSON *tree, const struct setup *setup, bool commands)
{
    if (tree)
        leave_out(tree, setup, commands);
    char *text = tree ? cJSON_Print(tree) : NULL;
    cJSON_Delete(tree);
    return text;
}

bool horizon_put_points(cJSON *object, const struct site *site, bool keep_path)
{
    cJSON *list;

    if (!cJSON_IsObject(object) || !*site->horizon_file)
        return true;
    list = cJSON_CreateArray();
    if (keep_path)
        list = json_with(list, NULL, cJSON_CreateString(site->horizon_file));
    list = list_with_points(list, &site->horizon);
    if (list && cJSON_ReplaceItemInObjectCaseSensitive(object, "horizon", list))
        return true;
    cJSON_Delete(list);
    return false;
}

/* The session's copy, with the points of horizon files, which a report years later needs even if
 * they are gone. The user owns it, so leave out untrusted commands: otherwise copying would make
 * them trusted. */
static char *kept_text(const struct setup *setup)
{
    cJSON *tree = setup_tree(setup);
    cJSON *sites = json_member(tree, "sites");
    bool good = horizon_put_points(json_member(tree, "site"), &setup->site, true);

    for (int i = 0; good && i < setup->site_count; i++)
        good = horizon_put_points(cJSON_GetArrayItem(sites, i), &setup->sites[i], true);
    if (good)
        return tree_text(tree, setup, setup->trust.may_run);
    cJSON_Delete(tree);
    return NULL;
}

/* The text of the file, checked by its own reader; else null with a fault. */
static char *checked_text(const char *name, const struct setup *setup, struct fault *fault)
{
    char *text = tree_text(setup_tree(setup), setup, true);
    struct setup back;

    if (!text)
        (void)fault_set(fault, "%.200s%sout of memory", name, *name ? ": " : "");
    else if (setup_parse(name, text, strlen(text), setup, &back, fault) == 0)
        return text;
    cJSON_free(text);
    return NULL;
}

int setup_check(const struct setup *setup, struct fault *fault)
{
    char *text = checked_text("", setup, fault);
    bool good = text != NULL;

    cJSON_free(text);
    return good ? 0 : -1;
}

int setup_write(const char *path, const struct setup *setup, struct fault *fault)
{
    char *text = checked_text(path, setup, fault);
    int status = text ? file_replace(path, text, strlen(text), fault) : -1;

    cJSON_free(text);
    return status;
}

int setup_can_write(const char *path, struct fault *fault)
{
    return file_can_replace(path, fault);
}

int setup_keep(const char *folder, const char *name, const struct setup *setup, struct fault *fault)
{
    char path[PATH_SIZE], *text = kept_text(setup);
    int status = -1;

    if (!text)
        return fault_set(fault, "%.200s: out of memory", folder);
    if (path_in(folder, name, path, fault) == 0)
        status = file_put(path, text, strlen(text), NULL, fault);
    cJSON_free(text);
    return status;
}

int setup_kept(const char *folder, const char *name, struct setup *setup, struct fault *fault)
{
    char path[PATH_SIZE];

    return path_in(folder, name, path, fault) == 0 && setup_read(path, setup, fault) == 0 ? 0 : -1;
}

bool setup_is_same(const struct setup *a, const struct setup *b)
{
    char *first = kept_text(a), *second = kept_text(b);
    bool same = first && second && strcmp(first, second) == 0;

    cJSON_free(first);
    cJSON_free(second);
    return same;
}
