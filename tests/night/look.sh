#!/bin/sh
# moonstand look: pictures of every format, in folders, cut, damaged, and what only looks like one.
build=$1
. "$(dirname "$0")/lib.sh"

look() { clean_env "$program" look "$@"; }
pictures=tests/fuzz/corpus/metadata

# ---- a card: files and folders, and what is none of our business ----

card=$home/card
mkdir -p "$card/DCIM/100MOON" "$card/.hidden"
for format in little.jpg big.jpg raw.cr2 raw.cr3 raw.nef raw.arw raw.raf raw.rw2 raw.orf raw.pef raw.dng picture.heic; do
    cp "$pictures/$format" "$card/DCIM/100MOON/$format"
done
cp "$pictures/little.jpg" "$card/UPPER.JPG"
cp "$pictures/little.jpg" "$card/.hidden/thumb.jpg"
echo "a list" >"$card/list.txt"
mkfifo "$card/pipe.jpg"
ln -s UPPER.JPG "$card/link.jpg"
timeout 20 "$program" look "$card" >"$home/out" 2>"$home/err"
ok "a card with pictures of every format" $?
[ "$(wc -l <"$home/out")" -eq 13 ] && [ ! -s "$home/err" ]
ok "is one line for each of them; FIFO, link, text and hidden files are none" $?
[ "$(grep -c ': 2028-12-31 17:30:09.21 +01:00, 1/500 s, ISO 400, f/6.3, 400 mm' "$home/out")" -eq 13 ]
ok "all with what the camera wrote" $?
look "$card" --json >"$home/json"
/usr/bin/python3 - "$home/json" "$card" <<'END'
import json, os, sys

lines = [json.loads(line) for line in open(sys.argv[1])]
assert len(lines) == 13
for o in lines:
    assert o["taken"] == "2028-12-31T17:30:09.21" and o["offset"] == "+01:00", o
    assert o["shutter_s"] == 0.002 and o["iso"] == 400 and o["f_number"] == 6.3 and o["focal_mm"] == 400, o
    assert o["serial"] == "0123456789" and o["model"].startswith("Camera "), o
    assert o["bytes"] == os.path.getsize(o["file"]) and o["landed"].endswith("Z"), o
    assert o["file"].startswith(sys.argv[2] + "/"), o
by = {os.path.basename(o["file"]): o for o in lines}
assert by["picture.heic"]["format"] == "heif" and by["raw.cr3"]["format"] == "raw"
# Held upright: the camera was turned.
assert (by["UPPER.JPG"]["width"], by["UPPER.JPG"]["height"]) == (400, 600)
END
ok "and as JSON, an object a line, with the keys of the manual" $?

# ---- a Moon in one of them, as a trial ----

"$build/tests/eye/table" "$home/moon.jpg"
look "$home/moon.jpg" >"$home/out" 2>&1
grep -q "; trial: Moon left.*(20 % left, 10 % above the centre), radius 80 px, lit part" "$home/out"
ok "the line says where the Moon is, and that this is a trial" $?
sed 's/^/#  /' "$home/out"
cat >"$home/setup.json" <<END
{"rigs": [{"name": "scope", "focal_mm": 250, "f_number": 8, "sensor_width_mm": 4.8, "sensor_height_mm": 3.6}]}
END
# 178 mm and 100 px a mm, as the camera has it, are not what the rig asked for has.
look "$home/moon.jpg" --setup "$home/setup.json" --rig scope >"$home/out" 2>&1
grep -q "; scope; no Moon found" "$home/out"
ok "a rig that is asked for gives the scale" $?
sed 's/"focal_mm"/"camera": "Camera One", "focal_mm"/' "$home/setup.json" >"$home/camera.json"
look "$pictures/little.jpg" --setup "$home/camera.json" >"$home/out" 2>&1
grep -q "400 mm; scope; " "$home/out"
ok "a rig is known by its camera" $?
look "$home/moon.jpg" --setup "$home/setup.json" --rig other >"$home/out" 2>&1
[ $? -eq 2 ] && grep -q "no rig 'other'" "$home/out"
ok "one that the setup has not is refused" $?
look "$home/moon.jpg" --json >"$home/json"
/usr/bin/python3 - "$home/json" <<'END'
import json, sys

