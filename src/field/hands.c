/* Two hands serve all rigs: who gets them when.
 *
 * Tasks are placed by priority, each at the free instant nearest to its wish, next to another one
 * of its rig where that is near. The instants worth a look are the wish, the ends of the window and
 * the edges of what is taken already. For a task that finds no place the others slide aside. Where
 * that does not help either it goes into a contact's minute, or at last on top of another line, and
 * says so.
 */
#include <moonstand/field.h>

#include <math.h>

#define TOUCH_S 1e-3 /* instants closer than this are the same */

static const char *const kind_name[HANDS_KINDS] = {
    "re-aim", "battery", "card", "exposure", "focus", "glass", "other",
};
static const double kind_duration_s[HANDS_KINDS] = {AIM_HANDS_S, SWAP_S, 30, 10, 60, 30, 30};

const char *hands_kind_name(enum hands_kind kind)
{
    return kind_name[kind];
}

double hands_duration_s(enum hands_kind kind)
{
    return kind_duration_s[kind];
}

/* What became of a task. */
struct slot {
    bool placed;
    double utc, utc_to;
    bool clash, disturbs, late;
};

struct board {
    const struct hands_ask *ask;
    int count;
    struct slot slot[HANDS_TASKS];
};

/* What a place has to be free of. */
enum mind { MIND_NOTHING = 0, MIND_CONTACTS = 1, MIND_HANDS = 2, MIND_ALL = 3 };

static bool overlap(double from, double to, double other_from, double other_to)
{
    return from < other_to - TOUCH_S && to > other_from + TOUCH_S;
}

static bool near_contact(const struct hands_ask *ask, double from, double to)
{
    for (int i = 0; i < ask->keep_off_count; i++)
        if (overlap(from, to, ask->keep_off[i] - AIM_KEEP_OFF_S, ask->keep_off[i] + AIM_KEEP_OFF_S))
            return true;
    return false;
}

static bool hands_taken(const struct board *board, double from, double to)
{
    for (int i = 0; i < board->count; i++) {
        const struct slot *slot = &board->slot[i];

        if (slot->placed && overlap(from, to, slot->utc, slot->utc_to))
            return true;
    }
    return false;
}

/* Two acts that are done in one go. */
static bool joins(const struct board *board, int a, int b)
{
    const struct slot *first = &board->slot[a], *second = &board->slot[b];

    return board->ask->task[a].rig >= 0 && board->ask->task[a].rig == board->ask->task[b].rig &&
           !first->clash && !second->clash && fabs(first->utc_to - second->utc) < TOUCH_S;
}

/* When a task may begin. What can no longer be done in time is to be begun at once. */
struct window {
    double from, to;
    bool late;
};

static struct window window_of(const struct hands_ask *ask, int index)
{
    const struct hands_task *task = &ask->task[index];
    struct window window = {fmax(ask->utc, task->utc_from), INFINITY, false};

    if (!isnan(task->utc_to))
        window.to = task->utc_to - task->duration_s;
    window.late = window.to < window.from;
    window.to = fmax(window.to, window.from);
    return window;
}

/* A search for the best start of one task. */
struct search {
    int task;
    enum mind mind;
    struct window window;
    double wish;
    double best_cost, best;
};

static void try_start(struct board *board, struct search *search, double start)
{
    struct slot *slot = &board->slot[search->task];
    double cost = fabs(start - search->wish);
    bool joined = false;

    slot->utc = start;
    slot->utc_to = start + board->ask->task[search->task].duration_s;
    if (start < search->window.from - TOUCH_S || start > search->window.to + TOUCH_S)
        return;
    if ((search->mind & MIND_CONTACTS) && near_contact(board->ask, slot->utc, slot->utc_to))
        return;
    if ((search->mind & MIND_HANDS) && hands_taken(board, slot->utc, slot->utc_to))
        return;
    for (int i = 0; i < board->count && (search->mind & MIND_HANDS); i++)
        joined = joined || (board->slot[i].placed &&
                            (joins(board, i, search->task) || joins(board, search->task, i)));
    if (joined) /* so that nothing is moved further than that to be joined */
        cost -= HANDS_MERGE_S;
    if (cost < search->best_cost) {
        search->best_cost = cost;
        search->best = start;
    }
}

