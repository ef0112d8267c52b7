#!/usr/bin/python3
"""Breaks the sources at random places, one at a time, and asks the tests beside them whether they notice.

usage: mutants.py BUILD COUNT SEED COMPILE LINK [ROOM]...
  BUILD    a folder for a copy of src, include and the tests; nothing outside it is changed
  COMPILE  the compiler with all its flags, in one argument; LINK: the libraries, likewise
  ROOM     only these rooms of src (all)
With AGAIN=1 in the environment it asks, instead of a sample, for each break that stands in tests/mutants/SURVIVORS.md
and is not "the same".

Not counted is a break that does not compile without a warning, one that the compiler turns into the same code, and one
that is the same program by its construction: what happens when two doubles tie, or fmin's values the other way round.
Nor, in the last column, a survivor whose reason in tests/mutants/SURVIVORS.md begins with "the same".
Noticed is one with which a unit of the room fails, crashes or does not end. Who survives is printed with file, line and
change; SURVIVORS.md has the reasons. Exit status 1 where the last column misses a goal: 95 % in the pure rooms, 85 %
elsewhere.
"""
import fcntl
import os
import queue
import random
import re
import resource
import select
import shlex
import shutil
import signal
import subprocess
import sys
import tempfile
import threading
import time
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

PURE = ["base", "sky", "eclipse", "photo", "field", "eye", "night", "words"]
ROOMS = PURE + ["store", "devices", "report", "screen", "app"]
GOAL = {True: 95, False: 85}
# What the words say is held by the canvases and prints that show them, the finder also by what reads a picture.
ALSO = {"words": ["night", "report", "screen", "store"], "eye": ["app"]}
# Outside the pure rooms a break may also be noticed by the quick scripts that drive that room.
SCRIPTS = {
    "store": ["pipes", "dusk", "look", "first_time"],
    "devices": ["gps", "awake", "look", "outside"],
    "report": ["pipes", "dusk", "look", "first_time", "examples", "memory", "pictures"],
    "screen": ["pipes", "dusk", "plain", "looks", "live"],
    "app": ["pipes", "dusk", "look", "first_time", "examples", "plain", "looks", "live", "manners", "setup", "memory",
            "pictures", "outside", "watch"],
}
# A minute and more for each break, and the other units of their rooms ask the same.
SLOW = ["test_kills"]
# Seconds of units of other rooms that a break is asked of which its own have not noticed.
ELSEWHERE_S = 40
# Units that neither wait nor look at a clock.
STEADY = [*PURE, "report", "screen"]
TRAPS = ["-fsanitize=undefined", "-fsanitize-undefined-trap-on-error"]
# Units that end with memory lost fail, as they do in the sanitized units of `make check`.
LEAKS = "-fsanitize=leak"
# Whoever survives is asked once more by the units beside it, as those of `make check` see reads past an end. Not every
# break at once: the limits of the program's box leave a sanitizer no room. The units take a tenth longer so.
BOUNDS = "-fsanitize=address"
# The library as it notes which of its blocks are passed, reach.c.
REACH = ["-g1", "-O1", "-fsanitize-coverage=trace-pc"]
PLACES = 1 << 23
# How the reason of a survivor begins that no test could notice.
SAME = "the same"
# Never broken: a wrong process number could end whatever runs on this machine.
UNTOUCHED = re.compile(r"\bkill\b|pid|^\s*#|_Static_assert|^\s*(static |const |extern )*(struct|enum|union) \w+ \{")
SWAPS = {
    "==": ["!="], "!=": ["=="], "<": ["<=", ">"], "<=": ["<", ">"], ">": [">=", "<"], ">=": [">", "<"],
    "&&": ["||"], "||": ["&&"], "+": ["-"], "-": ["+"], "*": ["/"], "/": ["*"], "%": ["*"],
    "+=": ["-="], "-=": ["+="], "*=": ["/="], "++": ["--"], "--": ["++"], "&": ["|"], "|": ["&"],
}
OPERATOR = re.compile(r"(?<= )(==|!=|<=|>=|<|>|&&|\|\||\+=|-=|\*=|\+|-|\*|/|%|&|\|)(?= )|(\+\+|--)")
NUMBER = re.compile(r"(?<![\w.])(\d+\.\d*(?:e[+-]?\d+)?|\d+)(?![\w.])")
# What only a tie can tell apart. Two doubles that were computed do not tie, so there the place has its other break; whole
# numbers do, and what is written down as one may be met.
TIES = {("<", "<="), ("<=", "<"), (">", ">="), (">=", ">")}
DOUBLES = re.compile(r":(\d+):\d+: error: invalid operands to binary .*'(?:const )?double'.*'(?:const )?double'")
# Which of its two values comes first is all the same to it; to strcmp where only sameness is asked for.
SYMMETRIC = re.compile(r"(fmin|fmax|hypot|\w+_same(_\w+)?)\(|(strn?cmp|memcmp)\([^()]*\) [!=]= 0")
# The room of an array: one element more is never noticed, for nothing is put there.
ARRAY = re.compile(r"^\s*(?:(?:static|const) )*(?:char|int|double|bool|size_t|\w+_t|unsigned|(?:struct|enum) \w+)\b[^(]*$")
CALL = re.compile(r"\b(\w+)\(([\w.>&*\[\]-]+), ([\w.>&*\[\]-]+)(, [^()]*)?\)")
STATEMENT = re.compile(r"^(\s+)(?!return|break|continue|goto|case|default|else|if|for|while|do\b)"
                       r"((?:\(void\))?[\w>.\[\]*&-]+(?:\(.*\)| [-+*/|&]?= .*|\+\+|--));$")


