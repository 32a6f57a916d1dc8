"""What several clocks agree on: the truth lies in it while most of them are right."""

from hypothesis import given
from hypothesis import strategies as st

from app.rules.count.witnesses import Witness, agreed

clocks = st.lists(st.tuples(st.integers(-500, 500), st.integers(0, 300)), max_size=5)


def test_nobody_says_nothing_and_one_says_what_it_knows() -> None:
    assert agreed([]) is None
    only = agreed([Witness(1000, 30)])
    assert only is not None and (only.at_ms, only.bound_ms, only.votes) == (1000, 30, 1)


@given(st.integers(-(10**6), 10**6), clocks, clocks)
def test_the_truth_lies_within_the_bound_while_more_clocks_are_right_than_wrong(
    truth: int, right: list[tuple[int, int]], wrong: list[tuple[int, int]]
) -> None:
    true = [Witness(truth + off, abs(off) + more) for off, more in right]
    false = [Witness(truth + 5_000 + off, more) for off, more in wrong][: max(0, len(true) - 1)]
    found = agreed([*false, *true])
    assert found is None if not true else found is not None and abs(found.at_ms - truth) <= found.bound_ms


@given(st.lists(st.builds(Witness, st.integers(-(10**4), 10**4), st.integers(0, 2_000)), min_size=1, max_size=8), st.randoms())
def test_it_does_not_matter_who_speaks_first(witnesses: list[Witness], chance: object) -> None:
    turned = list(witnesses)
    chance.shuffle(turned)  # type: ignore[attr-defined]
    assert agreed(turned) == agreed(witnesses)
