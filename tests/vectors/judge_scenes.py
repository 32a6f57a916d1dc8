"""Scenes of lifts that three judges decide, each on a sheet of their own."""

import random
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from app.rules.count.sheet_clock import SheetClock
from app.rules.count.sheets import joined_tally, judged_sheets, refolding, with_bar
from app.rules.count.tally import Tally, fold
from app.rules.records.marks import parse_received
from app.rules.records.rulings import Ruling
from app.rules.records.seats import SheetKind
from app.rules.workout.formats import Format
from tests.builders.cast import Sheet, a_format, a_lift_task, load, take
from tests.vectors.lift_scenes import declare, lift, loaded

Sheets = dict[str, list[dict[str, Any]]]
KINDS: tuple[SheetKind, ...] = ("lane", "second", "third")
THREE: Format = a_format(
    a_lift_task(judges=3, step_after_good=load("2 kg"), may_go_down=False), take("member_best"), members=2, who="any", unit="kg"
)


TIMED: Format = a_format(
    a_lift_task(judges=3, attempt_seconds=5, counts_when="begun", tries_until_racked=False, declare_seconds=1),
    take("member_best"),
    members=2,
    who="any",
    unit="kg",
).model_copy(update={"late_ms": 0})  # all attempts of a mixture but the first are late


def ruled_on(chance: random.Random, made: Sheets) -> list[dict[str, Any]]:
    """Rulings on some of the lane judge's lifts: good, no lift, another's, at another moment; some lifts are ruled on twice."""
    lifts = [mark["id"] for mark in made["lane"] if mark["kind"] == "lift"]
    said: list[dict[str, Any]] = []
    for mark in chance.choices(lifts, k=chance.randint(1, 4)) if lifts else ():
        more: list[dict[str, Any]] = [{}, {"at": 59_000}, {"member": 2}, {"fault": "depth"}]
        said.append({"mark": mark, "good": chance.random() < 0.7} | chance.choice(more))
    return said


def sheets() -> dict[str, Sheet]:
    """The three judges' sheets of one lane, each on its own tablet."""
    made = {}
    for kind in KINDS:
        sheet = Sheet(device=f"tab-{kind}")
        sheet.sheet = f"asg_1/1/{kind}"
        made[kind] = sheet
    return made


def together(format: Format, marks: Mapping[str, list[dict[str, Any]]], ruled: Sequence[Mapping[str, Any]] = ()) -> Tally | None:
    """The lane's tally by the verdicts of all judges who marked anything; `ruled`: what rulings on its lifts say."""
    said = [
        {"id": f"rul_{n}", "kind": "lift", "assignment": "asg_1", "body": body, "by": "Mo", "why": "-"}
        for n, body in enumerate(ruled)
    ]
    clock = SheetClock(ruled=tuple(Ruling.model_validate(one) for one in said))
    parsed: dict[SheetKind, Any] = {kind: [parse_received(mark) for mark in marks.get(kind, [])] for kind in KINDS}
    found = {
        kind: fold(format, with_bar(kind, own, parsed["lane"]), clock) for kind, own in parsed.items() if own or kind == "lane"
    }
    return joined_tally(format, judged_sheets(format, found, refolding(format, parsed, clock)))


def attempt(
    by: Mapping[str, Sheet], at: int, text: str, decisions: Mapping[str, bool], racked: bool = True, says_begun: bool = True
) -> Sheets:
    """One attempt: declared, the bar out, decided by those who decide, racked."""
    declared = declare(by["lane"], at, text)
    begun = by["lane"].mark("begun", at + 1_000, 0, declared=declared["id"])
    made: Sheets = {"lane": [declared, begun], "second": [], "third": []}
    for late, (kind, good) in enumerate(decisions.items()):
        more = {"declared": declared["id"], **({"begun": begun["id"]} if says_begun else {})}
        made[kind].append(lift(by[kind], at + 3_000 + 100 * late, text, good, **more))
    if racked:
        made["lane"].append(by["lane"].mark("racked", at + 3_050, 0, declared=declared["id"]))
    return made


def added(*parts: Sheets) -> Sheets:
    """Several attempts on the same sheets."""
    return {kind: [mark for part in parts for mark in part[kind]] for kind in KINDS}


