"""From when to when, told in minutes: `0 min to 2 min: row`; minutes and seconds as one time."""

from dataclasses import replace
from itertools import pairwise

from app.rules.reading.scan.pieces import Tok, rewritten
from app.rules.reading.scan.units_beside import kind_at
from app.rules.reading.scan.versions_said import joined
from app.rules.reading.things import HELD

LONG, SHORT = ["MIN", "TO", "NUM", "MIN"], ["TO", "NUM", "MIN"]


def from_to(toks: list[Tok], at: int) -> tuple[Tok, int] | None:
    """The span that begins there, and where it ends. `0 min to 2 min` begins a clause, `0 to 7 min` stands behind `from`."""
    kinds = [tok.kind for tok in toks[at + 1 : at + 5]]
    length = 4 if kinds == LONG else 3 if kinds[:3] == SHORT else 0
    before = toks[at - 1] if at else None
    begins = before is None or before.kind in ("COLON", "STOP", "COMMA")
    said = before is not None and before.kind in ("PROSE", "WORD") and before.text.casefold().endswith("from")
    if not length or not (said or (begins and length == 4)):
        return None
    numbers = (*toks[at].values, *toks[at + 3 if length == 4 else at + 2].values)
    if not all(one.isdigit() for one in numbers) or int(numbers[0]) >= int(numbers[1]):
        return None
    last = toks[at + length]
    return toks[at].to(last, "SPAN", values=tuple(str(int(one) * 60) for one in numbers)), at + length + 1


def from_minute(toks: list[Tok], at: int) -> tuple[Tok, int] | None:
    """`From minute 4 to minute 9`: from when to when on the clock, and where it ends."""
    before = toks[at - 1] if at else None
    said = before is not None and before.kind in ("PROSE", "WORD") and before.text.casefold().endswith("from")
    kinds = [tok.kind for tok in toks[at : at + 3]]
    if not said or kinds not in (["MINUTE", "TO", "MINUTE"], ["MINUTE", "TO", "NUM"]):
        return None
    numbers = (*toks[at].values, *toks[at + 2].values)
    if len(numbers) != 2 or not all(one.isdigit() for one in numbers) or int(numbers[0]) >= int(numbers[1]):
        return None
    return toks[at].to(toks[at + 2], "SPAN", values=tuple(str(int(one) * 60) for one in numbers)), at + 3


def in_seconds(tok: Tok) -> Tok:
    """`minutes 0-5`, in seconds."""
    whole = all(value.isdigit() for value in tok.values)
    return replace(tok, values=tuple(str(int(value) * 60) for value in tok.values)) if whole else replace(tok, kind="SIGN")


def listed_minutes(toks: list[Tok], at: int) -> tuple[Tok, int] | None:
    """`Minutes 1, 3, 5 and 7: …`: several of them by their numbers, and where they end; what stands behind the last counts."""
    values, end = list(toks[at].values), at + 1
    while end < len(toks):
        step = end
        while step < len(toks) and toks[step].kind in ("COMMA", "AND", "SLASH", "PLUS"):
            step += 1
        if step == end or step >= len(toks) or toks[step].kind != "NUM" or not toks[step].values[0].isdigit():
            break
        values.append(toks[step].values[0])
        end = step + 1
    behind = toks[end].kind if end < len(toks) else ""
    rising = all(int(before) < int(after) for before, after in pairwise(values))
    if len(values) < 2 or not rising or behind not in ENDS_OF_MINUTES:
        return None
    return toks[at].to(toks[end - 1], "MINUTE", values=tuple(values)), end


ENDS_OF_MINUTES = ("COLON", "DASH", "EQUALS", "", "STOP", "COMMA", "MAX", "REST", "PROSE")


def begins_at(toks: list[Tok]) -> list[Tok]:
    """`At 8:00: …`, `At 8:00 the athlete has 4 minutes for …` at the beginning of a sentence: when it begins; so does `then from
    minute eight you have four minutes for …`."""
    found = list(toks)
    for at, (tok, after) in enumerate(pairwise(toks)):
        before = [one.kind for one in toks[:at] if one.kind != "COMMA"]
        before = before[:-1] if before[-1:] == ["THEN"] else before
        begins = before[-1:] in ([], ["STOP"])
        if begins and tok.kind == "AT" and after.kind == "DUR" and ":" in after.text and len(after.values) == 1:
            found[at] = replace(tok, kind="STARTAT")
        elif tok.kind == "STARTAT" and after.kind == "MINUTE" and len(after.values) == 1 and after.values[0].isdigit():
            found[at + 1] = replace(after, kind="DUR", values=(str(int(after.values[0]) * 60),), unit=OF_A_MINUTE)
        elif begins and _at_or_from(tok) and after.kind == "MINUTE" and _lasts_so_long(toks[at + 2 :]):
            found[at] = replace(tok, kind="STARTAT")
            found[at + 1] = replace(after, kind="DUR", values=(str(int(after.values[0]) * 60),), unit=OF_A_MINUTE)
    return found


