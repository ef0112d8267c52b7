#!/bin/sh
# report --pictures on a folder: whose they are, the camera's clock, links, frames that are picked, and how long it takes.
build=$1
. "$(dirname "$0")/lib.sh"

shot=tests/fuzz/corpus/metadata/little.jpg
# A second, unless all is slowed down.
most_ms=1000
[ -z "${MOONSTAND_QUICK:-}" ] || most_ms=60000
report() { clean_env "$program" report --session 2028-12-31-rehearsal --pictures "$@"; }
# shoot FILE MINUTE SERIAL
shoot() {
    sed "s/2028:12:31 17:30:09/2028:12:31 17:$(printf %02d "$2"):09/; s/0123456789/$3/" "$shot" >"$1"
}

cat >"$home/setup.json" <<END
{"site": {"latitude_deg": 62, "longitude_deg": 60, "height_m": 100},
 "rigs": [{"name": "left", "camera": "0123456789", "focal_mm": 400, "f_number": 6.3},
          {"name": "right", "camera": "0123456788", "focal_mm": 400, "f_number": 6.3},
          {"name": "wide", "camera": "0123456787", "focal_mm": 24, "f_number": 2.8}]}
END
start 80 24 rehearse --eclipse 2028-12-31 --from U2 --setup "$home/setup.json"
wait_for greatest
keys q q
wait_exit
card=$home/card
mkdir -p "$card/A" "$card/B"
for minute in 5 10 15 20 25 30; do
    shoot "$card/A/IMG_00$minute.JPG" $minute 0123456789
    shoot "$card/B/IMG_00$minute.JPG" $((minute + 1)) 0123456788
done
cksum "$card"/*/* >"$home/before"

# ---- a folder ----

report "$card" >"$home/csv" 2>"$home/err"
[ $? -eq 0 ] && [ "$(wc -l <"$home/csv")" -eq 13 ] && [ ! -s "$home/err" ]
ok "a folder of two cameras: a row for each picture" $?
[ "$(grep -c 'card/A/.*,left,2028-12-31T16:[0-9][05]:09.210Z,zone,.*,1/500,400,.*,taken' "$home/csv")" -eq 6 ] &&
    [ "$(grep -c 'card/B/.*,right,2028-12-31T16:[0-9][16]:09.210Z,zone,' "$home/csv")" -eq 6 ]
ok "rigs by the serial number, UTC by the camera's zone, the setting as taken" $?
echo "no picture" >"$card/B/bad.jpg"
report "$card" --json >"$home/json" 2>"$home/err"
[ $? -eq 2 ] && grep -q "bad.jpg: not a picture" "$home/err" && grep -q "1 of 13 could not be read" "$home/err"
ok "one that cannot be read is named and counted" $?
/usr/bin/python3 - "$home/json" <<'END'
import json, sys

rows = json.load(open(sys.argv[1]))
assert len(rows) == 12 and all(r["setting"] == "taken" and r["shutter"] == "1/500" for r in rows), rows
END
ok "and the others are done" $?
# Of a time that the camera does not know it writes blanks (CIPA DC-008-2019, DateTime).
sed "s/2028:12:31 17:30:09/    :  :     :  :  /" "$shot" >"$card/A/undated.jpg"
report "$card" >"$home/csv" 2>"$home/err"
[ $? -eq 2 ] && [ "$(wc -l <"$home/csv")" -eq 13 ] && grep -q "undated.jpg: the camera wrote no time" "$home/err" &&
    grep -q ": 2 of 14 could not be" "$home/err"
ok "one without a time is named, and counted with it" $?
rm "$card/B/bad.jpg" "$card/A/undated.jpg"

# ---- links and picks ----

report "$card" --link "$home/links" >/dev/null
[ "$(ls "$home/links" | wc -l)" -eq 12 ] && [ "$(readlink "$home/links/2028-12-31T16-20-09_U2_left_0020.JPG")" = "$card/A/IMG_0020.JPG" ]
ok "links are named by instant, contact, rig and number" $?
report "$card" --link "$home/links" >/dev/null 2>"$home/err" && [ ! -s "$home/err" ]
ok "once more, nothing is changed" $?
rm "$home/links/2028-12-31T16-20-09_U2_left_0020.JPG"
echo mine >"$home/links/2028-12-31T16-20-09_U2_left_0020.JPG"
report "$card" --link "$home/links" >/dev/null 2>"$home/err"
[ $? -eq 2 ] && grep -q "there already" "$home/err" && [ "$(cat "$home/links/2028-12-31T16-20-09_U2_left_0020.JPG")" = mine ]
ok "a file of that name is left as it is" $?
cksum "$card"/*/* | cmp -s - "$home/before"
ok "no original is touched" $?
report "$card" --pick contacts >"$home/csv"
[ "$(grep -c ',U2$' "$home/csv")" -eq 0 ] && [ "$(grep -c ',U2.$' "$home/csv")" -eq 2 ] && [ "$(wc -l <"$home/csv")" -eq 3 ]
ok "the frames beside U2, one of each camera; no other contact has one" $?
report "$card" --pick chain=10min >"$home/csv"
[ "$(grep -c chain "$home/csv")" -ge 5 ]
ok "a chain of ten minutes" $?
report "$card" --pick sometimes >/dev/null 2>"$home/err"
[ $? -eq 2 ] && grep -q "expected contacts, or chain=20min" "$home/err"
ok "anything else is refused with an example" $?
clean_env "$program" report --link "$home/x" 2>"$home/err" >/dev/null
[ $? -eq 2 ] && [ ! -e "$home/x" ]
ok "links without pictures are refused" $?

