"""Digests of version 1, for sheets printed and files sealed before: computed as they were, and never made anew.

They cover notes, names and judges as well, so that only a whole file shows them, never one for everybody. What they miss (rulings
that a change binds to another event's records) is why there is a version 2.
"""

from collections.abc import Iterable, Sequence
from hashlib import sha256
from typing import Any

from app.rules.records.document import CompetitionFile
from app.rules.records.markings import Markings
from app.rules.records.marks import Mark
from app.rules.records.roster import Event, Roster
from app.rules.records.rulings import Ruling
from app.rules.records.seal import Chain, Printed, Seal, canonical, chains_of, fingerprint
from app.rules.values.lengths import Length
from app.rules.values.shapes import Base

# Kept for digests that are printed already; no event takes a size from here.
FIRST_SIZES = Markings(
    unit="in",
    wall=True,
    drop=Length("3", "in"),
    tolerance=Length("0.5", "in"),
    box_width=Length("36", "in"),
    box_depth=Length("24", "in"),
    rope=True,
    rope_width=Length("72", "in"),
    rope_depth=Length("60", "in"),
    bar=True,
    bar_width=Length("108", "in"),
    bar_depth=Length("72", "in"),
    gap=Length("18", "in"),
)
SAID = {*Roster.model_fields, "runs", "rulings"}  # what a file of version 1 said beside its marks


def first_seal(file: CompetitionFile) -> Seal:
    """The seal of version 1 of a whole file."""
    printed = first_prints(file.marks)
    chains = chains_of(printed)
    return Seal(digest=_whole(file, chains), events={one.id: _event(file, one, printed) for one in file.events}, chains=chains)


def first_prints(marks: Iterable[Mark]) -> list[Printed]:
    """Each mark with its fingerprint of version 1, over all that it says."""
    return [(mark, fingerprint(mark)) for mark in marks]


def _event(file: CompetitionFile, event: Event, printed: Sequence[Printed]) -> str:
    heats = [heat for heat in file.heats if heat.event == event.id]
    lanes = {lane.id for heat in heats for lane in heat.lanes}
    on_lanes = {lane.entry for heat in heats for lane in heat.lanes}
    entries = [entry for entry in file.entries if entry.id in on_lanes]
    divisions = {entry.division for entry in entries}
    members = {member for entry in entries for member in entry.members}
    told = {
        "competition": _plain(file.competition),
        "event": _plain(event),
        "divisions": _all(division for division in file.divisions if division.id in divisions),
        "entries": _all(entries),
        "athletes": _all(athlete for athlete in file.athletes if athlete.id in members),
        "heats": _all(heats),
        "runs": _all(run for run in file.runs if run.heat in {heat.id for heat in heats}),
        "rulings": _all(ruling for ruling in file.rulings if _concerns(ruling, event.id, lanes, on_lanes)),
        "marks": heads(chains_of(one for one in printed if one[0].sheet.partition("/")[0] in lanes)),
    }
    return sha256(canonical(told)).hexdigest()


def _whole(file: CompetitionFile, chains: Sequence[Chain]) -> str:
    told = file.model_dump(mode="json", exclude_defaults=True, include=SAID)
    if file.markings:
        told["markings"] = {event: _first_markings(markings) for event, markings in file.markings.items()}
    return sha256(canonical(told | {"marks": heads(chains)})).hexdigest()


def _first_markings(markings: Markings) -> Any:
    """Markings without what they left out of a digest of version 1: the sizes that were taken where nobody had said others."""
    same = {name for name in Markings.model_fields if getattr(markings, name) == getattr(FIRST_SIZES, name)}
    return markings.model_dump(mode="json", exclude=same)


def heads(chains: Sequence[Chain]) -> list[list[str | int]]:
    """Chains as they go into a digest."""
    return [[chain.device, chain.epoch, chain.marks, chain.head] for chain in chains]


def _concerns(ruling: Ruling, event: str, lanes: set[str], entries: set[str]) -> bool:
    if ruling.assignment is not None:
        return ruling.assignment in lanes
    return ruling.event == event or (ruling.event is None and ruling.entry in entries)


def _all(records: Any) -> list[Any]:
    return [_plain(record) for record in records]


def _plain(record: Base) -> Any:
    return record.model_dump(mode="json", exclude_defaults=True)