/* Places a task, not yet placed, in its window; false where there is no such place. */
static bool place(struct board *board, int index, enum mind mind)
{
    const struct hands_ask *ask = board->ask;
    const struct hands_task *task = &ask->task[index];
    double duration = task->duration_s;
    struct slot *slot = &board->slot[index];
    struct window window = window_of(ask, index);
    struct search search = {
        .task = index,
        .mind = mind,
        .window = window,
        .wish = fmin(fmax(task->wish_utc, window.from), window.to),
        .best_cost = INFINITY,
        .best = NAN,
    };

    *slot = (struct slot){.late = window.late};
    try_start(board, &search, search.wish);
    try_start(board, &search, window.from);
    try_start(board, &search, window.to);
    for (int i = 0; i < board->count; i++)
        if (board->slot[i].placed) {
            try_start(board, &search, board->slot[i].utc_to);
            try_start(board, &search, board->slot[i].utc - duration);
        }
    for (int i = 0; i < ask->keep_off_count; i++) {
        try_start(board, &search, ask->keep_off[i] + AIM_KEEP_OFF_S);
        try_start(board, &search, ask->keep_off[i] - AIM_KEEP_OFF_S - duration);
    }
    slot->utc = search.best;
    slot->utc_to = search.best + duration;
    slot->placed = !isnan(search.best);
    return slot->placed;
}

/* Tasks in the order in which they are done, with their starts. */
struct row {
    int count;
    int task[HANDS_TASKS];
    double utc[HANDS_TASKS];
};

static void row_insert(struct row *row, int at, int task)
{
    for (int i = row->count++; i > at; i--)
        row->task[i] = row->task[i - 1];
    row->task[at] = task;
}

enum way { EARLIER, LATER };

/* The start next to `utc`, that way, at which a task keeps off the contacts, unless it has had to
 * disturb one before. */
static double off_contacts(const struct board *board, int task, double utc, enum way way)
{
    const struct hands_ask *ask = board->ask;
    double duration = ask->task[task].duration_s;

    for (int i = 0; i < ask->keep_off_count && !board->slot[task].disturbs; i++) {
        double from = ask->keep_off[i] - AIM_KEEP_OFF_S, to = ask->keep_off[i] + AIM_KEEP_OFF_S;

        if (!overlap(utc, utc + duration, from, to))
            continue;
        utc = way == EARLIER ? from - duration : to;
        i = -1;
    }
    return utc;
}

/* Gives the tasks of a row their starts, as near to where they want to be as the row lets them.
 * Returns by how much all together are moved; INFINITY where they cannot be done in this order. */
static double row_set(const struct board *board, struct row *row, const double *want)
{
    double latest[HANDS_TASKS] = {0};
    double next = INFINITY, free_from = -INFINITY, moved = 0;

    for (int i = row->count - 1; i >= 0; i--) {
        int task = row->task[i];
        double utc = fmin(next - board->ask->task[task].duration_s, window_of(board->ask, task).to);

        next = latest[i] = off_contacts(board, task, utc, EARLIER);
    }
    for (int i = 0; i < row->count; i++) {
        int task = row->task[i];
        double utc = fmax(free_from, window_of(board->ask, task).from);

        utc = off_contacts(board, task, fmax(utc, fmin(want[task], latest[i])), LATER);
        if (utc > latest[i] + TOUCH_S)
            return INFINITY;
        row->utc[i] = utc;
        moved += fabs(utc - want[task]);
        free_from = utc + board->ask->task[task].duration_s;
    }
    return moved;
}

/* The row of what is placed, in order of time. */
static struct row row_of(const struct board *board)
{
    struct row row = {0};

    for (int i = 0; i < board->count; i++) {
        int at = row.count;

        if (!board->slot[i].placed || board->slot[i].clash)
            continue;
        while (at > 0 && board->slot[row.task[at - 1]].utc > board->slot[i].utc)
            at--;
        row_insert(&row, at, i);
    }
    return row;
}

/* Lets the tasks that are placed slide aside for another: at whatever point of their row, and with
 * whatever two neighbours changing places, moves them least. Exact for three tasks; of more, very
 * tight rows may be missed. */
