#!/bin/sh
# Without a terminal: the moment as text, JSON, faults and exit statuses.
build=$1
. "$(dirname "$0")/lib.sh"

run() { clean_env "$program" "$@" >"$home/out" 2>"$home/err"; }
status_is() { # wanted, name, args...
    wanted=$1
    name=$2
    shift 2
    run "$@"
    [ $? -eq "$wanted" ]
    ok "$name" $?
}

status_is 0 "the dashboard into a pipe prints the moment" rehearse --demo
grep -q "^Next  *U1 in" "$home/out"
ok "with what comes next" $?
status_is 0 "a rehearsal from an instant" rehearse --site 62,60 --from 2028-12-31T16:00
grep -q "^Eclipse .*2028-12-31" "$home/out"
ok "is of the eclipse that comes next from there" $?
clean_env TERM=dumb "$program" rehearse --demo >"$home/out"
ok "TERM=dumb: the same" $?
status_is 0 "now as JSON" now --at 2028-12-31T16:20 --site 62,60,420 --json
grep -q '"phase":	"total"' "$home/out"
ok "knows the phase" $?
status_is 2 "now without a site" now --at 2028-12-31T16:20 --json
grep -q -- "--site" "$home/err"
ok "says how to give one" $?
status_is 1 "nights of a span without any" nights --from 2028-02-01 --to 2028-02-10 --json
[ "$(cat "$home/out")" = "[]" ]
ok "prints an empty array" $?
status_is 0 "the day of greatest is inclusive" nights --from 2028-12-31 --to 2028-12-31
status_is 2 "a year outside 1900 to 2100" nights --from 1899-12-31 --to 1901-01-01
status_is 2 "days in the wrong order" nights --from 2029-01-01 --to 2028-01-01
status_is 2 "an option of another command" nights --from 2028-01-01 --to 2028-12-31 --temperature 3
status_is 2 "--json is not for the dashboard" --json
status_is 2 "--json is not for the setup" setup --json
status_is 2 "an unknown command" tomorrow
status_is 2 "an unknown shadow rule" nights --from 2028-01-01 --to 2028-12-31 --shadow round
status_is 2 "a broken site" now --site 91,0
status_is 1 "a day without eclipse" plan --eclipse 2028-12-30 --site 62,60
status_is 0 "air" air --temperature 10 --humidity 90 --json
status_is 2 "air without humidity" air --temperature 10
status_is 2 "no setup and no site" --eclipse 2028-12-31
printf '62 0 0 N 60:00:00 E\nUTC\n1\n\n\n\n\n2\nhut\nyes\n' >"$home/answers"
clean_env "$program" setup <"$home/answers" >"$home/out" 2>"$home/err"
ok "setup by answers" $?
status_is 0 "the plan of one's own setup" plan --eclipse 2028-12-31
grep -q "hut" "$home/out"
ok "with one's own site" $?
printf '62, 60\n%070d\n' 0 | clean_env "$program" setup >"$home/out" 2>"$home/err"
grep -q "! site > time zone: found .*; expected a text of 0 to 63 bytes" "$home/out"
ok "a zone's name that is too long is told so" $?
printf 'hut\n' | clean_env "$program" setup >"$home/out" 2>"$home/err"
[ $? -eq 2 ]
ok "answers that end early write nothing" $?
printf '{"site": {"latitude_deg": 1, "longitude_deg": 200}}' >"$home/bad.json"
status_is 2 "a setup out of range" now --setup "$home/bad.json"
grep -q "bad.json.*longitude_deg" "$home/err"
ok "names file and key" $?
clean_env "$program" now --at 2028-12-31T16:20 --site 62,60 --json >/dev/full 2>"$home/err"
[ $? -eq 3 ]
ok "a full disk is the machine's fault" $?
for command in "" nights plan now sites air setup rehearse report sessions; do
    clean_env "$program" $command --help >/dev/full 2>"$home/err"
    [ $? -eq 3 ] || echo "$command" >>"$home/unsaid"
done
clean_env "$program" --version >/dev/full 2>"$home/err"
[ $? -eq 3 ] && [ ! -e "$home/unsaid" ] && grep -q "could not write" "$home/err"
ok "and so it is for every --help, and for --version" $?
clean_env "$program" now --at 2028-12-31T16:20 --site 62,60 --canvas 80x24 >/dev/full 2>"$home/err"
[ $? -eq 3 ]
ok "of the canvas, too" $?
mkdir -p "$home/state/moonstand/sessions/2028-12-31\"x"
clean_env "$program" sessions --json >/dev/full 2>"$home/err"
[ $? -eq 3 ]
ok "and of the list of sessions" $?
status_is 0 "a session of an odd name" sessions --json
grep -qF '"2028-12-31\"x"' "$home/out"
ok "is written as JSON wants it" $?
rmdir "$home/state/moonstand/sessions/2028-12-31\"x"
status_is 2 "--json beside --canvas" now --at 2028-12-31T16:20 --site 62,60 --json --canvas 80x24
status_is 2 "--json beside --calendar" plan --eclipse 2028-12-31 --json --calendar
mkfifo "$home/pipe"
clean_env timeout 5 "$program" now --setup "$home/pipe" >"$home/out" 2>"$home/err"
[ $? -eq 2 ] && grep -q "not a regular file" "$home/err"
ok "a pipe is no setup" $?
status_is 2 "a session that is not there" report --session 1
grep -q "no such session: $home/state/moonstand/sessions/1\$" "$home/err"
ok "is named with its path" $?

# ---- a command that is none ----

status_is 2 "a word that is no command" compare 2028-12-31
grep -qx "moonstand: 'compare' is not a command; see moonstand --help" "$home/err"
ok "is named, with what would help" $?
finish
