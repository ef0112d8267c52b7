/* moonstand setup: a few questions, each answered in a line as people write it. A wrong answer is asked
 * again at its question, and at the end a page has all answers, each to be changed by its number. */
#include "app.h"

#include <moonstand/setup_file.h>
#include <moonstand/setup_words.h>
#include <moonstand/zone_load.h>

#include <math.h>
#include <stdio.h>
#include <string.h>

enum { ANSWER = 160 };

/* As the setup file takes them. */
#define PITCH_LEAST_UM 0.5
#define PITCH_MOST_UM 50.0

/* One raw megapixel in 14 bits, losslessly packed: 1.1 to 1.2 MB (common practice, no source). */
#define MB_PER_MEGAPIXEL 1.15

/* What is asked for, and how far. */
struct asking {
    struct setup setup;
    int rig;            /* which one a question is about, where it is about one */
    char near_zone[64]; /* of the place; empty: not known, or the same as the machine's */
};

/* ---- one question ---- */

/* Prints why, the question and in brackets what an empty answer keeps; reads a line without its newline.
 * -1 at the end of input. */
static int read_answer(const char *why, const char *prompt, const char *kept, char answer[ANSWER])
{
    if (*why)
        printf("  %s\n", why);
    printf(*kept ? "%s [%s]: " : "%s: ", prompt, kept);
    (void)fflush(stdout);
    return read_line(answer, ANSWER) ? 0 : -1;
}

static void again(const struct fault *fault)
{
    printf("  ! %s\n", fault->text);
}

struct question {
    const char *name; /* on the page at the end */
    const char *why, *prompt;
    bool at_first; /* asked in the first round; else only on the page */
    /* What is known, as it could be typed; empty: nothing. */
    void (*show)(const struct asking *asking, char out[ANSWER]);
    /* Takes an answer, half of it at worst with -1. Null: the answer is the value of a key of the
     * rig, or of the site in force, which may be a listed one. */
    int (*take)(struct asking *asking, const char *answer, struct fault *fault);
    const char *rig_key, *site_key;
};

static int edit_key(struct asking *asking, const struct question *question, const char *answer,
                    struct fault *fault)
{
    struct setup *setup = &asking->setup;
    const struct site *listed = setup_site(setup, setup->site.name);
    char path[ROW_PATH];

    if (question->rig_key)
        (void)snprintf(path, sizeof path, "rigs[%d].%s", asking->rig, question->rig_key);
    else if (listed)
        (void)snprintf(path, sizeof path, "sites[%d].%s", (int)(listed - setup->sites),
                       question->site_key);
    else
        (void)snprintf(path, sizeof path, "site.%s", question->site_key);
    return setup_edit(setup, path, answer, setup, fault);
}

/* The answer as the file's own reader would have it; nothing is taken with -1. */
static int take_in(struct asking *asking, const struct question *question, const char *answer,
                   struct fault *fault)
{
    struct asking fresh = *asking;
    struct fault cause;

    if (question->take && question->take(&fresh, answer, fault) != 0)
        return -1;
    if ((!question->take && edit_key(&fresh, question, answer, &cause) != 0) ||
        setup_check(&fresh.setup, &cause) != 0) {
        (void)setup_in_words(&asking->setup, cause.text, fault->text, sizeof fault->text);
        return -1;
    }
    *asking = fresh;
    return 0;
}

/* Until the answer is right; an empty one keeps what is known. -1 at the end of input. */
static int ask(struct asking *asking, const struct question *question, int rig)
{
    char answer[ANSWER], kept[ANSWER];
    struct fault fault;

    asking->rig = rig;
    for (;;) {
        question->show(asking, kept);
        if (read_answer(question->why, question->prompt, kept, answer) != 0)
            return -1;
        if ((!*answer && *kept) || take_in(asking, question, answer, &fault) == 0)
            return 0;
        again(&fault);
    }
}

/* ---- the site ---- */

static void show_place(const struct asking *asking, char out[ANSWER])
{
    const struct site *site = &asking->setup.site;

    out[0] = '\0';
    if (asking->setup.has_site)
        (void)snprintf(out, ANSWER, "%.4f %c, %.4f %c, %.0f m", fabs(site->latitude_deg),
                       site->latitude_deg < 0 ? 'S' : 'N', fabs(site->longitude_deg),
                       site->longitude_deg < 0 ? 'W' : 'E', site->height_m);
}

