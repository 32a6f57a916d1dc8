"""What people may write: every script passes, what nobody means is cleaned, what hides or garbles is refused."""

import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.rules.values.texts import (
    CONTROL,
    HALF,
    HIDDEN,
    MOST_STACKED,
    NO_LETTER,
    TOO_TALL,
    TURNS,
    cleaned,
    is_seen,
    tallest,
    unfit,
)

# Invented names; the spellings are what the scripts need.
FIT = [
    "José Núñez-O’Hara",
    "Jose\u0301 Nu\u0301n\u0303ez",
    "Nguyễn Thị Ánh",
    "سارة البناء",
    "می‌خواهم",  # with the non-joiner that Persian needs
    "שָׁלוֹם־בֶּן",
    "김하늘 & 박별",
    "दीक्षा क्‍षमा",  # with the joiner that Devanagari needs
    "ශ්‍රී",
    "ཧྐྵྨླྺྼྻྂ",  # eight signs on one letter
    "ไหมไทย",
    "李四 / 鈴木",
    "Zoë 💪🏽 Team",
    "👩‍🚒👨‍👩‍👧",
    "🏴\U000e0067\U000e0062\U000e0065\U000e006e\U000e0067\U000e007f Lions",
    "❤️‍🔥",
    "<b>Bold</b> & \"quoted\" 'too'",
    "=1+1",
    "{{7*7}} ${x} %s",
    "½ ton",
]

UNFIT = [
    ("\x00", CONTROL),
    ("\x07", CONTROL),
    ("\x1b[31m", CONTROL),
    ("\x85x", CONTROL),
    ("\x9b", CONTROL),
    ("\u202e", TURNS),
    ("\u2066", TURNS),
    ("\ud800", HALF),
    ("\udfff", HALF),
    ("\ue000", NO_LETTER),
    ("\U000f0001", NO_LETTER),
    ("\ufdd0", NO_LETTER),
    ("\U0001ffff", NO_LETTER),
    ("\u0301" * (MOST_STACKED + 2), TOO_TALL),
    ("\ufe0f" * 30, TOO_TALL),
]


@pytest.mark.parametrize("name", FIT)
def test_every_script_passes_as_it_is_written(name: str) -> None:
    assert unfit(name) == "" and is_seen(name)
    assert cleaned(name) == unicodedata.normalize("NFC", name)


@pytest.mark.parametrize(("bad", "words"), UNFIT)
def test_what_hides_or_garbles_is_refused_and_never_quietly_taken_out(bad: str, words: str) -> None:
    for text in (f"Bo{bad} Lind", f"Bo Lind o{bad}", f"o{bad}"):
        assert unfit(text) == words
    kept = f"Bo o{bad} Lind"
    if bad != "\x85x":  # the next-line sign of old mainframes is a line break
        assert unfit(cleaned(kept)) == words


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("\ufeffBo Lind", "Bo Lind"),
        ("Bo\u200b Li\u00adnd", "Bo Lind"),
        ("\u200eBo Lind\u200f", "Bo Lind"),
        ("Bo\tLind", "Bo Lind"),
        ("Bo\r\n Lind\n", "Bo  Lind"),
        ("Bo\u2028Lind", "Bo Lind"),
        ("B\u200do\u200c Lind", "Bo Lind"),
        ("\u200d", ""),
        ("😀\u200d\u200d😀", "😀\u200d😀"),
        ("Bo\U000e0041\U000e0042 Lind", "Bo Lind"),
        ("Bo\u2060\ufffc Lind\u061c", "Bo Lind"),
        ("\u3164", ""),
    ],
)
def test_what_copying_brings_along_is_cleaned(typed: str, meant: str) -> None:
    assert cleaned(typed) == meant
    if not typed.isascii() or "\t" in typed or "\n" in typed:
        assert unfit(typed) or typed.strip() != meant


def test_lines_stay_where_a_text_may_have_several() -> None:
    assert cleaned("one\ntwo\u200b", lines=True) == "one\ntwo"
    assert unfit("one\ntwo", lines=True) == "" and unfit("one\ntwo") == CONTROL


@pytest.mark.parametrize("text", ["", "   ", "\u200d", "\u0301", "\u2800\u2800", "\u115f\u1160", "\u00a0\u3000", "\ufe0f"])
def test_a_name_that_shows_nothing_is_none(text: str) -> None:
    assert not is_seen(text)


@given(st.text(st.characters(exclude_categories=()), max_size=60), st.booleans())
def test_cleaning_twice_is_cleaning_once_and_leaves_nothing_that_nobody_sees(text: str, lines: bool) -> None:
    once = cleaned(text, lines)
    assert cleaned(once, lines) == once
    assert unfit(once, lines) != HIDDEN
    if not unfit(once, lines):
        assert not any(unicodedata.category(c) in ("Cs", "Co") for c in once)
        assert tallest(once) <= MOST_STACKED


def test_a_tower_of_a_hundred_thousand_signs_is_refused_without_cost() -> None:
    tower = "o" + "\u0301\u0323" * 50_000  # bringing it into canonical order would take half a minute
    assert unfit(cleaned(tower)) == TOO_TALL and tallest(tower) == 100_000
