"""Links lead somewhere: whatever a template, a script or a view writes as an address of ours, the server answers at it."""

import re
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

import pytest

from app.web.rows import Page, Plainly, Socket
from tests.builders.halls import SLATE_DAY, a_house

ROOT = Path(__file__).parents[2]
# A gap in a written link: {{ … }} in a template, ${…} in a script, {…} in Python.
GAP = re.compile(r"\$?\{+[^{}]*\}+")
IN_TEMPLATES = re.compile(r"""(?:href|action|formaction|src|hx-(?:get|post))="(/[^"{]*(?:\{\{[^}]*\}\}[^"{]*)*)\"""")
IN_SCRIPTS = re.compile(r"""["'`](/[a-z][^"'`\s]*)["'`]""")
IN_VIEWS = re.compile(r'''f?"(/[a-z][a-z/{][^"\s]*)"''')


def written(glob: str, link: re.Pattern[str]) -> Iterator[tuple[str, str]]:
    """Every link that is written in these files: where, and its path with `{}` for what is filled in."""
    for path in sorted(ROOT.glob(glob)):
        for found in link.findall(path.read_text(encoding="utf-8")):
            yield path.relative_to(ROOT).as_posix(), re.split(r"[?#]", GAP.sub("{}", found))[0]


def leads_to(link: str, address: str) -> bool:
    """Whether a link may be filled in so that it is an address."""
    ours, theirs = link.split("/"), address.split("/")
    fits = all(one == other or "{" in one or "{" in other for one, other in zip(ours, theirs, strict=False))
    return len(ours) == len(theirs) and fits


@pytest.fixture(scope="module")
def there(tmp_path_factory: pytest.TempPathFactory) -> list[str]:
    """Where the server answers."""
    with a_house(tmp_path_factory.mktemp("house"), file=SLATE_DAY, demo=True) as house:
        return [row.path for row in house.app.routes if isinstance(row, Page | Socket | Plainly)]


def nowhere(links: list[tuple[str, str]], there: list[str]) -> list[tuple[str, str]]:
    """The links that lead to no address."""
    return [(where, path) for where, path in links if not any(leads_to(path, address) for address in there)]


def test_every_link_of_a_template_leads_to_a_page(there: list[str]) -> None:
    links = list(written("templates/**/*.html", IN_TEMPLATES))
    assert len(links) > 200
    assert nowhere(links, there) == []


@pytest.mark.parametrize(
    ("glob", "link", "least"), [("static/js/**/*.js", IN_SCRIPTS, 20), ("app/*/**/*.py", IN_VIEWS, 200)], ids=["scripts", "views"]
)
def test_every_link_that_a_script_or_a_view_makes_leads_to_a_page(
    there: list[str], glob: str, link: re.Pattern[str], least: int
) -> None:
    """A text may begin with a stroke for other reasons: only what begins like several of our addresses is looked at."""
    rooms = [room for room, many in Counter(address.split("/")[1] for address in there).items() if many > 1]
    links = [(where, path) for where, path in written(glob, link) if path.split("/")[1] in rooms and not path.endswith("/")]
    assert len(links) > least
    assert nowhere(links, there) == []


def test_a_link_that_leads_nowhere_is_found() -> None:
    there = ["/desk/judges/{key}", "/results/{event}"]
    good, bad = "/desk/judges/{}", "/desk/judge/{}"
    assert nowhere([("x", good), ("x", "/results/{}"), ("x", bad), ("x", "/results")], there) == [("x", bad), ("x", "/results")]
