/* Whether limits of time are held: not under a sanitizer, which slows all down, nor on i386, whose
 * mathematical libraries are built for the x87 and take several times as long. */
#ifndef MOONSTAND_TESTS_TIMED_H
#define MOONSTAND_TESTS_TIMED_H

#if defined(__SANITIZE_ADDRESS__) || defined(__SANITIZE_THREAD__) || defined(__i386__)
#define TIMED 0
#elif defined(__has_feature)
#if __has_feature(address_sanitizer) || __has_feature(thread_sanitizer)
#define TIMED 0
#endif
#endif
#ifndef TIMED
#define TIMED 1
#endif

#endif
