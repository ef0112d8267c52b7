/* screen: themes as they are worn. */
#ifndef MOONSTAND_PALETTE_H
#define MOONSTAND_PALETTE_H

struct fault;
struct theme;

/* The red theme: pure red on black at both steps. */
void theme_default(struct theme *theme);
/* Whether every role differs from the background. */
int theme_valid(const struct theme *theme, struct fault *fault);

#endif
