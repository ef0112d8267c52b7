/* store: the sign of life of a running program. */
#ifndef MOONSTAND_ALIVE_H
#define MOONSTAND_ALIVE_H

/* Marks that at `utc` somebody was still being told what happens; quiet where it cannot. */
void alive_set(const char *folder, double utc);
/* The last such mark, as finely as the file system keeps it; NaN where there is none. */
double alive_utc(const char *folder);

#endif
