/* Whose the pictures are of a camera that the setup does not name, and what its clock showed: asked
 * once for each. */
#include "camera_question.h"

#include "app.h"

#include <moonstand/report.h>
#include <moonstand/setup_file.h>

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

enum { RIG_ANSWER = 32, CARD_ANSWER = PICTURE_NAME + 16 };

/* What a rig's `camera` is set to, so that it is known again. */
static const char *camera_id(const struct metadata *metadata)
{
    return *metadata->serial ? metadata->serial : metadata->model;
}

static bool can_ask(void)
{
    return isatty(STDIN_FILENO) && isatty(STDERR_FILENO);
}

/* Keeps the answer in the user's own setup file. */
static int remember(const char *path, const char *rig, const char *id, struct fault *fault)
{
    static struct setup setup;
    char place[32];

    if (setup_read(path, &setup, fault) != 0)
        return -1;
    int index = setup_rig(&setup, rig);
    if (index < 0)
        return fault_set(fault, "%s: it has no rig '%s'", path, rig);
    (void)snprintf(place, sizeof place, "rigs[%d].camera", index);
    return setup_edit(&setup, place, id, &setup, fault) != 0 ? -1
                                                             : setup_write(path, &setup, fault);
}

static void offer_to_remember(const char *rig, const char *id)
{
    char path[PATH_SIZE], answer[RIG_ANSWER];
    struct fault fault;

    if (path_setup(path, &fault) != 0 || access(path, R_OK) != 0)
        return;
    fprintf(stderr, "Save this in %s (camera of %s: %s)? [n] ", path, rig, id);
    (void)read_line(answer, sizeof answer);
    if (*answer == 'y' && remember(path, rig, id, &fault) != 0)
        (void)complain(EXIT_BAD_INPUT, &fault);
}

/* The rig that is answered, until it is one; -1: none of them. */
static int ask_for_rig(const struct setup *setup, const struct camera *camera, const char *file)
{
    char answer[RIG_ANSWER];

    fprintf(stderr, "%s\nThe setup names no rig for its camera:\n%s %s, serial number %s\n", file,
            camera->metadata.make, camera->metadata.model,
            *camera->metadata.serial ? camera->metadata.serial : "unknown");
    for (;;) {
        char *end;
        long number;

        fprintf(stderr, "Which rig took its pictures?");
        for (int i = 0; i < setup->rig_count; i++)
            fprintf(stderr, " %d %s,", i + 1, setup->rig[i].name);
        fprintf(stderr, " Enter: none of them: ");
        (void)read_line(answer, sizeof answer);
        number = strtol(answer, &end, 10);
        if (*answer == '\0')
            return -1;
        if (*end || number < 1 || number > setup->rig_count)
            continue;
        offer_to_remember(setup->rig[number - 1].name, camera_id(&camera->metadata));
        return (int)number - 1;
    }
}

/* The rig of the session that the user's setup, as it is now, names for a camera; -1: none. */
static int rig_named_since(const struct setup *session, const struct metadata *metadata)
{
    static struct setup setup;
    char path[PATH_SIZE];
    struct fault fault;

    if (path_setup(path, &fault) != 0 || setup_read(path, &setup, &fault) != 0)
        return -1;
    for (int i = 0; i < setup.rig_count; i++) {
        int rig = setup_rig(session, setup.rig[i].name);

        if (rig >= 0 && picture_is_of(&setup.rig[i], metadata))
            return rig;
    }
    return -1;
}

int camera_rig(struct cameras *cameras, const struct setup *setup, const struct seen *seen)
{
    const struct metadata *metadata = &seen->metadata;
    struct camera *camera = cameras->camera;

    for (; camera < cameras->camera + cameras->count; camera++)
        if (strcmp(camera->metadata.make, metadata->make) == 0 &&
            strcmp(camera->metadata.model, metadata->model) == 0 &&
            strcmp(camera->metadata.serial, metadata->serial) == 0) {
            camera->pictures++;
            return camera->rig;
        }
    if (cameras->count == CAMERAS)
        return -1;
    cameras->count++;
    *camera = (struct camera){.metadata = *metadata, .pictures = 1, .rig = cameras->rig};
    if (camera->rig < 0)
        camera->rig = rig_named_since(setup, metadata);
    if (camera->rig < 0 && can_ask())
        camera->rig = ask_for_rig(setup, camera, seen->file);
    return camera->rig;
}

void cameras_tell(const struct cameras *cameras)
{
    for (int i = 0; i < cameras->count; i++) {
        const struct camera *camera = &cameras->camera[i];

        if (camera->rig >= 0 || can_ask())
            continue;
        (void)complain_that(EXIT_BAD_INPUT,
                            "%zu picture%s of no rig: the setup names none for %.60s %.60s; set "
                            "\"camera\" of its rig to \"%.60s\", or give --rig NAME",
                            camera->pictures, camera->pictures == 1 ? "" : "s",
                            camera->metadata.make, camera->metadata.model,
                            camera_id(&camera->metadata));
    }
}

/* The last picture of a rig whose clock is not known; null: there is none. */
static const char *last_of(const struct pictures *pictures, const struct night *night, int rig)
{
    const char *name = NULL;

    for (size_t i = 0; i < pictures->count; i++)
        if (pictures->item[i].rig == rig && picture_clock_is_open(night, &pictures->item[i]))
            name = path_name(pictures->item[i].name);
    return name;
}

void ask_time_cards(struct pictures *pictures, const struct night *night)
{
    char card[CARD_ANSWER];
    struct fault fault;

    for (int rig = 0; can_ask() && rig < night->setup.rig_count; rig++) {
        const char *last = last_of(pictures, night, rig);
        bool done = !last;

        while (!done) {
            fprintf(stderr,
                    "Clock of %s: which picture shows the time card, and what UTC is on it?\n"
                    "Such as: %s 20:15:03. Enter: there is none: ",
                    night->rig[rig].rig.name, last);
            done = !read_line(card, sizeof card) || *card == '\0' ||
                   picture_time_card(pictures, night, rig, card, &fault) == 0;
            if (!done)
                (void)complain(EXIT_BAD_INPUT, &fault);
        }
    }
}
