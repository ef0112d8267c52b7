#!/bin/sh
# The form without a screen, in a real terminal: a line per change, nothing else; the session is kept.
build=$1
. "$(dirname "$0")/lib.sh"

start 100 30 rehearse --demo --plain --speed 300
wait_for "next: U1 at"
ok "--plain tells what comes next" $?
[ "$(pane alternate_on)$(pane cursor_flag)" = 01 ]
ok "without taking the screen" $?
wait_for "now: U1, umbra touches the Moon"
ok "it says a contact when it comes" $?
wait_for "set 1/"
ok "and a change of setting" $?
keys q q
sleep 1.2
[ ! -e "$home/exit" ]
ok "it takes no keys" $?
keys C-c
wait_exit
[ "$(cat "$home/exit")" = 0 ]
ok "Ctrl-C ends it, exit status 0" $?
journal | grep -q '"kind":"end"'
ok "the session is recorded to its end" $?

TERM_IN=dumb
start 100 30 rehearse --demo
TERM_IN=
wait_for "next: U1 at"
ok "a terminal that cannot place text gets lines" $?

clean_env script -qec "$program rehearse --demo --plain --from U1-2s" /dev/null >"$home/out" 2>&1 &
holds grep -q "now: U1" "$home/out"
pkill -INT -P $!
wait
grep -q "now: U1" "$home/out" && ! grep -q "$(printf '\033')" "$home/out"
ok "no escape sequence is sent" $?
finish
