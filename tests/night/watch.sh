#!/bin/sh
# Pictures watched while a night runs: however they arrive, counted once; the watcher killed, stopped, started again.
build=$1
. "$(dirname "$0")/lib.sh"

shot=tests/fuzz/corpus/metadata/little.jpg
in=$home/in
mkdir "$in"
# shoot FILE NUMBER: a picture of its own second.
shoot() {
    sed "s/2028:12:31 17:30:09/2028:12:31 17:$(printf '%02d:%02d' $(($2 / 60)) $(($2 % 60)))/" "$shot" >"$1"
}
jsonl() { cat "$home"/state/moonstand/sessions/*/pictures.jsonl; }
seen() { wait_for " $1 seen, last"; }
# What it has forked to read a picture is younger, and soon gone.
watcher() { pgrep -o -f "moonstand --watch $home"; }

cat >"$home/setup.json" <<END
{"site": {"latitude_deg": 62, "longitude_deg": 60, "height_m": 100},
 "rigs": [{"name": "long", "focal_mm": 400, "f_number": 6.3, "pictures": "$in", "look": "metadata"}]}
END
mkdir "$home/spare"
shoot "$in/old.jpg" 1
start 100 30 rehearse --eclipse 2028-12-31 --from P1-40m --setup "$home/setup.json"
wait_for "no picture yet"
ok "a picture of before the session is left alone" $?

set -- $(ps -o ni=,pgid= -p "$(watcher)") $(ps -o ni=,pgid= -p "$(program_pid)")
nicer=$(($3 + 10))
[ "$1" -eq $((nicer > 19 ? 19 : nicer)) ] && [ "$2" -ne "$4" ]
ok "the watcher gives way to others, in a group of its own" $?

# ---- however they arrive ----

shoot "$in/a.jpg" 2
seen 1
ok "a copy is counted" $?
shoot "$in/.b.part" 3
sleep 1
mv "$in/.b.part" "$in/b.jpg"
seen 2
ok "a hidden name that is renamed" $?
shoot "$home/spare/c.jpg" 4
{
    for at in 0 1 2 3 4 5; do
        dd if="$home/spare/c.jpg" bs=250 skip=$at count=1 2>/dev/null
        sleep 0.4
    done
} >"$in/c.jpg"
seen 3
ok "one descriptor in six pieces" $?
shoot "$home/spare/d.jpg" 5
for at in 0 1 2; do
    dd if="$home/spare/d.jpg" bs=500 skip=$at count=1 2>/dev/null >>"$in/d.jpg"
    sleep 1.5
done
seen 4
ok "in pieces with a pause and a close after each" $?
mkdir -p "$in/100MOON/deep"
shoot "$in/100MOON/deep/e.jpg" 6
seen 5
ok "in a new folder inside a new folder" $?
number_of=10
while [ $number_of -lt 30 ]; do
    shoot "$in/burst$number_of.jpg" $number_of
    number_of=$((number_of + 1))
done
seen 25
ok "a burst of twenty" $?

# ---- what is no frame of its own, or none at all ----

sed 's/2028:12:31 17:30:09/2028:12:31 17:00:02/' tests/fuzz/corpus/metadata/raw.nef >"$in/a.nef"
touch "$in/b.jpg"
cp "$in/c.jpg" "$in/100MOON/c.jpg"
echo "a list" >"$in/list.txt"
mkfifo "$in/pipe.jpg"
ln -s a.jpg "$in/link.jpg"
shoot "$in/z.jpg" 40
seen 26
ok "the raw file of a picture, one that is touched, a copy, a FIFO, a link and a text are no frames" $?
/usr/bin/python3 - "$in" <<'END' "$(ls "$home"/state/moonstand/sessions/*/pictures.jsonl)"
import json, os, sys

lines = [json.loads(line) for line in open(sys.argv[2])]
names = {os.path.basename(o["file"]) for o in lines}
assert {"a.jpg", "a.nef", "b.jpg", "c.jpg", "d.jpg", "e.jpg", "z.jpg", "burst29.jpg"} <= names, names
assert not names & {"old.jpg", "list.txt", "pipe.jpg", "link.jpg"}, names
for o in lines:
    assert o["rig"] == "long" and o["shutter_s"] == 0.002 and o["iso"] == 400, o
last = {o["file"]: o for o in lines}
for path, o in last.items():
    assert o["bytes"] == os.path.getsize(path), o
END
ok "each is a line of the session, with its whole size" $?
head -c 900 "$shot" >"$in/cut.jpg"
printf 'no picture at all' >"$in/text.jpg"
shoot "$in/y.jpg" 41
seen 27
ok "one that is cut short does not hold up the others" $?

# ---- the watcher is killed, stopped, started again ----

