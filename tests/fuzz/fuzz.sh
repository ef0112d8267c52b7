#!/bin/sh
# Runs every fuzzing driver for some seconds, one after the other, and adds up their inputs.
# usage: tests/fuzz/fuzz.sh BUILD SECONDS [name[=INPUTS]]...
# With INPUTS a driver runs until it has had so many.
# What is found stands in BUILD/found; exit status 1 where anything was.
set -u
build=$1
seconds=$2
shift 2
[ $# -gt 0 ] || set -- $(ls tests/fuzz/fuzz_*.c | sed 's|.*/fuzz_||; s|\.c$||')
total=0
bad=0
mkdir -p "$build/found"
for one in "$@"; do
    name=${one%=*}
    case $one in
    *=*) until=-runs=${one#*=} ;;
    *) until=-max_total_time=$seconds ;;
    esac
    mkdir -p "$build/corpus/$name"
    # What is new goes into the first corpus; the one of the tree stays as it is.
    "$build/tests/fuzz/fuzz_$name" "$until" -timeout=10 -rss_limit_mb=1024 -max_len=4096 \
        -print_final_stats=1 -artifact_prefix="$build/found/$name-" "$build/corpus/$name" "tests/fuzz/corpus/$name" \
        >"$build/found/$name.log" 2>&1 </dev/null
    status=$?
    runs=$(sed -n 's/^stat::number_of_executed_units: *//p' "$build/found/$name.log")
    total=$((total + ${runs:-0}))
    if [ $status -eq 0 ]; then
        result=clean
    else
        result="FOUND, see $build/found/$name.log"
        bad=1
    fi
    printf '%-10s %10s inputs  %s\n' "$name" "${runs:-?}" "$result"
done
printf '%-10s %10s inputs\n' all "$total"
exit $bad
