/* The setup in words: what a key of its file is called on the screen, and why it is asked for. */
#include <moonstand/aim_words.h>
#include <moonstand/night.h>
#include <moonstand/power_words.h>
#include <moonstand/setup.h>
#include <moonstand/setup_words.h>

#include <ctype.h>
#include <stdio.h>
#include <string.h>

#define SITE_WORDS(at)                                                                             \
    {at ".name", "name", "what the screen and the prints call the place"},                         \
        {at ".latitude_deg", "latitude", "where the Moon stands, and when it rises"},              \
        {at ".longitude_deg", "longitude", "where the Moon stands, and when it rises"},            \
        {at ".height_m", "height", "the air pressure, if none is given"},                          \
        {at ".time_zone", "time zone", "local time, such as Europe/Rome"},                         \
        {at ".pressure_hpa", "pressure", "how much the air lifts a low Moon"},                     \
        {at ".temperature_c", "temperature", "how long batteries last, and what the air lifts"},   \
        {at ".horizon", "horizon", "when a roof or a hill hides the Moon"},                        \
    {                                                                                              \
        at ".forecast", "forecast file", "cloud and temperature of the night, kept up to date"     \
    }

#define ITEM_WORDS(at)                                                                             \
    {at ".text", "what to do", "as it is read on the list"},                                       \
        {at ".due", "due", "by when it must be done"}, {at ".when", "only if", "eclipses and rigs it is for"}, \
        {at ".rig", "rig", "the rig that it is for"},                                              \
        {at ".note", "note", "shown below the list"},                                              \
    {                                                                                              \
        at ".id", "mark", "by which the record knows it"                                           \
    }

