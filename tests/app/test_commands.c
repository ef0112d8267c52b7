/* Every command with what it usually takes and with what is wrong, completions for the shells, and the questions about
 * cameras, on clocks of the test's own: all that they print and how they end is held to tests/prints/commands*.txt.
 * BLESS=1 writes them anew: the difference is then for people to review. */
#include "lived.h"
#include "machine.h"

#include "../../src/app/app.h"
#include "../../src/app/camera_question.h"
#include "../../src/app/live.h"

#include <blessed.h>
#include <eye/trial.h>
#include <timed.h>

#include <moonstand/pictures_file.h>
#include <moonstand/report.h>

#include <fcntl.h>
#include <inttypes.h>
#include <pty.h>
#include <sys/wait.h>

/* ---- a command and what it prints ---- */

enum { WORDS = 16, SHOWN = 24, PRINTED = 1 << 20 };

static FILE *print;
static char *printed_text;

static void begin_print(void)
{
    static size_t size;

    print = open_memstream(&printed_text, &size);
    assert_non_null(print);
}

static void end_print(const char *name)
{
    assert_int_equal(fclose(print), 0);
    hold_print(name, printed_text);
    free(printed_text);
}

/* The first lines, with a ~ for the folder of the test; of a long text the number of all and a sum that another text
 * would change (FNV-1a). */
static void put_output(const char *text)
{
    uint64_t sum = 0xcbf29ce484222325u;
    int lines = 0;

    while (*text) {
        size_t length = strcspn(text, "\n");

        for (const char *at = text; at < text + length;) {
            bool home = strncmp(at, state_home, strlen(state_home)) == 0;

            sum = (sum ^ (uint8_t)*at) * (home ? 1 : 0x100000001b3u);
            if (lines < SHOWN)
                (void)fputc(home ? '~' : *at, print);
            at += home ? strlen(state_home) : 1;
        }
        sum = (sum ^ '\n') * 0x100000001b3u;
        if (lines++ < SHOWN)
            (void)fputc('\n', print);
        text += length + (text[length] == '\n');
    }
    if (lines > SHOWN)
        fprintf(print, "... %d lines, %016" PRIx64 "\n", lines, sum);
}

static void put_file(const char *name, const char *text)
{
    char path[SCRATCH + 80];
    FILE *out;

    (void)snprintf(path, sizeof path, "%s/%s", state_home, name);
    out = fopen(path, "w");
    assert_non_null(out);
    assert_true(fputs(text, out) >= 0);
    assert_int_equal(fclose(out), 0);
}

static void put_file_as_output(const char *name)
{
    static char text[PRINTED];
    char path[SCRATCH + 80];
    FILE *in;

    (void)snprintf(path, sizeof path, "%s/%s", state_home, name);
    in = fopen(path, "r");
    assert_non_null(in);
    text[fread(text, 1, sizeof text - 1, in)] = '\0';
    assert_int_equal(fclose(in), 0);
    put_output(text);
}

/* As main has it: a command, or completions of what has been typed. */
static int run_words(int argc, char **argv)
{
    const struct command_row *command = argc > 0 ? command_find(argv[0]) : NULL;
    int status;

    if (argc > 0 && strcmp(argv[0], "--complete") == 0)
        status = print_completions(argc - 1, argv + 1);
    else if (command && *command->name)
        status = command_run(command, argc - 1, argv + 1);
    else
        status = command_run(command_find(""), argc, argv);
    return status;
}

/* Runs it in a process of its own, for commands keep what they have read. `line`: words, with a _ for an empty one and
 * a ~ for the folder of the test. */
