"""A page of the desk or of the review has one place that is heard when it changes: what else is news is marked for it."""

import re
from collections.abc import Iterator

from app.paths import templates_dir

FRAMES = {"web/frame.html", "review/frame.html", "floor/day.html"}
PARTS = re.compile(r'{%-? (?:extends|include|import) "([^"]+)"')
HEARD = re.compile(r"""role=["'](?:status|alert|log)["']|aria-live=["'](?:polite|assertive)["']""")
THE_PLACE, NEEDS = "web/keys.html", "web/needs.html"


def parts_of(name: str) -> set[str]:
    """The templates that a template names."""
    return set(PARTS.findall((templates_dir() / name).read_text(encoding="utf-8")))


def heard_with(name: str, seen: set[str]) -> Iterator[str]:
    """Every template of which a page is made."""
    if name not in seen:
        seen.add(name)
        yield name
        for part in parts_of(name):
            yield from heard_with(part, seen)


def test_a_page_of_the_desk_is_heard_in_one_place_alone() -> None:
    every = [path.relative_to(templates_dir()).as_posix() for path in templates_dir().rglob("*.html")]
    pages = [name for name in every if parts_of(name) & FRAMES or name in FRAMES]
    made = {part for page in pages for part in heard_with(page, set())}
    places = {name for name in made if HEARD.search((templates_dir() / name).read_text(encoding="utf-8"))}
    assert len(pages) > 50
    assert places - {NEEDS} == {THE_PLACE}
