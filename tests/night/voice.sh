#!/bin/sh
# The hook that speaks: a recorder stands in for a voice.
build=$1
. "$(dirname "$0")/lib.sh"

cat >"$home/voice" <<END
#!/bin/sh
echo "-- \$#" >>"$home/spoken"
cat >>"$home/spoken"
sleep \${SLOW:-0}
END
chmod 700 "$home/voice"
cat >"$home/setup.json" <<END
{"site": {"name": "barn", "latitude_deg": 62, "longitude_deg": 60}, "hooks": {"say": ["$home/voice"]}}
END
chmod 600 "$home/setup.json"
rehearse="rehearse --setup $home/setup.json --eclipse 2028-12-31 --from U2-20s --speed 10"
spoken() { cat "$home/spoken" 2>/dev/null; }
says() { spoken | grep -q "$1"; }

start 100 30 $rehearse --hooks
holds says "U2"
ok "a contact is spoken" $?
spoken | grep -q '^-- 0$'
ok "the voice gets lines on its input, nothing as an argument" $?
! spoken | grep -v '^-- ' | grep -qv '^[0-9][0-9]:[0-9][0-9]:[0-9][0-9]  '
ok "each line as --plain prints it" $?
[ "$(spoken | grep -v '^-- ' | sort | uniq -d | wc -l)" = 0 ]
ok "none twice" $?
[ "$(spoken | grep -v '^-- ' | wc -l)" -lt 60 ]
ok "what stood at the start is not read out" $?
keys q q
wait_exit

# While the voice speaks, lines wait for it.
rm -f "$home/spoken"
EXTRA="SLOW=3" start 100 30 $rehearse --hooks
holds says "U2"
sleep 1
[ "$(pgrep -fc "sh $home/voice")" -le 1 ]
ok "one voice at a time" $?
keys q q
wait_exit
! pgrep -f "$home/voice" >"$home/left"
ok "it ends with the program" $?

rm -f "$home/spoken"
start 100 30 $rehearse
wait_for "U3 in"
[ ! -e "$home/spoken" ]
ok "in a rehearsal nothing is spoken without --hooks" $?
keys q q
wait_exit
finish
