#!/bin/sh
# A real gpsd under the running dashboard: fix, accepted site, killed, started again.
build=$1
. "$(dirname "$0")/lib.sh"

port=$((20000 + $$ % 20000))
receiver=
start_receiver() {
    tests/receiver.py "$port" >/dev/null 2>&1 </dev/null &
    receiver=$!
}
stop_receiver() {
    [ -z "$receiver" ] || { kill "$receiver" && wait "$receiver"; } 2>/dev/null
    receiver=
}
trap 'stop_receiver; cleanup' EXIT

cat >"$home/setup.json" <<END
{"site": {"name": "somewhere else", "latitude_deg": 61.0, "longitude_deg": 60.0},
 "gpsd": {"host": "127.0.0.1", "port": $port}}
END
start 120 40 rehearse --setup "$home/setup.json" --eclipse 2028-12-31
wait_for "GPS absent"
ok "without gpsd the dashboard runs and says so" $?

start_receiver
wait_for "km off"
ok "a fix appears once gpsd is there" $?
keys g
wait_for "61.97"
ok "one key takes the fix as the site" $?
wait_for "(gps)"
ok "and says where it comes from" $?
keys u
wait_for "61.0000"
ok "one key takes it back" $?

stop_receiver
wait_for "GPS absent"
ok "gpsd killed: it says so and goes on" $?
start_receiver
wait_for "km off"
ok "gpsd started again: the fix is back" $?
keys q q
wait_exit
[ "$(cat "$home/exit")" = 0 ]
ok "it quits cleanly" $?
finish
