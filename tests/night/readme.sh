#!/bin/sh
# The README's truth table is what the program of make truth prints today.
build=$1
. "$(dirname "$0")/lib.sh"

"$build/tests/truth/truth" >"$home/truth"
ok "every row is computed" $?
# The section without its heading, its first paragraph and the blank line before the next heading.
awk '/^## / { inside = /^## Truth table/; next } inside' README.md | sed '1,2d;$d' >"$home/readme"
diff "$home/readme" "$home/truth" >"$home/diff"
ok "the README has the same table" $?
sed 's/^/# /' "$home/diff"
finish
