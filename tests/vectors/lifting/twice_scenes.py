"""Tries that one judge decided on two tablets, and the plain way to say the same: the decision that stands, made in the first
one's place, and no other."""

import random
from typing import Any

from app.rules.workout.formats import Format
from tests.builders.cast import Sheet, a_format, a_lift_task, load, take
from tests.vectors.lift_scenes import declare, lift

Marks = list[dict[str, Any]]

# Whether a bar may be tried again until it is racked, and whether the rule puts in the next load.
WAYS: tuple[Format, ...] = tuple(
    a_format(
        a_lift_task(tries_until_racked=racked, declare_seconds=seconds, attempts=3, auto_step=load("5 kg")),
        take("best"),
        unit="kg",
    )
    for racked in (True, False)
    for seconds in (None, 30)
)
HEARD = ("nobody knows", "first", "second")  # which decision the desk heard first
AFTER = ("declare", "rack")


def decided_twice(chance: random.Random) -> tuple[Marks, Marks, str]:
    """The marks of some tries, one of which was ruled on perhaps; the same said plainly; the mark that the ruling admits."""
    sheet, marks, plain, admitted = Sheet(), Marks(), Marks(), ""

    def both(mark: dict[str, Any]) -> dict[str, Any]:
        marks.append(mark)
        plain.append(mark)
        return mark

    at, said = 1_000, both(declare(sheet, 1_000, "100 kg"))
    for _ in range(chance.randint(1, 4)):
        begun = both(sheet.mark("begun", at + 1_000, 0, declared=said["id"]))
        named = {"declared": said["id"], "begun": begun["id"]}
        first, second = (
            lift(sheet, at + later, _words(said), chance.random() < 0.5, **named)
            for later in (2_000, chance.choice([2_400, 5_500]))
        )
        marks.append(first)
        plain.append(first)
        if chance.random() < 0.7:
            marks.append(second | {"device": "tab-new"})
            stands = _stands(chance.choice(HEARD), marks[-2:])
            if not admitted and chance.random() < 0.5:
                stands = chance.choice(marks[-2:])
                admitted = stands["id"]
            plain[-1] = first | {"body": first["body"] | {"good": stands["body"]["good"]}}
        for _ in range(chance.randrange(3)):
            at += 1_000
            if chance.choice(AFTER) == "declare":
                said = both(declare(sheet, at + 2_500, chance.choice(["100 kg", "105 kg", "110 kg"])))
            else:
                both(sheet.mark("racked", at + 2_500, 0, declared=begun["body"]["declared"]))
        at += 8_000
    return marks, plain, admitted


def _words(said: dict[str, Any]) -> str:
    amount, unit = said["body"]["load"]["amount"], said["body"]["load"]["unit"]
    return f"{amount} {unit}"


def _stands(heard: str, decisions: Marks) -> dict[str, Any]:
    """Of two decisions the one that stands, as the desk heard them."""
    if heard == "nobody knows":
        return decisions[0]
    order = decisions if heard == "first" else decisions[::-1]
    for number, mark in enumerate(order, 1):
        mark["receipt"] = {"number": number, "seat": "lane", "clock": mark["at"]}
    return order[0]
