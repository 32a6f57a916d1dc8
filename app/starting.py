"""What a double click starts: a question on the terminal, and the commands that do what was answered."""

from pathlib import Path

from app.calling import command
from app.first_start import packages

Offer = tuple[str, tuple[list[str], ...]]  # its words, and the commands that do it, one after another
ALWAYS: tuple[Offer, ...] = (
    ("Your own competition, kept in the folder data", (["serve"],)),
    ("The demo: an invented competition to explore", (["demo"],)),
)


class NobodyAnswers(Exception):
    """Raised where nobody can be asked; its text is the sentence to show."""


def wanted(store: Path) -> tuple[list[str], ...]:
    """Asks what is wanted; the commands that do it. `store`: where a competition of one's own is kept. Raises NobodyAnswers."""
    offers = [*brought_along(store), *ALWAYS]
    print("\n".join(f"  {number}  {words}" for number, (words, _) in enumerate(offers, start=1)), end="\n\n")
    while (answer := _answered()) not in map(str, range(1, len(offers) + 1)):
        print(f"  Type a number from 1 to {len(offers)}, then Enter.")
    return offers[int(answer) - 1][1]


def brought_along(store: Path) -> list[Offer]:
    """The backups that came on a stick, the newest first, where there is no competition here yet."""
    if store.is_file() or not (packages.CHECKOUT / "packed.json").is_file():
        return []
    from app.files import told_of  # half a second, with the tables: only a start from a stick needs it
    from app.keep.packed import brought_along as found

    return [
        (f"Carry on from a backup: {told_of(file)}", (["restore", str(file), "--yes"], ["serve"]))
        for file in found(packages.CHECKOUT)
    ]


def _answered() -> str:
    try:
        return input("  Which one? [1] ").strip() or "1"
    except EOFError:
        raise NobodyAnswers(f"Nobody is here to answer. Say which: {command('serve')} or {command('demo')}") from None