o = json.load(open(sys.argv[1]))
assert abs(o["disc"]["x"] + 0.2) < 0.003 and abs(o["disc"]["y"] - 0.1) < 0.003, o
assert abs(o["disc"]["radius_px"] - 80) < 1 and 0.3 < o["disc"]["arc"] < 0.7 and o["disc"]["score"] > 0.3, o
assert o["light"]["lit"] > 60 and o["light"]["clipped"] == 0 and "umbra" not in o["light"], o
assert o["limb"]["least_px"] <= o["limb"]["width_px"] <= o["limb"]["most_px"] < 1.5, o
assert "no_disc" not in o and "rig" not in o, o
END
ok "and as JSON" $?

# ---- what is wrong with one is told, and the others go on ----

head -c 100 "$pictures/little.jpg" >"$home/cut.jpg"
head -c 1290 "$pictures/raw.nef" >"$home/cut.nef"
: >"$home/empty.jpg"
echo "no picture at all" >"$home/text.jpg"
look "$home/cut.jpg" "$home/cut.nef" "$home/empty.jpg" "$home/text.jpg" "$home/gone.jpg" "$card/link.jpg" \
    "$card/pipe.jpg" "$card/UPPER.JPG" >"$home/out" 2>"$home/err"
[ $? -eq 2 ] && [ "$(wc -l <"$home/out")" -eq 1 ] && [ "$(wc -l <"$home/err")" -eq 7 ]
ok "seven bad files and a good one: seven messages, one line, status 2" $?
for words in "cut.jpg: cut short" "cut.nef: cut short" "empty.jpg: empty" "text.jpg: not a picture" \
    "gone.jpg: cannot open: No such file" "link.jpg: is a symbolic link" "pipe.jpg: not a file"; do
    grep -qF "$words" "$home/err"
    ok "it says '$words'" $?
done

mkdir -p "$home/none/inside"
look "$home/none" >"$home/out" 2>"$home/err"
[ $? -eq 1 ] && [ ! -s "$home/out" ] && [ "$(cat "$home/err")" = "moonstand: no picture found in $home/none" ]
ok "a folder without a picture is said to have none" $?

# ---- what asks for too much, and names that a terminal must not get ----

odd=$home/odd
mkdir "$odd"
odd_pictures "$odd"
truncate -s 3G "$odd/large.jpg"
cp "$pictures/little.jpg" "$odd/$(printf 'a\033[31mb\n.jpg')"
printf text >"$odd/$(printf 'c\033]0;d\007.jpg')"
look "$odd" >"$home/out" 2>"$home/err"
[ $? -eq 2 ] && [ "$(wc -l <"$home/out")" -eq 2 ] && [ "$(wc -l <"$home/err")" -eq 3 ]
ok "what can be read is, the others are named" $?
grep -q "none.nef: 2028-12-31 17:59:09, 1/500 s, ISO 200, f/6.3; no JPEG in it that can be decoded" "$home/out" &&
    grep -q "huge.jpg: its pixels need too much memory" "$home/err" &&
    grep -q "large.jpg: larger than 512 MiB" "$home/err"
ok "a raw file without a preview, pixels and a file that are too large" $?
[ "$(cat "$home/out" "$home/err" | LC_ALL=C tr -d '\n' | LC_ALL=C tr -cd '\000-\037\177' | wc -c)" -eq 0 ] &&
    grep -q 'a?\[31mb?.jpg: 2028' "$home/out" && grep -q 'c?\]0;d?.jpg: not a picture' "$home/err"
ok "no control character of a name is written" $?
look "$odd" --json 2>"$home/err" >"$home/json"
/usr/bin/python3 -c 'import json, sys; assert len([json.loads(line) for line in open(sys.argv[1])]) == 2' "$home/json"
ok "nor breaks the JSON" $?
mkdir "$home/hundreds"
i=0
while [ $i -lt 400 ]; do
    ln "$pictures/little.jpg" "$home/hundreds/$i.jpg" 2>/dev/null || cp "$pictures/little.jpg" "$home/hundreds/$i.jpg"
    i=$((i + 1))
done
look "$home/hundreds" --json >"$home/json" && [ "$(wc -l <"$home/json")" -eq 400 ]
ok "hundreds of files" $?

# ---- nothing found, nothing given ----

mkdir "$home/nothing"
look "$home/nothing" >"$home/out" 2>"$home/err"
[ $? -eq 1 ] && [ ! -s "$home/out" ] && grep -q "no picture" "$home/err"
ok "an empty folder: status 1 and a word" $?
look >"$home/out" 2>"$home/err"
[ $? -eq 2 ] && grep -q "FILE" "$home/err"
ok "no file at all: status 2" $?
look "$card" >/dev/full 2>"$home/err"
[ $? -eq 3 ]
ok "a full disk: status 3" $?
finish
