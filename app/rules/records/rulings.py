"""Decisions of the head judge: records, never edits. What they do is in the modules that apply them."""

import re
from collections.abc import Callable, Mapping, Sequence
from itertools import pairwise
from typing import Any, Literal, Self, cast

from pydantic import Field, model_validator

from app.rules.records.holding import LONGEST_MS
from app.rules.records.marks import ID, KEY, MOST_MS, SHEET, VALUE
from app.rules.records.overall_rule import OverallRule
from app.rules.records.roster import Millis
from app.rules.values.shapes import Base, Id, Line, Name
from app.rules.values.texts import NEVER_IN_A_LINE
from app.rules.workout.tasks import MOST_MEMBERS

STATUSES = ("", "did_not_finish", "did_not_start", "withdrawn", "disqualified")
CALLS = ("late", "early", "judge", "other")
DECISIONS = ("upheld", "partly", "refused", "withdrawn")
SIGNERS = ("head", "desk")  # the head judge; the desk, where the head judge has no password and so no page of the own
MOST_ADDED = 9999
MOST_NAMED = 2000  # marks that one ruling may name
RECORD = re.compile(r"[A-Za-z0-9_-]{1,40}")
MOST_LEFT_OUT = 2000  # things that one sign-off may leave out by name
RANGES = re.compile(r"[0-9]{1,16}(-[0-9]{1,16})?(,[0-9]{1,16}(-[0-9]{1,16})?)*")
LIFE = re.compile(r"[A-Za-z0-9_-]{1,40}/[1-9][0-9]{0,15}")  # device/epoch
DIGEST = re.compile(r"[0-9a-f]{64}")
PRINTS = re.compile(r"([0-9a-f]{16})+")  # see signed.PRINT
LINE = 300

RulingKind = Literal[
    "status",
    "penalty",
    "shift",
    "reps",
    "lift",
    "admit",
    "move",
    "stand",
    "run",
    "rerun",
    "medical",
    "number",
    "call",
    "flag",
    "protest",
    "announce",
    "sign_off",
    "undo",
]
OF_EVENT: Mapping[str, str] = {
    "sign_off": "A sign-off names its event.",
    "announce": "An announcement names the event whose result was announced.",
}
ON_LANE = frozenset({"shift", "reps", "lift", "admit", "move", "stand", "run", "rerun", "medical", "number"})


class Ruling(Base):
    """A decision of the head judge, or a record of the day; `body` is by kind. Of two that decide the same the later one holds.

    On a score: status: {"status": one of STATUSES}, "" lifts an earlier one; without an event it holds in all. penalty:
    {"amount": a plain number as text, "score"?: of which score rule}, in the unit of the event's score.
    On a lane assignment: shift: {"ms", "run"}: what its judge marked by a clock started by hand was so much later; 0 takes it
    back. reps: {"add": whole, below zero takes, "window", "run", "marks"?: which are taken}. lift: {"mark", "good", "fault"?,
    "at"?: the moment on the heat clock at which it is counted, "member"?: whose lift it was}. admit: {"marks"}: they wait for a
    ruling, and count as they say. move: {"sheet": of another lane}: it was this entry's work. stand: {"sheet": of this lane,
    "windows"?: in which}: it alone counts there; without windows, wherever somebody judged on it. run: {"run"}: that run counts
    here. rerun: {"again": an assignment of the same entry, "counts": "again" or "original"}. medical: {"state": "stopped"}, or
    "cleared" with {"medic": who said so}. number: {"print": of a mark}: of the marks under its number, or its id, that one
    counts.
    Without effect on a score: call: {"call": one of CALLS}. flag: {"flag": its key, "marks": seen then, "done": "settled" or
    "aside"}. protest: {"protest": its id, "decision": one of DECISIONS}; `why` is the answer.
    announce, of an event: {}: its result was announced at this moment.
    sign_off, of an event: {"state": "signed", "marks": see signed.marks_held, "runs": {heat: number}, "signer"?: one of SIGNERS,
    "left_out"?: what was not settled, each {"key", "what", "why"}, "overall": how the overall standing was made, an OverallRule
    or null}, or {"state": "open"}. In one of an older version "marks" are ranges of numbers only, and "overall" is not said.
    undo: {"ruling": id}: as if that earlier one had not been made.
    """

    id: Id
    kind: RulingKind
    assignment: Id | None = None
    entry: Id | None = None
    event: Id | None = None
    body: dict[str, Any] = Field(default_factory=dict)
    by: Name
    why: Line
    made_wall_ms: Millis = 0

    @property
    def order(self) -> tuple[int, str]:
        """The order of rulings: when they were made; the id settles what could otherwise be equal."""
        return (self.made_wall_ms, self.id)

    @model_validator(mode="after")
    def _says(self) -> Self:
        fits, sentence = BODIES[self.kind]
        if not fits(self.body):
            raise ValueError(sentence)
        if self.kind in ON_LANE and self.assignment is None:
            raise ValueError("A shift of a clock names its lane assignment." if self.kind == "shift" else NO_LANE)
        if self.kind in OF_EVENT and self.event is None:
            raise ValueError(OF_EVENT[self.kind])
        if self.kind == "rerun" and self.entry is None:
            raise ValueError("A ruling on a rerun names the entry that runs again.")
        named = self.assignment or (self.entry and (self.event or self.kind == "status"))
        if self.kind in ("status", "penalty") and not named:
            raise ValueError("A ruling names a lane assignment or an entry, and a penalty on an entry its event too.")
        return self


