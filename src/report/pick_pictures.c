/* Frames nearest to given instants, and names that put pictures in order. */
#include "print.h"

#include <ctype.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

/* A frame further from a contact than this shows something else. */
#define BESIDE_S 600.0

/* What is picked. */
struct ask {
    double every_s; /* of a chain; 0: the contacts */
};

static int parse_ask(const char *what, struct ask *ask, struct fault *fault)
{
    static const struct {
        const char *unit;
        double seconds;
    } units[] = {{"s", 1}, {"min", 60}, {"h", 3600}};
    static const char chain[] = "chain=";
    char *unit;

    *ask = (struct ask){0};
    if (strcmp(what, "contacts") == 0)
        return 0;
    if (strncmp(what, chain, strlen(chain)) == 0) {
        double number = strtod(what + strlen(chain), &unit);

        for (size_t i = 0; i < sizeof units / sizeof *units; i++)
            if (strcmp(unit, units[i].unit) == 0)
                ask->every_s = number * units[i].seconds;
        if (ask->every_s >= 1 && ask->every_s <= 24 * 3600.0)
            return 0;
    }
    return fault_set(fault, "--pick: found '%.60s'; expected contacts, or chain=20min (also s, h)",
                     what);
}

/* The picture of a rig that is nearest to an instant; null: none. */
static struct picture *nearest(struct pictures *pictures, const struct night *night, int rig,
                               double utc)
{
    struct picture *best = NULL;
    double least = INFINITY;

    for (size_t i = 0; i < pictures->count; i++) {
        struct picture *picture = &pictures->item[i];
        double off = fabs(picture_utc(night, picture) - utc);

        if (picture->rig == rig && off < least) {
            best = picture;
            least = off;
        }
    }
    return best;
}

/* One frame answers for one instant: of a chain, if it is nearer to it than half of an interval. */
static void pick_rig(struct pictures *pictures, const struct night *night, int rig,
                     const struct ask *ask)
{
    double greatest = night->contact_utc[CONTACT_GREATEST], first = INFINITY, last = -INFINITY;

    for (int i = 0; i < CONTACT_COUNT && ask->every_s == 0; i++) {
        struct picture *found = isfinite(night->contact_utc[i])
                                    ? nearest(pictures, night, rig, night->contact_utc[i])
                                    : NULL;

        if (found && fabs(picture_utc(night, found) - night->contact_utc[i]) <= BESIDE_S)
            found->picked = contact_name((enum contact)i);
    }
    if (ask->every_s == 0)
        return;
    for (size_t i = 0; i < pictures->count; i++)
        if (pictures->item[i].rig == rig && isfinite(pictures->item[i].time)) {
            first = fmin(first, picture_utc(night, &pictures->item[i]));
            last = fmax(last, picture_utc(night, &pictures->item[i]));
        }
    for (double n = ceil((first - greatest) / ask->every_s - 0.5);
         greatest + n * ask->every_s <= last + ask->every_s / 2; n++) {
        double utc = greatest + n * ask->every_s;
        struct picture *found = nearest(pictures, night, rig, utc);

        if (found && fabs(picture_utc(night, found) - utc) <= ask->every_s / 2)
            found->picked = "chain";
    }
}

static int by_time(const void *a, const void *b)
{
    double first = ((const struct picture *)a)->utc, second = ((const struct picture *)b)->utc;

    return (first > second) - (first < second);
}

int pictures_pick(struct pictures *pictures, const struct night *night, const char *what,
                  struct fault *fault)
{
    struct ask ask;
    size_t kept = 0;

    if (parse_ask(what, &ask, fault) != 0)
        return -1;
    for (int rig = -1; rig < night->setup.rig_count; rig++)
        pick_rig(pictures, night, rig, &ask);
    for (size_t i = 0; i < pictures->count; i++) {
        pictures->item[i].utc = picture_utc(night, &pictures->item[i]);
        if (pictures->item[i].picked)
            pictures->item[kept++] = pictures->item[i];
        else
            free(pictures->item[i].carried);
    }
    pictures->count = kept;
    if (kept > 0)
        qsort(pictures->item, kept, sizeof *pictures->item, by_time);
    return 0;
}

/* The contact that was last; "before" before the first. */
static const char *after_contact(const struct night *night, double utc)
{
    const char *last = "before";

    for (int i = 0; i < CONTACT_COUNT; i++)
        if (i != CONTACT_GREATEST && night->contact_utc[i] <= utc)
            last = contact_name((enum contact)i);
    return last;
}

char *picture_ordered_name(const struct night *night, const struct picture *picture,
                           char out[ORDERED_NAME])
{
    const char *name = path_name(picture->name);
    const char *dot = strrchr(name, '.'), *end = dot ? dot : name + strlen(name), *number = end;
    double utc = picture_utc(night, picture);
    char when[TEXT_INSTANT];

    while (number > name && isdigit((unsigned char)number[-1]))
        number--;
    if (number == end)
        number = name;
    (void)format_iso(when, utc, 0, "");
    for (char *at = when; *at; at++)
        if (*at == ':')
            *at = '-';
    (void)snprintf(out, ORDERED_NAME, "%.20s_%.8s_%.31s_%.*s%.16s", when, after_contact(night, utc),
                   picture->rig >= 0 ? night->rig[picture->rig].rig.name : "unknown",
                   (int)fmin((double)(end - number), 60), number, dot ? dot : "");
    for (char *at = out; *at; at++)
        if (*at == '/' || *at == ' ')
            *at = '-';
    return out;
}
