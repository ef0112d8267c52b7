#!/bin/sh
# What the user can change about the looks while the night runs: theme, hours, units, lines apart.
build=$1
. "$(dirname "$0")/lib.sh"

mkdir -p "$home/config/moonstand/themes"
sed 's/"name": "daylight"/"name": "amber"/; s/#ffffff/#ffd787/' themes/daylight.json \
    >"$home/config/moonstand/themes/a-amber.json"
sed 's/#000000/#00000/' themes/plain.json >"$home/config/moonstand/themes/a-broken.json"
# Background of the top left cell is 48;5;N.
background() { screen_with_colours | head -n 1 | grep -q "48;5;$1m"; }

start 80 24 rehearse --demo
wait_for REHEARSAL
! screen_with_colours | grep -qE '38;5;(1[0-57-9]|2[0-9]|3[0-9]|4[0-9]|5[013-9]|[67][0-9]|8[0-79])m'
ok "the first theme is red" $?
for theme in "theme a-amber" a-broken.json "theme blue-orange" "theme daylight" "theme plain" "theme red"; do
    keys R
    wait_for "$theme"
    ok "one key comes to $theme" $?
    [ "$theme" != a-broken.json ] || said=$(screen | tail -n 2)
done
echo "$said" | grep -q "a-broken.json.*background"
ok "a broken theme of the user's own is said, with the key that is wrong" $?
[ ! -e "$home/exit" ]
ok "and does no harm" $?

start 80 24 rehearse --demo --theme a-amber
wait_for REHEARSAL
background 222
ok "a theme of one's own by name" $?

start 80 24 rehearse --demo --theme a-broken
wait_exit
[ "$(cat "$home/exit")" = 2 ] && grep -q "a-broken.json" "$home/errors"
ok "a broken theme that is asked for is refused" $?

# Themes are found wherever the program stands and is started from; "daylight" is beside both.
mkdir -p "$home/own/bin" "$home/own/share/moonstand/themes"
cp "$build/moonstand" "$home/own/bin/moonstand"
sed 's/"name": "daylight"/"name": "moved"/' themes/daylight.json >"$home/own/share/moonstand/themes/moved.json"
[ "$(cd / && clean_env "$program" --complete --theme "" | tr '\n' ' ')" = "a-amber a-broken blue-orange daylight plain red " ]
ok "the themes of the build are found from another folder" $?
(cd / && clean_env "$home/own/bin/moonstand" --complete --theme "" | grep -qx moved)
ok "and those below the folder that the program was moved to" $?
for each in "$program daylight 231" "$home/own/bin/moonstand moved 231"; do
    set -- $each
    clean_env tmux -f /dev/null -L "$socket" kill-server 2>/dev/null
    # A server that is going down refuses: asked again until a new one is up.
    for _ in $(seq 50); do
        (cd / && clean_env tmux -f /dev/null -L "$socket" new-session -d -x 80 -y 24 "TERM=tmux-256color $1 rehearse --demo --theme $2") && break
        sleep 0.1
    done
    wait_for REHEARSAL && background "$3"
    ok "theme $2 is worn by a program started from another folder" $?
done

printf '{"site": {"name": "shed", "latitude_deg": 62, "longitude_deg": 60}, "theme": "a-broken",
    "clock": "12", "units": "imperial"}' \
    >"$home/config/moonstand/setup.json"
start 80 24 rehearse --eclipse 2028-12-31
wait_for "a-broken.json"
ok "a broken theme of the setup is said on the screen; the night goes on" $?

wait_for "pm UTC"
ok "the setup's clock has twelve hours" $?
keys X
wait_gone "pm UTC"
ok "one key changes that" $?
keys w
wait_for "Temperature F"
ok "the setup's units of the air are asked for" $?
keys Escape
keys W w
wait_for "Temperature C"
ok "one key changes them" $?
keys Escape
keys W w
wait_for "Temperature F"
keys "14 70" Enter
is_kept() { journal | grep '"kind":"air"' | tail -n 1 | grep -q '"temperature_c":-10[,.]'; }
holds is_kept
ok "and what is typed is in those units" $?
lines=$(screen | grep -c .)
has_fewer() { [ "$(screen | grep -c .)" -lt "$lines" ]; }
keys L
holds has_fewer
ok "one key moves the lines apart" $?
finish