NO_LANE = "A ruling on what was done on a lane names its lane assignment."


def _whole(value: object, low: int, high: int) -> bool:
    return type(value) is int and low <= value <= high  # true is no number here


def _run(value: object) -> bool:
    return _whole(value, 1, 9999)


def _text(value: object, pattern: re.Pattern[str]) -> bool:
    return isinstance(value, str) and pattern.fullmatch(value) is not None


def _ids(value: object) -> bool:
    return isinstance(value, list | tuple) and len(value) <= MOST_NAMED and all(_text(one, ID) for one in value)


def _fields(body: Mapping[str, Any], needed: set[str], may: set[str] | None = None) -> bool:
    return needed <= set(body) <= needed | (may or set())


def _status(body: Mapping[str, Any]) -> bool:
    return _fields(body, {"status"}) and body["status"] in STATUSES


def _penalty(body: Mapping[str, Any]) -> bool:
    return _fields(body, {"amount"}, {"score"}) and _text(body["amount"], VALUE) and _text(body.get("score", "s"), KEY)


def _shift(body: Mapping[str, Any]) -> bool:
    return _fields(body, {"ms", "run"}) and _whole(body["ms"], -LONGEST_MS, LONGEST_MS) and _run(body["run"])


def _reps(body: Mapping[str, Any]) -> bool:
    if not _fields(body, {"add", "window", "run"}, {"marks"}) or not _whole(body["add"], -MOST_ADDED, MOST_ADDED):
        return False
    named = body.get("marks", [])
    taken = not named or (body["add"] < 0 and _ids(named) and len(named) == -body["add"])
    return bool(body["add"]) and _whole(body["window"], 0, 999) and _run(body["run"]) and taken


def _lift(body: Mapping[str, Any]) -> bool:
    said = (
        _fields(body, {"mark", "good"}, {"fault", "at", "member"}) and _text(body["mark"], ID) and isinstance(body["good"], bool)
    )
    about = _text(body.get("fault", "f"), KEY) and _whole(body.get("member", 1), 1, MOST_MEMBERS)
    return said and about and _whole(body.get("at", 0), -MOST_MS, MOST_MS)


def _admit(body: Mapping[str, Any]) -> bool:
    return _fields(body, {"marks"}) and _ids(body["marks"]) and len(body["marks"]) > 0


def _sheet(body: Mapping[str, Any]) -> bool:
    return _fields(body, {"sheet"}) and _text(body["sheet"], SHEET)


def _stand(body: Mapping[str, Any]) -> bool:
    said = _fields(body, {"sheet"}, {"windows"}) and _text(body["sheet"], SHEET)
    return said and ("windows" not in body or _windows(body["windows"]))


def _windows(value: object) -> bool:
    """Windows of an event by their index, each once, at least one."""
    listed = isinstance(value, list | tuple) and 0 < len(value) == len(set(map(str, value)))
    return listed and all(_whole(one, 0, 999) for one in cast(Sequence[object], value))


def _rerun(body: Mapping[str, Any]) -> bool:
    return _fields(body, {"again", "counts"}) and _text(body["again"], RECORD) and body["counts"] in ("again", "original")


def _medical(body: Mapping[str, Any]) -> bool:
    if body.get("state") == "stopped":
        return set(body) == {"state"}
    medic = body.get("medic")
    named = isinstance(medic, str) and 0 < len(medic.strip()) <= 120 and not NEVER_IN_A_LINE.search(medic)
    return _fields(body, {"state", "medic"}) and body["state"] == "cleared" and named


def _call(body: Mapping[str, Any]) -> bool:
    return _fields(body, {"call"}) and body["call"] in CALLS


