#!/bin/sh
# The pages beside the tests are what the programs print today: the truth table, the largest errors, the
# counts of re-aims. BLESS=1 writes them anew.
build=$1
. "$(dirname "$0")/lib.sh"

# What ACCURACY.md has between its fences. The time that a search takes is another matter.
printed() {
    for test in sky/test_moon sky/test_observer sky/test_events eclipse/test_search eclipse/test_contact \
        eclipse/test_light photo/test_extinction photo/test_track; do
        "$build/tests/$test" 2>&1 | sed -n 's/^ *\(.*\(largest\|worst\).*\)/\1/p'
    done
    echo '```'
    "$build/tests/night/test_framing" 2>&1 | grep ' mm f/.*re-aims'
}
"$build/tests/truth/truth" >"$home/truth"
ok "every row of the truth table is computed" $?
printed >"$home/printed"
if [ -n "${BLESS:-}" ]; then
    cp "$home/truth" tests/truth/TRUTH.md
    awk -v printed="$home/printed" '/^```/ { fence = !fence; print
        while (fence && (getline line < printed) > 0 && line != "```") print line
        next } !fence' tests/truth/ACCURACY.md >"$home/page" && cp "$home/page" tests/truth/ACCURACY.md
fi
diff tests/truth/TRUTH.md "$home/truth" >"$home/diff"
ok "tests/truth/TRUTH.md is the table of today" $?
sed 's/^/#  /' "$home/diff"
awk '/^```/ { if (fence && !parts++) print; fence = !fence; next } fence' tests/truth/ACCURACY.md |
    diff - "$home/printed" >"$home/diff"
ok "tests/truth/ACCURACY.md has the errors and the re-aims of today" $?
sed 's/^/#  /' "$home/diff"
finish
