"""The order of lifting, against published rules: lightest declared load first, then the lower lot number.

Sources: the technical rules of the international weightlifting and powerlifting federations (lightest load, then lower lot).
Fewer attempts, then the earlier last attempt, between the two: the weightlifting rules, from memory. The lifters and loads are
worked examples of our own.
"""

import random

from app.rules.count.lift_order import Waiting, lift_order
from app.rules.values.units import Load


def called(*waiting: Waiting) -> list[str]:
    return [one.who for one in lift_order(waiting)]


def test_the_lightest_declared_load_is_called_first_whatever_the_lot() -> None:
    assert called(Waiting(1, "lot 1", Load("130", "kg")), Waiting(2, "lot 2", Load("127.5", "kg"))) == ["lot 2", "lot 1"]


def test_of_equal_loads_the_lower_lot_is_called_first() -> None:
    assert called(*(Waiting(lot, f"lot {lot}", Load("100", "kg")) for lot in (7, 3, 5))) == ["lot 3", "lot 5", "lot 7"]


def test_pounds_and_kilograms_meet_exactly() -> None:
    # 225 lb = 102.05828325 kg (1 lb = 0.45359237 kg): after 102 kg and before 102.5 kg.
    loads = (Load("102.5", "kg"), Load("225", "lb"), Load("102", "kg"))
    assert called(*(Waiting(n, load.text(), load) for n, load in enumerate(loads))) == ["102 kg", "225 lb", "102.5 kg"]


def test_of_equal_loads_fewer_attempts_come_first_then_who_lifted_earlier() -> None:
    load = Load("100", "kg")
    first = Waiting(9, "no attempt yet", load)
    second = Waiting(2, "one attempt, long ago", load, 1, 60_000)
    third = Waiting(1, "one attempt, just now", load, 1, 90_000)
    fourth = Waiting(3, "two attempts", load, 2, 30_000)
    waiting = [fourth, third, second, first]
    random.Random(1).shuffle(waiting)
    assert [one.who for one in lift_order(waiting)] == [first.who, second.who, third.who, fourth.who]
