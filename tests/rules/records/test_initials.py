"""Names as initials."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.rules.records.initials import initials, with_initials
from app.rules.result.results import results
from tests.builders.pairs import a_file

FILE = a_file((("Chalk Lines", "Ana Ek & Bo Ek"),), done=((30, 100, 300), (20, 100, 200)))


@pytest.mark.parametrize(
    ("name", "short"),
    [
        ("Ada Quill", "A. Q."),
        ("Ada Quill-Ferro", "A. Q.-F."),
        ("José María  O’Neill", "J. M. O."),
        ("Øyvind", "Ø."),
        ("李 小龍", "李. 小."),
        ("7", "."),
    ],
)
def test_initials_of_names_as_people_have_them(name: str, short: str) -> None:
    assert initials(name) == short


@given(st.lists(st.from_regex(r"[a-z]{1,12}", fullmatch=True), min_size=1, max_size=5))
def test_of_each_word_one_letter_is_left(words: list[str]) -> None:
    assert initials(" ".join(words)) == " ".join(f"{word[0].upper()}." for word in words)
    assert initials("-".join(words)) == "-".join(f"{word[0].upper()}." for word in words)


def test_places_and_scores_stay_and_names_of_members_go() -> None:
    short = with_initials(FILE)
    before, after = results(FILE)[0].tables[0].rows, results(short)[0].tables[0].rows
    assert [(row.place, row.score) for row in after] == [(row.place, row.score) for row in before]
    assert [row.members for row in after] == [("A. E.", "B. E."), ("J. E.", "M. L.")]


def test_an_entry_called_by_its_members_names_is_called_by_their_initials() -> None:
    named = FILE.model_copy(update={"entries": (FILE.entries[0].model_copy(update={"name": "Ana Ek & Bo Ek"}), FILE.entries[1])})
    assert with_initials(named).entries[0].name == "A. E. & B. E."
    assert with_initials(FILE).entries[0].name == "Chalk Lines"
