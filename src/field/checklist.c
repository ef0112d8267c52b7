/* The list that a setup begins with. Its texts are data like the user's own, which the setup file replaces,
 * leaves out and adds to; what is said of an item stands in words. */
#include <moonstand/checklist.h>

#include <stdio.h>
#include <string.h>

struct check_line {
    const char *id;
    enum check_group group;
    const char *due; /* empty: whenever its cause occurs */
    unsigned when;
    const char *text;
    const char *note;
};

/* Nothing is due during the eclipse while the Moon is down. Total eclipses have U2 and U3; for the
 * others the same work is timed by greatest, with other words. */
enum {
    ALWAYS = 0,
    TOTAL = WHEN_TOTAL | WHEN_MOON,
    PARTIAL = WHEN_PARTIAL | WHEN_MOON,
    PENUMBRAL = WHEN_PENUMBRAL | WHEN_MOON,
    UMBRAL = WHEN_TOTAL | WHEN_PARTIAL | WHEN_MOON,
    NOT_TOTAL = WHEN_PARTIAL | WHEN_PENUMBRAL | WHEN_MOON,
    LONG_OR_MOUNT = WHEN_LONG | WHEN_MOUNT,
};

/* How long each takes, and so when it is due: common practice, no source. Sources of the claims:
 *   batteries      half at -18 C (Battery University BU-502), three quarters at -10 C (Samsung SDI,
 *                  INR18650-15L, 7.5); no page prints the span; no charging below 0 C: from memory
 *   cooling        an hour for refractors and Newtonians (BBC Sky at Night Magazine,
 *                  https://skyatnightmagazine.com/advice/what-best-way-helping-my-telescope-cool-down)
 *   shake          1/60 to 1/2 s, of mirrors (photo.net, http://photo.net/learn/nature/mlu)
 *   dew            on glass below the air's dew point (MacRobert, "Dealing with Dew", Sky & Telescope)
 * The rest is common practice, no source. */
