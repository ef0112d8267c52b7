#!/usr/bin/python3
"""A night of made-up pictures, played into folders while the program lives through it at speed.

usage: seen.py PROGRAM SHOOT HOME [umbra|tone]

The usual play is of 45 minutes in the penumbra, with all that goes wrong. The one of the umbra, from before U1
into totality, has three rigs: a wide one, a long one that is aimed again and again, and one that follows. With
tone nothing is played: HOME gets a setup with one rig, and two pictures for it, full.jpg of shortly before U1, and
dark.jpg of a totality that is a stop and more darker than expected.

Where the Moon is in each picture is put together here, from altitude and azimuth: a level camera that is left
alone, by the gnomonic projection. What happens in a play stands in EVENTS; each has to be said within the time
that the rules of the manual page allow, and nothing else about pictures may be said.
"""
import datetime, json, math, os, pty, re, subprocess, sys, threading, time

PROGRAM, SHOOT, HOME = sys.argv[1:4]
UMBRA, TONE = sys.argv[4:] == ["umbra"], sys.argv[4:] == ["tone"]
FROM = datetime.datetime(2028, 12, 31, 14, 58) if UMBRA else datetime.datetime(2028, 12, 31, 14, 10)
# The reader of pictures gives way to all other work: a minute of the play is to be enough for it on a busy machine.
SPEED = 40.0 if UMBRA else 15.0
MINUTES = 102 if UMBRA else 45
EVERY = 2 if UMBRA else 1  # minutes from frame to frame of a rig
FOCAL, WIDE, HIGH = 150.0 if UMBRA else 250.0, 23.5, 15.6
GRAND = 35.0  # focal length of the wide rig
FULL = 0.9  # stops over mid-grey of a Moon in full sunlight
FOG = range(28, 39)

# What must be said: words, and the minutes from and to which.
SPARE = 3  # a tick, and what the copy and the reading of a file take, at this speed
EVENTS = [
    ("long: aimed, by its pictures", 2, 2 + SPARE),                    # two that landed as soon as the one before
    ("set long to .*: it takes 1/1600 s, ISO 100, 3 stops too dark", 7, 7 + SPARE),  # the second one
    ("long: aimed, by its pictures", 13, 13 + SPARE),                  # the tripod was bumped at 12
    ("long: no picture since 14:2[56]:", 15 + 3 + 20 / 60, 15 + 3 + 20 / 60 + SPARE),  # the last at 15
    ("long: aimed, by its pictures", 25, 25 + SPARE),                  # aimed again at 24
    (r"long: its pictures alone fade: dew\? \(trial\)", 33, 38 + SPARE),  # within ten minutes
]
# In the other play the long rig is aimed again every so many minutes.
AGAIN = 24
if UMBRA:
    EVENTS = ([("long: aimed, by its pictures", 4, 4 + SPARE), ("wide: aimed, by its pictures", 5, 5 + SPARE)] +
              [("long: aimed, by its pictures", at + 2, at + 2 + SPARE) for at in range(AGAIN, MINUTES, AGAIN)])
# It goes on after that, so the line about what was wrong is not said again.
ABOUT_PICTURES = re.compile(r"picture|trial|it takes|watch|re-aim now|re-aim alarm", re.I)


def moon(utc):
    out = subprocess.run([PROGRAM, "now", "--at", utc.strftime("%Y-%m-%dT%H:%M:%S"), "--setup",
                          HOME + "/setup.json", "--json"], check=True, capture_output=True).stdout
    now = json.loads(out)
    return {"altitude": now["moon"]["altitude_deg"], "azimuth": now["moon"]["azimuth_deg"],
            "shadow": 2.65 + 1 - 2 * now["eclipse"]["umbral_magnitude_now"],
            # None while the Moon is down: of the time of day at which the test runs, only the diameter is wanted.
            "shutter": [rig["exposure"].get("shutter_s") for rig in now["rigs"]],
            "iso": [rig["exposure"].get("iso") for rig in now["rigs"]],
            "radians": math.radians(now["moon"]["diameter_arcsec"] / 7200)}


def place(sky, pointing, focal=FOCAL):
    """Of the Moon in the frame of a level camera, as fractions from the centre."""
    alt, az = math.radians(sky["altitude"]), math.radians(sky["azimuth"])
    up, turn = math.radians(pointing[0]), math.radians(pointing[1])
    east, north, high = math.cos(alt) * math.sin(az), math.cos(alt) * math.cos(az), math.sin(alt)
    ahead = math.cos(up) * (east * math.sin(turn) + north * math.cos(turn)) + math.sin(up) * high
    right = east * math.cos(turn) - north * math.sin(turn)
    above = -math.sin(up) * (east * math.sin(turn) + north * math.cos(turn)) + math.cos(up) * high
    return focal * right / ahead / WIDE, focal * above / ahead / HIGH


def point(sky, wanted, focal=FOCAL):
    """A pointing that has the Moon there."""
    pointing = [sky["altitude"], sky["azimuth"]]
    for _ in range(20):
        x, y = place(sky, pointing, focal)
        pointing[0] += math.degrees((y - wanted[1]) * HIGH / focal)
        pointing[1] += math.degrees((x - wanted[0]) * WIDE / focal) / math.cos(math.radians(pointing[0]))
    return pointing


