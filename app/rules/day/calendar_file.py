"""Calendars as files: RFC 5545 (iCalendar), the little of it that a timetable needs, with NAME from RFC 7986."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

LONGEST_LINE = 75  # octets without the line break, RFC 5545 section 3.1
ESCAPED = {"\\": "\\\\", ";": "\\;", ",": "\\,", "\n": "\\n"}


@dataclass(frozen=True, slots=True)
class Appointment:
    """One appointment. `start` and `end` are in UTC as `YYYYMMDDTHHMMSSZ`; `uid` stays the same when its time changes."""

    uid: str
    start: str
    end: str
    summary: str
    place: str = ""
    said: str = ""


def calendar_file(name: str, appointments: Iterable[Appointment], made: str) -> bytes:
    """A calendar of this name as UTF-8; `made` is the moment of its making, in the same form as the times."""
    lines = ["BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:-//Lane Ledger//Timetable//EN", "CALSCALE:GREGORIAN", "METHOD:PUBLISH"]
    lines.append(f"NAME:{escaped(name)}")
    for one in appointments:
        lines += _event(one, made)
    lines.append("END:VCALENDAR")
    return b"".join(part + b"\r\n" for line in lines for part in folded(line))


def _event(one: Appointment, made: str) -> list[str]:
    lines = [
        "BEGIN:VEVENT",
        f"UID:{escaped(one.uid)}",
        f"DTSTAMP:{made}",
        f"DTSTART:{one.start}",
        f"DTEND:{one.end}",
        f"SUMMARY:{escaped(one.summary)}",
    ]
    lines += [f"LOCATION:{escaped(one.place)}"] if one.place else []
    lines += [f"DESCRIPTION:{escaped(one.said)}"] if one.said else []
    return [*lines, "END:VEVENT"]


def escaped(text: str) -> str:
    """Text as a value (section 3.3.11): backslash, semicolon, comma and line break are escaped."""
    plain = text.replace("\r\n", "\n").replace("\r", "\n")
    return "".join(ESCAPED.get(letter, letter) for letter in plain)


def folded(line: str) -> Iterator[bytes]:
    """A content line in pieces of at most 75 octets (section 3.1), each but the first begun by a space; no letter is split."""
    piece, most = b"", LONGEST_LINE
    first = True
    for letter in line:
        octets = letter.encode()
        if len(piece) + len(octets) > most:
            yield piece if first else b" " + piece
            piece, first, most = b"", False, LONGEST_LINE - 1
        piece += octets
    yield piece if first else b" " + piece
