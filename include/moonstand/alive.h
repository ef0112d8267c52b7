/* store: until when a session was watched. */
#ifndef MOONSTAND_ALIVE_H
#define MOONSTAND_ALIVE_H

/* Marks that the program was running at `utc`; ignores errors. */
void alive_set(const char *folder, double utc);
/* The last mark, with the resolution of the file system; NaN if there is none. */
double alive_utc(const char *folder);

#endif
