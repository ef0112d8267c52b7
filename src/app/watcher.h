/* Private to app: the process that watches the folders of pictures. */
#ifndef MOONSTAND_APP_WATCHER_H
#define MOONSTAND_APP_WATCHER_H

struct fault;

/* The dashboard starts itself with this word, the folder of its session, and the instant since when
 * pictures count. */
#define WATCHER_COMMAND "--watch"
/* With the words after it; the exit status. */
int watcher_command(int argc, char **argv);

/* Watches the folders that the setup of a session names, looks at each new picture in the box, writes
 * it into the session and reports it on standard output (struct glance), until that is closed. What
 * was there before `since_utc` (NaN: whenever) is left alone. Returns -1 with a fault if it cannot
 * begin. */
int watcher_run(const char *session, double since_utc, struct fault *fault);

#endif
