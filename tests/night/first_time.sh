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
wait_for "Where will the cameras stand:"
ok "without a setup the questions come at once" $?
screen | grep -q "As a map has it"
ok "each with a line on what it takes" $?
keys Enter
wait_for "expected latitude, longitude"
ok "what has no default is asked again, with an example" $?
says "stand:" "91, 60"
wait_for "out of range"
ok "a latitude that does not exist is refused" $?
says "stand:" "12 30 N 60:00:00 E"
says "Time zone [Asia/" "Asia/Nowhere"
wait_for "! "
ok "the zone of the nearest town is proposed, and one that does not exist refused" $?
says "Time zone [Asia/" "Asia/Yekaterinburg"
says "How many rigs" "1.5"
wait_for "expected 1, 2 or 3"
ok "nor is there half a rig" $?
says "How many rigs" "1"
for question in "Lens [24 mm f/2.8]:" "Sensor [full frame" "Support [held still, landscape]:" "card ["; do
    wait_for "$question" || echo "# not asked: $question"
    keys Enter
done
wait_for "All right [yes]:"
ok "Enter keeps every default" $?
screen | grep -q "place      12.5000 N, 60.0000 E, 0 m" && screen | grep -q "time zone  Asia/Yekaterinburg"
ok "one page has all answers before they are written" $?
[ ! -e "$home/config/moonstand/setup.json" ]
ok "nothing is written before" $?
says "All right" "2"
says "Name of the site [home]:" "ridge"
wait_for "name       ridge"
says "All right" "1"
says "stand [12.5000 N, 60.0000 E, 0 m]:" "62, 60, 420 m"
wait_for "place      62.0000 N, 60.0000 E, 420 m"
ok "a line is changed by its number, with the answer so far as default" $?
says "All right" "3"
says "Time zone [" "Asia/Yekaterinburg"
wait_for "time zone  Asia/Yekaterinburg"
says "All right" "yes"

wait_for "lunar eclipse"
ok "then the dashboard opens" $?
day=$(clean_env "$program" plan --json | grep -m 1 '"greatest"' | sed 's/.*"\(....-..-..\)T.*/\1/')
screen | head -n 1 | grep -q "ridge.*eclipse of $day"
ok "on the night of the next eclipse that is up from there ($day)" $?
keys q q
wait_exit
[ "$(cat "$home/exit")" = 0 ] && [ ! -s "$home/errors" ]
ok "and is left as always" $?

start 120 40
wait_for "ridge"
ok "the second time nothing is asked" $?
keys q q
wait_exit

# The questions again: the file's answers are the defaults, what is not asked stays.
file=$home/config/moonstand/setup.json
sed -i 's/"danjon":[^,]*/"danjon": 1.5/; s/"frame_mb":[^,]*/"frame_mb": 31.5/; s/"warn_s":[^,]*/"warn_s": 77/' "$file"
yes '' | head -n 14 | clean_env "$program" setup >"$home/out"
grep -q "stand \[62.0000 N" "$home/out" && grep -q "How many rigs, 1 to 3 \[1\]" "$home/out"
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
printf '%s\n' pass 2.5 2 '' '' '' '' '' '' '' '' 11 wide tele yes |
    clean_env "$program" setup >"$home/out"
grep -q 'How many rigs, 1 to 3 \[3\].*expected 1, 2 or 3' "$home/out" && ! grep -q '\[2.5\]' "$home/out"
ok "a wrong answer is no default" $?
grep -q 'place      61.0000 N' "$home/out" && grep -q '"site":.*"pass"' "$file"
ok "another site of the file comes by its name" $?
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

# Two rigs in two minutes: at most twelve questions, in the words that people use.
rm "$file"
printf '%s\n' '41.9 N 2.3 E 2600 ft' 2 '18mm f/4' 'APS-C 1.6, 24' 'still, portrait' '3 spares 64GB heater' \
    '500 5.6' 4 'tracked lunar' '2 spares, 0.128 TB' yes |
    clean_env TZ=Europe/Madrid "$program" setup >"$home/out" 2>&1
