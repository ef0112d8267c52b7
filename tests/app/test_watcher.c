/* The watcher of pictures, with a clock, a wait and a look at pictures of the test's own: files land, grow, are copied
 * and are nobody's, and each report and each line of the record is held to tests/prints/watcher.txt. BLESS=1 writes it
 * anew: the difference is then for people to review. */
#include "lived.h"
#include "machine.h"

#include "../../src/app/look.h"
#include "../../src/app/watcher.h"

#include <blessed.h>

#include <moonstand/eye_device.h>
#include <moonstand/pictures_file.h>
#include <moonstand/setup_file.h>

#include <errno.h>
#include <fcntl.h>
#include <poll.h>
#include <sys/wait.h>

/* ---- what happens ---- */

enum { MANY = 600 };

struct happening {
    double at_s;
    const char *what; /* put, touch, move, folder, link, many, hurry, end */
    const char *file, *text;
};

static struct {
    const struct happening *next;
    double begun_utc;
    FILE *log;
    int reports; /* where the watcher's standard output ends */
    bool quiet;  /* of pictures */
} play;

static const char *path_of(const char *name)
{
    static char path[2][SCRATCH + 80];
    static int turn;

    turn = !turn;
    (void)snprintf(path[turn], sizeof path[turn], "%s/%s", state_home, name);
    return path[turn];
}

static void set_time(const char *name)
{
    double whole = floor(now.utc);
    const struct timespec at = {.tv_sec = (time_t)whole, .tv_nsec = (long)(1e3 * round(1e6 * (now.utc - whole)))};

    assert_int_equal(utimensat(AT_FDCWD, path_of(name), (const struct timespec[2]){at, at}, 0), 0);
}

static void put(const char *name, const char *text)
{
    FILE *file = fopen(path_of(name), "w");

    assert_non_null(file);
    assert_true(fputs(text, file) >= 0);
    assert_int_equal(fclose(file), 0);
    set_time(name);
}

/* More than the table of files has room for at first; in which order they are found depends on the disk. */
static void put_many(void)
{
    char name[32], text[32];

    for (int i = 0; i < MANY; i++) {
        (void)snprintf(name, sizeof name, "far/many%d.jpg", i);
        (void)snprintf(text, sizeof text, "9999 %d 0.5", 1000 + i);
        put(name, text);
    }
    play.quiet = true;
}

static void happen(const struct happening *happening)
{
    fprintf(play.log, "%8.1f %s %s\n", now.utc - play.begun_utc, happening->what, happening->file ? happening->file : "");
    if (strcmp(happening->what, "put") == 0)
        put(happening->file, happening->text);
    else if (strcmp(happening->what, "touch") == 0)
        set_time(happening->file);
    else if (strcmp(happening->what, "move") == 0)
        assert_int_equal(rename(path_of(happening->file), path_of(happening->text)), 0);
    else if (strcmp(happening->what, "folder") == 0)
        assert_int_equal(mkdir(path_of(happening->file), 0700), 0);
    else if (strcmp(happening->what, "link") == 0)
        assert_int_equal(symlink(happening->text, path_of(happening->file)), 0);
    else if (strcmp(happening->what, "many") == 0)
        put_many();
    else if (strcmp(happening->what, "hurry") == 0)
        assert_int_equal(raise(EYE_HURRY), 0);
    else
        assert_string_equal(happening->what, "end");
}

/* ---- what it reports ---- */

