#!/usr/bin/python3
"""A frame of the terminal as pixels: runs a program in a terminal of its own, reads every byte that it
writes, and measures the colours that xterm would show.

usage: pixels.py COLUMNS ROWS TERM KEYS PNG PROGRAM ARGS...
KEYS are pressed one after the other once the first frame stands; PNG may be empty. Prints how many
pixels are lit and the most red, green and blue that any has; the exit status is 1 where one has green
or blue, or where a sequence is not understood. Cells are drawn as blocks: what is measured is colour,
and where it stands. Palette: xterm's 256colres.h; of its first sixteen entries, which are the user's,
only black and red are called so.
"""
import fcntl
import os
import pty
import re
import select
import signal
import struct
import sys
import termios
import time
import zlib
from collections import Counter
from functools import lru_cache

WIDE, HIGH = 8, 16
BASIC = [(0, 0, 0), (205, 0, 0), (0, 205, 0), (205, 205, 0), (0, 0, 238), (205, 0, 205),
         (0, 205, 205), (229, 229, 229)]
LEVELS = (0, 95, 135, 175, 215, 255)


def palette(entry):
    if entry < 8:
        return BASIC[entry]
    if entry < 16:
        return BASIC[entry - 8]
    if entry < 232:
        entry -= 16
        return LEVELS[entry // 36], LEVELS[entry // 6 % 6], LEVELS[entry % 6]
    return (8 + 10 * (entry - 232),) * 3


class Screen:
    """As much of a terminal as the program uses. The defaults are bright green on bright blue: what
    leaves a colour to the terminal is seen to be wrong."""

    def __init__(self, columns, rows):
        self.columns, self.rows = columns, rows
        self.x = self.y = 0
        self.top, self.bottom = 0, rows - 1
        self.reset()
        self.cells = [[(' ', self.ink())] * columns for _ in range(rows)]
        self.unknown = set()

    def reset(self):
        self.fore, self.back = (0, 255, 0), (0, 0, 255)
        self.bold = self.reverse = self.underline = self.dim = False

    def ink(self):
        fore, back = (self.back, self.fore) if self.reverse else (self.fore, self.back)
        return fore, back, self.underline

    def blank(self, x, y):
        if 0 <= x < self.columns and 0 <= y < self.rows:
            self.cells[y][x] = (' ', self.ink())

    def scroll(self, lines):
        """The region's lines up, or down where negative."""
        region = self.cells[self.top:self.bottom + 1]
        fresh = [[(' ', self.ink())] * self.columns for _ in range(min(abs(lines), len(region)))]
        region = region[lines:] + fresh if lines > 0 else fresh + region[:lines]
        self.cells[self.top:self.bottom + 1] = region

    def put(self, character):
        if self.x < self.columns and self.y < self.rows:
            self.cells[self.y][self.x] = (character, self.ink())
        self.last = character
        self.x += 1

    def colours(self, numbers):
        while numbers:
            number = numbers.pop(0)
            if number == 0:
                self.reset()
            elif number == 1:
                self.bold = True
            elif number == 2:
                self.dim = True
            elif number == 4:
                self.underline = True
            elif number == 7:
                self.reverse = True
            elif number == 22:
                self.bold = self.dim = False
            elif number in (24, 27):
                self.underline, self.reverse = (self.underline and number != 24,
                                                self.reverse and number != 27)
            elif 30 <= number <= 37:
                self.fore = palette(number - 30)
            elif 40 <= number <= 47:
                self.back = palette(number - 40)
            elif 90 <= number <= 97:
                self.fore = palette(number - 82)
            elif 100 <= number <= 107:
                self.back = palette(number - 92)
            elif number == 39:
                self.fore = (0, 255, 0)
            elif number == 49:
                self.back = (0, 0, 255)
            elif number in (38, 48):
                kind = numbers.pop(0)
                colour = (palette(numbers.pop(0)) if kind == 5 else
                          tuple(numbers.pop(0) for _ in range(3)))
                if number == 38:
                    self.fore = colour
                else:
                    self.back = colour
            elif number not in (10, 11, 12):  # of these the Linux console takes its fonts
                self.unknown.add('SGR %d' % number)

    def control(self, private, parameters, final):
        # xterm-direct writes 38:2::R:G:B; the empty word is a colour space.
        parameters = re.sub(r'([34]8):2::', r'\1;2;', parameters).replace(':', ';')
        numbers = [int(word or 0) for word in parameters.split(';')] if parameters else []
        first = numbers[0] if numbers else 0
        if private:
            return
        if final == 'm':
            self.colours(numbers or [0])
        elif final in 'Hf':
            self.y = (first or 1) - 1
            self.x = (numbers[1] if len(numbers) > 1 else 1) - 1
        elif final == 'd':
            self.y = (first or 1) - 1
        elif final == 'G':
            self.x = (first or 1) - 1
        elif final == 'A':
            self.y -= first or 1
        elif final == 'B':
            self.y += first or 1
        elif final == 'C':
            self.x += first or 1
        elif final == 'D':
            self.x -= first or 1
        elif final == 'J':
            for y in range(self.rows):
                for x in range(self.columns):
                    if first == 2 or (first == 0) == ((y, x) >= (self.y, self.x)):
                        self.blank(x, y)
        elif final == 'K':
            for x in range(self.columns):
                if first == 2 or (first == 0) == (x >= self.x):
                    self.blank(x, self.y)
        elif final == 'X':
            for x in range(self.x, self.x + (first or 1)):
                self.blank(x, self.y)
        elif final == 'r':
            self.top = (first or 1) - 1
            self.bottom = (numbers[1] if len(numbers) > 1 else self.rows) - 1
            self.x = self.y = 0
        elif final in 'ST':
            self.scroll((first or 1) if final == 'S' else -(first or 1))
        elif final == '@':
            line = self.cells[self.y]
            line[self.x:] = ([(' ', self.ink())] * (first or 1) + line[self.x:])[:self.columns - self.x]
        elif final == 'P':
            line = self.cells[self.y]
            line[self.x:] = (line[self.x + (first or 1):] +
                             [(' ', self.ink())] * (first or 1))[:self.columns - self.x]
        elif final == 'b':
            for _ in range(first or 1):
                self.put(self.last)
        elif final not in 'hlt':
            self.unknown.add('CSI ' + final)

    def feed(self, text):
        pattern = re.compile(r'\x1b\[([?>=!]?)([0-9;:]*)[ -/]*([@-~])|\x1b[()*+].|\x1b[^\[]|(.)', re.S)
        for match in pattern.finditer(text):
            private, parameters, final, character = match.groups()
            if final:
                self.control(private, parameters, final)
            elif character == '\r':
                self.x = 0
            elif character == '\n' and self.y == self.bottom:
                self.scroll(1)
            elif character == '\n':
                self.y += 1
            elif character == '\b':
                self.x -= 1
            elif character and character >= ' ':
                self.put(character)


@lru_cache(maxsize=None)
def shape(character, underline):
    """Which pixels of a cell are ink: braille dots where they are, other characters as a block of
    their usual weight."""
    rows = [[False] * WIDE for _ in range(HIGH)]
    if underline:
        rows[HIGH - 1] = [True] * WIDE
    code = ord(character)
    if 0x2800 < code < 0x2900:
        dots = ((0, 0, 1), (0, 1, 2), (0, 2, 4), (1, 0, 8), (1, 1, 16), (1, 2, 32), (0, 3, 64),
                (1, 3, 128))
        for x, y, bit in dots:
            if code & bit:
                for down in range(3):
                    for across in range(3):
                        rows[4 * y + down][4 * x + across] = True
    elif character != ' ':
        for y in range(4, 13):
            for x in range(1, 7):
                rows[y][x] = (x + y) % 2 == 0
    return rows


def pixels(screen):
    for line in screen.cells:
        drawn = [(shape(character, underline), fore, back)
                 for character, (fore, back, underline) in line]
        for y in range(HIGH):
            yield [fore if rows[y][x] else back for rows, fore, back in drawn for x in range(WIDE)]


def colours_of(screen):
    """How many pixels have which colour."""
    colours = Counter()
    for (character, (fore, back, underline)), cells in Counter(
            cell for line in screen.cells for cell in line).items():
        ink = sum(map(sum, shape(character, underline)))
        colours[fore] += cells * ink
        colours[back] += cells * (WIDE * HIGH - ink)
    return +colours


def write_png(path, rows):
    def chunk(kind, data):
        return struct.pack('>I', len(data)) + kind + data + struct.pack(
            '>I', zlib.crc32(kind + data))

    raw = b''.join(b'\0' + bytes(value for pixel in row for value in pixel) for row in rows)
    header = struct.pack('>IIBBBBB', len(rows[0]), len(rows), 8, 2, 0, 0, 0)
    with open(path, 'wb') as out:
        out.write(b'\x89PNG\r\n\x1a\n' + chunk(b'IHDR', header) + chunk(b'IDAT', zlib.compress(raw)) +
                  chunk(b'IEND', b''))


def read_for(terminal, seconds):
    """What comes until then."""
    data, until = b'', time.monotonic() + seconds
    while (left := until - time.monotonic()) > 0:
        if select.select([terminal], [], [], left)[0]:
            data += os.read(terminal, 65536)
    return data


def record(columns, rows, term, keys, command):
    """Every byte of a first frame and of what each key made of it."""
    child, terminal = pty.fork()
    if child == 0:
        os.environ['TERM'] = term
        fcntl.ioctl(0, termios.TIOCSWINSZ, struct.pack('HHHH', rows, columns, 0, 0))
        os.execv(command[0], command)
    data, until = b'', time.monotonic() + 10
    while b'REHEARSAL' not in data and time.monotonic() < until:
        data += read_for(terminal, 0.1)
    data += read_for(terminal, 0.5)
    for key in keys:
        os.write(terminal, key.encode())
        data += read_for(terminal, 0.5)
    os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)
    return data.decode('utf-8', 'replace')


def main():
    columns, rows = int(sys.argv[1]), int(sys.argv[2])
    term, keys, png = sys.argv[3:6]
    screen = Screen(columns, rows)
    screen.feed(record(columns, rows, term, keys, sys.argv[6:]))
    colours = colours_of(screen)
    most = [max(colour[i] for colour in colours) for i in range(3)]
    lit = sum(count for colour, count in colours.items() if any(colour))
    print('lit %d red %d green %d blue %d' % (lit, *most), *sorted(screen.unknown))
    if png:
        write_png(png, list(pixels(screen)))
    sys.exit(bool(most[1] or most[2] or screen.unknown or lit == 0))


main()
