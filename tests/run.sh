#!/bin/sh
# Runs every test program below a folder, every fuzzing driver over its corpus and every script of
# tests/night; adds up what they say.
# usage: tests/run.sh BUILD [name-filter]
# Prints the closing line 'N passed, N failed', with ', N skipped' behind it where a test could not be made
# on this machine (mounting a disk without the right to); exit status 1 where anything failed.
set -u
build=$1
filter=${2:-}
passed=0
failed=0
skipped=0
log=$(mktemp)
trap 'rm -f "$log"' EXIT

count() { # what: exit status in $1, name in $2; results stand in $log as 'ok ...' and 'not ok ...'
    good=$(grep -c '^ok ' "$log")
    left=$(grep -c '^not ok .*# SKIP' "$log")
    bad=$(($(grep -c '^not ok ' "$log") - left))
    if [ "$1" -ne 0 ] && [ "$bad" -eq 0 ]; then
        echo "not ok - $2 ended with status $1" >>"$log"
        bad=1
    fi
    if [ "$((good + bad + left))" -eq 0 ]; then
        echo "not ok - $2 ran no test" >>"$log"
        bad=1
    fi
    passed=$((passed + good))
    failed=$((failed + bad))
    skipped=$((skipped + left))
    [ "$left" -eq 0 ] || grep '^not ok .*# SKIP' "$log" | sed "s|^not ok|$2: left out|"
    [ "$bad" -eq 0 ] || sed "s|^|$2: |" "$log"
    echo "$2: $good passed, $bad failed"
}

for source in tests/*/test_*.c tests/fuzz/fuzz_*.c; do
    name=${source#tests/}
    name=${name%.c}
    case $name in *"$filter"*) ;; *) continue ;; esac
    CMOCKA_MESSAGE_OUTPUT=TAP timeout 300 "$build/tests/$name" >"$log" 2>&1 </dev/null
    count $? "$name"
    [ -z "${SHOW:-}" ] || cat "$log"
done
if [ -z "${UNITS_ONLY:-}" ]; then
    for script in tests/night/*.sh; do
        [ -e "$script" ] || continue
        case $script in *"$filter"* | *lib.sh) ;; *) continue ;; esac
        case $script in */lib.sh) continue ;; esac
        timeout 300 "$script" "$build" >"$log" 2>&1 </dev/null
        count $? "$script"
        [ -z "${SHOW:-}" ] || cat "$log"
    done
fi
[ "$skipped" -eq 0 ] || tail=", $skipped skipped"
echo "$passed passed, $failed failed${tail:-}"
[ "$failed" -eq 0 ]
