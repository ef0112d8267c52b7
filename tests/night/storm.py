"""The live program in a terminal whose size changes without a pause.

usage: storm.py PROGRAM SIZES
Prints how its memory grew between two tenths of the storm (kB) and its exit status.
"""
import fcntl
import os
import pty
import random
import select
import struct
import sys
import termios
import time


def resident_kb(pid):
    with open(f"/proc/{pid}/status") as status:
        return next(int(line.split()[1]) for line in status if line.startswith("VmRSS"))


def read_what_comes(terminal, seconds):
    got = 0
    while select.select([terminal], [], [], seconds)[0]:
        try:
            got += len(os.read(terminal, 65536))
        except OSError:  # the program has ended
            return got
    return got


def resize(terminal, width, height):
    fcntl.ioctl(terminal, termios.TIOCSWINSZ, struct.pack("HHHH", height, width, 0, 0))


def main():
    program, sizes = sys.argv[1], int(sys.argv[2])
    random.seed(20281231)
    pid, terminal = pty.fork()
    if pid == 0:
        os.execv(program, [program, "rehearse", "--demo", "--from", "U1+20m"])
    resize(terminal, 300, 100)
    read_what_comes(terminal, 0.4)  # it rests for nearly a second between two ticks
    begun = 0
    for i in range(sizes):
        # Every kind of page, and a question that is open.
        if i % 50 == 0:
            os.write(terminal, random.choice([b"\t", b"v", b"o", b"i", b"y", b"E", b"?", b"n", b"\x1b\x1b"]))
        if i == sizes // 10:
            begun = resident_kb(pid)
        resize(terminal, random.randint(1, 300), random.randint(1, 100))
        read_what_comes(terminal, 0.001)
    grown = resident_kb(pid) - begun
    resize(terminal, 80, 24)
    os.write(terminal, b"\x1b")
    time.sleep(0.5)
    os.write(terminal, b"\x1b")
    time.sleep(0.5)
    painted = read_what_comes(terminal, 0.5)
    os.write(terminal, b"qq")
    read_what_comes(terminal, 3)
    print(f"grown {grown} painted {painted} status {os.waitstatus_to_exitcode(os.waitpid(pid, 0)[1])}")


main()
