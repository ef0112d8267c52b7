#!/bin/sh
# A night of pictures played into two folders at speed: a wrong setting, a bumped tripod, an intervalometer that
# stops, a fogged lens, raw files beside JPEGs, files in pieces. Each is said in time, and nothing else is said.
build=$1
. "$(dirname "$0")/lib.sh"

tests/night/seen.py "$program" "$build/tests/eye/shoot" "$home" >"$home/out" 2>&1
ok "what happens in the pictures is said in time, and nothing else" $?
sed 's/^/#  /' "$home/out"
journal >"$home/journal"
python3 - "$home/journal" <<'END'
import json, sys

acts = [json.loads(line) for line in open(sys.argv[1])]
last = {}
for act in acts:
    if act["kind"] == "pictures":
        last[act["rig"]] = act
assert (last[0]["frames"], last[0]["raw"]) == (40, 0), last
assert (last[1]["frames"], last[1]["raw"]) == (45, 45), last
assert sum(act["kind"] == "spotted" for act in acts) == 3
assert not any(act["kind"] in ("correction", "danjon") for act in acts)
END
ok "every frame is counted once; three aims were seen, and nothing of the light was taken" $?
finish
