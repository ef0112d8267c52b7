#!/bin/sh
# make install puts program and themes in their places, from which they work; make uninstall removes them.
build=$1
. "$(dirname "$0")/lib.sh"

quiet_make() { make -s BUILD="$build" PREFIX=/usr DESTDIR="$home/root" "$@" >/dev/null 2>&1; }

quiet_make install
ok "make install into DESTDIR" $?
[ -x "$home/root/usr/bin/moonstand" ] && [ -f "$home/root/usr/share/moonstand/themes/red.json" ]
ok "program and themes are in their places" $?
clean_env "$home/root/usr/bin/moonstand" --version >"$home/out"
grep -q '^moonstand [0-9]' "$home/out"
ok "the installed program runs" $?
quiet_make uninstall
[ -z "$(find "$home/root" -type f)" ]
ok "make uninstall leaves no file" $?
finish
