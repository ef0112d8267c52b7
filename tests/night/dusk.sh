#!/bin/sh
# What the program says at dusk, in every print: the sky outshines the Moon, until when, and what to set.
build=$1
. "$(dirname "$0")/lib.sh"

dusk() { clean_env "$program" "$@"; }
lucerne="--site 47.05,8.3"

dusk now --at 2028-12-31T16:13 $lucerne --canvas 80x24 >"$home/narrow"
grep -q "sky too bright until 16:4[0-9] " "$home/narrow"
ok "80 columns say until when the Moon is lost" $?
! grep -q "bright.*⋯" "$home/narrow"
ok "and nothing of it is cut" $?
grep -q "mag dimmer, twilight " "$home/narrow"
ok "the Moon's line keeps a whole word" $?
dusk now --at 2028-12-31T16:13 $lucerne --canvas 120x40 | grep -q "Moon lost in bright sky until about 16:4"
ok "120 columns say it in full" $?
dusk now --at 2028-12-31T16:13 $lucerne | grep -q "Moon lost in bright sky until about 16:4"
ok "text says it" $?
dusk now --at 2028-12-31T16:13 $lucerne --json | tr -d '[:space:]' |
    grep -q '"lost":true,"lost_from":"2028-12-31T15:3[0-9:.]*Z","lost_to":"2028-12-31T16:4'
ok "JSON has it with both instants" $?

dusk plan --eclipse 2028-12-31 $lucerne >"$home/plan"
grep -q "^  16:4[0-9:]* Moon clear of twilight" "$home/plan"
ok "the timeline has the end of it" $?
[ "$(grep -c "Moon lost in bright sky until about 16:4" "$home/plan")" -eq 3 ]
ok "each rig of the plan has it" $?
dusk plan --eclipse 2028-12-31 $lucerne --json | tr -d '[:space:]' |
    grep -q '"kind":"light","what":"Moonclearoftwilight"'
ok "the plan's JSON has it in the timeline" $?

dusk now --at 2028-12-31T16:52 --site 62,60 >"$home/night"
! grep -q "lost in\|darker than" "$home/night"
ok "nothing of the kind is said at night" $?
finish