static bool place_by_sliding(struct board *board, int index)
{
    const struct row row = row_of(board);
    struct row best = {0};
    double want[HANDS_TASKS];
    double least = INFINITY;

    for (int i = 0; i < board->count; i++)
        want[i] = board->slot[i].utc;
    want[index] = board->ask->task[index].wish_utc;
    for (int at = 0; at <= row.count; at++)
        for (int swap = 0; swap < row.count || swap == 0; swap++) { /* 0: none */
            struct row tried = row;
            double moved;

            if (swap > 0) {
                tried.task[swap - 1] = row.task[swap];
                tried.task[swap] = row.task[swap - 1];
            }
            row_insert(&tried, at, index);
            moved = row_set(board, &tried, want);
            if (moved < least) {
                least = moved;
                best = tried;
            }
        }
    for (int i = 0; i < best.count; i++) {
        struct slot *slot = &board->slot[best.task[i]];

        slot->placed = true;
        slot->utc = best.utc[i];
        slot->utc_to = best.utc[i] + board->ask->task[best.task[i]].duration_s;
    }
    return best.count > 0;
}

static void place_somehow(struct board *board, int index)
{
    struct slot *slot = &board->slot[index];

    if (place(board, index, MIND_ALL) || place_by_sliding(board, index))
        return;
    if (!place(board, index, MIND_HANDS)) {
        if (!place(board, index, MIND_CONTACTS))
            (void)place(board, index, MIND_NOTHING);
        slot->clash = true;
    }
    slot->disturbs = near_contact(board->ask, slot->utc, slot->utc_to);
}

static bool goes_first(const struct hands_task *a, const struct hands_task *b)
{
    if (a->priority != b->priority)
        return a->priority > b->priority;
    return a->wish_utc < b->wish_utc;
}

/* Indices of the tasks that can be placed, in the order in which they are. */
static int tasks_by_priority(const struct hands_ask *ask, int order[HANDS_TASKS])
{
    int count = 0;

    for (int i = 0; i < ask->task_count && i < HANDS_TASKS; i++) {
        int at = count;

        if (!isfinite(ask->task[i].wish_utc) || !(ask->task[i].duration_s > 0))
            continue;
        for (; at > 0 && goes_first(&ask->task[i], &ask->task[order[at - 1]]); at--)
            order[at] = order[at - 1];
        order[at] = i;
        count++;
    }
    return count;
}

static void sort_by_time(const struct board *board, int *order, int count)
{
    for (int i = 1; i < count; i++) {
        int task = order[i];
        int at = i;

        for (; at > 0 && board->slot[task].utc < board->slot[order[at - 1]].utc; at--)
            order[at] = order[at - 1];
        order[at] = task;
    }
}

static void add_to_lines(const struct board *board, struct hands_plan *plan, int at)
{
    const struct slot *slot = &board->slot[plan->order[at]];
    struct hands_line *line = &plan->line[plan->count];

    if (slot->clash && isnan(plan->clash_utc))
        plan->clash_utc = slot->utc;
    /* cppcheck-suppress arrayIndexOutOfBoundsCond ; at is below the count of tasks */
    if (at > 0 && joins(board, plan->order[at - 1], plan->order[at])) {
        line--;
        line->count++;
        line->utc_to = slot->utc_to;
        line->disturbs = line->disturbs || slot->disturbs;
        line->late = line->late || slot->late;
        return;
    }
    *line = (struct hands_line){
        .utc = slot->utc,
        .utc_to = slot->utc_to,
        .rig = board->ask->task[plan->order[at]].rig,
        .first = at,
        .count = 1,
        .clash = slot->clash,
        .disturbs = slot->disturbs,
        .late = slot->late,
    };
    plan->count++;
}

void hands_plan_make(const struct hands_ask *ask, struct hands_plan *plan)
{
    struct board board = {.ask = ask};
    int count;

    board.count = ask->task_count < HANDS_TASKS ? ask->task_count : HANDS_TASKS;
    *plan = (struct hands_plan){.clash_utc = NAN};
    count = tasks_by_priority(ask, plan->order);
    for (int i = 0; i < count; i++)
        place_somehow(&board, plan->order[i]);
    sort_by_time(&board, plan->order, count);
    for (int i = 0; i < count; i++)
        add_to_lines(&board, plan, i);
}
