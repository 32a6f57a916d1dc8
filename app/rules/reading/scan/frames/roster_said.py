"""Who works when, told for all members in one sentence and without what is done: `A works in minutes 1 and 3, B in minutes 2
and 4`, `partner A goes from 0:00 to 5:00, then a minute in which nobody works, partner B from 6:00 to 11:00`."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from app.rules.reading.scan.pieces import Tok, words_in

LETTERED = {"MEMBERA": 1, "MEMBERB": 2, "MEMBERC": 3}
PARTED_BY = ("COMMA", "THEN", "AND")
GOES = {
    *(
        "goes",
        "works",
        "is",
        "on",
        "from",
        "during",
        "for",
        "in",
        "at",
        "the",
        "then",
        "who",
        "it's",
        "only",
        "starts",
        "has",
        "its",
    ),
    "gets",
}
NOBODY = {*("in", "which", "nobody", "works", "rest", "rests", "swap", "break", "to", "of"), "change"}
ALL_OF_IT = {
    *("altogether", "all", "in", "total", "together", "so", "each", "has", "gets", "that", "is", "goes", "turns", "and"),
    "makes",
}
MOST = 60  # windows


@dataclass(frozen=True, slots=True)
class Turn:
    """The window of a member: when it begins, where that is told, and how many seconds it lasts; and those of rest before it."""

    member: int
    start: int | None
    seconds: int
    rest: int = 0


def roster(text: str, toks: Sequence[Tok], before: Sequence[Turn] = ()) -> list[Turn]:
    """The windows of all members in their order; none for a sentence that says anything else. `before`: those that the sentence
    before has told, where this one says how they go on."""
    found = list(before)
    if before and [tok.kind for tok in toks if tok.kind != "COMMA"][:1] != ["ELLIPSIS"]:
        return []
    who, rest, total, often, goes_on = 0, 0, 0, 0, False
    for place, tok in enumerate(toks):
        behind = _words(text, toks[place + 1 : place + 2])
        if member := member_of(tok):
            who = member
        elif tok.kind in PARTED_BY or (tok.kind in ("PROSE", "UNKNOWN") and not tok.key and _words(text, [tok]) <= GOES):
            continue
        elif who and (turns := _turns(tok, who, rest)):
            found, who, rest = [*found, *turns], 0, 0
        elif tok.kind == "DUR" and found and "nobody" in behind and behind <= NOBODY:
            rest = int(tok.values[0])
        elif tok.kind in ("ELLIPSIS", "TURNS") and found:
            goes_on = goes_on or tok.kind == "ELLIPSIS"
        elif tok.kind == "DUR" and goes_on and {"altogether", "all", "total"} & behind:
            total = int(tok.values[0])
        elif tok.kind in ("BARE", "ROUNDS") and total and len(tok.values) == 1 and tok.values[0].isdigit():
            often = int(tok.values[0])
        elif not (tok.kind in ("PROSE", "UNKNOWN") and not tok.key and found and _words(text, [tok]) <= NOBODY | ALL_OF_IT):
            return []
    if who or rest or goes_on != bool(total) or not _in_order(found):
        return []
    return _round(found, total, often) if total else found


def _words(text: str, toks: Sequence[Tok]) -> set[str]:
    return {word for tok in toks for word in words_in(text[tok.start : tok.end])}


def member_of(tok: Tok) -> int:
    """The number of the member that a word names; 0 for another word."""
    number = tok.values[0] if tok.kind == "MEMBER" and len(tok.values) == 1 else ""
    return LETTERED.get(tok.kind, 0) or (int(number) if number.isdigit() else 0)


def _turns(tok: Tok, who: int, rest: int) -> list[Turn]:
    """From when to when, which minutes, or how long."""
    numbers = [int(value) for value in tok.values if value.isdigit()]
    if len(numbers) < len(tok.values):
        return []
    if tok.kind == "SPAN" and numbers[0] < numbers[1]:
        return [Turn(who, numbers[0], numbers[1] - numbers[0], rest)]
    if tok.kind == "MINUTE" and "min" in tok.text.casefold() and numbers and not rest:
        return [Turn(who, 60 * (number - 1), 60) for number in numbers]
    return [Turn(who, None, numbers[0], rest)] if tok.kind == "DUR" and len(numbers) == 1 and numbers[0] else []


def _in_order(turns: list[Turn]) -> bool:
    """Whether several members are told, from A on, and each rest that is told lies between two windows."""
    members = {turn.member for turn in turns}
    timed = {turn.start is None for turn in turns}
    if len(members) < 2 or members != set(range(1, len(members) + 1)) or len(timed) != 1 or len(turns) > MOST:
        return False
    if turns[0].start is None:
        return len(turns) == len(members)
    turns.sort(key=lambda turn: turn.start or 0)
    gaps = [(after, (after.start or 0) - (before.start or 0) - before.seconds) for before, after in pairwise(turns)]
    return turns[0].start == 0 and all(gap >= 0 and after.rest in (0, gap) for after, gap in gaps)


def _round(turns: list[Turn], total: int, often: int) -> list[Turn]:
    """`… and so on, 8 minutes altogether, so each has 4 goes`: round after round."""
    once = sum(turn.seconds + turn.rest for turn in turns)
    rounds, left = divmod(total, once)
    told = turns[0].start is None and not any(turn.rest for turn in turns) and not left and often in (0, rounds)
    return turns * rounds if told and rounds > 1 and rounds * len(turns) <= MOST else []
