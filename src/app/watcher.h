/* Private to app: the process that watches the folders of pictures. */
#ifndef MOONSTAND_APP_WATCHER_H
#define MOONSTAND_APP_WATCHER_H

/* The dashboard starts itself with this word, the folder of its session, and the instant since when
 * pictures count. */
#define WATCHER_COMMAND "--watch"
/* With the words after it; the exit status. */
int watcher_command(int argc, char **argv);

#endif
