/* Where the pictures have the Moon, against where the aim of a tripod has it. */
#include "derive.h"

#include <math.h>

/* Of the frame's height: a place this close to the aim confirms it; in a wide picture, where one
 * place alone may be a lamp. */
#define FITS 0.02
#define FITS_WIDE 0.05
/* Two pictures agree if the second has the Moon where the first and its drift would have it, to this
 * and to half of the drift: a lamp or a reflection stands still. A shorter drift tells nothing. */
#define AGREE 0.02
#define DRIFT_LEAST 0.001
/* Pictures further apart are not held against one another. */
#define PAIR_WITHIN_S 300.0
/* A place that is further off is corrected, so often at most. */
#define CORRECT_FROM 0.005
#define CORRECT_EVERY_S 60.0
/* An alarm that is due within so long is not put off without a word, which stands as long. */
#define ALARM_NEAR_S 60.0

/* Of the frame's height. */
static double apart(const struct rig *rig, struct frame_point a, struct frame_point b)
{
    double wide = rig_frame_width_mm(rig) / rig_frame_height_mm(rig);

    return hypot((a.x - b.x) * wide, a.y - b.y);
}

/* Where the aim in force has the Moon; NaN: there is none, or it is younger. */
static struct frame_point aimed_place(const struct night *night, const struct rig_state *rig,
                                      double utc)
{
    struct frame_point unknown = {NAN, NAN};

    return rig->aimed && isfinite(rig->leaves_utc) && utc >= rig->aimed_utc
               ? place_at(&rig->rig, &night->track, &rig->pointing, utc)
               : unknown;
}

/* Where a level camera that had the Moon there has it at `utc`. */
static struct frame_point drifted(const struct night *night, const struct rig *rig,
                                  const struct look_at_moon *look, double utc)
{
    struct pointing pointing;

    (void)pointing_for(rig, track_direction(&night->track, look->utc), look->place, &pointing);
    return place_at(rig, &night->track, &pointing, utc);
}

static bool agree(const struct night *night, const struct rig *rig,
                  const struct look_at_moon *before, const struct look_at_moon *look)
{
    struct frame_point expected = drifted(night, rig, before, look->utc);
    double drift = apart(rig, before->place, expected), miss = apart(rig, expected, look->place);

    return drift >= DRIFT_LEAST && miss <= AGREE && miss <= drift / 2;
}

/* Whether an earlier look has the Moon elsewhere as well, and agrees. */
static bool is_confirmed(const struct night *night, const struct album *album, int rig, double fits)
{
    const struct rig_state *state = &night->rig[rig];
    const struct look_at_moon *look = &album->look[0];

    for (int i = 1; i < album->look_count; i++) {
        const struct look_at_moon *before = &album->look[i];

        if (look->utc - before->utc > PAIR_WITHIN_S ||
            (state->aimed && before->utc < state->aimed_utc))
            return false;
        if (isfinite(before->place.x) &&
            !(apart(&state->rig, before->place, aimed_place(night, state, before->utc)) <= fits) &&
            agree(night, &state->rig, before, look))
            return true;
    }
    return false;
}

void see_spot(const struct night *night, struct moment *moment, int rig)
{
    const struct rig_state *state = &night->rig[rig];
    const struct album *album = &moment->readings.album[rig];
    const struct look_at_moon *look = &album->look[0];
    struct moon_spot *spot = &moment->album[rig].spot;
    double fits = rig_is_wide(&state->rig) ? FITS_WIDE : FITS;

    if (state->over_due_utc < state->due_utc && moment->utc - state->aimed_utc < ALARM_NEAR_S)
        moment->album[rig].put_off_utc = state->over_due_utc;
    if (state->rig.support != SUPPORT_FIXED || album->look_count == 0 || !isfinite(look->place.x) ||
        moment->utc - look->utc > PAIR_WITHIN_S || !moment->moon.up ||
        moment->utc >= state->ends_utc || (state->aimed && look->utc < state->aimed_utc))
        return;
    spot->off = apart(&state->rig, look->place, aimed_place(night, state, look->utc));
    spot->place = drifted(night, &state->rig, look, moment->utc);
    if (spot->off <= fits)
        spot->kind = SPOT_FITS;
    else if (is_confirmed(night, album, rig, fits))
        spot->kind = SPOT_MOVED;
}

/* An aim by pictures that was undone is not made again before the rig is aimed by hand. */
static bool is_unwanted(const struct night *night, int rig)
{
    for (size_t i = night->act_count; i-- > 0;) {
        const struct act *act = &night->acts[i];

        if (act->rig == rig && act->kind == ACT_SPOTTED && act->undone)
            return true;
        if (act->rig == rig && (act->kind == ACT_AIM || act->kind == ACT_POINT ||
                                act->kind == ACT_SPOTTED))
            return false;
    }
    return false;
}

bool spot_act(const struct night *night, const struct moment *moment, int rig, struct act *act)
{
    const struct rig_state *state = &night->rig[rig];
    const struct moon_spot *spot = &moment->album[rig].spot;
    bool in_frame = fabs(spot->place.x) <= 0.5 && fabs(spot->place.y) <= 0.5;
    bool correct = spot->kind == SPOT_FITS && !state->pointed && spot->off > CORRECT_FROM &&
                   moment->utc - state->aimed_utc >= CORRECT_EVERY_S;

    if (!in_frame || !(correct || (spot->kind == SPOT_MOVED && !is_unwanted(night, rig))))
        return false;
    act->kind = correct ? ACT_PLACE : ACT_SPOTTED;
    act->value[0] = spot->place.x;
    act->value[1] = spot->place.y;
    act->value[2] = moment->rig[rig].due_in_s <= ALARM_NEAR_S && state->aimed ? state->due_utc : NAN;
    act->value[3] = state->made_utc;
    return true;
}