static void run(const char *line, const char *input)
{
    static char copy[400], full[WORDS][SCRATCH + 80];
    char *argv[WORDS + 1] = {NULL}, path[SCRATCH + 16];
    int argc = 0, status;
    pid_t child;

    (void)snprintf(copy, sizeof copy, "%s", line);
    for (char *word = strtok(copy, " "); word && argc < WORDS; word = strtok(NULL, " ")) {
        (void)snprintf(full[argc], sizeof full[argc], "%s%s", *word == '~' ? state_home : "",
                       word + (*word == '~' || strcmp(word, "_") == 0));
        argv[argc] = full[argc];
        argc++;
    }
    put_file("in", input);
    (void)fflush(NULL);
    child = fork();
    assert_true(child >= 0);
    if (child == 0) {
        static const char *const files[] = {"in", "out", "err"};

        for (int i = 0; i < 3; i++) {
            FILE *to[] = {stdin, stdout, stderr};

            (void)snprintf(path, sizeof path, "%s/%s", state_home, files[i]);
            if (!freopen(path, i ? "w" : "r", to[i]))
                _exit(99);
        }
        status = run_words(argc, argv);
        (void)fflush(NULL);
        _exit(status);
    }
    assert_int_equal(waitpid(child, &status, 0), child);
    assert_true(WIFEXITED(status));
    fprintf(print, "$ moonstand %s\n", line);
    put_file_as_output("out");
    put_file_as_output("err");
    fprintf(print, "= %d\n\n", WEXITSTATUS(status));
}

static void run_all(const char *const *lines, size_t count)
{
    for (size_t i = 0; i < count; i++)
        run(lines[i], "");
}
#define RUN_ALL(lines) run_all(lines, sizeof lines / sizeof *lines)

static int open_home(void **state)
{
    char path[SCRATCH + 32];

    if (make_home(state) != 0 || setenv("XDG_CONFIG_HOME", state_home, 1) != 0 ||
        setenv("HOME", state_home, 1) != 0 || setenv("LC_ALL", "C.UTF-8", 1) != 0)
        return -1;
    now.utc = contact(CONTACT_U1) - 7200;
    (void)snprintf(path, sizeof path, "%s/moonstand", state_home);
    return mkdir(path, 0700);
}
#define HERE(test) cmocka_unit_test_setup_teardown(test, open_home, remove_home)

/* ---- without a setup ---- */

static void commands_that_print(void **state)
{
    static const char *const lines[] = {
        "nights --from 2028-01-01 --to 2029-12-31",
        "nights --from 2028-01-01 --to 2029-12-31 --site 62,60,420",
        "nights --from 2028-01-01 --to 2029-12-31 --site 62,60 --json",
        "nights --from 2028-01-01 --to 2032-12-31 --kind total --shadow chauvenet",
        "nights --from 2028-01-01 --to 2032-12-31 --kind partial --shadow oblate",
        "nights --from 2028-01-01 --to 2032-12-31 --kind penumbral --shadow danjon",
        "nights --from 2028-12-31 --to 2028-12-31 --kind any",
        "nights --from 2028-12-30 --to 2028-12-30",
        "nights --from 2029-01-01 --to 2029-01-01 --json",
        "nights --from 1900-01-01 --to 2100-12-31",
        "nights --from 1900-01-01 --to 1900-12-31 --site 62,60",
        "nights --from 2029-01-02 --to 2029-01-01",
        "nights --from yesterday --to 2029-01-01",
        "nights --from 2029-01-01 --to 2029-02-30",
        "nights --from 2029-01-01 --to 2029-02-28 --kind round",
        "nights --from 2029-01-01 --to 2029-02-28 --shadow long",
        "now --at 2028-12-31T16:20 --site 62,60,420",
        "now --at 2028-12-31T16:20 --site 62,60,420 --json",
        "now --site 62,60,420 --canvas 80x24 --ascii",
        "now --site 62,60,420 --canvas 100x30",
        "now --site 62,60,420 --canvas 80",
        "now --site 62,60,420 --canvas 80x",
        "now --site 62,60,420 --canvas 12345678x24",
        "now --site 62,60,420 --canvas 0x24",
        "now --at noon --site 62,60",
        "now",
        "now --site 62,60 --eclipse 2028-12-30",
        "now --site 62,60 --eclipse 2028-07-06",
        "now --at 2100-12-31T00:00 --site 62,60",
        "plan --eclipse 2028-12-31 --site 62,60,420",
        "plan --eclipse 2028-12-31 --site 62,60,420 --json",
        "plan --eclipse 2028-12-31 --site 62,60,420 --calendar",
        "plan --site 62,60 --setup nowhere.json",
        "plan",
        "sites",
        "air --temperature -3 --humidity 85",
        "air --temperature 12 --humidity 50 --json",
        "sessions",
        "sessions --json",
        "report",
        "report --pictures",
        "look",
        "look nowhere.jpg",
        "help",
        "help tab",
        "help a",
        "help battery",
        "help plan",
        "help q",
        "help nothing",
        "--site 62,60,420",
        "--site 62,60,420 --plain --eclipse 2028-12-30",
        "rehearse --demo",
        "rehearse --demo --from nowhere",
        "rehearse --from X1 --site 62,60",
        "air --temperature warm --humidity 99",
        "rehearse --demo --speed 0",
        "moon",
    };

    (void)state;
    begin_print();
    RUN_ALL(lines);
    end_print("commands");
}

