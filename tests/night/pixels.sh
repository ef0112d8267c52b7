#!/bin/sh
# The red theme as pixels: every byte that goes to a terminal is drawn by the standard palettes, and no
# pixel of it may have green or blue, at both steps, on every page.
build=$1
. "$(dirname "$0")/lib.sh"
here=$(dirname "$0")

# Not every machine knows xterm-direct: this is its way to name colours.
tic -x -o "$home/terminfo" - 2>/dev/null <<'END'
direct-test|direct colours,
	RGB, colors#0x1000000, pairs#0x7FFF,
	setaf=\E[%?%p1%{8}%<%t3%p1%d%e38:2::%p1%{65536}%/%d:%p1%{256}%/%{255}%&%d:%p1%{255}%&%d%;m,
	setab=\E[%?%p1%{8}%<%t4%p1%d%e48:2::%p1%{65536}%/%d:%p1%{256}%/%{255}%&%d:%p1%{255}%&%d%;m,
	setb@, setf@, initc@, ccc@, use=xterm-256color,
END

red() { # what, columns, rows, TERM, keys, arguments of the program
    what=$1
    shift
    columns=$1
    rows=$2
    term=$3
    keys=$4
    shift 4
    said=$(clean_env TERMINFO="$home/terminfo" "$here/pixels.py" "$columns" "$rows" "$term" "$keys" "" \
        "$program" rehearse --demo --from U1+35m "$@")
    ok "$what: $said" $?
}

for term in xterm-256color direct-test xterm tmux-256color screen linux; do
    infocmp -A "$home/terminfo" "$term" >/dev/null 2>&1 || infocmp "$term" >/dev/null 2>&1 || continue
    red "red on $term" 120 40 "$term" ""
    red "and dimmed" 80 24 "$term" r
done
for page in i o y v C E "?"; do
    red "on the page of key $page" 100 30 xterm-256color "$page"
done
# Sixteen minutes after it was aimed; W only passes the time.
red "while an alarm sounds" 80 24 xterm-256color "2aWWWWWWWW" --speed 300
[ "$(echo "$said" | cut -d " " -f 2)" -gt 50000 ]
ok "its band is there" $?
! clean_env "$here/pixels.py" 80 24 xterm-256color "" "" "$program" rehearse --demo --theme daylight >"$home/said"
ok "what measures that sees the colours of the daylight theme" $?
grep -q "green 255 blue 255" "$home/said"
ok "as they are" $?
finish
