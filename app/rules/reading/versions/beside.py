"""An event and the same event as another version does it: read apart, and put beside it where they fit."""

from collections.abc import Iterator
from dataclasses import replace
from typing import Literal

from pydantic import ValidationError

from app.rules.reading.talk import Question, Remark, Span, Talk
from app.rules.reading.understood import Understood
from app.rules.reading.versions.blocks import Block
from app.rules.reading.versions.several import AS_WRITTEN, BASE
from app.rules.workout.formats import Format, Variant
from app.rules.workout.movement_names import key_of
from app.rules.workout.tasks import ListTask


def ranked_as(name: str) -> Literal["with", "after"]:
    """How a version is ranked: what is scaled behind all who did it as written."""
    return "after" if name.split()[:1] == ["Scaled"] else "with"


def lines_for(
    lines: list[tuple[int, int]], every: list[Block], own: list[Block], instead: set[tuple[int, int]]
) -> list[tuple[int, int]]:
    """The lines that go for a version: all but those of other versions. Its own stand where they are, or for `instead`."""
    of_versions = {line for one in every for line in (one.heading, *one.lines)}
    mine = [line for one in own for line in one.lines]
    if not instead:
        return [line for line in lines if line in mine or line not in of_versions]
    first = min(instead)
    left = [line for line in lines if line not in of_versions | (instead - {first})]
    return [one for line in left for one in (mine if line == first else [line])]


def with_version(read: Understood, first: str, block: Block, other: Understood, talk: Talk) -> Understood:
    """The event with the version that a block of lines tells; whether to go on without it is asked where they do not fit."""
    made = _beside(read.format, block.name, other, first)
    if made is None:
        talk = Talk(talk.text, talk.given)
        span = Span(block.heading[0], block.lines[-1][1])
        talk.cannot(span, f"“{block.name}”: what is done there does not fit beside the event; it is set as a variant.")
        kept = (*read.kept, *talk.kept)
        return replace(read, questions=(*read.questions, *talk.questions.values()), kept=kept)
    base = first or BASE.get(block.name, AS_WRITTEN)
    told = f"The event as written is for: {base}. Which division does “{block.name}” is chosen beside the event."
    return replace(
        read,
        format=made,
        numbers=tuple(dict.fromkeys((*read.numbers, *other.numbers))),
        assumed=tuple(dict.fromkeys((*read.assumed, *other.assumed, Remark(told, None)))),
        questions=tuple({one.id: one for one in (*read.questions, *_not_asked(read, other))}.values()),
        kept=tuple(dict.fromkeys((*read.kept, *other.kept))),
        answered=tuple({one[0].id: one for one in (*read.answered, *other.answered)}.values()),
    )


def _not_asked(read: Understood, other: Understood) -> Iterator[Question]:
    """The questions of a version but for those that are asked, or were, for the event itself: doubts about its sentences, and
    whose two numbers are."""
    told = {one.id.partition("-")[0] for one in (*read.questions, *(one for one, _ in read.answered))}
    asked = {span for one in (*read.questions, *(one for one, _ in read.answered)) for span in one.about}
    doubted = {span for one in read.kept if (span := one.span) is not None} | asked
    for one in other.questions:
        again = set(one.about) <= doubted if one.about else one.id.startswith("versions-") and "versions" in told
        if not again:
            yield one


def _named(variant: Variant, first: str) -> Variant:
    """A version of the version that the event is for, by both names: `Pro women`."""
    name = variant.name if " " in variant.name or variant.name == first else f"{first} {variant.name.casefold()}"
    return variant.model_copy(update={"name": name, "id": key_of(name)})


def _beside(made: Format | None, name: str, other: Understood, first: str) -> Format | None:
    """The event with another as its version; None where they differ in more than what is done. Without a `first` version as many
    lines must be done in both, for of a few told under the name of one it is not known whether the others are done too."""
    its = other.format
    if made is None or its is None or other.not_understood:
        return None
    if first and its.variants:  # `Pro` and `Open`, each with two numbers
        made = made.model_copy(update={"variants": tuple(_named(one, first) for one in made.variants)})
    every = [(name, its), *((f"{name} {one.name.casefold()}", its.varied(one.id)) for one in its.variants)]
    for called, one in every:
        made = _with_one(made, called, one, alike=not first) if made is not None else None
    return made


def _with_one(made: Format, name: str, its: Format, alike: bool) -> Format | None:
    if (made.members, made.unit, made.windows, set(made.tasks)) != (its.members, its.unit, its.windows, set(its.tasks)):
        return None
    if made.scores != its.scores or (alike and any(_lines(made, key) != _lines(its, key) for key in made.tasks)):
        return None
    variant = Variant.model_validate(
        {
            "id": key_of(name),
            "name": name,
            "ranked": ranked_as(name),
            "movements": {key: one for key, one in its.movements.items() if made.movements.get(key) != one},
            "tasks": {key: task for key, task in its.tasks.items() if made.tasks[key] != task},
        }
    )
    try:
        return Format.model_validate(dict(made) | {"variants": (*made.variants, variant)})
    except ValidationError:
        return None


def _lines(format: Format, key: str) -> int:
    task = format.tasks[key]
    return len(task.items) if isinstance(task, ListTask) else 1
