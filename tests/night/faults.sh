#!/bin/sh
# What goes wrong in the middle of a night: the disk is full or read-only, the lid is closed.
build=$1
. "$(dirname "$0")/lib.sh"

session=$home/2028-12-31-faults
journal_of() { $there cat "$1/journal.jsonl"; }
there=
frames() { journal_of "$1" | grep -c '"kind":"frame"'; }
has_frames() { [ "$(frames "$1")" -eq "$2" ]; }
# Whole lines with numbers from 1 on, and so many frames among them.
is_whole() { # folder, frames
    journal_of "$1" | sed 's/^{"seq":\([0-9]*\),.*"crc":"[0-9a-f]\{8\}"}$/\1/' |
        awk '$0 != NR { bad = 1 } END { exit bad }' && [ "$(frames "$1")" -eq "$2" ]
}

# A closed lid: stopped here, looked at again in the end. At 120 times the pace a second is two minutes.
lid=$home/2028-12-31-lid
start 100 30 rehearse --demo --session "$lid" --speed 120
wait_for REHEARSAL
lid_pid=$(program_pid)
kill -STOP "$lid_pid"
stopped=$(date +%s)
lid_socket=$socket
socket=moonstand-test-$$-lid
program_pid() { pgrep -n -f "^$program "; }
lid_opened() {
    while [ $(($(date +%s) - stopped)) -lt 12 ]; do
        sleep 0.2
    done
    tmux -L "$socket" kill-server 2>/dev/null
    socket=$lid_socket
    kill -CONT "$lid_pid"
    wait_for "asleep or closed for"
    ok "after a sleep it says for how long it slept" $?
    wait_for "missed 1 of"
    ok "and what was missed stands on the screen" $?
    journal_of "$lid" | grep -q '"kind":"missed".*"text":"U1"'
    ok "and in the journal" $?
    finish
}
trap 'kill -KILL "$lid_pid" 2>/dev/null; tmux -L "$lid_socket" kill-server 2>/dev/null; cleanup' EXIT

# No room for another byte: the limit of a file's size stands where the journal ends.
start 100 30 rehearse --demo --session "$session"
wait_for REHEARSAL
keys f
wait_for "frame taken"
holds has_frames "$session" 1
prlimit --pid "$(program_pid)" --fsize="$(wc -c <"$session/journal.jsonl"):unlimited"
keys f
wait_for "NOTHING IS BEING SAVED"
ok "no room on the disk: the warning stands on the screen" $?
wait_for "File too large"
ok "with the reason" $?
wait_ticks
ok "the dashboard goes on" $?
keys f
keys 2
keys a
wait_for "re-aim within"
ok "and takes every key" $?
[ "$(frames "$session")" -eq 1 ]
ok "nothing is half written meanwhile" $?
prlimit --pid "$(program_pid)" --fsize=unlimited:unlimited
wait_gone "NOTHING IS BEING SAVED"
ok "room again: the warning goes" $?
holds is_whole "$session" 3 && journal_of "$session" | grep -q '"kind":"aim"'
ok "and everything is written, once" $?

keys q q
wait_exit

# A disk of its own, full and then read-only: where the machine lets us mount one.
disk=$home/disk
mkdir "$disk"
if [ "$(id -u)" -eq 0 ] && unshare --mount true 2>/dev/null; then
    within="unshare --mount"
    enter="--mount"
elif unshare --map-root-user --mount true 2>/dev/null; then
    within="unshare --map-root-user --mount"
    enter="--user --mount --preserve-credentials"
else
    echo "# no mounts here: a full and a read-only disk are tried in tests/app only"
    lid_opened
fi
on_disk=$disk/2028-12-31-disk
# The disk is the namespace's of the first program in it; the others come to it there.
cat >"$home/on-disk" <<END
#!/bin/sh
mount -t tmpfs -o size=256k none "$disk" && echo \$\$ >"$home/keeper" && exec sleep 300
END
chmod +x "$home/on-disk"
$within "$home/on-disk" &
keeps_disk() { [ -s "$home/keeper" ] || ! kill -0 $! 2>/dev/null; }
holds keeps_disk
if [ ! -s "$home/keeper" ]; then
    echo "# no mounts here either"
    lid_opened
fi
keeper=$(cat "$home/keeper")
there="nsenter --target $keeper $enter"
trap 'kill -KILL "$keeper" "$lid_pid" 2>/dev/null; tmux -L "$lid_socket" kill-server 2>/dev/null; cleanup' EXIT

EXTRA=$there
start 100 30 rehearse --demo --session "$on_disk"
wait_for REHEARSAL
keys f
wait_for "frame taken"
holds has_frames "$on_disk" 1
$there dd if=/dev/zero of="$disk/filler" bs=1k 2>/dev/null
taken=1
while [ $taken -lt 40 ]; do
    keys f
    taken=$((taken + 1))
done
wait_for "No space left on device"
ok "a full disk is told" $?
wait_ticks
ok "and the dashboard goes on" $?
$there rm "$disk/filler"
wait_gone "NOTHING IS BEING SAVED"
ok "room again: the warning goes" $?
holds is_whole "$on_disk" 40
ok "and every frame is written, once" $?

kill -KILL "$(program_pid)"
wait_exit
$there mount -o remount,ro "$disk"
start 100 30 rehearse --demo --session "$on_disk"
wait_for "Read-only file system"
ok "resumed on a disk that has become read-only: it says so" $?
wait_ticks
ok "and goes on" $?
keys f
$there mount -o remount,rw "$disk"
wait_gone "NOTHING IS BEING SAVED"
ok "writable again: the warning goes" $?
holds is_whole "$on_disk" 41
ok "and what was done meanwhile is written" $?
there=
lid_opened