/* In the order of the file. A path has no numbers of entries. */
static const struct setup_word setup_words[] = {
    {"site", "site", "the place of tonight"},
    SITE_WORDS("site"),
    {"sites", "sites", "places to choose from"},
    SITE_WORDS("sites"),
    {"rigs", "rigs", "the cameras of the night, up to three"},
    {"rigs.name", "name", "what the screen calls the rig"},
    {"rigs.lens", "lens", "shown beside the rig"},
    {"rigs.camera", "camera", "tells its pictures from those of others"},
    {"rigs.pictures", "picture folder", "where its pictures are watched"},
    {"rigs.look", "look for", "what is looked for in each picture"},
    {"rigs.focal_mm", "focal length", "how large the Moon is and how fast it drifts"},
    {"rigs.f_number", "f-number", "how much light comes in"},
    {"rigs.sensor_width_mm", "sensor width", "how long the Moon stays in the frame"},
    {"rigs.sensor_height_mm", "sensor height", "how long the Moon stays in the frame"},
    {"rigs.pixel_pitch_um", "pixel size", "from what drift a picture is blurred"},
    {"rigs.support", "support", "whether the camera stands still or follows"},
    {"rigs.iso_min", "lowest ISO", "the sunlit Moon needs it"},
    {"rigs.iso_max", "highest ISO", "how far totality can be followed"},
    {"rigs.iso_comfort", "good ISO", "beyond it noise costs more than blur"},
    {"rigs.shutter_min_s", "shortest exposure", "what the camera can be set to"},
    {"rigs.shutter_max_s", "longest exposure", "what the camera can be set to"},
    {"rigs.interval_s", "interval", "frames, cards and batteries of the night"},
    {"rigs.until", "last frame", "until when the rig is used"},
    {"rigs.frame_mb", "size of a picture", "when the card is full"},
    {"rigs.target", "target", "what the exposure is for"},
    {"rigs.placement_stops", "brightness", "how bright each part comes out"},
    {"rigs.placement_stops.lit", "sunlit part", "brighter (+) or darker than mid-grey"},
    {"rigs.placement_stops.umbra", "umbra", "brighter (+) or darker than mid-grey"},
    {"rigs.placement_stops.stars", "stars", "brighter (+) or darker than mid-grey"},
    {"rigs.placement_stops.foreground", "foreground", "brighter (+) or darker than mid-grey"},
    {"rigs.blur_limit_px", "most blur", "caps the shutter"},
    {"rigs.tolerance_stops", "tolerance", "how far off a setting may be before a round"},
    {"rigs.bracket_frames", "frames of a bracket", "what one press takes"},
    {"rigs.bracket_step_stops", "step of a bracket", "between two of its frames"},
    {"rigs.remote_exposure", "set by a remote", "then no hand has to change it"},
    {"rigs.filter_stops", "filter", "light that it takes"},
    {"rigs.extender", "extender", "multiplies focal length and f-number"},
    {"rigs.portrait", "held upright", "which way the Moon stays longer"},
    {"rigs.margin", "margin", "kept free at the frame's edges"},
    {"rigs.aim_tolerance", "aiming error", "a hand does not hit the place exactly"},
    {"rigs.warn_s", "warning", "so long before a re-aim"},
    {"rigs.power", "battery", "when it must be changed"},
    {"rigs.power.rated_shots", "shots of a battery", "as its maker rates it"},
    {"rigs.power.rated_hours", "hours of a battery", "as its maker rates it"},
    {"rigs.power.spares", "spare batteries", "whether they last the night"},
    {"rigs.power.live_view", "screen on", "it drains the battery"},
    {"rigs.power.external", "external power", "then nothing is changed"},
    {"rigs.power.heater_w", "heater on it", "what it takes from the battery"},
    {"rigs.power.battery_wh", "battery holds", "what a heater takes from it"},
    {"rigs.power.cold", "battery in the cold", "what is left of it"},
    {"rigs.heater", "heater on the lens", "then dew is no job"},
    {"rigs.card_gb", "card", "when it is full"},
    {"rigs.card_path", "card folder", "what is free on it"},
    {"rigs.saving_s", "saving a picture", "the least interval"},
    {"rigs.mount", "mount", "drift, flip and reach"},
    {"rigs.mount.polar_az_error_arcmin", "polar error in azimuth", "it makes the Moon drift"},
    {"rigs.mount.polar_alt_error_arcmin", "polar error in altitude", "it makes the Moon drift"},
    {"rigs.mount.german_equatorial", "flips", "it must be turned over at the meridian"},
    {"rigs.mount.past_meridian_min", "past the meridian", "how late it may flip"},
    {"rigs.mount.altitude_min_deg", "lowest altitude", "what it reaches"},
    {"rigs.mount.altitude_max_deg", "highest altitude", "what it reaches"},
    {"rigs.composition", "chain of Moons", "how a wide rig is pointed"},
    {"rigs.composition.part", "part", "what the one picture is to hold"},
    {"rigs.composition.foreground", "foreground", "of the frame below the path"},
    {"rigs.composition.tilt_deg", "most tilt", "how far the camera may be rolled"},
    {"checklist", "checklist", "what to do, and by when"},
    {"checklist.group", "group", "where it is done"},
    ITEM_WORDS("checklist"),
    {"reminders", "reminders", "added to the checklist"},
    ITEM_WORDS("reminders"),
    {"shadow_rule", "shadow rule", "how far the umbra reaches"},
    {"theme", "theme", "the colours of the screen"},
    {"clock", "hours of a day", "how clocks are read"},
    {"units", "units", "metric or imperial"},
    {"danjon", "umbra L", "0 dark to 4 bright, until you rate it"},
    {"extinction_mag", "extinction", "what the air takes overhead"},
    {"glass_cooling_c", "cooling of the glass", "it is colder than the air: dew"},
    {"gpsd", "GPS", "site and clock are checked by it"},
    {"gpsd.host", "address", "where gpsd runs: this machine"},
    {"gpsd.port", "port", "where gpsd listens"},
    {"hands", "hands", "how long your jobs take"},
    {"hands.aim_s", "aiming a rig", "rounds are planned with it"},
    {"hands.battery_s", "changing a battery", "rounds are planned with it"},
    {"hands.card_s", "changing a card", "rounds are planned with it"},
    {"hands.exposure_s", "setting a camera", "rounds are planned with it"},
    {"hands.walk_s", "going to a rig", "rounds are planned with it"},
    {"people", "people", "whose hands serve the rigs"},
    {"air", "air sensor", "temperature and humidity: dew"},
    {"air.file", "file", "with the latest reading"},
    {"air.command", "program", "that prints a reading"},
    {"air.every_s", "every", "how often it is read"},
    {"hooks", "programs to run", "on events, such as a sound"},
    {"hooks.contact", "contact", "run at every contact"},
    {"hooks.alarm", "alarm", "run when a re-aim is due"},
    {"hooks.warning", "warning", "run before a re-aim"},
    {"hooks.missed", "missed", "run after a gap"},
    {"hooks.swap", "change", "run when a battery or card is due"},
    {"hooks.air", "air", "run when dew or frost is likely"},
    {"hooks.say", "voice", "reads out what changes"},
    {"look_every_s", "look at pictures", "how often at most"},
    {"keep_awake", "keep the laptop awake", "a sleeping laptop shows nothing"},
};

