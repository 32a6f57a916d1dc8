"""A competition public file: what results rest on is in it, what is nobody else's business is held by commitments."""

from collections.abc import Mapping

from app.rules.records.document import CompetitionFile, Ledger
from app.rules.records.resting import deciding
from app.rules.records.seal import named_at_most
from app.rules.result.sealing import seal_faults, sealed
from app.rules.result.withholding import commitments

NOT_PUBLIC = "The other file is not a public file: it withholds nothing."
NO_SECRET = "This file does not hold its hall's secret, so it can't show what another file withholds."


def public_of(file: CompetitionFile) -> CompetitionFile:
    """The public file, sealed: its digests are those of the whole file. Raises ValueError for one of no ledger, whose
    commitments anybody could open."""
    if file.ledger is None or (file.ledger.secret is None and file.withheld is None):
        raise ValueError(NO_SECRET)
    update = {
        "ledger": Ledger(id=file.ledger.id),
        "withheld": commitments(file),
        "made_wall_ms": file.made_wall_ms,
        "awaited": file.awaited,
    }
    return sealed(deciding(file).model_copy(update=update))


def proof_faults(whole: CompetitionFile, public: CompetitionFile) -> list[str]:
    """What a public file says or withholds otherwise than the whole file, as sentences; empty where all is proven."""
    if public.withheld is None:
        return [NOT_PUBLIC]
    if whole.ledger is None or whole.ledger.secret is None or whole.withheld is not None:
        return [NO_SECRET]
    faults = seal_faults(public)
    if public.ledger != Ledger(id=whole.ledger.id):
        faults.append("The two files come from different halls.")
    faults += named_at_most(_unproven(commitments(whole), public.withheld))
    if not faults and public_of(whole).seal != public.seal:
        faults.append("The whole file says more than the other, or something different: it was written at another time.")
    return faults


def _unproven(there: Mapping[str, str], withheld: Mapping[str, str]) -> list[str]:
    """What the whole file (`there`) does not prove of what is withheld, and what it says beyond it."""
    other = [
        f"What is withheld at {place} is not what the whole file says."
        for place in withheld
        if there.get(place) != withheld[place]
    ]
    return other + [f"The whole file has something at {place} that the other lacks." for place in there if place not in withheld]
