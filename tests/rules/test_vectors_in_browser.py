"""The tablet's twins of the rule book answer every case of tests/vectors as the rule book does."""

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, Page

from app.rules.values.texts import cleaned, unfit
from tests.browser.static_server import serving
from tests.rules.values.test_texts import FIT, UNFIT

VECTORS = Path(__file__).resolve().parents[1] / "vectors"
FILES = ("units", "clock", "tally", "typed_loads", "plates", "markings", "authority", "words")


@pytest.fixture(scope="module")
def page(browser: Browser) -> Iterator[Page]:
    with serving() as address:
        page = browser.new_page()
        page.goto(address)
        yield page
        page.close()


def answers(page: Page, cases: list[dict[str, Any]]) -> list[Any]:
    return page.evaluate("async (cases) => (await import('/tests/browser/twins.js')).answers(cases)", cases)  # type: ignore[no-any-return]


@pytest.mark.parametrize("name", FILES)
def test_the_twin_answers_as_the_vectors_say(page: Page, name: str) -> None:
    cases = json.loads((VECTORS / f"{name}.json").read_text(encoding="utf-8"))
    found = answers(page, cases)
    wrong = [(case["name"], got, case["expect"]) for case, got in zip(cases, found, strict=True) if got != case["expect"]]
    assert wrong == []
    assert len(cases) > 20


def test_what_a_judge_types_is_fit_to_be_said_before_it_becomes_a_mark(page: Page) -> None:
    texts = [*FIT, *(f"Sore wrist{text}, goes on" for text, _ in UNFIT), "a\u200bb \u200d c\ufeff", "x" + "\u0301" * 40]
    said = answers(page, [{"call": "said", "args": [text]} for text in texts])
    assert [(text, got) for text, got in zip(texts, said, strict=True) if unfit(got, lines=True) or not got] == []
    assert said[: len(FIT)] == [cleaned(text, lines=True) for text in FIT]
