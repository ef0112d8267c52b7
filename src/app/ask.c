/* moonstand setup: questions and answers, line by line; a wrong answer is asked again. */
#include "app.h"

#include <moonstand/store.h>

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { ANSWER = 128 };

/* Sensor formats as sold; active areas in mm, common pixel counts (common practice, no source). */
struct sensor_format {
    const char *name;
    double width_mm, height_mm, megapixels, frame_mb;
};
static const struct sensor_format formats[] = {
    {"full frame, 36 x 24 mm", 36, 24, 24, 28},
    {"APS-C, 23.5 x 15.6 mm", 23.5, 15.6, 24, 28},
    {"APS-C, 22.3 x 14.9 mm", 22.3, 14.9, 24, 28},
    {"four thirds, 17.3 x 13.0 mm", 17.3, 13.0, 20, 22},
    {"one inch, 13.2 x 8.8 mm", 13.2, 8.8, 20, 22},
};
enum { FORMATS = sizeof formats / sizeof formats[0] };

/* One raw megapixel in 14 bits, losslessly packed: 1.1 to 1.2 MB (common practice, no source). */
#define MB_PER_MEGAPIXEL 1.15

/* Prints the question and reads a line without its newline; -1 at the end of input. An empty answer
 * takes the default. */
static int ask(const char *question, const char *otherwise, char answer[ANSWER])
{
    size_t length;

    if (*otherwise)
        printf("%s [%s]: ", question, otherwise);
    else
        printf("%s: ", question);
    (void)fflush(stdout);
    if (!fgets(answer, ANSWER, stdin))
        return -1;
    length = strcspn(answer, "\n");
    if (answer[length] == '\0' && length == ANSWER - 1) {
        int rest;

        while ((rest = getchar()) != '\n' && rest != EOF)
            continue;
    }
    answer[length] = '\0';
    if (length == 0)
        (void)snprintf(answer, ANSWER, "%s", otherwise);
    return 0;
}

static void again(const struct fault *fault)
{
    printf("  %s\n", fault->text);
}

static int ask_number(const char *question, const char *otherwise, double lowest, double highest,
                      double *value)
{
    char answer[ANSWER];
    struct fault fault;

    while (ask(question, otherwise, answer) == 0) {
        if (parse_number(answer, lowest, highest, value, &fault) == 0)
            return 0;
        again(&fault);
    }
    return -1;
}

static int ask_text(const char *question, const char *otherwise, char *out, size_t size)
{
    char answer[ANSWER];

    while (ask(question, otherwise, answer) == 0) {
        if (*answer && strlen(answer) < size && text_is_clean(answer)) {
            (void)snprintf(out, size, "%s", answer);
            return 0;
        }
        printf("  1 to %zu characters, no control characters\n", size - 1);
    }
    return -1;
}

static int ask_angle(const char *question, bool latitude, double *deg)
{
    char answer[ANSWER];
    struct fault fault;

    while (ask(question, "", answer) == 0) {
        if (parse_angle_deg(answer, latitude, deg, &fault) == 0)
            return 0;
        again(&fault);
    }
    return -1;
}

static int ask_zone(char *zone, size_t size)
{
    char answer[ANSWER];
    struct zone_table table;
    struct fault fault;

    while (ask("Time zone (a name such as Europe/Rome, or system)", "system", answer) == 0) {
        if (strlen(answer) < size && zone_load(answer, 0, 0, &table, &fault) == 0) {
            (void)memcpy(zone, answer, strlen(answer) + 1);
            return 0;
        }
        again(&fault);
    }
    return -1;
}

static int ask_site(struct setup *setup)
{
    struct site *site = &setup->site;

    puts("Site. Latitude and longitude as decimal degrees or as degrees minutes seconds with a "
         "letter.");
    if (ask_text("Name of the site", "home", site->name, sizeof site->name) != 0 ||
        ask_angle("Latitude (62.0 or 62 0 0 N)", true, &site->latitude_deg) != 0 ||
        ask_angle("Longitude, east positive (60.0 or 60 0 0 E)", false, &site->longitude_deg) !=
            0 ||
        ask_number("Height above sea, metres", "0", -500, 9000, &site->height_m) != 0 ||
        ask_zone(site->zone, sizeof site->zone) != 0)
        return -1;
    setup->has_site = true;
    return 0;
}

