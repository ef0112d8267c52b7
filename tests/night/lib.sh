# Shared by the end-to-end scripts: the program in a real terminal of tmux, alone in its own folders.
# A script sources this after `build=$1`, runs checks, and ends with `finish`.
set -u
home=$(mktemp -d)
# A path of the script's own, so that it finds its own processes beside those of other scripts.
program=$home.run/moonstand
mkdir "$home.run"
ln -s "$(cd "$build" && pwd)/moonstand" "$program"
starts=0
socket=moonstand-test-$$
number=0
failures=0

cleanup() {
    tmux -L "$socket" kill-server 2>/dev/null
    rm -rf "$home" "$home.run"
}
trap cleanup EXIT
# Ended from outside, it still cleans up.
trap 'exit 1' HUP TERM

ok() { # name, status
    number=$((number + 1))
    if [ "$2" -eq 0 ]; then
        echo "ok $number - $1"
    else
        echo "not ok $number - $1"
        failures=$((failures + 1))
        tmux -L "$socket" capture-pane -p 2>/dev/null | sed 's/^/#  /'
    fi
}

finish() {
    echo "1..$number"
    [ "$failures" -eq 0 ]
    exit
}

clean_env() {
    env -i PATH="$PATH" HOME="$home" XDG_STATE_HOME="$home/state" XDG_CONFIG_HOME="$home/config" \
        LC_ALL="${LOCALE:-C.UTF-8}" TZ=UTC "$@"
}

# start WIDTH HEIGHT ARGS...: the program in a fresh terminal; what it leaves behind stands in $home/exit.
# TERM_IN is the terminal type it sees, EXTRA more of its environment. The shell has job control, as a user's
# has: without it the kernel lets nothing be stopped from the keyboard. It outlives a program that INT ends.
start() {
    width=$1
    height=$2
    shift 2
    tmux -L "$socket" kill-server 2>/dev/null
    # A server of its own each time: the last one may still be going down.
    starts=$((starts + 1))
    socket=moonstand-test-$$-$starts
    rm -f "$home/exit"
    clean_env tmux -f /dev/null -L "$socket" new-session -d -x "$width" -y "$height" \
        "set -m; sh -c 'trap : INT; env TERM=${TERM_IN:-tmux-256color} ${EXTRA:-} $program $* 2>$home/errors; echo \$? >$home/exit'; stty -a >$home/stty; echo shell again; sleep 600"
}

screen() { tmux -L "$socket" capture-pane -p; }
screen_with_colours() { tmux -L "$socket" capture-pane -pe; }
keys() { tmux -L "$socket" send-keys "$@"; }
pane() { tmux -L "$socket" display-message -p "#{$1}"; }
program_pid() { pgrep -f "^$program " | head -n 1; }

# holds COMMAND...: waits until it succeeds: asks often at first, then ever less, for asking costs more than what it
# waits for. The limit is for machines that are busy with other things.
holds() {
    asked=0
    pause=0.04
    until "$@"; do
        asked=$((asked + 1))
        case $asked in
        5) pause=0.1 ;;
        15) pause=0.3 ;;
        30) pause=0.5 ;;
        110) return 1 ;;
        esac
        sleep "$pause"
    done
}
shows() {
    case $(screen) in
    *"$1"*) ;;
    *) return 1 ;;
    esac
}
wait_for() { "$build/tests/night/await" "$socket" shows "$1"; }
wait_gone() { "$build/tests/night/await" "$socket" hides "$1"; }
wait_exit() { holds test -s "$home/exit"; }
# Ticks of the clock on the screen; after two whatever had to show or vanish has done so.
wait_ticks() { "$build/tests/night/await" "$socket" ticks "${1:-2}"; }

journal() { cat "$home"/state/moonstand/sessions/*/journal.jsonl; }

# odd_pictures FOLDER: none.nef, a raw file without a preview, and huge.jpg, whose header asks for 12 GB of pixels.
odd_pictures() {
    /usr/bin/python3 - "$1" tests/fuzz/corpus/metadata/little.jpg <<'END'
import struct, sys

tags = [(0x0110, b"Camera One\0\0"), (0x829a, (1, 500)), (0x829d, (63, 10)), (0x8827, 200),
        (0x9003, b"2028:12:31 17:59:09\0")]  # EXIF 2.32 (CIPA DC-008-2019)
behind, entries = b"", b""
for tag, value in tags:
    place = 8 + 2 + 12 * len(tags) + 4 + len(behind)
    if isinstance(value, bytes):
        entries += struct.pack("<HHII", tag, 2, len(value), place)
        behind += value
    elif isinstance(value, tuple):
        entries += struct.pack("<HHII", tag, 5, 1, place)
        behind += struct.pack("<II", *value)
    else:
        entries += struct.pack("<HHIHH", tag, 3, 1, value, 0)
with open(sys.argv[1] + "/none.nef", "wb") as out:
    out.write(b"II*\0" + struct.pack("<IH", 8, len(tags)) + entries + struct.pack("<I", 0) + behind)
huge = bytearray(open(sys.argv[2], "rb").read())
frame = huge.find(b"\xff\xc0")
huge[frame + 5:frame + 9] = struct.pack(">HH", 65500, 65500)
with open(sys.argv[1] + "/huge.jpg", "wb") as out:
    out.write(huge)
END
}
