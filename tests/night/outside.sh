#!/bin/sh
# What hangs on the laptop may fail in any way: sensor, forecast and hooks under the running dashboard.
build=$1
. "$(dirname "$0")/lib.sh"

site='"site": {"latitude_deg": 62, "longitude_deg": 60'
setup() { # the rest of the object
    printf '{%s}\n' "$1" >"$home/setup.json"
}
rehearse() { start 100 30 rehearse --setup "$home/setup.json" --eclipse 2028-12-31 "$@"; }

# ---- sensor ----

setup "$site}, \"air\": {\"command\": [\"echo\", \"-8.5 81\"], \"every_s\": 10}"
rehearse
wait_for "frost likely: look at the glass"
ok "a sensor's reading shows by itself" $?
keys u
wait_for "nothing to undo" && screen | grep -q "frost likely: look at the glass"
ok "and is not the user's to undo" $?

setup "$site}, \"air\": {\"command\": [\"echo\", \"nan\", \"80\"], \"every_s\": 10}"
rehearse
wait_for "air sensor: 'nan' is not a number"
ok "a sensor that prints NaN is refused, and it says so" $?

setup "$site}, \"air\": {\"command\": [\"sh\", \"-c\", \"sleep 9$$\"], \"every_s\": 3600}"
rehearse --from U2-1803s
wait_for "REHEARSAL"
keys n
keys -l "still here"
keys Enter
wait_for "note: still here"
ok "a sensor that hangs does not hold the dashboard" $?
wait_for "air sensor: killed: still running after 10 s"
ok "and is killed after its time" $?
pgrep -f "^sleep 9$$" >/dev/null
[ $? -eq 1 ]
ok "with all that it has started" $?

chmod 666 "$home/setup.json"
rehearse
wait_for "air sensor: not run: $home/setup.json can be changed"
ok "a command of a setup that others can write is not run" $?
rm -f "$home/setup.json"

# ---- forecast ----

printf '{"issued": "2028-12-31T12:00Z",\n "hours": [\n  {"time": "2028-12-31T14:00Z", "clo' >"$home/sky.json"
setup "$site, \"forecast\": \"$home/sky.json\"}"
rehearse
wait_for "sky.json:3:"
ok "a forecast cut off in the middle: its place is said, and the night goes on" $?
clean_env "$program" now --at 2028-12-31T15:00 --setup "$home/setup.json" >/dev/null 2>"$home/said"
[ $? -eq 2 ] && grep -q "sky.json:3:" "$home/said"
ok "a print refuses it" $?
cat >"$home/sky.json" <<END
{"issued": "2028-12-31T12:00Z", "hours": [
 {"time": "2028-12-31T14:00Z", "cloud_percent": 10, "temperature_c": -17, "humidity_percent": 80},
 {"time": "2028-12-31T20:00Z", "cloud_percent": 40, "temperature_c": -23, "humidity_percent": 80}]}
END
clean_env "$program" now --at 2028-12-31T17:00 --setup "$home/setup.json" --json >"$home/said"
grep -q '"temperature_c":.-20,' "$home/said" && grep -q '"cloud_percent":.25,' "$home/said"
ok "a whole one serves for the air" $?

# ---- hooks ----

setup "$site}, \"hooks\": {\"contact\": [\"sh\", \"-c\",
 \"echo on the screen; echo \$MOONSTAND_EVENT \$MOONSTAND_WHAT \$MOONSTAND_AT >>$home/told\"]}"
rehearse --from U1-3s
wait_for "U2 in"
wait_ticks
[ ! -e "$home/told" ]
ok "no hook runs in a rehearsal by itself" $?
rehearse --from U1-3s --hooks
wait_for "U2 in"
holds test -s "$home/told"
[ "$(cat "$home/told")" = "contact U1 2028-12-31T15:07:42Z" ]
ok "on request it does, once, with the facts in its environment" $?
! screen | grep -q "on the screen"
ok "and nothing of it on the screen" $?

# Two copies of one night pass the same contact: one line.
rm -f "$home/told"
both="--setup $home/setup.json --eclipse 2028-12-31 --hooks --session $home/2028-12-31-both"
mkdir "$home/2028-12-31-both"
start 100 30 rehearse $both --from U1-6s
wait_for REHEARSAL
clean_env tmux -L "$socket" new-window "env TERM=tmux-256color $program rehearse $both --from U1-3s; sleep 600"
wait_for "read-only"
ok "a second copy of the night is read-only" $?
wait_for "partial, umbral magnitude" && tmux -L "$socket" select-window -t :0 && wait_for "partial, umbral magnitude"
ok "both have passed the contact" $?
wait_ticks
[ "$(grep -c 'contact U1' "$home/told")" = 1 ]
ok "the second one runs no hook: it was told once" $?

setup "$site}, \"hooks\": {\"contact\": [\"sleep\", \"8$$\"]}"
rehearse --from U1-2s --hooks
runs() { pgrep -f "^sleep 8$$" >/dev/null; }
has_ended() { ! runs; }
holds runs && kill -KILL "$(program_pid)" && wait_exit && holds has_ended
ok "a hook does not outlive a program that was killed" $?

# ---- cards ----

setup "$site}, \"rigs\": [{\"name\": \"long\", \"focal_mm\": 400, \"f_number\": 6.3, \"card_path\": \"$home/none\"}]"
rehearse
wait_for REHEARSAL
keys y
wait_for "NO CARD"
ok "a card that is not in its reader is said" $?

# ---- keys ----

setup "$site}, \"reminders\": [{\"text\": \"call the ferry\", \"due\": \"U2-32m\"}]"
rehearse --from U2-1923s
wait_for "overdue: call the ferry"
ok "a reminder comes up in its time" $?
keys Z
wait_for "put off 10 min: call the ferry" && wait_for "aim now, then press a"
ok "one key puts it off" $?
keys y
wait_for "clock errors not noted"
ok "one key shows what could run out" $?
keys 2 K
keys -l "20:46:30"
keys Enter
wait_for "long: camera clock" && wait_for "long UTC+"
ok "what a camera shows is noted" $?
keys -l K
keys -l "25:00"
keys Enter
wait_for "expected a time"
ok "nonsense is asked for again" $?
keys Escape
keys C
wait_for "photograph this with every camera" && screen | grep -q "REHEARSAL: no time to set a clock by"
ok "the time card fills the screen, and says what it is" $?
keys C
wait_for "Hands"
ok "and goes away by the same key" $?
keys q q
wait_exit
[ "$(cat "$home/exit")" = 0 ]
ok "it quits cleanly" $?
finish
