#!/bin/sh
# Keys in a real terminal: the menu by arrows and Enter, help that explains a key in two lines, keys that are
# held or pressed twice, Caps Lock, and moonstand help KEY.
build=$1
. "$(dirname "$0")/lib.sh"

acts() { journal | grep -c "\"kind\":\"$1\""; }
chosen() { screen | sed -n '/▸ [^ ]/{s/.*▸ \([^ ].*\)/\1/;s/^\(.\{1,18\}\).*/\1/p;q}'; }
another_is_chosen() {
    at=$(chosen)
    [ "$at" != "$last" ]
}
# Down, until the screen has come from the one that is chosen, $at, to the next.
step_down() {
    last=$at
    keys Down
    holds another_is_chosen
}

start 80 24 rehearse --demo --from U2+10m
wait_for REHEARSAL && wait_for "36.4 deg"

# ---- the menu ----
keys Enter
wait_for "Menu for rig 1 slope"
ok "Enter opens the menu" $?
keys Right Right Down
sleep 0.5
chosen | grep -q "^m *card changed"
ok "arrows choose: right by groups, down by keys" $?
screen | grep -q "empty memory card into the chosen rig"
ok "what is chosen is explained" $?
keys Enter
wait_for "slope: card changed" && [ "$(acts card)" = 1 ] && ! screen | grep -q "Menu for rig"
ok "Enter does it and closes the menu" $?
# Every act is there by its name: down through all of them, until the first comes again.
sleep 1
keys Enter
wait_for "Menu for rig 1"
keys Right Right Right Right Right
first=$(chosen)
at=$first
count=0
: >"$home/names"
while [ "$count" -lt 60 ]; do
    echo "$at" >>"$home/names"
    step_down
    [ "$at" != "$first" ] || [ "$count" -lt 3 ] || break
    count=$((count + 1))
done
missing=$(for name in "aimed elsewhere" "mount drift" "camera turned" "next target" "lens and filter" "frame taken" curves \
    "heater on, off" "forecast hour" "time card" "camera clock" cloud "put item off" "new item" "next theme" units setup \
    "site by hand" "site from GPS"; do
    grep -q "$name" "$home/names" || echo "$name,"
done)
[ -z "$missing" ]
ok "every act can be reached by its name $missing" $?
keys Escape
sleep 0.5
! screen | grep -q "Menu for rig"
ok "Esc closes it" $?

# ---- help ----
keys '?'
wait_for "battery changed" && wait_for "Get about"
ok "help shows the keys to learn, in groups" $?
screen | sed -n '/^The night at a glance/,/uncertain by tens/p' | tr -s ' ' '\n' | grep -cE '^(a|z|i|[+]|-|s|d|b|m|w|space|tab|n|v|r|arrows|Enter|u|[?]|q)$' >"$home/shown"
[ "$(cat "$home/shown")" -ge 20 ] && ! screen | grep -q "camera clock"
ok "all twenty of them, and no other" $?
keys Down
sleep 0.4
[ "$(screen | grep -A1 "Silences the re-aim alarm" | wc -l)" = 2 ]
ok "the chosen one is explained in two lines" $?
keys '?'
sleep 0.4

# ---- held, twice, capitals ----
sleep 1
keys + + + + + + + + + +
wait_for "one stop at a time"
ok "holding + stops" $?
journal | grep '"kind":"correction"' | tail -n 1 | grep -qE '"stops":1[,}]'
ok "at one stop" $?
sleep 1
keys b
wait_for "battery changed"
keys b
wait_for "Battery again? Enter: yes, Esc: no" && [ "$(acts battery)" = 1 ]
ok "a battery changed twice within seconds asks" $?
keys b Escape
wait_for "cancelled" && [ "$(acts battery)" = 1 ]
ok "Esc says no" $?
keys b
wait_for "Battery again?"
keys Enter
sleep 1.2
[ "$(acts battery)" = 2 ]
ok "Enter says yes" $?
keys d
wait_for "Umbra as seen"
keys 1.8 Enter
wait_for "umbra L 1.8: slope and long follow" && screen | grep -qE "(set|brighter:) slope .*, long |then [0-9:]* (all|set) "
ok "a message says what changed for whom, as Hands do" $?
keys Q
wait_for "press q again to quit"
sleep 2.5
[ ! -e "$home/exit" ] && screen | grep -q REHEARSAL
ok "with Caps Lock on, q does not quit" $?
keys q q
wait_exit
[ "$(cat "$home/exit")" = 0 ]
ok "q twice does" $?

# ---- moonstand help KEY ----
for key in a + - space tab '?' Enter q battery "$(printf 'card changed')"; do
    clean_env "$program" help "$key" >"$home/out" 2>&1 && [ "$(wc -l <"$home/out")" -ge 2 ] && [ "$(wc -l <"$home/out")" -le 3 ]
    ok "help '$key' explains a key in two lines" $?
done
clean_env "$program" help plan | grep -q -- --calendar
ok "help plan explains a command" $?
clean_env "$program" help nonesuch >"$home/out" 2>"$home/err"
[ $? = 2 ] && grep -q "neither a command nor a key" "$home/err"
ok "help of what is neither says so" $?
finish