/* The zone of the nearest town, if its clocks differ from this machine's in the years to come. */
static void find_zone(struct asking *asking)
{
    static struct zone_table here, there;
    const double from = 1767225600, to = from + 5 * 366 * SECONDS_PER_DAY; /* five years from 2026 on */
    struct site *site = &asking->setup.site;
    char name[sizeof asking->near_zone];

    asking->near_zone[0] = '\0';
    if (!zone_near(site->latitude_deg, site->longitude_deg, name, sizeof name) ||
        zone_load(name, from, to, &there, NULL) != 0)
        return;
    bool same = zone_load("system", from, to, &here, NULL) == 0 && here.count == there.count;
    for (int i = 0; same && i < here.count; i++)
        same = here.step[i].offset_s == there.step[i].offset_s &&
               (i == 0 || here.step[i].from_utc == there.step[i].from_utc);
    if (!same)
        (void)snprintf(asking->near_zone, sizeof asking->near_zone, "%s", name);
    (void)snprintf(site->zone, sizeof site->zone, "%s", same ? "system" : name);
}

/* The name of a site of the list means its place. */
static int take_place(struct asking *asking, const char *answer, struct fault *fault)
{
    struct setup *setup = &asking->setup;
    const struct site *listed = setup_site(setup, answer);
    double latitude, longitude, height;

    if (listed) {
        setup->site = *listed;
        setup->has_site = true;
        return 0;
    }
    if (parse_site(answer, &latitude, &longitude, &height, fault) != 0)
        return -1;
    if (!setup->has_site)
        (void)snprintf(setup->site.name, sizeof setup->site.name, "home");
    setup->has_site = true;
    setup->site.latitude_deg = latitude;
    setup->site.longitude_deg = longitude;
    setup->site.height_m = isnan(height) ? 0 : height;
    find_zone(asking);
    for (int i = 0; i < setup->site_count; i++)
        if (strcmp(setup->sites[i].name, setup->site.name) == 0)
            setup->sites[i] = setup->site;
    return 0;
}

static void show_site_name(const struct asking *asking, char out[ANSWER])
{
    (void)snprintf(out, ANSWER, "%s", asking->setup.site.name);
}

static void show_zone(const struct asking *asking, char out[ANSWER])
{
    (void)snprintf(out, ANSWER, "%s",
                   *asking->setup.site.zone ? asking->setup.site.zone : "system");
}

/* ---- rigs ---- */

static void show_count(const struct asking *asking, char out[ANSWER])
{
    (void)snprintf(out, ANSWER, "%d", asking->setup.rig_count);
}

static int take_count(struct asking *asking, const char *answer, struct fault *fault)
{
    struct setup *setup = &asking->setup;
    char path[ROW_PATH];
    double count;

    if (parse_number(answer, 1, RIGS, &count, NULL) != 0 || count != (int)count)
        return fault_set(fault, "found '%.40s'; expected 1, 2 or 3", answer);
    while (setup->rig_count > count) {
        (void)snprintf(path, sizeof path, "rigs[%d]", setup->rig_count - 1);
        if (setup_edit(setup, path, NULL, setup, fault) != 0)
            return -1;
    }
    for (; setup->rig_count < count; setup->rig_count++)
        rig_built_in(setup->rig_count, &setup->rig[setup->rig_count]);
    return 0;
}

static void show_name(const struct asking *asking, char out[ANSWER])
{
    (void)snprintf(out, ANSWER, "%s", asking->setup.rig[asking->rig].name);
}

static void show_lens(const struct asking *asking, char out[ANSWER])
{
    (void)snprintf(out, ANSWER, "%g mm f/%g", asking->setup.rig[asking->rig].focal_mm,
                   asking->setup.rig[asking->rig].f_number);
}

