/* Every call of the system that our own objects make and that can fail, but for printing: result,
 * name, parameters, arguments, what it returns when it fails, and why (errno). The linker hands each
 * to its twin in test_faults.c; the Makefile takes the names from here. Those that also play a part
 * in the night there stand as OWN_CALL. The mode of open and the like is always named: a caller that
 * has none leaves it open. */

/* memory */
CALL(void *, malloc, (size_t size), (size), NULL, ENOMEM)
CALL(void *, calloc, (size_t count, size_t size), (count, size), NULL, ENOMEM)
CALL(void *, realloc, (void *old, size_t size), (old, size), NULL, ENOMEM)

/* files */
CALL(int, open64, (const char *path, int flags, mode_t mode), (path, flags, mode), -1, EMFILE)
CALL(int, openat64, (int at, const char *path, int flags, mode_t mode), (at, path, flags, mode), -1,
     EIO)
CALL(ssize_t, read, (int file, void *bytes, size_t size), (file, bytes, size), -1, EIO)
CALL(ssize_t, pread64, (int file, void *bytes, size_t size, off_t at), (file, bytes, size, at), -1,
     EIO)
OWN_CALL(ssize_t, write, (int file, const void *bytes, size_t size), (file, bytes, size), -1,
         ENOSPC)
CALL(int, fsync, (int file), (file), -1, EIO)
CALL(int, fdatasync, (int file), (file), -1, EIO)
CALL(int, ftruncate64, (int file, off_t size), (file, size), -1, EIO)
OWN_CALL(int, close, (int file), (file), -1, EIO)
CALL(int, rename, (const char *from, const char *to), (from, to), -1, EACCES)
CALL(int, unlink, (const char *path), (path), -1, EACCES)
CALL(int, mkdir, (const char *path, mode_t mode), (path, mode), -1, ENOSPC)
CALL(int, access, (const char *path, int how), (path, how), -1, EACCES)
CALL(int, stat64, (const char *path, struct stat *out), (path, out), -1, EACCES)
CALL(int, fstat64, (int file, struct stat *out), (file, out), -1, EIO)
CALL(int, fstatat64, (int at, const char *path, struct stat *out, int flags), (at, path, out, flags),
     -1, EACCES)
CALL(ssize_t, readlink, (const char *path, char *out, size_t size), (path, out, size), -1, EACCES)
CALL(ssize_t, readlinkat, (int at, const char *path, char *out, size_t size), (at, path, out, size),
     -1, EIO)
CALL(char *, getcwd, (char *out, size_t size), (out, size), NULL, ENOENT)
CALL(int, linkat, (int at, const char *from, int to_at, const char *to, int flags),
     (at, from, to_at, to, flags), -1, EPERM)
CALL(int, renameat, (int at, const char *from, int to_at, const char *to), (at, from, to_at, to),
     -1, EACCES)
CALL(int, unlinkat, (int at, const char *path, int flags), (at, path, flags), -1, EACCES)
CALL(int, fchown, (int file, uid_t owner, gid_t group), (file, owner, group), -1, EPERM)
CALL(int, fchmod, (int file, mode_t mode), (file, mode), -1, EPERM)
CALL(int, statvfs64, (const char *path, struct statvfs *out), (path, out), -1, EIO)
CALL(int, flock, (int file, int how), (file, how), -1, ENOLCK)
CALL(int, futimens, (int file, const struct timespec *times), (file, times), -1, EACCES)
CALL(char *, realpath, (const char *path, char *out), (path, out), NULL, ENOMEM)
CALL(DIR *, opendir, (const char *path), (path), NULL, EMFILE)
CALL(struct dirent *, readdir64, (DIR * folder), (folder), NULL, EIO)
CALL(int, scandir64,
     (const char *path, struct dirent ***out, scandir_filter *filter, scandir_order *order),
     (path, out, filter, order), -1, ENOMEM)
CALL(int, fflush, (FILE * out), (out), EOF, ENOSPC)

/* the receiver */
OWN_CALL(int, socket, (int family, int type, int protocol), (family, type, protocol), -1, EMFILE)
OWN_CALL(int, connect, (int file, const struct sockaddr *to, socklen_t size), (file, to, size), -1,
         ECONNREFUSED)
CALL(ssize_t, send, (int file, const void *bytes, size_t size, int flags),
     (file, bytes, size, flags), -1, EPIPE)
CALL(ssize_t, recv, (int file, void *bytes, size_t size, int flags), (file, bytes, size, flags), -1,
     ECONNRESET)

/* what the loop, the journal's thread and the terminal ask of the kernel */
CALL(int, eventfd, (unsigned count, int flags), (count, flags), -1, EMFILE)
CALL(int, eventfd_write, (int file, eventfd_t count), (file, count), -1, EAGAIN)
CALL(int, inotify_init1, (int flags), (flags), -1, EMFILE)
CALL(int, inotify_add_watch, (int file, const char *path, uint32_t mask), (file, path, mask), -1,
     ENOSPC)
CALL(int, signalfd, (int file, const sigset_t *set, int flags), (file, set, flags), -1, EMFILE)
OWN_CALL(int, timerfd_create, (clockid_t id, int flags), (id, flags), -1, EMFILE)
OWN_CALL(int, timerfd_settime,
         (int file, int flags, const struct itimerspec *next, struct itimerspec *old),
         (file, flags, next, old), -1, EINVAL)
OWN_CALL(int, ppoll,
         (struct pollfd * fds, nfds_t count, const struct timespec *limit, const sigset_t *set),
         (fds, count, limit, set), -1, EINTR)
CALL(int, poll, (struct pollfd * fds, nfds_t count, int limit), (fds, count, limit), -1, EINTR)
OWN_CALL(int, pthread_create,
         (pthread_t * out, const pthread_attr_t *attributes, thread_start *run, void *argument),
         (out, attributes, run, argument), EAGAIN, EAGAIN)
CALL(int, isatty, (int file), (file), 0, ENOTTY)
CALL(int, tcgetattr, (int file, struct termios *out), (file, out), -1, EIO)
CALL(int, tcsetattr, (int file, int when, const struct termios *modes), (file, when, modes), -1,
     EIO)
CALL(int, dup2, (int from, int to), (from, to), -1, EMFILE)
CALL(int, memfd_create, (const char *name, unsigned flags), (name, flags), -1, EMFILE)
CALL(int, fcntl64, (int file, int what, long argument), (file, what, argument), -1, EMFILE)
CALL(int, ioctl, (int file, unsigned long what, void *argument), (file, what, argument), -1, EIO)
CALL(int, adjtimex, (struct timex * out), (out), -1, EPERM)

/* programs of the user's */
CALL(int, pipe2, (int ends[2], int flags), (ends, flags), -1, EMFILE)
CALL(pid_t, fork, (void), (), -1, EAGAIN)
CALL(int, execvpe, (const char *file, char *const argv[], char *const environment[]),
     (file, argv, environment), -1, ENOENT)
CALL(int, waitid, (idtype_t type, id_t id, siginfo_t *out, int options), (type, id, out, options),
     -1, ECHILD)
CALL(pid_t, waitpid, (pid_t id, int *status, int options), (id, status, options), -1, ECHILD)
