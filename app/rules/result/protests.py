"""Protests, and how final an event's results are: provisional while somebody may still protest, final once it is signed off."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from app.rules.records.document import Run, counting_run
from app.rules.records.in_force import opened_again, signed_off, standing
from app.rules.records.roster import Heat, Protest
from app.rules.records.rulings import Ruling

State = Literal["running", "provisional", "protested", "unsigned", "signed"]
MINUTE_MS = 60_000
STATES: Mapping[str, str] = {
    "upheld": "upheld",
    "partly": "upheld in part",
    "refused": "refused",
    "withdrawn": "withdrawn",
    "": "open",
}
__all__ = ["Finality", "Protest", "State", "decisions", "finality", "over_at", "protest_open_until", "state_text"]


@dataclass(frozen=True, slots=True)
class Finality:
    """How final an event's results are.

    running: not every heat has been run. provisional: protests may be filed until `until_wall_ms`. protested: `open` of them wait
    for an answer. unsigned: the time is over and none is open, but a mark or a ruling may still change it. signed: the event is
    signed off, by `signed`. opened: what opened it again after it was signed, while it is not signed anew. faults: what of the
    marks that were signed can't be shown (records/signed.py), as sentences; with any, it is signed and not final.
    """

    state: State
    until_wall_ms: int | None = None
    open: int = 0
    signed: Ruling | None = None
    opened: Ruling | None = None
    faults: tuple[str, ...] = ()


def decisions(rulings: Iterable[Ruling]) -> dict[str, Ruling]:
    """The decision that stands on each protest, by its id: the newest."""
    return {str(ruling.body["protest"]): ruling for ruling in standing(rulings) if ruling.kind == "protest"}


def state_text(protest: Protest, decided: Mapping[str, Ruling]) -> str:
    """Open, upheld, upheld in part, refused, withdrawn."""
    return STATES[str(decided[protest.id].body["decision"]) if protest.id in decided else ""]


def over_at(heats: Sequence[Heat], runs: Sequence[Run], length_ms: int) -> int | None:
    """When the last bell of an event's last heat went, by the wall clock; None while a heat with lanes was not run.

    A run that was closed early is taken to have lasted its whole length: nobody loses time for a protest by it.
    """
    bells = []
    for heat in (heat for heat in heats if heat.lanes):
        run = counting_run(runs, heat.id)
        if run is None or any(hold.for_ms is None for hold in run.holds):
            return None
        bells.append(run.go_wall_ms + length_ms + sum(hold.for_ms or 0 for hold in run.holds))
    return max(bells, default=None)


def protest_open_until(bell_wall_ms: int | None, minutes: int) -> int | None:
    """Until when protests may be filed: so many minutes after the event's last bell; None while it has not gone."""
    return None if bell_wall_ms is None else bell_wall_ms + minutes * MINUTE_MS


def finality(
    event: str,
    bell_wall_ms: int | None,
    minutes: int,
    rulings: Sequence[Ruling],
    protests: Sequence[Protest],
    now_wall_ms: int,
) -> Finality:
    """How final an event's results are at `now_wall_ms`. A sign-off holds whatever else; then an open protest keeps all open."""
    signed = signed_off(rulings, event)
    if signed is not None:
        return Finality("signed", signed=signed)
    waiting, opened = len(open_protests(event, rulings, protests)), opened_again(rulings, event)
    until = protest_open_until(bell_wall_ms, minutes)
    if waiting:
        return Finality("protested", until, waiting, opened=opened)
    if until is None or bell_wall_ms is None or now_wall_ms < bell_wall_ms:
        return Finality("running", opened=opened)
    return Finality("provisional" if now_wall_ms < until else "unsigned", until, opened=opened)


def open_protests(event: str, rulings: Sequence[Ruling], protests: Sequence[Protest]) -> tuple[Protest, ...]:
    """The protests about an event that nobody has decided."""
    decided = decisions(rulings)
    return tuple(protest for protest in protests if protest.event == event and protest.id not in decided)
