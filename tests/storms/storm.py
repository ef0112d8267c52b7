#!/usr/bin/python3
"""The live program under everything that a night can do to it, at random, with sanitizers, in a terminal of ours.

usage: storm.py PROGRAM MINUTES [SEED]
PROGRAM is linked with clock.c. One life follows the other in one session: keys, sizes, signals, a terminal that
does not read or is closed, a journal that vanishes, clocks that jump, a gpsd that dies, kills. After each:
the program lives and paints (or has ended as asked), no sanitizer speaks, and each note that the journal has
ever held is in the file of that name. Prints what was tried, how often, with which result; status 1 on any fault.
"""
import fcntl
import mmap
import os
import pty
import random
import re
import select
import shutil
import signal
import struct
import subprocess
import sys
import tempfile
import termios
import time
from pathlib import Path

PATIENCE_S = 20  # for what takes a second on a machine that rests, and without sanitizers
KEYS = [*"aAbBcCdDeEfFgGhHiIjJkKlLmMnNoOpPrRsStTuUvVwWxXyYzZ123456789?+-.,:;!/ \t\r\n\b\x7f",
        "\x1b", "\x1b[A", "\x1b[B", "\x1b[C", "\x1b[D", "\x1b[5~", "\x1b[6~", "\x1bOP", "\x1b[200~a\nb\x1b[201~",
        "\x1b[200~", "\x1b[201~", "\x1b[", "\xff", "\xc3", "\xe2\x96\x88", "\0", "\x11", "\x13", "\x1a", "\x0c"]


class Fault(Exception):
    pass


def until(condition, what):
    end = time.monotonic() + PATIENCE_S
    while not condition():
        if time.monotonic() > end:
            raise Fault(what)
        time.sleep(0.02)


class Receiver:
    """gpsd with a receiver; may be stopped, killed and started again."""

    def __init__(self):
        self.port, self.fake = 20000 + os.getpid() % 20000, None

    def start(self):
        if not self.fake:
            self.fake = subprocess.Popen(
                ["tests/receiver.py", str(self.port)],
                stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, start_new_session=True)

    def end(self):
        if self.fake:
            os.killpg(self.fake.pid, signal.SIGKILL)
            self.fake.wait()
            self.fake = None

    def freeze(self, seconds):
        if self.fake:
            os.killpg(self.fake.pid, signal.SIGSTOP)
            time.sleep(seconds)
            os.killpg(self.fake.pid, signal.SIGCONT)


