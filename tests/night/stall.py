"""The live program on a terminal that nobody reads (a frozen link, a paused multiplexer), and on one whose
input has no end (a cat on the keyboard, a file sent by mistake).

usage: stall.py PROGRAM FOLDER
Prints the lines of a test for each thing that has to go on meanwhile.
"""
import fcntl
import glob
import json
import os
import pty
import resource
import select
import signal
import struct
import subprocess
import sys
import termios
import time

program, folder = sys.argv[1], sys.argv[2]
PATIENCE_S = 40  # for what takes a second on a machine that rests
told = os.path.join(folder, "told")
numbers = 0


def ok(name, good, word=""):
    global numbers
    numbers += 1
    print(f"{'ok' if good else 'not ok'} {numbers} - {name}{' # ' + str(word) if word != '' and not good else ''}")


def resize(terminal, width, height):
    fcntl.ioctl(terminal, termios.TIOCSWINSZ, struct.pack("HHHH", height, width, 0, 0))


class Live:
    """One run; its session in a folder of its own, a hook that leaves a line at every contact."""

    count = 0

    def __init__(self, *arguments, size=(120, 40), limit=None):
        Live.count += 1
        self.session = os.path.join(folder, f"2028-12-31-stall{Live.count}")
        self.master, self.keeper = pty.openpty()
        self.modes = termios.tcgetattr(self.keeper)
        resize(self.master, *size)
        command = [program, "rehearse", "--setup", os.path.join(folder, "setup.json"), "--eclipse", "2028-12-31",
                   "--hooks", "--session", self.session, *arguments]
        self.process = subprocess.Popen(
            command, stdin=self.keeper, stdout=self.keeper, stderr=self.keeper, start_new_session=True,
            preexec_fn=lambda: self.prepare(limit))
        if os.path.exists(told):
            os.remove(told)

    @staticmethod
    def prepare(limit):
        fcntl.ioctl(0, termios.TIOCSCTTY, 0)
        if limit:
            resource.setrlimit(resource.RLIMIT_FSIZE, (limit, limit))

    def type(self, keys):
        os.write(self.master, keys)

    def read(self, seconds, until=b""):
        got, end = b"", time.monotonic() + seconds
        while time.monotonic() < end and not (until and until in got):
            if select.select([self.master], [], [], 0.05)[0]:
                try:
                    got += os.read(self.master, 65536)
                except OSError:
                    break
        return got

    def ends(self, seconds=PATIENCE_S):
        """The seconds until its end; None: it did not end."""
        begun = time.monotonic()
        try:
            self.process.wait(seconds)
        except subprocess.TimeoutExpired:
            self.process.kill()
            self.process.wait()
            return None
        return time.monotonic() - begun

    def modes_are_back(self):
        return termios.tcgetattr(self.keeper) == self.modes

    def kinds(self):
        lines = [line for name in glob.glob(os.path.join(self.session, "journal.jsonl")) for line in open(name)]
        return [json.loads(line[line.index("{"):]).get("kind") for line in lines if "{" in line]

    def close(self):
        if self.process.poll() is None:
            self.process.kill()
            self.process.wait()
        os.close(self.master)
        os.close(self.keeper)


def wait_until(condition):
    end = time.monotonic() + PATIENCE_S
    while not condition() and time.monotonic() < end:
        time.sleep(0.05)
    return condition()


def stall(live):
    """More frames than the kernel holds, none of them read; keys meanwhile come one by one."""
    live.read(PATIENCE_S, b"quit")
    resize(live.master, 400, 120)
    for _ in range(30):
        live.type(b"\x0c")
        time.sleep(0.03)


def heard():
    return open(told).read().split() if os.path.exists(told) else []


def on_the_screen():
    live = Live("--from", "U1-6s")
    stall(live)
    ok("a contact that passes while the terminal does not read is heard by its hook", wait_until(lambda: "U1" in heard()))
    live.type(b"n")
    time.sleep(0.3)
    live.type(b"written blind\r")
    ok("a key acts", wait_until(lambda: "note" in live.kinds()), live.kinds())
    painted = live.read(PATIENCE_S, b"written blind") + live.read(0.5)
    # The last frame comes as a whole, from its first line to the message in its last, and it comes once.
    tail = painted[painted.rfind(b"REHEARSAL"):] if b"REHEARSAL" in painted else b""
    ok("and all of the canvas is there when it reads again", b"written blind" in tail and len(painted) < 300000,
       len(painted))
    live.type(b"q")
    time.sleep(0.1)
    live.type(b"q")
    ok("it is left as always", live.ends() is not None and live.process.returncode == 0)
    live.close()
    for name in ("TERM", "INT", "HUP"):
        live = Live("--from", "U1-30m")
        stall(live)
        os.kill(live.process.pid, getattr(signal, "SIG" + name))
        saved = wait_until(lambda: "end" in live.kinds())
        took = live.ends()
        ok(f"{name} ends it in spite of the terminal, the session saved", took is not None and saved
           and live.process.returncode == 0, took)
        ok("the modes are back", live.modes_are_back())
        ok("and so is the shell's screen, for whoever reads again", b"\x1b[?1049l" in live.read(1))
        live.close()


