#!/bin/sh
# A terminal that does not read, or whose input has no end, must not stop the night.
build=$1
. "$(dirname "$0")/lib.sh"

cat >"$home/setup.json" <<END
{"site": {"latitude_deg": 62, "longitude_deg": 60},
 "hooks": {"contact": ["sh", "-c", "echo \$MOONSTAND_WHAT >>$home/told"]}}
END
clean_env timeout 800 /usr/bin/python3 "$(dirname "$0")/stall.py" "$program" "$home"
