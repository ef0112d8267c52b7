/* The demo night: a site and rigs of our own invention, for the total eclipse of 2028-12-31. */
#include "app.h"

#include <stdio.h>

static void rename_rig(struct rig *rig, const char *name, const char *lens)
{
    (void)snprintf(rig->name, sizeof rig->name, "%s", name);
    (void)snprintf(rig->lens, sizeof rig->lens, "%s", lens);
}

void demo_setup(struct setup *setup)
{
    struct rig *wide, *longer, *telescope;

    setup_default(setup);
    setup->has_site = true;
    (void)snprintf(setup->site.name, sizeof setup->site.name, DEMO_SITE);
    setup->site.latitude_deg = 62.0;
    setup->site.longitude_deg = 60.0;
    setup->site.height_m = 420;
    (void)snprintf(setup->site.zone, sizeof setup->site.zone, "Asia/Yekaterinburg");
    setup->site.temperature_c = -22;
    setup->site.pressure_hpa = 962;

    wide = &setup->rig[0];
    rename_rig(wide, "valley", "18 mm f/2.8");
    wide->focal_mm = 18;
    wide->interval_s = 30;

    longer = &setup->rig[1];
    rename_rig(longer, "long", "500 mm f/5.6");
    longer->interval_s = 15;

    telescope = &setup->rig[2];
    rename_rig(telescope, "scope", "1000 mm f/4");
    telescope->interval_s = 20;
}
