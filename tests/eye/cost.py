#!/usr/bin/python3
"""make eye-cost: what watching costs while three rigs each deliver a picture of 24 MP every ten seconds.

usage: cost.py PROGRAM SHOOT HOME SECONDS

The dashboard runs in a terminal of 120x40 at the pace of life. The helper's cost is its own with that of the
processes that look into pictures; memory is the most that one of them had, with the helper's.
"""
import datetime, fcntl, json, os, pty, select, struct, subprocess, sys, termios, time

PROGRAM, SHOOT, HOME, SECONDS = sys.argv[1], sys.argv[2], sys.argv[3], float(sys.argv[4])
RIGS = [("wide", 24, 36.0), ("long", 400, 23.5), ("scope", 800, 23.5)]
EVERY_S, WARM_S = 10.0, 20.0
TICK = os.sysconf("SC_CLK_TCK")


def draw():
    lines = []
    for name, focal, sensor in RIGS:
        lines.append("%s/%s 6000 4000 0.1 0.1 %.2f 3.4 0.9 0 0.005 100 8 %s" %
                     (HOME, name, focal * 0.00463 / sensor * 6000, name))
        os.mkdir("%s/in-%s" % (HOME, name))
    subprocess.run([SHOOT], input="\n".join(lines) + "\n", text=True, check=True)


def write_setup():
    rigs = [{"name": name, "camera": name, "focal_mm": focal, "f_number": 8, "sensor_width_mm": sensor,
             "sensor_height_mm": sensor / 1.5, "interval_s": EVERY_S, "pictures": "%s/in-%s" % (HOME, name)}
            for name, focal, sensor in RIGS]
    with open(HOME + "/setup.json", "w") as file:
        json.dump({"site": {"latitude_deg": 62, "longitude_deg": 60, "height_m": 100}, "rigs": rigs}, file)


def open_dashboard():
    end, other = pty.openpty()
    fcntl.ioctl(other, termios.TIOCSWINSZ, struct.pack("HHHH", 40, 120, 0, 0))
    environment = {"PATH": os.environ["PATH"], "HOME": HOME, "XDG_STATE_HOME": HOME + "/state", "TERM": "xterm-256color",
                   "XDG_CONFIG_HOME": HOME + "/config", "LC_ALL": "C.UTF-8", "TZ": "UTC"}
    process = subprocess.Popen([PROGRAM, "rehearse", "--eclipse", "2028-12-31", "--from", "U1-5m", "--setup",
                                HOME + "/setup.json"], stdin=other, stdout=other, stderr=other, env=environment,
                               start_new_session=True)
    os.close(other)
    return process, end


def read(path):
    try:
        with open(path) as file:
            return file.read()
    except OSError:
        return ""


def cpu_s(pid):
    """Of a process and of those that it has waited for."""
    fields = read("/proc/%d/stat" % pid).rsplit(")", 1)[1].split()
    return sum(int(field) for field in fields[11:15]) / TICK


def status(pid, key):
    for line in read("/proc/%d/status" % pid).splitlines():
        if line.startswith(key + ":"):
            return int(line.split()[1])
    return 0


def wakeups(pid):
    total = 0
    for task in os.listdir("/proc/%d/task" % pid):
        for line in read("/proc/%d/task/%s/status" % (pid, task)).splitlines():
            if line.startswith("voluntary"):
                total += int(line.split()[1])
    return total


def bytes_read(pid):
    for line in read("/proc/%d/io" % pid).splitlines():
        if line.startswith("rchar"):
            return int(line.split()[1])
    return 0


def children(pid):
    tasks = os.listdir("/proc/%d/task" % pid) if os.path.isdir("/proc/%d/task" % pid) else []
    return [int(child) for task in tasks
            for child in read("/proc/%d/task/%s/children" % (pid, task)).split()]


def find_watcher(pid):
    """Among all that come from a process."""
    for child in children(pid):
        found = child if "--watch" in read("/proc/%d/cmdline" % child) else find_watcher(child)
        if found:
            return found
    return None


def deliver(data, number):
    taken = datetime.datetime.utcnow().strftime("%Y:%m:%d %H:%M:%S").encode() + b"\0"
    size = 0
    for name, _, _ in RIGS:
        one = data[name].replace(b"2028:12:31 17:30:09\0", taken)
        size += len(one)
        with open("%s/in-%s/IMG_%04d.JPG" % (HOME, name, number), "wb") as out:
            out.write(one)
    return size


def main():
    draw()
    write_setup()
    data = {name: open("%s/%s.jpg" % (HOME, name), "rb").read() for name, _, _ in RIGS}
    dashboard, terminal = open_dashboard()
    begun, number, delivered, shown, most_kb, helper, start = time.monotonic(), 0, 0, 0, 0, None, None
    while True:
        now = time.monotonic() - begun
        if now >= number * EVERY_S + 3:
            delivered += deliver(data, number)
            number += 1
        if helper is None:
            helper = find_watcher(dashboard.pid)
            if helper is None and now > WARM_S:
                sys.exit("no watcher was started")
        if helper is not None:
            most_kb = max([most_kb] + [status(child, "VmHWM") for child in children(helper)])
        if start is None and now >= WARM_S:
            start = (now, cpu_s(helper), cpu_s(dashboard.pid), wakeups(dashboard.pid), bytes_read(dashboard.pid),
                     status(dashboard.pid, "VmRSS"))
            delivered = shown = 0
        if now >= WARM_S + SECONDS:
            break
        if select.select([terminal], [], [], 0.01)[0]:
            shown += len(os.read(terminal, 65536))
    seconds = now - start[0]
    cores = (cpu_s(helper) - start[1]) / seconds
    helper_kb = status(helper, "VmHWM")
    woken = (wakeups(dashboard.pid) - start[3]) / seconds
    got = bytes_read(dashboard.pid) - start[4]
    grown = status(dashboard.pid, "VmRSS") - start[5]
    own = (cpu_s(dashboard.pid) - start[2]) / seconds
    dashboard.terminate()
    dashboard.wait()
    rows = [
        ("helper and what it starts: cores", cores, 0.2), ("helper: MB", helper_kb / 1024, None),
        ("helper and the largest reader: MB", (helper_kb + most_kb) / 1024, 100),
        ("dashboard: cores", own, 0.02), ("dashboard: wake-ups a second", woken, 2.2),
        ("dashboard: bytes to the terminal a second", shown / seconds, 600),
        ("dashboard: memory grown by, kB", grown, 256),
        ("dashboard: bytes read, of those in the pictures", got / delivered, 0.01),
    ]
    print("Three rigs, a JPEG of 6000x4000 each (%s MB) every %.0f s, for %.0f s (%d cores, load %.1f):\n" %
          (", ".join("%.1f" % (len(data[name]) / 1e6) for name, _, _ in RIGS), EVERY_S, seconds, os.cpu_count(),
           os.getloadavg()[0]))
    missed = False
    for words, value, most in rows:
        missed |= most is not None and value > most
        print("    %-50s %8.4g%s" % (words, value, "" if most is None else
                                   "  (at most %g: %s)" % (most, "holds" if value <= most else "MISSED")))
    sys.exit(missed)


main()
