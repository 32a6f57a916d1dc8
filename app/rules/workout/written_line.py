"""One line of written work taken apart: `A: 10 step-ups (each leg) = 20 @ 20 kg`, `400 m run`, `row 20 cal`."""

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace

from app.rules.values.texts import unfit
from app.rules.values.units import BadMeasure, Load, LoadUnit, parse_load, shown
from app.rules.workout.tasks import Who
from app.rules.workout.words import member_letter

MOST_LINE = 300
MOST_NOTE = 200
MOST_AMOUNT = 100_000

UNITS: Mapping[str, str] = {
    **dict.fromkeys(("m", "meter", "meters", "metre", "metres"), "m"),
    **dict.fromkeys(("km", "kilometer", "kilometers", "kilometre", "kilometres"), "km"),
    **dict.fromkeys(("ft", "feet", "foot"), "ft"),
    **dict.fromkeys(("mi", "mile", "miles"), "mi"),
    **dict.fromkeys(("yd", "yard", "yards"), "yd"),
    **dict.fromkeys(("cal", "cals", "calorie", "calories"), "cal"),
    "kj": "kJ",
    **dict.fromkeys(("s", "sec", "secs", "second", "seconds"), "s"),
    **dict.fromkeys(("min", "mins", "minute", "minutes"), "min"),
}
_UNIT = "|".join(sorted(UNITS, key=len, reverse=True))
_NUMBER = r"\d{1,6}(?:[.,]\d{1,2})?"
MEMBERS = re.compile(r"([A-La-l](?:\s*\+\s*[A-La-l])*)\s*:\s*")
TIMED = re.compile(r"(\d{1,3}:[0-5]\d)\s+", re.IGNORECASE)
MEASURED = re.compile(rf"({_NUMBER})\s*({_UNIT})\b\.?\s+(?:of\s+)?", re.IGNORECASE)
COUNTED = re.compile(r"(\d{1,6})\s*(?:[x×]\s+|reps?\s+(?:of\s+)?)?(?=\D)", re.IGNORECASE)
BEHIND = re.compile(rf"(.*?\S)\s+({_NUMBER})\s*({_UNIT})", re.IGNORECASE | re.DOTALL)
LOAD = re.compile(
    r"(.*?\S)\s*(?:(?:@|\bat\b|\bwith\b)\s*|\s+)\(?(\d[\d.,]*\s*(?:kgs?|kilos?|kilograms?|lbs?|pounds?|#))\)?", re.I
)
ONLY_LOAD = re.compile(r"(?:@|at\b|with\b)?\s*\(?\d[\d.,]*\s*(?:kgs?|kilos?|kilograms?|lbs?|pounds?|#)\)?", re.IGNORECASE)
BARE_LOAD = re.compile(r"(.*?\S)\s*@\s*([^@]*)")
WORTH = re.compile(r"(.*?\S)\s*=\s*(\d{1,6})")
NOTE = re.compile(r"(.*?\S)\s*\(([^()]*)\)")


class BadWork(ValueError):
    """Raised when written work can't be understood; its text names the line and says what is allowed."""


@dataclass(frozen=True, slots=True)
class WorkLine:
    """A line taken apart; `counted` tells `21 swings` from `swings`. `worth` is None when nothing says it."""

    text: str
    name: str
    reps: int = 1
    worth: int | None = None
    note: str | None = None
    load: Load | None = None
    who: Who | None = None
    counted: bool = True


def taken_apart(piece: str, unit: LoadUnit, members: int = 1) -> WorkLine:
    """Reads one line. `unit` is that of a load without one; `members` how many an entry has. Raises BadWork."""
    if len(piece) > MOST_LINE:
        raise BadWork(f"“{shown(piece)}” is longer than {MOST_LINE} characters.")
    who, rest = _who(piece, members)
    line = WorkLine(text=piece, name=rest, who=who)
    line = _end(line, unit)
    return _amount(line)


