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
    echo "  $1: $2${4:+ $4} (at most $3: $word)"
}
ratio() { awk "BEGIN { printf \"%.2f\", $1 / $2 }"; }

# Figures that are taken while others work are worse for all, and worst for the larger program.
echo "$(nproc) processors, load $(cut -d' ' -f1 /proc/loadavg) at the start"
echo
"$here/bench" "$here/nova" || missed=1

echo
echo "Start to the whole page at 120x40, ms: median, least, most of 41 starts in turn:"
"$here/measure" paint 41 "night of your own" "$build/moonstand" rehearse --demo -- "line 34 of" "$here/clock" empty \
    >"$state/paint"
{
    read -r whole whole_least whole_most
    read -r empty empty_least empty_most
} <"$state/paint"
echo "  empty curses program  $empty $empty_least $empty_most"
echo "  moonstand             $whole $whole_least $whole_most"
bound "the whole page" "$whole" 20 ms
bound "the whole page, ours / empty" "$(ratio "$whole" "$empty")" 6 ""

table() { # names...: a line of each from standard input
    echo "                  wake-ups/s  writes/s  bytes/s  CPU s/h  RSS kB  private kB  growth kB"
    for name in "$@"; do
        read -r wakeups writes bytes cpu resident own growth
        printf '  %-15s %10s %9s %8s %8s %7s %11s %10s\n' "$name" "$wakeups" "$writes" "$bytes" "$cpu" "$resident" \
            "$own" "$growth"
    done
}

echo
echo "A quiet page at 120x40 for $seconds s, medians of five windows, all at the same time:"
"$here/measure" idle "$seconds" "$build/moonstand" rehearse --demo -- "$here/clock" -- top -d 1 -- watch -n1 date \
    >"$state/idle"
table moonstand "minimal clock" "top -d 1" "watch -n1 date" <"$state/idle"
{
    read -r wakeups writes bytes cpu resident own growth
    read -r _ _ _ clock_cpu _
    read -r _ _ _ top_cpu _
} <"$state/idle"
bound "wake-ups a second" "$wakeups" 1.1 ""
bound "writes a second, all files" "$writes" 1.1 ""
bound "bytes a second" "$bytes" 300 ""
bound "CPU, ours / clock" "$(ratio "$cpu" "$clock_cpu")" 2 ""
bound "CPU, ours / top" "$(ratio "$cpu" "$top_cpu")" 0.33 ""
bound "resident memory" "$resident" 6144 kB
bound "growth" "$growth" 0 kB

echo
if ! command -v /usr/sbin/gpsd >/dev/null; then
    echo "With gpsd: not measured, it is not here."
    exit $missed
fi
port=$((20000 + $$ % 20000))
cat >"$state/setup.json" <<END
{"site": {"latitude_deg": 62.0, "longitude_deg": 60.0}, "gpsd": {"host": "127.0.0.1", "port": $port}}
END
awk 'BEGIN {
    for (i = 0; i < 3600; i++)
        printf "$GPRMC,14%02d%02d.000,A,6158.4820,N,05952.3070,E,0.0,0.0,311228,,,A\r\n", i / 60, i % 60
}' >"$state/receiver.nmea"
tests/receiver.py "$port" 1 "$state/receiver.nmea" >/dev/null 2>&1 </dev/null &
receiver=$!
sleep 3
echo "The same with gpsd, a fix every second:"
"$here/measure" idle "$seconds" "$build/moonstand" rehearse --setup "$state/setup.json" --eclipse 2028-12-31 \
    >"$state/idle"
kill "$receiver"
table moonstand <"$state/idle"
read -r wakeups writes _ <"$state/idle"
bound "wake-ups a second" "$wakeups" 2.2 ""
bound "writes a second, all files" "$writes" 1.1 ""
exit $missed
