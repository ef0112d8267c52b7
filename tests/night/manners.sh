#!/bin/sh
# Terminal manners: sizes, signals, flow control, a terminal that goes away, types without colour.
build=$1
. "$(dirname "$0")/lib.sh"

start 200 60 rehearse --demo
wait_for REHEARSAL
for size in "120 40" "80 24" "60 12" "20 5" "3 2" "1 1" "5 1" "80 24"; do
    tmux -L "$socket" resize-window -x "${size% *}" -y "${size#* }"
    sleep 0.25
done
wait_for REHEARSAL
ok "it follows the window from 200x60 to 1x1 and back" $?

keys C-s
sleep 1.3
keys n
keys "written while stopped?" Enter
wait_for "note:"
ok "Ctrl-S does not freeze it" $?
keys C-z
sleep 1.2
keys n
keys "after ctrl-z" Enter
wait_for "note: after ctrl-z" && ! screen | grep -q "shell again"
ok "Ctrl-Z does not stop it" $?

paste() { tmux -L "$socket" set-buffer "$1" && tmux -L "$socket" paste-buffer -p; }
paste "$(printf 'a\nQ\nQ')"
wait_for "pasted text ignored" && wait_for "aim now, then press a: slope, long"
ok "pasted text does nothing by itself" $?
sleep 0.6
keys n
paste "$(printf 'of two\nlines, Q')"
sleep 0.6
keys Enter
wait_for "note: of two lines, Q"
ok "and is one line of an answer" $?
keys n
keys -H 1b 5b 32 30 30 7e 6f 70 65 6e
sleep 0.8
keys " end" Enter
wait_for "note: open end"
ok "a paste without its end does not take the keys away" $?

for key in 'C-c' 'C-\'; do
    keys n
    wait_for "Note"
    paste "$(printf 'of one\003\003\034\034 line')"
    sleep 0.6
    keys Enter
    wait_for "note: of one line"
    ok "$key in a paste is left out" $?
    sleep 0.3
    keys "$key"
    wait_for "press q again to quit"
    ok "$key asks for a second one" $?
    sleep 2.3
    [ ! -e "$home/exit" ] && keys n && wait_for "Note" && keys "$key" && wait_for "press Ctrl-C again"
    ok "and does not leave, in an answer neither" $?
    sleep 2.3
    keys Escape
    sleep 0.3
done
keys C-c C-'\'
wait_exit
[ "$(cat "$home/exit")" = 0 ] && journal | grep -q '"kind":"end"'
ok "two of them leave as q does" $?

for signal in TERM INT HUP QUIT SEGV ABRT XFSZ USR1 USR2 ALRM PWR; do
    start 80 24 rehearse --demo
    wait_for REHEARSAL
    kill -$signal "$(program_pid)"
    wait_exit
    wait_for "shell again"
    [ "$(pane alternate_on)$(pane cursor_flag)$(pane keypad_flag)" = 010 ] &&
        grep -q ' echo ' "$home/stty" && grep -q ' icanon ' "$home/stty"
    ok "the terminal is given back after $signal" $?
done

start 80 24 rehearse --demo
wait_for REHEARSAL
pid=$(program_pid)
tmux -L "$socket" kill-server
has_left() { ! kill -0 "$pid" 2>/dev/null; }
holds has_left
ok "it leaves when the terminal is gone" $?

EXTRA="LINES=10 COLUMNS=33"
start 100 30 rehearse --demo
EXTRA=
wait_for "quit"
[ "$(screen | head -n 1 | wc -m)" -gt 70 ]
ok "LINES and COLUMNS of the environment do not fool it" $?

for term in xterm xterm-256color xterm-direct tmux vt100 vt220 linux screen; do
    infocmp "$term" >/dev/null 2>&1 || continue
    TERM_IN=$term
    start 80 24 rehearse --demo
    TERM_IN=
    wait_for REHEARSAL
    ok "it runs under TERM=$term" $?
done

LOCALE=C
start 80 24 rehearse --demo --ascii
LOCALE=
wait_for REHEARSAL
! screen | LC_ALL=C grep -q '[^ -~]'
ok "--ascii shows plain ASCII only" $?

TERM_IN=nosuchterm
start 80 100 rehearse --demo
TERM_IN=
wait_exit
[ "$(cat "$home/exit")" = 0 ] && grep -q TERM "$home/errors"
ok "an unknown TERM is said, exit status 0" $?
screen | grep -q "^Next  *U1 in"
ok "and the moment is printed as text" $?
finish