class Storm:
    def __init__(self, program, dice):
        self.program, self.dice = os.path.abspath(program), dice
        self.home = Path(tempfile.mkdtemp(prefix="moonstand-storm-"))
        self.session = self.home / "2028-12-31-storm"
        self.receiver = Receiver()
        (self.home / "clock").write_bytes(bytes(16))
        with open(self.home / "clock", "r+b") as file:
            self.clock = mmap.mmap(file.fileno(), 16)
        (self.home / "setup.json").write_text(
            '{"site": {"name": "hut", "latitude_deg": 62, "longitude_deg": 60, "time_zone": "Asia/Yekaterinburg"},\n'
            ' "gpsd": {"host": "127.0.0.1", "port": %d}, "hooks": {"contact": ["true"], "alarm": ["sleep", "3"]},\n'
            ' "air": {"command": ["echo", "-8 81"], "every_s": 10}}\n' % self.receiver.port)
        self.ahead = [0.0, 0.0]
        self.pid = self.terminal = None
        self.notes = 0      # typed so far
        self.kept = set()   # notes that the journal has held, which it must never lose
        self.lives = 0

    # ---- the program ----

    def begin(self):
        self.session.mkdir(exist_ok=True)
        self.lives += 1
        before = self.size_of_journal()
        environment = {
            "PATH": os.environ["PATH"], "HOME": str(self.home), "XDG_STATE_HOME": str(self.home),
            "XDG_CONFIG_HOME": str(self.home), "LC_ALL": "C.UTF-8", "STORM_CLOCK": str(self.home / "clock"),
            "TERM": self.dice.choice(["xterm-256color", "xterm", "vt100", "linux", "tmux-256color"]),
            # Slow unwinding, for the C library and curses have no frame pointers.
            "ASAN_OPTIONS": f"abort_on_error=1:fast_unwind_on_malloc=0:log_path={self.home}/asan",
            "UBSAN_OPTIONS": f"print_stacktrace=1:log_path={self.home}/asan"}
        self.pid, self.terminal = pty.fork()
        if self.pid == 0:
            fcntl.ioctl(0, termios.TIOCSWINSZ, struct.pack("HHHH", 40, 120, 0, 0))
            os.execve(self.program, [self.program, "rehearse", "--setup", str(self.home / "setup.json"), "--eclipse",
                                     "2028-12-31", "--from", f"U1+{self.dice.randint(0, 200)}m", "--hooks",
                                     "--session", str(self.session)], environment)
        self.assert_paints("start")
        # It has read what was there, and written that it goes on: what vanishes from now on is in its memory.
        until(lambda: self.read() is not None and self.size_of_journal() > before, "start: no entry of its own")

    def size_of_journal(self):
        try:
            return (self.session / "journal.jsonl").stat().st_size
        except OSError:
            return 0

    def read(self, seconds=0.0):
        got = b""
        try:
            while select.select([self.terminal], [], [], seconds)[0]:
                got += os.read(self.terminal, 65536)
                seconds = 0
        except OSError:  # it has ended
            pass
        return got

    def write(self, text):
        """What fits: a program that does not read must not hold the storm."""
        os.set_blocking(self.terminal, False)
        try:
            os.write(self.terminal, text.encode("latin-1"))
        except OSError:
            pass
        os.set_blocking(self.terminal, True)

    def ended(self):
        """The exit status once it has ended, else None."""
        if self.pid:
            pid, status = os.waitpid(self.pid, os.WNOHANG)
            if pid:
                self.pid, self.status = None, os.waitstatus_to_exitcode(status)
        return None if self.pid else self.status

    def close(self):
        if self.terminal is not None:
            os.close(self.terminal)
            self.terminal = None

    def bury(self):
        """After a fault: nothing of this life stays."""
        if self.ended() is None:
            os.kill(self.pid, signal.SIGKILL)
            os.waitpid(self.pid, 0)
            self.pid = None
        self.close()

    def resize(self, width, height):
        fcntl.ioctl(self.terminal, termios.TIOCSWINSZ, struct.pack("HHHH", height, width, 0, 0))

    # ---- what must hold ----

    def assert_sound(self):
        for log in self.home.glob("asan*"):
            text = log.read_text(errors="replace")
            log.unlink()
            raise Fault("sanitizer: " + text[:2000])

    def assert_alive(self):
        if self.ended() is not None:
            raise Fault(f"it has ended by itself, status {self.status}")
        self.assert_sound()

    def assert_paints(self, when):
        """A new size is a new page."""
        self.read()
        size = [self.dice.randint(60, 200), self.dice.randint(20, 60)]

        def painted():
            self.assert_alive()
            size[0] += 1
            self.resize(60 + size[0] % 140, size[1])
            return len(self.read(0.1)) > 100

        until(painted, f"{when}: no page")

    def assert_ends(self, allowed=(0,)):
        def done():
            if self.terminal is not None:
                self.read(0.02)
            return self.ended() is not None

        until(done, "it does not end")
        self.close()
        self.assert_sound()
        if self.status not in allowed:
            raise Fault(f"status {self.status}")

    def held(self):
        try:
            text = (self.session / "journal.jsonl").read_text(errors="replace")
        except OSError:
            return set()
        return set(re.findall(r'"text":"(storm \d+\.)"', text))

    def assert_kept(self):
        self.kept |= self.held()

        def all_there():
            if self.terminal is not None:
                self.read(0.02)
            return self.kept <= self.held()

        until(all_there, f"lost from the journal: {sorted(self.kept - self.held())[:5]}")

    # ---- what is tried; each returns whether the program goes on ----

    def keys(self):
        for _ in range(self.dice.randint(20, 200)):
            self.write("".join(self.dice.choice(KEYS) for _ in range(self.dice.randint(1, 5))))
            self.read(0.002)
        return True

    def note(self):
        self.notes += 1
        self.write("\x1b[201~")
        time.sleep(0.6)  # a paste without its end is over
        self.write("\x1b")
        time.sleep(1.2)
        self.write("\x1b")
        self.read(1.2)
        self.write("n")
        self.read(0.2)
        self.write(f"storm {self.notes}.\r")
        self.read(1.5)
        return True

    def sizes(self):
        for _ in range(self.dice.randint(10, 100)):
            self.resize(self.dice.randint(1, 300), self.dice.randint(1, 100))
            self.read(0.002)
        return True

    def signals(self):
        for _ in range(self.dice.randint(5, 50)):
            os.kill(self.pid, self.dice.choice([signal.SIGWINCH, signal.SIGCONT, signal.SIGTSTP, signal.SIGPIPE,
                                                signal.SIGURG, signal.SIGCHLD]))
            self.read(0.002)
        return True

    def stall(self):
        """Nobody reads the terminal, and keys and sizes still come."""
        end = time.monotonic() + self.dice.uniform(1, 4)
        while time.monotonic() < end:
            self.resize(self.dice.randint(100, 300), self.dice.randint(40, 100))
            self.write(self.dice.choice("\to?iy"))
            time.sleep(0.02)
        return True

    def stall_and_term(self):
        self.stall()
        os.kill(self.pid, self.dice.choice([signal.SIGTERM, signal.SIGHUP, signal.SIGINT]))
        until(lambda: self.ended() is not None, "asked to end while nobody reads: it does not")
        self.assert_ends()
        return False

    def close_terminal(self):
        self.close()
        self.assert_ends((0, 1, 3))
        return False

    def end_by_signal(self):
        os.kill(self.pid, self.dice.choice([signal.SIGTERM, signal.SIGHUP, signal.SIGINT]))
        self.assert_ends()
        return False

    def kill(self):
        os.kill(self.pid, signal.SIGKILL)
        self.assert_ends((-signal.SIGKILL,))
        return False

    def journal_removed(self):
        self.kept |= self.held()
        (self.session / "journal.jsonl").unlink(missing_ok=True)
        return True

    def journal_replaced(self):
        self.kept |= self.held()
        other = self.session / "other"
        other.write_text("somebody else's\n")
        other.rename(self.session / "journal.jsonl")
        return True

    def folder_removed(self):
        self.kept |= self.held()
        shutil.rmtree(self.session, ignore_errors=True)
        return True

    def step(self, which, most_s):
        sign = 1 if which == 1 else self.dice.choice([-1, 1])  # the boot clock never goes back
        self.ahead[which] += sign * 10 ** self.dice.uniform(0, most_s)
        if which == 1:  # the machine slept: both clocks go on
            self.ahead[0] += 10 ** self.dice.uniform(0, 4)
        self.clock[:] = struct.pack("dd", *self.ahead)
        self.read(1.2)
        return True

    def clock_step(self):
        return self.step(0, 4)

    def clock_century(self):
        before = self.ahead[0]
        self.step(0, 9.5)
        self.ahead[0] = before
        self.clock[:] = struct.pack("dd", *self.ahead)
        self.read(1.2)
        return True

    def sleep(self):
        return self.step(1, 4)

    def gpsd_starts(self):
        self.receiver.start()
        self.read(2)
        return True

    def gpsd_dies(self):
        self.receiver.end()
        self.read(0.5)
        return True

    def gpsd_freezes(self):
        self.receiver.freeze(1)
        return True