def mask(text):
    """The same text with comments and strings blanked, so that offsets stay."""
    pattern = re.compile(r'/\*.*?\*/|"(?:\\.|[^"\\])*"|\'(?:\\.|[^\'\\])*\'', re.S)
    return pattern.sub(lambda m: re.sub(r"[^\n]", "\a", m.group()), text)


def breaks_of(line):
    """All (start, end, new text) of one masked line."""
    if UNTOUCHED.search(line):
        return []
    found = []
    for m in OPERATOR.finditer(line):
        found += [(*m.span(), new) for new in SWAPS.get(m.group(), [])]
    for m in NUMBER.finditer(line):
        value = m.group()
        before = line[:m.start()]
        # A failure, or none: callers ask whether it is 0, or below.
        if before.endswith("return -") and value == "1":
            continue
        if before.rfind("[") > before.rfind("]") and ARRAY.match(before) and "=" not in before[before.rfind("["):]:
            continue
        found.append((*m.span(), repr(float(value) * 1.1) if re.search(r"[.e]", value) else str(int(value) + 1)))
    for m in CALL.finditer(line):
        if m.group(2) != m.group(3) and not SYMMETRIC.match(line, m.start()):
            found.append((m.start(2), m.end(3), f"{m.group(3)}, {m.group(2)}"))
    for m in re.finditer(r"(?<![\w])!(?=[\w(])", line):
        found.append((*m.span(), ""))
    for m in re.finditer(r"\b(true|false)\b", line):
        found.append((*m.span(), "false" if m.group() == "true" else "true"))
    m = STATEMENT.match(line)
    if m and "\a" not in m.group(2)[:3]:
        found.append((m.start(2), m.end(2), ""))
    return found


def candidates(tree, rooms):
    found = []
    for room in rooms:
        for path in sorted((tree / "src" / room).glob("*.c")):
            text = path.read_text()
            at = 0
            for number, line in enumerate(mask(text).split("\n"), 1):
                found += [(room, path, number, at + a, at + b, new) for a, b, new in breaks_of(line)]
                at += len(line) + 1
    return found


def limits(data=8 << 30):
    # Not of addresses, for the leak checker takes terabytes of those and uses none.
    resource.setrlimit(resource.RLIMIT_DATA, (data, data))
    # More than the largest file of a test, which is as good as empty.
    resource.setrlimit(resource.RLIMIT_FSIZE, (4 << 30, 4 << 30))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    # A shell that started this in the background has them ignored.
    for word in signal.SIGINT, signal.SIGQUIT:
        signal.signal(word, signal.SIG_DFL)


