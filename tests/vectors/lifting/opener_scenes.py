"""Scenes of runs that were stopped: what each of two lifters had begun with, or meant to."""

import json
import random
from collections.abc import Callable, Iterator
from typing import Any

from app.rules.count.lifting.opener_said import opener_said, refused_in
from app.rules.count.tally import fold
from app.rules.records.marks import Mark, parse_mark
from app.rules.values.shapes import load_plain
from app.rules.values.units import Load
from app.rules.workout.formats import Format
from tests.builders.cast import Sheet
from tests.vectors.lift_scenes import DECLARING, FORMATS, mixture

Plain = dict[str, Any]
WHOSE = ((1, True), (2, True), (1, False), (2, False))  # the member, and whether nobody else lifts in the window
KEYS = (*DECLARING, "a bar each")


def openers(plain: Any, marks: list[Plain]) -> list[Any]:
    """What each had begun with, by whether the marks of the window need name them."""
    ledger = [parse_mark(mark) for mark in marks]
    refused = refused_in(fold(Format.model_validate(plain), ledger).flags)
    return [_load(opener_said(ledger, 0, *whose, refused)) for whose in WHOSE]


def cases() -> list[Plain]:
    """A few marks of lifters and judge, some struck out, some not let stand by the event's rules; all that decides occurs."""
    made, decides = [], set[str]()
    for seed in range(24):
        chance, sheet = random.Random(seed), Sheet()
        marks = mixture(chance, sheet)
        some = [*_some(chance, marks, ("declare",), 7), *_some(chance, marks, ("begun", "lift"), 2)]
        some += [sheet.strike(chance.randrange(64_000), one) for one in some if chance.random() < 0.2]
        key = KEYS[seed % len(KEYS)]
        args = [json.loads(FORMATS[key].model_dump_json()), some]
        made.append({"name": f"what was begun with {seed}, {key}", "call": "openers", "args": args, "expect": openers(*args)})
        decides.update(_decides(FORMATS[key], [parse_mark(mark) for mark in some]))
    assert decides == {"nothing", "declared", "tried", "unnamed", "struck", "refused", "refused and tried", "member", "alone"}
    return made


def _some(chance: random.Random, marks: list[Plain], kinds: tuple[str, ...], most: int) -> list[Plain]:
    among = [mark for mark in marks if mark["kind"] in kinds]
    return chance.sample(among, min(len(among), chance.randrange(most + 1)))


def _decides(format: Format, marks: list[Mark]) -> Iterator[str]:
    """What the answers of a sheet hang on: without it one would be another."""
    refused = refused_in(fold(format, marks).flags)
    for member, alone in WHOSE:

        def said(
            keep: Callable[[Mark], bool] = lambda _: True,
            but: frozenset[str] = refused,
            whose: tuple[int, bool] = (member, alone),
        ) -> Load | None:
            return opener_said([mark for mark in marks if keep(mark)], 0, *whose, but)

        answer = said()
        if answer is None:
            yield "nothing"
            continue
        without = {
            "declared": said(lambda mark: mark.kind != "declare"),
            "tried": said(lambda mark: mark.kind not in ("begun", "lift")),
            "unnamed": said(lambda mark: mark.kind not in ("begun", "lift") or "declared" in mark.body),
            "struck": said(lambda mark: mark.kind != "strike"),
            "refused": said(but=frozenset()),
            "refused and tried": said(lambda mark: mark.id not in refused),
            "member": said(whose=(3 - member, alone)),
            "alone": said(whose=(member, not alone)),
        }
        yield from (what for what, other in without.items() if other != answer)


def _load(found: Load | None) -> Any:
    return load_plain(found) if found else None


CALLS: dict[str, Callable[..., Any]] = {"openers": openers}
