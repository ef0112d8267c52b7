/* The checklist that comes with the program. */
#include <moonstand/field.h>

#include <stdio.h>
#include <string.h>

static const char *const group_name[CHECK_GROUPS + 1] = {
    "day before", "at the site", "before P1", "before U2", "after", "reminders",
};

struct line {
    const char *id;
    enum check_group group;
    const char *due; /* empty: whenever its cause turns up */
    const char *text;
    const char *note;
};

static const struct line list_of_the_house[] = {
    /* the day before */
    {"charge", CHECK_DAY_BEFORE, "P1-20h",
     "Charge every battery: cameras, mount, heaters, laptop, headlamp",
     "Lithium cells are not charged below 0 C (32 F)."},
    {"spares", CHECK_DAY_BEFORE, "P1-14h",
     "Pack spare batteries, in a pocket next to the body: kept warm",
     "In the cold a battery gives half to three quarters."},
    {"cards", CHECK_DAY_BEFORE, "P1-14h", "Empty the cards and format each in its own camera",
     "Copy what is on them first."},
    {"clothes", CHECK_DAY_BEFORE, "P1-13h",
     "Lay out warm clothes for six hours of standing still: gloves, hat, boots, hot drink", ""},
    {"dew-kit", CHECK_DAY_BEFORE, "P1-13h", "Pack dew shields, heaters and their power", ""},
    {"small-kit", CHECK_DAY_BEFORE, "P1-13h",
     "Pack red tape, quick-release plates, remotes, cables, tools, a second headlamp", ""},
    {"forecast", CHECK_DAY_BEFORE, "P1-12h",
     "Read the forecast: cloud, wind, temperature, humidity; choose the site", ""},
    {"tell-someone", CHECK_DAY_BEFORE, "P1-12h",
     "Tell someone where you will be and when you will be back", ""},

    /* at the site */
    {"sun", CHECK_AT_SITE, "",
     "Sun up: never point a lens, a finder or a telescope near it; caps stay on",
     "It blinds at once and burns shutters and sensors."},
    {"ground", CHECK_AT_SITE, "P1-2h",
     "Walk the ground while it is light: ice, holes; mark cables and tripod legs",
     "In the dark you will trip over what you have forgotten."},
    {"mains", CHECK_AT_SITE, "P1-1h50m",
     "Mains leads and heaters in dew: outdoor-rated, residual-current-protected supplies only",
     "As local rules and a licensed electrician say."},
    {"tripod", CHECK_AT_SITE, "P1-1h40m",
     "Tripods weighted, feet on firm ground, centre column down", ""},
    {"cool-down", CHECK_AT_SITE, "P1-1h40m",
     "Uncap telescope and long lenses in the shade: they need an hour to cool",
     "Only with the Sun down or far behind them."},
    {"mount", CHECK_AT_SITE, "P1-1h30m",
     "Tracking mount: polar axis set, rate chosen, cables free through the whole night", ""},
    {"dew-shields", CHECK_AT_SITE, "P1-1h30m",
     "Dew shields on; heaters on low before the glass is wet", ""},
    {"leds", CHECK_AT_SITE, "P1-1h25m", "Tape every LED and display red", ""},
    {"manual", CHECK_AT_SITE, "P1-1h20m", "Each camera: manual mode, raw, fixed white balance", ""},
    {"auto-iso", CHECK_AT_SITE, "P1-1h20m", "Each camera: auto ISO off", ""},
    {"autofocus", CHECK_AT_SITE, "P1-1h20m", "Each camera and lens: autofocus off", ""},
    {"stabiliser", CHECK_AT_SITE, "P1-1h20m", "Each camera and lens: stabiliser off",
     "On a tripod it hunts."},
    {"noise-reduction", CHECK_AT_SITE, "P1-1h15m", "Each camera: long-exposure noise reduction off",
     "It doubles the time that a frame takes, and so the interval."},
    {"auto-off", CHECK_AT_SITE, "P1-1h15m", "Each camera: image review off, auto power-off off",
     ""},
    {"shutter", CHECK_AT_SITE, "P1-1h15m", "Each camera: electronic or first-curtain shutter",
     "No shake from the shutter between 1/60 and 1/2 s."},
    {"camera-clocks", CHECK_AT_SITE, "P1-1h10m",
     "Set the clock of each camera to UTC, to the second", "Or note how far each is off."},

    /* before P1 */
    {"focus", CHECK_BEFORE_P1, "P1-40m",
     "Focus on a star or the Moon's limb at full magnification, then tape the ring", ""},
    {"wide-frame", CHECK_BEFORE_P1, "P1-30m",
     "Wide rig: level, the whole path inside the frame; then hands off", ""},
    {"interval", CHECK_BEFORE_P1, "P1-25m",
     "Interval longer than exposure and saving together, at the longest exposure", ""},
    {"room", CHECK_BEFORE_P1, "P1-20m", "Full battery and an empty card in every camera", ""},
    {"test-run", CHECK_BEFORE_P1, "P1-20m",
     "Ten frames as a test run: sharp, framed, evenly spaced, on the card", ""},
    {"air", CHECK_BEFORE_P1, "P1-15m", "Note temperature and humidity", "Again every half hour."},
    {"red-light", CHECK_BEFORE_P1, "P1-15m", "Headlamp red; from now on no white light", ""},
    {"aim", CHECK_BEFORE_P1, "P1-5m", "Aim every long rig and confirm it here", ""},
    {"start", CHECK_BEFORE_P1, "P1-2m", "Start the intervalometers", ""},

    /* before U2 */
    {"focus-cold", CHECK_BEFORE_U2, "", "After each fall of 5 C (9 F): look at the focus again",
     "Glass and tubes shrink."},
    {"focus-again", CHECK_BEFORE_U2, "U2-30m", "Look at the focus again at full magnification",
     "Totality is too faint for it."},
    {"glass", CHECK_BEFORE_U2, "U2-25m", "Look at every front lens with the red lamp: dew, frost",
     "Warm it, never wipe it."},
    {"batteries", CHECK_BEFORE_U2, "U2-20m",
     "Change every battery and card that will not last beyond U3", ""},
    {"hands", CHECK_BEFORE_U2, "U2-15m", "Warm your hands, drink, eat", ""},
    {"umbra-setting", CHECK_BEFORE_U2, "U2-10m", "Settings for the umbra ready on every camera",
     "Rate the colour of the shadow and tell it to this program."},
    {"aim-u2", CHECK_BEFORE_U2, "U2-3m", "Re-aim the long rigs, so that U2 needs no hand", ""},

    /* after */
    {"time-card", CHECK_AFTER, "P4+2m", "Photograph a clock that shows UTC with each camera", ""},
    {"darks", CHECK_AFTER, "P4+5m", "Dark frames with the cap on, at the longest exposures used",
     ""},
    {"bags", CHECK_AFTER, "P4+15m",
     "Cold gear into closed bags; indoors open them only when they are warm",
     "Let dew dry by itself."},
    {"search", CHECK_AFTER, "P4+20m", "Search the ground with white light: caps, cards, plates",
     ""},
    {"copy", CHECK_AFTER, "P4+3h",
     "Copy the cards twice, with this night's notes, before anything is deleted", ""},
};

const char *check_group_name(enum check_group group)
{
    return group_name[group];
}

void checklist_default(struct checklist *list)
{
    const int count = (int)(sizeof list_of_the_house / sizeof *list_of_the_house);

    _Static_assert(sizeof list_of_the_house / sizeof *list_of_the_house <= CHECK_ITEMS,
                   "list too long");
    memset(list, 0, sizeof *list);
    list->count = count;
    for (int i = 0; i < count; i++) {
        const struct line *line = &list_of_the_house[i];
        struct check_item *item = &list->item[i];

        item->group = line->group;
        item->has_due = contact_offset_parse(line->due, &item->due, NULL) == 0;
        (void)snprintf(item->id, sizeof item->id, "%s", line->id);
        (void)snprintf(item->text, sizeof item->text, "%s", line->text);
        (void)snprintf(item->note, sizeof item->note, "%s", line->note);
    }
}

int checklist_find(const struct checklist *list, const char *id)
{
    for (int i = 0; i < list->count; i++)
        if (strcmp(list->item[i].id, id) == 0)
            return i;
    return -1;
}