def no_limits():
    # The sanitizer's map of all memory counts as data.
    limits(resource.RLIM_INFINITY)


class Bench:
    """A folder in which one break at a time is compiled, linked and tried: a library, the program, a home."""

    def __init__(self, house, number):
        self.house, self.folder = house, house.tree / f"bench{number}"
        self.folder.mkdir()
        (self.folder / "tests").symlink_to(house.build.parent / "tests")
        # A short name: what the program shows of its folders is cut where it does not fit.
        self.home = Path(tempfile.mkdtemp(prefix="mm-"))
        self.env = dict(os.environ, HOME=str(self.home), TMPDIR=str(self.home),
                        TERM="xterm-256color", LC_ALL="C.UTF-8", CMOCKA_MESSAGE_OUTPUT="TAP",
                        MOONSTAND_KILLS="20", MOONSTAND_QUICK="1", ASAN_OPTIONS="hard_rss_limit_mb=4096")
        self.link_to_learn()

    def link_to_learn(self):
        """The library that notes what a test passes, in a map beside it."""
        self.map = self.folder / "reached"
        note = self.folder / "reach.o"
        self.house.linked(["-O1", "-fPIC", f'-DREACHED="{self.map}"', "-c", "-o", note,
                           self.house.tree / "tests/mutants/reach.c"])
        self.put_together([*self.house.noting, note], self.house.main)

    def link(self, replaced, broken, *more):
        """The library and the program from the objects as they are, but for one."""
        objects = [broken if path == replaced else path for path in self.house.objects]
        main = self.house.main if replaced != self.house.main else broken
        self.put_together(objects, main, *more)

    def put_together(self, objects, main, *more):
        library = self.folder / "libmoonstand.so"
        self.house.linked(["-shared", "-Wl,-soname,libmoonstand.so", *more, "-o", library, *objects])
        self.house.linked([*more, "-o", self.folder / "moonstand", main, library, f"-Wl,-rpath,{self.folder}"])

    def run(self, test, seconds, limit=limits):
        """The first word of failure, '' where it passes."""
        command = ["sh", test, self.folder]
        if test.suffix != ".sh":
            # Beside the library, also for a test that starts itself in an empty environment.
            command = [self.folder / f"{test.parent.name}-{test.name}"]
            if not command[0].exists():
                os.link(test, command[0])
        child = subprocess.Popen(command, cwd=self.house.tree, env=self.env, stdin=subprocess.DEVNULL,
                                 stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, start_new_session=True,
                                 preexec_fn=limit)
        end, said = time.monotonic() + seconds, b""
        try:
            while True:
                ready, _, _ = select.select([child.stdout], [], [], max(0.0, end - time.monotonic()))
                if not ready:
                    return "does not end"
                got = os.read(child.stdout.fileno(), 65536)
                said += got
                failure = re.search(rb"^not ok .*\n(?<!# SKIP\n)", said, re.M)
                if failure:
                    return re.sub(r"\W+", " ", failure.group().decode("utf-8", "replace")).strip()
                if not got:
                    # A grandchild may hold the pipe no longer, and the test be still at work.
                    status = child.wait(timeout=max(0.1, end - time.monotonic()))
                    return f"ends with {status}" if status else ""
        except subprocess.TimeoutExpired:
            return "does not end"
        finally:
            self.sweep(child)

    def sweep(self, child):
        """Ends what a test has left: its group, its terminals, its receivers."""
        for word, patience in (signal.SIGTERM, 5), (signal.SIGKILL, 5):
            if child.poll() is not None and word == signal.SIGTERM:
                continue
            try:
                os.killpg(child.pid, word)
                child.wait(timeout=patience)
            except (ProcessLookupError, subprocess.TimeoutExpired):
                pass
        child.stdout.close()
        # All that has this home in its environment: also what has left the group, as gpsd does.
        for environment in Path("/proc").glob("[0-9]*/environ"):
            try:
                if str(self.home).encode() in environment.read_bytes():
                    os.kill(int(environment.parent.name), signal.SIGKILL)
            except OSError:
                pass
        shutil.rmtree(self.home, ignore_errors=True)
        self.home.mkdir(exist_ok=True)

    def forget(self):
        with self.map.open("wb") as file:
            file.truncate(PLACES)

    def reached(self):
        """Offsets of the blocks that have been passed since."""
        return {m.start() for m in re.finditer(b"\1", self.map.read_bytes())}

    def noticed_by(self, spot, relink):
        """What fails. A test that waits, which a busy machine lets fail now and then, or one that does not
        end must fail twice in the same way, and pass between with the sources as they are."""
        def order(timed):
            seconds, test = timed
            return seconds > 10, test.name != f"test_{spot[1].stem}", seconds
        for seconds, test in [*sorted(self.house.tests_of(spot), key=order), *self.house.others_of(spot)]:
            limit = 10 + 4 * seconds
            failure = self.run(test, limit)
            steady = is_steady(test) and failure != "does not end"
            if failure and (steady or self.fails_alone(test, failure, limit, relink)):
                return f"{test.name}: {failure}"
        return None

    def fails_alone(self, test, failure, limit, relink):
        """Whether only the broken sources let it fail: what did not end has three times as long, and may fail by then."""
        slow = failure == "does not end"
        self.link(None, None)
        passes = not self.run(test, limit)
        relink()
        again = passes and self.run(test, 3 * limit if slow else limit)
        return bool(again) if slow else again == failure

    def caught_by(self, spot, source, out, before):
        """What fails of the units beside it where the broken file looks at the bounds of all that it reads and
        writes. A unit that does not pass in this way with the sources as they are is left out."""
        if not self.house.compile(source, out, spot[1].parent, *TRAPS, BOUNDS):
            return None
        for seconds, test in sorted(self.house.tests_of(spot)):
            if test.suffix == ".sh":
                continue
            seconds, unit = 20 + 10 * seconds, self.house.bounded(test, self)
            self.link(before, out, BOUNDS)
            failure = self.run(unit, seconds, no_limits)
            if failure and failure != "does not end":
                self.link(None, None, BOUNDS)
                if not self.run(unit, seconds, no_limits):
                    return f"{test.name}, sanitized: {failure}"
        return None

    def try_break(self, spot):
        """None where it is no break; else what noticed it, or '' for nothing."""
        _, path, _, start, end, new = spot
        whole, out, before = path.read_text(), self.folder / "broken.o", self.house.object_of(path)
        source = self.folder / path.name
        source.write_text(whole[:start] + new + whole[end:])
        try:
            if not self.house.compile(source, out, path.parent) or out.read_bytes() == before.read_bytes():
                return None
            if (whole[start:end], new) in TIES and self.house.is_tie(whole, spot, source):
                return None
            # What has no meaning in C ends at once, as it does in the units that `make check` runs.
            if not self.house.compile(source, out, path.parent, *TRAPS):
                return None
            self.link(before, out)
            return (self.noticed_by(spot, lambda: self.link(before, out))
                    or self.caught_by(spot, source, out, before) or "")
        finally:
            source.unlink()