enum { WORDS = sizeof setup_words / sizeof *setup_words };

/* A path without the numbers of its entries. */
static void plain_path(const char *path, size_t length, char out[ROW_PATH])
{
    size_t at = 0;
    bool number = false;

    for (size_t i = 0; i < length && at < ROW_PATH - 1; i++) {
        number = number ? path[i] != ']' : path[i] == '[';
        if (!number && path[i] != ']')
            out[at++] = path[i];
    }
    out[at] = '\0';
}

static const struct setup_word *find(const char *path, size_t length)
{
    char plain[ROW_PATH];

    plain_path(path, length, plain);
    for (int i = 0; i < WORDS; i++)
        if (strcmp(setup_words[i].path, plain) == 0)
            return &setup_words[i];
    return NULL;
}

const struct setup_word *setup_word(const char *path)
{
    return find(path, strlen(path));
}

const struct setup_word *setup_words_all(int *count)
{
    *count = WORDS;
    return setup_words;
}

/* The number in "[12]". */
static int entry_of(const char *bracket)
{
    int entry = 0;

    for (const char *at = bracket + 1; isdigit((unsigned char)*at) && entry < CHECK_ITEMS; at++)
        entry = 10 * entry + (*at - '0');
    return entry;
}

/* Appends the number of an entry, and the name of a rig or site: " > 2 long". */
static size_t append_entry(const struct setup *setup, const char *list, int entry, char *out,
                           size_t size)
{
    const char *name = "";

    if (setup && strncmp(list, "rigs[", 5) == 0 && entry < setup->rig_count)
        name = setup->rig[entry].name;
    else if (setup && strncmp(list, "sites[", 6) == 0 && entry < setup->site_count)
        name = setup->sites[entry].name;
    return (size_t)snprintf(out, size, " > %d%s%s", entry + 1, *name ? " " : "", name);
}

char *setup_path_words(const struct setup *setup, const char *path, char out[ROW_TRAIL])
{
    size_t length = 0, end = 0;

    *out = '\0';
    while (path[end] && length < ROW_TRAIL) {
        bool marked = path[end] == '.' || path[end] == '[';
        size_t from = end, name = from + marked;

        end = name + strcspn(path + name, ".[");
        if (path[from] == '[') {
            bool nested = strchr(path, '[') != path + from;
            length += append_entry(nested ? NULL : setup, path, entry_of(path + from), out + length,
                                   ROW_TRAIL - length);
            continue;
        }
        const struct setup_word *word = find(path, end);
        length += (size_t)snprintf(out + length, ROW_TRAIL - length, "%s%.*s", from ? " > " : "",
                                   word ? ROW_TRAIL : (int)(end - name),
                                   word ? word->words : path + name);
    }
    return out;
}

/* Bytes of a path or a key that a text begins with; 0: none, or one that is a plain word. */
static size_t key_length(const char *text)
{
    size_t length = strspn(text, "abcdefghijklmnopqrstuvwxyz_0123456789.[]");

    while (length > 0 && text[length - 1] == '.')
        length--;
    return islower((unsigned char)*text) && strcspn(text, "_.[") < length ? length : 0;
}