static void put_glance(const struct glance *glance)
{
    const struct metadata *metadata = &glance->seen.metadata;

    if (play.quiet && glance->kind == GLANCE_FILE)
        return;
    fprintf(play.log, "%8.1f ", now.utc - play.begun_utc);
    switch (glance->kind) {
    case GLANCE_ALIVE:
        fprintf(play.log, "  alive, rig %d;", glance->rig);
        break;
    case GLANCE_FILE:
        assert_null(glance->seen.file);
        fprintf(play.log, "  a picture of rig %d%s: %s, state %d, landed %.1f, taken %.0f;", glance->rig,
                glance->fresh ? ", a frame" : "", metadata->serial, glance->seen.state,
                glance->seen.landed_utc - play.begun_utc, metadata->taken);
        break;
    case GLANCE_FOLDER:
        fprintf(play.log, "  folder of rig %d %s;", glance->rig, glance->gone ? "gone" : "there");
        break;
    default:
        fprintf(play.log, "  word, rig %d: %s;", glance->rig, glance->text);
        break;
    }
    for (int i = 0; i < setup.rig_count; i++)
        fprintf(play.log, " %.0f/%.0f/%.0f", glance->frames[i], glance->raw[i], glance->bytes[i]);
    fputc('\n', play.log);
}

static void put_glances(void)
{
    struct glance glance;

    while (read(play.reports, &glance, sizeof glance) == (ssize_t)sizeof glance)
        put_glance(&glance);
}

/* The wait of the watcher, in which time passes and things happen. */
int poll(struct pollfd *polled, nfds_t count, int ms)
{
    double until = now.utc + ms / 1e3, next_utc = play.begun_utc + play.next->at_s;

    put_glances();
    if (count == 0) {
        pass(ms / 1e3);
        return 0;
    }
    assert_int_equal(count, 2);
    assert_int_equal(polled[0].events, POLLIN);
    assert_int_equal(polled[1].fd, STDOUT_FILENO);
    polled[0].revents = polled[1].revents = 0;
    if (next_utc > until) {
        pass(until - now.utc);
        return 0;
    }
    pass(fmax(next_utc - now.utc, 0));
    happen(play.next);
    if (strcmp(play.next->what, "end") == 0)
        polled[1].revents = POLLERR;
    else if (strcmp(play.next->what, "hurry") != 0)
        polled[0].revents = POLLIN;
    play.next++;
    return 1;
}

int nice(int by)
{
    fprintf(play.log, "         nice by %d\n", by);
    return by;
}

/* ---- a look: a picture is a text, "SERIAL SECONDS SHUTTER WORD" ---- */

bool look_is_picture(const char *name)
{
    const char *dot = strrchr(name, '.');

    return dot && (strcmp(dot, ".jpg") == 0 || strcmp(dot, ".nef") == 0);
}

int look_at(const struct picture_context *context, const char *path, struct seen *seen, struct fault *fault)
{
    char serial[16] = "", word[16] = "";
    double at_s = NAN, shutter_s = NAN;
    FILE *file = fopen(path, "r");
    int read;

    assert_non_null(file);
    put_glances();
    read = fscanf(file, "%15s %lf %lf %15s", serial, &at_s, &shutter_s, word);
    (void)fseek(file, 0, SEEK_END);
    *seen = (struct seen){.file = path, .rig = context->rig, .bytes = (double)ftell(file), .state = SEEN_NOT_LOOKED};
    assert_int_equal(fclose(file), 0);
    if (!play.quiet)
        fprintf(play.log, "%8.1f   looks at %s%s\n", now.utc - play.begun_utc, path_name(path),
                context->metadata_only ? "" : " for the Moon");
    if (read < 3)
        return fault_set(fault, "not a picture");
    if (!context->metadata_only && strcmp(word, "spoiled") == 0)
        return fault_set(fault, "damaged");
    seen->metadata = (struct metadata){.format = strstr(path, ".nef") ? PICTURE_RAW : PICTURE_JPEG,
                                       .model = "Camera One",
                                       .taken = at_s,
                                       .offset_min = NAN,
                                       .shutter_s = shutter_s,
                                       .iso = 400,
                                       .f_number = 8,
                                       .focal_mm = NAN,
                                       .focal_35mm = NAN,
                                       .sensor_px_per_mm = NAN};
    if (strcmp(serial, "-") == 0)
        seen->metadata.model[0] = '\0';
    else
        (void)snprintf(seen->metadata.serial, sizeof seen->metadata.serial, "%s", serial);
    if (!context->metadata_only)
        seen->state = SEEN_NO_DISC;
    return 0;
}

