"""What a lifter's next declaration is for: the rule's own load, changes that are allowed, and a bar that does not go down."""

import random
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from app.rules.count.lift_order import BarLane, called_next
from app.rules.count.lifting.bar_floor import bar_floor, declared_below
from app.rules.count.lifting.bars import Said
from app.rules.count.lifting.next_attempt import REFUSALS, NextAttempt, automatic, changes_allowed, least_that_counts, refused
from app.rules.count.sheet_clock import SheetClock
from app.rules.count.tally import Tally, fold
from app.rules.records.marks import parse_mark
from app.rules.records.rulings import Ruling
from app.rules.values.units import Load
from app.rules.workout.formats import Format, LiftTask, Window
from app.rules.workout.meet.declaring import KNOBS, RISES
from app.rules.workout.meet.published import FROM_MEMORY, PUBLISHED, ROUNDS_LAST
from app.rules.workout.misload import POWERLIFTING
from app.rules.workout.task_fields import LIFT
from tests.builders.cast import Plain, Sheet, a_format, a_lift_task, load, plain_load, take, tallied
from tests.builders.platforms import a_meet
from tests.vectors.lift_scenes import DECLARING, FORMATS, mixture

ERR_MS = 3  # of the clock that tests' marks are made by
DUE = {"tries_until_racked": False, "attempts": 3, "declare_seconds": 60}


def _format(**task: Any) -> Format:
    return _long(a_lift_task(**DUE | {"order": "rounds"} | task))


def _long(task: LiftTask) -> Format:
    """Ten minutes of a lift."""
    windows = (Window(start=0, seconds=600, task="work", who=(1,)),)
    return a_format(task, take("best"), unit="kg").model_copy(update={"windows": windows})


def _flags(tally: Tally) -> dict[str, list[str]]:
    """Why each odd mark is, by its id."""
    return {flag.mark: [other.why for other in tally.flags if other.mark == flag.mark] for flag in tally.flags}


class Card:
    """One lifter's sheet: what is declared and what came of it."""

    def __init__(self) -> None:
        self.sheet, self.marks = Sheet(), list[Plain]()

    def put(self, kind: str, at: int, **body: Any) -> Plain:
        self.marks.append(self.sheet.mark(kind, at, 0, **body))
        return self.marks[-1]

    def declare(self, at: int, text: str, by: str = "desk") -> Plain:
        return self.put("declare", at, load=plain_load(text), by=by)

    def lift(self, at: int, under: Plain, good: bool) -> Plain:
        return self.put("lift", at, load=under["body"]["load"], good=good, declared=under["id"])

    def coming(self, format: Format) -> NextAttempt:
        found = tallied(format, self.marks).windows[0].coming
        assert found is not None
        return found


@pytest.mark.parametrize(("good", "text"), [(True, "102.5 kg"), (False, "100 kg")])
def test_who_says_nothing_in_time_lifts_the_rules_load_and_waits_with_it(good: bool, text: str) -> None:
    format, card = _format(step=load("2.5 kg")), Card()
    card.lift(10_000, card.declare(1_000, "100 kg"), good)
    coming = card.coming(format)
    assert (coming.number, coming.auto, coming.due_ms, coming.load) == (2, load(text), 70_000, None)
    marks = [parse_mark(mark) for mark in card.marks]
    lane = BarLane(1, "Ada", format, tallied(format, card.marks), marks)
    assert called_next([lane], 69_999) == ()
    (waits,) = called_next([lane], 70_000)
    assert (waits.load, waits.automatic, waits.attempts) == (load(text), True, 1)


