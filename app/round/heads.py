"""What headquarters publishes of a round as plain files for any web space: receipts by digest, the roll's root, the draw; at last
the standing.

What is published of heads is only ever continued. A data folder that begins otherwise, such as an older backup, writes nothing.
"""

import html
from collections.abc import Mapping, Sequence
from hashlib import sha256
from pathlib import Path

from app.results.published_folder import FIRST_PAGE, PublishedFolder
from app.round.checking import chain_head
from app.round.published_pages import page_of, standing_links
from app.rules.round.state import RoundState
from app.rules.round.words import shown
from app.rules.values.words import say

KEY, OPENING, RECEIPTS, ROLL, DRAW = "key.txt", "opening.txt", "receipts.txt", "roll.txt", "draw.txt"


class NotContinued(Exception):
    """Raised where what is published would be changed or taken back; its text is the sentence to show."""


def head_files(state: RoundState, receipts: Sequence[bytes]) -> dict[str, bytes]:
    """The files of a round's heads by name."""
    listed = "".join(f"{number} {sha256(one).hexdigest()}\n" for number, one in enumerate(receipts, start=1))
    texts = {KEY: f"{state.key}\n", RECEIPTS: listed}
    if state.opening:
        texts[OPENING] = f"{shown(state.opening)}\n"
    if state.roll is not None:
        texts[ROLL] = f"root {state.roll.root}\nlines {state.roll.lines}\n"
    if state.draw is not None:
        texts[DRAW] = f"dice {state.draw.dice}\nseed {state.seed}\n"
    return {name: text.encode() for name, text in texts.items()} | {FIRST_PAGE: _page(state, receipts)}


def publish_heads(folder: PublishedFolder, files: Mapping[str, bytes]) -> tuple[str, ...]:
    """Writes what is new of the heads into their folder; the names of what was written. Raises NotContinued."""
    for name in (KEY, OPENING, RECEIPTS, ROLL, DRAW):
        before = _published(folder.folder / name)
        if not files.get(name, b"").startswith(before):
            raise NotContinued(
                f"{name} in {folder.folder} says what this data folder does not: it is of another round, or some of this one "
                "was lost here. Nothing was written."
            )
    return folder.take(files)


def _published(file: Path) -> bytes:
    try:
        return file.read_bytes()
    except FileNotFoundError:
        return b""


def _page(state: RoundState, receipts: Sequence[bytes]) -> bytes:
    """The page that says what the files are. It holds no name of an entry."""
    name = html.escape(state.rules.name)
    blocks = [
        *([("Opening word", _opening(state))] if state.rules.film_word else []),
        ("Receipts", _receipts(receipts)),
        ("Roll", _roll(state)),
        ("Draw", _draw(state)),
        *([("Standing", links)] if (links := standing_links(state)) else []),
        ("Headquarters' key", f"<p>Receipts are signed by this key: <code>{state.key}</code></p>"),
    ]
    sections = "".join(f"<section><h2>{heading}</h2>{text}</section>" for heading, text in blocks)
    kept = "Keep a copy of this page: of receipts, roll and draw what stands here is only ever added to. If something is changed"
    return page_of(name, f"<p>{kept} later, your copy shows it.</p>{sections}")


def _opening(state: RoundState) -> str:
    return f"<p><code>{shown(state.opening)}</code></p>" if state.opening else "<p>It comes out when the round opens.</p>"


def _receipts(receipts: Sequence[bytes]) -> str:
    if not receipts:
        return "<p>None yet.</p>"
    return (
        f"<p>So far {len(receipts)}. Head: <code>{chain_head(receipts)}</code></p>"
        f'<p><a href="{RECEIPTS}">{RECEIPTS}</a> has the SHA-256 of each, by its number. The SHA-256 of the receipt file that '
        "you were given stands there; if not, tell everybody.</p>"
    )


def _roll(state: RoundState) -> str:
    if state.roll is None:
        return "<p>Still open. Its root is published here before the dice are rolled.</p>"
    lines = say("lines", n=state.roll.lines, shown=state.roll.lines)
    return f'<p>Closed with {lines}. <a href="{ROLL}">Root</a>: <code>{state.roll.root}</code></p>'


def _draw(state: RoundState) -> str:
    if state.draw is None:
        return "<p>Not yet.</p>"
    witnesses = html.escape(", ".join(state.draw.witnesses))
    return (
        f"<p>Dice, seen by {witnesses}: <code>{state.draw.dice}</code></p>"
        f'<p><a href="{DRAW}">Seed</a>, the SHA-256 of the root, a slash and the dice: <code>{state.seed}</code></p>'
    )
