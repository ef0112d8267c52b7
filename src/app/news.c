#include "news.h"

#include "session.h"

#include <moonstand/album_words.h>
#include <moonstand/around_words.h>
#include <moonstand/event_words.h>
#include <moonstand/power_words.h>

#include <math.h>

struct news {
    struct hook_facts *facts;
    int count, most;
    bool rehearsal;
};

static void tell(struct news *news, enum hook_event event, double utc, const char *what,
                 const char *rig)
{
    if (news->count < news->most)
        news->facts[news->count++] = (struct hook_facts){event, utc, what, rig, news->rehearsal};
}

static void tell_acts(struct watch *watch, const struct night *night, struct news *news)
{
    for (; watch->acts < night->act_count; watch->acts++) {
        const struct act *act = &night->acts[watch->acts];
        const char *rig = act->rig >= 0 ? night->rig[act->rig].rig.name : "";

        if (act->kind == ACT_ALARM)
            tell(news, HOOK_ALARM, act->value[0], news_words(NEWS_RE_AIM_DUE), rig);
        if (act->kind == ACT_MISSED)
            tell(news, HOOK_MISSED, act->value[0],
                 act->rig >= 0 ? news_words(NEWS_RE_AIM) : event_words(act->text, false), rig);
    }
}

static void tell_events(const struct watch *watch, const struct night *night, double utc,
                        struct news *news)
{
    if (!(utc - watch->utc < GAP_S * night->pace))
        return;
    for (int i = 0; i < night->event_count; i++) {
        const struct night_event *event = &night->event[i];

        if (night_event_is_main(event) && event->utc > watch->utc && event->utc <= utc)
            tell(news, HOOK_CONTACT, event->utc, night_event_name(event), "");
    }
}

/* True where a state begins. */
static bool begins(bool *was, bool is)
{
    bool begun = is && !*was;

    *was = is;
    return begun;
}

void watch_begin(struct watch *watch, size_t acts)
{
    *watch = (struct watch){.acts = acts, .utc = NAN};
}

int watch_step(struct watch *watch, const struct night *night, const struct moment *moment,
               struct hook_facts *facts, int most)
{
    struct news news = {facts, 0, most, night->rehearsal};
    double utc = moment->utc;

    tell_acts(watch, night, &news);
    tell_events(watch, night, utc, &news);
    for (int i = 0; i < night->setup.rig_count; i++) {
        const char *rig = night->rig[i].rig.name;
        const struct kit_moment *kit = &moment->kit[i];
        const struct job *aim = hands_job(&moment->hands, JOB_AIM, i);
        const struct job *battery = hands_job(&moment->hands, JOB_BATTERY, i);
        const struct job *power = hands_job(&moment->hands, JOB_POWER, i);

        if (begins(&watch->warned[i], aim && aim->state == JOB_PRESSING))
            tell(&news, HOOK_WARNING, night->rig[i].due_utc, news_words(NEWS_RE_AIM_SOON), rig);
        if (begins(&watch->swap_due[i], battery && battery->state == JOB_DUE))
            tell(&news, HOOK_SWAP, kit->swap_utc, swap_reason_name(kit->swap_reason), rig);
        if (begins(&watch->power_due[i], power && power->state < JOB_COMING))
            tell(&news, HOOK_SWAP, power->limit_utc, news_words(NEWS_POWER), rig);
        if (begins(&watch->stopped[i], moment->album[i].stopped))
            tell(&news, HOOK_ALARM, moment->album[i].since_utc, news_words(NEWS_NO_PICTURE), rig);
        if (begins(&watch->wrong[i], moment->album[i].off_stops != 0))
            tell(&news, HOOK_WARNING, utc, news_words(NEWS_WRONG_SETTING), rig);
        if (begins(&watch->looks[i], hands_job(&moment->hands, JOB_LOOK, i)))
            tell(&news, HOOK_WARNING, utc, looks_words(moment->album[i].looks), rig);
        if (begins(&watch->put_off[i], isfinite(moment->album[i].put_off_utc)))
            tell(&news, HOOK_WARNING, moment->album[i].put_off_utc, news_words(NEWS_PUT_OFF), rig);
    }
    if (begins(&watch->air_gone, moment->look_at_glass && moment->air.margin_c <= 0))
        tell(&news, HOOK_AIR, utc, air_advice_words(moment->air.advice), "");
    watch->utc = utc;
    return news.count;
}

int watch_due(const struct night *night, const struct moment *moment, double from_utc)
{
    int due = 0;

    for (int i = 0; i < night->setup.checklist.count; i++)
        if (moment->check_due_utc[i] > from_utc && moment->check_due_utc[i] <= moment->utc &&
            isnan(night->checked_utc[i]))
            due++;
    return due;
}
