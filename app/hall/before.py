"""Marks that a device holds and that were made under another pairing: which that was, and whether the desk can take them in."""

from dataclasses import dataclass

from app.rules.records.seats import seat_row
from app.rules.values.words import say
from app.store.devices import Device


@dataclass(frozen=True, slots=True)
class Waits:
    """Marks that a device holds and that were made under another pairing: which, in words; `may`: the desk can take them in."""

    id: str
    words: str
    may: bool


HOW_ENDED = {
    "desk": "whose pairing the desk has ended",
    "replaced": "which was paired again",
    "left": "which left by itself",
    "time": "whose pairing had expired",
    "": "whose pairing has ended",
}


def waits_of(key: str, count: int, maker: Device | None) -> Waits:
    """So many marks of another pairing, `key`; maker: what this store knows of it, if anything."""
    if maker is None or not seat_row(maker.role, maker.sheet).at:
        how = "whose seat is not known here: take in its file under Backups"
        return Waits(key, say("tablet.before", n=count, name=maker.name if maker else key, how=how), may=False)
    if maker.revoked_wall_ms is None:
        how = "which is paired now: if it is the same browser, end that pairing first"
        return Waits(key, say("tablet.before", n=count, name=maker.name, how=how), may=False)
    return Waits(key, say("tablet.before", n=count, name=maker.name, how=HOW_ENDED[maker.ended]), may=True)
