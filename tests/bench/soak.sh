#!/bin/sh
# The dashboard at the pace of life, in a terminal, for some minutes, a frame taken in each: no tick may be
# late, memory must not grow by more than the acts that are kept (64 kB are some two hundred), the journal
# must be whole. What a tick has waited for a processor is the other programs' doing and is told apart.
# usage: tests/bench/soak.sh BUILD MINUTES
set -u
LATE_MS=50
state=$(mktemp -d)
trap 'rm -rf "$state"' EXIT
export LC_ALL=C.UTF-8 XDG_STATE_HOME="$state" XDG_CONFIG_HOME="$state" TZ=UTC
session=$state/2028-12-31
"$1/tests/bench/measure" pace $(($2 * 60)) f "$1/moonstand" rehearse --demo --from U2-10m --session "$session" \
    >"$state/out"
read -r ticks missing latest own frames growth status <"$state/out"
echo "$2 minutes: $ticks ticks, $missing without a drawing, the latest after $latest ms ($own ms without the wait for a processor), memory grown by $growth kB"

good=true
must() { # what, test...
    what=$1
    shift
    "$@" || {
        echo "soak: $what" >&2
        good=false
    }
}
# Whole lines with numbers from 1 on; prints how many there are.
entries() {
    sed 's/^{"seq":\([0-9]*\),.*"crc":"[0-9a-f]\{8\}"}$/\1/' "$session/journal.jsonl" |
        awk '$0 != NR { bad = 1 } END { print bad ? -1 : NR }'
}
kept=$(grep -c '"kind":"frame"' "$session/journal.jsonl")
ends=$(tail -n 1 "$session/journal.jsonl" | grep -c '"kind":"end"')
all=$(entries)
echo "$all entries in the journal, $kept of $frames frames, the end $([ "$ends" -eq 1 ] && echo written || echo missing)"
must "ticks without a drawing" [ "$missing" -eq 0 ]
must "a tick was late" [ "${own%.*}" -lt $LATE_MS ]
must "memory grew" [ "$growth" -le 64 ]
must "it ended with status $status" [ "$status" -eq 0 ]
must "the journal is not whole" [ "$all" -gt 0 ]
must "a frame is missing" [ "$kept" -eq "$frames" ]
must "the end is missing" [ "$ends" -eq 1 ]
$good