# ---- cameras that the setup does not name ----

mkdir -p "$home/few" "$home/config/moonstand"
cp "$home/setup.json" "$home/config/moonstand/setup.json"
for i in 1 2 3; do shoot "$home/few/IMG_000$i.JPG" $((10 + i)) 7777777777; done
report "$home/few" >"$home/csv" 2>"$home/err"
[ $? -eq 0 ] && [ "$(grep -c 'JPG,,' "$home/csv")" -eq 3 ] && [ "$(wc -l <"$home/err")" -eq 1 ] &&
    grep -q '3 pictures of no rig: the setup names none for Maker Camera One; set "camera" of its rig to "7777777777", or give --rig NAME' "$home/err"
ok "a camera of no rig is named once, by make and model, with what would help" $?
report --rig right "$home/few" >"$home/csv" 2>"$home/err"
[ $? -eq 0 ] && [ ! -s "$home/err" ] && [ "$(grep -c 'JPG,right,.*,zone,' "$home/csv")" -eq 3 ]
ok "or the rig is said by --rig" $?
report --rig other "$home/few" >/dev/null 2>"$home/err"
[ $? -eq 2 ] && grep -q "no rig 'other'" "$home/err"
ok "a rig that the session has not is refused" $?
ask() {
    rm -f "$home/exit"
    clean_env tmux -f /dev/null -L "$socket" new-session -d -x 80 -y 24 \
        "$program report --session 2028-12-31-rehearsal --pictures $home/few >$home/csv; echo \$? >$home/exit; sleep 600"
}
ask
wait_for "Which rig took its pictures?" && shows "Maker Camera One, serial number 7777777777"
ok "on a terminal it is asked" $?
# A line of 32 characters, the last of which would be a rig by itself.
keys 9 Enter && keys "$(printf '%031d1' 0)" Enter && keys 2 Enter &&
    wait_for "Save this in" && keys y Enter && wait_for "which picture shows the time card" &&
    shows "Such as: IMG_0003.JPG 20:15:03" && keys "IMG_9.JPG 16:11:12" Enter && wait_for "no picture 'IMG_9.JPG'" &&
    keys "IMG_0001.JPG 16:11:12" Enter && wait_exit
