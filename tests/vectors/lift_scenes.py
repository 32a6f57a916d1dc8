"""Scenes of lift windows: bars that are locked, loaded wrong, shared; attempts against the clock."""

import random
from typing import Any

from app.rules.workout.formats import Format, LiftTask, Window
from app.rules.workout.misload import MisloadRule
from tests.builders.cast import Sheet, a_format, a_lift_task, load, plain_load, take

STRICT = MisloadRule(
    light_good="choose", light_missed="again", heavy_missed="again", uneven_good="choose", uneven_missed="again", round_down=True
)


def _two(task: LiftTask) -> Format:
    return a_format(task, take("member_best"), members=2, who="any", unit="kg")


AFTER_A = a_format(a_lift_task(), take("sum"), members=2, unit="kg").model_copy(
    update={"windows": tuple(Window(start=60 * n, seconds=60, task="work", who=(n + 1,)) for n in range(2))}
)
FORMATS: dict[str, Format] = {
    "one bar": _two(a_lift_task(attempts=3, may_go_down=False, step=load("2 kg"), misload=STRICT, counts_when="begun")),
    "a bar each": _two(a_lift_task(attempts=2, bars="each", tries_until_racked=False, misload=STRICT)),
    "on the clock": _two(
        a_lift_task(
            attempt_seconds=10,
            warn_seconds=5,
            step_after_good=load("2 kg"),
            record_step=load("0.5 kg"),
            may_go_down=False,
            counts_when="begun",
            judges=3,
        )
    ),
    "a bar each, on the clock": _two(a_lift_task(attempt_seconds=10, bars="each", counts_when="begun", may_go_down=False)),
    "by the call": _two(a_lift_task(attempt_seconds=10, attempt_from="called", follow_seconds=20, counts_when="begun")),
    "one bar for all lanes": a_format(
        a_lift_task(attempt_seconds=10, follow_seconds=20, order="lightest", counts_when="begun"), take("best"), unit="kg"
    ),
    "declared in time": a_format(
        a_lift_task(
            attempts=4,
            tries_until_racked=False,
            order="rounds",
            misload=STRICT,
            attempt_seconds=20,
            again_seconds=9,
            again_less_seconds=2,
            declare_seconds=4,
            opener_changes=1,
            opener_seconds=5,
            changes=1,
            last_changes=2,
            change_left_seconds=20,
            lower_change="opener",
        ),
        take("best"),
        unit="kg",
    ),
    "the rule's load at once": a_format(
        a_lift_task(
            attempts=4,
            order="lightest",
            misload=STRICT,
            attempt_seconds=10,
            follow_seconds=20,
            declare_seconds=0,
            misses_out=3,
            auto_step=load("1 kg"),
            step_after_good=load("2 kg"),
            changes=2,
            change_left_seconds=5,
            follow_left_seconds=15,
        ),
        take("best"),
        unit="kg",
    ),
    "out after two misses": _two(a_lift_task(misses_out=2, tries_until_racked=False)),
    "free": _two(a_lift_task()),
    "A, then B": AFTER_A,
    "A's window": a_format(a_lift_task(), take("member_best"), members=2, unit="kg"),
}


# Those that have rules of their own about what is declared.
DECLARING = ("declared in time", "the rule's load at once")


def declare(sheet: Sheet, at: int, text: str, member: int = 1, **more: Any) -> dict[str, Any]:
    """A declaration for a member, by the lifter."""
    return sheet.mark("declare", at, 0, load=plain_load(text), by="lifter", member=member, **more)


def lift(sheet: Sheet, at: int, text: str, good: bool, **more: Any) -> dict[str, Any]:
    """The outcome of a lift, with whatever else it says."""
    return sheet.mark("lift", at, 0, load=plain_load(text), good=good, **more)


def loaded(sheet: Sheet, at: int, text: str, **more: Any) -> dict[str, Any]:
    """What the judge says was really on the bar."""
    return sheet.mark("loaded", at, 0, load=plain_load(text), by="judge", **more)


def _locked(sheet: Sheet) -> list[dict[str, Any]]:
    first = declare(sheet, 1_000, "100 kg")
    begun = sheet.mark("begun", 5_000, 0, declared=first["id"])
    late = declare(sheet, 6_000, "104 kg")
    partner = declare(sheet, 7_000, "60 kg", 2)
    return [first, begun, late, partner, lift(sheet, 8_000, "100 kg", True, declared=first["id"])]