bool look_is_sound(const struct setup *of, struct seen *seen)
{
    (void)of;
    (void)seen;
    return true;
}

void look_each(const struct look_walk *walk, const char *path)
{
    (void)walk;
    (void)path;
}

void look_over(const struct look_over *over, const char *path)
{
    (void)over;
    (void)path;
}

/* ---- a watcher's life ---- */

static int watch(int count, char **words, const struct happening *happenings)
{
    int ends[2];

    play.next = happenings;
    play.begun_utc = now.utc;
    play.log = fopen(path_of("log"), "a");
    assert_non_null(play.log);
    assert_int_equal(pipe2(ends, O_NONBLOCK), 0);
    play.reports = ends[0];
    assert_true(dup2(ends[1], STDOUT_FILENO) >= 0);
    int status = watcher_command(count, words);
    put_glances();
    fprintf(play.log, "= %d\n\n", status);
    return fclose(play.log) == 0 ? status : 99;
}

/* In a process of its own, which ends with it. */
static void watch_and_end(int count, char **words, const struct happening *happenings)
{
    int status;
    pid_t child;

    (void)fflush(NULL);
    child = fork();
    assert_true(child >= 0);
    if (child == 0)
        _exit(watch(count, words, happenings));
    assert_int_equal(waitpid(child, &status, 0), child);
    assert_true(WIFEXITED(status));
}

static void hold_files(void)
{
    static const char *const names[] = {"log", PICTURES_FILE};
    char *text = NULL, *line = NULL;
    size_t size, room = 0;
    FILE *out = open_memstream(&text, &size);

    assert_non_null(out);
    for (int i = 0; i < 2; i++) {
        FILE *in = fopen(path_of(names[i]), "r");

        assert_non_null(in);
        while (getline(&line, &room, in) > 0) {
            const char *at = line;

            if (strstr(line, "/far/many"))
                continue;

            for (const char *home; (home = strstr(at, state_home)); at = home + strlen(state_home))
                fprintf(out, "%.*s~", (int)(home - at), at);
            fputs(at, out);
        }
        assert_int_equal(fclose(in), 0);
    }
    assert_int_equal(fclose(out), 0);
    hold_print("watcher", text);
    free(line);
    free(text);
}

/* Two rigs whose cameras are known share a folder, a third has its own, where the Moon is not looked for. */
static void set_up(void)
{
    static const char *const folders[] = {"card", "card", "far"}, *const cameras[] = {"1111", "2222", ""};
    struct fault fault = {""};

    for (int i = 0; i < 3; i++) {
        struct rig *rig = &setup.rig[i];

        (void)snprintf(rig->pictures, sizeof rig->pictures, "%s", path_of(folders[i]));
        (void)snprintf(rig->camera, sizeof rig->camera, "%s", cameras[i]);
        rig->look = i == 2 ? LOOK_FOR_METADATA : rig->look;
    }
    setup.look_every_s = 60;
    if (setup_keep(state_home, SETUP_WATCHED, &setup, &fault) != 0)
        fail_msg("%s", fault.text);
}

