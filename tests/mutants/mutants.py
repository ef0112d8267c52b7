#!/usr/bin/env python3
"""Breaks the sources at random places, one at a time, and asks the tests beside them whether they notice.

usage: mutants.py BUILD COUNT SEED COMPILE LINK [ROOM]...
  BUILD    a folder for a copy of src, include and the tests; nothing outside it is changed
  COMPILE  the compiler with all its flags, in one argument; LINK: the libraries, likewise
  ROOM     only these rooms of src (all)

A break that does not compile without a warning, or that the compiler turns into the same code, is not counted. Noticed is one
with which a unit of the room fails, crashes or does not end. Who survives is printed with file, line and
change; tests/mutants/SURVIVORS.md has the reasons. Exit status 1 where a goal is missed: 95 % in the pure
rooms, 85 % elsewhere.
"""
import os
import random
import re
import resource
import shlex
import shutil
import signal
import subprocess
import sys
import time
from pathlib import Path

PURE = ["base", "sky", "eclipse", "photo", "field", "night"]
ROOMS = PURE + ["store", "devices", "report", "screen", "app"]
GOAL = {True: 95, False: 85}
# Never broken: a wrong process number could end whatever runs on this machine.
UNTOUCHED = re.compile(r"\bkill\b|pid|^\s*#|_Static_assert|^\s*(static |const |extern )*(struct|enum|union) \w+ \{")
SWAPS = {
    "==": ["!="], "!=": ["=="], "<": ["<=", ">"], "<=": ["<", ">"], ">": [">=", "<"], ">=": [">", "<"],
    "&&": ["||"], "||": ["&&"], "+": ["-"], "-": ["+"], "*": ["/"], "/": ["*"], "%": ["*"],
    "+=": ["-="], "-=": ["+="], "*=": ["/="], "++": ["--"], "--": ["++"], "&": ["|"], "|": ["&"],
}
OPERATOR = re.compile(r"(?<= )(==|!=|<=|>=|<|>|&&|\|\||\+=|-=|\*=|\+|-|\*|/|%|&|\|)(?= )|(\+\+|--)")
NUMBER = re.compile(r"(?<![\w.])(\d+\.\d*(?:e[+-]?\d+)?|\d+)(?![\w.])")
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
        found.append((*m.span(), repr(float(value) * 1.1) if re.search(r"[.e]", value) else str(int(value) + 1)))
    for m in CALL.finditer(line):
        if m.group(2) != m.group(3):
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


def limits():
    resource.setrlimit(resource.RLIMIT_AS, (8 << 30, 8 << 30))
    resource.setrlimit(resource.RLIMIT_FSIZE, (256 << 20, 256 << 20))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))


class House:
    """A copy of the tree whose rooms are one shared library, so that a break costs one compilation."""

    def __init__(self, build, compile_words, link_words, rooms):
        self.tree, self.cc, self.libraries = build / "tree", shlex.split(compile_words), shlex.split(link_words)
        shutil.rmtree(self.tree, ignore_errors=True)
        for name in ("src", "include", "tests", "themes"):
            shutil.copytree(name, self.tree / name)
        self.env = dict(os.environ, HOME=str(self.tree / "home"), TERM="xterm-256color", LC_ALL="C.UTF-8")
        (self.tree / "home").mkdir()
        self.library = self.tree / "libmoonstand.so"
        self.objects = {}
        for path in sorted(self.tree.glob("src/*/*.c")):
            if path.name != "main.c" and not self.compile(path, self.object_of(path)):
                sys.exit(f"mutants: {path} does not compile")
        self.link()
        self.tests = {room: self.make_tests(room) for room in rooms}

    def object_of(self, path):
        return self.tree / "objects" / path.parent.name / (path.stem + ".o")

    def compile(self, path, out):
        out.parent.mkdir(parents=True, exist_ok=True)
        command = [*self.cc, "-g0", "-Werror", "-Wno-format-truncation", "-fPIC", "-I.", "-c", "-o", str(out.resolve()), str(path.relative_to(self.tree))]
        return subprocess.run(command, cwd=self.tree, capture_output=True).returncode == 0

    def link(self):
        objects = [str(p.resolve()) for p in sorted(self.tree.glob("objects/*/*.o"))]
        subprocess.run([*self.cc, "-shared", "-o", str(self.library.resolve()), *objects, *self.libraries], check=True,
                       cwd=self.tree)

    def make_tests(self, room):
        """[(seconds, program)] of the room's units, those that pass as the sources are."""
        made = []
        for source in sorted((self.tree / "tests" / room).glob("test_*.c")):
            program = source.with_suffix("").resolve()
            subprocess.run([*self.cc, "-g0", "-w", "-Itests", f'-DTEST_DATA="{self.tree.resolve()}/tests/data"', "-o",
                            str(program), str(source.relative_to(self.tree)), str(self.library.resolve()),
                            f"-Wl,-rpath,{self.tree.resolve()}", *self.libraries, "-lcmocka"],
                           cwd=self.tree, check=True)
            begun = time.monotonic()
            if any(self.run(program, 300) for _ in range(3)):
                made.append((time.monotonic() - begun, program))
            else:
                print(f"  left out, it fails by itself here: tests/{room}/{source.name}", flush=True)
        return sorted(made)

    def run(self, program, seconds):
        """Whether it passes."""
        child = subprocess.Popen([str(program)], cwd=self.tree, env=self.env, stdin=subprocess.DEVNULL,
                                 stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, start_new_session=True,
                                 preexec_fn=limits)
        try:
            return child.wait(timeout=seconds) == 0
        except subprocess.TimeoutExpired:
            return False
        finally:
            try:
                os.killpg(child.pid, signal.SIGKILL)
            except ProcessLookupError:
                pass
            child.wait()

    def is_noticed(self, room, stem):
        """The test of the same name first, then the quick ones."""
        for seconds, program in sorted(self.tests[room], key=lambda t: (t[1].name != f"test_{stem}", t[0])):
            # Twice: a busy machine alone lets some fail now and then.
            if not any(self.run(program, 10 + 5 * seconds) for _ in range(2)):
                return program.name
        return None