def scenes() -> Iterator[tuple[str, Sheets]]:
    """Every mixture of decisions on one try, open and racked; then two tries where the first decides what the second may be."""
    choices = (True, False, None)
    for a in choices:
        for b in choices:
            for c in choices:
                said = {kind: good for kind, good in zip(KINDS, (a, b, c), strict=True) if good is not None}
                for racked in (True, False):
                    yield f"{a} {b} {c}, {'racked' if racked else 'open'}", attempt(sheets(), 1_000, "100 kg", said, racked)
    by = sheets()
    overruled = attempt(by, 1_000, "100 kg", {"lane": True, "second": False, "third": False})
    again = attempt(by, 12_000, "100 kg", {"lane": True, "second": True, "third": False})
    yield "overruled, and the same load again", added(overruled, again)
    by = sheets()
    first = attempt(by, 1_000, "100 kg", {"lane": True, "second": True, "third": True}, says_begun=False)
    yield "a load said wrong afterwards", added(first, {**sheetless(), "lane": [loaded(by["lane"], 9_000, "98 kg")]})
    for good in (True, False):
        for racked in (True, False):
            words = f"{'good' if good else 'no lift'}, {'racked' if racked else 'open'}"
            yield f"the lane's later decision was heard first and turns it: {words}", turned(good, racked)


def turned(good: bool, racked: bool) -> Sheets:
    """A try that the lane judge decided on two tablets, the second heard first; another load is declared between, and lifted."""
    by = sheets()
    made = attempt(by, 1_000, "100 kg", {"lane": not good, "second": True, "third": False}, racked)
    (first,) = (mark for mark in made["lane"] if mark["kind"] == "lift")
    again = by["lane"].mark("lift", 9_500, 0, load=first["body"]["load"], good=good, **_named(first)) | {"device": "tab-new"}
    for mark, number in ((first, 2), (again, 1)):
        mark["receipt"] = {"number": number, "seat": "lane", "clock": mark["at"]}
    between = declare(by["lane"], 7_000, "104 kg")
    by["lane"].device = "tab-new"
    next_one = attempt(by, 20_000, "104 kg", {"lane": True, "second": True, "third": True})
    return added(made, {**sheetless(), "lane": [between, again]}, next_one)


def sheetless() -> Sheets:
    """No marks on any sheet."""
    return {kind: [] for kind in KINDS}


def mixture(chance: random.Random) -> Sheets:
    """Attempts with decisions missing, doubled and unnamed, some of them never racked."""
    by = sheets()
    parts = []
    for number in range(chance.randrange(1, 6)):
        said = {kind: chance.random() < 0.6 for kind in KINDS if chance.random() < 0.7}
        text = chance.choice(["100 kg", "102 kg", "104 kg"])
        part = attempt(by, 1_000 + 8_000 * number, text, said, chance.random() < 0.7, chance.random() < 0.5)
        for kind in KINDS:
            lifts = [mark for mark in part[kind] if mark["kind"] == "lift"]
            if lifts and chance.random() < 0.2:
                part[kind].append(_twice(by[kind], lifts[0], chance))
        if chance.random() < 0.2:
            said_again = by["lane"].mark("begun", 3_400 + 8_000 * number, 0, declared=part["lane"][0]["id"])
            part["lane"].append(said_again | {"device": "tab-new", "at": part["lane"][1]["at"] + chance.choice([500, 9_000])})
        parts.append(part)
    return added(*parts)


def _twice(by: Sheet, first: dict[str, Any], chance: random.Random) -> dict[str, Any]:
    """The same try decided by the same judge, mostly on another tablet; in what order the desk heard the two, if it tells."""
    made = by.mark("lift", first["at"] + 2_000, 0, load=first["body"]["load"], good=chance.random() < 0.5, **_named(first))
    made["device"] = chance.choice([first["device"], "tab-new", "tab-new"])
    if chance.random() < 0.6:
        seat = first["sheet"].split("/")[2]
        for mark, number in zip((first, made), chance.choice([(1, 2), (2, 1)]), strict=True):
            mark["receipt"] = {"number": number, "seat": seat, "clock": mark["at"]}
    return made


def _named(mark: dict[str, Any]) -> dict[str, Any]:
    return {key: value for key, value in mark["body"].items() if key in ("declared", "begun")}
