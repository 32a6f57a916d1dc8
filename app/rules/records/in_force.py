"""Which rulings hold: what a later ruling took back, and what a signed event no longer lets in."""

from collections.abc import Iterable, Sequence

from app.rules.records.rulings import Ruling


def standing(rulings: Iterable[Ruling]) -> tuple[Ruling, ...]:
    """The rulings that no later one took back, in the order made.

    One that takes another back can itself be taken back: then the first stands again. Nothing can take back what is later than
    itself. Common practice, no source.
    """
    ordered = sorted(rulings, key=lambda ruling: ruling.order)
    order = {ruling.id: ruling.order for ruling in ordered}
    gone: set[str] = set()
    for ruling in reversed(ordered):
        if ruling.kind == "undo" and ruling.id not in gone:
            target = str(ruling.body["ruling"])
            if target in order and order[target] < ruling.order:
                gone.add(target)
    return tuple(ruling for ruling in ordered if ruling.id not in gone)


def taken_back(rulings: Sequence[Ruling]) -> dict[str, Ruling]:
    """The rulings that do not stand, by id, each with the one that took it back."""
    stand = standing(rulings)
    kept = {ruling.id for ruling in stand}
    undone = {str(ruling.body["ruling"]): ruling for ruling in stand if ruling.kind == "undo"}
    return {key: by for key, by in undone.items() if key not in kept}


def signed_off(rulings: Iterable[Ruling], event: str) -> Ruling | None:
    """The sign-off that holds for an event: the newest that stands, unless it opened the event again."""
    about = [ruling for ruling in standing(rulings) if ruling.kind == "sign_off" and ruling.event == event]
    return about[-1] if about and about[-1].body["state"] == "signed" else None


def opened_again(rulings: Iterable[Ruling], event: str) -> Ruling | None:
    """What opened an event again that had been signed off; None while it is signed, and before it ever was."""
    about = [ruling for ruling in standing(rulings) if ruling.kind == "sign_off" and ruling.event == event]
    return about[-1] if about and about[-1].body["state"] == "open" else None


def in_force(rulings: Sequence[Ruling], event: str) -> tuple[Ruling, ...]:
    """The rulings that hold for an event's results. Once it is signed off, later ones wait until it is opened again."""
    signed = signed_off(rulings, event)
    return standing(rulings if signed is None else [ruling for ruling in rulings if ruling.order <= signed.order])


def after_sign_off(rulings: Sequence[Ruling], event: str) -> tuple[Ruling, ...]:
    """The rulings made since an event was signed off, in the order made; none while it is open."""
    signed = signed_off(rulings, event)
    return () if signed is None else tuple(ruling for ruling in standing(rulings) if ruling.order > signed.order)