@pytest.mark.parametrize(("lifted", "step"), [("225 lb", "1 kg"), ("226.5 lb", "2.5 kg"), ("100 kg", "5 lb"), ("100 kg", "1 kg")])
def test_the_rules_load_and_the_least_that_is_asked_for_count_also_where_the_step_is_of_another_unit(
    lifted: str, step: str
) -> None:
    task, sheet = a_lift_task(step_after_good=load(step), may_go_down=False), Sheet()
    made = a_format(task, take("best"), unit="kg")
    marks = list[Plain]()
    for at, more in ((1_000, load(lifted)), (10_000, automatic(task, load(lifted), True))):
        said = sheet.mark("declare", at, 0, load=plain_load(more.text()), by="desk")
        marks += [said, sheet.mark("lift", at + 5_000, 0, load=said["body"]["load"], good=True, declared=said["id"])]
    lifts = fold(made, [parse_mark(mark) for mark in marks]).windows[0].lifts
    assert [lift.counts for lift in lifts] == [True, True]
    assert least_that_counts(task, lifts[:1], lifts[1].load, False) is None


def test_after_the_last_attempt_and_for_who_is_out_the_rule_puts_nothing_in() -> None:
    format, card = _format(misses_out=2), Card()
    for n in range(2):
        card.lift(100_000 * n + 10_000, card.declare(100_000 * n + 1_000, "100 kg"), False)
    assert card.coming(format).auto is None
    more = _format(attempts=2)
    assert card.coming(more).auto is None and card.coming(_format()).auto == load("100 kg")


def test_the_rules_load_that_stands_at_once_is_no_declaration_and_its_replacement_no_change() -> None:
    format, card = _format(declare_seconds=0, changes=1, order="lightest"), Card()
    card.lift(10_000, card.declare(1_000, "100 kg"), True)
    card.declare(20_000, "101 kg", by="rule")
    assert card.coming(format).own is False
    for at, text in ((21_000, "105 kg"), (22_000, "106 kg"), (23_000, "107 kg")):
        last = card.declare(at, text)
    assert _flags(tallied(format, card.marks))[last["id"]] == ["changes-over"]
    assert card.coming(format).load == load("106 kg")


@pytest.mark.parametrize(
    ("task", "at", "text", "why"),
    [
        ({"opener_seconds": 300}, 0, "105 kg", []),
        ({"opener_seconds": 300}, 2_000, "105 kg", ["opener-late"]),
        ({"opener_changes": 0}, 0, "105 kg", ["changes-over"]),
        ({"changes": 0, "opener_changes": 1}, 2_000, "105 kg", []),
        ({"lower_change": "never"}, 2_000, "95 kg", ["change-lower"]),
        ({"lower_change": "opener"}, 2_000, "95 kg", []),
        ({"changes": 0}, 2_000, "100 kg", []),
    ],
)
def test_an_opener_changes_as_the_event_allows_and_else_stands_and_is_flagged(
    task: dict[str, Any], at: int, text: str, why: list[str]
) -> None:
    format, card = _format(**task), Card()
    first = card.declare(0, "100 kg")
    changed = card.declare(at, text)
    tally = tallied(format, card.marks)
    assert _flags(tally).get(changed["id"], []) == why
    assert tally.windows[0].declaration == (first if why else changed)["id"]


@pytest.mark.parametrize(
    ("follows", "at", "own", "late"),
    [(False, 40_000, True, False), (False, 42_000, True, True), (True, 42_000, False, True), (True, 40_000, False, False)],
)
def test_on_the_running_clock_a_change_needs_the_time_that_the_event_says(follows: bool, at: int, own: bool, late: bool) -> None:
    format = _format(
        declare_seconds=0,
        attempt_seconds=60,
        follow_seconds=120,
        change_left_seconds=30,
        follow_left_seconds=90,
        order="lightest",
    )
    card = Card()
    card.lift(5_000, card.declare(1_000, "100 kg"), True)
    said = card.declare(6_000, "101 kg", by="desk" if own else "rule")
    card.put("called", 10_000, declared=said["id"], follows=follows)
    last = card.declare(at, "103 kg")
    assert (_flags(tallied(format, card.marks)).get(last["id"]) == ["change-late"]) is late


CUT_MS = 10_000 + 30_000 + 1_000  # of a minute from the call, 30 s must be left; with the grace of a bell
OPENERS_MS = 301_000  # of a lift that begins at ten minutes, openers may change until five before