def _missed_while_locked(sheet: Sheet) -> list[dict[str, Any]]:
    return [*_locked(sheet)[:-1], lift(sheet, 9_000, "100 kg", False), sheet.mark("racked", 11_000, 0)]


def _unseen(sheet: Sheet) -> list[dict[str, Any]]:
    first, second = declare(sheet, 1_000, "100 kg"), declare(sheet, 3_000, "110 kg")
    begun = sheet.mark("begun", 5_000, 0, declared=first["id"])
    return [first, second, begun, lift(sheet, 8_000, "100 kg", True, declared=first["id"])]


def _two_at_once(sheet: Sheet) -> list[dict[str, Any]]:
    mine, theirs = declare(sheet, 1_000, "100 kg"), declare(sheet, 2_000, "60 kg", 2)
    out = [sheet.mark("begun", 5_000, 0, declared=mine["id"]), sheet.mark("begun", 6_000, 0, declared=theirs["id"])]
    done = [lift(sheet, 8_000, "60 kg", True, declared=theirs["id"]), lift(sheet, 9_000, "100 kg", True, declared=mine["id"])]
    return [mine, theirs, *out, *done]


def _wrong(text: str, good: bool, **more: Any) -> Any:
    def make(sheet: Sheet) -> list[dict[str, Any]]:
        first = declare(sheet, 1_000, "100 kg")
        done = lift(sheet, 8_000, "100 kg", good, declared=first["id"])
        return [first, done, loaded(sheet, 12_000, text, **more), sheet.mark("racked", 14_000, 0)]

    return make


def _each_their_own(sheet: Sheet) -> list[dict[str, Any]]:
    marks: list[dict[str, Any]] = []
    for at, mine, theirs in ((0, "100 kg", "60 kg"), (10_000, "102 kg", "62 kg"), (20_000, "104 kg", "58 kg")):
        for shift, text, member in ((0, mine, 1), (1_000, theirs, 2)):
            declared = declare(sheet, at + shift, text, member)
            marks += [declared, lift(sheet, at + 5_000 + shift, text, True, declared=declared["id"])]
    return marks


def _again_after_the_others_lift(sheet: Sheet) -> list[dict[str, Any]]:
    """A's bar was loaded wrong; B lifts; then A's is loaded anew for the try that is made again."""
    mine, theirs = declare(sheet, 1_000, "100 kg"), declare(sheet, 2_000, "60 kg", 2)
    missed = lift(sheet, 5_000, "100 kg", False, declared=mine["id"])
    told = loaded(sheet, 6_000, "104 kg", declared=mine["id"])
    other = lift(sheet, 7_000, "60 kg", True, declared=theirs["id"])
    anew = sheet.mark("loaded", 8_000, 0, load=plain_load("100 kg"), by="loader", declared=mine["id"])
    return [mine, theirs, missed, told, other, anew, lift(sheet, 9_000, "100 kg", True, declared=mine["id"])]


def _against_the_clock(sheet: Sheet) -> list[dict[str, Any]]:
    marks: list[dict[str, Any]] = []
    for at, out, text, more in (
        (1_000, 10_999, "100 kg", {}),
        (14_000, 24_500, "101 kg", {}),
        (30_000, 31_000, "100.5 kg", {"record": True}),
        (45_000, 61_000, "110 kg", {}),
    ):
        declared = declare(sheet, at, text, **more)
        begun = sheet.mark("begun", out, 0, declared=declared["id"])
        done = lift(sheet, out + 2_000, text, True, declared=declared["id"])
        marks += [declared, begun, done, sheet.mark("racked", out + 2_500, 0)]
    return marks


def called(sheet: Sheet, at: int, declared: dict[str, Any], **more: Any) -> dict[str, Any]:
    """The lifter of a declaration is called to the bar."""
    return sheet.mark("called", at, 0, declared=declared["id"], **more)