OF_A_MINUTE = "minute"  # the unit of a time on the clock that was told by a minute's number


def _at_or_from(tok: Tok) -> bool:
    return tok.kind == "AT" or (tok.kind in ("WORD", "PROSE", "GLUE") and tok.text.casefold() in ("from", "from the"))


def _lasts_so_long(toks: list[Tok]) -> bool:
    """Whether a sentence goes on, right behind the number of a minute, to say how long something lasts, and once."""
    ends = next((at for at, tok in enumerate(toks) if tok.kind == "STOP"), len(toks))
    kinds = [tok.kind for tok in toks[:ends]]
    return kinds.count("DUR") == 1 and not {"MINUTE", "EVERY", "EMOM", "COLON", "DASH", "TO", "SPAN"} & set(kinds)


def up_to(toks: list[Tok]) -> list[Tok]:
    """`Hold a plank for as long as you can, up to 5 minutes`: as long as possible in that time; `every minute, up to
    20 minutes`: so many. A line, sentence by sentence."""
    found: list[Tok] = []
    at = 0
    while at < len(toks):
        end = next((place + 1 for place in range(at, len(toks)) if toks[place].kind == "STOP"), len(toks))
        found += _up_to(toks[at:end])
        at = end
    return found


def _up_to(toks: list[Tok]) -> list[Tok]:
    if [(tok.kind, tok.values) for tok in toks[:3]] == [("EMOM", ()), ("COMMA", ()), ("EMOM", ())]:
        toks = [toks[0], *toks[3:]]
    kinds = [tok.kind for tok in toks]
    held = next((at for at, tok in enumerate(toks) if tok.kind == "MOVE" and tok.key in HELD), len(toks))
    alone = kinds.count("MOVE") == 1 and not {"WHILE", "BOTH"} & set(kinds) and not any("MEMBER" in kind for kind in kinds)
    longest = alone and kinds[held + 1 : held + 2] == ["MAX"] and "long" in toks[held + 1].text.casefold()
    gone = {held - 1} if longest and held and kinds[held - 1] == "HOLD" else set()
    most = set[int]()
    for at, tok in enumerate(toks):
        every = kinds[max(0, at - 2) : at] in (["EMOM", "COMMA"], ["EMOM"])
        if tok.kind == "PROSE" and tok.text.casefold() == "up" and kinds[at + 1 : at + 2] == ["DUR"] and (longest or every):
            gone.add(at)
            most |= {at + 1} if every else set()
    return [replace(tok, unit=UP_TO) if at in most else tok for at, tok in enumerate(toks) if at not in gone]


UP_TO = "up to"  # the unit of a time that is told as the most


def durations_together(toks: list[Tok]) -> list[Tok]:
    """`1 min 30 s`, `2 minutes and 30 seconds`: minutes, then less than a minute."""

    def fits(run: list[Tok]) -> Tok | None:
        first, second = run[0], run[-1]
        if first.kind != "DUR" or second.kind != "DUR" or (len(run) == 3 and run[1].kind != "AND") or ":" in first.text:
            return None
        whole = int(first.values[0]) % 60 == 0 and int(second.values[0]) < 60
        return first.to(second, "DUR", values=(str(int(first.values[0]) + int(second.values[0])),)) if whole else None

    return joined(joined(toks, fits, 3), fits, 2)


BARE = {1: "seconds", 60: "minutes"}  # the unit of a time that was told without one
LEAST_SECONDS, MOST_SECONDS, MOST_MINUTES = (
    10,
    90,
    5,
)  # of work, where `25 on, 15 off` leaves the unit out; common practice, no source


def on_and_off(toks: list[Tok], at: int) -> list[Tok]:
    """`25 on / 15 off`, `3 on, 1 off`: the words up to the second number, with both as seconds or as minutes; none where they may
    be either, or are none."""
    step = 1 if [tok.kind for tok in toks[at + 2 : at + 3]] in (["SLASH"], ["COMMA"], ["DASH"], ["AND"], ["PLUS"]) else 0
    run = toks[at : at + 4 + step]
    if [tok.kind for tok in (*run[:2], *run[2 + step :])] != ["NUM", "ON", "NUM", "OFF"]:
        return []
    numbers = [tok.values[0] for tok in (run[0], run[-2])]
    if not all(one.isdigit() and len(tok.values) == 1 for one, tok in zip(numbers, (run[0], run[-2]), strict=True)):
        return []
    work, rest = (int(one) for one in numbers)
    each = 1 if LEAST_SECONDS <= work <= MOST_SECONDS and rest >= MOST_MINUTES else 60 if max(work, rest) <= MOST_MINUTES else 0
    if not each:
        return []
    times = [replace(tok, kind="DUR", values=(str(int(tok.values[0]) * each),), unit=BARE[each]) for tok in (run[0], run[-2])]
    return [times[0], *run[1:-2], times[1]]


