/* The acts of a journal, folded into a night: what makes sense takes effect, nothing else does. */
#include "../../src/store/files.h"
#include "journal_lines.h"

#include <moonstand/act.h>
#include <moonstand/night.h>
#include <moonstand/pick.h>
#include <moonstand/record_words.h>

#include <math.h>

static struct night opened, night;

static void open_once(void)
{
    static struct setup setup;
    struct eclipse eclipse;
    struct zone_table zone;
    double day;

    setup_default(&setup);
    setup.has_site = true;
    setup.site.latitude_deg = 62;
    setup.site.longitude_deg = 60;
    zone_utc(&zone);
    CLAIM(parse_day("2028-12-31", &day, NULL) == 0 && eclipse_of_day(day, SHADOW_DANJON, &eclipse));
    CLAIM(night_open(&opened, &setup, &eclipse, &zone, false, NULL) == 0);
    night_follow(&opened, day);
}

static void apply(void *context, const char *line, size_t length)
{
    const struct reader reader = reader_local(&night);
    struct fault fault = {""};
    struct act act;
    char what[ACT_TEXT];

    (void)context;
    if (entry_decode(line, length, &act, NULL, &fault) != 0)
        return;
    if (night_apply(&night, &act, &fault) == 0)
        act_words(&night, &act, &reader, what, sizeof what);
    else
        CLAIM(act.seq <= night.last_seq || *fault.text);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    if (opened.event_count == 0)
        open_once();
    night = opened;
    each_line(data, size, apply, NULL);
    for (int i = 0; i < night.setup.rig_count; i++)
        CLAIM(night.rig[i].rig.f_number > 0 && !(night.rig[i].rig.interval_s <= 0));
    CLAIM(night.act_count == 0 || night.last_seq >= night.acts[night.act_count - 1].seq);
    night_close(&night);
    return 0;
}
