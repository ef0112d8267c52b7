/* moonstand setup: questions and answers, line by line. A wrong answer is asked again, and at the
 * end each part can be asked again with its answers as defaults. */
#include "app.h"

#include <moonstand/path.h>
#include <moonstand/setup_file.h>
#include <moonstand/zone_load.h>

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { ANSWER = 128 };

/* As the setup file takes them. */
#define PITCH_LEAST_UM 0.5
#define PITCH_MOST_UM 50.0

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

/* One line on what the answer does, then the question; reads a line without its newline, -1 at the
 * end of input. An empty answer takes the default, which stands in brackets. */
static int ask(const char *why, const char *question, const char *otherwise, char answer[ANSWER])
{
    size_t length;

    if (*why)
        printf("  %s\n", why);
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
    printf("  ! %s\n", fault->text);
}

/* `value` holds the default; NaN: none. */
static int ask_number(const char *why, const char *question, double lowest, double highest,
                      double *value)
{
    char answer[ANSWER], otherwise[32] = "";
    struct fault fault;

    if (isfinite(*value))
        (void)snprintf(otherwise, sizeof otherwise, "%.10g", *value);
    while (ask(why, question, otherwise, answer) == 0) {
        if (parse_number(answer, lowest, highest, value, &fault) == 0)
            return 0;
        again(&fault);
    }
    return -1;
}

/* One of 1 to `count`. */
static int ask_choice(const char *why, const char *question, int count, int *choice)
{
    double number = *choice;

    while (ask_number(why, question, 1, count, &number) == 0) {
        if (number == (int)number) {
            *choice = (int)number;
            return 0;
        }
        printf("  ! a whole number from 1 to %d\n", count);
        number = *choice;
    }
    return -1;
}

/* `out` holds the default. */
static int ask_text(const char *why, const char *question, char *out, size_t size)
{
    char answer[ANSWER], otherwise[ANSWER], what[TEXT_FAULT];

    (void)snprintf(otherwise, sizeof otherwise, "%s", out);
    while (ask(why, question, otherwise, answer) == 0) {
        if (text_fault(answer, what)) {
            printf("  ! found %s; leave it out\n", what);
        } else if (*answer && strlen(answer) < size) {
            (void)memcpy(out, answer, strlen(answer) + 1);
            return 0;
        } else {
            printf("  ! found %zu bytes; expected 1 to %zu\n", strlen(answer), size - 1);
        }
    }
    return -1;
}

/* `deg` holds the default; NaN: none. */
static int ask_angle(const char *why, const char *question, bool latitude, double *deg)
{
    char answer[ANSWER], otherwise[32] = "";
    struct fault fault;

    if (isfinite(*deg))
        (void)snprintf(otherwise, sizeof otherwise, "%.6f", *deg);
    while (ask(why, question, otherwise, answer) == 0) {
        if (parse_angle_deg(answer, latitude, deg, &fault) == 0)
            return 0;
        again(&fault);
    }
    return -1;
}

static int ask_zone(char *zone, size_t size)
{
    char answer[ANSWER], otherwise[ANSWER];
    struct fault fault;

    (void)snprintf(otherwise, sizeof otherwise, "%s", *zone ? zone : "system");
    while (ask("system: the zone that this machine is set to; else a name such as Europe/Rome.",
               "Time zone", otherwise, answer) == 0) {
        if (strlen(answer) >= size) {
            (void)fault_set(&fault, "a name longer than %zu bytes", size - 1);
        } else if (zone_check(answer, &fault) == 0) {
            (void)memcpy(zone, answer, strlen(answer) + 1);
            return 0;
        }
        again(&fault);
    }
    return -1;
}

/* Where the site is one of the list, the list has it as it was told. */
static void keep_in_list(struct setup *setup)
{
    for (int i = 0; i < setup->site_count; i++)
        if (strcmp(setup->sites[i].name, setup->site.name) == 0)
            setup->sites[i] = setup->site;
}

