"""A claim tells a score number by number, as the hall's paper asks for them; what a hall scores, a claim of it scores as well."""

from fractions import Fraction

import pytest

from app.rules.records.roster import Event
from app.rules.round.from_event import event_rule, worked_windows
from app.rules.round.records import LookSealed, Seen
from app.rules.round.rule import CapRule, EventRule, PartRule
from app.rules.round.scale import look_score
from app.rules.round.told import NotTold, parts_of, read_number, read_score, shown_number, shown_parts, shown_score
from app.rules.values.clock_times import exact_text
from app.rules.values.units import decimal_text
from app.rules.workout.paper_rows import paper_windows
from tests.builders.cast import Sheet
from tests.builders.played import PLAYED, Played
from tests.rules.workout.test_presets import scored


def as_typed(part: PartRule, value: Fraction) -> str:
    """A number as somebody types it."""
    if part.cap is not None and (left := part.cap.left(value)) is not None:
        return decimal_text(part.cap.work - left)
    if part.round:
        return f"{value // part.round} + {decimal_text(value % part.round)}"
    return exact_text(value) if part.unit == "s" else decimal_text(value)


@pytest.mark.parametrize("played", PLAYED.values(), ids=list(PLAYED))
def test_every_kind_of_event_is_claimed_number_by_number_as_a_hall_scores_it(played: Played) -> None:
    format = played.format
    event = Event(id="e", name="E", format=format)
    rule, score = event_rule(event), scored(format, played.play(Sheet()), 0)
    parts = parts_of(rule, format, score)
    assert parts is not None and rule.made, "in numbers"
    assert score.text == ("no total" if rule.lacks(parts) else shown_score(rule, rule.score(parts))) and rule.unit == score.unit
    assert tuple(read_number(part, as_typed(part, value)) for part, value in zip(rule.parts, parts, strict=True)) == parts
    assert len(worked_windows(event)) == len(rule.parts)
    ends = {one.ends for one in paper_windows(format)} | {"Heaviest load done", "Repetitions done at the bell"}
    assert {part.asks for part in rule.parts} <= ends | {"Each member's best, added up"}


CAP = CapRule(seconds=Fraction(600), work=90)
FINISH = PartRule(name="Window 1", none=Fraction(690), unit="s", cap=CAP)
TIMED = EventRule(id="e", name="E", better="less", unit="s", parts=(FINISH,))


def test_who_was_capped_stands_behind_all_finishers_by_the_work_left() -> None:
    typed = ["9:59.5", "10:00", "89", "60", "0"]
    values = [read_number(TIMED.parts[0], one) for one in typed]
    assert sorted(values, key=TIMED.worth) == values and len(set(values)) == len(values)
    shown = [shown_score(TIMED, one) for one in values]
    assert shown == ["9:59.5", "10:00", "capped, 1 left", "capped, 30 left", "capped, 90 left"]
    assert shown_parts(TIMED, values[3:4]) == "60 of 90 repetitions"
    assert [read_score(TIMED, one) for one in typed] == values
    for wrong in ("10:01", "90", "", "nine", "-1", "1 + 2", "²"):
        with pytest.raises(NotTold):
            read_number(TIMED.parts[0], wrong)
    adds = CAP.model_copy(update={"adds": Fraction(2)})
    slow = TIMED.model_copy(update={"parts": (TIMED.parts[0].model_copy(update={"cap": adds}),)})
    assert shown_score(slow, read_number(slow.parts[0], "60")) == "11:00", "two seconds for each that is left"


def test_a_time_beside_other_things_is_claimed_as_one_number() -> None:
    format = PLAYED["a relay"].format
    (score,) = format.scores
    twice = format.model_copy(update={"scores": (score.model_copy(update={"parts": score.parts * 2}),)})
    rule = event_rule(Event(id="e", name="E", format=twice))
    assert (
        [one.asks for one in rule.parts] == ["The whole score"]
        and not rule.made
        and rule.parts[0].none == twice.length_ms // 1000
    )


def test_rounds_and_repetitions_are_typed_as_athletes_say_them() -> None:
    part = PartRule(name="Window 1", unit="reps", round=30)
    assert (
        read_number(part, "8 + 13") == read_number(part, "253") == 253
        and shown_number(part, Fraction(253)) == "253 reps (8 + 13)"
    )
    with pytest.raises(NotTold, match=r"rounds \+ repetitions such as 3 \+ 7 \(a round is 30\)"):
        read_number(part, "8 rounds")


def test_without_a_good_lift_in_each_part_there_is_no_score() -> None:
    played = PLAYED["lifts in rounds, and no good press"]
    rule = event_rule(Event(id="e", name="E", format=played.format))
    nothing = [Fraction(100)] * (len(rule.parts) - 1) + [Fraction(0)]
    assert rule.lacks(nothing) and not rule.lacks([Fraction(100)] * len(rule.parts))
    look = LookSealed(number=1, at=0, look="l", seen=tuple(Seen(value=one) for one in nothing))
    assert look_score(rule, look, "") is None
