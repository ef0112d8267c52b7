#!/bin/sh
# Kill, resume, a second copy, what passed meanwhile.
build=$1
. "$(dirname "$0")/lib.sh"

session=$home/2028-12-31-kept
mkdir -p "$session"
start 80 24 rehearse --demo --session "$session"
wait_for REHEARSAL
keys 2
keys a
wait_for "re-aim in"
keys n
keys "before the kill" Enter
wait_for "note:"
sleep 1.2
kill -KILL "$(program_pid)"
wait_exit
ok "killed without warning" $?

start 80 24 rehearse --demo --session "$session"
wait_for "session resumed"
ok "the next start takes the session up again" $?
wait_for "re-aim in"
ok "the aim still runs" $?

first=$(program_pid)
tmux -L "$socket" new-window "env TERM=tmux-256color $program rehearse --demo --session $session; sleep 600"
wait_for "ooking on"
ok "a second copy looks on" $?
keys n
keys "may not" Enter
sleep 1.2
! grep -q "may not" "$session/journal.jsonl"
ok "and writes nothing" $?
kill "$first"
tmux -L "$socket" kill-server

# The same session half an hour later: the alarm that nobody heard is a missed one.
start 80 24 rehearse --demo --session "$session" --from U1+30m
wait_for REHEARSAL
sleep 1.2
grep -q '"kind":"missed".*U1' "$session/journal.jsonl"
ok "a contact that passed meanwhile is written down as missed" $?
grep -q '"kind":"missed","rig":1' "$session/journal.jsonl"
ok "and so is the re-aim" $?
keys Q
wait_exit
clean_env "$program" report --session "$session" >"$home/report.md" 2>"$home/err"
ok "the report reads it" $?
grep -q "before the kill" "$home/report.md"
ok "with the note" $?
printf 'IMG_1.RAW,2028-12-31T15:30:00Z,long\n' | clean_env "$program" report --session "$session" --pictures >"$home/pictures.csv"
grep -q "IMG_1.RAW.*partial" "$home/pictures.csv"
ok "a picture is put in its phase" $?
finish
