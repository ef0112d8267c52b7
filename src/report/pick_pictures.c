/* Frames nearest to given instants, and names that put pictures in order. */
#include "print.h"

#include <ctype.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

/* A frame further from a contact than this shows something else. */
#define BESIDE_S 600.0

/* By how much the instants of a chain are apart; 0: the contacts are asked for. */
static int parse_every(const char *what, double *every_s, struct fault *fault)
{
    static const struct {
        const char *unit;
        double seconds;
    } units[] = {{"s", 1}, {"min", 60}, {"h", 3600}};
    static const char chain[] = "chain=";
    char *unit;

    *every_s = 0;
    if (strcmp(what, "contacts") == 0)
        return 0;
    if (strncmp(what, chain, strlen(chain)) == 0) {
        double number = strtod(what + strlen(chain), &unit);

        for (size_t i = 0; i < sizeof units / sizeof *units; i++)
            if (strcmp(unit, units[i].unit) == 0)
                *every_s = number * units[i].seconds;
        if (*every_s >= 1 && *every_s <= 24 * 3600.0)
            return 0;
    }
    return fault_set(fault, "--pick: found '%.60s'; expected contacts, or chain=20min (also s, h)",
                     what);
}

/* Picks the picture of a rig that is nearest to an instant, if it is not further from it than that. */
static void pick_nearest(struct pictures *pictures, int rig, double utc, double most_s,
                         const char *why)
{
    struct picture *best = NULL;
    double least = INFINITY;

    for (size_t i = 0; i < pictures->count; i++) {
        struct picture *picture = &pictures->item[i];
        double off = fabs(picture->utc - utc);

        if (picture->rig == rig && off < least) {
            best = picture;
            least = off;
        }
    }
    if (best && least <= most_s)
        best->picked = why;
}

static void pick_contacts(struct pictures *pictures, const struct night *night, int rig)
{
    for (int i = 0; i < CONTACT_COUNT; i++)
        pick_nearest(pictures, rig, night->contact_utc[i], BESIDE_S, contact_name((enum contact)i));
}

/* One frame answers for one instant, if it is nearer to it than half of an interval. */
static void pick_chain(struct pictures *pictures, const struct night *night, int rig,
                       double every_s)
{
    double greatest = night->contact_utc[CONTACT_GREATEST], first = INFINITY, last = -INFINITY;

    for (size_t i = 0; i < pictures->count; i++)
        if (pictures->item[i].rig == rig) {
            first = fmin(first, pictures->item[i].utc);
            last = fmax(last, pictures->item[i].utc);
        }
    for (double n = ceil((first - greatest) / every_s - 0.5);
         greatest + n * every_s <= last + every_s / 2; n++)
        pick_nearest(pictures, rig, greatest + n * every_s, every_s / 2, "chain");
}

static int by_time(const void *a, const void *b)
{
    double first = ((const struct picture *)a)->utc, second = ((const struct picture *)b)->utc;

    return (first > second) - (first < second);
}

int pictures_pick(struct pictures *pictures, const struct night *night, const char *what,
                  struct fault *fault)
{
    double every_s;
    size_t kept = 0;

    if (parse_every(what, &every_s, fault) != 0)
        return -1;
    for (size_t i = 0; i < pictures->count; i++)
        pictures->item[i].utc = picture_utc(night, &pictures->item[i]);
    for (int rig = -1; rig < night->setup.rig_count; rig++)
        if (every_s > 0)
            pick_chain(pictures, night, rig, every_s);
        else
            pick_contacts(pictures, night, rig);
    for (size_t i = 0; i < pictures->count; i++) {
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
