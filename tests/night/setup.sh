#!/bin/sh
# The setup is seen and changed inside the dashboard: what is typed is judged like the file, holds at once,
# is written where it came from, and is undone.
build=$1
. "$(dirname "$0")/lib.sh"

file=$home/config/moonstand/setup.json
page_of() { screen | sed -n '/^Setup/{p;n;p;q}'; }
page_is() {
    case $(page_of) in
    *"${1:-  }"*) ;;
    *) return 1 ;;
    esac
}
page_is_closed() { [ -z "$(page_of)" ]; }
top_is_chosen() {
    case $(page_of) in
    *"
▸"*) ;;
    *) return 1 ;;
    esac
}
chosen() { screen | grep "^▸"; }
another_is_chosen() {
    at=$(chosen)
    [ -n "$at" ] && [ "$at" != "$last" ]
}
is_chosen() {
    case $(chosen) in
    *"▸ $1 "*) ;;
    *) return 1 ;;
    esac
}
# line LABEL: chooses the line of the page that begins so.
line() {
    keys Home
    holds top_is_chosen
    # How far down it is, where it is in sight.
    down=$(screen | awk -v label="$1 " '/^▸/ { from = NR } from && index($0, "  " label) == 1 { print NR - from; exit }')
    [ -z "$down" ] || keys -N "$down" Down
    [ -z "$down" ] || wait_for "▸ $1 "
    until is_chosen "$1"; do
        last=$(chosen)
        keys Down
        holds another_is_chosen || return
    done
}
# go LABEL...: opens one line after the other, from the top of the setup.
go() {
    keys Escape Escape Escape Escape
    holds page_is_closed
    keys E
    path=
    for label in "$@"; do
        holds page_is "$path"
        line "$label"
        keys Enter
        path="> $label"
    done
}
# say TEXT: as the answer, in place of what stands there.
say() {
    keys C-u
    keys -l "$1"
    keys Enter
}

mkdir -p "$home/config/moonstand"
cat >"$file" <<END
{"site": "barn", "theme": "red",
 "sites": [{"name": "barn", "latitude_deg": 62, "longitude_deg": 60, "time_zone": "Asia/Yekaterinburg"},
           {"name": "ridge", "latitude_deg": 61, "longitude_deg": 59, "time_zone": "UTC"}]}
END
start 120 30 rehearse --eclipse 2028-12-31
wait_for "barn"
go site
wait_for "Setup  saved in $file"
ok "the page says where a change goes" $?
say ridge
wait_for "setup: site ridge"
screen | head -n 1 | grep -q "ridge.*UTC"
ok "another of the sites is in force, with its clock" $?
grep -q '"site":.*"ridge"' "$file"
ok "and in the file" $?
keys u
wait_for "undone: setup: site ridge"
screen | head -n 1 | grep -q "barn" && grep -q '"site":.*"barn"' "$file"
ok "one key takes it back, in the file too" $?
keys Enter
say cellar
wait_for "the name of one of the sites"
ok "a site that is not there is refused" $?
say barn
wait_for "site is as it was"
ok "and mended in place" $?

go sites 1 latitude
say "62 30 N"
wait_for "setup: sites > 1 barn > latitude 62 30 N"
ok "a place of the list is changed" $?
go sites 1 horizon 1
say "90 12"
go sites 1 horizon 2
say "45, 7"
in_order() { screen | grep -A 1 " 1  *45, 7" | tail -n 1 | grep -q " 2  *90, 12"; }
holds in_order
ok "the points of its horizon stand by azimuth" $?
go sites 1 horizon 3
say "45 9"
wait_for "it must rise"
ok "one azimuth twice is refused" $?
keys Escape

go rigs 2 "focal length"
say 250
wait_for "setup: rigs > 2 long > focal length 250"
ok "a rig's field is changed" $?
! screen | grep -q 'rigs\[\|[a-z]_[a-z]'
ok "no key of the file is seen" $?
keys Escape Escape
go rigs 2 "focal length"
screen | grep -q "focal length  *250 mm" && screen | grep -q "1 to 20000 mm - how large the Moon is"
ok "the unit stands beside the number, what is allowed and why below" $?
keys Escape
go rigs 2 f-number
say 70
wait_for "expected a number from 0.5 to 64"
ok "and judged as in the file" $?
keys Escape
go rigs 4
say "guide, 200, 4"
wait_for "found 4 entries; expected a list of 1 to 3"
ok "a fourth rig is refused" $?
keys Escape Home D
wait_for "only the last rig can be taken out"
ok "and so is the loss of a rig whose acts are told by number" $?

go checklist
keys End Enter
say "at the site, put the flask where a hand finds it"
wait_for "flask"
ok "an item joins the checklist" $?
keys End Up Enter
holds page_is "checklist > "
line "what to do"
keys Enter
say "put the flask on the step"
wait_for "on the step"
keys Left D
wait_for "taken out"
! screen | grep -q "on the step" && ! grep -q flask "$file"
ok "it is changed, and taken out" $?
keys u u
wait_for "what to do put the flask on the step"
grep -q "a hand finds it" "$file"
ok "both are undone one by one" $?

printf '%s\n' "-7.5 81" >"$home/air"
go "air sensor" file
say "$home/air"
wait_for "setup: air sensor > file"
keys Escape Escape y
wait_for "-7.5 C"
ok "a sensor that is named is read without a restart" $?

printf '{"issued": "2028-12-31T12:00Z", "hours": [{"time": "2028-12-31T12:00Z", "cloud_percent": 35},
    {"time": "2028-12-31T18:00Z", "cloud_percent": 35}]}' >"$home/sky.json"
go sites 1 "forecast file"
say "$home/sky.json"
keys Escape Escape Escape y
wait_for "35 %"
ok "so is a forecast" $?
sed 's/35}/72}/g' "$home/sky.json" >"$home/new" && mv "$home/new" "$home/sky.json"
wait_for "72 %"
ok "and one that comes over it" $?
cp "$home/sky.json" "$home/good"
echo '{"hours": [' >"$home/sky.json"
wait_for "not JSON from here" && wait_for "72 %"
ok "a damaged one is said, and the last good one stays" $?
cp "$home/good" "$home/sky.json"
keys F
keys -l "20:00 10 -9 85 2"
keys Enter
wait_for "cloud 10 %"
ok "an hour of it can be told by hand" $?
keys u
wait_for "undone: forecast"
ok "and undone" $?

go theme
say nope
wait_for "nope"
ok "a theme that is not there is said" $?
keys Enter
say plain
wait_for "theme plain"
ok "one that is there is worn" $?
kill -9 "$(program_pid)"
wait_exit
start 100 30 rehearse --eclipse 2028-12-31
wait_for "barn"
go rigs 2
wait_for "250"
ok "after kill -9 the changes stand in the file" $?
keys q q
wait_exit
clean_env "$program" plan --eclipse 2028-12-31 | grep -q "latitude 62.50000"
ok "and for every other command" $?

start 100 30 rehearse --demo
wait_for "Hare Ridge"
go "umbra L"
wait_for "kept with this session alone"
say 1
wait_for "setup: umbra L 1"
! grep -q Hare "$file"
ok "the demo leaves the user's file alone" $?
keys q q
wait_exit
[ "$(cat "$home/exit")" = 0 ] && [ ! -s "$home/errors" ]
ok "and is left as always" $?
finish
