#!/bin/sh
# The dashboard at the pace of life, in a terminal, for some minutes: memory must not grow by more than the
# acts that are kept (64 kB are some two hundred).
# usage: tests/bench/soak.sh BUILD MINUTES
set -u
state=$(mktemp -d)
trap 'rm -rf "$state"' EXIT
export LC_ALL=C.UTF-8 XDG_STATE_HOME="$state" XDG_CONFIG_HOME="$state" TZ=UTC
"$1/tests/bench/measure" idle $(($2 * 60)) "$1/moonstand" rehearse --demo --from U2-10m >"$state/out"
read -r wakeups writes bytes cpu resident own growth <"$state/out"
echo "$2 minutes: $wakeups wake-ups, $writes writes, $bytes bytes a second, $cpu CPU s an hour, $resident kB resident, grown by $growth kB"
[ "$growth" -le 64 ]
