"""Two keyings of one paper: equal when they mean the same, however they are written; different whenever they do not."""

from hypothesis import example, given
from hypothesis import strategies as st

from app.rules.agree.keyed_twice import Keyed, differing, meaning

FIELDS = (
    Keyed("reps", "whole"),
    Keyed("finish", "finish"),
    Keyed("load", "load", "lb"),
    Keyed("metres", "value"),
    Keyed("outcome", "choice"),
    Keyed("judge", "name"),
)
FIRST = {"reps": "7", "finish": "9:42", "load": "225", "metres": "12.5", "outcome": "good", "judge": "Imre Vale"}


def test_other_ways_to_write_the_same_are_no_difference() -> None:
    second = {"reps": "007", "finish": "9:42.0", "load": "225 lb", "metres": "12,50", "outcome": "good", "judge": " imre  vale "}
    assert differing(FIELDS, FIRST, second) == ()


def test_an_empty_box_and_a_nought_say_the_same_of_a_count_only() -> None:
    assert differing(FIELDS, FIRST | {"reps": ""}, FIRST | {"reps": "0"}) == ()
    assert differing(FIELDS, FIRST | {"metres": ""}, FIRST | {"metres": "0"}) == ("metres",)


def test_every_other_difference_is_named() -> None:
    second = {"reps": "8", "finish": "9:43", "load": "225 kg", "metres": "12.51", "outcome": "no", "judge": "Joss"}
    assert differing(FIELDS, FIRST, second) == tuple(field.name for field in FIELDS)


@given(st.integers(0, 5000), st.integers(0, 5000))
def test_counts_are_equal_exactly_when_their_numbers_are(a: int, b: int) -> None:
    assert (differing(FIELDS[:1], {"reps": str(a)}, {"reps": f"{b:05d}"}) == ()) == (a == b)


@given(st.text(max_size=12), st.sampled_from(FIELDS))
@example("0/0", Keyed("metres", "value"))
def test_whatever_was_typed_can_be_compared(text: str, field: Keyed) -> None:
    assert meaning(field, text) == meaning(field, text)
    assert differing([field], {field.name: text}, {field.name: text}) == ()
