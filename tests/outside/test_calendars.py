"""Our calendars read by a library that we did not write, and RFC 5545's own rules on lines and octets.

Of the standard, section 3.1 was read as others quote it (75 octets without the line break, folded by CRLF and one white space;
docs.rs/ics-core, and the same words of RFC 2445); 3.3.11 on escaping is from memory, and the icalendar library reads by it.
"""

from datetime import UTC, datetime

import icalendar
from hypothesis import given
from hypothesis import strategies as st

from app.rules.day.calendar_file import Appointment, calendar_file, folded

# RFC 5545, section 3.3.11: a text may hold any letter but control characters; a line break is written as \n.
LETTERS = st.text(st.characters(exclude_categories=("Cc", "Cs")), max_size=60)
# What is escaped, and what only looks as if it were, stands in most of them.
TEXT = st.lists(st.sampled_from(("\\n", "\\;", "\\\\", ",", ";")) | LETTERS, max_size=6).map("".join)
MADE = "20310517T060000Z"


def an_appointment(**different: str) -> Appointment:
    plain = {"uid": "het_1-ent_1@cmp_1", "start": "20310517T083000Z", "end": "20310517T084800Z", "summary": "Mirror, heat 1"}
    return Appointment(**{**plain, **different})


def read(data: bytes) -> icalendar.Calendar:
    calendar = icalendar.Calendar.from_ical(data)
    assert isinstance(calendar, icalendar.Calendar)
    return calendar


def test_the_reader_finds_what_was_written() -> None:
    one = an_appointment(place="Rope Street Hall; back door, left", said="Lane 1: Lanterns\nLane 2: Chalk & Cheese")
    calendar = read(calendar_file("Lanterns · The Slate Day", [one], MADE))
    (event,) = calendar.events
    assert (event.uid, str(event["SUMMARY"])) == ("het_1-ent_1@cmp_1", "Mirror, heat 1")
    assert event.start == datetime(2031, 5, 17, 8, 30, tzinfo=UTC) and event.end == datetime(2031, 5, 17, 8, 48, tzinfo=UTC)
    assert str(event["LOCATION"]) == "Rope Street Hall; back door, left"
    assert str(event["DESCRIPTION"]) == "Lane 1: Lanterns\nLane 2: Chalk & Cheese"
    assert (str(calendar["VERSION"]), str(calendar["NAME"])) == ("2.0", "Lanterns · The Slate Day")
    assert [event.errors for event in calendar.events] == [[]] and calendar.errors == []


@given(TEXT, TEXT, TEXT)
def test_any_text_comes_back_as_it_was(summary: str, place: str, said: str) -> None:
    (event,) = read(calendar_file("x", [an_appointment(summary=summary, place=place, said=said)], MADE)).events
    assert str(event.get("SUMMARY", "")) == summary
    assert (str(event.get("LOCATION", "")), str(event.get("DESCRIPTION", ""))) == (place, said)


def test_a_line_of_75_octets_is_whole_and_one_of_76_is_not() -> None:
    assert [len(piece) for piece in folded("x" * 75)] == [75]
    assert [len(piece) for piece in folded("x" * 76)] == [75, 2], "one octet and the white space before it"
    assert [len(piece) for piece in folded("x" * 149)] == [75, 75]


@given(TEXT)
def test_lines_have_at_most_75_octets_and_no_letter_is_split(text: str) -> None:
    # RFC 5545, section 3.1: lines longer than 75 octets are folded by a line break and one white space.
    pieces = list(folded(text))
    assert all(len(piece) <= 75 for piece in pieces)
    assert all(piece.startswith(b" ") for piece in pieces[1:])
    assert "".join([pieces[0].decode(), *(piece[1:].decode() for piece in pieces[1:])]) == text


def test_lines_end_as_the_standard_says() -> None:
    data = calendar_file("A day", [an_appointment(summary="Ångström & Øst, " * 12)], MADE)
    assert data.count(b"\r\n") == data.count(b"\n") and data.endswith(b"END:VCALENDAR\r\n")
    assert max(len(line) for line in data.split(b"\r\n")) <= 75
