/* Which settings were only advised, and which are known to have been dialled. */
#include "print.h"

#include <moonstand/series.h>

#include <math.h>
#include <stdlib.h>

struct proof *proof_of(struct proof *proofs, const struct night *night, const struct act *setting)
{
    return &proofs[proofs[setting - night->acts].dialled];
}

/* What goes on for another target is confirmed together with what was dialled for the first. */
static void find_dialled(struct proof *proofs, const struct night *night)
{
    for (size_t i = 0; i < night->act_count; i++) {
        const struct act *act = &night->acts[i];

        proofs[i].dialled = i;
        if (act->kind == ACT_SETTING && !act->undone && !is_dialled(night, act))
            proofs[i].dialled = proofs[setting_before(night, act, act->rig) - night->acts].dialled;
    }
}

/* Each picture confirms or contradicts the setting that was in force when it was taken: on the nearest
 * steps of the dial, or within the rig's tolerance, which is what the rounds keep it to. */
static void hear_picture(struct proof *proofs, const struct night *night,
                         const struct picture *picture)
{
    const struct act *setting =
        picture->rig >= 0 && isfinite(picture->shutter_s) && isfinite(picture->iso)
            ? setting_at(night, picture->rig, picture_utc(night, picture))
            : NULL;

    if (!setting)
        return;
    struct proof *proof = proof_of(proofs, night, setting);
    int longer = shutter_index(picture->shutter_s) - (int)setting->value[0];
    int more_iso = iso_index(picture->iso) - (int)setting->value[1];
    double tolerance = 3 * night->rig[picture->rig].rig.tolerance_stops;

    if (longer == 0 && more_iso == 0)
        proof->same++;
    else if (abs(longer + more_iso) <= tolerance + 1e-9)
        proof->near++;
    else
        proof->others++;
}

/* Who takes a frame by hand, or says that a round is done, has set the camera. The settings that were
 * made in a round come before it. */
static void hear_user(struct proof *proofs, const struct night *night)
{
    for (size_t i = 0; i < night->act_count; i++) {
        const struct act *act = &night->acts[i];

        if (act->undone)
            continue;
        const struct act *setting =
            act->kind == ACT_FRAME ? setting_before(night, act, act->rig) : NULL;
        if (setting)
            proof_of(proofs, night, setting)->by_user = true;
        for (size_t k = 1; act->kind == ACT_ROUND && k <= i && (double)k <= act->value[1]; k++)
            proof_of(proofs, night, act - k)->by_user |= night->acts[i - k].kind == ACT_SETTING;
    }
}

struct proof *proofs_make(const struct night *night, const struct pictures *pictures)
{
    struct proof *proofs = calloc(night->act_count + 1, sizeof *proofs);

    if (proofs) {
        find_dialled(proofs, night);
        hear_user(proofs, night);
    }
    for (size_t i = 0; proofs && pictures && i < pictures->count; i++)
        hear_picture(proofs, night, &pictures->item[i]);
    return proofs;
}

bool is_confirmed(const struct proof *proof)
{
    return proof->same + proof->near > 0 || proof->by_user;
}