static int take_lens(struct asking *asking, const char *answer, struct fault *fault)
{
    struct rig *asked = &asking->setup.rig[asking->rig];
    const char *text = answer;
    double other = 0;

    /* "f/4" alone keeps the focal length, "18mm" alone the f-number. */
    if (!piece_number(&text, &asked->focal_mm) && *text != 'f')
        return fault_set(
            fault, "found '%.40s'; expected focal length and f-number, such as 18 mm f/4", answer);
    /* The minus of "18-35" reads as a sign. */
    bool zoom = piece_number(&text, &other) && other < 0;
    (void)piece_word(&text, "mm");
    if (piece_word(&text, "f/") || piece_word(&text, "f") || zoom || !piece_end(text)) {
        if (!piece_end(text) && !piece_number(&text, &asked->f_number))
            return fault_set(fault, "found '%.40s'; expected an f-number behind f/, such as f/4",
                             text);
    } else if (other > 0) {
        asked->f_number = other;
    }
    if (!piece_end(text))
        return fault_set(fault, "found '%.40s' too much; expected, such as, 18 mm f/4", text);
    if (zoom)
        return fault_set(fault, "a zoom: which end will you use? Such as %g mm f/%g or %g mm f/%g",
                         asked->focal_mm, asked->f_number, -other, asked->f_number);
    (void)snprintf(asked->lens, sizeof asked->lens, "%g mm f/%g", asked->focal_mm, asked->f_number);
    return 0;
}

/* Sensors by the names of the trade; active areas in mm, common pixel counts (common practice, no
 * source). */
static const struct {
    const char *name, *other_name;
    double width_mm, height_mm, megapixels;
} formats[] = {
    {"full frame", "35 mm", 36, 24, 24},       {"APS-C 1.5", "DX", 23.5, 15.6, 24},
    {"APS-C 1.6", "APS-C1.6", 22.3, 14.9, 24}, {"Micro Four Thirds", "MFT", 17.3, 13.0, 20},
    {"1 inch", "one inch", 13.2, 8.8, 20},
};
enum { FORMATS = sizeof formats / sizeof formats[0] };

static double megapixels_of(const struct rig *rig)
{
    double pitch_mm = rig->pixel_pitch_um / 1000;

    return rig->sensor_width_mm * rig->sensor_height_mm / (pitch_mm * pitch_mm) / 1e6;
}

static void show_sensor(const struct asking *asking, char out[ANSWER])
{
    const struct rig *asked = &asking->setup.rig[asking->rig];
    int i = 0;

    while (i < FORMATS && (formats[i].width_mm != asked->sensor_width_mm ||
                           formats[i].height_mm != asked->sensor_height_mm))
        i++;
    if (i < FORMATS)
        (void)snprintf(out, ANSWER, "%s, %.3g megapixels", formats[i].name, megapixels_of(asked));
    else
        (void)snprintf(out, ANSWER, "%g x %g mm, %.3g megapixels", asked->sensor_width_mm,
                       asked->sensor_height_mm, megapixels_of(asked));
}

/* Reads a name, a number of the list, or "36 x 24 mm"; `megapixels` gets what is usual, or stays. Leaves
 * all as it is if there is none of these. */
static void take_format(const char **text, struct rig *asked, double *megapixels)
{
    const char *rest = *text;
    double width, height;

    for (int i = 0; i < FORMATS; i++) {
        double number;
        const char *by_number = *text;
        bool named = piece_word(text, formats[i].name) || piece_word(text, formats[i].other_name);
        /* A number alone, or one with megapixels behind it, but not a width. */
        if (!named && piece_number(&by_number, &number) && number == i + 1 &&
            strspn(by_number, " ,") == strcspn(by_number, "0123456789")) {
            *text = by_number;
            named = true;
        }
        if (named) {
            asked->sensor_width_mm = formats[i].width_mm;
            asked->sensor_height_mm = formats[i].height_mm;
            *megapixels = formats[i].megapixels;
            return;
        }
    }
    if (!piece_number(&rest, &width))
        return;
    (void)piece_word(&rest, "mm");
    if (!piece_word(&rest, "x") || !piece_number(&rest, &height))
        return;
    (void)piece_word(&rest, "mm");
    *text = rest;
    asked->sensor_width_mm = width;
    asked->sensor_height_mm = height;
}