[ "$(cat "$home/exit")" = 0 ] && [ "$(grep -c 'JPG,right,' "$home/csv")" -eq 3 ]
ok "once for all of its pictures" $?
grep -q 'IMG_0003.JPG,right,2028-12-31T16:13:12.000Z,card,' "$home/csv"
ok "and, once, for the time card, which corrects the camera's clock" $?
grep -q '"camera":[[:space:]]*"7777777777"' "$home/config/moonstand/setup.json" && [ -e "$home/config/moonstand/setup.json.bak" ]
ok "and saved in the setup file if that is wanted" $?
tmux -L "$socket" kill-server
report "$home/few" >"$home/csv" 2>"$home/err"
[ ! -s "$home/err" ] && [ "$(grep -c 'JPG,right,' "$home/csv")" -eq 3 ]
ok "from then on it is known" $?

# ---- the clock of a camera by the photographed time card: 17:11:09 and 17:12:09 are 16:11:12 and so on ----

report --time-card IMG_0001.JPG=16:11:12 "$home/few" >"$home/csv" 2>"$home/err"
[ $? -eq 0 ] && grep -q 'IMG_0002.JPG,right,2028-12-31T16:12:12.000Z,card,' "$home/csv"
ok "the time card corrects all pictures of its camera" $?
report --time-card IMG_0001.JPG=16:11:12 "$home/few" --link "$home/carded" >/dev/null &&
    [ -e "$home/carded/2028-12-31T16-13-12_U1_right_0003.JPG" ]
ok "the links as well" $?
for wrong in IMG_0001.JPG IMG_0001.JPG=noon IMG_9.JPG=16:11:12; do
    report --time-card "$wrong" "$home/few" >/dev/null 2>"$home/err"
    [ $? -eq 2 ] && grep -q "time card: " "$home/err"
    ok "refused: $wrong" $?
done

# ---- a whole night ----

/usr/bin/python3 - "$home/night.csv" <<'END'
import sys