static void pictures_land(void **state)
{
    static const struct happening first[] = {
        {3, "put", "card/a.jpg", "1111 100 0.01"},
        {9, "put", "card/b.jpg", "2222 101 0.01"},
        {12, "put", "card/a.nef", "1111 100 0.01 as the picture, and longer"},
        {15, "put", "card/c.jpg", "1111 106 0.01"},
        {16.4, "put", "card/d.jpg", "1111 107 0.02"},
        {20, "put", "card/.hidden.jpg", "1111 108 0.02"},
        {20.1, "put", "card/list.txt", "1111 108 0.02"},
        {20.2, "link", "card/link.jpg", "a.jpg"},
        {22, "move", "card/.hidden.jpg", "card/e.jpg"},
        {26, "hurry", NULL, NULL},
        {27, "put", "card/f.jpg", "1111 110 0.02"},
        {30, "put", "card/g.jpg", "11"},
        {30.6, "put", "card/g.jpg", "1111 111"},
        {31.1, "put", "card/g.jpg", "1111 111 0.02"},
        {36, "put", "card/h.jpg", "3333 112 0.02"},
        {37, "put", "card/i.jpg", "3333 113 0.02"},
        {38, "put", "card/j.jpg", "- 114 0.02"},
        {40, "folder", "card/deep", NULL},
        {40.5, "put", "card/deep/k.jpg", "2222 115 0.5 spoiled"},
        {44, "put", "card/deep/a.jpg", "1111 100 0.01"},
        {48, "touch", "card/a.jpg", NULL},
        {52, "put", "card/a.jpg", "1111 100 0.01 grown"},
        {56, "put", "card/bad.jpg", "none"},
        {100, "put", "far/l.jpg", "9999 116 0.5"},
        {104, "put", "far/m.jpg", "- 117 0.5"},
        {110, "move", "far", "away"},
        {125, "move", "away", "far"},
        {140, "put", "far/n.nef", "9999 118 0.5"},
        {150, "end", NULL, NULL},
    };
    static const struct happening second[] = {
        {5, "put", "card/p.jpg", "1111 130 0.01"},
        {8, "put", "card/a.jpg", "1111 100 0.01 grown again"},
        {12, "put", "card/b.nef", "2222 101 0.01"},
        {30, "end", NULL, NULL},
    };
    static const struct happening third[] = {
        {5, "many", NULL, NULL},
        {40, "put", "far/o.jpg", "9999 131 0.5"},
        {60, "end", NULL, NULL},
    };
    static const struct happening fourth[] = {
        {5, "put", "far/q.jpg", "9999 132 0.5"},
        {12, "touch", "far/many77.jpg", NULL},
        /* As deep as it is looked for, and one deeper. */
        {13, "folder", "far/1", NULL},
        {13, "folder", "far/1/2", NULL},
        {13, "folder", "far/1/2/3", NULL},
        {13, "folder", "far/1/2/3/4", NULL},
        {13, "folder", "far/1/2/3/4/5", NULL},
        {13, "folder", "far/1/2/3/4/5/6", NULL},
        {13, "folder", "far/1/2/3/4/5/6/7", NULL},
        {13.1, "put", "far/1/2/3/4/5/6/r.jpg", "9999 133 0.5"},
        {13.1, "put", "far/1/2/3/4/5/6/7/s.jpg", "9999 134 0.5"},
        {20, "end", NULL, NULL},
    };
    static const char *const strangers[] = {"card/bad.jpg", "card/h.jpg", "card/i.jpg", "card/j.jpg"};
    static const struct happening none[] = {{0, "end", NULL, NULL}};
    char since[TEXT_INSTANT], *words[3] = {state_home, since, NULL}, nowhere[] = "/nowhere";

    (void)state;
    set_up();
    assert_int_equal(mkdir(path_of("card"), 0700), 0);
    assert_int_equal(mkdir(path_of("far"), 0700), 0);
    now.utc = floor(contact(CONTACT_U1));
    (void)format_iso(since, now.utc, 0, "Z");
    pass(-60);
    put("card/old.jpg", "1111 1 0.01");
    pass(80);
    put("card/new.jpg", "2222 2 0.01");
    pass(10);
    watch_and_end(2, words, first);
    pass(300);
    for (size_t i = 0; i < sizeof strangers / sizeof *strangers; i++)
        assert_int_equal(unlink(path_of(strangers[i])), 0);
    watch_and_end(2, words, second);
    watch_and_end(2, words, third);
    watch_and_end(2, words, fourth);
    /* What it is not started with. */
    watch_and_end(1, words, none);
    watch_and_end(0, words, none);
    words[0] = nowhere;
    watch_and_end(2, words, none);
    (void)snprintf(since, sizeof since, "noon");
    watch_and_end(2, words, none);
    hold_files();
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        AT_HOME(pictures_land),
    };

    return cmocka_run_group_tests(tests, prepare, NULL);
}
