/* Dew and frost in words. */
#include <moonstand/air.h>
#include <moonstand/moment.h>
#include <moonstand/words.h>

#include <stdio.h>

const char *air_advice_words(enum air_advice advice)
{
    static const char *const text[] = {
        "The glass is well above the dew point.",
        "Dew is near: put the dew shield on and have the heater ready.",
        "Dew is likely soon: look at the glass, heater on. Never wipe it.",
        "Dew is likely: look at the glass. Warm it until it is clear, never wipe it.",
        "Frost is likely: look at the glass. Warm it until it is clear, never scrape it.",
    };

    return text[advice];
}

char *glass_words(const struct subject *about, char out[GLASS_WORDS])
{
    const struct moment *moment = about->moment;
    int count = about->night->setup.rig_count, asked = 0;
    size_t length;

    out[0] = '\0';
    for (int i = 0; i < count; i++)
        asked += moment->rig[i].look_at_glass;
    if (asked == 0)
        return out;
    length = (size_t)snprintf(out, GLASS_WORDS, "%s likely: look at the glass",
                              moment->air.advice == AIR_FROST ? "frost" : "dew");
    for (int i = 0, named = 0; i < count && asked < count && length < GLASS_WORDS; i++)
        if (moment->rig[i].look_at_glass)
            length += (size_t)snprintf(out + length, GLASS_WORDS - length, "%s%s",
                                       named++ ? ", " : " of ", about->night->rig[i].rig.name);
    return out;
}
