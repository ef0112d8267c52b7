/* The options and the commands. */
#include "app.h"

#include <stddef.h>

#define PLACE(member) offsetof(struct options, member)
#define TEXT(member) .kind = OPTION_TEXT, .offset = PLACE(member)
#define FLAG(member) .kind = OPTION_FLAG, .offset = PLACE(member)
#define NUMBER(member, least, most)                                                                \
    .kind = OPTION_NUMBER, .offset = PLACE(member), .lowest = (least), .highest = (most)

const struct option_row option_table[] = {
    {"against", "FOLDER", TEXT(against), .offer = OFFER_SESSIONS,
     .meaning = "The session to compare with."},
    {"ascii", .meaning = "Draw with ASCII characters only.", FLAG(ascii)},
    {"at", "INSTANT", TEXT(at),
     .meaning = "YYYY-MM-DDTHH:MM, with seconds or without, in UTC; without it, this instant."},
    {"calendar", FLAG(calendar), .meaning = "Print contacts and reminders as an iCalendar file."},
    {"canvas", "COLUMNSxROWS", TEXT(canvas), .offer = "80x24 120x40",
     .meaning = "Print the dashboard as it would look on a terminal of this size."},
    {"csv", FLAG(csv), .meaning = "Print rows of comma-separated values."},
    {"demo", FLAG(demo),
     .meaning = "An invented night: the total eclipse of 2028-12-31 from a hut in the snow."},
    {"eclipse", "DAY", TEXT(eclipse),
     .meaning = "The eclipse whose greatest falls on this day of UTC, YYYY-MM-DD."},
    {"from", "DAY", TEXT(from), .only = "nights",
     .meaning = "The first day of the span, YYYY-MM-DD."},
    {"from", "WHEN", TEXT(from), .only = "rehearse", .offer = "P1-10m U1-10m U2-5m U3-5m U4-10m",
     .meaning = "Where the clock starts: an instant of UTC, or an offset from a contact such as "
                "U2-5m; without it, U1-10m."},
    {"hooks", FLAG(hooks), .meaning = "Run the hooks of the setup in a rehearsal, too."},
    {"humidity", "PERCENT", NUMBER(humidity_percent, 1, 100),
     .meaning = "Relative humidity, 1 to 100."},
    {"json", FLAG(json), .meaning = "Print JSON."},
    {"kind", "KIND", TEXT(kind), .offer = "any penumbral partial total",
     .meaning = "Which eclipses: penumbral, partial, total or any."},
    {"link", "DIR", TEXT(link), .offer = OFFER_FILES,
     .meaning = "Make links to the pictures in this folder, named in order: "
                "2029-12-20T22-15-14_U2_long_0123.ext. No original is touched."},
    {"pick", "WHAT", TEXT(pick), .offer = "contacts chain=20min",
     .meaning = "Only the frames of each rig that are nearest to the contacts, or to instants that "
                "are so far apart (s, min or h), counted from greatest."},
    {"pictures", FLAG(pictures),
     .meaning = "Read a folder of pictures, or a table of them from standard input, and answer each "
                "with UTC, phase, magnitudes, the Moon's altitude and its setting. See PICTURES IN "
                "ORDER."},
    {"plain", FLAG(plain),
     .meaning = "Print a line for each change instead of opening the screen, without moving the "
                "cursor, until Ctrl-C: for screen readers and logs. It takes no keys. Into a pipe "
                "or a file the moment is printed once."},
    {"rig", "NAME", TEXT(rig), .meaning = "The rig of the setup that took the pictures."},
    {"session", "FOLDER", TEXT(session), .offer = OFFER_SESSIONS,
     .meaning = "A session by its name in the folder of sessions, or by its path. The dashboard "
                "continues it with its own eclipse and setup."},
    {"setup", "FILE", TEXT(setup_path), .offer = OFFER_FILES,
     .meaning = "A setup file instead of the usual one."},
    {"shadow", "RULE", TEXT(shadow), .offer = "danjon chauvenet oblate",
     .meaning = "How the Earth's air enlarges its shadow: danjon (without this option; as in the "
                "NASA catalogue), chauvenet, or oblate."},
    {"site", "LAT,LON[,ELEV_M]", .kind = OPTION_SITE,
     .meaning = "Latitude and longitude in degrees, north and east positive, or in degrees, "
                "minutes and seconds with a letter (3 6 7 S); height in metres. It replaces the "
                "site of the setup."},
    {"speed", "FACTOR", NUMBER(speed, 0, 10000),
     .meaning = "How many times faster than real time a rehearsal runs, up to 10000."},
    {"temperature", "CELSIUS", NUMBER(temperature_c, -45, 60),
     .meaning = "Temperature of the air, -45 to 60."},
    {"theme", "NAME", TEXT(theme), .offer = OFFER_THEMES,
     .meaning = "Colours: red (without this option; pure red on black), daylight, plain, "
                "blue-orange, or a theme of your own."},
    {"time-card", "FILE=UTC", TEXT(time_card), .offer = OFFER_FILES,
     .meaning = "The UTC (HH:MM:SS) that the time card shows in a picture: the clock of the camera "
                "that took it is corrected by that. For more cameras, with commas between them."},
    {"to", "DAY", TEXT(to), .meaning = "The last day of the span; it belongs to it."},
};
const size_t option_count = sizeof option_table / sizeof *option_table;