UNTIL, ENDED = ("until", "till"), ("over", "up", "done", "gone", "passed", "out")


def until_over(toks: list[Tok]) -> list[Tok]:
    """`Then max burpees until the 2 minutes are over`: in what is left of so long."""

    def over(line: list[Tok], at: int) -> tuple[list[Tok], int] | None:
        run = line[at : at + 3]
        if (
            len(run) < len(("until", "2 minutes", "over"))
            or run[0].text.casefold() not in UNTIL
            or run[2].text.casefold() not in ENDED
        ):
            return None
        begins = next((place for place in range(at, 0, -1) if line[place - 1].kind == "STOP"), 0)
        kinds = [tok.kind for tok in line[begins:at]]
        most = "MAX" in kinds and "MOVE" in kinds[kinds.index("MAX") :]
        told = most and run[1].kind == "DUR" and len(run[1].values) == 1
        return ([replace(run[0], kind="LEFTOF"), run[1]], at + 3) if told else None

    return rewritten(toks, over)


ENDS_AT, PARTING = ("ends", "ending", "finishes", "stops", "until", "till"), ("COMMA", "AND", "SLASH", "DASH")


def _starts_and_ends(toks: list[Tok]) -> list[Tok]:
    """`Starts at 9:00, ends at 14:00`: from when to when."""

    def told(line: list[Tok], at: int) -> tuple[list[Tok], int] | None:
        if [tok.kind for tok in line[at : at + 2]] != ["STARTAT", "DUR"]:
            return None
        place = at + 2
        place += kind_at(line, place) in PARTING
        ends = line[place].text.casefold() if place < len(line) else ""
        place += 2 if kind_at(line, place + 1) == "AT" else 1
        if ends not in ENDS_AT or kind_at(line, place) != "DUR" or not all(":" in line[one].text for one in (at + 1, place)):
            return None
        return [line[at].to(line[place], "SPAN", values=(*line[at + 1].values, *line[place].values))], place + 1

    return rewritten(toks, told)


MINUTES = (["NUM", "DASH", "NUM", "MIN"], ["NUM", "TO", "NUM", "MIN"])


def part_by_the_minute(toks: list[Tok], at: int) -> tuple[Tok, int] | None:
    """`Part A (0-8 min): …`: from when to when, and where it ends."""
    run = toks[at : at + 4]
    of_a_part = kind_at(toks, at - 1) == "LPAR" and kind_at(toks, at - 2) in ("PART", "MINUTE")
    if not of_a_part or [tok.kind for tok in run] not in MINUTES or kind_at(toks, at + len(run)) != "RPAR":
        return None
    values = (*run[0].values, *run[2].values)
    if not all(one.isdigit() for one in values) or int(values[0]) >= int(values[1]):
        return None
    return run[0].to(run[-1], "SPAN", values=tuple(str(int(one) * 60) for one in values)), at + len(run)


def whole_seconds(tok: Tok, each: int) -> Tok:
    """A duration in seconds; one that is no whole number of them stays a sign that nothing understands."""
    values = []
    for value in tok.values:
        whole, _, part = value.partition(".")
        hundredths = (int(whole) * 100 + int((part + "00")[:2])) * each
        if hundredths % 100:
            return replace(tok, kind="SIGN")
        values.append(str(hundredths // 100))
    return replace(tok, kind="DURS" if len(values) > 1 else "DUR", values=tuple(values))


def _from_the_start(toks: list[Tok]) -> list[Tok]:
    """`From the start until 5:00`: from 0:00."""

    def told(line: list[Tok], at: int) -> tuple[list[Tok], int] | None:
        words = [tok.text.casefold() for tok in line[at : at + 2]]
        begins = not at or line[at - 1].kind in ("STOP", "COMMA", "COLON")
        if not begins or words[:1] != ["from"] or words[1:] not in (["until"], ["till"], ["to"]):
            return None
        if kind_at(line, at + 2) != "DUR" or ":" not in line[at + 2].text or len(line[at + 2].values) != 1:
            return None
        return [line[at].to(line[at + 2], "SPAN", values=("0", *line[at + 2].values))], at + 3

    return rewritten(toks, told)


def told_as_spans(toks: list[Tok]) -> list[Tok]:
    """From when to when, told by when it starts and ends, or from the start."""
    return _from_the_start(_starts_and_ends(toks))
