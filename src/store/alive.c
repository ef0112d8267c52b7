/* The mark is the time stamp of SESSION/alive. It is not synced: losing the last minute costs
 * nothing. */
#include "files.h"

#include <moonstand/alive.h>
#include <moonstand/forecast_file.h>

#include <fcntl.h>
#include <math.h>
#include <sys/stat.h>
#include <unistd.h>

#define ALIVE_NAME "alive"

void alive_set(const char *folder, double utc)
{
    char path[PATH_SIZE];
    struct timespec times[2];

    if (path_in(folder, ALIVE_NAME, path, NULL) != 0 || !isfinite(utc))
        return;
    int fd = file_open_at(AT_FDCWD, path, O_WRONLY | O_CREAT);
    if (fd < 0)
        return;
    times[0].tv_sec = (time_t)floor(utc);
    times[0].tv_nsec = (long)((utc - floor(utc)) * 1e9);
    times[1] = times[0];
    (void)futimens(fd, times);
    (void)close(fd);
}

double alive_utc(const char *folder)
{
    char path[PATH_SIZE];

    return path_in(folder, ALIVE_NAME, path, NULL) == 0 ? file_written_utc(path) : NAN;
}