static int ask_site(struct setup *setup)
{
    struct site *site = &setup->site;
    const struct site *listed;

    if (!setup->has_site) {
        (void)snprintf(site->name, sizeof site->name, "home");
        site->latitude_deg = site->longitude_deg = NAN;
        site->height_m = 0;
    }
    puts("\nThe site, where the cameras will stand. A map tells latitude and longitude.");
    if (ask_text("A name of your own, for the top of the screen.", "Name of the site", site->name,
                 sizeof site->name) != 0)
        return -1;
    listed = setup_site(setup, site->name);
    if (listed)
        *site = *listed;
    if (ask_angle("Degrees, or degrees minutes seconds with a letter: 62.0 or 62 0 0 N.",
                  "Latitude", true, &site->latitude_deg) != 0 ||
        ask_angle("East is positive: 60.0 or 60 0 0 E; west is -60.0 or 60 0 0 W.", "Longitude",
                  false, &site->longitude_deg) != 0 ||
        ask_number("It moves the horizon and the Moon a little; 0 is near enough for most.",
                   "Height above sea, metres", -500, 9000, &site->height_m) != 0 ||
        ask_zone(site->zone, sizeof site->zone) != 0)
        return -1;
    setup->has_site = true;
    keep_in_list(setup);
    return 0;
}

static bool is_format(const struct rig *rig, const struct sensor_format *format)
{
    return rig->sensor_width_mm == format->width_mm && rig->sensor_height_mm == format->height_mm;
}

static double megapixels_of(const struct rig *rig)
{
    double pitch_mm = rig->pixel_pitch_um / 1000;

    return rig->sensor_width_mm * rig->sensor_height_mm / (pitch_mm * pitch_mm) / 1e6;
}

/* A size of one's own. */
static int ask_size(struct rig *rig)
{
    for (;;) {
        if (ask_number("", "Sensor width (the longer side), mm", 1, 200, &rig->sensor_width_mm) !=
                0 ||
            ask_number("", "Sensor height, mm", 1, 200, &rig->sensor_height_mm) != 0)
            return -1;
        if (rig->sensor_height_mm <= rig->sensor_width_mm)
            return 0;
        printf("  ! found %g x %g mm; expected the longer side first: %g x %g\n",
               rig->sensor_width_mm, rig->sensor_height_mm, rig->sensor_height_mm,
               rig->sensor_width_mm);
    }
}

/* `megapixels` gets what is usual for another format than before. */
static int ask_format(struct rig *rig, bool is_new, double *megapixels)
{
    int choice = 1;

    for (int i = 0; i < FORMATS; i++)
        printf("  %d  %s\n", i + 1, formats[i].name);
    printf("  %d  another size\n", FORMATS + 1);
    while (choice <= FORMATS && !is_format(rig, &formats[choice - 1]))
        choice++;
    if (ask_choice("The size decides how much sky the picture shows.", "Sensor", FORMATS + 1,
                   &choice) != 0)
        return -1;
    if (choice > FORMATS)
        return ask_size(rig);
    if (is_new || !is_format(rig, &formats[choice - 1]))
        *megapixels = formats[choice - 1].megapixels;
    rig->sensor_width_mm = formats[choice - 1].width_mm;
    rig->sensor_height_mm = formats[choice - 1].height_mm;
    return 0;
}

/* mm over pixels; a tenth of a micrometre is more than makers print. */
static double pitch_um_of(const struct rig *rig, double megapixels)
{
    return round(sqrt(rig->sensor_width_mm * rig->sensor_height_mm / megapixels) * 100) / 100;
}

/* Size and pixels together: no camera has pixels smaller or larger than the file takes, so one of
 * the two answers is wrong, and both are asked again. */
