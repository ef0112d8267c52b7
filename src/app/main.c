#include "app.h"
#include "watcher.h"

#include <malloc.h>
#include <stdio.h>
#include <string.h>

static int run_command(int argc, char **argv)
{
    const struct command_row *command = command_find("");

    if (argc == 2 && strcmp(argv[1], "--help") == 0) {
        print_usage(stdout);
        return EXIT_DONE;
    }
    if (argc == 2 && strcmp(argv[1], "--version") == 0) {
        puts("moonstand " MOONSTAND_VERSION);
        return EXIT_DONE;
    }
    if (argc >= 2 && strcmp(argv[1], "--complete") == 0)
        return print_completions(argc - 2, argv + 2);
    if (argc >= 2 && strcmp(argv[1], WATCHER_COMMAND) == 0)
        return watcher_command(argc - 2, argv + 2);
    if (argc < 2 || *argv[1] == '-')
        return command_run(command, argc - 1, argv + 1);
    command = command_find(argv[1]);
    if (command && *command->name)
        return command_run(command, argc - 2, argv + 2);
    return complain_that(EXIT_BAD_INPUT, "'%.40s' is not a command; see moonstand --help", argv[1]);
}

int main(int argc, char **argv)
{
    /* What was needed once goes back to the system; by itself the limit grows with what is freed. */
    (void)mallopt(M_MMAP_THRESHOLD, 64 * 1024);
    (void)mallopt(M_TRIM_THRESHOLD, 16 * 1024);
    int status = run_command(argc, argv);
    /* Whatever has been printed, help included, must have arrived. */
    return status == EXIT_DONE ? printed(0) : status;
}
