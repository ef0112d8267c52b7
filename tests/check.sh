#!/bin/sh
# All that must hold before a change lands: lint, the whole suite with gcc, the units once more and a short
# storm under ASan and UBSan, and a compile with clang. Repeats what has failed and closes with
# 'N passed, N failed[, N skipped]'. TIMES=1 prints how long each test took.
set -u
jobs=$(nproc)
begun=$(date +%s)
logs=$(mktemp -d)
trap 'rm -rf "$logs"' EXIT
: >"$logs/sums"

step() { # what, command...
    echo "== $1 (after $(($(date +%s) - begun)) s)"
    what=$1
    shift
    "$@" 2>&1 || echo "step: not ok - $what" >>"$logs/bad"
}
counted() { # runs a suite; its closing line is kept for the sum
    tests/run.sh "$1" >"$logs/run"
    result=$?
    grep -v '^[0-9]* passed, [0-9]* failed' "$logs/run"
    tail -n 1 "$logs/run" >>"$logs/sums"
    grep -ai -A 4 ': not ok \|: .*error: ' "$logs/run" | cut -c 1-200 | head -n 80 >>"$logs/bad"
    return "$result"
}
sanitized() {
    make -s storms MINUTES=0.4 >"$logs/storm" 2>&1 &
    # What the suite before has done in full is done in short: a life takes longer here. Pages cost most of it:
    # what was freed is kept from use for less of it than by itself (256 MB), for tests are small.
    ASAN_OPTIONS=quarantine_size_mb=4 UNITS_ONLY=1 MOONSTAND_QUICK=1 MOONSTAND_KILLS=10 counted build/sanitized
    result=$?
    wait $! || result=1
    cat "$logs/storm"
    return "$result"
}

# What gives way to the scripts and units that run meanwhile: they wait a part of their time.
# At -O1 (and in tests at -O0) gcc no longer sees that a text was measured before it was copied; -O2 below has
# checked that of src.
compile_behind() {
    nice -n 19 make -s -j"$jobs" CC=gcc WERROR=1 BUILD=build/sanitized SANITIZE=address,undefined \
        CFLAGS='-O1 -g1 -Wno-format-truncation' TEST_CFLAGS=-O0 tests build/sanitized/tests/storms/moonstand &&
        nice -n 19 make -s -j"$jobs" CC=clang WERROR=1 BUILD=build/clang compile
}
compiled_behind() {
    wait "$behind"
    result=$?
    cat "$logs/behind"
    return "$result"
}

step "gcc, warnings are errors" make -s -j"$jobs" CC=gcc WERROR=1 BUILD=build \
    CFLAGS='-O2 -g1' TEST_CFLAGS='-O0 -Wno-format-truncation' tests
step "lint" make -s lint BUILD=build
compile_behind >"$logs/behind" 2>&1 &
behind=$!
step "the suite" counted build
step "gcc with ASan and UBSan, clang: warnings are errors" compiled_behind
step "the units and a short storm under ASan and UBSan" sanitized
echo "== done after $(($(date +%s) - begun)) s"
if [ -s "$logs/bad" ]; then
    echo "== what failed"
    cat "$logs/bad"
fi
awk -v steps="$(grep -c '^step: not ok' "$logs/bad" 2>/dev/null)" '
    { passed += $1; failed += $3; skipped += $5 }
    END {
        if (steps > 0 && failed == 0)
            failed = steps
        printf "%d passed, %d failed%s\n", passed, failed, skipped ? ", " skipped " skipped" : ""
        exit failed > 0
    }' "$logs/sums"
