"""A try that one judge decided on two tablets, where a bar may be tried until it is racked, against the plain way to say it."""

import random
from collections.abc import Collection, Sequence
from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from app.rules.count.fold_lifts import LiftWindow, fold_lifts
from app.rules.records.marks import parse_received
from app.rules.workout.formats import Format, LiftTask
from tests.vectors.lifting.twice_scenes import WAYS, decided_twice


def folded(format: Format, marks: Sequence[dict[str, Any]], admitted: Collection[str] = ()) -> LiftWindow:
    task, given = format.tasks["work"], sorted((parse_received(mark) for mark in marks), key=lambda mark: mark.order)
    assert isinstance(task, LiftTask)
    return fold_lifts(task, format.movements[task.movement], format.windows[0], given, admitted=admitted)


def told(window: LiftWindow) -> Any:
    """What a window comes to, but for the ids and moments of the decisions."""
    lifts = [(one.declared, one.load, one.good, one.counts, one.racked, one.begun) for one in window.lifts]
    return lifts, window.declaration, window.begun, window.waiting, window.free_ms, window.coming


@given(st.randoms(use_true_random=False), st.sampled_from(WAYS))
def test_what_follows_a_try_that_was_decided_twice_follows_from_the_decision_that_stands(
    chance: random.Random, format: Format
) -> None:
    marks, plain, admitted = decided_twice(chance)
    assert told(folded(format, marks, {admitted})) == told(folded(format, plain))
