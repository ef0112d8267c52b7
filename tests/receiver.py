#!/usr/bin/python3
"""A gpsd with a receiver: the sentences of a file, over and over, by UDP.

usage: receiver.py PORT [SECONDS [FILE]]
gpsd listens on PORT of this machine until this program ends. A sentence comes every SECONDS (0.05); FILE is
tests/data/receiver_62n_60e.nmea.
"""
import ctypes
import os
import shutil
import signal
import socket
import subprocess
import sys
import time

HERE = os.path.dirname(os.path.abspath(__file__))
PR_SET_PDEATHSIG = 1


def main():
    gpsd = shutil.which("gpsd", path=os.environ.get("PATH", "") + ":/usr/sbin:/sbin")
    pause = float(sys.argv[2]) if len(sys.argv) > 2 else 0.05
    with open(sys.argv[3] if len(sys.argv) > 3 else os.path.join(HERE, "data", "receiver_62n_60e.nmea")) as file:
        sentences = [line.strip().encode() + b"\r\n" for line in file if line.startswith("$")]
    feed = socket.socket(socket.AF_INET, socket.SOCK_DGRAM)
    # A port that is free now: gpsd opens it next.
    feed.bind(("127.0.0.1", 0))
    source = feed.getsockname()
    feed.close()
    libc = ctypes.CDLL(None)
    server = subprocess.Popen([gpsd, "-b", "-N", "-n", "-S", sys.argv[1], "udp://%s:%d" % source],
                              preexec_fn=lambda: libc.prctl(PR_SET_PDEATHSIG, signal.SIGKILL))
    for number in (signal.SIGTERM, signal.SIGINT, signal.SIGHUP):
        signal.signal(number, lambda *_: sys.exit())
    feed = socket.socket(socket.AF_INET, socket.SOCK_DGRAM)
    try:
        while server.poll() is None:
            for sentence in sentences:
                feed.sendto(sentence, source)
                time.sleep(pause)
    finally:
        server.kill()
        server.wait()


main()