class House:
    """A copy of the tree whose rooms are one shared library, so that a break costs one compilation and a link."""

    def __init__(self, build, compile_words, link_words, rooms, benches):
        self.build, self.tree = build.resolve(), build.resolve() / "tree"
        self.cc, self.libraries, self.making = shlex.split(compile_words), shlex.split(link_words), threading.Lock()
        shutil.rmtree(self.tree, ignore_errors=True)
        for name in ("src", "include", "tests", "themes"):
            shutil.copytree(name, self.tree / name)
        for name in Path(".").glob("*"):
            if name.is_file():
                shutil.copy(name, self.tree)
        sources = sorted(self.tree.glob("src/*/*.c"))
        with ThreadPoolExecutor(benches) as pool:
            made = pool.map(lambda path: self.compile(path, self.object_of(path), path.parent), sources)
            for path, good in zip(sources, made):
                if not good:
                    sys.exit(f"mutants: {path} does not compile")
            self.noting = [self.tree / "noting" / path.relative_to(self.tree).with_suffix(".o") for path in sources
                           if path.name != "main.c"]
            list(pool.map(self.compile_to_learn, self.noting))
            self.main = self.object_of(self.tree / "src/app/main.c")
            self.objects = [self.object_of(path) for path in sources if path.name != "main.c"]
            self.benches = queue.Queue()
            for number in range(benches):
                self.benches.put(Bench(self, number))
            units = [path for room in rooms for beside in [room, *ALSO.get(room, [])]
                     for path in (self.tree / "tests" / beside).glob("test_*.c") if path.stem not in SLOW]
            scripts = [self.tree / "tests/night" / f"{name}.sh" for room in rooms for name in SCRIPTS.get(room, [])]
            tests = sorted({*units, *scripts})
            learned = dict(zip(tests, pool.map(self.learn, tests)))
        self.blocks = self.blocks_of_lines(self.build / "tree/bench0/libmoonstand.so")
        self.passed = {program_of(test): passed for test, (_, passed) in learned.items()}
        self.units = [(learned[t][0], program_of(t)) for t in tests if t.suffix == ".c" and learned[t][0] is not None]
        self.tests = {room: [(learned[t][0], program_of(t)) for t in tests
                             if learned[t][0] is not None and is_beside(t, room)] for room in rooms}
        for bench in list(self.benches.queue):
            bench.link(None, None)

    def compile_to_learn(self, out):
        out.parent.mkdir(parents=True, exist_ok=True)
        source = self.tree / out.relative_to(self.tree / "noting").with_suffix(".c")
        self.linked(["-g0", "-w", "-fPIC", *REACH, f"-I{self.tree}/include", "-iquote", source.parent, "-c", "-o", out,
                     source])

    def blocks_of_lines(self, library):
        """(file, line) -> the blocks that it may belong to: one begins before each call of the note, and the
        address behind that call is its name. Where a line is at a block's edge it is of both."""
        listing = subprocess.run(["objdump", "-d", "-l", "--no-show-raw-insn", "-j", ".text", library], check=True,
                                 capture_output=True, text=True).stdout
        blocks, line, called, block, open_lines = {}, None, False, 0, set()
        for text in listing.split("\n"):
            at = re.match(r" +([0-9a-f]+):\t", text)
            if at:
                if called:
                    block, called = int(at.group(1), 16), False
                    for known in open_lines:
                        blocks.setdefault(known, set()).add(block)
                    open_lines = set()
                if line:
                    open_lines.add(line)
                    blocks.setdefault(line, set()).add(block)
                called = "__sanitizer_cov_trace_pc" in text
            elif m := re.match(r"(/\S+):(\d+)", text):
                line = m.group(1), int(m.group(2))
            elif text.endswith(">:"):
                line, block, open_lines = None, 0, set()
        return blocks

    def tests_of(self, spot):
        """All beside it that pass its line; all, where that has no code of its own."""
        blocks = self.blocks.get((str(spot[1]), spot[2]))
        return [(seconds, test) for seconds, test in self.tests[spot[0]]
                if not blocks or self.passed[test] is None or blocks & self.passed[test]]

    def others_of(self, spot):
        """Units of other rooms that pass its line as well, as `make check` runs them too: the quickest first, as many
        as fit into ELSEWHERE_S."""
        blocks = self.blocks.get((str(spot[1]), spot[2]), set())
        beside = {test for _, test in self.tests[spot[0]]}
        chosen, left = [], ELSEWHERE_S
        for seconds, test in sorted(self.units):
            if test not in beside and seconds <= left and blocks & (self.passed[test] or set()):
                chosen.append((seconds, test))
                left -= seconds
        return chosen

    def object_of(self, path):
        return self.tree / "objects" / path.parent.name / (path.stem + ".o")

    def compile(self, path, out, room, *more):
        """Both as it is and broken under the same name, so that the same code is the same bytes."""
        out.parent.mkdir(parents=True, exist_ok=True)
        return self.compiler(path, room, "-Werror", "-c", "-o", out, *more).returncode == 0

    def compiler(self, path, room, *words):
        command = [*self.cc, "-g0", "-Wno-format-truncation", "-fPIC", f"-I{self.tree}/include", "-iquote", room,
                   *words, path.name]
        environment = dict(os.environ, LC_ALL="C", **({} if path.parent == room else {"CCACHE_DISABLE": "1"}))
        return subprocess.run(command, cwd=path.parent, env=environment, capture_output=True, preexec_fn=limits)

    def is_tie(self, whole, spot, source):
        """Whether a comparison is one of two doubles. The compiler knows: what binds as `<` does and does not take
        doubles is an error in its place. An int is none to it; so a whole number may be met."""
        _, path, number, start, end, _ = spot
        broken = source.read_text()
        source.write_text(whole[:start] + "^" + whole[end:])
        said = self.compiler(source, path.parent, "-fsyntax-only").stderr.decode("utf-8", "replace")
        source.write_text(broken)
        return str(number) in DOUBLES.findall(said)

    def linked(self, words):
        subprocess.run([*self.cc, *words, *self.libraries], check=True, cwd=self.tree, preexec_fn=limits)

    def learn(self, test):
        """Seconds that it takes as the sources are, and the blocks that it passes. No seconds where it does not
        pass then. A unit is made first."""
        bench = self.benches.get()
        program = test
        try:
            for attempt in range(3):
                if test.suffix == ".c":
                    program = test.with_suffix("")
                    self.unit(test, bench, [LEAKS] if attempt == 0 else [], program)
                bench.forget()
                begun = time.monotonic()
                failure = bench.run(program, 300)
                if not failure:
                    return time.monotonic() - begun, bench.reached() or None
            print(f"  left out, it fails by itself here: {test.relative_to(self.tree)}: {failure}", flush=True)
            return None, None
        finally:
            self.benches.put(bench)

    def bounded(self, test, bench):
        """That unit as `make check` has it sanitized."""
        program = test.with_suffix(".bounds")
        with self.making:
            if not program.exists():
                self.unit(test.with_suffix(".c"), bench, [BOUNDS], program)
        return program

    def unit(self, test, bench, more, program):
        # No limits of time: a library that takes notes is slow.
        self.linked(["-g0", "-w", "-O1", "-Itests", "-DTIMED=0", f'-DTEST_DATA="{self.tree}/tests/data"', *more,
                     "-o", program, test, bench.folder / "libmoonstand.so", "-Wl,-rpath,$ORIGIN", "-lcmocka"])
        # The bench may have run it as it was made before.
        (bench.folder / f"{program.parent.name}-{program.name}").unlink(missing_ok=True)

    def try_break(self, spot, known_by):
        if known_by:
            return known_by
        bench = self.benches.get()
        try:
            by = bench.try_break(spot)
            if by:
                with self.noticed.open("a") as file:
                    file.write(f"{describe(self, spot)!r}\t{by}\n")
            return by
        finally:
            self.benches.put(bench)


