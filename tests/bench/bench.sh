#!/bin/sh
# What the program costs, beside others, measured in one go. usage: tests/bench/bench.sh BUILD
# Exit status 1 where a bound was missed.
set -u
build=$1
here=$build/tests/bench
seconds=${SECONDS_IDLE:-60}
state=$(mktemp -d)
trap 'rm -rf "$state"' EXIT
export TERM=xterm-256color LC_ALL=C.UTF-8 XDG_STATE_HOME="$state" XDG_CONFIG_HOME="$state" TZ=UTC
missed=0

bound() { # what, value, most, unit
    if awk "BEGIN { exit !($2 <= $3) }"; then
        word=holds
    else
        word=MISSED
        missed=1
    fi
    echo "  $1: $2 $4 (at most $3: $word)"
}
ratio() { awk "BEGIN { printf \"%.2f\", $1 / $2 }"; }

"$here/bench" "$here/nova" || missed=1

echo
echo "Start to first paint at 120x40, ms: median, least, most of 21 starts:"
empty=$("$here/measure" paint 21 "$here/clock" empty)
ours=$("$here/measure" paint 21 "$build/moonstand" rehearse --demo)
echo "  empty curses program  $empty"
echo "  moonstand             $ours"
bound "first paint" "${ours%% *}" 20 ms
bound "ours / empty" "$(ratio "${ours%% *}" "${empty%% *}")" 2 ""

echo
echo "A quiet page at 120x40 for $seconds s, medians of five windows:"
"$here/measure" idle "$seconds" "$build/moonstand" rehearse --demo -- "$here/clock" -- top -d 1 -- watch -n1 date \
    >"$state/idle"
echo "             wake-ups/s  writes/s  bytes/s  CPU s/h  RSS kB  private kB  growth kB"
for name in moonstand clock top watch; do
    read -r wakeups writes bytes cpu resident own growth
    printf '  %-10s %10s %9s %8s %8s %7s %11s %10s\n' $name "$wakeups" "$writes" "$bytes" "$cpu" "$resident" "$own" "$growth"
    eval "${name}_cpu=$cpu"
    [ $name = moonstand ] && set -- "$wakeups" "$writes" "$bytes" "$cpu" "$resident" "$growth"
done <"$state/idle"
bound "wake-ups a second" "$1" 1.1 ""
bound "writes a second, all files" "$2" 1.1 ""
bound "bytes a second" "$3" 300 ""
bound "CPU, ours / clock" "$(ratio "$4" "$clock_cpu")" 2 ""
bound "CPU, ours / top" "$(ratio "$4" "$top_cpu")" 0.33 ""
bound "resident memory" "$5" 6144 kB
bound "growth" "$6" 0 kB
exit $missed