static const struct check_line built_in[] = {
    /* the day before */
    {"charge", CHECK_DAY_BEFORE, "eve", ALWAYS,
     "Charge every battery: cameras, mount, heaters, laptop, headlamp, power banks",
     "Lithium cells are not charged below 0 C (32 F)."},
    {"cards", CHECK_DAY_BEFORE, "eve+30m", ALWAYS,
     "Empty the cards and format each in its own camera", "Copy what is on them first."},
    {"forecast", CHECK_DAY_BEFORE, "eve+1h", ALWAYS,
     "Read the forecast: cloud, wind, temperature, humidity; choose the site", ""},
    {"ask", CHECK_DAY_BEFORE, "eve+1h15m", ALWAYS, "Ask before you stand on somebody's ground",
     "Leave gates, paths and roads free."},
    {"tell-someone", CHECK_DAY_BEFORE, "eve+1h15m", ALWAYS,
     "Tell someone where you will be and when you will be back", ""},
    {"clothes", CHECK_DAY_BEFORE, "eve+1h30m", ALWAYS,
     "Lay out warm clothes for six hours of standing still: gloves, hat, boots, hot drink", ""},
    {"dew-kit", CHECK_DAY_BEFORE, "eve+1h45m", ALWAYS, "Pack dew shields, heaters and their power",
     ""},
    {"small-kit", CHECK_DAY_BEFORE, "eve+2h", ALWAYS,
     "Pack red tape, quick-release plates, remotes, cables, tools, a second headlamp", ""},
    {"spares", CHECK_DAY_BEFORE, "eve+3h", ALWAYS,
     "Pack spare batteries, contacts covered, in a pocket next to the body: kept warm",
     "In the cold a battery gives half to three quarters; bare contacts can short."},
    {"power-banks", CHECK_DAY_BEFORE, "eve+3h", ALWAYS,
     "Power banks fail in the cold: pack them warm, with another supply in reserve", ""},

    /* at the site; work by day ends with the day */
    {"sun", CHECK_AT_SITE, "start-2h10m, by sunset-50m", WHEN_SUN,
     "Sun up: never point a lens, a finder or a telescope near it; caps stay on",
     "It blinds at once and burns shutters and sensors."},
    {"ground", CHECK_AT_SITE, "start-2h, by sunset-40m", WHEN_SUN,
     "Walk the ground while it is light: ice, holes, edges; mark cables and tripod legs",
     "In the dark you will trip over what you have forgotten."},
    {"ground-dark", CHECK_AT_SITE, "start-2h", WHEN_NO_SUN,
     "Walk the ground with a lamp: ice, holes, edges; mark cables and tripod legs",
     "In the dark you will trip over what you have forgotten."},
    {"road", CHECK_AT_SITE, "start-1h55m, by sunset-35m", ALWAYS,
     "Roads and edges in the dark: park clear of the road, be seen, keep off edges", ""},
    {"mains", CHECK_AT_SITE, "start-1h50m, by sunset-30m", ALWAYS,
     "Mains leads and heaters in dew: outdoor-rated, residual-current-protected supplies only",
     "As local rules and a licensed electrician say."},
    {"tripod", CHECK_AT_SITE, "start-1h40m", ALWAYS,
     "Tripods weighted, feet on firm ground, centre column down", ""},
    {"cool-down", CHECK_AT_SITE, "start-1h40m", LONG_OR_MOUNT,
     "Let telescope and long lenses cool: they need an hour",
     "Caps off only with the Sun down, or in the shade and turned far from it."},
    {"mount", CHECK_AT_SITE, "start-1h30m", WHEN_MOUNT,
     "Tracking mount: polar axis set, rate chosen, cables free through the whole night",
     "No stars yet: compass and level, then correct it when they are out."},
    {"dew-shields", CHECK_AT_SITE, "start-1h30m", ALWAYS,
     "Dew shields on; heaters on low before the glass is wet", ""},
    {"heaters", CHECK_AT_SITE, "start-1h30m", ALWAYS, "A heater that is on is never left alone",
     "Switch it off at its supply before you walk away."},
    {"leds", CHECK_AT_SITE, "start-1h25m", ALWAYS, "Tape every LED and display red", ""},
    {"manual", CHECK_AT_SITE, "start-1h20m", ALWAYS,
     "Each camera: manual mode, raw, fixed white balance", ""},
    {"auto-iso", CHECK_AT_SITE, "start-1h20m", ALWAYS, "Each camera: auto ISO off", ""},
    {"autofocus", CHECK_AT_SITE, "start-1h20m", ALWAYS, "Each camera and lens: autofocus off", ""},
    {"stabiliser", CHECK_AT_SITE, "start-1h20m", ALWAYS, "Each camera and lens: stabiliser off",
     "On a tripod it hunts."},
    {"noise-reduction", CHECK_AT_SITE, "start-1h15m", ALWAYS,
     "Each camera: long-exposure noise reduction off",
     "It doubles the time that a frame takes, and so the interval."},
    {"auto-off", CHECK_AT_SITE, "start-1h15m", ALWAYS,
     "Each camera: image review off, auto power-off off", ""},
    {"shutter", CHECK_AT_SITE, "start-1h15m", ALWAYS,
     "Each camera: electronic or first-curtain shutter",
     "No shake from the shutter between 1/60 and 1/2 s."},
    {"camera-clocks", CHECK_AT_SITE, "start-1h10m", ALWAYS,
     "Set the clock of each camera to UTC, to the second", "Or note how far each is off (K)."},

    /* before P1; what needs the Moon waits for one that rises late */
    {"focus-wide", CHECK_BEFORE_P1, "start-45m", WHEN_WIDE,
     "Wide rig: focus on a star, or on something far away; then tape the ring", ""},
    {"focus", CHECK_BEFORE_P1, "start-40m, from moonrise+2m", LONG_OR_MOUNT,
     "Long rigs: focus on a star or the Moon's limb at full magnification, then tape the ring", ""},
    {"wide-frame", CHECK_BEFORE_P1, "start-30m", WHEN_WIDE,
     "Wide rig: level, aim it and confirm it here (a); then hands off",
     "The whole path inside the frame, where it fits."},
    {"interval", CHECK_BEFORE_P1, "start-25m", ALWAYS,
     "Interval longer than exposure and saving together, at the longest exposure", ""},
    {"room", CHECK_BEFORE_P1, "start-20m", ALWAYS, "Full battery and an empty card in every camera",
     ""},
    {"test-run", CHECK_BEFORE_P1, "start-20m, from moonrise+6m", ALWAYS,
     "Ten frames as a test run: sharp, framed, evenly spaced, on the card", ""},
    {"air", CHECK_BEFORE_P1, "start-15m", ALWAYS, "Note temperature and humidity (w)",
     "Again every half hour."},
    {"red-light", CHECK_BEFORE_P1, "start-15m, from sunset+30m", ALWAYS,
     "Headlamp red; from now on no white light", ""},
    {"aim", CHECK_BEFORE_P1, "start-5m, from moonrise+4m", LONG_OR_MOUNT,
     "Aim every long rig and confirm it here (a)", ""},
    {"start-wide", CHECK_BEFORE_P1, "start-5m", WHEN_WIDE, "Wide rig: start the intervalometer",
     ""},
    {"start", CHECK_BEFORE_P1, "start-2m, from moonrise+8m", LONG_OR_MOUNT,
     "Long rigs: start the intervalometers", ""},

    /* before U2, or greatest */
    {"focus-cold", CHECK_BEFORE_U2, "", ALWAYS,
     "After each fall of 5 C (9 F): look at the focus again", "Glass and tubes shrink."},
    {"settings-partial", CHECK_BEFORE_U2, "U1-10m", PARTIAL,
     "Settings for the sunlit part ready on every camera",
     "The umbra stays dark beside it: a longer second frame shows it."},
    {"focus-again", CHECK_BEFORE_U2, "U2-30m", TOTAL,
     "Look at the focus again at full magnification", "Totality is too faint for it."},
    {"focus-greatest", CHECK_BEFORE_U2, "greatest-30m", NOT_TOTAL,
     "Look at the focus again at full magnification", ""},
    {"glass", CHECK_BEFORE_U2, "U2-25m", TOTAL,
     "Look at every front lens with the red lamp: dew, frost", "Warm it, never wipe it."},
    {"glass-greatest", CHECK_BEFORE_U2, "greatest-25m", NOT_TOTAL,
     "Look at every front lens with the red lamp: dew, frost", "Warm it, never wipe it."},
    {"batteries", CHECK_BEFORE_U2, "U2-20m", TOTAL,
     "Change batteries and cards that will not last beyond U3", ""},
    {"hands", CHECK_BEFORE_U2, "U2-15m", TOTAL, "Warm your hands, drink, eat", ""},
    {"hands-greatest", CHECK_BEFORE_U2, "greatest-15m", NOT_TOTAL, "Warm your hands, drink, eat",
     ""},
    {"umbra-setting", CHECK_BEFORE_U2, "U2-10m", TOTAL,
     "Settings for the umbra ready on every camera",
     "Rate its colour when you see it, and tell it to this program (d)."},
    {"settings-penumbral", CHECK_BEFORE_U2, "greatest-40m", PENUMBRAL,
     "Keep one setting from here on: the shading shows only between equal frames", ""},
    {"aim-u2", CHECK_BEFORE_U2, "U2-3m", TOTAL | WHEN_LONG,
     "Re-aim the long rigs, so that U2 needs no hand", ""},
    {"aim-greatest", CHECK_BEFORE_U2, "greatest-3m", NOT_TOTAL | WHEN_LONG,
     "Re-aim the long rigs, so that greatest needs no hand", ""},

    /* before P4; in a short totality all of it comes at once */
    {"rating", CHECK_BEFORE_P4, "umbra", TOTAL, "Rate the umbra by eye: 0 dark to 4 bright (d)",
     ""},
    {"glass-u3", CHECK_BEFORE_P4, "U3-25m, from U2+2m", TOTAL,
     "Look at every front lens again: dew, frost", "Warm it, never wipe it."},
    {"batteries-u3", CHECK_BEFORE_P4, "U3-20m, from U2+2m", TOTAL,
     "Change batteries and cards that will not last to P4", "Re-aim a rig that you touched."},
    {"settings-u3", CHECK_BEFORE_P4, "U3-10m, from U2+2m", TOTAL,
     "Before U3: stand at the cameras, the rounds come fast from here on",
     "The limb brightens fast: set what Hands says, round by round."},
    {"aim-u3", CHECK_BEFORE_P4, "U3-3m, from U2+2m", TOTAL | WHEN_LONG,
     "Re-aim the long rigs, so that U3 needs no hand", ""},
    {"batteries-greatest", CHECK_BEFORE_P4, "greatest+10m", NOT_TOTAL,
     "Change batteries and cards that will not last to P4", "Re-aim a rig that you touched."},
    {"focus-u3", CHECK_BEFORE_P4, "U3+12m", TOTAL, "Look at the focus again at full magnification",
     "The limb is bright enough again."},
    {"glass-u4", CHECK_BEFORE_P4, "U4-20m, from greatest+5m", UMBRAL,
     "Look at every front lens again: dew, frost", "Warm it, never wipe it."},
    {"glass-late", CHECK_BEFORE_P4, "greatest+30m", PENUMBRAL,
     "Look at every front lens again: dew, frost", "Warm it, never wipe it."},

    /* after */
    {"time-card", CHECK_AFTER, "end+2m", ALWAYS,
     "Photograph a clock that shows UTC with each camera (C)", ""},
    {"darks", CHECK_AFTER, "end+5m", ALWAYS,
     "Dark frames with the cap on, at the longest exposures used", ""},
    {"bags", CHECK_AFTER, "end+15m", ALWAYS,
     "Cold gear into closed bags; indoors open them only when they are warm",
     "Let dew dry by itself."},
    {"search", CHECK_AFTER, "end+20m", ALWAYS,
     "Search the ground with white light: caps, cards, plates", ""},
    {"sleep", CHECK_AFTER, "end+30m", ALWAYS, "Too tired to drive: sleep first", ""},
    {"copy", CHECK_AFTER, "end+3h", ALWAYS,
     "Copy the cards twice, with this night's notes, before anything is deleted", ""},
};

const char *check_group_name(enum check_group group)
{
    static const char *const names[CHECK_GROUPS + 1] = {
        "day before", "at the site", "before P1", "before U2", "before P4", "after", "reminders",
    };

    return names[group];
}

void checklist_default(struct checklist *list)
{
    const int count = (int)(sizeof built_in / sizeof *built_in);

    _Static_assert(sizeof built_in / sizeof *built_in <= CHECK_ITEMS, "list too long");
    memset(list, 0, sizeof *list);
    list->count = count;
    for (int i = 0; i < count; i++) {
        const struct check_line *line = &built_in[i];
        struct check_item *item = &list->item[i];

        item->group = line->group;
        item->when = line->when;
        item->has_due = due_parse(line->due, &item->due, NULL) == 0;
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