static int ask_sensor(struct rig *rig, bool is_new)
{
    double before = round(megapixels_of(rig) * 10) / 10, megapixels = before;
    double width_mm = rig->sensor_width_mm, height_mm = rig->sensor_height_mm, pitch_um;

    for (;;) {
        if (ask_format(rig, is_new, &megapixels) != 0 ||
            ask_number(
                "They decide when a moving Moon blurs, and how large a frame is on the card.",
                "Megapixels", 0.3, 400, &megapixels) != 0)
            return -1;
        pitch_um = pitch_um_of(rig, megapixels);
        if (pitch_um >= PITCH_LEAST_UM && pitch_um <= PITCH_MOST_UM)
            break;
        printf("  ! %g megapixels on %g x %g mm: pixels of %.3g micrometres; expected %g to %g\n",
               megapixels, rig->sensor_width_mm, rig->sensor_height_mm, pitch_um, PITCH_LEAST_UM,
               PITCH_MOST_UM);
    }
    if (megapixels == before && !is_new && rig->sensor_width_mm == width_mm &&
        rig->sensor_height_mm == height_mm)
        return 0;
    rig->pixel_pitch_um = pitch_um;
    rig->frame_mb = fmax(round(megapixels * MB_PER_MEGAPIXEL), 1);
    return 0;
}

static int ask_support(enum support *support)
{
    int choice = (int)*support + 1;

    puts("  1  fixed tripod\n  2  tracking at the sidereal rate\n  3  at the lunar rate\n  4  at "
         "the "
         "solar rate");
    if (ask_choice("On a fixed tripod you will be told when to aim again.", "Support", SUPPORTS,
                   &choice) != 0)
        return -1;
    *support = (enum support)(choice - 1);
    return 0;
}

/* Judged like the file; what names the rig follows it. */
static int change_rig(struct setup *setup, int index, const char *key, const char *typed)
{
    static struct setup fresh; /* large: not on the stack */
    char path[ROW_PATH];
    struct fault fault;

    (void)snprintf(path, sizeof path, "rigs[%d]%s", index, key);
    if (setup_edit(setup, path, typed, &fresh, &fault) != 0) {
        again(&fault);
        return -1;
    }
    *setup = fresh;
    return 0;
}

static int ask_rig_name(struct setup *setup, int index)
{
    char answer[ANSWER];

    while (ask("A short name of your own.", "Name", setup->rig[index].name, answer) == 0)
        if (change_rig(setup, index, ".name", answer) == 0)
            return 0;
    return -1;
}

static int ask_rig(struct setup *setup, int index, bool is_new)
{
    struct rig *rig = &setup->rig[index];
    double focal_mm, f_number;

    if (is_new) {
        setup->rig_count = index + 1;
        rig_built_in(index, rig);
    }
    focal_mm = rig->focal_mm;
    f_number = rig->f_number;
    printf("\nRig %d: a camera with its lens and support.\n", index + 1);
    if (ask_rig_name(setup, index) != 0 ||
        ask_number("As printed on the lens; a zoom: what you will use.", "Focal length, mm", 1,
                   20000, &rig->focal_mm) != 0 ||
        ask_number("The one that you will shoot with.", "f-number", 0.5, 64, &rig->f_number) != 0 ||
        ask_sensor(rig, is_new) != 0 || ask_support(&rig->support) != 0)
        return -1;
    if (is_new || rig->focal_mm != focal_mm || rig->f_number != f_number)
        (void)snprintf(rig->lens, sizeof rig->lens, "%g mm f/%g", rig->focal_mm, rig->f_number);
    return ask_number("How often the intervalometer shoots; it fills cards and empties batteries.",
                      "Interval between frames, s", 0.5, 3600, &rig->interval_s);
}

/* `known`: how many rigs stand in the file already. */
static int ask_all(struct setup *setup, int known)
{
    int count = known > 0 ? known : 2;

    puts("An empty answer takes what stands in brackets; Ctrl-C leaves all as it was. Each\n"
         "answer can be mended at the end, and later in the file or in the dashboard (E).");
    if (ask_site(setup) != 0)
        return -1;
    putchar('\n');
    if (ask_choice("Cameras that you will look after at the same time.", "How many rigs, 1 to 3",
                   RIGS, &count) != 0)
        return -1;
    while (setup->rig_count > count)
        if (change_rig(setup, setup->rig_count - 1, "", NULL) != 0)
            return -1;
    for (int i = 0; i < count; i++)
        if (ask_rig(setup, i, i >= known) != 0)
            return -1;
    return 0;
}