grep -q '"height_m":.*792.48' "$file" && grep -q '"focal_mm":.*18,' "$file" && grep -q '"sensor_width_mm":.*22.3' "$file" &&
    grep -q '"portrait":.*true' "$file" && grep -q '"spares":.*3' "$file" && grep -q '"card_gb":.*64' "$file" &&
    grep -q '"heater":.*true' "$file" && grep -q '"support":.*"lunar"' "$file" && grep -q '"card_gb":.*128' "$file" &&
    grep -q '"sensor_width_mm":.*17.3' "$file"
ok "answers are taken as people write them" $?
asked=$(grep -cE '(: |:)$|\[[^]]*\]: ' "$home/out")
[ "$(grep -oE '^(Where|How|Lens|Sensor|Support|Batteries|Time zone|Name|Interval)[^:]*: ' "$home/out" | wc -l)" -le 12 ]
ok "a first night with two rigs takes at most twelve questions ($asked)" $?
rm "$file"
printf '%s\n' '62, 60' UTC 1 '18mm' '' '' '' 6 'f/4' yes | clean_env TZ=UTC "$program" setup >"$home/out" 2>&1
! grep -q '! ' "$home/out" && grep -q '"focal_mm":.*18,' "$file" && grep -q '"f_number":.*4,' "$file"
ok "a focal length alone keeps the f-number, an f-number alone the focal length" $?

# Answers that make no camera are asked again at their question, and what is saved can be read.
refused() { # what, answer to the question on rig 1, line of the page, what is said
    rm -f "$file"
    printf '%s\n' '62, 60' UTC 1 '' '' '' '' "$3" "$2" '' yes | clean_env TZ=UTC "$program" setup >"$home/out" 2>&1
    grep -q -- "$4" "$home/out" && clean_env "$program" plan >"$home/plan"
    ok "$1" $?
}
refused "a sensor that stands upright" "24 x 36 mm 24" 7 "expected the longer side first: 36 x 24"
refused "pixels that no camera has" "200 x 200 mm 0.3" 7 "micrometres; expected 0.5 to 50"
refused "a zoom asks for its end" "18-35 mm f/4" 6 "which end will you use? Such as 18 mm f/4 or 35 mm f/4"
refused "a word that is no support" "hanging" 8 "expected still or tracked"
refused "a card without a unit" "64" 9 "expected, such as, 2 spares, 64 GB"
refused "an interval of none" "0 s" 10 "interval: found 0; expected a number from 0.5 to 3600 s"
rm -f "$file"
printf '%s\n' '62, 60' UTC 1 '' '3 x 2 mm 0.3' '' '' yes | clean_env TZ=UTC "$program" setup >"$home/out" 2>&1 &&
    clean_env "$program" plan >"$home/plan"
ok "the smallest camera that can be told is read back" $?
echo '{"site": 5}' >"$file"
yes '' | head -n 3 | clean_env "$program" setup >"$home/out" 2>"$home/err"
grep -q "setup.json:1:.*site" "$home/out" && [ "$(cat "$file")" = '{"site": 5}' ]
ok "a file with an error is said, and left alone until the end" $?

echo no >"$home/plain"
yes '' | clean_env "$program" setup --setup "$home/plain/in/it.json" >"$home/out" 2>"$home/err"
[ $? -eq 3 ] && grep -q "plain: not a folder" "$home/err" && ! grep -q "Where will" "$home/out"
ok "a file that cannot be written is said before the first question" $?

rm -r "$home/config"
start 120 40 --shadow danjon
wait_for "Where will the cameras"
kill -INT "$(program_pid)"
wait_exit
[ ! -e "$home/config/moonstand/setup.json" ] && [ "$(pane cursor_flag)" = 1 ]
ok "Ctrl-C leaves all as it was" $?
printf 'a\n' | clean_env "$program" >"$home/out" 2>"$home/err"
[ $? -eq 2 ] && grep -q "no site yet" "$home/err"
ok "without a terminal nobody is asked" $?
finish
