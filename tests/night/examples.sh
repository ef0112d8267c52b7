#!/bin/sh
# Every example of README, manual page and --help does what it says: each is run by a shell as it stands,
# in folders of its own, with stand-ins for what needs root or a session manager. An example that no check
# below knows fails. The README's screen is the one that its command prints; BLESS=1 writes it anew.
build=$1
. "$(dirname "$0")/lib.sh"

page=src/app/moonstand.1
mkdir "$home/bin" "$home/trial"
ln -s "$program" "$home/bin/moonstand"
stand_in() { # name, body
    printf '#!/bin/sh\n%s\n' "$2" >"$home/bin/$1"
    chmod +x "$home/bin/$1"
}
stand_in apt-get 'echo "apt-get $*" >>"$HOME/trial/called"'
stand_in make 'echo "make $*" >>"$HOME/trial/called"'
stand_in sudo 'exec "$@"'
stand_in systemd-inhibit '[ "$1" = --what=sleep:idle:handle-lid-switch ] && shift && exec "$@"'

# ---- the README's screen, without a setup ----
screen_command=$(sed -n 's/^    \(moonstand now .*--canvas.*\)/\1/p' README.md)
clean_env sh -c "PATH=$home/bin:\$PATH; $screen_command" >"$home/screen" 2>"$home/err"
ok "the command of the README's screen runs" $?
if [ -n "${BLESS:-}" ]; then
    awk -v screen="$home/screen" '/^```/ { fence = !fence; print
        while (fence && (getline line < screen) > 0) print line
        next } !fence' README.md >"$home/README.md" && cp "$home/README.md" README.md
    finish
fi
awk '/^```/ { fence = !fence; next } fence' README.md | diff - "$home/screen" >"$home/diff"
ok "the README's screen is the one of today" $?
sed 's/^/#  /' "$home/diff"
[ "$(wc -c <README.md)" -le 8192 ]
ok "the README is short" $?
missing=$(grep -o '](\([^)]*\))' README.md | tr -d ']()' | while read -r file; do [ -e "$file" ] || echo "$file"; done)
[ -z "$missing" ]
ok "its links lead somewhere $missing" $?

# ---- a setup, and a rehearsal of the seconds around the picture of the examples ----
printf '62, 60, 420\nUTC\n3\n' >"$home/answers"
yes '' | head -n 60 >>"$home/answers"
clean_env "$program" setup <"$home/answers" >"$home/out" 2>&1
ok "a setup is saved" $?
start 80 24 rehearse --from 2028-12-31T16:19:55 --speed 5
wait_for "16:20:" && keys n && wait_for "Note:" && keys -l "clear and still" && keys Enter && wait_for "clear and still"
ok "a note is taken" $?
clean_env "$program" help N | tr -s '\n ' ' ' | sed 's/.* has one: //; s/\. $//; s/, or /\n/' >"$home/items"
[ "$(grep -c ' @ ' "$home/items")" = 2 ]
ok "the help for a new item has two examples" $?
while read -r item <&3; do
    keys N; keys -l "$item"; keys Enter; wait_for "to do: ${item%% @*}"
    ok "the checklist takes: $item" $?
done 3<"$home/items"
keys q q
wait_exit
[ "$(cat "$home/exit")" = 0 ]
ok "a rehearsal is recorded" $?
tmux -L "$socket" kill-server
# What is true of that picture.
clean_env "$program" now --at 2028-12-31T16:20 --json >"$home/now.json"
picture=$(/usr/bin/python3 - "$home/now.json" <<'END'
import json, sys
now = json.load(open(sys.argv[1]))
eclipse, exposure = now["eclipse"], now["rigs"][1]["exposure"]
print("IMG_0042.RAW,long,2028-12-31T16:20:00.000Z,utc,%s,%.5f,%.5f,%.3f,%s,%g,%s" % (
    eclipse["phase"], eclipse["umbral_magnitude_now"], eclipse["penumbral_magnitude_now"],
    now["moon"]["altitude_deg"], exposure["shutter"], exposure["iso"], exposure["target"]))
END
)
printf 'IMG_0042.RAW,2028-12-31T16:20:00Z,long\n' >"$home/trial/times.csv"
mkdir "$home/trial/DCIM"
cp tests/fuzz/corpus/metadata/little.jpg "$home/trial/DCIM/IMG_0001.JPG"