with open(sys.argv[1], "w") as out:
    out.write("SourceFile;DateTimeOriginal;ExposureTime;ISO;Rig\n")
    for i in range(5000):
        s = 15 * 3600 + i * 3
        out.write("IMG_%04d.CR3;2028:12:31 %02d:%02d:%02d;1/%d;400;%s\n"
                  % (i, s // 3600, s // 60 % 60, s % 60, 60 + i % 60, ("left", "right")[i % 2]))
END
begin=$(date +%s%N)
report <"$home/night.csv" >"$home/csv"
took=$((($(date +%s%N) - begin) / 1000000))
[ "$(wc -l <"$home/csv")" -eq 5001 ] && [ $took -lt $most_ms ]
ok "a table of 5,000 pictures in less than a second ($took ms)" $?
# Five thousand files as large as a camera's, their pixels a hole in the disk; read from the disk, not from memory.
/usr/bin/python3 - "$shot" "$home/many" <<'END'
import os, sys

shot = open(sys.argv[1], "rb").read()
frame = shot.find(b"\xff\xc0")
head = shot[:frame] + b"\xff\xed" + (30000).to_bytes(2, "big") + b"x" * 29998 + shot[frame:-2]
os.mkdir(sys.argv[2])
for i in range(5000):
    s = i * 3
    with open("%s/IMG_%04d.JPG" % (sys.argv[2], i), "wb") as out:
        out.write(head.replace(b"17:30:09", b"%02d:%02d:%02d" % (15 + s // 3600, s // 60 % 60, s % 60)))
        out.seek(3000000)
        out.write(shot[-2:])
os.sync()
END
# "forget": out of memory with them; "read": the bytes that the program reads, in milliseconds.
plainly() {
    /usr/bin/python3 - "$1" "$home/many" <<'END'
import os, sys, time

began = time.monotonic()
for name in os.listdir(sys.argv[2]):
    file = os.open(sys.argv[2] + "/" + name, os.O_RDONLY)
    if sys.argv[1] == "forget":
        os.posix_fadvise(file, 0, 0, os.POSIX_FADV_DONTNEED)
    else:
        os.read(file, 131072)
        os.lseek(file, -16384, os.SEEK_END)
        os.read(file, 16384)
    os.close(file)
print(round(1000 * (time.monotonic() - began)))
END
}
for try in 1 2 3 4; do
    plainly forget >/dev/null
    plain=$(plainly read)
    plainly forget >/dev/null
    begin=$(date +%s%N)
    report "$home/many" >"$home/csv"
    took=$((($(date +%s%N) - begin) / 1000000))
    echo "#  5,000 files: $took ms; a plain read of the same bytes: $plain ms"
    if [ $took -le "$plain" ] || [ $took -lt $most_ms ]; then break; fi
done
[ "$(wc -l <"$home/csv")" -eq 5001 ] && { [ $took -le "$plain" ] || [ $took -lt $most_ms ]; }
ok "a folder of 5,000 files within the time that reading their headers takes, or in less than a second" $?
rm -r "$home/many"

# ---- a written night: three rigs, 5,000 frames by hand, a setting for every 25 ----

session=$home/state/moonstand/sessions/2028-12-31-rehearsal
/usr/bin/python3 - "$session/journal.jsonl" <<'END'
import sys, zlib

lines = open(sys.argv[1]).read().splitlines()
boot = lines[0].split('"boot":"')[1][:8]
with open(sys.argv[1], "a") as out:
    seq = len(lines)
    def put(s, kind, rest):
        global seq
        seq += 1
        line = ('{"seq":%d,"utc":"2028-12-31T%02d:%02d:%06.3fZ","boot_s":%.3f,"boot":"%s","kind":"%s"%s'
                % (seq, s // 3600, s // 60 % 60, s % 60, s, boot, kind, rest))
        out.write('%s,"crc":"%08x"}\n' % (line, zlib.crc32(line.encode())))
    for i in range(5000):
        s = 14 * 3600 + i * 3.6
        if i % 25 == 0:
            put(s, "setting", ',"rig":%d,"shutter":%d,"iso":%d,"target":1' % (i // 25 % 3, i // 400 - 20, i // 400))
        if i % 500 > 100:
            put(s, "frame", ',"rig":%d' % (i % 3))
    for i in range(1000):
        put(s + 1, "frame", ',"rig":%d' % (i % 3))
END
for form in "" --json --csv; do
    begin=$(date +%s%N)
    clean_env "$program" report --session 2028-12-31-rehearsal $form >"$home/report" 2>"$home/err"
    took=$((($(date +%s%N) - begin) / 1000000))
    [ ! -s "$home/err" ] && [ "$(wc -c <"$home/report")" -gt 300000 ] && [ $took -lt $most_ms ]
    ok "three rigs and 5,000 frames are reported in less than a second (${form:-Markdown}: $took ms)" $?
done
clean_env "$program" report --session 2028-12-31-rehearsal >"$home/report"
grep -q "; 1[0-9] of 1[0-9] confirmed |" "$home/report" && grep -q " (confirmed by you)$" "$home/report" &&
    grep -q " (advised only)$" "$home/report"
ok "it tells the settings in which a frame was taken from those that were only advised" $?
clean_env "$program" report --session 2028-12-31-rehearsal "$card" >"$home/report"
grep -q "left: .*pictures\? differ" "$home/report"
ok "and what the pictures of a folder say of them" $?
clean_env "$program" report --session 2028-12-31-rehearsal --against 2028-12-31-rehearsal "$card" 2>"$home/err" >/dev/null
[ $? -eq 2 ] && grep -q "takes no FOLDER" "$home/err"
ok "a comparison takes no folder" $?
finish
