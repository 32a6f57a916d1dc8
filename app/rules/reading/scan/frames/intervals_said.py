"""How often, how long and how much rest, told in one sentence in any order: `you work 30 s, you rest 15 s, and this ten times`.

Every word of it must be one of the frame, or carry nothing. The time of the work must be told as one: by a word for it, or as
`five sets of two minutes`; else it may be that of all together. What follows in the sentence is left to the grammar.
"""

import re
from collections.abc import Callable, Collection, Sequence
from dataclasses import replace

from app.rules.reading.scan.frames.work_and_rest import (
    OFTEN,
    RESTS,
    easy,
    for_so_long,
    most_of_a_thing,
    number_of_things,
    rest_for_as_long_a_unit,
    work_and_rest,
)
from app.rules.reading.scan.pieces import Tok

PARTED_BY = ("COMMA", "SLASH", "AND", "COLON", "THEN")
BETWEEN = ("BETWEEN", "SET", "INTERVAL", "WINDOW", "ROUND")
MOST_WINDOWS = 60
OF_A_FRAME = ("each", "clock", "each of them", "with", "as you can", "as possible", "through")
MEASURES = ("CAL", "M", "T_CAL", "T_DIST")
SOME_OF = r"(?:one|two|three|some|half|most|s|secs?|seconds?|mins?|minutes?)"
PARTLY = re.compile(rf"(?<!each)(?<!all)\s{SOME_OF} of (?:it|them|these|those)\b")
OF_EACH = {"", "of", "x", "each", "à", ":", ","}


def intervals(text: str, toks: Sequence[Tok], fills: Callable[[str], bool], held: Collection[str]) -> list[Tok] | None:
    """The sentence as so many windows of so long with so much rest between; None where it is no such frame. `held` are movements
    that are held, and not repeated."""
    if (told := work_and_rest(text, toks)) is not None:
        return told
    if toks and PARTLY.search(text, toks[0].start, toks[-1].end):
        return None  # `do one of them 2 times`, `30 seconds of it to move on`
    toks = for_so_long(text, rest_for_as_long_a_unit(text, number_of_things(easy(toks))))
    if [tok.kind for tok in toks[:2]] == ["PROSE", "COLON"]:  # `It goes like this: you work …`
        made = intervals(text, toks[2:], fills, held)
        return [toks[0], *made] if made else None
    if (gone := _round_stations(text, toks, fills, held)) is not None:
        return gone
    if (total := _total_before(toks)) is not None:
        made = intervals(text, toks[total:], fills, held)
        return made if made and _lasts(made, toks[total - 2]) else None
    run = _run(text, toks, fills)
    if run and "station" in (said := text[run[0].start : run[-1].end].casefold()) and said.rstrip("s .").endswith("round"):
        return None  # `1 min at each station, 1 min rest after each round`: not between any two
    often = [tok for tok in run if tok.kind in OFTEN]
    times = [tok for tok in run if tok.kind == "DUR"]
    if any(tok.unit == "TURNSEACH" for tok in often):  # `8 minutes, so 4 turns each`
        return None
    if len(often) != 1 or len(times) not in (1, 2) or any(len(tok.values) != 1 for tok in (*often, *times)):
        return None
    if len(times) == 1:
        return _without_rest(text, toks, run, often[0], times[0])
    frame = [tok for tok in run if tok.kind in ("DUR", "ON", "MOVE", *OFTEN, *RESTS)]
    rest = _beside(frame, times, RESTS)
    if rest is None or not often[0].values[0].isdigit() or not 1 < int(often[0].values[0]) <= MOST_WINDOWS:
        return None
    work = times[1] if rest is times[0] else times[0]
    moved = [tok for tok in run if tok.kind == "MOVE"]
    details, measured = ([tok for tok in run if tok.kind in kinds] for kinds in (OF_A_THING, MEASURES))
    named = bool(moved) and frame[frame.index(work) + 1 : frame.index(work) + 2] == moved
    if len(moved) > named or any(tok.key in held for tok in moved):
        return None
    if (
        not named
        and _beside(frame, times, ("ON",)) is not work
        and not OF_WORK.match(text, work.end)
        and not _each(text, frame, often[0], work)
    ):
        return None
    last = run[-1]
    made = [
        replace(often[0], kind="TIMES"),
        work,
        last.to(last, "ON", values=(), key=""),
        rest,
        last.to(last, "OFF", values=(), key=""),
    ]
    left = list(toks[len(run) :])
    if often[0].kind == "ROUNDS" and EACH_STATION.search(text, run[0].start, left[0].start if left else _line_end(text, last)):
        made.append(last.to(last, "STATIONS", values=(), key=""))
    made += (
        [last.to(last, "COLON", values=(), key=""), moved[0].to(moved[0], "MAX", key=""), *measured, *moved, *details]
        if named
        else []
    )
    while left and left[0].kind in PARTED_BY:
        left = left[1:]
    left = most_of_a_thing(left)
    ends = next((place for place, tok in enumerate(left) if tok.kind == "COMMA"), len(left))
    left = [*of_each_window(text, left[:ends], int(work.values[0])), *(left[ends:] if ends < len(left) - 1 else [])]
    return [*made, *([last.to(last, "COLON", values=(), key=""), *left] if left else [])]


