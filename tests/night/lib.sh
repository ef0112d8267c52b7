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

# holds COMMAND...: waits until it succeeds; the limit is for machines that are busy with other things.
holds() {
    polls=600
    until "$@"; do
        [ "$polls" -gt 0 ] || return 1
        sleep 0.05
        polls=$((polls - 1))
    done
}
shows() { screen | grep -qF -- "$1"; }
hides() { ! shows "$1"; }
wait_for() { holds shows "$1"; }
wait_gone() { holds hides "$1"; }
wait_exit() { holds test -s "$home/exit"; }
# Two ticks of the clock on the screen: whatever had to show or vanish has done so.
wait_ticks() {
    for tick in 1 2; do
        before=$(screen)
        holds changed
    done
}
changed() { [ "$(screen)" != "$before" ]; }

journal() { cat "$home"/state/moonstand/sessions/*/journal.jsonl; }
