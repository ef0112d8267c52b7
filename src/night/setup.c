#include <moonstand/night.h>

#include <math.h>
#include <stdio.h>
#include <string.h>

enum { GPSD_PORT = 2947 };
#define SENSOR_EVERY_S 60.0

static void built_in_rig(struct rig *rig, const char *name, const char *lens, double focal_mm,
                         double f_number)
{
    rig_default(rig);
    (void)snprintf(rig->name, sizeof rig->name, "%s", name);
    (void)snprintf(rig->lens, sizeof rig->lens, "%s", lens);
    rig->focal_mm = focal_mm;
    rig->f_number = f_number;
}

void setup_default(struct setup *setup)
{
    struct rig *telescope = &setup->rig[2];

    *setup = (struct setup){
        .rig_count = 3,
        .rule = SHADOW_DANJON,
        .theme = "red",
        .danjon = 3,
        .extinction_mag = NAN,
        .glass_cooling_c = GLASS_COOLING_C,
        .gpsd_host = "127.0.0.1",
        .gpsd_port = GPSD_PORT,
        .air = {.every_s = SENSOR_EVERY_S},
    };
    for (int i = 0; i < HANDS_KINDS; i++)
        setup->hands_s[i] = hands_duration_s((enum hands_kind)i);
    setup->site.pressure_hpa = NAN;
    setup->site.temperature_c = NAN;
    checklist_default(&setup->checklist);

    built_in_rig(&setup->rig[0], "wide", "20 mm f/2.8", 20, 2.8);
    built_in_rig(&setup->rig[1], "long", "500 mm f/5.6", 500, 5.6);
    built_in_rig(telescope, "telescope", "1000 mm f/4", 1000, 4);
    telescope->support = SUPPORT_SIDEREAL;
    telescope->sensor_width_mm = 23.5;
    telescope->sensor_height_mm = 15.6;
    telescope->pixel_pitch_um = 3.9;
}

const struct site *setup_site(const struct setup *setup, const char *name)
{
    for (int i = 0; i < setup->site_count; i++)
        if (strcmp(setup->sites[i].name, name) == 0)
            return &setup->sites[i];
    return NULL;
}

const char *hook_event_name(enum hook_event event)
{
    static const char *const names[HOOKS] = {"contact", "alarm", "warning",
                                             "missed",  "swap",  "air"};

    return names[event];
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