def is_steady(test):
    return test.suffix != ".sh" and test.parent.name in STEADY and test.name != "test_term"


def program_of(test):
    return test.with_suffix("") if test.suffix == ".c" else test


def is_beside(test, room):
    if test.suffix == ".sh":
        return test.stem in SCRIPTS.get(room, [])
    return test.parent.name in [room, *ALSO.get(room, [])]


def describe(house, spot):
    _, path, number, start, end, new = spot
    text = path.read_text()
    line_start = text.rfind("\n", 0, start) + 1
    line_end = text.find("\n", end)
    line = text[line_start:line_end]
    broken = text[line_start:start] + new + text[end:line_end]
    return path.relative_to(house.tree), number, line.strip(), broken.strip() or "(nothing)"


def key_of(house, spot):
    """What a break is called in SURVIVORS.md, where lines have no numbers, for those move."""
    name, _, line, broken = describe(house, spot)
    return str(name), line, broken


def reasons():
    """Break -> reason, from the table of SURVIVORS.md: | `file` | `line` | `broken` | reason |"""
    known = {}
    for row in Path("tests/mutants/SURVIVORS.md").read_text().split("\n"):
        m = re.match(r"\| `(.+?)` \| `(.+)` \| `(.+)` \| (.+) \|$", row)
        if m:
            known[m.group(1), m.group(2).replace("\\|", "|"), m.group(3).replace("\\|", "|")] = m.group(4)
    return known