kill -9 "$(watcher)"
wait_for "not watched: press P"
ok "killed: the screen says so, and which key helps" $?
pid=$(program_pid)
[ -n "$pid" ] && screen >"$home/one" && sleep 1.2 && screen >"$home/two" && ! cmp -s "$home/one" "$home/two"
ok "and the night goes on" $?
shoot "$in/x.jpg" 42
keys P
seen 28
ok "started again it counts on, with what came meanwhile" $?
[ "$(pgrep -fc "moonstand --watch $home")" -eq 1 ]
ok "by one process" $?
kill -STOP "$(watcher)"
shoot "$in/w.jpg" 43
screen >"$home/one"
sleep 2.5
screen >"$home/two"
! cmp -s "$home/one" "$home/two"
ok "stopped: the night goes on" $?
kill -CONT "$(watcher)"
seen 29
ok "going on again it has missed nothing" $?
mv "$in" "$in.away"
wait_for "folder of pictures is gone"
ok "a folder that is gone is said" $?
mv "$in.away" "$in"
seen 29
ok "it is there again, and nothing is counted twice" $?

# ---- a crash ----

kill -9 "$pid"
sleep 0.5
[ -z "$(watcher)" ]
ok "when the dashboard is killed the watcher ends with it" $?
before=$(jsonl | wc -l)
start 100 30 rehearse --session 2028-12-31-rehearsal --from P1-30m
seen 29
ok "the next start knows them all" $?
sleep 3
[ "$(jsonl | wc -l)" -eq "$before" ]
ok "and looks at none of them again" $?
shoot "$in/v.jpg" 44
seen 30
ok "and goes on from there" $?
keys q q
wait_exit
journal | grep -q '"kind":"pictures","rig":0,"frames":'
ok "the journal has their count" $?
[ -z "$(watcher)" ]
ok "nothing is left behind" $?

# ---- pictures in which the Moon cannot be looked for, or that ask for too much ----

in=$home/place
mkdir "$in"
sed "s|$home/in|$in|; s/\"metadata\"/\"place\"/; s/\"rigs\"/\"look_every_s\": 1, &/" "$home/setup.json" >"$home/place.json"
start 100 30 rehearse --eclipse 2028-12-31 --from P1-40m --setup "$home/place.json"
wait_for "no picture yet"
odd_pictures "$in"
wait_for "raw without a preview"
ok "a raw file without a preview: it is said why the Moon is not looked for" $?
wait_for "huge.jpg: its pixels need too much memory"
ok "a picture that is refused is named, with the reason" $?
wait_for " 2 seen"
ok "both are counted all the same" $?
shoot "$in/good.jpg" 50
wait_for " 3 seen, "
ok "and so is the next one" $?
jsonl | grep -q '/none.nef".*"no_disc":"no JPEG in it that can be decoded"' && jsonl | grep -q '/huge.jpg"'
ok "each is a line of the session" $?
shoot "$in/good.jpg" 51
wait_for " 4 seen"
ok "another picture under the same name is another frame" $?
keys q q
wait_exit

# ---- when the Moon is looked for ----

sed 's/"look_every_s": 1/"look_every_s": 3600/' "$home/place.json" >"$home/seldom.json"
start 100 30 rehearse --eclipse 2028-12-31 --from P1-40m --setup "$home/seldom.json"
wait_for "no picture yet"
# lands NUMBER SEEN; looked NUMBER: whether the Moon was looked for in that one.
lands() {
    shoot "$in/look$1.jpg" "$1"
    wait_for " $2 seen"
}
looked() { jsonl | grep "/look$1.jpg\"" | grep -q '"no_disc":"no Moon found"'; }
lands 1 1 && lands 2 2 && looked 1 && ! looked 2
ok "in the first picture, and then not more often than asked" $?
keys a
lands 3 3 && lands 4 4 && looked 3 && ! looked 4
ok "but in the first one after an aim" $?
LC_ALL=C sed 's/\xf4\x01\x00\x00/\xfa\x00\x00\x00/' "$shot" >"$home/other.jpg" # 1/250 s
shot=$home/other.jpg
lands 5 5 && lands 6 6 && looked 5 && ! looked 6
ok "and in the first one with another setting" $?
keys q q
wait_exit

# ---- two cameras that deliver into one folder ----

in=$home/both
mkdir "$in"
cat >"$home/both.json" <<END
{"site": {"latitude_deg": 62, "longitude_deg": 60, "height_m": 100}, "rigs": [
 {"name": "left", "camera": "0123456789", "focal_mm": 400, "f_number": 6.3, "pictures": "$in", "look": "metadata"},
 {"name": "right", "camera": "0123456788", "focal_mm": 400, "f_number": 6.3, "pictures": "$in", "look": "metadata"}]}
END
start 100 30 rehearse --eclipse 2028-12-31 --from P1-40m --setup "$home/both.json"
wait_for "no picture yet"
for number_of in 1 2 3; do
    shoot "$in/IMG_$number_of.jpg" $number_of
    sed 's/0123456789/0123456788/' "$in/IMG_$number_of.jpg" >"$in/DSC_$number_of.jpg"
done
rm "$in/DSC_3.jpg"
wait_for " 3 seen, last" && wait_for " 2 seen, last"
ok "each rig has the pictures of its own camera" $?
sed 's/0123456789/0123456787/' "$in/IMG_1.jpg" >"$in/other.jpg"
wait_for "other.jpg: camera not in the setup: Camera One 0123456787"
ok "those of a third camera are nobody's" $?
keys q q
wait_exit
finish
