"""A day that is published and has to change: what is given to the search for the fewest moves, and the moves as sentences."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from app.rules.day.heats import PlannedHeat, Problem, Spot
from app.rules.records.judges import clock_of
from app.rules.values.shapes import Base


class LateChange(Base):
    """A published day as it is now. `given` holds who competes and judges now, `published` all heats with their ids, the
    started ones marked done at their real times; nothing else may start before `not_before` (minutes after midnight)."""

    given: Problem
    published: tuple[PlannedHeat, ...]
    not_before: int


@dataclass(frozen=True, slots=True)
class Move:
    """One difference between two plans: what kind it is, which heat, and the sentence to show."""

    kind: str
    event: str
    number: int
    sentence: str


def moves(
    before: Sequence[PlannedHeat], after: Sequence[PlannedHeat], entries: Mapping[str, str], judges: Mapping[str, str]
) -> list[Move]:
    """What changes from one plan to another, in the order of the day; `entries` and `judges` are names by id.

    A heat is the same heat by its id, else by event and number.
    """
    old = {_key(heat): heat for heat in before}
    new = {_key(heat): heat for heat in after}
    where = {(heat.event, spot.entry): heat for heat in before for spot in heat.spots}
    found: list[Move] = []
    for key, heat in sorted(new.items(), key=lambda one: (one[1].start, one[1].event, one[1].number)):
        was = old.get(key)
        if was is None:
            found.append(_move("new", heat, f"New heat {heat.number} at {clock_of(heat.start)}."))
        elif was.start != heat.start:
            found.append(_move("time", heat, f"Heat {heat.number} from {clock_of(was.start)} to {clock_of(heat.start)}."))
        if was is not None and was.number != heat.number:
            found.append(_move("number", heat, f"Heat {was.number} becomes heat {heat.number}."))
        found += _spot_moves(was, heat, where, entries, judges)
    stands = {(heat.event, spot.entry) for heat in after for spot in heat.spots}
    for heat in before:
        for spot in heat.spots:
            if (heat.event, spot.entry) not in stands:
                name = entries.get(spot.entry, spot.entry)
                found.append(_move("out", heat, f"{name} leaves heat {heat.number}, lane {spot.lane}."))
        if _key(heat) not in new:
            found.append(_move("gone", heat, f"Heat {heat.number} at {clock_of(heat.start)} is empty and is removed."))
    return found


def _key(heat: PlannedHeat) -> str:
    return heat.key or f"{heat.event}/{heat.number}"


def _move(kind: str, heat: PlannedHeat, sentence: str) -> Move:
    return Move(kind, heat.event, heat.number, sentence)


def _spot_moves(
    was: PlannedHeat | None,
    heat: PlannedHeat,
    where: Mapping[tuple[str, str], PlannedHeat],
    entries: Mapping[str, str],
    judges: Mapping[str, str],
) -> list[Move]:
    found = []
    lanes = {spot.entry: spot for spot in was.spots} if was else {}
    on_lane = {spot.lane: spot.judge for spot in was.spots} if was else {}
    for spot in heat.spots:
        name, old = entries.get(spot.entry, spot.entry), lanes.get(spot.entry)
        elsewhere = where.get((heat.event, spot.entry))
        if old is None and elsewhere is not None:
            found.append(_move("entry", heat, f"{name} from heat {elsewhere.number} to heat {heat.number}, lane {spot.lane}."))
        elif old is None:
            found.append(_move("in", heat, f"{name} joins heat {heat.number}, lane {spot.lane}."))
        elif old.lane != spot.lane:
            found.append(_move("entry", heat, f"{name} in heat {heat.number} from lane {old.lane} to lane {spot.lane}."))
        if was is not None and on_lane.get(spot.lane) != spot.judge:
            found.append(_move("judge", heat, _judge_sentence(heat, spot, on_lane.get(spot.lane), judges)))
    return found


def _judge_sentence(heat: PlannedHeat, spot: Spot, before: str | None, judges: Mapping[str, str]) -> str:
    now = judges.get(spot.judge or "", "nobody")
    instead = f" instead of {judges.get(before, before)}" if before else ""
    return f"{now} judges heat {heat.number}, lane {spot.lane}{instead}."
