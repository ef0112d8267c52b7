#!/bin/sh
# All that must hold before a change lands: lint, the whole suite with gcc, the units once more under ASan
# and UBSan, and a compile with clang. Closes with 'N passed, N failed[, N skipped]'.
set -u
status=0
jobs=$(nproc)

step() {
    echo "== $1 (after $(($(date +%s) - begun)) s)"
    shift
    "$@" || status=1
}
counted() { # runs a suite; its closing line is kept for the sum
    tests/run.sh "$1" | tee "$sums.run" | grep -v '^[0-9]* passed, [0-9]* failed'
    tail -n 1 "$sums.run" >>"$sums"
}
begun=$(date +%s)
sums=$(mktemp)
trap 'rm -f "$sums" "$sums.run"' EXIT

step "gcc, warnings are errors" make -s -j"$jobs" CC=gcc WERROR=1 BUILD=build tests
step "lint" make -s lint BUILD=build
step "the suite" counted build
step "a short storm" make -s storms MINUTES=0.4
UNITS_ONLY=1
export UNITS_ONLY
# At -O1 gcc no longer sees that a text was measured before it was copied; -O2 above has checked that.
step "gcc with ASan and UBSan" make -s -j"$jobs" CC=gcc WERROR=1 BUILD=build/sanitized \
    SANITIZE=address,undefined CFLAGS='-O1 -g -Wno-format-truncation' tests
step "the units under ASan and UBSan" counted build/sanitized
step "clang, warnings are errors" make -s -j"$jobs" CC=clang WERROR=1 BUILD=build/clang all
passed=$(awk '{ sum += $1 } END { print sum + 0 }' "$sums")
failed=$(awk '{ sum += $3 } END { print sum + 0 }' "$sums")
skipped=$(awk '{ sum += $5 } END { print sum + 0 }' "$sums")
[ "$status" -eq 0 ] || failed=$((failed + 1))
[ "$skipped" -eq 0 ] || tail=", $skipped skipped"
echo "== done after $(($(date +%s) - begun)) s"
echo "$passed passed, $failed failed${tail:-}"
[ "$failed" -eq 0 ]