def _round_stations(text: str, toks: Sequence[Tok], fills: Callable[[str], bool], held: Collection[str]) -> list[Tok] | None:
    """`3 exercises, 40 s work and 20 s rest each, 4 times`: so many rounds of them."""
    at = next((at for at in range(len(toks) - 1) if [tok.kind for tok in toks[at : at + 2]] == ["BARE", "STATIONS"]), None)
    if at is None or not any(tok.kind in OFTEN for tok in toks):
        return None
    ends = at + 2 + (toks[at + 2 : at + 3] != [] and toks[at + 2].kind == "COMMA")
    made = intervals(text, [*toks[:at], *toks[ends:]], fills, held)
    if not made or made[0].kind != "TIMES":
        return None
    colon = next((place for place, tok in enumerate(made) if tok.kind == "COLON"), len(made))
    return [*made[:colon], *toks[at : at + 2], *made[colon:]]


EACH_STATION = re.compile(r"\b(?:each|every|per) (?:station|machine|exercise|movement)\b", re.IGNORECASE)
OF_WORK = re.compile(r"\s*of work\b", re.IGNORECASE)
OF_A_THING = ("LOAD", "SIZE", "AT")


def _most_behind(toks: Sequence[Tok], at: int) -> bool:
    """`20 seconds of air squats, as many as you can`, `1 min bike for calories`: behind what is done in each of them."""
    kinds = [tok.kind for tok in toks[:at] if tok.kind != "COMMA"]
    behind = toks[at + 1].kind if at + 1 < len(toks) else ""
    if toks[at].kind in MEASURES:
        return kinds[-1:] == ["MAX"] and "MOVE" in kinds and behind not in ("MOVE", "UNKNOWN")
    return toks[at].kind == "MAX" and kinds[-2:] == ["DUR", "MOVE"] and behind not in ("MOVE", "UNKNOWN", "BARE", "COUNT", "DUR")


def _line_end(text: str, tok: Tok) -> int:
    end = text.find("\n", tok.end)
    return end if end >= 0 else len(text)


def _total_before(toks: Sequence[Tok]) -> int | None:
    """`We've got eighteen minutes, …`, `18 minutes: …`: where what stands behind how long all of it lasts begins."""
    at = 1 if toks and toks[0].kind == "PROSE" else 0
    kinds = [tok.kind for tok in toks[at : at + 2]]
    return at + 2 if kinds in (["DUR", "COMMA"], ["DUR", "COLON"]) and len(toks[at].values) == 1 else None


def _lasts(made: Sequence[Tok], total: Tok) -> bool:
    """Whether so many windows with so much rest between last as long as is said, with a rest behind the last or without."""
    often, work = int(made[0].values[0]), int(made[1].values[0])
    rest = int(made[3].values[0]) if [tok.kind for tok in made[3:5]] == ["DUR", "OFF"] else 0
    return int(total.values[0]) in (often * (work + rest), often * (work + rest) - rest)


