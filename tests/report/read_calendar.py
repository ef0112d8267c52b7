"""Reads a calendar with python3-icalendar, a parser that shares nothing with the one who wrote it.

One line per event, tab-separated: UID, start in UTC, stamp, seconds of the alarm from the start,
summary, description, location.
"""
import sys
from datetime import datetime, timedelta, timezone

from icalendar import Calendar

with open(sys.argv[1], "rb") as file:
    calendar = Calendar.from_ical(file.read())
if calendar.errors:
    sys.exit(f"calendar: {calendar.errors}")
if calendar["VERSION"] != "2.0" or not calendar["PRODID"]:
    sys.exit("no version or product")
for event in calendar.subcomponents:
    alarms = event.subcomponents
    if event.name != "VEVENT" or event.errors or len(alarms) != 1:
        sys.exit(f"{event.name}: {event.errors}, {len(alarms)} alarms")
    alarm = alarms[0]
    start, stamp, trigger = event["DTSTART"].dt, event["DTSTAMP"].dt, alarm["TRIGGER"].dt
    if not isinstance(start, datetime) or start.utcoffset() != timedelta(0):
        sys.exit(f"start {start} is not in UTC")
    if alarm.name != "VALARM" or alarm["ACTION"] != "DISPLAY" or not alarm["DESCRIPTION"]:
        sys.exit("an alarm that does not display")
    print(
        event["UID"],
        start.astimezone(timezone.utc).strftime("%Y-%m-%dT%H:%M:%SZ"),
        stamp.astimezone(timezone.utc).strftime("%Y-%m-%dT%H:%M:%SZ"),
        int(trigger.total_seconds()),
        event["SUMMARY"],
        event.get("DESCRIPTION", ""),
        event.get("LOCATION", ""),
        sep="\t",
    )
