"""Common formats from few knobs: the mirrored pair on its clock, and the knobs one by one."""

from itertools import pairwise

import pytest

from app.rules.formats import Format, LiftTask
from app.rules.presets import mirrored_pair
from tests.rules.cast import load


def _timeline(format: Format) -> list[tuple[int, int, str | None]]:
    return [(w.start, w.seconds, w.task) for w in format.windows]


def _work(format: Format) -> list[tuple[str, object]]:
    return [(w.task, w.who) for w in format.windows if w.task]


def test_a_pair_takes_twenty_minutes_and_b_works_in_the_mirrored_order() -> None:
    pair = mirrored_pair()
    assert _timeline(pair) == [
        (0, 120, "presses"),
        (120, 120, None),
        (240, 120, "skips"),
        (360, 120, None),
        (480, 120, "squat"),
        (600, 120, "squat"),
        (720, 120, None),
        (840, 120, "skips"),
        (960, 120, None),
        (1080, 120, "presses"),
    ]
    assert [who for _, who in _work(pair)] == [(1,)] * 3 + [(2,)] * 3
    assert pair.length_ms == 20 * 60 * 1000


@pytest.mark.parametrize(
    ("work", "rest", "change", "length"),
    [(120, 120, 0, 1200), (60, 30, 0, 480), (60, 0, 0, 360), (60, 30, 45, 525)],
)
def test_windows_follow_one_another_without_a_gap(work: int, rest: int, change: int, length: int) -> None:
    pair = mirrored_pair(work_seconds=work, rest_seconds=rest, change_seconds=change)
    # Six windows of work, four rests within the members, one change between them.
    assert pair.length_ms == length * 1000 == (6 * work + 4 * rest + change) * 1000
    assert all(a.end_ms == b.start_ms for a, b in pairwise(pair.windows))
    assert _work(pair) == _work(mirrored_pair())


@pytest.mark.parametrize(("unit", "bar", "step", "plate"), [("lb", "45 lb", "1 lb", "0.5 lb"), ("kg", "20 kg", "1 kg", "0.5 kg")])
def test_the_bar_and_its_steps_are_in_the_unit_chosen(unit: str, bar: str, step: str, plate: str) -> None:
    pair = mirrored_pair("kg" if unit == "kg" else "lb")
    squat = pair.tasks["squat"]
    assert isinstance(squat, LiftTask)
    assert (squat.bar, squat.step, squat.least_plate) == (load(bar), load(step), load(plate))
    assert (squat.bar.unit, pair.unit, pair.scores[0].unit) == (unit, unit, unit)


def test_a_bar_of_the_other_unit_may_be_given() -> None:
    squat = mirrored_pair("lb", bar=load("15 kg"), step=load("2.5 lb")).tasks["squat"]
    assert isinstance(squat, LiftTask) and (squat.bar, squat.step) == (load("15 kg"), load("2.5 lb"))


def test_no_skip_slower_than_any_on_record_is_flagged_and_no_two_taps_of_the_fastest() -> None:
    # The fastest on record is one each 328 ms; what is flagged must be well below, and above a bounce of 150 ms.
    assert 150 < (mirrored_pair().movements["skip"].fastest_ms or 0) < 328


def test_every_movement_says_what_counts_what_does_not_and_what_may_hurt() -> None:
    for movement in mirrored_pair().movements.values():
        assert movement.standards and movement.faults and movement.cautions
        assert all(fault.say for fault in movement.faults)
