#!/bin/sh
# The pages beside the tests are what the programs print today: the truth table, the counts of re-aims.
build=$1
. "$(dirname "$0")/lib.sh"

# same NAME: $home/page and $home/printed have the same lines, and some.
same() {
    [ -s "$home/printed" ] && diff "$home/page" "$home/printed" >"$home/diff"
    ok "$1" $?
    sed 's/^/# /' "$home/diff"
}
"$build/tests/truth/truth" >"$home/printed"
ok "every row is computed" $?
cp tests/truth/TRUTH.md "$home/page"
same "tests/truth/TRUTH.md is the table of today"
"$build/tests/night/test_framing" 2>&1 | grep ' mm f/.*re-aims' >"$home/printed"
sed -n '/^```/,/^```/p' tests/truth/ACCURACY.md | grep -v '^```' >"$home/page"
same "tests/truth/ACCURACY.md has the re-aims of today"
finish