@given(
    kind=st.sampled_from(["change", "opener"]), near=st.integers(-5_000, 5_000), err=st.sampled_from([0, 3, 2_000]), off=st.data()
)
def test_no_declaration_that_was_in_time_is_refused_and_none_that_was_late_goes_unsaid(
    kind: str, near: int, err: int, off: st.DataObject
) -> None:
    # When it was said is known here alone: the rules see a reading that is off by no more than it says of itself.
    change = kind == "change"
    format, card = _format(change_left_seconds=30, attempt_seconds=60) if change else _later(opener_seconds=300), Card()
    said = card.declare(1_000, "100 kg")
    if change:
        card.put("called", 10_000, declared=said["id"])["err"] = 0
    true_ms = (CUT_MS if change else OPENERS_MS) + near
    last = card.declare(true_ms + off.draw(st.integers(-err, err)), "103 kg")
    last["err"] = err
    (flag,) = _flags(tallied(format, card.marks)).get(last["id"], [""])
    assert flag in ("", f"{kind}-late", f"{kind}-doubt")
    assert flag != f"{kind}-late" if near <= 0 else flag != ""
    assert err or flag != f"{kind}-doubt", "exact clocks leave no doubt"
    assert (tallied(format, card.marks).windows[0].declaration == last["id"]) is (flag != f"{kind}-late"), "a doubt takes nothing"


def _later(**task: Any) -> Format:
    """A lift that begins ten minutes after GO."""
    made = _format(**task)
    return made.model_copy(update={"windows": tuple(one.model_copy(update={"start": 600}) for one in made.windows)})


@pytest.mark.parametrize(
    ("rules", "flags", "load_text"), [("", ["change-doubt"], "103 kg"), ("admit", [], "103 kg"), ("strike", [], "100 kg")]
)
def test_what_the_clocks_left_open_stands_until_it_is_ruled_on_or_taken_back(
    rules: str, flags: list[str], load_text: str
) -> None:
    format, card = _format(change_left_seconds=30, attempt_seconds=60), Card()
    said = card.declare(1_000, "100 kg")
    card.put("called", 10_000, declared=said["id"])
    last = card.declare(CUT_MS, "103 kg")
    if rules == "strike":
        card.put("strike", CUT_MS + 5_000, mark=last["id"])
    ruled = [Ruling(id="r", kind="admit", assignment="asg_1", body={"marks": [last["id"]]}, by="Fay", why="seen")]
    tally = fold(format, [parse_mark(mark) for mark in card.marks], SheetClock(ruled=tuple(ruled) if rules == "admit" else ()))
    assert _flags(tally).get(last["id"], []) == flags
    found = tally.windows[0].coming
    assert found is not None and found.load == load(load_text)


def test_a_lift_under_a_refused_declaration_is_the_judges_to_tell() -> None:
    format, card = _format(changes=0), Card()
    card.declare(0, "100 kg")
    second = card.declare(2_000, "110 kg")
    begun = card.put("begun", 5_000, declared=second["id"])
    card.put("lift", 8_000, load=plain_load("110 kg"), good=True, declared=second["id"], begun=begun["id"])
    window = tallied(format, card.marks).windows[0]
    assert [(one.load, one.counts) for one in window.lifts] == [(load("110 kg"), True)]
    assert window.coming is not None and window.coming.auto is not None and window.coming.auto > load("110 kg")


@pytest.mark.parametrize(("between", "seconds"), [(None, 240), (0, 240), (1, 180), (2, 120), (3, 60), (9, 60)])
def test_who_lifts_again_after_a_wrong_load_has_more_time_by_who_lifted_between(between: int | None, seconds: int) -> None:
    task = next(iter(a_meet(movements="Back squat").tasks.values()))
    assert isinstance(task, LiftTask)
    format, card = _long(task.model_copy(update={"judges": 1, "movement": "swing"})), Card()
    said = card.declare(1_000, "100 kg")
    card.put("loaded", 2_000, load=plain_load("105 kg"), by="judge", declared=said["id"])
    card.lift(5_000, said, False)
    card.put("called", 300_000, declared=said["id"], **({} if between is None else {"between": between}))
    window = tallied(format, card.marks).windows[0]
    assert [one.again for one in window.lifts] == [True]
    assert window.attempt_seconds == seconds


