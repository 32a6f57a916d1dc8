"""Marks: the small immutable facts that a judge's tablet makes, and what makes one acceptable.

A mark is refused only when it can't be understood. One that is merely odd (after the bell, too fast, too heavy) is accepted
here and flagged by the tally: the judge on the floor is the witness.
"""

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from functools import lru_cache
from sys import intern
from typing import Any, cast

from app.rules.records.kinds import BODY, KINDS, ROWS, Kind
from app.rules.records.receipts import BadReceipt, Receipt, read_receipt, receipt_plain
from app.rules.records.seats import SHEET_KINDS, SheetKind
from app.rules.values.texts import NEVER
from app.rules.values.units import BadMeasure, Load
from app.rules.workout.openers import MOST_PLANNED

MOST_MARKS = 200  # in one request
MOST_TRIES = 10_000  # of all lifters at one bar
MOST_TEXT = 500
MOST_ITEMS = 40
MOST_MS = 24 * 3600 * 1000
MOST_SEQ = 2**53 - 1
MOST_WINDOW = 999

ID = re.compile(r"[0-9a-f]{32}")
DEVICE = re.compile(r"[A-Za-z0-9_-]{1,40}")
SHEET = re.compile(rf"(?P<assignment>[A-Za-z0-9_-]{{1,40}})/(?P<run>[1-9][0-9]{{0,3}})/(?P<kind>{'|'.join(SHEET_KINDS)})")
KEY = re.compile(r"[a-z0-9][a-z0-9_-]{0,39}")
VALUE = re.compile(r"-?[0-9]{1,9}(\.[0-9]{1,6})?")
TAPE = re.compile(r"[0-9]{1,4}(\.[0-9]{1,4})?")


class BadMark(ValueError):
    """Raised when a mark can't be understood; its text is the sentence that the tablet shows."""


@dataclass(frozen=True, slots=True)
class Mark:
    """One entry on a sheet.

    id: 32 hex digits made on the tablet (UUID version 7). sheet: see sheet_key. device, epoch, seq: which tablet, which life
    of its store, which number there. at: milliseconds on the heat clock, 0 is GO, negative before it. err: the tablet's own
    bound on the error of `at`, in milliseconds. win: index of the window that the judge's screen counted for, if any. body:
    by kind, see kinds.ROWS. `at` is by the clock that the tablet had; what it did not know of is set right by
    rules/count/sheet_clock.py. receipt: what the desk knew when the mark came; it is no part of what the tablet says, and None
    while the mark has not come, or where that is not known.
    """

    id: str
    sheet: str
    device: str
    epoch: int
    seq: int
    kind: Kind
    at: int
    err: int
    win: int | None
    body: Mapping[str, Any]
    receipt: Receipt | None = field(default=None, compare=False)

    @property
    def order(self) -> tuple[int, str, int, int, str]:
        """The order of marks on a sheet: time, device, sequence; the id settles what could otherwise be equal."""
        return (self.at, self.device, self.epoch, self.seq, self.id)


@dataclass(frozen=True, slots=True)
class SheetKey:
    """Which record a mark stands on: a lane assignment, the run of its heat (1 is the first GO), the kind of sheet."""

    assignment: str
    run: int
    kind: SheetKind

    def text(self) -> str:
        """The key as marks carry it: `asg_x/1/lane`."""
        return f"{self.assignment}/{self.run}/{self.kind}"


@lru_cache(maxsize=4096)
def sheet_key(text: str) -> SheetKey:
    """Reads `assignment/run/kind`. Raises BadMark."""
    found = SHEET.fullmatch(text)
    if found is None:
        raise BadMark("The mark names no sheet that could exist (assignment/run/kind).")
    return SheetKey(found["assignment"], int(found["run"]), cast(SheetKind, found["kind"]))


# Most marks of a day say nothing more: they share this one, which nobody changes. Sheets, devices and kinds are shared as well
# (`intern`), for a hundred thousand marks stay in memory.
NO_BODY: Mapping[str, Any] = {}
SAYS_ENOUGH = frozenset(kind for kind in KINDS if not any(BODY[kind].values()))  # without a body
FIELDS = frozenset({"id", "sheet", "device", "epoch", "seq", "kind", "at", "err", "win", "body"})


