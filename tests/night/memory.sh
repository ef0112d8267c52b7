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
wait_for "re-aim within"
keys n
keys "before the kill" Enter
wait_for "note:"
holds grep -q '"before the kill"' "$session/journal.jsonl"
kill -KILL "$(program_pid)"
wait_exit
ok "killed without warning" $?

# On a machine that is busy with other things now and then, but not always, it takes longer.
for try in 1 2 3 4 5; do
    begun=$(date +%s%N)
    start 80 24 rehearse --demo --session "$session"
    wait_for "session resumed"
    took=$((($(date +%s%N) - begun) / 1000000))
    echo "# stands again $took ms after the start of its terminal"
    [ "$took" -ge 1000 ] || break
    kill -KILL "$(program_pid)"
    wait_exit
done
[ "$took" -lt 1000 ]
ok "the next start takes the session up again, within a second" $?
wait_for "re-aim within"
ok "the aim still runs" $?

first=$(program_pid)
tmux -L "$socket" new-window "env TERM=tmux-256color $program rehearse --demo --session $session; sleep 600"
wait_for "read-only"
ok "a second copy is read-only" $?
keys n
keys "may not" Enter
wait_ticks
! grep -q "may not" "$session/journal.jsonl"
ok "and writes nothing" $?
! screen | grep -q "Note:"
ok "and asks nothing" $?
# The first copy takes the light theme: on a white ground, which the red one never has.
keys -t :0 E
keys -t :0 Down Down Down Down Down Down Enter
keys -t :0 BSpace BSpace BSpace
keys -t :0 daylight Enter
white() { screen_with_colours | grep -qE '48;(5;(231|15)|2;255;255;255)m'; }
holds white
ok "and follows when the other changes the theme" $?
kill "$first"
wait_for "start again to take over"
ok "and says when the other has ended" $?
tmux -L "$socket" kill-server

# The same session half an hour later: the alarm that nobody heard is a missed one.
start 80 24 rehearse --demo --session "$session" --from U1+30m
wait_for REHEARSAL
holds grep -q '"kind":"missed".*U1' "$session/journal.jsonl"
ok "a contact that passed meanwhile is written down as missed" $?
holds grep -q '"kind":"missed","rig":1' "$session/journal.jsonl"
ok "and so is the re-aim" $?
wait_for "missed 1 of"
ok "the screen tells it too" $?
keys q q
wait_exit
clean_env "$program" report --session "$session" >"$home/report.md" 2>"$home/err"
ok "the report reads it" $?
grep -q "before the kill" "$home/report.md"
ok "with the note" $?
printf 'IMG_1.RAW,2028-12-31T15:30:00Z,long\n' | clean_env "$program" report --session "$session" --pictures >"$home/pictures.csv"
grep -q "IMG_1.RAW.*partial" "$home/pictures.csv"
ok "a picture is put in its phase" $?

# Nothing is overwritten: a rehearsal has a folder of its own each time, reports touch nothing.
fingerprint() { find "$home/state" "$session" -type f ! -name alive -exec cksum {} + | sort -k 3; }
rehearsed=$home/state/moonstand/sessions/2028-12-31-rehearsal
start 80 24 rehearse --demo
wait_for REHEARSAL
keys f
wait_for "frame taken"
keys q q
wait_exit
fingerprint >"$home/before"
start 80 24 rehearse --demo
wait_for REHEARSAL
keys q q
wait_exit
[ -s "$rehearsed-2/journal.jsonl" ] && [ -s "$rehearsed-2/setup.json" ]
ok "a second rehearsal has a folder of its own" $?
fingerprint | grep -v "rehearsal-2/" | cmp -s - "$home/before"
ok "and leaves every other session as it was" $?
fingerprint >"$home/before"
clean_env "$program" sessions >"$home/sessions" && grep -q "^2028-12-31-rehearsal .* entries" "$home/sessions" &&
    grep -q "^2028-12-31-rehearsal-2 " "$home/sessions"
ok "both are listed" $?
clean_env "$program" report >/dev/null && clean_env "$program" report --json >/dev/null &&
    clean_env "$program" report --csv --session 2028-12-31-rehearsal >/dev/null
ok "reports go to standard output" $?
clean_env "$program" report --session 2028-12-31-rehearsal --against 2028-12-31-rehearsal-2 >"$home/differs"
ok "two sessions are compared" $?
grep -q "^| slope | frames by hand | 1 | 0 |" "$home/differs"
ok "what differs is told" $?
clean_env "$program" report --session 2028-12-31-rehearsal --against "$session" --json >"$home/differs" &&
    grep -q '"answered_after_s"\|"missed":' "$home/differs"
ok "as JSON too" $?
clean_env "$program" report --against nosuch >/dev/null 2>"$home/err"
[ $? -eq 2 ] && grep -q nosuch "$home/err"
ok "a session that is not there is refused" $?
fingerprint | cmp -s - "$home/before"
ok "none of that has touched a file" $?

