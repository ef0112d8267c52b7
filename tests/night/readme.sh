#!/bin/sh
# The README's truth table is what the program of make truth prints today.
build=$1
. "$(dirname "$0")/lib.sh"

"$build/tests/truth/truth" >"$home/truth"
ok "every row is computed" $?
sed -n '/^## Truth table/,/^## Limits/p' README.md | sed '1,3d;$d' | sed '$d' >"$home/readme"
diff "$home/readme" "$home/truth" >"$home/diff"
ok "the README has the same table" $?
sed 's/^/# /' "$home/diff"
finish