def parse_mark(raw: object, *, public: bool = False) -> Mark:
    """One mark from plain JSON values. Raises BadMark with a sentence that names the field.

    `public`: from a public file, where what is private may be left out.
    """
    if not isinstance(raw, Mapping):
        raise BadMark("A mark is a JSON object.")
    if not raw.keys() <= FIELDS:
        raise BadMark(f"A mark has no field {_quoted(min(raw.keys() - FIELDS, key=str))}.")
    kind = raw.get("kind")
    if kind not in KINDS:
        raise BadMark(f"The kind of a mark is one of {', '.join(KINDS)}; not {_quoted(kind)}.")
    sheet = _matching(raw, "sheet", SHEET, "assignment/run/kind")
    body = raw.get("body", {})
    if not isinstance(body, Mapping):
        raise BadMark("The body of a mark is a JSON object.")
    return Mark(
        id=_matching(raw, "id", ID, "32 hex digits"),
        sheet=intern(sheet),
        device=intern(_matching(raw, "device", DEVICE, "letters and digits")),
        epoch=_whole(raw, "epoch", 1, MOST_SEQ),
        seq=_whole(raw, "seq", 1, MOST_SEQ),
        kind=cast(Kind, intern(kind)),
        at=_whole(raw, "at", -MOST_MS, MOST_MS),
        err=_whole(raw, "err", 0, MOST_MS),
        win=None if raw.get("win") is None else _whole(raw, "win", 0, MOST_WINDOW),
        body=parse_body(kind, body, ROWS[cast(Kind, kind)].private if public else ()) or NO_BODY,
    )


def mark_plain(mark: Mark) -> dict[str, Any]:
    """A mark as JSON, as its tablet made it: the inverse of parse_mark."""
    return {
        "id": mark.id,
        "sheet": mark.sheet,
        "device": mark.device,
        "epoch": mark.epoch,
        "seq": mark.seq,
        "kind": mark.kind,
        "at": mark.at,
        "err": mark.err,
        "win": mark.win,
        "body": dict(mark.body),
    }


def parse_received(raw: object, *, public: bool = False) -> Mark:
    """One mark with its receipt, if it has one, from plain JSON values of a ledger; `public` as in parse_mark. Raises BadMark."""
    if not isinstance(raw, Mapping) or "receipt" not in raw:
        return parse_mark(raw, public=public)
    mark = parse_mark({name: value for name, value in raw.items() if name != "receipt"}, public=public)
    try:
        return with_receipt(mark, read_receipt(raw["receipt"]))
    except BadReceipt as wrong:
        raise BadMark(str(wrong)) from None


def received_plain(mark: Mark) -> dict[str, Any]:
    """A mark as JSON, as the ledger holds it: the inverse of parse_received."""
    plain = mark_plain(mark)
    return plain if mark.receipt is None else plain | {"receipt": receipt_plain(mark.receipt)}


def with_receipt(mark: Mark, receipt: Receipt) -> Mark:
    """The mark with what the desk knew when it came. Every mark is made anew so, twice: `dataclasses.replace` takes thrice as
    long."""
    return Mark(
        mark.id,
        mark.sheet,
        mark.device,
        mark.epoch,
        mark.seq,
        mark.kind,
        mark.at,
        mark.err,
        mark.win,
        mark.body,
        receipt,
    )


def at_another(mark: Mark, at: int) -> Mark:
    """The mark at another moment than its tablet's clock gave it: which life of that clock it was made in tells of it no more."""
    if "life" not in mark.body:
        return replace(mark, at=at)
    return replace(mark, at=at, body={name: value for name, value in mark.body.items() if name != "life"})


def body_load(body: Mapping[str, Any]) -> Load:
    """The load in the body of a declaration or a lift."""
    return Load(body["load"]["amount"], body["load"]["unit"])


def for_everybody(mark: Mark) -> Mark:
    """The mark without the fields of its body that are private."""
    private = ROWS[mark.kind].private
    if not any(name in mark.body for name in private):
        return mark
    return replace(mark, body={name: value for name, value in mark.body.items() if name not in private})


def lacking(mark: Mark) -> str:
    """The first field that a mark of this kind must say and that this one does not, or nothing."""
    return next((name for name, needed in BODY[mark.kind].items() if needed and name not in mark.body), "")


def parse_body(kind: Kind, body: Mapping[Any, Any], may_lack: tuple[str, ...] = ()) -> dict[str, Any]:
    """The body of a mark from plain JSON values. Raises BadMark."""
    if not body and kind in SAYS_ENOUGH:
        return {}
    allowed = BODY[kind]
    for name in body:
        if name not in allowed:
            raise BadMark(f"A {kind} mark says nothing about {_quoted(name)}.")
    for name, needed in allowed.items():
        if needed and body.get(name) is None and name not in may_lack:
            raise BadMark(f"A {kind} mark must say its {name}.")
    return {name: _field(kind, name, value) for name, value in body.items() if value is not None}


