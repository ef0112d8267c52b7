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
counted() { # name, build, variables...: runs a suite; its closing line is kept for the sum
    run=$logs/$1.run
    build=$2
    shift 2
    env "$@" tests/run.sh "$build" >"$run"
    result=$?
    grep -v '^[0-9]* passed, [0-9]* failed' "$run"
    tail -n 1 "$run" >>"$logs/sums"
    grep -ai -A 4 ': not ok \|: .*error: ' "$run" | cut -c 1-200 | head -n 80 >>"$logs/bad"
    return "$result"
}
ended() { # process, file: waits for what was begun behind, and shows what it has said
    wait "$1"
    result=$?
    cat "$2"
    return "$result"
}
sanitized() {
    make -s storms MINUTES=0.25 >"$logs/storm" 2>&1 &
    # What the suite before has done in full is done in short: a life takes longer here. Pages cost most of it:
    # what was freed is kept from use for less of it than by itself (256 MB), for tests are small.
    counted sanitized build/sanitized UNITS_ONLY=1 JOBS=$((jobs + 1)) MOONSTAND_QUICK=1 MOONSTAND_KILLS=8 \
        ASAN_OPTIONS=quarantine_size_mb=4
    units=$?
    ended $! "$logs/storm" && return "$units"
}

# What gives way to the scripts and units that run meanwhile: they wait a part of their time.
# At -O1 (and in tests at -O0) gcc no longer sees that a text was measured before it was copied; -O2 below has
# checked that of src. The tests themselves are watched over by ASan alone, and in calls, which are soon compiled.
compile_behind() {
    nice -n 19 make -s -j"$jobs" CC=gcc WERROR=1 BUILD=build/sanitized SANITIZE=address,undefined \
        CFLAGS='-O1 -g1 -Wno-format-truncation' \
        TEST_CFLAGS='-O0 -fno-sanitize=undefined -lubsan --param=asan-instrumentation-with-call-threshold=0' \
        tests build/sanitized/tests/storms/moonstand &&
        nice -n 19 make -s -j"$jobs" CC=clang WERROR=1 BUILD=build/clang compile
}

step "gcc, warnings are errors" make -s -j"$jobs" CC=gcc WERROR=1 BUILD=build \
    CFLAGS='-O2 -g1' TEST_CFLAGS='-O0 -Wno-format-truncation' tests
step "lint" make -s lint BUILD=build
# Scripts mostly wait for a screen: everything else goes on beside them.
counted scripts build SCRIPTS_ONLY=1 >"$logs/scripts" 2>&1 &
scripts=$!
compile_behind >"$logs/compiled" 2>&1 &
compiled=$!
step "the units" counted units build UNITS_ONLY=1
step "gcc with ASan and UBSan, clang: warnings are errors" ended "$compiled" "$logs/compiled"
step "the units and a short storm under ASan and UBSan" sanitized
step "the scripts" ended "$scripts" "$logs/scripts"
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
