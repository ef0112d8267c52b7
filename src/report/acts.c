/* What the acts of a night tell about an instant. */
#include "print.h"

#include <moonstand/angle.h>
#include <moonstand/series.h>

#include <math.h>
#include <string.h>

void circumstances_at(const struct night *night, double utc, struct circumstances *circumstances)
{
    double tt = tt_from_utc(utc);
    struct shadow shadow;
    struct sight moon;

    shadow_at(&night->arc, tt, night->eclipse.rule, &shadow);
    sky_moon(&night->arc, &night->observer, utc, &moon);
    circumstances->phase = eclipse_phase(&night->eclipse, tt);
    circumstances->umbral_magnitude = shadow.umbral_magnitude;
    circumstances->penumbral_magnitude = shadow.penumbral_magnitude;
    circumstances->moon_altitude_rad = moon.altitude_rad;
}

double recorded_until(const struct night *night)
{
    double until = night->alive_utc;

    for (size_t i = 0; i < night->act_count; i++)
        until = fmax(until, night->acts[i].utc);
    return until;
}

/* Whether the program ran then: not in a gap, and not after its last sign of life. */
static bool is_recorded(const struct night *night, double utc)
{
    for (size_t i = 0; i < night->act_count; i++) {
        const struct act *act = &night->acts[i];

        if (act->kind == ACT_GAP && utc > act->value[0] && utc < act->value[1])
            return false;
    }
    return utc <= recorded_until(night);
}

const struct act *setting_before(const struct night *night, const struct act *act, int rig)
{
    while (act > night->acts) {
        act--;
        if (act->kind == ACT_SETTING && act->rig == rig && !act->undone)
            return act;
    }
    return NULL;
}

const struct act *setting_at(const struct night *night, int rig, double utc)
{
    const struct act *setting = night->acts + night->act_count;

    if (!is_recorded(night, utc))
        return NULL;
    do
        setting = setting_before(night, setting, rig);
    while (setting && setting->utc > utc);
    return setting;
}

bool is_dialled(const struct night *night, const struct act *setting)
{
    const struct act *before = setting_before(night, setting, setting->rig);

    return !before || before->value[0] != setting->value[0] ||
           before->value[1] != setting->value[1] || before->value[3] != setting->value[3];
}

void put_circumstances(struct node object, const struct night *night, double utc)
{
    struct circumstances at;

    circumstances_at(night, utc, &at);
    put_text(object, "phase", phase_name(at.phase));
    put_number(object, "umbral_magnitude", at.umbral_magnitude, 5);
    put_number(object, "penumbral_magnitude", at.penumbral_magnitude, 5);
    put_deg(object, "moon_altitude_deg", at.moon_altitude_rad);
}

void csv_circumstances(struct csv *csv, const struct night *night, double utc)
{
    struct circumstances at;

    circumstances_at(night, utc, &at);
    csv_text(csv, phase_name(at.phase));
    csv_number(csv, at.umbral_magnitude, 5);
    csv_number(csv, at.penumbral_magnitude, 5);
    csv_number(csv, deg_from_rad(at.moon_altitude_rad), 3);
}

void put_act_values(struct node object, const struct act *act)
{
    const struct act_form *form = act_form(act->kind);

    for (int i = 0; form->value[i].name; i++) {
        const char *name = form->value[i].name;
        double value = act->value[i];

        if (act_value_is_instant(name))
            put_instant(object, name, value);
        else if (strcmp(name, "target") == 0)
            put_text(object, name, target_name((enum target)value));
        else if (strcmp(name, "shutter") == 0)
            put_text(object, name, shutter_label((int)value));
        else if (strcmp(name, "iso") == 0)
            put_number(object, name, iso_label((int)value), 0);
        else
            put_number(object, name, value, 6);
    }
}
