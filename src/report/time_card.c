/* Clocks of cameras, corrected by pictures of the time card. */
#include "print.h"

#include <math.h>
#include <string.h>

/* Of that rig; -1: of any. */
static struct picture *find(struct pictures *pictures, int rig, const char *name)
{
    for (size_t i = 0; i < pictures->count; i++) {
        const char *full = pictures->item[i].name;

        if (rig >= 0 && pictures->item[i].rig != rig)
            continue;
        if (strcmp(full, name) == 0 || strcmp(path_name(full), name) == 0)
            return &pictures->item[i];
    }
    return NULL;
}

/* The UTC that shows this time of day and is nearest to what is known of the picture. */
static int card_utc(const struct night *night, const struct picture *picture, const char *shown,
                    double *utc)
{
    double about = picture_utc(night, picture);
    char day[TEXT_INSTANT], whole[TEXT_INSTANT];

    (void)snprintf(whole, sizeof whole, "%.10sT%.12s", format_iso(day, about, 0, ""), shown);
    if (parse_instant(whole, utc, NULL) != 0)
        return -1;
    *utc += SECONDS_PER_DAY * round((about - *utc) / SECONDS_PER_DAY);
    return 0;
}

int picture_time_card(struct pictures *pictures, const struct night *night, int rig,
                      const char *card, struct fault *fault)
{
    char name[PICTURE_NAME];
    const char *shown = strrchr(card, '=');
    double utc, behind_s;

    shown = shown ? shown : strrchr(card, ' ');
    if (!shown || shown == card || shown - card >= PICTURE_NAME)
        return fault_set(fault, "time card: found '%.60s'; expected FILE=HH:MM:SS", card);
    (void)snprintf(name, sizeof name, "%.*s", (int)(shown - card), card);
    const struct picture *picture = find(pictures, rig, name);
    if (!picture)
        return fault_set(fault, "time card: there is no picture '%.60s'", name);
    if (card_utc(night, picture, shown + 1, &utc) != 0)
        return fault_set(fault, "time card: found '%.20s'; expected a time, such as 20:15:03",
                         shown + 1);
    behind_s = utc - picture->time;
    rig = picture->rig;
    if (rig < 0)
        return fault_set(fault, "time card: it is not known which rig took %.60s", name);
    for (size_t i = 0; i < pictures->count; i++)
        if (pictures->item[i].rig == rig && !pictures->item[i].is_utc)
            pictures->item[i].behind_s = behind_s;
    return 0;
}

int pictures_time_card(struct pictures *pictures, const struct night *night, const char *cards,
                       struct fault *fault)
{
    char card[PICTURE_NAME + 16];

    while (*cards) {
        size_t length = strcspn(cards, ",");

        (void)snprintf(card, sizeof card, "%.*s", (int)length, cards);
        if (picture_time_card(pictures, night, -1, card, fault) != 0)
            return -1;
        cards += length + (cards[length] == ',');
    }
    return 0;
}
