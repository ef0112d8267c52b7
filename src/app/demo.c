/* The demo night: a site and rigs of our own invention, for the total eclipse of 2028-12-31. */
#include "app.h"

#include <stdio.h>

static void demo_rig(struct rig *rig, const char *name, double focal_mm, double f_number)
{
    rig_default(rig);
    (void)snprintf(rig->name, sizeof rig->name, "%s", name);
    (void)snprintf(rig->lens, sizeof rig->lens, "%g mm f/%g", focal_mm, f_number);
    rig->focal_mm = focal_mm;
    rig->f_number = f_number;
}

void demo_setup(struct setup *setup)
{
    struct rig *longer = &setup->rig[1];

    setup_default(setup);
    setup->has_site = true;
    (void)snprintf(setup->site.name, sizeof setup->site.name, DEMO_SITE);
    setup->site.latitude_deg = 62.0;
    setup->site.longitude_deg = 60.0;
    setup->site.height_m = 420;
    (void)snprintf(setup->site.zone, sizeof setup->site.zone, "Asia/Yekaterinburg");
    setup->site.temperature_c = -22;
    setup->site.pressure_hpa = 962;

    setup->rig_count = 2;
    demo_rig(&setup->rig[0], "slope", 16, 3.5);
    demo_rig(longer, "long", 300, 4.5);
    longer->sensor_width_mm = 17.3;
    longer->sensor_height_mm = 13;
    longer->pixel_pitch_um = 3.3;
}
