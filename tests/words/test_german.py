"""German: what it has fits what is said, nothing of it is spare, and the pages of the hall lack none."""

import re
from collections.abc import Iterator

import pytest

from app.library import tables
from app.rules.count.tablet_rows import tablet_rows
from app.rules.values.words import Word
from app.wording import catalogue, languages
from tests.test_house import scripts
from tests.words.said import Key, all_keys, loaded_by, of_modules, script_keys, template_keys

ENGLISH, GERMAN = catalogue(), catalogue("de")
HOLE = re.compile(r"\{(\w+)\}")

SCRIPTS = ("floor/lane", "floor/call")
TEMPLATES: tuple[str, ...] = ()
MODULES: tuple[str, ...] = ()
# Rows and sentences of the catalogue that other pages say, the desk's for the most part, and that have no German yet.
LACKING_ELSEWHERE = 200


def of_the_hall() -> Iterator[Key]:
    """What the pages say that are whole in German."""
    for page in SCRIPTS:
        for path in loaded_by(page):
            yield from script_keys(path)
    for name in TEMPLATES:
        yield from template_keys(name)
    yield from of_modules(*MODULES)


def forms(word: Word) -> dict[str, str]:
    return {"": word} if isinstance(word, str) else dict(word)


def written() -> set[str]:
    """The texts that are data: of the library, of the rows that tablets are sent, and what scripts hold as text."""

    def walk(value: object) -> Iterator[str]:
        if isinstance(value, str):
            yield value
        inner = value.values() if isinstance(value, dict) else value if isinstance(value, list | tuple) else ()
        for one in inner:
            yield from walk(one)

    literals = {text for path in scripts() for text in re.findall(r'"([^"\\\n]+)"', path.read_text(encoding="utf-8"))}
    return {*walk(tables()), *walk(tablet_rows()), *literals}


def test_the_pages_of_the_hall_lack_no_german() -> None:
    said = list(of_the_hall())
    assert sorted({(one.key, one.where) for one in said if one.key not in GERMAN.words}) == []
    assert len({one.key for one in said}) > 400


def test_what_other_pages_lack_is_counted_and_does_not_grow() -> None:
    lacking = {one.key for one in all_keys() if one.key not in GERMAN.words}
    assert len(lacking) <= LACKING_ELSEWHERE, sorted(lacking)


def test_every_german_row_is_of_something_that_is_said() -> None:
    said = {one.key for one in all_keys()} | ENGLISH.words.keys() | written()
    assert sorted(GERMAN.words.keys() - said) == []


@pytest.mark.parametrize("language", [code for code in languages() if code != "en"])
def test_every_row_has_the_holes_and_the_forms_of_its_english(language: str) -> None:
    other = catalogue(language)
    for key, word in other.words.items():
        english = ENGLISH.words.get(key, key)
        assert isinstance(word, str) == isinstance(english, str), key
        own, theirs = forms(word), forms(english)
        if not isinstance(word, str):
            assert {"one", "other"} <= own.keys() <= {str(row["form"]) for row in other.plural} | {"other"}, key
        holes = {hole for text in theirs.values() for hole in HOLE.findall(text)}
        assert {hole for text in own.values() for hole in HOLE.findall(text)} <= holes, key
        assert holes - {"n"} <= set(HOLE.findall(own.get("other", own.get("", "")))), key
