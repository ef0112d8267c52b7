#!/bin/sh
# The live program under 10,000 changes of its terminal's size, without a pause.
build=$1
. "$(dirname "$0")/lib.sh"

said=$(clean_env TERM=xterm-256color timeout 800 /usr/bin/python3 "$(dirname "$0")/storm.py" "$program" 10000)
set -- $said
[ "${6:-}" = 0 ]
ok "it is left as always: ${said:-no word}" $?
[ "${4:-0}" -gt 1000 ]
ok "with a whole screen at the last size" $?
# Its largest canvas may come late; no more than that.
[ "${2:-999999}" -lt 1024 ]
ok "and its memory does not grow" $?
finish