EACH = re.compile(r"\b(?:each|every one)\b", re.IGNORECASE)


def _without_rest(text: str, toks: Sequence[Tok], run: Sequence[Tok], often: Tok, work: Tok) -> list[Tok] | None:
    """`3 rounds of 4 minutes each`, `3 rounds, each on a 4 minute clock`: so many windows of so long."""
    kinds, left = {tok.kind for tok in run}, list(toks[len(run) :])
    while left and left[0].kind in ("PROSE", "UNKNOWN") and left[0].text.casefold() in OF_A_FRAME:
        left = left[1:]
    plain = not kinds & {"MOVE", *RESTS, "BETWEEN"} and often.values[0].isdigit() and 1 < int(often.values[0]) <= MOST_WINDOWS
    told = EACH.search(text, often.start, left[0].start if left else toks[-1].end)
    if not plain or not told or _says_as_much(often):
        return None
    return [replace(often, kind="TIMES"), work, work.to(run[-1], "ON", values=(), key=""), *left]


def _says_as_much(often: Tok) -> bool:
    """`Each x 3` says how often something is done, and no window."""
    return often.kind == "TIMES"


def _run(text: str, toks: Sequence[Tok], fills: Callable[[str], bool]) -> list[Tok]:
    """The words at the beginning that belong to such a frame, and what stands between them."""
    kinds = {*OFTEN, *RESTS, *PARTED_BY, *BETWEEN, "DUR", "ON"}
    found: list[Tok] = []
    for place, tok in enumerate(toks):
        before = [one.kind for one in toks[max(0, place - 2) : place]]
        moved = tok.kind == "MOVE" and (before[-1:] == ["DUR"] or before == ["DUR", "MAX"])
        moved = moved or (
            tok.kind == "MAX" and before[-1:] == ["DUR"] and [one.kind for one in toks[place + 1 : place + 2]] == ["MOVE"]
        )
        moved = moved or (tok.kind in OF_A_THING and before[-1:] in (["MOVE"], ["AT"]))
        moved = moved or _most_behind(toks, place)
        said = text[tok.start : tok.end]
        idle = tok.kind in ("PROSE", "UNKNOWN") and not tok.key and (fills(said) or said.casefold() in OF_A_FRAME)
        if not (tok.kind in kinds or moved or idle):
            break
        found.append(tok)
    while found and found[-1].kind in (*PARTED_BY, "PROSE", "UNKNOWN"):
        found.pop()
    return found


def _beside(frame: Sequence[Tok], times: Sequence[Tok], kinds: Sequence[str]) -> Tok | None:
    """The one time that stands right beside a word of these kinds, before it or behind; None where it is not one."""
    places = [place for place, tok in enumerate(frame) if tok.kind in kinds]
    found: list[Tok] = []
    for place in places:
        near = [frame[at] for at in (place - 1, place + 1) if 0 <= at < len(frame) and frame[at] in times]
        # `30 s rest 30 s`: of two the one that has no word of its own on its other side
        found += near if len(near) < 2 else [one for one in near if not _claimed(frame, one, place)]
    return found[0] if len(places) == 1 and len(found) == 1 else None


def _claimed(frame: Sequence[Tok], time: Tok, place: int) -> bool:
    at = frame.index(time)
    other = at + (1 if at > place else -1)
    return 0 <= other < len(frame) and frame[other].kind in ("ON", *RESTS)


def _each(text: str, frame: Sequence[Tok], often: Tok, work: Tok) -> bool:
    """`Three sets of two minutes`: so long is each of them."""
    before = frame[: frame.index(work)][-1:] == [often]
    return before and text[often.end : work.start].strip().casefold() in OF_EACH


