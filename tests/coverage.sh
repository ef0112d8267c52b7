#!/bin/sh
# How many lines of each room the units reach; of a pure room it must be more than 95 %.
# usage: tests/coverage.sh BUILD   (built with --coverage)
set -u
build=$1
status=0
pure='base sky eclipse photo field eye night'
outer='store devices report screen app'

reached() { # name, percent to be exceeded, folders of objects
    name=$1
    least=$2
    shift 2
    gcov -n $(find "$@" -name '*.gcno') 2>/dev/null | tail -n 1 |
        awk -F '[:% ]+' -v name="$name" -v least="$least" '
            { printf "%-8s %6d lines, %6.2f %% reached%s\n", name, $5, $3, ($3 > least ? "" : ": too few") }
            END { exit NR == 0 || $3 <= least }'
}

find "$build" -name '*.gcda' -delete
if ! UNITS_ONLY=1 tests/run.sh "$build" >"$build/units.log" 2>&1; then
    grep 'not ok' "$build/units.log"
    status=1
fi
cd "$build" || exit 1
for room in $pure; do
    reached "$room" 95 "$room" || status=1
done
for room in $outer; do
    reached "$room" 0 "$room" || status=1
done
reached 'in all' 0 $pure $outer || status=1
exit "$status"
