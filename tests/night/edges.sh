#!/bin/sh
# The edges of a night: summer time ends in it, P4 is over, the eclipse that is meant without a word.
build=$1
. "$(dirname "$0")/lib.sh"

now() { clean_env "$program" now "$@"; }

# ---- the hour that comes twice: 2050-10-30 in Rome, P1 in the first of them, U1 in the second ----

cat >"$home/rome.json" <<END
{"site": {"name": "Rome", "latitude_deg": 41.9, "longitude_deg": 12.5, "time_zone": "Europe/Rome"}}
END
rome="--setup $home/rome.json --eclipse 2050-10-30"
clean_env "$program" plan $rome >"$home/plan"
grep -q "^  P1  *10-30 02:44:03 CEST  00:44:03" "$home/plan" &&
    grep -q "^  U1  *10-30 02:44:10 CET   01:44:10" "$home/plan"
ok "the plan tells P1 and U1 apart, both at 02:44" $?
awk 'length > 79 { exit 1 }' "$home/plan"
ok "and keeps to the paper's width" $?
now $rome --at 2050-10-30T00:20 >"$home/now"
for size in 80x24 120x40; do
    now $rome --at 2050-10-30T00:20 --canvas $size >"$home/canvas"
    grep -q "02:20:00 CEST" "$home/canvas" && grep -q "02:44:03 CEST" "$home/canvas" &&
        grep -q "02:44:10 CET" "$home/canvas"
    ok "so does the screen of $size" $?
    cat "$home/canvas" >>"$home/local"
done
# Below the contacts all is local time; on the screen UTC stands in a column of its own, 00 to 05.
sed -n '/^TIMELINE/,$p' "$home/plan" >>"$home/local"
grep -E '(^|[^0-9:])02:[0-5][0-9]' "$home/local" | grep -vE '02:[0-5][0-9](:[0-9]{2})? CES?T'
[ $? -eq 1 ]
ok "no time between 02:00 and 03:00 goes without its zone" $?
# A typed time is the next one that the clock will show: past the change, in the first of the two hours
# (02:30), in the second one (02:10).
start 100 40 rehearse $rome --from 2050-10-30T00:20
wait_for "REHEARSAL"
for at in 05:00 02:30 02:10; do
    keys N
    keys -l "call @ $at"
    keys Enter
    wait_for "to do: call, at $at"
done
keys q q
wait_exit
dues=$(grep -h '"kind":"item"' "$home"/state/moonstand/sessions/2050-10-30*/journal.jsonl |
    sed 's/.*"due_utc":"\([^"]*\)".*/\1/' | cut -c 12-16 | tr '\n' ' ')
[ "$dues" = "04:00 00:30 01:10 " ]
ok "a typed time is the next one that the clock shows" $?
echo "#  $dues"

# ---- which eclipse ----

cat >"$home/lisbon.json" <<END
{"site": {"name": "Lisbon", "latitude_deg": 38.7, "longitude_deg": -9.1, "time_zone": "UTC"}}
END
# A penumbral eclipse to come and in progress, a partial one hidden and seen, a night that is over.
for at in 2027-01-01T00:00 2027-02-20T23:00 2027-08-17T07:00 2028-01-12T04:00 2028-12-31T16:00 \
    2028-12-31T19:44 2029-01-01T05:00 2029-01-01T09:00; do
    now --setup "$home/lisbon.json" --at $at | grep -A 1 "^Eclipse" >"$home/of-now"
    clean_env "$program" rehearse --setup "$home/lisbon.json" --from $at | grep -A 1 "^Eclipse" >"$home/of-dashboard"
    [ -s "$home/of-now" ] && cmp -s "$home/of-now" "$home/of-dashboard"
    ok "now and the dashboard mean the same eclipse at $at" $?
done

# ---- after P4 ----

printf '{"site": {"latitude_deg": 62, "longitude_deg": 60}}' >"$home/setup.json"
start 80 24 rehearse --setup "$home/setup.json" --from 2028-12-31T20:00
wait_for "no more re-aims" && screen | grep -q "last frame 19:40:12" && ! screen | grep -qi "re-aim long"
ok "a start after P4 is still that night, and its rigs are done" $?
screen | grep -A 3 "^List" | grep -q "bags\|Search the ground\|Copy the cards"
ok "with what is left of its list" $?
keys q q
wait_exit

# ---- the report that is meant ----

start 80 24 --setup "$home/setup.json" --eclipse 2028-12-31
wait_for "GPS"
keys n
keys -l "clouds in the west"
keys Enter
wait_for "note: clouds"
keys q q
wait_exit
start 80 24 --setup "$home/setup.json" --eclipse 2029-06-26
wait_for "GPS"
keys q q
wait_exit
[ "$home/state/moonstand/sessions/2029-06-26/journal.jsonl" -nt "$home/state/moonstand/sessions/2028-12-31/journal.jsonl" ]
ok "a later session holds only what the program writes" $?
clean_env "$program" report >"$home/report.md" 2>"$home/err"
grep -q "reading session .*/2028-12-31\$" "$home/err" && grep -q "clouds in the west" "$home/report.md"
ok "the report is that of the night in which the user did something" $?
echo "a.raw,2028-12-31T17:00:00Z" |
    clean_env "$program" report --pictures >"$home/sorted.csv" 2>"$home/err"
grep -q "^a.raw,,2028-12-31T17:00:00.000Z,utc,total,"  "$home/sorted.csv"
ok "so are the pictures" $?
finish
