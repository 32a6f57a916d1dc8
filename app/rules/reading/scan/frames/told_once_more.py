"""What is done, told once more as an example: `so 1 deadlift, 1 burpee, 2 deadlifts, 2 burpees, and so on until the 10s are
done`, `(8 of each, then 6 of each, then 4 of each)`, `in other words 10 push-ups, 15 sit-ups, and that five times through`.

Every number and every thing in it must be that of the list told before it, in its order and from its beginning, up to its end
or to a word that says that it goes on; and a word must say that it is an example. Else the sentence tells work of its own.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from app.rules.reading.drafting.said_work import reps_of
from app.rules.reading.drafts import Group, Stretch, Work
from app.rules.reading.scan.frames.parts import Part, begins_at, ends_at, parts_of
from app.rules.reading.scan.pieces import Tok, in_small

TAKEN = ("MOVE", "LENG", "CALS")
SAYS_SO = (
    "so",
    "that's",
    "thats",
    "that is",
    "meaning",
    "i.e.",
    "ie ",
    "in other words",
    "which means",
    "it means",
    "in short",
    "e.g.",
)
TABLE: Mapping[str, str] = {
    **dict.fromkeys(("each", "both"), "each"),
    **dict.fromkeys(("etc", "continue", "continues"), "on"),
    **dict.fromkeys(("until", "till"), "to"),
    **dict.fromkeys(("end", "last", "finish", "finally", "lastly"), "last"),
    **dict.fromkeys(("times", "rounds", "round"), "times"),
    **dict.fromkeys(
        (
            *("so", "that's", "thats", "that", "is", "it's", "its", "it", "meaning", "means", "which", "i", "e", "g", "ie", "in"),
            *(
                "words",
                "short",
                "of",
                "the",
                "then",
                "and",
                "you",
                "do",
                "we",
                "they",
                "with",
                "start",
                "starts",
                "first",
                "next",
            ),
            *("other", "are", "done", "through", "at", "very", "all", "after", "by", "followed", "a", "an", "up", "down", "on"),
            *("way", "get", "rep", "reps", "repetition", "repetitions", "again", "know", "guess", "goes", "where", "see", "idea"),
            *("going", "for", "those", "who", "like", "long"),
        ),
        "",
    ),
}
GOES_ON = ("and so on", "so on", "etc", "...", "…", "you get it", "you get the idea", "and so forth", "see where it's going")
LEAST_SAID = 2


@dataclass(frozen=True, slots=True)
class _Item:
    """So many of a thing; in which of the sets, counted from 0. `unit`: of what it is a number, if of no repetitions."""

    number: str
    unit: str
    work: Work
    rung: int


def told_once_more(text: str, toks: Sequence[Tok], here: Stretch, numbers: Mapping[str, int]) -> bool | None:
    """Whether a sentence is the list that was told before it, or the beginning of it, told once more. None where it begins so,
    and whether it is is not clear: `so 10 push-ups, 15 sit-ups`."""
    groups = [group for group in here.groups if group.works]
    crossing = len(groups) > 1 and len({len(one.scheme) for one in groups}) == 1 and len(groups[0].scheme) > 1
    if not (len(groups) == 1 or crossing) or here.kind not in ("", "time", "amrap") or any(one.role for one in groups):
        return False
    group = groups[0]
    span = begins_at(text, toks), ends_at(text, toks)
    said = in_small(text[slice(*span)]).strip(" \t-–—")
    bracketed = said.startswith("(")
    goes_on = any(sign in said for sign in GOES_ON)
    if not (bracketed or said.startswith(SAYS_SO) or _marked(said) or goes_on):
        return False
    parts = parts_of(text, span, toks, TABLE, numbers, TAKEN)
    done = sorted((item for one in groups for item in _done(one)), key=lambda item: item.rung)
    if parts is None or not done:
        return False
    followed, told, left = _follow(parts, done)
    whole = followed == len(done)
    if told < LEAST_SAID or (goes_on and not whole and done[followed - 1].rung == 0 and not said.startswith(SAYS_SO)):
        return False  # `10 burpees, 10 lunges and so on` is how a list begins
    if _ends(left, done, group) and (whole or goes_on or _marked(said)):
        if crossing:  # the first of each, then the second of each
            sets = range(len(group.scheme))
            here.groups = [replace(one, scheme=(one.scheme[rung],)) for rung in sets for one in groups]
        return True
    return None if said.startswith(SAYS_SO) else False


def _marked(said: str) -> bool:
    """Whether it says what is done at the very end of it."""
    return said.startswith("first ") and "end" in said


def _done(group: Group) -> Iterator[_Item]:
    """What is done, set by set; of rounds the first."""
    for rung, reps in enumerate(group.scheme or (0,)):
        for work in group.works:
            if work.amount is None or not work.amount.values:
                yield _Item(str(reps), "CAL" if work.amount else "", work, rung)
            elif work.amount.kind == "reps":
                yield _Item(work.amount.values[0], "", work, rung)
            else:
                yield _Item(work.amount.values[0], work.amount.unit, work, rung)


def _follow(parts: Sequence[Part], done: Sequence[_Item]) -> tuple[int, int, list[Part]]:
    """How far the list is told, how many numbers tell it, and what stands behind."""
    at = place = told = 0
    while at < len(parts) and place < len(done):
        here, behind = parts[at], parts[at + 1] if at + 1 < len(parts) else Part("")
        item = done[place]
        if here.kind == "num" and here.number == 0:
            break
        if here.kind == "num" and behind.kind == "each" and str(here.number) == item.number and _begins(done, place):
            rung = [one for one in done[place:] if one.rung == item.rung]
            if any(one.number != item.number or one.unit for one in rung):
                break
            at, place, told = at + 2, place + len(rung), told + 1
        elif here.kind == "num" and behind.tok is not None and behind.kind == "MOVE":
            if str(here.number) != item.number or item.unit or not _is(behind.tok, item.work):
                break
            at, place, told = at + 2, place + 1, told + 1
        elif here.tok is not None and here.kind in ("LENG", "CALS"):
            if here.tok.values != (item.number,) or here.tok.unit != item.unit:
                break
            at, place, told = at + 1, place + 1, told + 1
            if at < len(parts) and (tok := parts[at].tok) is not None and parts[at].kind == "MOVE" and _is(tok, item.work):
                at += 1
        elif here.kind == "MOVE" and behind.kind in ("LENG", "CALS") and here.tok is not None and _is(here.tok, item.work):
            at += 1  # `row 200 metres`
        elif _alone(here, behind, item, place):
            at, place, told = at + 1, place + 1, told + 1  # `five and five, ten and ten`, `8 of each, then 6, then 4`
            if not (at < len(parts) and parts[at].kind == "num" and str(parts[at].number) == item.number):
                while place < len(done) and done[place].rung == item.rung:
                    place += 1
        else:
            break
    return place, told, list(parts[at:])


def _alone(here: Part, behind: Part, item: _Item, place: int) -> bool:
    """A number by itself that is that of the next thing: of the first it must be told twice."""
    told = here.kind == "num" and behind.kind not in ("times", "each") and str(here.number) == item.number and not item.unit
    return told and (place > 0 or (behind.kind == "num" and behind.number == here.number))


def _begins(done: Sequence[_Item], place: int) -> bool:
    return place == 0 or done[place - 1].rung != done[place].rung


def _ends(left: Sequence[Part], done: Sequence[_Item], group: Group) -> bool:
    """What stands behind: nothing, that it goes on, up to the last set, or how many rounds there are."""
    rest = [part for part in left if part.kind != "on"]
    kinds = [part.kind for part in rest]
    last = [one for one in done if one.rung == done[-1].rung]
    if not rest:
        return True
    if kinds == ["num", "times"]:
        return not group.scheme and rest[0].number == group.rounds
    if kinds == ["to", "num"]:
        return all(one.number == str(rest[1].number) for one in last)
    if kinds[0] in ("last", "to"):
        place, told, behind = _follow(rest[1:], [*last])
        return place == len(last) and told == len(last) and not behind
    return False


def _is(tok: Tok, work: Work) -> bool:
    """Whether a thing is that: by its movement, or by the last word of its name, `swings` for kettlebell swings."""
    if tok.key and tok.key == work.key:
        return True
    said, name = tok.text.casefold().strip().rstrip("s"), work.name.casefold().rstrip("s")
    return len(said) > 3 and name.split()[-1:] == [said]


def last_rung(text: str, toks: Sequence[Tok], here: Stretch, numbers: Mapping[str, int]) -> bool:
    """`The ladder ends with the 14s`, `the round of 12 is the last`: whether a sentence says only which set is the last, and it
    is."""
    group = next((one for one in here.groups if one.works), None)
    if group is None or here.kind not in ("", "time", "amrap"):
        return False
    parts = parts_of(text, (begins_at(text, toks), ends_at(text, toks)), toks, OF_THE_LAST, numbers, ())
    if parts is None or sorted(part.kind for part in parts) not in (["last", "num"], ["last", "last", "num"]):
        return False
    number = next(part.number for part in parts if part.kind == "num")
    return bool(group.scheme) and group.scheme[-1] == number and all(reps_of(work) == 0 for work in group.works)


OF_THE_LAST: Mapping[str, str] = {
    **dict.fromkeys(("ends", "end", "stops", "last", "final", "finishes", "over", "done"), "last"),
    **dict.fromkeys(
        ("the", "ladder", "it", "with", "at", "after", "round", "rung", "set", "of", "is", "are", "you", "when", "then"), ""
    ),
    **dict.fromkeys(("s", "and", "one", "on", "that's", "that", "all"), ""),
}