@pytest.mark.parametrize("told", [4_000, 12_000])
def test_a_bar_that_was_loaded_wrong_takes_no_attempt_whenever_that_is_told(told: int) -> None:
    format, card = _format(attempts=1, misload=POWERLIFTING), Card()
    said = card.declare(1_000, "100 kg")
    wrong = card.put("loaded", told, load=plain_load("95 kg"), by="judge", declared=said["id"])
    card.lift(8_000, said, False)
    coming = card.coming(format)
    assert (coming.number, coming.load, coming.own, coming.auto) == (1, load("100 kg"), True, None)
    card.marks.remove(wrong)
    assert card.coming(format).number == 2


@pytest.mark.parametrize(("text", "why"), [("100 kg", []), ("105 kg", ["changes-over"])])
def test_who_lifts_again_may_go_back_to_the_load_that_was_asked_for_and_no_other(text: str, why: list[str]) -> None:
    format, card = _format(misload=POWERLIFTING, changes=0, lower_change="never"), Card()
    said = card.declare(1_000, "100 kg")
    card.lift(8_000, said, False)
    card.declare(9_000, "110 kg")  # for the second attempt, as all believed
    card.put("loaded", 12_000, load=plain_load("95 kg"), by="judge", declared=said["id"])
    meanwhile = card.coming(format)
    assert (meanwhile.number, meanwhile.load, meanwhile.again) == (1, load("110 kg"), load("100 kg"))
    back = card.declare(20_000, text)
    tally = tallied(format, card.marks)
    assert _flags(tally).get(back["id"], []) == why
    assert (tally.windows[0].declaration == back["id"]) is (not why)
    assert card.coming(format).load == (load("110 kg") if why else load("100 kg"))


LOADS = st.integers(80, 120).map(lambda kg: Load(str(kg), "kg"))


@settings(max_examples=60)
@given(
    load=LOADS,
    stands=LOADS,
    changes=st.integers(0, 3),
    number=st.integers(1, 4),
    at=st.integers(0, 90_000),
    most=st.none() | st.integers(0, 3),
    lower=st.sampled_from(["any", "opener", "never"]),
)
def test_without_a_rule_all_is_allowed_and_each_rule_only_ever_takes_away(
    load: Load, stands: Load, changes: int, number: int, at: int, most: int | None, lower: Any
) -> None:
    began = Said(10_000, 0)
    coming = NextAttempt(number, stands, own=True, changes=changes, since_ms=began.at, seconds=60, told=(began,))
    free, bound = a_lift_task(attempts=4), a_lift_task(attempts=4, changes=most, lower_change=lower, change_left_seconds=30)
    assert refused(free, 0, coming, load, Said(at, 0), 1000) is None
    why = refused(bound, 0, coming, load, Said(at, 0), 1000)
    assert why is None or load != stands
    allowed = changes_allowed(bound, number)
    if load != stands:
        over = allowed is not None and changes >= allowed
        late = at > 10_000 + 30_000 + 1000
        low = load < stands and (lower == "never" or (lower == "opener" and number > 1))
        assert (why is not None) is (over or late or low)


@settings(max_examples=60)
@given(seed=st.integers(0, 10_000), rule=st.sampled_from(DECLARING))
@example(seed=243, rule="declared in time")
def test_a_declaration_stands_or_a_flag_says_why_not_and_none_is_changed_more_often_than_allowed(seed: int, rule: str) -> None:
    marks = mixture(random.Random(seed), Sheet())
    tally = tallied(FORMATS[rule], marks)
    odd = {mark for mark, whys in _flags(tally).items() if set(whys) & set(REFUSALS)}
    window, coming = tally.windows[0], tally.windows[0].coming
    lifted = {lift.declared for lift in window.lifts}
    began = {mark["body"].get("declared") for mark in marks if mark["kind"] == "begun"}
    assert not {window.declaration, window.waiting} & (odd - began - lifted)
    task = FORMATS[rule].tasks["work"]
    assert isinstance(task, LiftTask) and coming is not None
    most = changes_allowed(task, coming.number)
    # Told later that a bar was loaded wrong, two attempts are one again; the changes of both were allowed when they were made.
    joined = any(lift.again for lift in window.lifts)
    assert most is None or joined or coming.changes <= most