# A rehearsal does not write into the record of a real night.
night=$home/state/moonstand/sessions/2028-12-31
start 80 24 --site 62,60,420 --eclipse 2028-12-31
wait_for "U1"
keys f
wait_for "frame taken"
keys q q
wait_exit
start 80 24 rehearse --session 2028-12-31
wait_exit
[ "$(cat "$home/exit")" = 2 ] && grep -q "record of a real night" "$home/errors"
ok "a rehearsal refuses the record of a real night" $?
start 80 24 --session 2028-12-31
wait_for "session opened"
ok "a session is opened by its name, with its own setup" $?
screen | grep -q "62.0000 N"
ok "and its own site" $?
keys q q
wait_exit
[ "$(grep -c '"kind":"begin"' "$night/journal.jsonl")" -eq 2 ]
ok "each run is in its journal" $?

# Without --session: the real night in which something was done, and it says which.
clean_env "$program" report >"$home/report.md" 2>"$home/err"
grep -q "reading session .*/2028-12-31\$" "$home/err" && ! grep -q REHEARSAL "$home/report.md"
ok "the report is that of the real night" $?
cp -r "$night" "$home/state/moonstand/sessions/2026-08-28"
touch -d "1 minute" "$home/state/moonstand/sessions/2026-08-28/journal.jsonl"
clean_env "$program" report >"$home/report.md" 2>"$home/err"
grep -q "reading session .*/2026-08-28\$" "$home/err" && grep -q "eclipse of 2026-08-28" "$home/report.md"
ok "the one written to last, not the last by name" $?
printf 'torn' >>"$night/journal.jsonl"
sed -i '1s/begin/bogin/' "$night/journal.jsonl"
clean_env "$program" sessions >/dev/null 2>"$home/err"
grep -q "2028-12-31: 1 damaged entry was skipped; .*: 4 bytes" "$home/err"
ok "damage is told where sessions are listed" $?
clean_env "$program" report --session 2028-12-31 >/dev/null 2>"$home/err"
grep -q "1 damaged entry was skipped; .*: 4 bytes" "$home/err"
ok "and in front of a report" $?

# A session that cannot be read: its cause is said, by report as by sessions.
mkdir -p "$home/broken/moonstand/sessions/2028-12-31/journal.jsonl"
clean_env XDG_STATE_HOME="$home/broken" "$program" report >/dev/null 2>"$home/err"
[ $? -eq 2 ] && grep -q "2028-12-31/journal.jsonl: cannot open: not a regular file" "$home/err" &&
    ! grep -q "recorded yet" "$home/err"
ok "a report names the cause if no session can be read" $?
rmdir "$home/broken/moonstand/sessions/2028-12-31/journal.jsonl"
echo "garbage" >"$home/broken/moonstand/sessions/2028-12-31/journal.jsonl"
clean_env XDG_STATE_HOME="$home/broken" "$program" report >/dev/null 2>"$home/err"
[ $? -eq 2 ] && grep -q "left out after the last whole entry: 8 bytes" "$home/err" &&
    ! grep -q "recorded yet" "$home/err"
ok "and if nothing in it is whole" $?
rm "$home/broken/moonstand/sessions/2028-12-31/journal.jsonl"
clean_env XDG_STATE_HOME="$home/broken" "$program" report >/dev/null 2>"$home/err"
grep -q "no session has been recorded yet" "$home/err"
ok "and that there is none if there is none" $?
cp -r "$session" "$home/broken/moonstand/sessions/2026-08-28"
mkfifo "$home/broken/moonstand/sessions/2028-12-31/journal.jsonl"
clean_env XDG_STATE_HOME="$home/broken" timeout 20 "$program" report >"$home/report.md" 2>"$home/err"
[ $? -eq 0 ] && grep -q "2028-12-31/journal.jsonl: cannot open" "$home/err" &&
    grep -q "reading session .*/2026-08-28" "$home/err"
ok "one that can be read is reported all the same" $?

# Names of folders and texts of somebody else's journal do not steer the terminal.
rm -r "$home/broken"
named=$(printf '2028-12-31\033]0;x\007')
mkdir -p "$home/broken/moonstand/sessions"
cp -r "$session" "$home/broken/moonstand/sessions/$named"
clean_env XDG_STATE_HOME="$home/broken" "$program" sessions >"$home/out" 2>"$home/err"
[ $? -eq 3 ] && grep -q "2028-12-31?]0;x? *cannot be read" "$home/out" && grep -q "a control character; rename" "$home/err"
ok "a folder whose name holds an escape is named, and cannot be read" $?
clean_env XDG_STATE_HOME="$home/broken" "$program" report >>"$home/out" 2>>"$home/err"
clean_env XDG_STATE_HOME="$home/broken" "$program" report --session "$named" >>"$home/out" 2>>"$home/err"
clean_env XDG_STATE_HOME="$home/broken" "$program" sessions --json >>"$home/out" 2>>"$home/err"
! grep -q "$(printf '\033')" "$home/out" "$home/err"
ok "no escape of it reaches the terminal" $?
finish