/* Size and pixels together: no camera has pixels smaller or larger than the file takes. */
static int take_sensor(struct asking *asking, const char *answer, struct fault *fault)
{
    struct rig *asked = &asking->setup.rig[asking->rig];
    const char *text = answer;
    double megapixels = megapixels_of(asked);

    take_format(&text, asked, &megapixels);
    if (piece_number(&text, &megapixels))
        (void)(piece_word(&text, "megapixels") || piece_word(&text, "MP"));
    double width_mm = asked->sensor_width_mm, height_mm = asked->sensor_height_mm;
    if (!piece_end(text) || text == answer)
        return fault_set(
            fault,
            "found '%.40s'; expected a sensor and its megapixels, such as full frame 24, "
            "APS-C 1.5, 24 megapixels or 23.5 x 15.6 mm 24",
            answer);
    if (height_mm > width_mm)
        return fault_set(fault, "found %g x %g mm; expected the longer side first: %g x %g",
                         width_mm, height_mm, height_mm, width_mm);
    if (!(megapixels >= 0.3 && megapixels <= 400))
        return fault_set(fault, "found %g megapixels; expected 0.3 to 400", megapixels);
    /* A hundredth of a micrometre is more than makers print. */
    double pitch_um = round(sqrt(width_mm * height_mm / megapixels) * 100) / 100;
    if (pitch_um < PITCH_LEAST_UM || pitch_um > PITCH_MOST_UM)
        return fault_set(
            fault, "%g megapixels on %g x %g mm: pixels of %.3g micrometres; expected %g to %g",
            megapixels, width_mm, height_mm, pitch_um, PITCH_LEAST_UM, PITCH_MOST_UM);
    asked->pixel_pitch_um = pitch_um;
    asked->frame_mb = fmax(round(megapixels * MB_PER_MEGAPIXEL), 1);
    return 0;
}

static void show_support(const struct asking *asking, char out[ANSWER])
{
    static const char *const words[SUPPORTS] = {
        "held still", "tracked", "tracked at the lunar rate", "tracked at the solar rate"};
    const struct rig *asked = &asking->setup.rig[asking->rig];

    (void)snprintf(out, ANSWER, "%s, %s", words[asked->support],
                   asked->portrait ? "portrait" : "landscape");
}

static int take_support(struct asking *asking, const char *answer, struct fault *fault)
{
    static const struct {
        const char *word;
        int support; /* -1: not given */
        int portrait;
    } words[] = {
        {"held", SUPPORT_FIXED, -1},
        {"still", SUPPORT_FIXED, -1},
        {"tripod", SUPPORT_FIXED, -1},
        {"fixed", SUPPORT_FIXED, -1},
        {"tracked", SUPPORT_SIDEREAL, -1},
        {"tracking", SUPPORT_SIDEREAL, -1},
        {"sidereal", SUPPORT_SIDEREAL, -1},
        {"lunar", SUPPORT_LUNAR, -1},
        {"solar", SUPPORT_SOLAR, -1},
        {"portrait", -1, 1},
        {"landscape", -1, 0},
        {"at", -1, -1},
        {"the", -1, -1},
        {"rate", -1, -1},
    };
    enum { WORDS = sizeof words / sizeof *words };
    struct rig *asked = &asking->setup.rig[asking->rig];
    const char *text = answer;

    while (!piece_end(text)) {
        int i = 0;
        while (i < WORDS && !piece_word(&text, words[i].word))
            i++;
        if (i == WORDS)
            return fault_set(
                fault,
                "found '%.40s'; expected still or tracked, and landscape or portrait, such as "
                "still, portrait or tracked at the lunar rate",
                text);
        if (words[i].support >= 0)
            asked->support = (enum support)words[i].support;
        if (words[i].portrait >= 0)
            asked->portrait = words[i].portrait != 0;
    }
    return 0;
}

static void show_kit(const struct asking *asking, char out[ANSWER])
{
    const struct rig *asked = &asking->setup.rig[asking->rig];
    char card[32] = "no card size";

    if (isfinite(asked->card_gb))
        (void)snprintf(card, sizeof card, "%g GB", asked->card_gb);
    (void)snprintf(out, ANSWER, "%g shots, %d spares, %s, %s", asked->power.rated_shots,
                   asked->power.spares, card, asked->heater ? "heater" : "no heater");
}

