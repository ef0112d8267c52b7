/* Pictures put in order: from a table, a folder or a session's own record. */
#include "picture_order.h"

#include "app.h"
#include "camera_question.h"
#include "look.h"

#include <moonstand/pictures_file.h>
#include <moonstand/report.h>

#include <errno.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

struct order {
    const struct night *night;
    struct picture_context context;
    struct cameras cameras;
    struct pictures pictures;
    size_t bad;  /* pictures that could not be read, links that could not be made */
    bool broken; /* memory is out */
};

static void refuse(const struct fault *fault)
{
    (void)complain(EXIT_BAD_INPUT, fault);
}

static void take_seen(void *context, const struct seen *looked)
{
    struct order *order = context;
    struct seen seen = *looked;

    if (isnan(seen.metadata.taken)) {
        complain_of_file(seen.file, "the camera wrote no time", &order->bad);
        return;
    }
    if (seen.rig < 0)
        seen.rig = camera_rig(&order->cameras, &order->night->setup, looked);
    order->broken |= pictures_add(&order->pictures, &seen) != 0;
}

/* ---- a session's own record ---- */

/* A file that has grown has two lines: the later one counts, with the same time. */
static void take_line(void *context, const struct seen *line, const char *rig)
{
    struct order *order = context;
    struct seen seen = *line;
    size_t count = order->pictures.count;

    seen.rig = setup_rig(&order->night->setup, rig);
    for (size_t i = count > 8 ? count - 8 : 0; i < count; i++)
        if (strcmp(order->pictures.item[i].name, seen.file) == 0)
            return;
    take_seen(order, &seen);
}

static bool keeps_pictures(const char *folder)
{
    char path[PATH_SIZE];

    return snprintf(path, sizeof path, "%s/" PICTURES_FILE, folder) < PATH_SIZE &&
           access(path, F_OK) == 0;
}

/* ---- links ---- */

/* Never touches an original, nor a file that is there already. */
static void link_one(struct order *order, const char *folder, const struct picture *picture)
{
    char name[ORDERED_NAME], path[PATH_SIZE], *original = realpath(picture->name, NULL);
    struct fault fault;

    (void)picture_ordered_name(order->night, picture, name);
    if (!original)
        complain_of_file(picture->name, strerror(errno), &order->bad);
    else if (snprintf(path, sizeof path, "%s/%s", folder, name) >= (int)sizeof path)
        complain_of_file(folder, "the path is too long", &order->bad);
    else if (symlink(original, path) != 0 && errno != EEXIST)
        complain_of_file(path, strerror(errno), &order->bad);
    else {
        char there[PATH_SIZE] = "";

        if (readlink(path, there, sizeof there - 1) < 0 || strcmp(there, original) != 0) {
            (void)fault_set(&fault, "there already, and not a link to %.200s", original);
            complain_of_file(path, fault.text, &order->bad);
        }
    }
    free(original);
}

static int make_links(struct order *order, const char *folder, struct fault *fault)
{
    if (mkdir(folder, 0777) != 0 && errno != EEXIST)
        return fault_set(fault, "--link %.200s: %s", folder, strerror(errno));
    for (size_t i = 0; i < order->pictures.count; i++)
        link_one(order, folder, &order->pictures.item[i]);
    return 0;
}

/* ---- all of it ---- */

static void begin_order(struct order *order, const struct night *night)
{
    *order = (struct order){
        .night = night,
        .context = {.setup = &night->setup, .rig = -1, .metadata_only = true},
        .cameras = {.rig = -1},
        .pictures = {.refuse = refuse},
    };
}

/* A folder of pictures, or of a session that has a record of them. */
static int read_folder(struct order *order, const char *folder, struct fault *fault)
{
    int damaged = 0;

    if (keeps_pictures(folder)) {
        if (pictures_file_read(folder, take_line, order, &damaged, fault) != 0)
            return -1;
        order->bad += (size_t)damaged;
    } else {
        look_over(&(struct look_over){&order->context, take_seen, order, &order->bad}, folder);
        cameras_tell(&order->cameras);
    }
    return order->broken ? fault_set(fault, "out of memory") : 0;
}

int read_pictures(const char *folder, const struct night *night, struct pictures *pictures,
                  size_t *bad, struct fault *fault)
{
    static struct order order;

    begin_order(&order, night);
    int status = read_folder(&order, folder, fault);
    *pictures = order.pictures;
    *bad = order.bad;
    return status;
}

static int print(const struct order *order, const struct options *options)
{
    const struct pictures *pictures = &order->pictures;

    return options->json ? report_pictures_json(stdout, order->night, pictures)
                         : report_pictures_csv(stdout, order->night, pictures);
}

/* By what was given on the command line, else by what is answered. */
static int take_time_cards(struct order *order, const struct options *options, struct fault *fault)
{
    if (options->time_card)
        return pictures_time_card(&order->pictures, order->night, options->time_card, fault);
    if (options->operand_count > 0)
        ask_time_cards(&order->pictures, order->night);
    return 0;
}

int order_pictures(const struct options *options, const struct night *night, struct fault *fault)
{
    static struct order order;
    int status = EXIT_DONE;

    begin_order(&order, night);
    if (find_rig(options, &night->setup, "session", &order.cameras.rig, fault) != 0 ||
        (options->operand_count > 0
             ? read_folder(&order, options->operands[0], fault)
             : pictures_read(stdin, "standard input", night, &order.pictures, fault)) != 0 ||
        take_time_cards(&order, options, fault) != 0 ||
        (options->pick && pictures_pick(&order.pictures, night, options->pick, fault) != 0) ||
        (options->link && make_links(&order, options->link, fault) != 0)) {
        status = EXIT_BAD_INPUT;
    } else if (print(&order, options) != 0 || fflush(stdout) != 0) {
        (void)fault_set(fault, "could not write the report");
        status = EXIT_MACHINE;
    } else if (order.pictures.refused + order.bad > 0) {
        (void)fault_set(fault, "%zu of %zu could not be read or linked; the others are done",
                        order.pictures.refused + order.bad,
                        order.pictures.count + order.pictures.refused + order.bad);
        status = EXIT_BAD_INPUT;
    }
    pictures_free(&order.pictures);
    return status;
}
