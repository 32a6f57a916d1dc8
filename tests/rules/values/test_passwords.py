"""Passwords that are the first to be tried are refused, and nothing else is asked of one."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.rules.values.passwords import COMMON, COMMON_ONE, IN_A_ROW, OF_THE_PLACE, TOO_FEW, weakness

NAMES = ("The Slate Day", "Dockside Hall", "Lanterns")


@pytest.mark.parametrize(
    ("password", "says"),
    [
        ("password", COMMON_ONE),
        ("PassWord123", COMMON_ONE),
        ("1q2w3e4r", COMMON_ONE),
        ("aaaaaaaa", TOO_FEW),
        ("12121212", TOO_FEW),
        ("........", TOO_FEW),
        ("12345678", IN_A_ROW),
        ("87654321", IN_A_ROW),
        ("QWERTYUI", IN_A_ROW),
        ("efghijkl", IN_A_ROW),
        ("slateday2026"[3:], ""),
        ("TheSlateDay", OF_THE_PLACE),
        ("the slate day 2026", OF_THE_PLACE),
        ("2026-lanterns!", OF_THE_PLACE),
        ("lane-ledger", OF_THE_PLACE),
        ("Headjudge1", OF_THE_PLACE),
        ("three odd words", ""),
        ("zwölf müde Kamele", ""),
        ("北京的三只猫喜欢鱼", ""),
    ],
)
def test_what_anybody_would_try_first_is_refused_and_told_why(password: str, says: str) -> None:
    assert weakness(password, NAMES) == says


def test_the_common_ones_are_long_enough_to_be_asked_about() -> None:
    assert min(len(one) for one in COMMON) >= 8 and all(weakness(one) for one in COMMON)


@given(st.lists(st.sampled_from(["kettle", "banjo", "walnut", "harbour", "olive", "igloo"]), min_size=3, max_size=5, unique=True))
def test_a_few_words_put_together_are_always_taken(words: list[str]) -> None:
    assert weakness(" ".join(words), NAMES) == weakness("".join(words), NAMES) == ""