def _field(kind: Kind, name: str, value: Any) -> Any:
    match name:
        case "member":
            return _between(name, value, 1, 12)
        case "reps":
            return _between(name, value, 1, 1000)
        case "load":
            return _load(value)
        case "loads":
            return _several(name, value, 0, MOST_PLANNED, _load)
        case "side":
            return _several(name, value, 0, MOST_ITEMS, _load)
        case "items":
            return _several(name, value, 1, MOST_ITEMS, lambda item: _words("item", item))
        case "good":
            if not isinstance(value, bool):
                raise BadMark("A lift is good or not: true or false.")
            return value
        case "follows" | "keep" | "record" | "uneven":
            if not isinstance(value, bool):
                raise BadMark(f"The {name} of a mark is true or false; not {_quoted(value)}.")
            return value
        case "between":
            return _between(name, value, 0, MOST_TRIES)
        case "held" | "go":
            return _between(name, value, 0, MOST_MS)
        case "life":
            return _between(name, value, 1, MOST_SEQ)
        case "late" | "moved":
            return _between(name, value, -MOST_MS, MOST_MS)
        case "hand":
            if value is not True:
                raise BadMark("A mark by a clock that was started by hand says hand: true; others say nothing.")
            return value
        case "fault" | "movement":
            return _text_like(name, value, KEY, "a short key")
        case "by":
            return _one_of(name, value, ROWS[kind].said_by)
        case "who":
            return _one_of(name, value, ("judge", "athlete"))
        case "mark" | "declared" | "begun":
            return _text_like(name, value, ID, "the id of a mark")
        case "what":
            return _one_of(name, value, ("line", "reach"))
        case "unit":
            return _one_of(name, value, ("in", "cm"))
        case "value" if kind == "remeasure":
            return _text_like(name, value, TAPE, "a plain number such as 72.75, as text")
        case "value":
            return _text_like(name, value, VALUE, "a plain number such as 12.5, as text")
        case _:
            return _words(name, value)


def _load(value: Any) -> dict[str, str]:
    if not isinstance(value, Mapping) or set(value) != {"amount", "unit"}:
        raise BadMark("A load is an amount and its unit.")
    if not isinstance(value["amount"], str) or not isinstance(value["unit"], str):
        raise BadMark("The amount of a load is text, such as “102.5”, and its unit is kg or lb.")
    try:
        load = Load(value["amount"], cast(Any, value["unit"]))
    except BadMeasure as wrong:
        raise BadMark(str(wrong)) from None
    return {"amount": load.amount, "unit": load.unit}


def _several(name: str, value: Any, least: int, most: int, read: Callable[[Any], Any]) -> list[Any]:
    if not isinstance(value, list | tuple) or not least <= len(value) <= most:
        raise BadMark(f"The {name} of a mark are a list of {least} to {most}.")
    return [read(one) for one in value]


def _words(name: str, value: Any) -> str:
    if not isinstance(value, str) or not value.strip() or len(value) > MOST_TEXT:
        raise BadMark(f"The {name} of a mark is a text of 1 to {MOST_TEXT} characters.")
    if NEVER.search(value):
        raise BadMark(f"The {name} of a mark holds control characters.")
    return value


def _one_of(name: str, value: Any, allowed: tuple[str, ...]) -> str:
    if value not in allowed:
        raise BadMark(f"The {name} of a mark is one of {', '.join(allowed)}; not {_quoted(value)}.")
    return cast(str, value)


def _text_like(name: str, value: Any, pattern: re.Pattern[str], what: str) -> str:
    if not isinstance(value, str) or not pattern.fullmatch(value):
        raise BadMark(f"The {name} of a mark is {what}; not {_quoted(value)}.")
    return value


def _matching(raw: Mapping[Any, Any], name: str, pattern: re.Pattern[str], what: str) -> str:
    return _text_like(name, raw.get(name), pattern, what)


def _whole(raw: Mapping[Any, Any], name: str, low: int, high: int) -> int:
    return _between(name, raw.get(name), low, high)


def _between(name: str, value: Any, low: int, high: int) -> int:
    if not isinstance(value, int) or isinstance(value, bool) or not low <= value <= high:
        raise BadMark(f"The {name} of a mark is a whole number from {low} to {high}; not {_quoted(value)}.")
    return value


def _quoted(value: object) -> str:
    """What was said instead, short. Deep lists and huge numbers are named and not written out: that alone could fail."""
    if isinstance(value, list | tuple | Mapping):
        return "a list or an object"
    if isinstance(value, int) and abs(value) >= 10**40:
        return "a number of more than forty digits"
    text = ascii(value)
    return text if len(text) <= 42 else text[:40] + "…"
