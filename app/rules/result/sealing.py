"""A competition file with its seal, and whether the seal still holds.

The digest of an event is taken over the very part of the file that its recount is handed (records/resting.py), so it covers
whatever the result can depend on. The digest of the whole covers all that the file says but the time it was written: what results
rest on as it stands, the rest by salted commitments (withholding.py), so that the whole file and the one for everybody have one
digest. What is as it is by default is not hashed, so that a later version with more to say finds the same digest. A printed
digest names its version (`v2 …`); those without a name are of version 1 (first_seal.py), and are still found in a whole file.
"""

import re
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from hashlib import sha256
from typing import Any

from app.rules.records.document import CompetitionFile
from app.rules.records.receipts import receipt_plain
from app.rules.records.resting import deciding, parts
from app.rules.records.seal import Printed, Seal, canonical, chain_faults, chains_of, fingerprints, named_at_most
from app.rules.result.first_seal import first_prints, first_seal, heads
from app.rules.result.withholding import NOT_SAID, commitments, left_out

VERSION = 2
NO_SEAL = "The file carries no seal, so nobody can tell whether it was changed."
ONLY_WHOLE = "That digest matches nothing in this file. If it was printed without “v2”, only the whole file can match it."
GROUP = 4
SHORTEST = 16  # hex digits of a printed digest that are enough to name it: 64 bits
NAMED = re.compile(r"v([0-9]+)")


def sealed(file: CompetitionFile) -> CompetitionFile:
    """The file with a seal over what it says."""
    return file.model_copy(update={"seal": seal_of(file)})


def seal_of(file: CompetitionFile) -> Seal:
    """The seal of a file as it stands."""
    whole = deciding(file)
    return _seal_of(file, whole, fingerprints(whole.marks))


def _seal_of(file: CompetitionFile, whole: CompetitionFile, printed: Sequence[Printed]) -> Seal:
    """The same of a file that was cut down to what its results rest on already (`whole`). printed: the fingerprints of the marks
    in that, which are most of the work."""
    chains = chains_of(printed)
    public = whole.model_dump(mode="json", exclude_defaults=True, exclude=NOT_SAID)
    told = {
        "digest": VERSION,
        "ledger": file.ledger.id if file.ledger else "",
        "told": public | {"awaited": list(file.awaited)},
        "withheld": commitments(file),
        "marks": heads(chains),
    }
    return Seal(version=VERSION, digest=_hashed(told, printed), events=_events(whole, printed), chains=chains)


def seal_faults(file: CompetitionFile) -> list[str]:
    """What a file says otherwise than when it was sealed, as sentences; empty when the seal holds."""
    if file.seal is None:
        return [NO_SEAL]
    if file.seal.version == 1:
        now, printed = first_seal(file), first_prints(file.marks)
    else:
        whole = deciding(file)
        printed = fingerprints(whole.marks)
        now = _seal_of(file, whole, printed)
    faults = chain_faults(file.seal.chains, printed)
    for event in file.events:
        if event.id not in file.seal.events:
            faults.append(f"The event {event.name} was added.")
        elif file.seal.events[event.id] != now.events[event.id]:
            faults.append(f"What the result of {event.name} depends on is not what was sealed.")
    faults += [f"An event was taken out ({key})." for key in file.seal.events if key not in now.events]
    if file.withheld is not None:
        faults += named_at_most([f"A public file has nothing at {place}: it was added." for place, _ in left_out(file)])
    if now.digest != file.seal.digest and not faults:
        faults.append("The setup, notes or entries are not what was sealed.")
    return faults


def _events(whole: CompetitionFile, printed: Sequence[Printed]) -> dict[str, str]:
    """By event id, the digest of all that its recount reads. Fingerprints are most of the work, so they are taken once."""
    prints = {id(mark): one for mark, one in printed}
    return {event: _event(part, [(mark, prints[id(mark)]) for mark in part.marks]) for event, part in parts(whole).items()}


def _event(part: CompetitionFile, printed: Sequence[Printed]) -> str:
    told = part.model_dump(mode="json", exclude_defaults=True, exclude=NOT_SAID)
    return _hashed({"digest": VERSION, "part": told, "marks": heads(chains_of(printed))}, printed)


def _receipts(printed: Sequence[Printed]) -> Iterator[list[Any]]:
    """What the desk knew of some marks when they came, where that is known. Of two under one id it is said which it was of."""
    under = Counter(mark.id for mark, _ in printed)
    known = [(mark, one.hex() if under[mark.id] > 1 else "") for mark, one in printed if mark.receipt is not None]
    known.sort(key=lambda pair: (pair[0].id, pair[1]))
    return ([mark.id, receipt_plain(mark.receipt), *filter(None, [one])] for mark, one in known if mark.receipt is not None)


def _hashed(told: Mapping[str, Any], printed: Sequence[Printed]) -> str:
    """The digest of what is told and of the marks' receipts, as one object in canonical JSON. The receipts one by one: a day's at
    once would take a hundred megabytes, and leave a fifth of that behind."""
    digest, before = sha256(), b"{"
    for name in sorted((*told, "receipts")):
        digest.update(before + canonical(name) + b":")
        for text in _list(_receipts(printed)) if name == "receipts" else [canonical(told[name])]:
            digest.update(text)
        before = b","
    digest.update(b"}")
    return digest.hexdigest()


def _list(values: Iterable[Any]) -> Iterator[bytes]:
    """A list in canonical JSON, value by value."""
    before = b"["
    for value in values:
        yield before + canonical(value)
        before = b","
    yield b"]" if before == b"," else b"[]"


def digest_text(digest: str, version: int = VERSION) -> str:
    """A digest as it is printed and read out: its version, then groups of four."""
    groups = " ".join(digest[at : at + GROUP] for at in range(0, len(digest), GROUP))
    return f"v{version} {groups}"


def names_digest(file: CompetitionFile, typed: str) -> str | None:
    """What a printed digest is of: the id of an event, "" for the whole file; None when it is of nothing in this file.

    Raises ValueError when so little was typed that it could be any, or where this file can't tell.
    """
    version, wanted = _read_digest(typed)
    if file.seal is None:
        return None
    if version in (None, file.seal.version) and (found := _found(file.seal, wanted)) is not None:
        return found
    if file.seal.version == 1 or version == VERSION:
        return None
    if file.withheld is not None:
        raise ValueError(ONLY_WHOLE)
    return _found(first_seal(file), wanted)


def _read_digest(typed: str) -> tuple[int | None, str]:
    """A typed digest: its version if it names one, and its digits."""
    text = "".join(typed.split()).lower()
    named = NAMED.match(text[:2])
    wanted = text[2:] if named else text
    if len(wanted) < SHORTEST or set(wanted) - set("0123456789abcdef"):
        raise ValueError(f"A digest is 64 digits and letters a to f; type at least its first {SHORTEST}.")
    return (int(named[1]) if named else None), wanted


def _found(seal: Seal, wanted: str) -> str | None:
    if seal.digest.startswith(wanted):
        return ""
    return next((event for event, digest in seal.events.items() if digest.startswith(wanted)), None)