static void every_command_has_help(void **state)
{
    char line[80];

    (void)state;
    begin_print();
    for (size_t i = 0; i < command_count; i++) {
        (void)snprintf(line, sizeof line, "%s --help", command_table[i].name);
        run(line, "");
    }
    end_print("commands-help");
}

/* ---- completions ---- */

static void shells_complete(void **state)
{
    char line[120];

    (void)state;
    begin_print();
    run("--complete", "");
    run("--complete _", "");
    run("--complete p", "");
    run("--complete -", "");
    run("--complete --site 6", "");
    run("--complete nothing --", "");
    for (size_t i = 0; i < command_count; i++) {
        const struct command_row *command = &command_table[i];
        const char *at = command->takes;
        char name[OPTION_NAME], mark;

        if (!*command->name)
            continue;
        (void)snprintf(line, sizeof line, "--complete %s _", command->name);
        run(line, "");
        (void)snprintf(line, sizeof line, "--complete %s -", command->name);
        run(line, "");
        while (takes_next(&at, name, &mark)) {
            const struct option_row *row = option_find(command, name);

            /* Which themes there are depends on where the test is. */
            if (!row || strcmp(name, "theme") == 0)
                continue;
            (void)snprintf(line, sizeof line, "--complete %s --%s _", command->name, name);
            run(line, "");
        }
    }
    end_print("commands-completed");
}

/* ---- with a setup ---- */

static const char two_sites[] =
    "{\"site\": \"hut\", \"sites\": [{\"name\": \"hut\", \"latitude_deg\": 62, \"longitude_deg\": 60, \"height_m\": 420,\n"
    " \"time_zone\": \"Asia/Yekaterinburg\"}, {\"name\": \"shore\", \"latitude_deg\": -41.3, \"longitude_deg\": 174.8,\n"
    " \"time_zone\": \"Pacific/Auckland\"}],\n"
    " \"rigs\": [{\"name\": \"left\", \"camera\": \"0123456789\", \"focal_mm\": 400, \"f_number\": 6.3},\n"
    "          {\"name\": \"right\", \"camera\": \"0123456788\", \"focal_mm\": 800, \"f_number\": 8},\n"
    "          {\"name\": \"wide\", \"focal_mm\": 24, \"f_number\": 2.8}]}\n";

static void commands_of_a_setup(void **state)
{
    static const char *const lines[] = {
        "sites", "sites --json", "sites --eclipse 2029-06-26", "sites --eclipse 2028-12-30",
        "now",   "now --site 10,20", "plan --eclipse 2029-06-26",
    };
    static const char *const broken[] = {
        "{\"sites\": 5}\n",
        "{\"sites\": []}\n",
        "{\"site\": {\"latitude_deg\": 62, \"longitude_deg\": 60, \"forecast\": \"/nowhere/sky.json\"}}\n",
    };

    (void)state;
    put_file("moonstand/setup.json", two_sites);
    begin_print();
    RUN_ALL(lines);
    for (size_t i = 0; i < sizeof broken / sizeof *broken; i++) {
        put_file("moonstand/setup.json", broken[i]);
        run("sites", "");
        run("now", "");
        run("plan --eclipse 2028-12-31", "");
    }
    end_print("commands-setup");
}

/* ---- after the night ---- */

