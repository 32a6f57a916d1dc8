"""Scores to places: shared unless a stated step parts them; a weak order that agrees with comparing two at a time."""

from hypothesis import given
from hypothesis import strategies as st

from app.rules.result.standings import Candidate, Placed, Standing, rank

candidates = st.builds(
    lambda key, ties, standing: (standing, (key,), ties),
    st.integers(0, 3),
    st.tuples(st.tuples(st.integers(0, 2)), st.sampled_from([(0, 1), (0, 2), (1,)])),
    st.sampled_from([Standing.RANKED] * 5 + [Standing.DID_NOT_START, Standing.DISQUALIFIED]),
)
fields = st.lists(candidates, max_size=12).map(
    lambda drawn: [Candidate(who, standing, key, ties) for who, (standing, key, ties) in enumerate(drawn)]
)


def _ranked(*keys: int) -> list[Candidate]:
    return [Candidate(who, Standing.RANKED, (-key,)) for who, key in enumerate(keys)]


def _by_who(field: list[Candidate]) -> dict[object, Placed]:
    return {placed.who: placed for placed in rank(field)}


def test_equals_share_a_place_and_the_next_place_is_left_out() -> None:
    placed = rank(_ranked(44, 42, 42, 41))
    assert [(p.place, p.shared) for p in placed] == [(1, False), (2, True), (2, True), (4, False)]


def test_nobody_at_all_and_one_alone_are_ranked_too() -> None:
    assert rank([]) == []
    assert rank(_ranked(7)) == [Placed(0, 1, False, None)]


def test_who_share_a_place_keep_the_order_they_were_given_in() -> None:
    assert [p.who for p in rank(_ranked(5, 9, 5, 9))] == [1, 3, 0, 2]


def test_a_tie_step_parts_equals_and_is_named() -> None:
    field = [Candidate(who, Standing.RANKED, (0,), ties) for who, ties in enumerate([((1,), (5,)), ((1,), (4,)), ((2,), (0,))])]
    assert [(p.who, p.place, p.shared, p.by_tie) for p in rank(field)] == [(1, 1, False, 1), (0, 2, False, 0), (2, 3, False, 0)]


def test_a_step_that_can_not_part_two_leaves_them_sharing() -> None:
    field = [Candidate(who, Standing.RANKED, (0,), ((1,), (3,))) for who in "ab"] + [
        Candidate("c", Standing.RANKED, (1,), ((0,), (0,)))
    ]
    assert [(p.place, p.shared, p.by_tie) for p in rank(field)] == [(1, True, None), (1, True, None), (3, False, None)]


def test_those_outside_the_ranking_follow_in_their_groups_without_a_place() -> None:
    groups = [Standing.DISQUALIFIED, Standing.WITHDRAWN, Standing.DID_NOT_FINISH, Standing.DID_NOT_START]
    field = [Candidate(group.name, group, ()) for group in groups] + [Candidate("a", Standing.RANKED, (0,))]
    placed = rank(field)
    assert [p.who for p in placed] == ["a", "DID_NOT_FINISH", "DID_NOT_START", "WITHDRAWN", "DISQUALIFIED"]
    assert [p.place for p in placed] == [1, None, None, None, None]


def test_who_is_not_ranked_pushes_nobody_down() -> None:
    field = [Candidate("best", Standing.DISQUALIFIED, ()), *_ranked(9, 8)]
    assert [p.place for p in rank(field)] == [1, 2, None]


@given(fields)
def test_a_place_is_one_more_than_the_number_of_those_who_are_better(field: list[Candidate]) -> None:
    placed, ranked = _by_who(field), [c for c in field if c.standing is Standing.RANKED]
    for one in ranked:
        better = [other for other in ranked if (other.key, other.ties) < (one.key, one.ties)]
        equal = [other for other in ranked if (other.key, other.ties) == (one.key, one.ties)]
        assert placed[one.who].place == 1 + len(better)
        assert placed[one.who].shared == (len(equal) > 1)


@given(fields)
def test_any_two_compare_as_their_places_do(field: list[Candidate]) -> None:
    placed = _by_who(field)
    for a in field:
        for b in field:
            if Standing.RANKED is a.standing is b.standing:
                alone = {
                    p.who: p.place
                    for p in rank([Candidate("a", a.standing, a.key, a.ties), Candidate("b", b.standing, b.key, b.ties)])
                }
                here = (placed[a.who].place or 0) - (placed[b.who].place or 0)
                assert (here > 0) - (here < 0) == (alone["a"] or 0) - (alone["b"] or 0)


@given(fields, st.randoms(use_true_random=False))
def test_places_do_not_depend_on_the_order_of_the_entries(field: list[Candidate], chance: object) -> None:
    mixed = list(field)
    chance.shuffle(mixed)  # type: ignore[attr-defined]
    assert _by_who(mixed) == _by_who(field)


@given(fields)
def test_everybody_is_placed_once_and_only_the_ranked_have_a_place(field: list[Candidate]) -> None:
    placed = rank(field)
    assert sorted(str(p.who) for p in placed) == sorted(str(c.who) for c in field)
    standing = {c.who: c.standing for c in field}
    assert all((p.place is None) == (standing[p.who] is not Standing.RANKED) for p in placed)


@given(fields)
def test_a_tie_step_is_named_only_where_it_parted_equal_scores(field: list[Candidate]) -> None:
    keys = [c.key for c in field if c.standing is Standing.RANKED]
    of = {c.who: c for c in field}
    for placed in rank(field):
        if placed.by_tie is not None:
            mine = of[placed.who]
            rivals = [c for c in field if c.standing is Standing.RANKED and c.key == mine.key and c.ties != mine.ties]
            assert keys.count(mine.key) > 1
            assert placed.by_tie in (0, 1) and any(c.ties[placed.by_tie] != mine.ties[placed.by_tie] for c in rivals)