def draw():
    """All pictures of the night; the shutter of each."""
    # How large the Moon must be is reckoned for the date that the pictures bear: that of the play.
    size = moon(datetime.datetime.utcnow())["radians"]
    pointing, lines = None, []
    for minute in range(MINUTES):
        sky = moon(FROM + datetime.timedelta(minutes=minute))
        if minute in (0, 12, 24):
            pointing = point(sky, (-0.35, -0.28) if minute == 12 else (-0.38, -0.32))
        dark = 3 if 6 <= minute <= 8 else 0
        fog = 0.12 * (minute - FOG.start + 1) if minute in FOG else 0
        x, y = place(sky, pointing)
        lines.append("%s/long%02d 900 598 %.6f %.6f %.2f %.4f %.2f %.3f %.6f 100 8 L" %
                     (HOME, minute, x, y, FOCAL * math.tan(size) / WIDE * 900, sky["shadow"],
                      FULL - dark - fog, 0.1 * fog, 1 / 1600 if dark else sky["shutter"][0]))
        lines.append("%s/scope%02d 640 426 0.01 0.02 %.2f %.4f %.2f 0 %.6f 100 8 S" %
                     (HOME, minute, 800 * math.tan(size) / WIDE * 640, sky["shadow"], FULL,
                      sky["shutter"][1]))
    subprocess.run([SHOOT], input="\n".join(lines) + "\n", text=True, check=True)


# The wide one delivers in the odd minutes.
RIGS_OF_UMBRA = (("wide", GRAND, 1600, 1062), ("long", FOCAL, 900, 598), ("scope", 800.0, 640, 426))


def rigs_at(minute):
    return [0] if minute % 2 else [1, 2]


def draw_umbra():
    """Likewise; half of them ahead of the play, the others during it. As bright as the setting that is asked for
    makes them."""
    size = moon(datetime.datetime.utcnow())["radians"]
    first = moon(FROM)
    level = point(first, (-0.3, -0.25), GRAND)
    camera = subprocess.Popen([SHOOT], stdin=subprocess.PIPE, text=True)
    for minute in range(MINUTES):
        sky = moon(FROM + datetime.timedelta(minutes=minute))
        if minute % AGAIN == 0:
            aimed = point(sky, (-0.36, -0.3))
        places = place(sky, level, GRAND), place(sky, aimed), (0.01, 0.02)
        for rig in rigs_at(minute):
            name, focal, width, height = RIGS_OF_UMBRA[rig]
            more = math.log2(sky["shutter"][rig] * sky["iso"][rig] / first["shutter"][rig] / first["iso"][rig])
            camera.stdin.write("%s/%s%02d %d %d %.6f %.6f %.2f %.4f %.2f 0 %.6f %d 8 %s\n" %
                               (HOME, name, minute, width, height, *places[rig],
                                focal * math.tan(size) / WIDE * width, sky["shadow"], FULL + more,
                                sky["shutter"][rig], sky["iso"][rig], name[0].upper()))
            camera.stdin.flush()
    camera.stdin.close()
    if camera.wait() != 0:
        sys.exit("pictures cannot be drawn")


def read_bytes(name, taken):
    with open(HOME + "/" + name, "rb") as file:
        return file.read().replace(b"2028:12:31 17:30:09\0", taken.strftime("%Y:%m:%d %H:%M:%S").encode() + b"\0")


def deliver(drawn, name, taken):
    """Whole at once: it has its name when all of it is there."""
    part = "%s/%s/.part" % (HOME, os.path.dirname(name))
    with open(part, "wb") as out:
        out.write(read_bytes(drawn, taken))
    os.rename(part, HOME + "/" + name)


def land_umbra(minute):
    taken = datetime.datetime.utcnow()
    for rig in rigs_at(minute):
        name = RIGS_OF_UMBRA[rig][0]
        deliver("%s%02d.jpg" % (name, minute), "%s/IMG_%04d.jpg" % (name, minute), taken)