# The file that an example leaves ("out" is what it prints) and what has to stand in it.
check_of() {
    case $1 in
    'S='*'apt-get update;'*'apt-get install -y make && make run') echo 'called ^make run$' ;;
    'S='*'apt-get update;'*'apt-get install -y make && make check') echo 'called ^make check$' ;;
    'moonstand setup') echo 'out ^Saved: .*/setup.json$' ;;
    'moonstand nights --from 2028-'*) echo 'out 2028-12-31.*total' ;;
    'moonstand plan '*'--calendar > night.ics') echo 'night.ics ^BEGIN:VEVENT' ;;
    'moonstand plan --eclipse 2028-12-31 '*'> plan.txt') echo 'plan.txt ^ +U2 .*16:16:27' ;;
    'moonstand plan > plan.txt') echo 'plan.txt ^LUNAR ECLIPSE OF 20' ;;
    'moonstand rehearse --demo --from U2-5m'*) echo 'out U2 in (5:00|4:5.) min: .*totality begins' ;;
    'moonstand rehearse --eclipse 2028-12-31 --from U2-5m'*) echo 'out U2 in (5:00|4:5.) min: .*totality begins' ;;
    'moonstand rehearse --from U2-5m'*) echo 'out REHEARSAL' ;;
    'moonstand sites --eclipse 2028-12-31') echo 'out home' ;;
    'moonstand air '*) echo 'out [Dd]ew point' ;;
    'moonstand now --at 2028-12-31T16:20 '*'--json') echo 'out "phase":.*"total"' ;;
    'moonstand now --at 2028-12-31T16:20 '*'--canvas 80x24') echo 'out greatest  deepest shadow' ;;
    'moonstand now --at 2028-12-31T15:27:51 '*) echo 'out U2  totality begins' ;;
    'moonstand --plain') echo 'out ^Next ' ;;
    'moonstand --site 62,60,420 --eclipse 2028-12-31') echo 'out ^Eclipse +total, greatest 2028-12-31' ;;
    'moonstand report > report.md') echo 'report.md clear and still' ;;
    *'moonstand report --pictures') echo "out ^$picture" ;;
    'moonstand report --pictures < times.csv > sorted.csv') echo "sorted.csv ^$picture" ;;
    'moonstand look DCIM') echo 'out IMG_0001.JPG: 2028-12-31 17:30:09' ;;
    'moonstand help tab') echo 'out whole checklist' ;;
    'moonstand sessions') echo 'out ^2028-12-31-rehearsal' ;;
    'systemd-inhibit '*' moonstand') echo 'out ^Next ' ;;
    esac
}

awk '/^```/ { fence = !fence; next } !fence && /^    / { sub(/^ +/, ""); print }' README.md >"$home/of_readme"
sed -n 's/^\.Dl //p' "$page" >"$home/of_page"
commands=$(clean_env "$program" --complete "" | cut -d: -f1)
for command in $commands; do
    clean_env "$program" $command --help | sed -n 's/^ *Example: //p'
done >"$home/of_help"
clean_env "$program" --plain --help | sed -n 's/^ *Example: //p' >>"$home/of_help"
[ "$(wc -l <"$home/of_readme")" -ge 9 ] && [ "$(wc -l <"$home/of_page")" -ge 12 ] && [ "$(wc -l <"$home/of_help")" -eq "$(echo dashboard $commands | wc -w)" ]
ok "README, manual and help have examples" $?
sort -u "$home/of_readme" "$home/of_page" "$home/of_help" >"$home/examples"
while read -r example <&3; do
    check=$(check_of "$example")
    rm -f "$home/trial/called" "$home/trial/out"
    (cd "$home/trial" && clean_env sh -c "PATH=$home/bin:\$PATH; $example" <"$home/answers" >out 2>err)
    status=$?
    [ -n "$check" ] && [ "$status" -eq 0 ] && grep -qE -- "${check#* }" "$home/trial/${check%% *}"
    good=$?
    ok "$example" "$good"
    [ "$good" -eq 0 ] || head -n 20 "$home/trial/out" "$home/trial/err" | sed "s|^|#  |"
done 3<"$home/examples"
# ---- what the manual gives as an example of a value is taken by the reader of the setup ----
/usr/bin/python3 - "$page" >"$home/values.json" <<'END'
import json, re, sys
page = open(sys.argv[1]).read()
section = page[page.index(".Sh SETUP FILE"):page.index(".Sh HORIZON FILE")]
values = re.findall(r"^\.(?:Pq )?Ql (.*?)(?: [,.;)])?$", section, re.M)
due = [v for v in values if re.match(r"[A-Za-z0-9]+[+-][0-9]+[hms]", v)]
until = [v for v in due if v.startswith("U4")]
when = [v for v in values if set(v.split()) <= {"total", "partial", "penumbral", "moon", "sun", "no-sun", "wide", "long", "mount"}]
place = [v for v in values if re.match(r"[0-9 ]+[NS]$", v)]
zone = [v for v in values if "/" in v and v[0].isupper()]
assert len(due) >= 6 and until and len(when) >= 4 and place and zone and "sea" in values
print(json.dumps({
    "site": {"name": "values", "latitude_deg": place[0], "longitude_deg": -60, "time_zone": zone[0], "height_m": 100,
             "horizon": "sea"},
    "rigs": [{"name": "long", "focal_mm": 400, "f_number": 6.3, "until": until[0]}],
    "reminders": [{"text": "item %d" % i, "due": v, "when": when[i % len(when)]} for i, v in enumerate(due)]}))
END
ok "the manual has examples of values" $?
clean_env "$program" plan --eclipse 2028-12-31 --setup "$home/values.json" >"$home/out" 2>"$home/err"
ok "and a setup takes them" $?
sed 's/^/#  /' "$home/err"

# ---- what stands inside the README's text ----
grep -q '^run:' Makefile && grep -q '^check:' Makefile && grep -q '^install:' Makefile
ok "make has the README's targets" $?
mandoc -T ascii "$page" | grep -q "MOONSTAND(1)"
ok "the manual page can be read before it is installed" $?
finish