NAMES_OF_WINDOWS = ("INTERVAL", "WINDOW", "SET", "ROUND", "MIN", "EACHMIN")
AMOUNTS = ("COUNT", "LENG", "CALS", "REPS")
OF_MOST = ("AMRAP", "MAX", "BELL")
WHICH = {"each", "every", "those", "these", "your", "the", "this", "that", "any", "all"}


OF_THE_THING = {"the", "exercise", "movement", "is", "are", "always", "only", "a"}


def of_each_window(text: str, toks: list[Tok], seconds: int | None, begun: bool = True) -> list[Tok]:
    """A sentence about what is done in each of the windows that were told before, so long each, without the words that say only
    that: `in every interval as many rounds as you can`, `as many calories as possible in each 30`, `in those nine minutes …`.
    `begun`: whether something is done in them already."""
    return _without_end(text, _without_beginning(text, toks, seconds, begun), seconds) if toks else toks


def the_thing(text: str, toks: list[Tok]) -> list[Tok]:
    """`The exercise is always the burpee`: the burpee."""
    found: list[Tok] = []
    for tok in toks:
        if tok.kind != "UNKNOWN" or not tok.key:
            found.append(tok)
            continue
        begins, ends = tok.within
        around = f"{text[tok.start : begins]} {text[ends : tok.end]}".casefold().split()
        if {"exercise", "movement"} & set(around) and set(around) <= OF_THE_THING:
            tok = replace(tok, kind="MOVE", start=begins, end=ends, text=text[begins:ends], within=(0, 0))
        found.append(tok)
    return found


def _without_beginning(text: str, toks: list[Tok], seconds: int | None, begun_with: bool) -> list[Tok]:
    at = 0
    while at < len(toks) and (
        toks[at].kind == "EVERY"
        or (
            toks[at].kind in ("PROSE", "UNKNOWN") and not toks[at].key and text[toks[at].start : toks[at].end].casefold() in WHICH
        )
    ):
        at += 1
    begun = at
    while at < len(toks) and (toks[at].kind in (*NAMES_OF_WINDOWS, "ON") or _so_long(toks[at], seconds)):
        at += 1
    told = any(_so_long(tok, seconds) or tok.kind in NAMES_OF_WINDOWS for tok in toks[begun:at])
    if not told or not _every(text, toks[0].start):
        return toks
    if not begun_with and [tok.kind for tok in toks[at : at + 1]] == ["COLON"] and at + 1 < len(toks):
        return toks[at + 1 :]  # `in every block: row 300 m, then …`
    at += at < len(toks) and toks[at].kind in ("COLON", "COMMA")
    said = (*OF_MOST, *(() if begun_with else AMOUNTS))
    return toks[at:] if at < len(toks) and toks[at].kind in said else toks


def _without_end(text: str, toks: list[Tok], seconds: int | None) -> list[Tok]:
    plain = [tok for tok in toks if tok.kind != "STOP"]
    stops = [tok for tok in toks if tok.kind == "STOP"]
    if len(plain) < 2 or not any(tok.kind in OF_MOST for tok in plain[:-1]):
        return toks
    last = plain[-1]
    bare = last.kind == "BARE" and len(last.values) == 1 and last.values[0] == str(seconds)
    named = bare or last.kind in NAMES_OF_WINDOWS or _so_long(last, seconds)
    before = text[plain[-2].end : last.start].casefold().split()
    every = last.kind == "EACHMIN" or before[-1:] in (["each"], ["every"]) or plain[-2].kind == "EVERY"
    if not (named and every):
        return toks
    plain.pop()
    return [*(plain[:-1] if plain[-1].kind == "EVERY" else plain), *stops]


def _so_long(tok: Tok, seconds: int | None) -> bool:
    return tok.kind == "DUR" and seconds is not None and tok.values == (str(seconds),)


def _every(text: str, at: int) -> bool:
    """Whether a word for each of them, or for that one, stands there or right before."""
    begins = max(text.rfind(sign, 0, at) for sign in "\n.!?;:,") + 1
    before = text[begins:at].casefold().split()
    return bool(WHICH & {*before, text[at:].split(None, 1)[0].casefold()})