/* One piece: a number with its unit, or a word. */
static bool take_kit_piece(const char **text, struct rig *rig)
{
    double number;

    if (piece_word(text, "no heater"))
        rig->heater = false;
    else if (piece_word(text, "heater"))
        rig->heater = true;
    else if (piece_word(text, "no card size"))
        rig->card_gb = NAN;
    else if (!piece_number(text, &number))
        return false;
    else if (piece_word(text, "spares") || piece_word(text, "spare"))
        rig->power.spares = (int)fmax(fmin(number, 1000), -1);
    else if (piece_word(text, "GB"))
        rig->card_gb = number;
    else if (piece_word(text, "TB"))
        rig->card_gb = 1000 * number;
    else if (piece_word(text, "shots"))
        rig->power.rated_shots = number;
    else
        return false;
    return true;
}

static int take_kit(struct asking *asking, const char *answer, struct fault *fault)
{
    struct rig *rig = &asking->setup.rig[asking->rig];

    for (const char *text = answer; !piece_end(text);) {
        const char *piece = text;
        if (!take_kit_piece(&text, rig))
            return fault_set(fault, "found '%.40s'; expected, such as, 2 spares, 64 GB, heater",
                             piece);
    }
    return 0;
}

static void show_interval(const struct asking *asking, char out[ANSWER])
{
    double interval_s = asking->setup.rig[asking->rig].interval_s;

    (void)snprintf(out, ANSWER, isfinite(interval_s) ? "%g s" : "auto", interval_s);
}

static int take_interval(struct asking *asking, const char *answer, struct fault *fault)
{
    double *interval_s = &asking->setup.rig[asking->rig].interval_s;
    const char *text = answer;

    if (piece_word(&text, "auto"))
        *interval_s = NAN;
    else if (piece_number(&text, interval_s))
        (void)piece_word(&text, "s");
    if (text == answer || !piece_end(text))
        return fault_set(fault, "found '%.40s'; expected seconds, such as 10 s, or auto", answer);
    return 0;
}

/* ---- all of them ---- */

static const struct question site_questions[] = {
    {"place", "As a map has it: 41.9, 2.3 or 41 54 N 2 18 E; a height behind it: 41.9, 2.3, 800 m.",
     "Where will the cameras stand", true, show_place, .take = take_place},
    {"name", "For the top of the screen.", "Name of the site", false, show_site_name,
     .site_key = "name"},
    {"time zone", "system: the zone that this machine is set to; else a name such as Europe/Rome.",
     "Time zone", false, show_zone, .site_key = "time_zone"},
    {"rigs", "A rig is a camera with its lens and support.", "How many rigs, 1 to 3", true,
     show_count, .take = take_count},
};
static const struct question rig_questions[] = {
    {"name", "A short name of your own.", "Name", false, show_name, .rig_key = "name"},
    {"lens", "Such as 18 mm f/4: the focal length and f-number that you will use.", "Lens", true,
     show_lens, .take = take_lens},
    {"sensor",
     "full frame, APS-C 1.5, APS-C 1.6, Micro Four Thirds or 1 inch (1 to 5), or 36 x 24 mm;\n"
     "  then the megapixels: APS-C 1.5, 24",
     "Sensor", true, show_sensor, .take = take_sensor},
    {"support",
     "Held still (you will be told when to aim again) or tracked; landscape or portrait.",
     "Support", true, show_support, .take = take_support},
    {"kit", "Shots of a full battery in the warm, spare batteries, card size, a dew heater or not.",
     "Batteries and card", true, show_kit, .take = take_kit},
    {"interval",
     "How often the intervalometer shoots; auto: minutes for the chain of a wide rig, else 10 s.",
     "Interval between frames", false, show_interval, .take = take_interval},
};
enum {
    SITE_QUESTIONS = sizeof site_questions / sizeof *site_questions,
    RIG_QUESTIONS = sizeof rig_questions / sizeof *rig_questions
};

static int ask_rig(struct asking *asking, int rig)
{
    printf("\nRig %d\n", rig + 1);
    for (int i = 0; i < RIG_QUESTIONS; i++)
        if (rig_questions[i].at_first && ask(asking, &rig_questions[i], rig) != 0)
            return -1;
    return 0;
}