/* A key by itself, as a message of the reader names it. */
static const struct setup_word *find_key(const char *key, size_t length)
{
    for (int i = 0; i < WORDS; i++) {
        const char *dot = strrchr(setup_words[i].path, '.'),
                   *last = dot ? dot + 1 : setup_words[i].path;
        if (strlen(last) == length && strncmp(last, key, length) == 0)
            return &setup_words[i];
    }
    return NULL;
}

char *setup_in_words(const struct setup *setup, const char *text, char *out, size_t size)
{
    size_t at = 0;
    char path[ROW_PATH], said[ROW_TRAIL];
    bool inside = false; /* of a word */

    *out = '\0';
    while (*text && at + 1 < size) {
        size_t length = inside ? 0 : key_length(text);
        const struct setup_word *key = length > 0 ? find_key(text, length) : NULL;

        if (length > 0 && length < ROW_PATH && !key && find(text, strcspn(text, ".["))) {
            (void)snprintf(path, sizeof path, "%.*s", (int)length, text);
            (void)setup_path_words(setup, path, said);
        } else if (key) {
            (void)snprintf(said, sizeof said, "%s", key->words);
        } else {
            inside = isalnum((unsigned char)*text) || strchr("_/.", *text) != NULL;
            length = 1;
            (void)snprintf(said, sizeof said, "%c", *text);
        }
        at += (size_t)snprintf(out + at, size - at, "%s", said);
        text += length;
    }
    return out;
}

/* ---- what is wrong ---- */

int setup_path_rig(const struct setup *setup, const char *path, const char **rest)
{
    static const char list[] = "rigs[";
    const char *end = strchr(path, ']');
    bool is_rig = strncmp(path, list, strlen(list)) == 0 && end;
    int rig = is_rig ? entry_of(path + strlen(list) - 1) : -1;

    *rest = is_rig ? end + 1 : "";
    return rig < setup->rig_count ? rig : -1;
}

static void say_wrong_with_rig(const struct subject *about, int rig, const char *of, char *out)
{
    const struct kit_moment *kit = &about->moment->kit[rig];
    bool whole = *of == '\0';

    if (whole || strcmp(of, ".focal_mm") == 0)
        (void)misfit_words(about->night, rig, out);
    if (!*out && (whole || strcmp(of, ".power") == 0))
        (void)supply_words(about, rig, 2, out);
    if (!*out && (whole || strcmp(of, ".card_path") == 0) && kit->card_absent)
        (void)snprintf(out, SENTENCE, "no card there");
    if (!*out && (whole || strcmp(of, ".card_gb") == 0) && kit->card_known && !kit->card.fits)
        (void)snprintf(out, SENTENCE, "too small for the night");
    if (!*out && strcmp(of, ".card_gb") == 0 && !kit->card_known)
        (void)snprintf(out, SENTENCE, "not known");
}

char *setup_fault_words(const struct subject *about, const char *path, char out[SENTENCE])
{
    const struct setup *setup = &about->night->setup;
    const struct readings *readings = &about->moment->readings;
    const char *rest;
    int rig = setup_path_rig(setup, path, &rest);

    *out = '\0';
    if (rig >= 0)
        say_wrong_with_rig(about, rig, rest, out);
    else if (strcmp(path, "site") == 0 && !setup->has_site)
        (void)snprintf(out, SENTENCE, "no site");
    else if (strcmp(path, "air") == 0 && *readings->air_trouble)
        (void)snprintf(out, SENTENCE, "%.80s", readings->air_trouble);
    else if (strcmp(path, "site.forecast") == 0 && about->moment->forecast_old)
        (void)snprintf(out, SENTENCE, "old");
    else if (strcmp(path, "gpsd") == 0 && readings->gps.state != GPS_FIX)
        (void)snprintf(out, SENTENCE, "GPS %s", gps_state_name(readings->gps.state));
    else if (strcmp(path, "hooks") == 0 && *setup->trust.doubt)
        (void)snprintf(out, SENTENCE, "not run: %.80s", setup->trust.doubt);
    return out;
}