def land(minute):
    """Long delivers each file in two pieces; scope a raw file soon after each JPEG."""
    taken = datetime.datetime.utcnow()
    if minute not in range(16, 21):
        data = read_bytes("long%02d.jpg" % minute, taken)
        with open("%s/a/IMG_%04d.JPG" % (HOME, minute), "wb", buffering=0) as out:
            out.write(data[:len(data) // 2])
            time.sleep(0.3)
            out.write(data[len(data) // 2:])
    for ending in "jpg", "nef":
        deliver("scope%02d.%s" % (minute, ending), "b/DSC_%04d.%s" % (minute, ending), taken)
        time.sleep(0.3)


class Night(threading.Thread):
    """The program, line by line, in a terminal of its own."""

    def __init__(self):
        super().__init__(daemon=True)
        self.said, self.zero, self.begun = [], None, threading.Event()
        environment = {"PATH": os.environ["PATH"], "HOME": HOME, "XDG_STATE_HOME": HOME + "/state", "TERM": "dumb",
                       "XDG_CONFIG_HOME": HOME + "/config", "LC_ALL": "C.UTF-8", "TZ": "UTC"}
        self.end, other = pty.openpty()
        self.program = subprocess.Popen(
            [PROGRAM, "rehearse", "--plain", "--eclipse", "2028-12-31", "--from", FROM.strftime("%Y-%m-%dT%H:%M:%SZ"),
             "--speed", str(SPEED), "--setup", HOME + "/setup.json"],
            stdin=other, stdout=other, stderr=other, env=environment, start_new_session=True)
        os.close(other)

    def run(self):
        with os.fdopen(self.end, "rb", buffering=0) as lines:
            rest = b""
            try:
                while True:
                    rest += lines.read(4096)
                    *whole, rest = rest.split(b"\n")
                    for line in whole:
                        self.take(line.decode().strip())
            except OSError:
                pass

    def take(self, line):
        match = re.match(r"\a*(\d\d):(\d\d):(\d\d)  (.*)", line)
        if not match:
            return
        hour, minute, second = (int(match.group(i)) for i in (1, 2, 3))
        at = hour * 60 + minute + second / 60 - FROM.hour * 60 - FROM.minute
        if self.zero is None:
            self.zero = time.monotonic() - at * 60 / SPEED
            self.begun.set()
        self.said.append((at, match.group(4)))


def write_setup(rigs):
    with open(HOME + "/setup.json", "w") as file:
        json.dump({"site": {"latitude_deg": 62, "longitude_deg": 60, "height_m": 100, "time_zone": "Etc/UTC"},
                   "look_every_s": 1, "rigs": rigs}, file)


def set_up():
    if UMBRA:
        rigs = [{"name": name, "camera": name[0].upper(), "focal_mm": focal, "pictures": HOME + "/" + name}
                for name, focal, _, _ in RIGS_OF_UMBRA]
        rigs[2]["support"] = "lunar"
    else:
        rigs = [{"name": "long", "camera": "L", "focal_mm": FOCAL, "pictures": HOME + "/a"},
                {"name": "scope", "camera": "S", "focal_mm": 800, "support": "lunar", "pictures": HOME + "/b"}]
    for rig in rigs:
        rig.update(f_number=8, sensor_width_mm=WIDE, sensor_height_mm=HIGH, interval_s=60 * EVERY)
        os.mkdir(rig["pictures"])
    write_setup(rigs)
    if UMBRA:
        threading.Thread(target=draw_umbra, daemon=True).start()
        while not os.path.exists(HOME + "/wide%02d.jpg" % (MINUTES // 2)):
            time.sleep(1)
    else:
        draw()


def draw_tone():
    rig = {"name": "scope", "camera": "S", "focal_mm": 800, "support": "lunar", "pictures": HOME + "/in", "f_number": 8,
           "sensor_width_mm": WIDE, "sensor_height_mm": HIGH, "interval_s": 60}
    os.mkdir(rig["pictures"])
    write_setup([rig])
    size = moon(datetime.datetime.utcnow())["radians"]
    full = moon(datetime.datetime(2028, 12, 31, 15, 0))
    lines = []
    # The camera that is made up draws the umbra of L 2, the night begins with L 3. A part of that is taken off: a JPEG
    # tells no tone that is much darker.
    for name, utc, more in (("full", (15, 0), 0), ("dark", (16, 26), 0.9)):
        sky = moon(datetime.datetime(2028, 12, 31, *utc))
        more += math.log2(sky["shutter"][0] * sky["iso"][0] / full["shutter"][0] / full["iso"][0])
        lines.append("%s/%s 640 426 0.01 0.02 %.2f %.4f %.2f 0 %.6f %d 8 S" %
                     (HOME, name, 800 * math.tan(size) / WIDE * 640, sky["shadow"], 1.2 + more,
                      sky["shutter"][0], sky["iso"][0]))
    subprocess.run([SHOOT], input="\n".join(lines) + "\n", text=True, check=True)


def main():
    if TONE:
        return draw_tone()
    set_up()
    night = Night()
    night.start()
    if not night.begun.wait(30):
        sys.exit("the program says nothing")
    for minute in range(MINUTES):
        # Half a minute for what the copies and the reading take.
        time.sleep(max(0, night.zero + minute * 60 / SPEED - time.monotonic()))
        land_umbra(minute) if UMBRA else land(minute)
    time.sleep(2 * 60 / SPEED)
    night.program.terminate()
    night.program.wait()
    said = [(at, words) for at, words in night.said if ABOUT_PICTURES.search(words)]
    failed = False
    for i in range(max(len(said), len(EVENTS))):
        words, first, last = EVENTS[i] if i < len(EVENTS) else ("nothing", 0, 0)
        at, text = said[i] if i < len(said) else (math.nan, "nothing")
        good = re.search(words, text) is not None and first - 0.2 <= at <= last
        failed |= not good
        print("%s  minute %5.1f (%.1f to %.1f): %s%s" % ("ok    " if good else "NOT ok", at, first, last, text,
                                                         "" if good else "   wanted: " + words))
    sys.exit(failed)


main()