def _by_the_call(sheet: Sheet) -> list[dict[str, Any]]:
    """Called, then loaded: in time; called again late by themselves: the longer time; nobody called: no clock; then too late."""
    marks: list[dict[str, Any]] = []
    for at, out, text, member, words in (
        (1_000, 14_000, "100 kg", 1, (("called", 2_000), ("loaded", 5_000))),
        (16_000, 35_500, "102 kg", 1, (("loaded", 16_500), ("called", 17_000))),
        (37_000, 41_000, "104 kg", 2, ()),
        (42_000, 55_500, "106 kg", 1, (("loaded", 42_100), ("called", 43_000))),
    ):
        said = declare(sheet, at, text, member)
        told = [called(sheet, t, said) if w == "called" else loaded(sheet, t, text, declared=said["id"]) for w, t in words]
        begun = sheet.mark("begun", out, 0, declared=said["id"], member=member)
        marks += [said, *told, begun, lift(sheet, out + 500, text, True, declared=said["id"], member=member)]
    return marks


def _one_bar_for_all_lanes(sheet: Sheet) -> list[dict[str, Any]]:
    """A lane's own sheet tells of nobody who lifted between: the call says who follows themselves."""
    marks: list[dict[str, Any]] = []
    for at, out, text, follows in (
        (1_000, 31_000, "100 kg", None),
        (33_000, 46_000, "101 kg", False),
        (47_000, 59_000, "102 kg", True),
    ):
        said = declare(sheet, at, text)
        told = [] if follows is None else [called(sheet, at + 500, said, follows=follows)]
        begun = sheet.mark("begun", out, 0, declared=said["id"])
        marks += [said, *told, begun, lift(sheet, out + 500, text, True, declared=said["id"])]
    return [*marks, declare(sheet, 59_900, "104 kg")]


def _out_after_two_misses(sheet: Sheet) -> list[dict[str, Any]]:
    marks: list[dict[str, Any]] = []
    for n, (member, good) in enumerate(
        ((1, False), (2, False), (1, True), (2, False), (1, False), (2, True), (1, False), (1, True))
    ):
        said = declare(sheet, 6_000 * n, f"{100 + n} kg", member)
        marks += [said, lift(sheet, 6_000 * n + 3_000, f"{100 + n} kg", good, declared=said["id"])]
    return marks


def _declared_before_the_rack(sheet: Sheet) -> list[dict[str, Any]]:
    """Missed, the next load said at once, then racked: the time of the next attempt runs from the rack."""
    first = declare(sheet, 1_000, "100 kg")
    missed = [sheet.mark("begun", 9_000, 0, declared=first["id"]), lift(sheet, 11_000, "100 kg", False, declared=first["id"])]
    second = declare(sheet, 12_000, "102 kg")
    racked = sheet.mark("racked", 14_000, 0, declared=first["id"])
    begun = sheet.mark("begun", 23_000, 0, declared=second["id"])
    return [first, *missed, second, racked, begun, lift(sheet, 25_000, "102 kg", True, declared=second["id"])]


def _racked_unnamed(sheet: Sheet) -> list[dict[str, Any]]:
    """The same by an old tablet, whose mark of the rack names nothing; the next load is the other lifter's."""
    first, begun, missed, _, racked, *_ = _declared_before_the_rack(sheet)
    second = declare(sheet, 12_500, "102 kg", 2)
    racked = {**racked, "body": {}}
    out = sheet.mark("begun", 23_000, 0, declared=second["id"])
    return [first, begun, missed, second, racked, out, lift(sheet, 25_000, "102 kg", True, declared=second["id"])]


def _old_one_taken_back(sheet: Sheet) -> list[dict[str, Any]]:
    """The same, and the first declaration is taken back long after it was lifted."""
    marks = _declared_before_the_rack(sheet)
    return [*marks, sheet.strike(40_000, marks[0]), sheet.mark("racked", 41_000, 0, declared=marks[3]["id"])]


def _named_in_its_declaration_alone(sheet: Sheet) -> list[dict[str, Any]]:
    """Whose lift it was is said in a declaration that is taken back long after; the next one is in time."""
    marks: list[dict[str, Any]] = []
    for at, text, good in ((1_000, "100 kg", False), (20_000, "102 kg", True)):
        said = declare(sheet, at, text, 2)
        begun = sheet.mark("begun", at + 8_000, 0, declared=said["id"])
        tried = lift(sheet, at + 9_000, text, good, declared=said["id"])
        marks += [said, begun, tried, sheet.mark("racked", at + 18_500, 0, declared=said["id"])]
    return [*marks, sheet.strike(50_000, marks[0])]