static int ask_sensor(struct rig *rig)
{
    char number[32];
    double choice = 1, megapixels = 0;

    for (int i = 0; i < FORMATS; i++)
        printf("  %d  %s\n", i + 1, formats[i].name);
    printf("  %d  another size\n", FORMATS + 1);
    if (ask_number("Sensor", "1", 1, FORMATS + 1, &choice) != 0)
        return -1;
    if ((int)choice <= FORMATS) {
        const struct sensor_format *format = &formats[(int)choice - 1];

        rig->sensor_width_mm = format->width_mm;
        rig->sensor_height_mm = format->height_mm;
        megapixels = format->megapixels;
    } else if (ask_number("Sensor width (the longer side), mm", "", 1, 200,
                          &rig->sensor_width_mm) != 0 ||
               ask_number("Sensor height, mm", "", 1, 200, &rig->sensor_height_mm) != 0) {
        return -1;
    }
    (void)snprintf(number, sizeof number, "%g", megapixels > 0 ? megapixels : 24);
    if (ask_number("Megapixels", number, 0.3, 400, &megapixels) != 0)
        return -1;
    /* mm over pixels; a tenth of a micrometre is more than makers print. */
    rig->pixel_pitch_um =
        round(sqrt(rig->sensor_width_mm * rig->sensor_height_mm / megapixels) * 100) / 100;
    rig->frame_mb = round(megapixels * MB_PER_MEGAPIXEL);
    return 0;
}

static int ask_support(enum support *support)
{
    double choice;

    puts("  1  fixed tripod\n  2  tracking at the sidereal rate\n  3  at the lunar rate\n  4  at the "
         "solar rate");
    if (ask_number("Support", "1", 1, SUPPORTS, &choice) != 0)
        return -1;
    *support = (enum support)((int)choice - 1);
    return 0;
}

static int ask_rig(struct rig *rig, int index)
{
    static const char *const names[RIGS] = {"wide", "long", "scope"};
    static const char *const focal[RIGS] = {"20", "500", "1000"};
    char interval[16];

    rig_default(rig);
    printf("\nRig %d.\n", index + 1);
    if (ask_text("Name", names[index], rig->name, sizeof rig->name) != 0 ||
        ask_number("Focal length, mm", focal[index], 1, 20000, &rig->focal_mm) != 0 ||
        ask_number("f-number", "5.6", 0.5, 64, &rig->f_number) != 0 || ask_sensor(rig) != 0 ||
        ask_support(&rig->support) != 0)
        return -1;
    (void)snprintf(interval, sizeof interval, "%g", rig->interval_s);
    (void)snprintf(rig->lens, sizeof rig->lens, "%g mm f/%g", rig->focal_mm, rig->f_number);
    return ask_number("Interval between frames, s", interval, 0.5, 3600, &rig->interval_s);
}

static int ask_all(struct setup *setup)
{
    double count;

    puts("Moonstand setup. An empty answer takes what stands in brackets; Ctrl-C leaves all as it "
         "was.\n");
    if (ask_site(setup) != 0 || ask_number("\nHow many rigs, 1 to 3", "2", 1, RIGS, &count) != 0)
        return -1;
    setup->rig_count = (int)count;
    for (int i = 0; i < setup->rig_count; i++)
        if (ask_rig(&setup->rig[i], i) != 0)
            return -1;
    return 0;
}

static const char setup_help[] =
    "moonstand setup [--setup FILE]\n"
    "  Asks for site and rigs and writes the setup file; one that was there is kept as FILE.bak.\n"
    "  Example: moonstand setup\n";

int command_setup(int argc, char **argv)
{
    static struct setup setup;
    struct options options;
    struct fault fault;
    char path[PATH_SIZE];
    bool help;

    if (options_read(argc, argv, "setup", &options, &help, &fault) != 0)
        return complain(EXIT_BAD_INPUT, &fault);
    if (help) {
        fputs(setup_help, stdout);
        return EXIT_DONE;
    }
    if (options.setup_path)
        (void)snprintf(path, sizeof path, "%s", options.setup_path);
    else if (path_setup(path, &fault) != 0)
        return complain(EXIT_MACHINE, &fault);
    setup_default(&setup);
    if (ask_all(&setup) != 0) {
        (void)fault_set(&fault, "the answers ended before the last question; nothing was written");
        putchar('\n');
        return complain(EXIT_BAD_INPUT, &fault);
    }
    if (setup_write(path, &setup, &fault) != 0)
        return complain(EXIT_MACHINE, &fault);
    printf("\nWritten: %s\nNow: moonstand (the dashboard), moonstand plan (for the printer), "
           "moonstand rehearse.\n",
           path);
    return EXIT_DONE;
}