static int ask_all(struct asking *asking)
{
    puts("An empty answer keeps the value in brackets; Ctrl-C changes nothing. At the end\n"
         "every answer can be changed, and later in the dashboard (E).\n");
    for (int i = 0; i < SITE_QUESTIONS; i++) {
        bool disagrees = site_questions[i].show == show_zone && *asking->near_zone;
        if (disagrees)
            printf("  Clocks at that place (%s) are not those of this machine (system).\n",
                   asking->near_zone);
        if ((site_questions[i].at_first || disagrees) && ask(asking, &site_questions[i], 0) != 0)
            return -1;
    }
    for (int rig = 0; rig < asking->setup.rig_count; rig++)
        if (ask_rig(asking, rig) != 0)
            return -1;
    return 0;
}

/* The question of a number of the page; null: it has none. */
static const struct question *question_of(const struct asking *asking, double number, int *rig)
{
    int i = (int)number - 1;

    *rig = i < SITE_QUESTIONS ? 0 : (i - SITE_QUESTIONS) / RIG_QUESTIONS;
    if (i < 0 || number != i + 1 || *rig >= asking->setup.rig_count)
        return NULL;
    return i < SITE_QUESTIONS ? &site_questions[i]
                              : &rig_questions[(i - SITE_QUESTIONS) % RIG_QUESTIONS];
}

static void show_page(struct asking *asking)
{
    const struct question *question;
    char known[ANSWER];
    int rig;

    putchar('\n');
    for (int number = 1; (question = question_of(asking, number, &rig)); number++) {
        asking->rig = rig;
        question->show(asking, known);
        if (question->show == show_name)
            printf("\n");
        printf("%4d  %-10s %s\n", number, question->name, known);
    }
}

/* Until the user accepts the page and the file's own reader takes it; the end of input accepts. */
static int confirm(struct asking *asking)
{
    char answer[ANSWER];
    struct fault fault;

    for (;;) {
        double number = 0;
        int rig, count = asking->setup.rig_count;

        show_page(asking);
        bool ended = read_answer("Enter saves this; a number asks that line again.", "All right",
                                 "yes", answer) != 0;
        if (ended || !*answer || strcmp(answer, "yes") == 0) {
            if (setup_check(&asking->setup, &fault) == 0)
                return 0;
            again(&fault);
            if (ended)
                return -1;
            continue;
        }
        (void)parse_number(answer, 1, 99, &number, NULL);
        const struct question *question = question_of(asking, number, &rig);
        if (!question)
            printf("  ! found '%.40s'; expected yes or a number of the page\n", answer);
        else if (ask(asking, question, rig) != 0)
            return -1;
        for (; count < asking->setup.rig_count; count++)
            if (ask_rig(asking, count) != 0)
                return -1;
    }
}

/* The value in the file is the default of each answer, and what is not asked stays in it. */
static void begin_asking(const char *path, struct setup *setup)
{
    struct fault fault;
    int status = setup_read(path, setup, &fault);

    if (status == 0)
        return;
    setup_default(setup);
    setup->rig_count = 2;
    if (status < 0)
        printf("  ! %s\n  ! The questions start anew; that file will stay as %s.bak.\n", fault.text,
               path);
}

int ask_setup(const char *path)
{
    struct asking asking = {.near_zone = ""};
    struct fault fault;

    if (setup_can_write(path, &fault) != 0)
        return complain(EXIT_MACHINE, &fault);
    begin_asking(path, &asking.setup);
    if (ask_all(&asking) != 0 || confirm(&asking) != 0) {
        putchar('\n');
        return complain_that(EXIT_BAD_INPUT,
                             "the answers ended before the last question; nothing was written");
    }
    if (setup_write(path, &asking.setup, &fault) != 0)
        return complain(EXIT_MACHINE, &fault);
    /* A path that could steer the terminal is cleaned. */
    (void)fault_set(&fault, "Saved: %s", path);
    printf("\n%s\n", fault.text);
    return EXIT_DONE;
}

int command_setup(struct options *options)
{
    struct fault fault;
    char usual[PATH_SIZE];
    const char *path = setup_file(options, usual, &fault);

    if (!path)
        return complain(EXIT_MACHINE, &fault);
    puts("Moonstand setup.");
    int status = ask_setup(path);
    if (status == EXIT_DONE)
        puts("Now: moonstand (the dashboard), moonstand plan (for the printer), moonstand "
             "rehearse.");
    return status;
}
