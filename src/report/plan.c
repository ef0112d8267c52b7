/* What each rig shoots in a night, and the plan for tools. */
#include "report.h"

#include <math.h>

#define BYTES_PER_MB 1e6

/* Shots of an intervalometer, started at `start`, that fall before `utc`. */
static int shots_before(double utc, double start, double interval)
{
    return (int)ceil((utc - start) / interval);
}

/* The same on the dials, though perhaps for another target. */
static bool same_dials(const struct exposure *a, const struct exposure *b)
{
    return a->shutter == b->shutter && a->iso == b->iso && a->bracket_frames == b->bracket_frames;
}

static void add_segment(struct plan_rig *plan, struct span span, const struct exposure *exposure,
                        double start)
{
    struct plan_segment *last = plan->count > 0 ? &plan->segment[plan->count - 1] : NULL;
    int shots = shots_before(span.to, start, plan->interval_s) -
                shots_before(span.from, start, plan->interval_s);
    int frames = shots * exposure->bracket_frames;

    plan->frames += frames;
    if (last && last->span.to == span.from && same_dials(last->exposure, exposure)) {
        last->span.to = span.to;
        last->shots += shots;
        last->frames += frames;
        return;
    }
    plan->segment[plan->count++] =
        (struct plan_segment){.span = span, .exposure = exposure, .shots = shots, .frames = frames};
}

void plan_rig_make(const struct night *night, int index, struct plan_rig *plan)
{
    const struct rig *rig = &night->rig[index].rig;
    const struct run *run = &night->run[index];
    struct span up[UP_SPANS];
    int spans = up_spans(night, up);

    *plan = (struct plan_rig){.interval_s = night->shooting[index].interval_s};
    for (int j = 0; j < spans; j++)
        for (int i = 0; i < run->count; i++) {
            const struct segment *segment = &run->segment[i];
            struct span span = {fmax(segment->utc_from, up[j].from),
                                fmin(segment->utc_to, up[j].to)};

            if (segment->exposure.known && span.from < span.to)
                add_segment(plan, span, &segment->exposure, up[j].from);
        }
    plan->card_bytes = plan->frames * rig->frame_mb * BYTES_PER_MB;
}

void first_aim_make(const struct night *night, int index, struct first_aim *first)
{
    const struct rig *rig = &night->rig[index].rig;
    struct span up[UP_SPANS];
    struct vec3 moon;

    *first = (struct first_aim){.utc = NAN};
    if (rig->support != SUPPORT_FIXED || up_spans(night, up) == 0)
        return;
    first->utc = up[0].from;
    moon = track_direction(&night->track, first->utc);
    first->moon_altitude_rad = asin(moon.z);
    first->moon_azimuth_rad = angle_wrap(atan2(moon.x, moon.y));
    aim_advise(rig, &night->track, first->utc, up[0].to, &first->aim);
}

/* ---- for tools ---- */

static void put_timeline(struct document *document, cJSON *array, const struct night *night)
{
    struct line lines[TIMELINE_LINES];
    int count = timeline_make(night, lines);

    for (int i = 0; i < count; i++) {
        cJSON *object = put_object(document, array, NULL);

        put_instant(document, object, "at", lines[i].utc);
        put_text(document, object, "kind", line_kind_name(lines[i].kind));
        put_text(document, object, "what", lines[i].name);
        if (lines[i].kind == LINE_CONTACT || lines[i].kind == LINE_SHADING)
            put_flag(document, object, "moon_up", lines[i].moon_up);
    }
}

static void put_segment(struct document *document, cJSON *object,
                        const struct plan_segment *segment)
{
    const struct exposure *exposure = segment->exposure;
    char label[SHUTTER_LABEL];

    put_instant(document, object, "from", segment->span.from);
    put_instant(document, object, "to", segment->span.to);
    put_text(document, object, "shutter", shutter_label(exposure->shutter, label));
    put_number(document, object, "iso", iso_label(exposure->iso), 0);
    put_number(document, object, "f_number", exposure->f_number, 2);
    put_number(document, object, "shots", segment->shots, 0);
    put_number(document, object, "frames", segment->frames, 0);
}

static void put_pointing(struct document *document, cJSON *object, const struct night *night,
                         int index, const struct composition *composition)
{
    struct first_aim first;
    cJSON *entry;

    if (composition->once && isfinite(composition->altitude_rad)) {
        entry = put_object(document, object, "pointing");
        put_number(document, entry, "altitude_deg", deg_from_rad(composition->altitude_rad), 2);
        put_number(document, entry, "azimuth_deg", deg_from_rad(composition->azimuth_rad), 2);
        return;
    }
    first_aim_make(night, index, &first);
    if (composition->once || !isfinite(first.utc))
        return;
    entry = put_object(document, object, "first_aim");
    put_instant(document, entry, "at", first.utc);
    put_number(document, entry, "moon_altitude_deg", deg_from_rad(first.moon_altitude_rad), 2);
    put_number(document, entry, "moon_azimuth_deg", deg_from_rad(first.moon_azimuth_rad), 2);
    put_number(document, entry, "place_x", first.aim.place.x, 4);
    put_number(document, entry, "place_y", first.aim.place.y, 4);
    put_number(document, entry, "placed_stays_s", first.aim.placed_stays_s, 1);
}

static void put_rig(struct document *document, cJSON *object, const struct night *night, int index)
{
    struct composition composition;
    struct plan_rig plan;
    cJSON *segments;

    plan_rig_make(night, index, &plan);
    compose(night, index, &composition);
    put_text(document, object, "name", night->rig[index].rig.name);
    put_text(document, object, "support", support_name(night->rig[index].rig.support));
    put_number(document, object, "frames", plan.frames, 0);
    put_number(document, object, "card_bytes", plan.card_bytes, 0);
    put_number(document, object, "interval_s", plan.interval_s, 2);
    segments = put_array(document, object, "segments");
    for (int i = 0; i < plan.count; i++)
        put_segment(document, put_object(document, segments, NULL), &plan.segment[i]);
    put_flag(document, object, "fits", composition.fits);
    if (!composition.fits)
        put_text(document, object, "misfit", composition.misfit);
    put_pointing(document, object, night, index, &composition);
}

int report_plan_json(FILE *out, const struct night *night)
{
    struct document document;
    struct nights_entry entry;
    struct air_choice choice;
    struct air air;
    cJSON *root, *rigs;

    if (nights_entry_make(&entry, &night->eclipse, &night->observer) != 0)
        return -1;
    document_object(&document);
    root = document.root;
    put_eclipse(&document, put_object(&document, root, "eclipse"), &entry);
    put_timeline(&document, put_array(&document, root, "timeline"), night);
    rigs = put_array(&document, root, "rigs");
    for (int i = 0; i < night->setup.rig_count; i++)
        put_rig(&document, put_object(&document, rigs, NULL), night, i);
    air_choose(air_log_last(&night->air_log), &night->forecast,
               night->contact_utc[CONTACT_GREATEST], &choice);
    air_assess(choice.temperature_c, choice.humidity_percent, night->setup.glass_cooling_c, &air);
    put_air(&document, put_object(&document, root, "air"), &air);
    put_checklist(&document, put_object(&document, root, "kit"), night);
    put_site(&document, put_object(&document, root, "site"), night);
    return document_write(&document, out);
}