static void show_answers(const struct setup *setup)
{
    const struct site *site = &setup->site;

    printf("\n  s  %s: %.4f %c, %.4f %c, %.0f m, time zone %s\n", site->name,
           fabs(site->latitude_deg), site->latitude_deg < 0 ? 'S' : 'N', fabs(site->longitude_deg),
           site->longitude_deg < 0 ? 'W' : 'E', site->height_m, site->zone);
    for (int i = 0; i < setup->rig_count; i++) {
        const struct rig *rig = &setup->rig[i];

        printf("  %d  %s: %g mm f/%g, %g x %g mm, %.0f megapixels, %s, every %g s\n", i + 1,
               rig->name, rig->focal_mm, rig->f_number, rig->sensor_width_mm, rig->sensor_height_mm,
               megapixels_of(rig), support_name(rig->support), rig->interval_s);
    }
}

/* Repeats until the user accepts the answers and the file's own reader takes them; the end of input
 * counts as acceptance. */
static int mend(struct setup *setup)
{
    char answer[ANSWER];
    struct fault fault;

    for (;;) {
        bool ended;
        int rig;

        show_answers(setup);
        ended = ask("Enter saves this; s or a rig's number asks that part again.", "All right",
                    "yes", answer) != 0;
        if (ended || strcmp(answer, "yes") == 0) {
            if (setup_check(setup, &fault) == 0)
                return 0;
            again(&fault);
            if (ended)
                return -1;
            continue;
        }
        rig = answer[0] - '1';
        if (strcmp(answer, "s") == 0) {
            if (ask_site(setup) != 0)
                return -1;
        } else if (rig >= 0 && rig < setup->rig_count && answer[1] == '\0') {
            if (ask_rig(setup, rig, false) != 0)
                return -1;
        } else {
            printf("  ! '%s' is none of yes, s and the numbers above\n", answer);
        }
    }
}

/* What the file says already is the default of each answer, and what is not asked stays in it. */
static int known_rigs(const char *path, struct setup *setup)
{
    struct fault fault;
    int status = setup_read(path, setup, &fault);

    if (status == 0)
        return setup->rig_count;
    setup_default(setup);
    if (status < 0)
        printf("  ! %s\n  ! The questions start anew; that file will stay as %s.bak.\n", fault.text,
               path);
    return 0;
}

int ask_setup(const char *path)
{
    static struct setup setup;
    struct fault fault;

    if (setup_can_write(path, &fault) != 0)
        return complain(EXIT_MACHINE, &fault);
    if (ask_all(&setup, known_rigs(path, &setup)) != 0 || mend(&setup) != 0) {
        (void)fault_set(&fault, "the answers ended before the last question; nothing was written");
        putchar('\n');
        return complain(EXIT_BAD_INPUT, &fault);
    }
    if (setup_write(path, &setup, &fault) != 0)
        return complain(EXIT_MACHINE, &fault);
    (void)fault_set(&fault, "Saved: %s",
                    path); /* a path that could steer the terminal is cleaned */
    printf("\n%s\n", fault.text);
    return EXIT_DONE;
}

int command_setup(struct options *options)
{
    struct fault fault;
    char path[PATH_SIZE];
    int status;

    if (options->setup_path)
        (void)snprintf(path, sizeof path, "%s", options->setup_path);
    else if (path_setup(path, &fault) != 0)
        return complain(EXIT_MACHINE, &fault);
    puts("Moonstand setup.");
    status = ask_setup(path);
    if (status == EXIT_DONE)
        puts("Now: moonstand (the dashboard), moonstand plan (for the printer), moonstand "
             "rehearse.");
    return status;
}
