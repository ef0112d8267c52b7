#!/bin/sh
# What is wrong with pictures, or with watching them, is said; the dashboard stays whole: a stranger's camera, HEIF, a
# file that is cut short, a watcher that gets no files or no memory, one that hangs.
build=$1
. "$(dirname "$0")/lib.sh"

shot=tests/fuzz/corpus/metadata/little.jpg
in=$home/in
mkdir "$in"
# shoot FILE NUMBER: a picture of its own second.
shoot() { sed "s/2028:12:31 17:30:09/2028:12:31 17:00:$(printf '%02d' "$2")/" "$shot" >"$1"; }
watcher() { pgrep -f "moonstand --watch $home" | tail -n 1; }
limit() { prlimit --pid "$(watcher)" "$1"; }
# The clock on the screen goes on.
alive() { wait_ticks 1; }

cat >"$home/setup.json" <<END
{"site": {"latitude_deg": 62, "longitude_deg": 60, "height_m": 100},
 "rigs": [{"name": "long", "camera": "0123456789", "focal_mm": 400, "f_number": 6.3, "pictures": "$in"}]}
END
start 120 40 rehearse --eclipse 2028-12-31 --from P1-40m --setup "$home/setup.json"
wait_for "no picture yet"
ok "watched" $?

# ---- pictures ----

sed 's/Camera One/Camera Two/; s/0123456789/9876543210/' "$shot" >"$in/other.jpg"
wait_for "other.jpg: camera not in the setup: Camera Two 9876543210"
ok "a camera that no rig names is said with its model and number" $?
sleep 7
shows "camera not in the setup: Camera Two 9876543210"
ok "and stands until the next act" $?
keys c
wait_gone "camera not in the setup"
keys u
ok "not longer" $?
cp tests/fuzz/corpus/metadata/picture.heic "$in/a.heic"
wait_for "1 seen; HEIF: set the camera to JPEG"
ok "HEIF is counted, and what to do about it is said" $?
head -c 900 "$shot" >"$in/cut.jpg"
wait_for "cut.jpg: cut short"
ok "a file that is cut short is said when it has not come on" $?
shoot "$in/b.jpg" 1
wait_for "2 seen; "
ok "and the others are counted" $?

# ---- the watcher is starved ----

limit --nofile=3:1024
touch "$in/b.jpg"
wait_for "folder of pictures is gone" && alive
ok "a watcher that may not open a folder says so, and the night goes on" $?
limit --nofile=1024:1024
wait_gone "folder of pictures is gone"
ok "and is well again" $?
limit --as=1000000:unlimited
shoot "$in/c.jpg" 2
wait_for "c.jpg: cannot" && alive
ok "one without memory says which picture it could not read, and the night goes on" $?
limit --as=unlimited:unlimited

# ---- it hangs ----

kill -STOP "$(watcher)"
wait_for "the watcher hangs: press P" || wait_for "the watcher hangs: press P" || wait_for "the watcher hangs: press P"
ok "one that gives no sign of life for a minute is said to hang" $?
alive
ok "and the night goes on" $?
shoot "$in/d.jpg" 3
keys P
wait_for "4 seen"
ok "the key starts another one, which has missed nothing" $?
[ "$(pgrep -fc "moonstand --watch $home")" -eq 1 ]
ok "the one that hung is gone" $?
keys q q
wait_exit
[ "$(cat "$home/exit")" = 0 ]
ok "it ends well" $?
finish