def try_break(house, spot):
    """None where it is no break; else what noticed it, or '' for nothing."""
    room, path, _, start, end, new = spot
    whole, out = path.read_text(), house.object_of(path)
    before = out.read_bytes()
    path.write_text(whole[:start] + new + whole[end:])
    try:
        if not house.compile(path, out) or out.read_bytes() == before:
            return None
        house.link()
        return house.is_noticed(room, path.stem) or ""
    finally:
        path.write_text(whole)
        out.write_bytes(before)


def describe(house, spot):
    _, path, number, start, end, new = spot
    text = path.read_text()
    line_start = text.rfind("\n", 0, start) + 1
    line_end = text.find("\n", end)
    line = text[line_start:line_end]
    broken = text[line_start:start] + new + text[end:line_end]
    return path.relative_to(house.tree), number, line.strip(), broken.strip() or "(nothing)"


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
    rooms = sys.argv[6:] or ROOMS
    house, known = House(build, sys.argv[4], sys.argv[5], rooms), reasons()
    spots = candidates(house.tree, rooms)
    random.Random(seed).shuffle(spots)
    tally = {room: [0, 0, 0] for room in rooms}  # noticed, survived, of these with a reason
    begun = time.monotonic()
    for spot in spots:
        if sum(sum(row[:2]) for row in tally.values()) >= count:
            break
        by = try_break(house, spot)
        if by is None:
            continue
        name, number, line, broken = describe(house, spot)
        row = tally[spot[0]]
        row[0 if by else 1] += 1
        reason = None if by else known.get((str(name), line, broken))
        row[2] += reason is not None
        print(f"{'noticed ' if by else 'SURVIVED'} {name}:{number}: {line}  ->  {broken}"
              + (f"  ({by})" if by else f"  ({reason})" if reason else ""), flush=True)
    print(f"\n{len(spots)} places, seed {seed}, {(time.monotonic() - begun) / 60:.0f} minutes")
    print("room        breaks  noticed  survived  with a reason    %")
    missed = False
    for label, names in [*((room, [room]) for room in rooms), ("pure rooms", PURE), ("the others", ROOMS[len(PURE):])]:
        noticed, survived, reasoned = (sum(tally[r][i] for r in names if r in tally) for i in range(3))
        if noticed + survived == 0:
            continue
        share = 100 * noticed / (noticed + survived)
        goal = ""
        if len(names) > 1:
            low = share < GOAL[names is PURE]
            missed |= low
            goal = f"  (goal {GOAL[names is PURE]}: {'MISSED' if low else 'reached'})"
        print(f"{label:<11} {noticed + survived:>6}  {noticed:>7}  {survived:>8}  {reasoned:>13}  {share:>3.0f}{goal}")
    return missed


sys.exit(main())