/* Two sessions of that eclipse: one lived, one in which nothing was done. */
static void live_two(void)
{
    static struct session session;
    struct fault fault = {""};

    now.utc = contact(CONTACT_U1);
    open_session(&session);
    aim(&session);
    tick(&session, 0);
    tick(&session, 2);
    step(&session, 600);
    act(&session, (struct act){.kind = ACT_AIR, .rig = -1, .value = {-12, 80}});
    act(&session, (struct act){.kind = ACT_DANJON, .rig = -1, .value = {2}});
    act(&session, (struct act){.kind = ACT_NOTE, .rig = -1, .text = "thin cloud"});
    step(&session, 1200);
    aim(&session);
    step(&session, 900);
    close_session(&session);
    if (open_as(&session, &test_clock, true, NULL, &fault) != 0)
        fail_msg("%s", fault.text);
    step(&session, 60);
    close_session(&session);
}

static void commands_after_the_night(void **state)
{
    static const char table[] = "SourceFile,DateTimeOriginal,ExposureTime,ISO,Rig\n"
                                "IMG_1.CR3,2028:12:31 15:10:05,1/60,400,wide\n"
                                "IMG_2.CR3,2028:12:31 16:20:05,1/125,400,long\n"
                                "IMG_3.CR3,2028:12:31 16:50:05,1/2,800,nobody\n"
                                "IMG_4.CR3,noon,1/2,800,long\n";
    static const char *const lines[] = {
        "sessions",
        "sessions --json",
        "report",
        "report --json",
        "report --csv",
        "report --session 2028-12-31-rehearsal",
        "report --session 2028-12-31 --against 2028-12-31-rehearsal",
        "report --session 2028-12-31 --against 2028-12-31-rehearsal --json",
        "report --against nowhere",
        "report --session nowhere",
        "report --session 2028-12-31 --csv --json",
        "report --rig long",
        "report --link there",
        "report --pick contacts",
        "report --time-card IMG_1.CR3=15:10:05",
        "--complete report --session _",
        "--complete rehearse --session _",
        "--session nowhere",
        "now --site 62,60,420",
    };
    static const char *const orders[] = {
        "report --pictures",
        "report --pictures --json",
        "report --pictures --pick contacts",
        "report --pictures --pick chain=10min",
        "report --pictures --pick never",
        "report --pictures --rig long",
        "report --pictures --rig nobody",
        "report --pictures --time-card IMG_1.CR3=15:10:15",
        "report --pictures --time-card IMG_9.CR3=15:10:15",
    };

    (void)state;
    live_two();
    begin_print();
    RUN_ALL(lines);
    for (size_t i = 0; i < sizeof orders / sizeof *orders; i++)
        run(orders[i], table);
    end_print("commands-after");
}

/* ---- pictures that a session has seen ---- */

/* Of a camera with that serial number, so many minutes after U1. */
static void see(FILE *out, const char *name, const char *serial, double minutes, int rig)
{
    char path[SCRATCH + 40];
    struct seen seen = {.file = path, .rig = rig, .landed_utc = contact(CONTACT_U1) + 60 * minutes + 3, .bytes = 1e7};

    seen.metadata = (struct metadata){.format = PICTURE_JPEG,
                                      .make = "Maker",
                                      .model = "Camera One",
                                      .taken = contact(CONTACT_U1) + 60 * minutes - 7,
                                      .offset_min = NAN,
                                      .shutter_s = 0.02,
                                      .iso = 400,
                                      .f_number = 8,
                                      .focal_mm = 400,
                                      .focal_35mm = NAN,
                                      .sensor_px_per_mm = NAN,
                                      .width = 6000,
                                      .height = 4000,
                                      .orientation = 1};
    (void)snprintf(path, sizeof path, "%s/%s", state_home, name);
    (void)snprintf(seen.metadata.serial, sizeof seen.metadata.serial, "%s", serial);
    if (!isfinite(minutes))
        seen.metadata.taken = NAN;
    put_file(name, "picture");
    assert_int_equal(report_look_json(out, &setup, &seen), 0);
}

