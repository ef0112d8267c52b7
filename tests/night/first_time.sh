#!/bin/sh
# Somebody without a setup: asked, corrected, and led to the right night.
build=$1
. "$(dirname "$0")/lib.sh"

# says QUESTION ANSWER: waits for the question, then answers.
says() {
    wait_for "$1" || echo "# not asked: $1"
    keys -l "$2"
    keys Enter
}

start 120 40
wait_for "Name of the site [home]:"
ok "without a setup the questions come at once" $?
screen | grep -q "A name of your own, for the top of the screen."
ok "each with a line on what it does" $?
keys Enter
says "Latitude:" "91"
wait_for "!"
ok "a latitude that does not exist is refused" $?
says "Latitude:" "12 30 0 N"
says "Longitude:" "60:00:00 E"
says "metres [0]:" ""
says "Time zone [system]:" "Asia/Nowhere"
wait_for "! "
ok "so is a time zone" $?
says "Time zone [system]:" "Asia/Yekaterinburg"
says "How many rigs" "1.5"
wait_for "a whole number"
ok "and half a rig" $?
says "How many rigs" "1"
for question in "Name [wide]:" "mm [24]:" "f-number [2.8]:" "Sensor [1]:" "Megapixels [24]:" "Support [1]:" "s [10]:"; do
    wait_for "$question" || echo "# not asked: $question"
    keys Enter
done
wait_for "All right [yes]:"
ok "Enter takes every default" $?
screen | grep -q "s  home: 12.5000 N, 60.0000 E, 0 m, time zone Asia/Yekaterinburg"
ok "all answers are shown before they are written" $?
[ ! -e "$home/config/moonstand/setup.json" ]
ok "nothing is written before" $?
says "All right" "s"
says "Name of the site [home]:" "ridge"
says "Latitude [12.500000]:" "62"
says "Longitude [60.000000]:" ""
says "metres [0]:" "420"
says "Time zone [Asia/Yekaterinburg]:" ""
wait_for "s  ridge: 62.0000 N, 60.0000 E, 420 m"
ok "a part is mended, with the answers so far as defaults" $?
says "All right" "yes"

wait_for "lunar eclipse"
ok "then the dashboard opens" $?
day=$(clean_env "$program" plan --json | grep -m 1 '"greatest"' | sed 's/.*"\(....-..-..\)T.*/\1/')
screen | head -n 1 | grep -q "ridge.*eclipse, $day"
ok "on the night of the next eclipse that is up from there ($day)" $?
keys Q
wait_exit
[ "$(cat "$home/exit")" = 0 ] && [ ! -s "$home/errors" ]
ok "and is left as always" $?

start 120 40
wait_for "ridge"
ok "the second time nothing is asked" $?
keys Q
wait_exit

# The questions again: the file's answers are the defaults, what is not asked stays.
file=$home/config/moonstand/setup.json
sed -i 's/"danjon":[^,]*/"danjon": 1.5/; s/"frame_mb":[^,]*/"frame_mb": 31.5/; s/"warn_s":[^,]*/"warn_s": 77/' "$file"
yes '' | head -n 14 | clean_env "$program" setup >"$home/out"
grep -q "Name of the site \[ridge\]" "$home/out" && grep -q "How many rigs, 1 to 3 \[1\]" "$home/out"
ok "the questions start from what the file says" $?
cp "$file" "$home/before"
yes '' | head -n 14 | clean_env "$program" setup >"$home/out" && cmp -s "$file" "$home/before"
ok "and Enter throughout changes nothing" $?
grep -q '"danjon":.*1.5' "$file" && grep -q '"frame_mb":.*31.5' "$file" && grep -q '"warn_s":.*77' "$file"
ok "what is not asked stays in the file" $?
cat >"$file" <<END
{"site": "barn", "sites": [{"name": "barn", "latitude_deg": 62, "longitude_deg": 60},
                           {"name": "pass", "latitude_deg": 61, "longitude_deg": 59}],
 "rigs": [{"name": "wide", "focal_mm": 24, "f_number": 2.8}, {"name": "long", "focal_mm": 400, "f_number": 6.3},
          {"name": "scope", "focal_mm": 800, "f_number": 8}],
 "checklist": [{"group": "before U2", "text": "look through", "rig": "long"}],
 "reminders": [{"text": "cap off", "due": "U1", "rig": "scope"}]}
