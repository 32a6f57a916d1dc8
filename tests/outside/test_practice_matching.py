"""The matching of practice calls against SciPy's assignment solver (scipy.optimize.linear_sum_assignment), and the share of right
calls against scikit-learn's accuracy_score."""

import random

import numpy as np
from scipy.optimize import linear_sum_assignment

from app.rules.agree.practice import MOVES, Call, agreement, practice_set

FAR = 10_000_000  # dearer than any number of near pairs together


def test_as_many_calls_are_matched_and_as_near_as_the_solver_can() -> None:
    chance = random.Random(20)
    for trial in range(60):
        made = practice_set(chance.choice(sorted(MOVES)), trial, chance.randint(2, 25))
        calls = [Call(chance.randint(0, made.reps[-1].end + 2000), True) for _ in range(chance.randint(1, 40))]
        tolerance = chance.choice((200, 900, 1500))
        off = np.array([[abs(call.at - rep.end) for call in calls] for rep in made.reps])
        rows, columns = linear_sum_assignment(np.where(off <= tolerance, off, FAR))
        near = [off[r, c] for r, c in zip(rows, columns, strict=True) if off[r, c] <= tolerance]
        pairs = [abs(one.call.at - one.rep.end) for one in agreement(made, calls, tolerance).matched if one.call is not None]
        assert (len(pairs), sum(pairs)) == (len(near), int(sum(near)))


def test_the_share_of_right_calls_is_the_accuracy_when_every_repetition_is_called() -> None:
    from sklearn.metrics import accuracy_score  # two seconds, which every process that only reads this file would take too

    chance = random.Random(4)
    for trial in range(40):
        made = practice_set("squat", trial, 30)
        called = [chance.random() < 0.6 for _ in made.reps]
        found = agreement(
            made, [Call(rep.end + chance.randint(-300, 300), good) for rep, good in zip(made.reps, called, strict=True)]
        )
        assert float(found.percent / 100) == accuracy_score([rep.good for rep in made.reps], called)