def _others_in_as_window(sheet: Sheet) -> list[dict[str, Any]]:
    marks = [declare(sheet, 1_000, "100 kg"), lift(sheet, 5_000, "100 kg", True)]
    for at, member in ((10_000, 2), (20_000, 3), (30_000, 12)):
        said = declare(sheet, at, "350 kg", member)
        bar = [sheet.mark("begun", at + 1_000, 0, declared=said["id"]), loaded(sheet, at + 1_500, "351 kg", declared=said["id"])]
        marks += [said, *bar, lift(sheet, at + 2_000, "350 kg", True, declared=said["id"])]
    return [*marks, lift(sheet, 50_000, "101 kg", True)]


def _b_declares_while_a_lifts(sheet: Sheet) -> list[dict[str, Any]]:
    """B's load is said for B's own window while A's bar is out, changed while A's is judged, and stands when B's turn comes."""
    first = declare(sheet, 10_000, "100 kg")
    out = sheet.mark("begun", 20_000, 0, declared=first["id"])
    early = sheet.mark("declare", 22_000, 1, load=plain_load("60 kg"), by="lifter", member=2)
    judged = lift(sheet, 25_000, "100 kg", True, declared=first["id"])
    changed = sheet.mark("declare", 26_000, 1, load=plain_load("62 kg"), by="lifter", member=2)
    begun = sheet.mark("begun", 70_000, 1, declared=changed["id"])
    done = sheet.mark("lift", 75_000, 1, load=plain_load("62 kg"), good=True, declared=changed["id"])
    return [first, out, early, judged, changed, sheet.mark("racked", 30_000, 0, declared=first["id"]), begun, done]


def _b_said_once(sheet: Sheet) -> list[dict[str, Any]]:
    """Said before GO by B, said again for A's window, which is not B's: that one counts nowhere."""
    return [
        sheet.mark("declare", -5_000, 1, load=plain_load("60 kg"), by="lifter", member=2),
        sheet.mark("declare", 5_000, 0, load=plain_load("61 kg"), by="lifter", member=2),
    ]


SCENES: list[tuple[str, str, Any]] = [
    ("the next load is said before the bar is racked", "on the clock", _declared_before_the_rack),
    ("the bar is racked by a mark that names nothing", "on the clock", _racked_unnamed),
    ("one bar of two is racked by a mark that names nothing", "a bar each, on the clock", _racked_unnamed),
    ("the time runs from the call and the bar's being ready", "by the call", _by_the_call),
    ("the time runs from the call at a bar that lanes share", "one bar for all lanes", _one_bar_for_all_lanes),
    ("misses running put a lifter out", "out after two misses", _out_after_two_misses),
    ("an old declaration is taken back", "on the clock", _old_one_taken_back),
    ("an old declaration is taken back at a bar each", "a bar each", _old_one_taken_back),
    ("a declaration that alone named the lifter is taken back", "a bar each, on the clock", _named_in_its_declaration_alone),
    ("a declaration that alone named the lifter is taken back at one bar", "on the clock", _named_in_its_declaration_alone),
    ("declared while the bar was out", "one bar", _locked),
    ("declared while the bar was out, and missed", "one bar", _missed_while_locked),
    ("the bar left under a declaration that had been replaced", "one bar", _unseen),
    ("two lifters on one bar", "one bar", _two_at_once),
    ("two lifters at a bar each", "a bar each", _two_at_once),
    ("too light and good, not chosen yet", "one bar", _wrong("95.5 kg", True)),
    ("too light and good, kept", "one bar", _wrong("95.5 kg", True, keep=True)),
    ("too light and good, to be lifted again", "one bar", _wrong("95.5 kg", True, keep=False)),
    ("too light and missed", "one bar", _wrong("95.5 kg", False)),
    ("too heavy and good", "one bar", _wrong("225 lb", True)),
    ("too heavy and missed", "one bar", _wrong("225 lb", False)),
    ("uneven and good", "one bar", _wrong("100 kg", True, uneven=True)),
    ("uneven and missed", "one bar", _wrong("100 kg", False, uneven=True)),
    ("loaded as declared after all", "one bar", _wrong("100.0 kg", True)),
    ("loaded wrong where all is kept", "free", _wrong("95.5 kg", True)),
    ("two lifters, each with attempts of their own", "a bar each", _each_their_own),
    ("lifted again at a bar each, after the other's lift", "a bar each", _again_after_the_others_lift),
    ("two lifters in turn at one bar, no going down", "one bar", _each_their_own),
    ("attempts against the clock, a record among them", "on the clock", _against_the_clock),
    ("lifts of others in a member's window", "A's window", _others_in_as_window),
    ("B declares while A lifts", "A, then B", _b_declares_while_a_lifts),
    ("B has declared before GO, and for a window of A's", "A, then B", _b_said_once),
    ("a load said for nothing", "free", lambda sheet: [loaded(sheet, 1_000, "100 kg"), lift(sheet, 2_000, "100 kg", True)]),
]  # fmt: skip