def by_lines():
    live = Live("--from", "U1-20m", "--speed", "120", "--plain")  # U1 in ten seconds, and lines all the time
    live.read(PATIENCE_S, b"next: U1")
    live.type(b"\x13")  # Ctrl-S
    ok("Ctrl-S does not keep a contact from the hook of --plain", wait_until(lambda: "U1" in heard()))
    time.sleep(0.5)
    quiet = live.read(0.5)
    live.type(b"\x11")  # Ctrl-Q
    ok("and the lines wait for Ctrl-Q", b"now: U1" not in quiet and b"now: U1" in live.read(PATIENCE_S, b"now: U1"))
    live.type(b"\x13")
    time.sleep(4)
    os.kill(live.process.pid, signal.SIGTERM)
    took = live.ends()
    ok("TERM ends it behind a Ctrl-S too", took is not None and live.process.returncode == 0 and "end" in live.kinds(), took)
    live.close()


def flood(live, what, until):
    """Types without a pause, and reads what comes, until a condition; the seconds that took, or None."""
    begun = time.monotonic()
    os.set_blocking(live.master, False)
    while not until():
        if time.monotonic() - begun > PATIENCE_S:
            return None
        readable, writable, _ = select.select([live.master], [live.master], [], 0.05)
        try:
            if writable:
                os.write(live.master, what)
            if readable:
                os.read(live.master, 65536)
        except BlockingIOError:
            pass
        except OSError:
            return time.monotonic() - begun if until() else None
    return time.monotonic() - begun


def without_end():
    for name, what in (("keys", b"jk" * 2000), ("digits of a sequence", b"\x1b[" + b"1;" * 2000),
                       ("bytes that are no text", b"\xff\xc3" * 2000), ("a paste", b"\x1b[200~" + b"x\n" * 2000)):
        live = Live("--from", "U1-2s")
        live.read(PATIENCE_S, b"quit")
        ok(f"a contact is heard under {name} without end", flood(live, what, lambda: "U1" in heard()) is not None)
        os.kill(live.process.pid, signal.SIGTERM)
        took = flood(live, what, lambda: live.process.poll() is not None)
        ok("and TERM ends it", took is not None and live.process.returncode == 0, took)
        live.close()


def a_huge_window():
    live = Live("--from", "U1-30m")
    resize(live.master, 3000, 3000)
    painted = live.read(PATIENCE_S, b"quit")
    resize(live.master, 2999, 2999)
    live.read(1.5)
    with open(f"/proc/{live.process.pid}/status") as status:
        most = next(int(line.split()[1]) for line in status if line.startswith("VmHWM"))
    ok("a window of 3000x3000 costs no more than the largest canvas does", b"quit" in painted and most < 40000, most)
    live.close()
    # And from the start.
    live = Live("--from", "U1-30m", size=(3000, 3000))
    live.read(PATIENCE_S, b"quit")
    with open(f"/proc/{live.process.pid}/status") as status:
        most = next(int(line.split()[1]) for line in status if line.startswith("VmHWM"))
    ok("nor does one that was so from the start", most < 40000, most)
    live.close()


def signals_at_the_start():
    """A signal at any time from before the terminal is opened to the first ticks of the loop."""
    wrong = []
    for i in range(60):
        name = ("TERM", "INT", "HUP", "USR1", "ALRM", "PWR")[i % 6]
        live = Live("--from", "U1-30m")
        live.read(i * 0.0015)
        os.kill(live.process.pid, getattr(signal, "SIG" + name))
        end = time.monotonic() + PATIENCE_S
        while live.process.poll() is None and time.monotonic() < end:
            live.read(0.02)
        if not live.modes_are_back():
            wrong.append((name, i))
        live.close()
    ok("a signal while it starts leaves the terminal as it was", not wrong, wrong)


def files_that_may_not_grow():
    live = Live("--from", "U1-30m", limit=8192)
    seen = live.read(PATIENCE_S, b"quit")
    for i in range(100):
        live.type(b"nnote %d, which is some bytes more for the file of the night\r" % i)
        seen += live.read(0.02)
    said = b"NOTHING IS BEING SAVED"
    if said not in seen:
        seen += live.read(PATIENCE_S, said)
    ok("a file size limit is told like a full disk, and ends nothing", live.process.poll() is None and
       os.path.getsize(os.path.join(live.session, "journal.jsonl")) <= 8192 and said in seen)
    live.close()


os.environ["TERM"] = "xterm-256color"
on_the_screen()
by_lines()
without_end()
a_huge_window()
signals_at_the_start()
files_that_may_not_grow()
print(f"1..{numbers}")