@settings(max_examples=60)
@given(seed=st.integers(0, 10_000), order=st.randoms(use_true_random=False))
def test_the_bar_only_rises_whatever_order_its_marks_come_in(seed: int, order: random.Random) -> None:
    chance = random.Random(seed)
    marks: list[list[Plain]] = []
    for lot in (1, 2, 3):
        sheet = Sheet(f"asg_{lot}", device=f"tab-{lot}")
        own: list[Plain] = []
        for _ in range(chance.randint(1, 4)):
            at = chance.randrange(60_000)
            said = sheet.mark("declare", at, 0, load=plain_load(f"{chance.randint(95, 105)} kg"), by="desk")
            own.append(said)
            if chance.random() < 0.7:
                own.append(sheet.mark("called", at + chance.randrange(5_000), 0, declared=said["id"]))
        marks.append(own)
    shuffled = [order.sample(own, len(own)) for own in marks]
    one, two = ([[parse_mark(mark) for mark in own] for own in some] for some in (marks, shuffled))
    assert (bar_floor(one, 0), declared_below(one, 0)) == (bar_floor(two, 0), declared_below(two, 0))
    every = sorted((mark for own in one for mark in own), key=lambda mark: mark.order)
    loads = {mark.id: Fraction(mark.body["load"]["amount"]) for mark in every if mark.kind == "declare"}
    for n, mark in enumerate(every):
        called = [loads[before.body["declared"]] for before in every[:n] if before.kind == "called"]
        if mark.kind == "declare":
            assert (mark.id in declared_below(one, 0)) is bool(called and loads[mark.id] < max(called))


def test_each_published_value_is_a_field_of_its_own_with_its_source() -> None:
    told = {one.field for rows in (*PUBLISHED.values(), ROUNDS_LAST) for one in rows}
    fields = {field.name for field in KNOBS} | {RISES.name}
    assert told <= fields and fields <= set(LiftTask.model_fields)
    assert all(one.source for rows in (*PUBLISHED.values(), ROUNDS_LAST) for one in rows)
    remembered = {one.field for rows in (*PUBLISHED.values(), ROUNDS_LAST) for one in rows if FROM_MEMORY in one.source}
    assert {field.name for field in (*KNOBS, RISES) if "from memory: check your rules" in field.hint} == remembered
    for preset, order in (("rising_bar", "lightest"), ("lifts_in_rounds", "rounds")):
        first, *_, last = a_meet(preset).tasks.values()
        for one in PUBLISHED[order]:
            assert getattr(first, one.field) == one.value, one
        said = LIFT.sentences(last, 1)
        assert len(said) == len(set(said))


@settings(max_examples=60)
@given(seed=st.integers(0, 10_000), rule=st.sampled_from(DECLARING), member=st.sampled_from([1, 2]), kg=st.integers(95, 105))
def test_what_each_of_several_may_declare_is_told_before_as_the_fold_says_it_after(
    seed: int, rule: str, member: int, kg: int
) -> None:
    sheet = Sheet()
    any_of_two = {"members": 2, "windows": (Window(start=0, seconds=70, task="work", who="any"),)}
    marks, format = mixture(random.Random(seed), sheet), FORMATS[rule].model_copy(update=any_of_two)
    task, at = format.tasks["work"], 64_500
    assert isinstance(task, LiftTask)
    coming = dict(tallied(format, marks).windows[0].comings).get(member, NextAttempt())
    told = refused(task, 0, coming, Load(str(kg), "kg"), Said(at, ERR_MS), format.late_ms)
    said = sheet.mark("declare", at, 0, load=plain_load(f"{kg} kg"), by="lifter", member=member)
    after = set(_flags(tallied(format, [*marks, said])).get(said["id"], [])) & set(REFUSALS)
    assert after == ({told} if told else set())