const struct command_row command_table[] = {
    {"", command_dashboard, "the dashboard of the next eclipse that is up from the site",
     "[setup] [site] [eclipse] [session] [shadow] [theme] [ascii] [plain]",
     "Opens the dashboard of tonight's eclipse (until 12 hours after P4), else of the next umbral "
     "one that is up from the site. Into a pipe or a file the moment is printed once as text.",
     "moonstand --site 62,60,420 --eclipse 2028-12-31"},
    {"nights", command_nights, "list the eclipses of a span, and what a site sees of them",
     "from to [site] [shadow] [kind] [json]",
     "Lists the lunar eclipses of a span of days; with a site, what is up from there.",
     "moonstand nights --from 2028-01-01 --to 2029-12-31 --site 62,60,420"},
    {"plan", command_plan, "print the plan of one night",
     "[eclipse] [site] [setup] [json|calendar]",
     "Prints the plan of one night. Its first page is for the pocket: contacts, rounds, aims and "
     "cautions in 66 lines, up to a form feed. Then come the timeline, every round in words, each "
     "rig with the sheet for its intervalometer, and the checklist.",
     "moonstand plan --eclipse 2028-12-31 --site 62,60,420 > plan.txt"},
    {"now", command_now, "what is true at one instant, as text or JSON",
     "[at] [site] [eclipse] [setup] [json|canvas] [ascii]",
     "Prints what is true at one instant.",
     "moonstand now --at 2028-12-31T16:20 --site 62,60,420 --json"},
    {"sites", command_sites, "compare the sites of the setup: sky, horizon, forecast",
     "[eclipse] [setup] [json]",
     "Compares the sites of the setup: what is seen from each, how far above its horizon, the Sun, "
     "the forecast.",
     "moonstand sites --eclipse 2028-12-31"},
    {"look", command_look, "what pictures show: time, setting, and where the Moon is in them",
     "FILE... [rig] [setup] [json]",
     "Prints what each picture shows, one line a picture: time, setting and lens as the camera "
     "wrote them and, as a trial, where the Moon is in it, its light and how sharp its limb is. "
     "Folders are searched with everything in them; links are not followed. It reads JPEG and the "
     "raw formats CR2, CR3, NEF, ARW, RAF, RW2, ORF, PEF and DNG; of HEIF the metadata. A file "
     "that cannot be read is named on standard error and the others go on. Each picture is read by "
     "a process of its own that can read that one file and nothing else (no other file, no "
     "network, no program). Linux on x86, ARM and RISC-V can do that; on other machines no picture "
     "is read.",
     "moonstand look DCIM"},
    {"air", command_air, "dew point, frost point and what to do", "temperature humidity [json]",
     "Prints dew point and frost point, how far the front glass is from them, and what to do.",
     "moonstand air --temperature -3 --humidity 85"},
    {"setup", command_setup, "write a setup by answering questions", "[setup]",
     "Asks for site and rigs and saves the setup file. An existing file supplies the defaults, "
     "keeps what is not asked, and is kept beside the new one with .bak added to its name.",
     "moonstand setup"},
    {"rehearse", command_rehearse, "the dashboard on a shifted clock",
     "[demo] [from] [speed] [hooks] [setup] [site] [eclipse] [session] [shadow] [theme] [ascii] "
     "[plain]",
     "Opens the dashboard on a shifted clock; without a setup of your own, in the demo. It is "
     "recorded in a session of its own; --session continues that session, no earlier than it "
     "ended.",
     "moonstand rehearse --demo --from U2-5m --speed 10"},
    {"report", command_report, "what a session recorded; put lists of pictures in order",
     "[session] [json] [against|csv|pictures] [link] [pick] [rig] [time-card] [FOLDER]",
     "Prints what a session recorded, as Markdown, JSON or CSV; puts lists of pictures in order; "
     "compares two sessions. The record tells which settings were only advised, and which you (a frame "
     "taken by hand) or the pictures confirm: those that were seen landing, or those of a FOLDER. "
     "Without --session it takes the real night in which you last did "
     "something, else the last such rehearsal; only if there is none, a session that holds nothing "
     "but what the program wrote by itself.",
     "moonstand report --pictures < times.csv > sorted.csv"},
    {"sessions", command_sessions, "list the recorded sessions", "[json]",
     "Lists the recorded sessions, the oldest eclipse first.", "moonstand sessions"},
    {"help", command_help, "what a key or a command does", "[NAME]",
     "Explains a key of the dashboard, by the key or by what it does (a, tab, battery), or a "
     "command and its options. Without a name it lists the commands.",
     "moonstand help tab"},
};
const size_t command_count = sizeof command_table / sizeof *command_table;