WEATHER = [
    ("random keys", Storm.keys, 6), ("a note", Storm.note, 6), ("sizes", Storm.sizes, 4),
    ("signals", Storm.signals, 3), ("terminal that does not read", Storm.stall, 2),
    ("the same, asked to end", Storm.stall_and_term, 1), ("terminal closed", Storm.close_terminal, 1),
    ("TERM, HUP or INT", Storm.end_by_signal, 1), ("killed", Storm.kill, 1),
    ("journal removed", Storm.journal_removed, 1), ("journal replaced", Storm.journal_replaced, 1),
    ("session's folder removed", Storm.folder_removed, 1), ("clock set by seconds to hours", Storm.clock_step, 2),
    ("clock set by up to a century", Storm.clock_century, 1), ("sleep of seconds to hours", Storm.sleep, 1),
    ("gpsd starts", Storm.gpsd_starts, 1), ("gpsd killed", Storm.gpsd_dies, 1), ("gpsd frozen", Storm.gpsd_freezes, 1),
]


def deck(dice):
    """Each kind once, in any order, then as often as they weigh."""
    once = list(WEATHER)
    dice.shuffle(once)
    yield from once
    while True:
        yield dice.choices(WEATHER, [weight for *_, weight in WEATHER])[0]


def try_one(storm, what):
    if storm.pid is None:
        storm.begin()
    if what(storm):
        storm.assert_paints("afterwards")
        storm.assert_kept()
    else:
        storm.kept |= storm.held() if what is Storm.kill else set()
        storm.assert_kept()


def main():
    program, minutes = sys.argv[1], float(sys.argv[2])
    seed = int(sys.argv[3]) if len(sys.argv) > 3 else 20281231
    dice = random.Random(seed)
    storm = Storm(program, dice)
    tally = {name: [0, 0] for name, *_ in WEATHER}
    end = time.monotonic() + 60 * minutes
    try:
        for name, what, _ in deck(dice):
            if time.monotonic() > end and (minutes >= 1 or min(row[0] for row in tally.values()) > 0):
                break
            tally[name][0] += 1
            try:
                try_one(storm, what)
            except Fault as fault:
                tally[name][1] += 1
                print(f"FAULT in life {storm.lives}, {name}: {fault}", flush=True)
                storm.bury()
                storm.kept = storm.held()  # told once
        if storm.pid is not None:
            storm.end_by_signal()
            storm.assert_kept()
    finally:
        storm.bury() if storm.pid else storm.close()
        storm.receiver.end()
        shutil.rmtree(storm.home, ignore_errors=True)
    print(f"{minutes:g} minutes, seed {seed}: {storm.lives} lives, {storm.notes} notes typed, {len(storm.kept)} held "
          "by the journal and never lost")
    print(f"| {'what was tried':<30} | times | faults |\n|{'-' * 32}|------:|-------:|")
    for name, (tried, faults) in tally.items():
        print(f"| {name:<30} | {tried:>5} | {faults:>6} |")
    return any(faults for _, faults in tally.values()) or not storm.kept


sys.exit(main())