def main():
    build, count, seed = Path(sys.argv[1]), int(sys.argv[2]), int(sys.argv[3])
    build.mkdir(parents=True, exist_ok=True)
    alone = (build / "lock").open("w")
    try:
        fcntl.flock(alone, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        sys.exit(f"mutants: another run works in {build}")
    rooms = sys.argv[6:] or ROOMS
    signal.signal(signal.SIGTERM, signal.default_int_handler)
    benches = int(os.environ.get("JOBS", 2 * (os.cpu_count() or 1)))
    begun = time.monotonic()
    house, known = House(build, sys.argv[4], sys.argv[5], rooms, benches), reasons()
    spots = candidates(house.tree, rooms)
    random.Random(seed).shuffle(spots)
    if os.environ.get("AGAIN"):
        spots = [spot for spot in spots if not known.get(key_of(house, spot), SAME).startswith(SAME)]
        count = len(spots)
    tally = {room: [0, 0, 0] for room in rooms}  # noticed, survived, of these the same program
    print(f"ready after {(time.monotonic() - begun) / 60:.0f} minutes; seconds of all that is asked: "
          + ", ".join(f"{room} {sum(t[0] for t in house.tests[room]):.0f}" for room in rooms), flush=True)
    # What was noticed once is noticed for good, for tests are only added: a second run asks for the rest alone.
    house.noticed = build / f"noticed-{seed}"
    noticed = dict(line.split("\t") for line in house.noticed.read_text().splitlines()) if house.noticed.exists() else {}
    pool, waiting, rest = ThreadPoolExecutor(benches), [], iter(spots)
    try:
        while sum(sum(row[:2]) for row in tally.values()) < count:
            # Far ahead, for some take minutes, and they are counted in their order.
            for _, spot in zip(range(16 * benches - len(waiting)), rest):
                waiting.append((spot, pool.submit(house.try_break, spot, noticed.get(repr(describe(house, spot))))))
            if not waiting:
                break
            spot, future = waiting.pop(0)
            by = future.result()
            if by is None:
                continue
            name, number, line, broken = describe(house, spot)
            row = tally[spot[0]]
            row[0 if by else 1] += 1
            reason = None if by else known.get(key_of(house, spot))
            row[2] += (reason or "").startswith(SAME)
            why = by or reason or f"passed by {len(house.tests_of(spot))} tests of {len(house.tests[spot[0]])}"
            print(f"{'noticed ' if by else 'SURVIVED'} {name}:{number}: {line}  ->  {broken}  ({why})", flush=True)
    except KeyboardInterrupt:
        print("stopped")
    pool.shutdown(cancel_futures=True)
    while not house.benches.empty():
        shutil.rmtree(house.benches.get().home, ignore_errors=True)
    print(f"\n{len(spots)} places, seed {seed}, {(time.monotonic() - begun) / 60:.0f} minutes")
    print("room        breaks  noticed  survived    %  of these the same  % without")
    missed = False
    for label, names in [*((room, [room]) for room in rooms), ("pure rooms", PURE), ("the others", ROOMS[len(PURE):])]:
        noticed, survived, same = (sum(tally[r][i] for r in names if r in tally) for i in range(3))
        if noticed + survived == 0:
            continue
        share, without = (100 * noticed / max(1, noticed + survived - n) for n in (0, same))
        goal = ""
        if len(names) > 1:
            low = without < GOAL[names is PURE]
            missed |= low
            goal = f"  (goal {GOAL[names is PURE]}: {'MISSED' if low else 'reached'})"
        print(f"{label:<11} {noticed + survived:>6}  {noticed:>7}  {survived:>8}  {share:>3.0f}  {same:>17}  {without:>9.0f}{goal}")
    return missed


sys.exit(main())
