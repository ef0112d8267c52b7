/* Keys as the dashboard takes them: every key, question and answer, on a night in totality, drawn
 * at the end. The first two bytes are the canvas's size. Of the others those up to 0x7f are
 * characters, those from 0xe0 on special keys; each of the rest lets half a minute pass. */
#include "fuzz.h"

#include "../../src/app/live.h"

#include <moonstand/palette.h>
#include <moonstand/pick.h>

#include <math.h>

static double utc;
static struct live opened, live;

/* The sky of a night costs milliseconds and is other tests' business: of 64 inputs one follows it
 * with every key, seven once the page is drawn, the others not at all. */
void __real_night_follow(struct night *night, double until_utc);
void __wrap_night_follow(struct night *night, double until_utc);
static bool sky_stands;

void __wrap_night_follow(struct night *night, double until_utc)
{
    if (!sky_stands)
        __real_night_follow(night, until_utc);
}

static double clock_utc(const struct clock *clock)
{
    (void)clock;
    return utc;
}

/* Nothing is written: the folder cannot be made. */
static void open_once(void)
{
    static struct setup setup;
    const struct clock clock = {.utc = clock_utc, .boot = clock_utc, .speed = 1};
    struct eclipse eclipse;
    struct fault fault;
    double day;

    demo_setup(&setup);
    rig_built_in(2, &setup.rig[2]);
    setup.rig_count = RIGS;
    CLAIM(parse_day(DEMO_ECLIPSE_DAY, &day, NULL) == 0 &&
          eclipse_of_day(day, SHADOW_DANJON, &eclipse));
    utc = utc_from_tt(eclipse.tt[CONTACT_U2]);
    CLAIM(session_open(&opened.session, &clock,
                       &(struct session_start){.setup = &setup,
                                               .eclipse = &eclipse,
                                               .rehearsal = true,
                                               .folder = "/dev/null/none"},
                       &fault) == 0);
    opened.session.retry_boot = INFINITY; /* nor is it tried again */
    opened.view.item = -1;
    opened.view.keys = key_table;
    opened.quit_armed_boot = opened.pasted_boot = -INFINITY;
    theme_default(&opened.theme);
    session_step(&opened.session);
}

static void start_over(void)
{
    struct night *night = &live.session.night;
    struct canvas canvas = live.canvas;

    live = opened;
    live.canvas = canvas;
    utc = live.session.last_utc;
    night->acts = malloc(night->act_room * sizeof *night->acts);
    CLAIM(night->acts);
    memcpy(night->acts, opened.session.night.acts, night->act_count * sizeof *night->acts);
}

static void show(void)
{
    session_step(&live.session);
    live.view.message = session_message(&live.session);
    live.view.prompt = prompt_question(&live);
    live.view.typed = live.typed;
    dashboard_draw(&live.canvas, &live.session.night, &live.session.moment, &live.view);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    if (opened.session.night.act_count == 0)
        open_once();
    if (size < 2)
        return 0;
    start_over();
    sky_stands = data[1] % 64 != 0;
    CLAIM(canvas_resize(&live.canvas, 1 + data[0], 1 + data[1] / 4) == 0);
    for (size_t i = 2; i < size && i < 200 && !live.leaving; i++) {
        if (data[i] >= 0xe0)
            live_key(&live, INPUT_UP + data[i] % (INPUT_PASTE_END - INPUT_UP + 1));
        else if (data[i] >= 0x80)
            utc += 30;
        else
            live_key(&live, data[i]);
        if (live.prompt == PROMPT_NONE)
            session_step(&live.session);
    }
    sky_stands = data[1] % 8 != 0;
    show();
    sky_stands = false;
    night_close(&live.session.night);
    return 0;
}
