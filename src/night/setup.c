#include <moonstand/air.h>
#include <moonstand/readings.h>
#include <moonstand/setup.h>

#include <math.h>
#include <stddef.h>
#include <stdio.h>
#include <string.h>

enum { GPSD_PORT = 2947 };
#define SENSOR_EVERY_S 60.0

static const struct {
    const char *name;
    double focal_mm, f_number, width_mm, height_mm, pitch_um;
    enum support support;
} built_in[RIGS] = {
    {"wide", 24, 2.8, 36, 24, 5.9, SUPPORT_FIXED},
    {"long", 400, 6.3, 23.5, 15.6, 3.9, SUPPORT_FIXED},
    {"telescope", 800, 8, 23.5, 15.6, 3.9, SUPPORT_LUNAR},
};

void rig_built_in(int index, struct rig *rig)
{
    rig_default(rig);
    (void)snprintf(rig->name, sizeof rig->name, "%s", built_in[index].name);
    (void)snprintf(rig->lens, sizeof rig->lens, "%g mm f/%g", built_in[index].focal_mm,
                   built_in[index].f_number);
    rig->focal_mm = built_in[index].focal_mm;
    rig->f_number = built_in[index].f_number;
    rig->sensor_width_mm = built_in[index].width_mm;
    rig->sensor_height_mm = built_in[index].height_mm;
    rig->pixel_pitch_um = built_in[index].pitch_um;
    rig->support = built_in[index].support;
}

void setup_copy(struct setup *to, const struct setup *from)
{
    (void)memcpy(to, from, offsetof(struct setup, sites));
    (void)memcpy(to->sites, from->sites, (size_t)from->site_count * sizeof *to->sites);
    (void)memcpy(to->reminder, from->reminder,
                 (size_t)from->reminder_count * sizeof *to->reminder);
    to->checklist.count = from->checklist.count;
    (void)memcpy(to->checklist.item, from->checklist.item,
                 (size_t)from->checklist.count * sizeof *to->checklist.item);
}

void setup_default(struct setup *setup)
{
    *setup = (struct setup){
        .rig_count = RIGS,
        .rule = SHADOW_DANJON,
        .theme = "red",
        .danjon = 3,
        .extinction_mag = NAN,
        .glass_cooling_c = GLASS_COOLING_C,
        .gpsd_host = "127.0.0.1",
        .gpsd_port = GPSD_PORT,
        .air = {.every_s = SENSOR_EVERY_S},
        .look_every_s = 30,
        .people = 1,
        .keep_awake = true,
    };
    for (int i = 0; i < HANDS_KINDS; i++)
        setup->hands_s[i] = hands_duration_s((enum hands_kind)i);
    setup->site.pressure_hpa = NAN;
    setup->site.temperature_c = NAN;
    checklist_default(&setup->checklist);
    for (int i = 0; i < RIGS; i++)
        rig_built_in(i, &setup->rig[i]);
}

const struct site *setup_site(const struct setup *setup, const char *name)
{
    for (int i = 0; i < setup->site_count; i++)
        if (strcmp(setup->sites[i].name, name) == 0)
            return &setup->sites[i];
    return NULL;
}

int setup_rig(const struct setup *setup, const char *name)
{
    for (int i = 0; i < setup->rig_count; i++)
        if (strcmp(setup->rig[i].name, name) == 0)
            return i;
    return -1;
}

bool command_add(struct user_command *command, const char *word)
{
    size_t length = 0, more = strlen(word) + 1;

    for (int i = 0; i < command->count; i++)
        length += strlen(command->text + length) + 1;
    if (command->count == COMMAND_WORDS || length + more > sizeof command->text)
        return false;
    memcpy(command->text + length, word, more);
    command->count++;
    return true;
}

const char *hook_event_name(enum hook_event event)
{
    static const char *const names[HOOKS] = {"contact", "alarm", "warning",
                                             "missed",  "swap",  "air", "say"};

    return names[event];
}

const char *awake_name(enum awake awake)
{
    static const char *const names[] = {"", "kept awake", "may sleep"};

    return names[awake];
}

const char *gps_state_name(enum gps_state state)
{
    static const char *const names[] = {"off", "absent", "silent", "no fix", "fix", "stale"};

    return names[state];
}

void readings_none(struct readings *readings)
{
    *readings = (struct readings){
        .gps = {.state = GPS_OFF,
                .satellites = -1,
                .latitude_deg = NAN,
                .longitude_deg = NAN,
                .height_m = NAN,
                .error_m = NAN,
                .age_s = NAN,
                .clock_offset_s = NAN,
                .clock_spread_s = NAN},
        .battery_percent = NAN,
        .battery_left_s = NAN,
        .clock_synchronised = -1,
        .clock_error_s = NAN,
        .air_age_s = NAN,
        .temperature_c = NAN,
        .humidity_percent = NAN,
    };
    for (int i = 0; i < RIGS; i++)
        readings->card_free_bytes[i] = NAN;
}