/* A folder `seen` with a record of pictures of two cameras that no rig is named for, and one without a time. */
static void see_pictures(void)
{
    char path[SCRATCH + 40];
    FILE *out;

    (void)snprintf(path, sizeof path, "%s/seen", state_home);
    assert_int_equal(mkdir(path, 0700), 0);
    (void)snprintf(path, sizeof path, "%s/seen/" PICTURES_FILE, state_home);
    out = fopen(path, "w");
    assert_non_null(out);
    see(out, "IMG_1.JPG", "0123456789", 1, -1);
    see(out, "IMG_2.JPG", "0123456789", 12, -1);
    see(out, "IMG_3.JPG", "7777777777", 13, -1);
    see(out, "IMG_3.JPG", "7777777777", 13, -1);
    see(out, "IMG_4.JPG", "", 25, -1);
    see(out, "IMG_5.JPG", "7777777777", 40, LONG);
    see(out, "IMG_6.JPG", "7777777777", NAN, LONG);
    assert_true(fputs("no line of it\n", out) >= 0);
    assert_int_equal(fclose(out), 0);
}

static void pictures_that_were_seen(void **state)
{
    static const char linked[] = "report --pictures --link ~/links ~/seen";
    char name[SCRATCH + 16];

    (void)state;
    live_two();
    see_pictures();
    begin_print();
    run("report --pictures ~/seen", "");
    run("report --pictures --json --rig wide ~/seen", "");
    run("report ~/seen", "");
    run(linked, "");
    run(linked, "");
    (void)snprintf(name, sizeof name, "%s/IMG_2.JPG", state_home);
    assert_int_equal(unlink(name), 0);
    run(linked, "");
    run("report --pictures --link ~/IMG_1.JPG ~/seen", "");
    /* The setup that is kept by now has names for them. */
    put_file("moonstand/setup.json",
             "{\"rigs\": [{\"name\": \"wide\", \"camera\": \"7777777777\", \"focal_mm\": 24, \"f_number\": 2.8},\n"
             " {\"name\": \"other\", \"camera\": \"0123456789\", \"focal_mm\": 24, \"f_number\": 2.8}]}\n");
    run("report --pictures ~/seen", "");
    end_print("commands-pictures");
}

/* ---- pictures that are looked at ---- */

static void put_bytes_as(const char *name, const uint8_t *bytes, size_t size)
{
    const struct timespec at[2] = {{.tv_sec = (time_t)now.utc}, {.tv_sec = (time_t)now.utc}};
    char path[SCRATCH + 80];
    FILE *out;

    (void)snprintf(path, sizeof path, "%s/%s", state_home, name);
    out = fopen(path, "w");
    assert_non_null(out);
    assert_int_equal(fwrite(bytes, 1, size, out), size);
    assert_int_equal(fclose(out), 0);
    assert_int_equal(utimensat(AT_FDCWD, path, at, 0), 0);
}

/* A Moon in each of two pictures, none in a third; a raw file, one that is cut short, and what is no picture. */
static void put_pictures(void)
{
    static struct header header;
    char path[SCRATCH + 80];

    (void)snprintf(path, sizeof path, "%s/card", state_home);
    assert_int_equal(mkdir(path, 0700), 0);
    (void)snprintf(path, sizeof path, "%s/card/deep", state_home);
    assert_int_equal(mkdir(path, 0700), 0);
    for (int i = 0; i < 3; i++) {
        char name[32];
        struct scene scene;
        uint8_t *jpeg;
        size_t size;

        chance_seed(9100 + (uint64_t)i);
        scene = i < 2 ? scene_by_chance(300, 260, 70 + 20 * i) : scene_without_moon(300, 260, 60);
        jpeg = scene_file(&scene, i ? 6 : 1, &size);
        (void)snprintf(name, sizeof name, "card/%smoon%d.JPG", i == 1 ? "deep/" : "", i);
        put_bytes_as(name, jpeg, size);
        free(jpeg);
    }
    make_raw(&header, RAW_NEF);
    put_bytes_as("card/raw.nef", header.data, header.size);
    make_jpeg(&header, true);
    put_bytes_as("card/whole.jpg", header.data, header.size);
    put_bytes_as("card/cut.jpg", header.data, header.size / 2);
    put_file("card/no.jpg", "no picture");
    put_file("card/list.txt", "no picture");
}