def _who(piece: str, members: int) -> tuple[Who | None, str]:
    found = MEMBERS.match(piece)
    if found is None:
        return None, piece
    numbers = sorted({ord(letter.upper()) - ord("A") + 1 for letter in re.findall(r"[A-La-l]", found[1])})
    if members == 1 or numbers[-1] > members:
        least = f"the members are A to {member_letter(members)}" if members > 1 else "one athlete works alone here"
        raise BadWork(f"“{shown(piece)}” names a member who is not there: {least}.")
    return tuple(numbers), piece[found.end() :]


def _end(line: WorkLine, unit: LoadUnit) -> WorkLine:
    """Takes load, worth and note off the end of a line, in whatever order they stand."""
    for _ in range(3):
        if found := LOAD.fullmatch(line.name) or BARE_LOAD.fullmatch(line.name):
            line = replace(line, name=found[1], load=_load(found[2], line, unit))
        elif found := WORTH.fullmatch(line.name):
            line = replace(line, name=found[1], worth=_within(int(found[2]), line.text, least=0))
        elif found := NOTE.fullmatch(line.name):
            line = replace(line, name=found[1], note=_note(found[2], line.text))
    return line


def _load(typed: str, line: WorkLine, unit: LoadUnit) -> Load:
    if line.load is not None:
        raise BadWork(f"“{shown(line.text)}” has two loads. Write one; another division's load goes into its variant.")
    try:
        return parse_load(typed, unit)
    except BadMeasure as wrong:
        raise BadWork(f"“{shown(line.text)}”: {wrong}") from None


def _note(typed: str, text: str) -> str | None:
    if len(typed) > MOST_NOTE or unfit(typed):
        raise BadWork(f"“{shown(text)}”: a note has at most {MOST_NOTE} characters that can be printed.")
    return typed.strip() or None


def _within(number: int, text: str, least: int = 1) -> int:
    if not least <= number <= MOST_AMOUNT:
        raise BadWork(f"“{shown(text)}”: a number here is from {least} to {MOST_AMOUNT}.")
    return number


def _amount(line: WorkLine) -> WorkLine:
    """Takes the amount off the front, or a measured one off the end (`run 400 m`)."""
    name = f"{line.name} "
    if (found := TIMED.match(name)) and found[1].strip("0:"):
        return _measured(line, found[1], name[found.end() :], 1)
    if found := MEASURED.match(name):
        return _measured(line, *_amount_text(found[1], found[2], line.text, name[found.end() :]))
    if found := COUNTED.match(name):
        return replace(line, name=name[found.end() :].strip(), reps=_within(int(found[1]), line.text))
    if found := BEHIND.fullmatch(line.name):
        return _measured(line, *_amount_text(found[2], found[3], line.text, found[1]))
    return replace(line, counted=False)


def _amount_text(number: str, unit: str, text: str, name: str) -> tuple[str, str, int]:
    """(`400 m`, the rest, its worth)."""
    kind = UNITS[unit.casefold()]
    whole = re.fullmatch(r"\d+", number)
    if not number.strip("0.,") or (kind in ("cal", "kJ") and not whole):
        raise BadWork(f"“{shown(text)}”: an amount is more than zero, and calories are whole.")
    amount = f"{number.replace(',', '.')} {kind}"
    return amount, name, _within(int(number), text) if kind in ("cal", "kJ") else 1


def _measured(line: WorkLine, amount: str, name: str, worth: int) -> WorkLine:
    note = amount if line.note is None else f"{amount}, {line.note}"
    return replace(line, name=name.strip(), note=note, worth=worth if line.worth is None else line.worth)


def worth_of(amount: str) -> int:
    """A calorie or a kilojoule is worth one repetition; any other amount is one repetition as a whole."""
    found = re.fullmatch(r"(\d+) (?:cal|kJ)", amount)
    return int(found[1]) if found else 1
