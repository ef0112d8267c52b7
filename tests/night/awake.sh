#!/bin/sh
# A live night keeps its laptop awake by itself. In the place of the system's program stands one that
# writes down what it was asked, and waits for its command as that does.
build=$1
. "$(dirname "$0")/lib.sh"

mkdir "$home/bin"
cat >"$home/bin/systemd-inhibit" <<END
#!/bin/sh
echo "\$*" >>"$home/asked"
[ ! -e "$home/refuse" ] || { echo "Failed to inhibit: Access denied" >&2; exit 1; }
echo \$\$ >"$home/lock"
while [ "\${1#--}" != "\$1" ]; do shift; done
"\$@" &
echo \$! >>"$home/lock"
wait
END
chmod 755 "$home/bin" "$home/bin/systemd-inhibit"
setup() { printf '{"site": {"latitude_deg": 62, "longitude_deg": 60}%s}\n' "$1" >"$home/setup.json"; }
night() {
    EXTRA="PATH=${only:-$home/bin:$PATH}"
    start 120 40 "$@" --setup "$home/setup.json" --eclipse 2028-12-31
    EXTRA=
}
# Nobody holds the lock any more; a process that nobody has waited for does not.
is_free() {
    for pid in $(cat "$home/lock"); do
        [ -z "$(tr -d '\0' 2>/dev/null <"/proc/$pid/cmdline")" ] || return 1
    done
}

setup ''
night
wait_for "kept awake"
ok "a live night takes the lock, and says so" $?
grep -q -- "--what=sleep:idle:handle-lid-switch --who=Moonstand" "$home/asked" && [ "$(wc -l <"$home/asked")" -eq 1 ]
ok "against sleep, idling and the lid" $?
[ "$(wc -l <"$home/lock")" -eq 2 ] && ! is_free
ok "and holds it" $?
keys q q
wait_exit
holds is_free
ok "until it ends" $?
[ ! -s "$home/errors" ]
ok "without a word on standard error" $?
night
wait_for "kept awake"
kill -KILL "$(program_pid)"
wait_exit
holds is_free
ok "or is killed" $?

setup ', "keep_awake": false'
rm -f "$home/asked"
night
wait_for "may sleep"
ok "the setup can refuse, and the screen says that the laptop may sleep" $?
[ ! -e "$home/asked" ]
ok "nothing is then run" $?
setup ''
night rehearse
wait_for REHEARSAL
wait_ticks
[ ! -e "$home/asked" ] && ! screen | grep -q "kept awake\|may sleep"
ok "a rehearsal takes no lock, and says nothing of it" $?
: >"$home/refuse"
night
wait_for "holds no lock: the laptop may sleep"
ok "a system that refuses the lock is told once" $?
wait_gone "holds no lock" && wait_for "laptop may sleep"
ok "and shown when that word has gone" $?
rm "$home/refuse" "$home/bin/systemd-inhibit"
only=$home/bin # the machine that runs this test may have one
night
wait_for "may sleep" && wait_for "quit"
ok "a machine without such a program is none the worse" $?
finish
