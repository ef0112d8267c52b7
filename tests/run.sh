#!/bin/sh
# Runs every test program below a folder, every fuzzing driver over its corpus and every script of
# tests/night, side by side, and adds up what they print.
# usage: tests/run.sh BUILD [name-filter]
# UNITS_ONLY=1 leaves the scripts out, SCRIPTS_ONLY=1 the units, SHOW=1 prints what passing tests print,
# TIMES=1 how long each took, JOBS=N runs N units and N scripts at a time.
# Prints the closing line 'N passed, N failed', with ', N skipped' behind it if a test could not be made
# on this machine (mounting a disk without the right to); exit status 1 if anything failed.
set -u

# run_one LOGS NAME COMMAND...: runs one test program or script and prints its result; the numbers go to
# LOGS/NUMBER.count.
run_one() {
    log=$1/$$
    name=$2
    shift 2
    read -r began _ </proc/uptime
    CMOCKA_MESSAGE_OUTPUT=TAP timeout 900 "$@" >"$log" 2>&1 </dev/null
    result=$?
    read -r ended _ </proc/uptime
    times >"$log.times"
    awk -v name="$name" -v result=$result -v took="$began $ended" -v with_times="${TIMES:-}" -v show="${SHOW:-}" \
        -v times="$log.times" -v count="$log.count" '
        { line[NR] = $0 }
        /^ok / { good++ }
        /^not ok / { if (/# SKIP/) left++; else bad++ }
        END {
            lines = NR
            if (result != 0 && !bad) {
                line[++lines] = "not ok - " name " ended with status " result
                bad = 1
            }
            if (good + bad + left == 0) {
                line[++lines] = "not ok - " name " ran no test"
                bad = 1
            }
            print good + 0, bad + 0, left + 0 >count
            for (i = 1; i <= lines; i++)
                if (line[i] ~ /^not ok .*# SKIP/)
                    print name ": left out" substr(line[i], 7)
            for (i = 1; i <= lines && bad; i++)
                print name ": " line[i]
            while ((getline used <times) > 0)
                split(used, t, /[ms]+ ?/)
            split(took, at, " ")
            printf "%s: %d passed, %d failed", name, good, bad
            if (with_times)
                printf " in %.1f s, computing %.1f s", at[2] - at[1], t[1] * 60 + t[2] + t[3] * 60 + t[4]
            print ""
            for (i = 1; i <= lines && show; i++)
                print line[i]
        }' "$log" >"$log.said"
    cat "$log.said"
}
if [ "$1" = --one ]; then
    shift
    run_one "$@"
    exit 0
fi

build=$1
filter=${2:-}
logs=$(mktemp -d)
trap 'rm -rf "$logs"' EXIT
cores=$(nproc)

# The slowest first, so that none of them is left over at the end.
units() {
    for name in app/test_kills store/test_journal faults/test_faults screen/test_walk screen/test_dashboard \
        report/test_plan night/test_person app/test_session store/test_zone_load night/test_swaps eye/test_disc; do
        echo "tests/$name.c"
    done
    ls tests/*/test_*.c tests/fuzz/fuzz_*.c
}
scripts() {
    for name in seen trouble outside stall memory live watch voice pixels manners deb setup storm awake faults; do
        echo "tests/night/$name.sh"
    done
    ls tests/night/*.sh
}
run_units() {
    for source in $(units | awk '!seen[$0]++'); do
        name=${source#tests/}
        name=${name%.c}
        case $name in *"$filter"*) [ ! -e "$source" ] || echo "$name" ;; esac
    done | nice -n 10 xargs -r -P "${JOBS:-$cores}" -I '{}' sh "$0" --one "$logs" '{}' "$build/tests/{}"
}
run_scripts() {
    for script in $(scripts | awk '!seen[$0]++'); do
        case $script in */lib.sh) ;; *"$filter"*) echo "$script" ;; esac
    done | xargs -r -P "${JOBS:-$((cores + 3))}" -I '{}' sh "$0" --one "$logs" '{}' '{}' "$build"
}

# Scripts mostly wait for a screen: they run beside the units, and more of them than there are cores. Units compute;
# they give way, for a script counts seconds.
[ -n "${UNITS_ONLY:-}" ] || run_scripts &
[ -n "${SCRIPTS_ONLY:-}" ] || run_units
wait
cat "$logs"/*.count 2>/dev/null | awk '{ good += $1; bad += $2; left += $3 }
    END { printf "%d passed, %d failed%s\n", good, bad, left ? ", " left " skipped" : ""; exit bad > 0 || NR == 0 }'
