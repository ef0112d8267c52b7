/* How each rig frames the night: the composition of a wide one, re-aims, what a mount can do. */
#include "night.h"

#include <math.h>

/* What a mount will have to do is looked for from so long before P1 on. */
#define SETTING_UP_S (2 * 3600.0)
/* A place is read off the frame to a hundredth of its height. */
#define READING 0.01

/* ---- mounts ---- */

/* The last two places of the Moon tell how far off the axis is; else the setup's word holds. */
void polar_make(const struct night *night, struct rig_state *rig)
{
    struct polar_estimate *polar = &rig->polar;

    mount_polar_estimate(&rig->rig, &night->track, rig->seen, READING, polar);
    if (isfinite(polar->az_error_arcmin))
        rig->rig.mount.polar_az_error_arcmin = polar->az_error_arcmin;
    if (isfinite(polar->alt_error_arcmin))
        rig->rig.mount.polar_alt_error_arcmin = polar->alt_error_arcmin;
}

void mount_duties_make(const struct night *night, int index, struct framing *framing)
{
    const struct rig *rig = &night->rig[index].rig;
    double from = night->contact_utc[CONTACT_P1] - SETTING_UP_S;
    double to = night->contact_utc[CONTACT_P4];

    framing->flips = false;
    framing->limit_count = 0;
    if (rig->support == SUPPORT_FIXED)
        return;
    framing->flips =
        mount_flip(&rig->mount, &night->track, from, to, night->contact_utc[CONTACT_U2],
                   night->contact_utc[CONTACT_U3], &framing->flip);
    framing->limit_count =
        mount_limits(&rig->mount, &night->track, from, to, framing->limit, RIG_LIMITS);
    if (framing->limit_count > RIG_LIMITS)
        framing->limit_count = RIG_LIMITS;
}

/* ---- tripods ---- */

static void compose(const struct night *night, const struct rig *rig, struct framing *framing)
{
    struct wide_ask ask;
    const struct wide_fit *fit;

    wide_ask_of(rig, &ask);
    wide_compose(rig, &night->eclipse_track, &night->observer.horizon, night->contact_utc, &ask,
                 &framing->composition);
    fit = &framing->composition.fit[framing->composition.use];
    framing->untouched = (struct span){fit->utc_from, fit->utc_to};
}

/* Setting up comes first; what is aimed after it while the Moon is up are re-aims. */
static void count_aims(const struct night *night, const struct rig *rig, struct framing *framing)
{
    struct aim_step step[AIM_STEPS];
    struct span up[UP_SPANS];
    int spans = up_spans(night, up), aims = 0, early = 0;

    for (int i = 0; i < spans; i++) {
        int count = aim_plan(rig, &night->eclipse_track, up[i].from, up[i].to,
                             night->contact_utc + CONTACT_U1, KEPT_OFF, step, AIM_STEPS);

        if (count == 0)
            return;
        aims += count;
        for (int j = 0; j < count && j < AIM_STEPS; j++)
            early += step[j].early;
    }
    framing->re_aims = aims > 0 ? aims - 1 : 0;
    framing->early = early;
}

void framing_make(const struct night *night, int index, struct framing *framing)
{
    const struct rig *rig = &night->rig[index].rig;

    framing->known = true;
    framing->wide = rig_is_wide(rig);
    framing->untouched = (struct span){NAN, NAN};
    framing->re_aims = framing->early = -1;
    if (framing->wide)
        compose(night, rig, framing);
    if (rig->support != SUPPORT_FIXED)
        return;
    if (framing->wide && framing->composition.fits)
        framing->re_aims = framing->early = 0;
    else
        count_aims(night, rig, framing);
}