def mixture(chance: random.Random, sheet: Sheet) -> list[dict[str, Any]]:
    """Two lifters and their judge in no order at all."""
    marks: list[dict[str, Any]] = []
    declared: list[str] = []
    for _ in range(chance.randrange(8, 40)):
        at, text = chance.randrange(-500, 64_000), chance.choice(["100 kg", "102 kg", "101 kg", "98 kg", "225 lb"])
        member = {"member": chance.choice([1, 2])} if chance.random() < 0.7 else {}
        named = {"declared": chance.choice(declared)} if declared and chance.random() < 0.7 else {}
        match chance.choice(["declare", "declare", "called", "begun", "begun", "lift", "lift", "lift", "racked", "loaded"]):
            case "declare":
                record = {"record": True} if chance.random() < 0.2 else {}
                by = "rule" if chance.random() < 0.2 else "lifter"
                mark = sheet.mark("declare", at, 0, load=plain_load(text), by=by, **member, **record)
                declared.append(mark["id"])
            case "called":
                mark = sheet.mark(
                    "called", at, 0, **member, **named, **({"follows": True, "between": 1} if chance.random() < 0.2 else {})
                )
            case "begun":
                mark = sheet.mark("begun", at, 0, **member, **named)
            case "lift":
                mark = lift(sheet, at, text, chance.random() < 0.6, **member, **named)
            case "racked":
                mark = sheet.mark("racked", at, 0, **named)
            case _:
                mark = loaded(sheet, at, text, **member, **named, **({"uneven": True} if chance.random() < 0.2 else {}))
        marks.append(mark)
    chance.shuffle(marks)
    return marks


def _grown(members: int = 1, windows: int = 3, **task: Any) -> Format:
    """Minutes in which a load grows from 60 by way of 65 to 75 kg, and on by 5."""
    said = {"loads": tuple(map(load, ("60 kg", "65 kg", "75 kg"))), "rise": load("5 kg"), **task}
    who: Any = (1,) if members == 1 else "any"
    return a_format(a_lift_task(**said), take("member_best"), windows=windows, members=members, who=who, unit="kg")


GROWN: dict[str, Format] = {
    "after each good lift": _grown(misses_out=2, windows=1),
    "one miss": _grown(misses_out=1, windows=2),
    "from window to window": _grown(rises="window", windows=5),
    "two, from window to window": _grown(2, rises="window", misses_out=2),
    "a list that ends, in pounds": _grown(2, loads=(load("135 lb"), load("145 lb")), rise=None, rises="window"),
    "beyond what is believed": _grown(loads=(load("1990 kg"),), rise=load("7.5 kg"), rises="window"),
}


def climbs(chance: random.Random, format: Format) -> list[dict[str, Any]]:
    """Lifts of loads about as heavy as they are asked for, good and missed, some of them wrong, in no order."""
    sheet, marks = Sheet(), []
    for at in range(2_000, format.length_ms, chance.randrange(4_000, 15_000)):
        asked = format.asked_load(at // 60_000)
        assert asked is not None
        text = chance.choice([asked.text(), asked.text(), "60 kg", "65 kg", "75 kg", "80 kg", "145 lb"])
        member = {"member": chance.choice([1, 2])} if format.members > 1 and chance.random() < 0.8 else {}
        marks.append(sheet.mark("lift", at, load=plain_load(text), good=chance.random() < 0.75, **member))
    chance.shuffle(marks)
    return marks