END
printf '%s\n' pass '' '' '' '' 2.5 2 '' '' '' '' '' '' '' wide tele '' '' '' '' '' '' |
    clean_env "$program" setup >"$home/out"
grep -q 'How many rigs, 1 to 3 \[3\].*whole number' "$home/out" && ! grep -q '\[2.5\]' "$home/out"
ok "a wrong answer is no default" $?
grep -q 'Latitude \[61.000000\]' "$home/out" && grep -q '"site":.*"pass"' "$file"
ok "another site of the file comes with its own answers" $?
grep -q 'found "wide"; expected a name of its own' "$home/out"
ok "two rigs of one name are refused" $?
clean_env "$program" plan --eclipse 2028-12-31 >"$home/out" && grep -q '"rig":.*"tele"' "$file" &&
    ! grep -q scope "$file"
ok "what names a rig follows its new name, and the file is read again" $?
printf '90 12\n200 5\n' >"$home/ridge.txt"
cat >"$file" <<END
{"site": {"name": "barn", "latitude_deg": 62, "longitude_deg": 60, "horizon": "$home/ridge.txt"}}
END
yes '' | head -n 40 | clean_env "$program" setup >"$home/out" && grep -q "\"horizon\":.*$home/ridge.txt" "$file"
ok "the path of a horizon file stays a path" $?

# Answers that only together make no camera are asked again, and what is saved can be read.
rm "$file"
printf '%s\n' barn 62 60 '' UTC 1 '' '' '' 6 24 36 36 24 24 '' '' '' |
    clean_env "$program" setup >"$home/out" 2>&1 && clean_env "$program" plan >"$home/plan" &&
    grep -q "found 24 x 36 mm; expected the longer side first" "$home/out" &&
    grep -q '"sensor_height_mm":.*24' "$file"
ok "a sensor that stands upright is asked again" $?
rm "$file"
printf '%s\n' barn 62 60 '' UTC 1 '' '' '' 6 200 200 0.3 6 2 1 400 1 24 '' '' '' |
    clean_env "$program" setup >"$home/out" 2>&1 && clean_env "$program" plan >"$home/plan" &&
    [ "$(grep -c "micrometres; expected 0.5 to 50" "$home/out")" = 2 ] &&
    grep -q '"pixel_pitch_um":.*6' "$file"
ok "so are pixels that no camera has" $?
rm "$file"
printf '%s\n' barn 62 60 '' UTC 1 '' '' '' 6 3 2 0.3 '' '' '' |
    clean_env "$program" setup >"$home/out" 2>&1 && clean_env "$program" plan >"$home/plan"
ok "the smallest camera that can be told is read back" $?
rm "$file"
printf '%s\n' barn 62 60 '' UTC 1 '' '' '' '' '' '' '' yes |
    clean_env "$program" setup >"$home/out"
printf '%s\n' '' '' '' '' '' '' '' '' '' 2 24 '' '' '' | clean_env "$program" setup >"$home/out" 2>&1 &&
    grep -q '"pixel_pitch_um":.*3.91' "$file"
ok "the same pixels on another sensor are pixels of another size" $?
echo '{"site": 5}' >"$file"
yes '' | head -n 3 | clean_env "$program" setup >"$home/out" 2>"$home/err"
grep -q "setup.json:1:.*site" "$home/out" && [ "$(cat "$file")" = '{"site": 5}' ]
ok "a file with an error is said, and left alone until the end" $?

echo no >"$home/plain"
yes '' | clean_env "$program" setup --setup "$home/plain/in/it.json" >"$home/out" 2>"$home/err"
[ $? -eq 3 ] && grep -q "plain: not a folder" "$home/err" && ! grep -q "Name of the site" "$home/out"
ok "a file that cannot be written is said before the first question" $?

rm -r "$home/config"
start 120 40 --shadow danjon
wait_for "Name of the site"
kill -INT "$(program_pid)"
wait_exit
[ ! -e "$home/config/moonstand/setup.json" ] && [ "$(pane cursor_flag)" = 1 ]
ok "Ctrl-C leaves all as it was" $?
printf 'a\n' | clean_env "$program" >"$home/out" 2>"$home/err"
[ $? -eq 2 ] && grep -q "no site yet" "$home/err"
ok "without a terminal nobody is asked" $?
finish
