"""A competition file with its seal, and whether the seal still holds.

The digest of the whole covers all that the file says but the time it was written. The digest of an event covers what its result
rests on: itself, its heats, who stands in them, its runs, the rulings on it, and the marks of its sheets. What is as it is by
default is not hashed, so that a later version with more to say finds the same digest. What the desk knew of the marks when they
came is covered where it is known; a file of before says nothing of it and has the digests that it had.
"""

from collections.abc import Iterable, Sequence
from hashlib import sha256
from typing import Any

from app.rules.records.document import CompetitionFile
from app.rules.records.marks import Mark
from app.rules.records.receipts import receipt_plain
from app.rules.records.roster import Event
from app.rules.records.rulings import Ruling
from app.rules.records.seal import Chain, Printed, Seal, canonical, chain_faults, chains_of, fingerprints
from app.rules.values.shapes import Base

NO_SEAL = "The file carries no seal, so nobody can tell whether it was changed."
GROUP = 4
SHORTEST = 16  # hex digits of a printed digest that are enough to name it: 64 bits


def sealed(file: CompetitionFile) -> CompetitionFile:
    """The file with a seal over what it says."""
    return file.model_copy(update={"seal": seal_of(file)})


def seal_of(file: CompetitionFile) -> Seal:
    """The seal of a file as it stands."""
    return _seal(file, fingerprints(file.marks))


def seal_faults(file: CompetitionFile) -> list[str]:
    """What a file says otherwise than when it was sealed, as sentences; empty when the seal holds."""
    if file.seal is None:
        return [NO_SEAL]
    printed = fingerprints(file.marks)
    now, faults = _seal(file, printed), chain_faults(file.seal.chains, printed)
    for event in file.events:
        if event.id not in file.seal.events:
            faults.append(f"The event {event.name} was added.")
        elif file.seal.events[event.id] != now.events[event.id]:
            faults.append(f"What the result of {event.name} rests on is not what was sealed.")
    faults += [f"An event was taken out ({key})." for key in file.seal.events if key not in now.events]
    if now.digest != file.seal.digest and not faults:
        faults.append("What was set up, or who competes, is not what was sealed.")
    return faults


def event_digest(file: CompetitionFile, event: Event) -> str:
    """The digest, 64 hex digits, of what the result of one event rests on."""
    return _event(file, event, fingerprints(file.marks))


def _seal(file: CompetitionFile, printed: Sequence[Printed]) -> Seal:
    chains = chains_of(printed)
    events = {event.id: _event(file, event, printed) for event in file.events}
    return Seal(digest=_whole(file, chains), events=events, chains=chains)


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
        "marks": _heads(chains_of(one for one in printed if one[0].sheet.partition("/")[0] in lanes)),
        **_receipts(mark for mark, _ in printed if mark.sheet.partition("/")[0] in lanes),
    }
    return sha256(canonical(told)).hexdigest()


def digest_text(digest: str) -> str:
    """A digest as it is printed and read out: groups of four."""
    return " ".join(digest[at : at + GROUP] for at in range(0, len(digest), GROUP))


def names_digest(seal: Seal, typed: str) -> str | None:
    """What a printed digest is of: the id of an event, "" for the whole file; None when it is of nothing in this seal.

    Raises ValueError when so little was typed that it could be any.
    """
    wanted = "".join(typed.split()).lower()
    if len(wanted) < SHORTEST or set(wanted) - set("0123456789abcdef"):
        raise ValueError(f"A digest is 64 digits and letters a to f; type at least its first {SHORTEST}.")
    if seal.digest.startswith(wanted):
        return ""
    return next((event for event, digest in seal.events.items() if digest.startswith(wanted)), None)


def _whole(file: CompetitionFile, chains: Sequence[Chain]) -> str:
    told = file.model_dump(mode="json", exclude_defaults=True, exclude={"version", "marks", "seal", "made_wall_ms"})
    return sha256(canonical(told | {"marks": _heads(chains), **_receipts(file.marks)})).hexdigest()


def _receipts(marks: Iterable[Mark]) -> dict[str, str]:
    """The digest of what the desk knew of some marks; nothing where it is known of none."""
    known = [(mark.id, receipt_plain(mark.receipt)) for mark in marks if mark.receipt is not None]
    return {"receipts": sha256(canonical(sorted(known, key=lambda one: one[0]))).hexdigest()} if known else {}


def _heads(chains: Sequence[Chain]) -> list[list[str | int]]:
    return [[chain.device, chain.epoch, chain.marks, chain.head] for chain in chains]


def _concerns(ruling: Ruling, event: str, lanes: set[str], entries: set[str]) -> bool:
    """Whether a ruling bears on an event: on one of its lanes, on it, or on an entry in all events."""
    if ruling.assignment is not None:
        return ruling.assignment in lanes
    return ruling.event == event or (ruling.event is None and ruling.entry in entries)


def _all(records: Any) -> list[Any]:
    return [_plain(record) for record in records]


def _plain(record: Base) -> Any:
    return record.model_dump(mode="json", exclude_defaults=True)
