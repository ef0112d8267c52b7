#include <moonstand/exposure.h>
#include <moonstand/series.h>
#include <moonstand/sheet.h>
#include <moonstand/wide.h>

#include <math.h>

/* ---- how often ---- */

const char *interval_reason_name(enum interval_reason reason)
{
    static const char *const names[INTERVAL_REASONS] = {"setup", "chain", "time-lapse",
                                                        "longest shot"};

    return names[reason];
}

/* The shortest round interval that is not below it; whole minutes where there is none. */
static double round_interval(double least_s)
{
    static const double round_s[] = {10,  12,  15,  20,  30,  60,   120,  180,
                                     240, 300, 360, 600, 720, 900, 1200, 1800, 3600};

    for (size_t i = 0; i < sizeof round_s / sizeof *round_s; i++)
        if (round_s[i] >= least_s)
            return round_s[i];
    return 60 * ceil(least_s / 60);
}

double interval_choose(const struct rig *rig, double disc_s, double busy_s,
                       enum interval_reason *reason)
{
    bool given = isfinite(rig->interval_s), chain = rig_is_wide(rig);
    double interval_s = rig->interval_s;

    *reason = given ? INTERVAL_SETUP : chain ? INTERVAL_CHAIN : INTERVAL_LAPSE;
    if (!given)
        interval_s = round_interval(chain ? fmax(60, (1 + CHAIN_GAP) * disc_s) : LAPSE_S);
    if (busy_s <= interval_s)
        return interval_s;
    *reason = INTERVAL_LONGEST;
    return given ? ceil(busy_s) : round_interval(busy_s);
}

double interval_first_utc(double from_utc, double interval_s)
{
    double step = fmod(3600, interval_s) == 0 ? interval_s : 60;

    return step * ceil(from_utc / step);
}

double shots_before(double first_utc, double interval_s, double utc)
{
    return fmax(0, ceil((utc - first_utc) / interval_s));
}

/* ---- frames on the contacts ---- */

/* The largest distance from a contact to the nearest of the frames, one of which is at greatest. */
static double worst_miss_s(const double contact_utc[CONTACT_COUNT], double utc_from, double utc_to,
                           double interval_s)
{
    double worst = 0;

    for (int i = 0; i < CONTACT_COUNT; i++) {
        double away = contact_utc[i] - contact_utc[CONTACT_GREATEST];

        if (contact_utc[i] >= utc_from && contact_utc[i] <= utc_to)
            worst = fmax(worst, fabs(away - round(away / interval_s) * interval_s));
    }
    return worst;
}

bool interval_on_contacts(const double contact_utc[CONTACT_COUNT], double utc_from, double utc_to,
                          double least_s, double most_s, struct interval_fit *fit)
{
    double greatest = contact_utc[CONTACT_GREATEST];

    *fit = (struct interval_fit){NAN, NAN, 0, INFINITY};
    if (!(greatest >= utc_from && greatest <= utc_to))
        return false;
    for (double interval = fmax(1, ceil(least_s)); interval <= most_s; interval++) {
        double miss = worst_miss_s(contact_utc, utc_from, utc_to, interval);

        if (miss < fit->worst_miss_s) {
            fit->interval_s = interval;
            fit->worst_miss_s = miss;
        }
    }
    if (isnan(fit->interval_s))
        return false;
    int before = (int)floor((greatest - utc_from) / fit->interval_s);
    fit->first_utc = greatest - before * fit->interval_s;
    fit->frames = before + (int)floor((utc_to - greatest) / fit->interval_s) + 1;
    return true;
}

/* ---- the sheet ---- */

double exposure_busy_s(const struct exposure *exposure, double saving_s)
{
    int step = (int)lround(3 * exposure->bracket_step_stops);
    double busy = saving_s * exposure->bracket_frames;

    for (int i = 0; i < exposure->bracket_frames; i++) {
        int shutter = exposure->shutter_last - i * step;

        /* A remote that also raises ISO lengthens the shutter by at most a step, up to the last. */
        if (exposure->iso_last != exposure->iso)
            shutter = (int)fmin(exposure->shutter_last, exposure->shutter + i * step);
        busy += shutter_seconds(shutter);
    }
    return busy;
}

/* Adds a finished line to the sheet. */
static void close_line(struct sheet *sheet, double start_utc, struct sheet_line *line,
                       struct sheet_line *lines, int most)
{
    int before = (int)shots_before(start_utc, sheet->interval_s, line->utc_from);

    line->shots = (int)shots_before(start_utc, sheet->interval_s, line->utc_to) - before;
    line->frames = line->shots * line->exposure->bracket_frames;
    line->start_utc = line->shots > 0 ? start_utc + before * sheet->interval_s : NAN;
    sheet->start_utc = fmin(sheet->start_utc, line->start_utc);
    sheet->shots += line->shots;
    sheet->frames += line->frames;
    sheet->least_interval_s = fmax(sheet->least_interval_s, ceil(line->busy_s));
    if (sheet->lines < most)
        lines[sheet->lines] = *line;
    sheet->lines++;
}

void sheet_add(struct sheet *sheet, const struct sheet_ask *ask, struct sheet_line *lines, int most)
{
    double start_utc = ask->start_utc;
    struct sheet_line line = {0};

    for (int i = 0; i < ask->count; i++) {
        const struct sheet_part *part = &ask->part[i];

        if (!part->exposure->known)
            continue;
        double busy = exposure_busy_s(part->exposure, ask->saving_s);
        if (line.exposure && line.utc_to == part->utc_from &&
            exposure_same_dial(line.exposure, part->exposure)) {
            line.utc_to = part->utc_to;
            line.busy_s = fmax(line.busy_s, busy);
            continue;
        }
        if (line.exposure)
            close_line(sheet, start_utc, &line, lines, most);
        line = (struct sheet_line){.utc_from = part->utc_from,
                                   .utc_to = part->utc_to,
                                   .exposure = part->exposure,
                                   .busy_s = busy};
    }
    if (line.exposure)
        close_line(sheet, start_utc, &line, lines, most);
}
