#!/bin/sh
# A night lived through in a terminal: start, tick, aim, alarm, answer, undo, quit.
build=$1
. "$(dirname "$0")/lib.sh"

start 80 24 rehearse --demo --speed 60
wait_for REHEARSAL
ok "the dashboard opens on the demo night" $?
wait_for "U1"
ok "it counts down to the first umbral contact" $?

keys 1 z
wait_for "slope: no re-aim alarm to silence"
ok "a rig that was never aimed has nothing to be quiet about" $?
keys 2
keys a
wait_for "re-aim within"
ok "one key says that the rig is aimed" $?
keys Tab
keys Space
wait_for "ticked:"
ok "one key ticks an item" $?
keys u
wait_for "undone: ticked"
ok "one key takes it back" $?
keys Tab

# Twelve minutes of stay at 60 times the pace are twelve seconds.
wait_for "RE-AIM long NOW"
ok "the drift alarm shows" $?
keys a
wait_gone "RE-AIM long NOW"
ok "one key answers the alarm" $?
[ "$(journal | grep -c '"kind":"alarm"')" -eq 1 ]
ok "the alarm is written down once" $?

keys q q
wait_exit

# The rest at the pace of life: what is due does not hang on how long this takes.
start 80 24 rehearse --demo --from U1+20m
wait_for REHEARSAL
keys n
wait_for "Note"
keys "first light" Enter
wait_for "note: first light"
ok "a note is taken" $?
keys w
keys "8 140" Enter
wait_for "expected 1 to 100"
ok "a wrong answer is refused with what is allowed" $?
keys C-u "8 95" Enter
wait_for "dew likely: look at the glass"
ok "dew that is likely asks for a look" $?
keys G
wait_for "glass looked at: dry"
has() { journal | grep -q "$1"; }
holds has '"kind":"glass"' && wait_gone "dew likely"
ok "one key answers that it is dry" $?
keys u
wait_for "dew likely: look at the glass"
keys 2 H
wait_for "dew likely: look at the glass of valley, scope"
holds has '"kind":"heater","rig":1,"on":1'
ok "one key says that a heater is on" $?
keys u u
wait_for "undone: air"
ok "both are undone" $?

keys s
keys "1/30 1600" Enter
wait_for "brighter than planned" && wait_for "Looked right? Enter: yes"
ok "one that is far from the plan is asked about" $?
keys Enter
wait_for "stops for the sunlit part"
ok "a setting that looked right becomes a correction" $?
keys e
keys "f 4000" Enter
wait_for "4000 is out of range; expected 0.5 to 64"
ok "an f-number that is none is refused with what is allowed for it" $?
keys C-u
keys "filter 3" Enter
wait_for "filter 3 stops"
ok "a filter is put on" $?

keys N
keys "Move the car @ U9" Enter
wait_for "expected a time"
ok "a time that is none is refused" $?
keys BSpace
keys "2-10m" Enter
wait_for "to do: Move the car"
ok "and mended where it stands; an item of one's own is added" $?
keys N
keys "Flask @ 9:30 pm" Enter
wait_for "to do: Flask, at 21:30 +05"
holds has '"due_utc":"2028-12-31T16:30:00.000Z","text":"Flask"'
ok "a time of day is taken as people write it" $?

keys F
keys "22:00" Enter
wait_for "the forecast has no hour 22:00 to delete"
ok "an hour of the forecast that is not there is not taken out" $?
keys Escape

keys n
keys -l "$(printf '\320\266%.0s' $(seq 130))"
keys Enter
wait_for "note:"
holds has '"note","text":"\(ж\)\{127\}"'
ok "a note that is too long ends where it is full, and is kept" $?

keys q
wait_for "again"
ok "one quit key only arms" $?
sleep 2.2
[ ! -e "$home/exit" ]
ok "and does not quit" $?
keys q q
wait_exit
ok "twice does" $?
[ "$(cat "$home/exit")" = 0 ]
ok "with exit status 0" $?
wait_for "shell again"
ok "the shell has its screen back" $?
[ "$(pane alternate_on)$(pane cursor_flag)$(pane keypad_flag)" = 010 ]
ok "alternate screen left, cursor shown, keypad reset" $?
grep -q ' echo ' "$home/stty" && grep -q ' icanon ' "$home/stty"
ok "the line discipline is back" $?
[ ! -s "$home/errors" ]
ok "nothing on standard error" $?

for kind in begin aim check item undo alarm note setting end; do
    journal | grep -q "\"kind\":\"$kind\""
    ok "the journal has '$kind'" $?
done
finish