def _flag(body: Mapping[str, Any]) -> bool:
    flag = body.get("flag")
    named = isinstance(flag, str) and 0 < len(flag) <= 200 and not NEVER_IN_A_LINE.search(flag)
    return _fields(body, {"flag", "marks", "done"}) and named and _ids(body["marks"]) and body["done"] in ("settled", "aside")


def _protest(body: Mapping[str, Any]) -> bool:
    return _fields(body, {"protest", "decision"}) and _text(body["protest"], RECORD) and body["decision"] in DECISIONS


def _sign_off(body: Mapping[str, Any]) -> bool:
    if body.get("state") == "open":
        return set(body) == {"state"}
    marks, runs = body.get("marks"), body.get("runs")
    if not _fields(body, {"state", "marks", "runs"}, {"signer", "left_out", "overall"}) or body["state"] != "signed":
        return False
    if not isinstance(marks, dict) or not isinstance(runs, dict) or body.get("signer", "head") not in SIGNERS:
        return False
    held = all(_text(name, LIFE) for name in marks) and all(map(_life, marks.values())) and all(map(_run, runs.values()))
    return held and _left_out(body.get("left_out", [])) and _overall(body.get("overall"))


def _overall(said: object) -> bool:
    """Whether it says how an overall standing is made, or that there is none."""
    try:
        return said is None or (isinstance(said, dict) and OverallRule.model_validate(said) is not None)
    except ValueError:
        return False


def _life(said: object) -> bool:
    """Whether it says which marks of a tablet's life are held; as many prints as numbers, so that reading it takes no more."""
    if isinstance(said, str):
        return _text(said, RANGES)
    if not isinstance(said, dict) or not _fields(said, {"numbers", "prints", "head"}) or not _text(said["numbers"], RANGES):
        return False
    bounds = [(int(first), int(last or first)) for first, _, last in (part.partition("-") for part in said["numbers"].split(","))]
    number = sum(last - first + 1 for first, last in bounds)
    rising = all(first <= last for first, last in bounds) and all(a[1] < b[0] for a, b in pairwise(bounds))
    return rising and _text(said["prints"], PRINTS) and len(said["prints"]) == 16 * number and _text(said["head"], DIGEST)


def _left_out(said: object) -> bool:
    return (
        isinstance(said, list | tuple)
        and len(said) <= MOST_LEFT_OUT
        and all(isinstance(one, dict) and _fields(one, {"key", "what", "why"}) and all(map(_line, one.values())) for one in said)
    )


def _line(value: object) -> bool:
    return isinstance(value, str) and 0 < len(value) <= LINE and not NEVER_IN_A_LINE.search(value)


def _number(body: Mapping[str, Any]) -> bool:
    return _fields(body, {"print"}) and _text(body["print"], DIGEST)


def _undo(body: Mapping[str, Any]) -> bool:
    return _fields(body, {"ruling"}) and _text(body["ruling"], RECORD)


def _one_run(body: Mapping[str, Any]) -> bool:
    return _fields(body, {"run"}) and _run(body["run"])


# What the body of each kind must be, and the sentence where it is not.
BODIES: Mapping[str, tuple[Callable[[Mapping[str, Any]], bool], str]] = {
    "status": (_status, f"A status ruling says its status: one of {', '.join(STATUSES[1:])}, or empty to lift one."),
    "penalty": (_penalty, "A penalty says its amount as text, such as “5” or “2.5”."),
    "shift": (_shift, "A shift of a lane's clock says by how many milliseconds, and in which run: whole numbers."),
    "reps": (_reps, "A ruling on repetitions says how many are added or, below zero, taken, in which window and which run."),
    "lift": (_lift, "A ruling on a lift names its mark and says whether it is good."),
    "admit": (_admit, "A ruling that lets marks count names them."),
    "move": (_sheet, "A sheet that is moved is named: assignment/run/kind."),
    "stand": (_stand, "The sheet that stands is named: assignment/run/kind, and in which windows, if not in all that it judged."),
    "run": (_one_run, "A ruling on runs says which run counts."),
    "rerun": (_rerun, "A rerun names the lane assignment on which it is run again, and which of the two counts."),
    "medical": (_medical, "A medical stop is cleared by a medic who is named."),
    "number": (_number, "A ruling on a number that was used twice names the mark that counts by its print."),
    "call": (_call, f"A call of the day is one of {', '.join(CALLS)}."),
    "flag": (_flag, "A flag is settled or set aside by its key, with the marks that were seen."),
    "protest": (_protest, f"A protest is decided by its id: {', '.join(DECISIONS)}."),
    "announce": (lambda body: not body, "An announcement says its event and its moment, nothing else."),
    "sign_off": (_sign_off, "A sign-off says which marks and which runs it holds, or opens the event again."),
    "undo": (_undo, "A ruling that takes another back names it."),
}
