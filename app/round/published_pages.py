"""The published standing of a round as plain pages for any web space: each division by so many entries, and the list of them.

A page is written anew where one of its rows is another, and only then. No name of an entry stands there.
"""

import html
from collections.abc import Iterator, Sequence

from app.round.desk_view import Placed, placed_row
from app.rules.round.moves import PUBLISHED, SIGNED
from app.rules.round.standing import standing
from app.rules.round.state import RoundState

ENTRIES = 500  # on a page
STYLE = (
    "body{font:1rem/1.5 sans-serif;max-width:44rem;margin:2rem auto;padding:0 1rem}code{overflow-wrap:anywhere}"
    "table{border-collapse:collapse;display:block;overflow-x:auto}td,th{padding:.1rem .6rem;text-align:left}"
)


def page_of(title: str, content: str) -> bytes:
    """A page of this title that holds some HTML."""
    return (
        '<!doctype html><html lang="en"><meta charset="utf-8"><meta name="viewport" content="width=device-width">'
        f"<title>{title}</title><style>{STYLE}</style><main><h1>{title}</h1>{content}</main></html>\n"
    ).encode()


def standing_pages(state: RoundState) -> dict[str, bytes]:
    """The pages of the standing by name; none before it is published."""
    files: dict[str, bytes] = {}
    several = len(state.rules.events) > 1  # of one event nothing is added up
    heads = "".join(f"<th>{html.escape(event.name)}" for event in state.rules.events) + ("<th>Together" if several else "")
    for name, title, rows in _pages(state):
        listed = "".join(_row(row, several) for row in rows)
        table = f"<table><tr><th>Place<th>Entry<th>Gym{heads}{listed}</table>"
        files[name] = page_of(title, f'<p><a href="index.html">{html.escape(state.rules.name)}</a></p>{table}')
    return files


def standing_links(state: RoundState) -> str:
    """Links to the pages of the standing, as HTML; empty before it is published."""
    links = "".join(f'<li><a href="{name}">{title}</a>' for name, title, _ in _pages(state))
    return f"<ul>{links}</ul>" if links else ""


def _pages(state: RoundState) -> Iterator[tuple[str, str, Sequence[Placed]]]:
    """The name of each page, its title as HTML, its rows."""
    if state.stage not in (PUBLISHED, SIGNED):
        return
    for number, division in enumerate(state.rules.divisions, start=1):
        rows = standing(state, division.id)
        for first in range(0, len(rows), ENTRIES):
            listed = rows[first : first + ENTRIES]
            title = f"{html.escape(division.name)}, {first + 1} to {first + len(listed)}"
            yield f"standing-{number:02}-{first // ENTRIES + 1:03}.html", title, [placed_row(state, row) for row in listed]


def _row(row: Placed, several: bool) -> str:
    texts = (row.place, str(row.entry), row.gym, *row.cells, *([row.total] if several else []))
    cells = "".join(f"<td>{html.escape(text)}" for text in texts)
    return f"<tr>{cells}"
