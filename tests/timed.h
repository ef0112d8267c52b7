/* SLOWED: everything takes several times as long, so that a part of the work has to do: under a
 * sanitizer, and on i386, whose mathematical libraries are built for the x87. TIMED: limits of time
 * are held. QUICK: the suite has done in full what is done here in short. */
#ifndef MOONSTAND_TESTS_TIMED_H
#define MOONSTAND_TESTS_TIMED_H

#include <stdlib.h>

#define QUICK (getenv("MOONSTAND_QUICK") != NULL)

#if defined(__SANITIZE_ADDRESS__) || defined(__SANITIZE_THREAD__) || defined(__i386__)
#define SLOWED 1
#elif defined(__has_feature)
#if __has_feature(address_sanitizer) || __has_feature(thread_sanitizer)
#define SLOWED 1
#endif
#endif
#ifndef SLOWED
#define SLOWED 0
#endif
#ifndef TIMED
#define TIMED (!SLOWED)
#endif

#endif
