/* What a key asks, and what it answers besides the words of its act. */
#include <moonstand/key_words.h>
#include <moonstand/night.h>

#include <stdio.h>

const char *prompt_words(enum prompt prompt, enum units units)
{
    static const struct {
        const char *metric, *imperial; /* null: the same */
    } questions[] = {
        [PROMPT_NOTE] = {"Note", NULL},
        [PROMPT_SITE] = {"Latitude, longitude[, m]", NULL},
        [PROMPT_AIR] = {"Temperature C, humidity %", "Temperature F, humidity %"},
        [PROMPT_RATING] = {"Umbra as seen, L 0 to 4", NULL},
        [PROMPT_LOOKED_RIGHT] = {"Looked right, e.g. 1/60 400", NULL},
        [PROMPT_LOOKED_FAR] = {"Looked right? Enter: yes, Esc: no", NULL},
        [PROMPT_OPTICS] = {"f 8, filter 3, extender 1.4 or interval 20", NULL},
        [PROMPT_AIMED] = {"Moon at % right, % up (nothing: centre)", NULL},
        [PROMPT_SEEN] = {"Moon drifted to % right, % up", NULL},
        [PROMPT_CAMERA_CLOCK] = {"Camera shows HH:MM:SS", NULL},
        [PROMPT_ITEM] = {"To do [@ 21:30, or @ U2-10m]", NULL},
        [PROMPT_ITEM_PAST] = {"That time is past. t: tomorrow, d: done, Esc: back", NULL},
        [PROMPT_ITEM_GONE] = {"That time is past. s: still to do, d: done, Esc: back", NULL},
        [PROMPT_FORECAST] = {"Time, cloud %, C, humidity %, wind m/s",
                             "Time, cloud %, F, humidity %, wind mph"},
        [PROMPT_BATTERY_AGAIN] = {"Battery again? Enter: yes, Esc: no", NULL},
        [PROMPT_CARD_AGAIN] = {"Card again? Enter: yes, Esc: no", NULL},
        [PROMPT_SETUP] = {NULL, NULL},
    };
    const char *imperial = questions[prompt].imperial;

    return units == UNITS_IMPERIAL && imperial ? imperial : questions[prompt].metric;
}

char *umbra_follows_words(const struct night *night, double danjon_l, unsigned followers,
                          char out[SENTENCE])
{
    static const char *const verbs[] = {"other rigs stay as planned", " follows", " follow"};
    int named = 0;

    (void)snprintf(out, SENTENCE, "umbra L %.1f: ", danjon_l);
    for (int rig = 0; rig < night->setup.rig_count; rig++) {
        const char *between = followers >> (rig + 1) ? ", " : " and ";

        if (followers >> rig & 1)
            text_add(out, SENTENCE, named++ > 0 ? between : "", "%s", night->rig[rig].rig.name);
    }
    text_add(out, SENTENCE, "", "%s", verbs[named > 1 ? 2 : named]);
    return out;
}