static void pictures_are_looked_at(void **state)
{
    static const char *const lines[] = {"look ~/card",
                                        "look ~/card --json",
                                        "look ~/card/moon0.JPG --rig left --json",
                                        "look ~/card/moon0.JPG ~/card/deep --rig wide",
                                        "look ~/card/moon0.JPG --rig nobody",
                                        "look ~/card/list.txt",
                                        "look ~/moonstand/sessions",
                                        "report --pictures ~/card",
                                        "report --pictures --json --rig long ~/card",
                                        "report ~/card"};

    (void)state;
    live_two();
    put_pictures();
    put_file("moonstand/setup.json", two_sites);
    begin_print();
    RUN_ALL(lines);
    end_print("commands-looked");
}

/* ---- questions on a terminal ---- */

/* The same on a terminal that does not echo, with these answers; nobody is there after the last. */
static void ask_on_a_terminal(const char *const *words, int count, const char *answers)
{
    static char said[PRINTED];
    struct termios raw = {.c_cflag = CS8 | CREAD, .c_lflag = ICANON};
    size_t length = 0;
    ssize_t got;
    int master, status;
    pid_t child;

    raw.c_cc[VEOF] = 4;
    (void)fflush(NULL);
    child = forkpty(&master, NULL, &raw, NULL);
    assert_true(child >= 0);
    if (child == 0) {
        char *argv[WORDS];

        for (int i = 0; i < count; i++)
            argv[i] = strdup(words[i]);
        status = run_words(count, argv);
        (void)fflush(NULL);
        _exit(status);
    }
    assert_int_equal(write(master, answers, strlen(answers)), strlen(answers));
    while (length < sizeof said - 1 && (got = read(master, said + length, sizeof said - 1 - length)) > 0)
        length += (size_t)got;
    said[length] = '\0';
    (void)close(master);
    assert_int_equal(waitpid(child, &status, 0), child);
    assert_true(WIFEXITED(status));
    fprintf(print, "# answered '");
    for (const char *at = answers; *at; at++)
        fprintf(print, *at == '\n' ? " / " : *at == 4 ? "end" : "%c", *at);
    fprintf(print, "'\n");
    put_output(said);
    fprintf(print, "= %d\n\n", WEXITSTATUS(status));
}

static void cameras_are_asked_for(void **state)
{
    static const char *const answers[] = {
        /* rig, kept, rig, kept, none; the clock of each */
        "1\nn\n2\n\n\n\n\n\n\n",
        "9\n0\nx\n2x\n2\nn\n\n\nIMG_1.JPG 15:00:00\n\n\n\n",
        "\n\n\nIMG_9.JPG 15:00:00\nIMG_5.JPG\nIMG_5.JPG 25:00:00\nIMG_5.JPG 16:12:00\n\n\n",
        "1\ny\n3\ny\n\n\n\n\n\n",
        "\4\4\4\4\4\4\4",
        "00000000000000000000000000000001\n1\n\4\4\4\4\4\4\4",
    };
    char folder[SCRATCH + 8], kept[] = "moonstand/setup.json";
    const char *words[] = {"report", "--pictures", folder};

    (void)state;
    live_two();
    see_pictures();
    (void)snprintf(folder, sizeof folder, "%s/seen", state_home);
    begin_print();
    for (size_t i = 0; i < sizeof answers / sizeof *answers; i++) {
        put_file(kept, "{\"rigs\": [{\"name\": \"wide\", \"focal_mm\": 24, \"f_number\": 2.8},\n"
                       " {\"name\": \"long\", \"focal_mm\": 400, \"f_number\": 8}]}\n");
        ask_on_a_terminal(words, 3, answers[i]);
        put_file_as_output(kept);
    }
    end_print("commands-asked");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        HERE(commands_that_print),      HERE(every_command_has_help),  HERE(shells_complete),
        HERE(commands_of_a_setup),      HERE(commands_after_the_night), HERE(pictures_that_were_seen),
        HERE(cameras_are_asked_for),    HERE(pictures_are_looked_at),
    };
    const size_t count = sizeof tests / sizeof *tests;

    /* The box of a picture leaves a sanitizer no room. */
    return _cmocka_run_group_tests("tests", tests, SLOWED ? count - 1 : count, prepare, NULL);
}
