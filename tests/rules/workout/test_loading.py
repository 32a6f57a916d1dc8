"""The fewest moves over a plan of loads, against trying everything."""

from collections.abc import Sequence

from hypothesis import example, given, settings
from hypothesis import strategies as st

from app.rules.values.units import Load
from app.rules.workout.plates import Kit, Side, side_words, total_of
from tests.builders.cast import load
from tests.builders.gym import a_kit, all_sides, fewest_by_trying
from tests.vectors.loading import Plan, greedy, moves_between, plan, quick_plan, shared, swap

SMALL = st.sampled_from(
    ["2x5 2x4 2x3 1x2 1x1 kg", "1x10 2x5 1x2.5 2x1.25 kg", "2x6 3x3 2x2 1x1 kg", "1x5 1x4 1x2 kg,1x5 1x2.5 lb"]
)
HEAVY, FREE = True, False
AS_IT_SHOULD = (a_kit("2x5 2x4 2x3 1x2 1x1 kg", heavy_inside=False), (load("32 kg"), load("32 kg")), (2, 4, 3))
TWICE_TWO = (a_kit("2x6 3x3 2x2 1x1 kg", heavy_inside=False), (load("28 kg"), load("28 kg")), ())


def _plans(kit: Kit, draw: st.DrawFn, most_plates: int) -> tuple[tuple[Load, ...], Side]:
    sides = [side for side in all_sides(kit) if len(side) <= most_plates and total_of(kit, side).load is not None]
    chosen = draw(st.lists(st.sampled_from(sides), min_size=1, max_size=4))
    loads = tuple(one for side in chosen if (one := total_of(kit, side).load) is not None)
    return loads, draw(st.permutations(draw(st.sampled_from(sides))).map(tuple))


@st.composite
def small_plans(draw: st.DrawFn, heavy: bool = HEAVY) -> tuple[Kit, tuple[Load, ...], Side]:
    """A few loads that the plates can make, from any stack that may be on the bar."""
    kit = a_kit(draw(SMALL), heavy_inside=heavy)
    return kit, *_plans(kit, draw, 7 if heavy else 4)


def _walked(kit: Kit, loads: Sequence[Load], now: Side, found: Plan) -> int:
    """The moves of a plan, made one after another; every load must be on the bar when it is due."""
    moves = 0
    for wanted, side in zip(loads, found.sides, strict=True):
        assert side is not None and total_of(kit, side).kg == wanted.kg
        moves, now = moves + moves_between(now, side), side
    return moves


@given(small_plans())
def test_heavy_inside_no_plan_has_fewer_moves(given_plan: tuple[Kit, tuple[Load, ...], Side]) -> None:
    kit, loads, now = given_plan
    found = plan(kit, loads, now)
    assert found.moves == _walked(kit, loads, now, found) == fewest_by_trying(kit, loads, now)
    assert all(list(side) == sorted(side) for side in found.sides if side)


@given(small_plans())
def test_looking_ahead_never_moves_more_than_going_load_by_load(given_plan: tuple[Kit, tuple[Load, ...], Side]) -> None:
    assert plan(*given_plan).moves <= greedy(*given_plan).moves


@given(small_plans() | small_plans(FREE))
@example(AS_IT_SHOULD)  # another way of the second load, taken at once, would have as few moves
def test_the_quick_plan_can_be_made_and_says_so_where_no_plan_has_fewer_moves(
    given_plan: tuple[Kit, tuple[Load, ...], Side],
) -> None:
    kit, loads, now = given_plan
    quick, best = quick_plan(kit, loads, now), plan(kit, loads, now)
    assert quick.moves == _walked(kit, loads, now, quick) >= best.moves
    assert not quick.whole or quick.moves == best.moves
    if not kit.heavy_inside and total_of(kit, now).kg == loads[0].kg:
        assert quick.sides[0] == now, "a bar that weighs what it should stays as it is"


@settings(max_examples=60)
@given(small_plans(FREE))
@example(TWICE_TWO)  # of the smallest plates that two a side hold, a third is asked for
def test_in_any_order_no_plan_has_fewer_moves(given_plan: tuple[Kit, tuple[Load, ...], Side]) -> None:
    kit, loads, now = given_plan
    found = plan(kit, loads, now)
    assert found.moves == _walked(kit, loads, now, found) == fewest_by_trying(kit, loads, now)


def test_a_load_that_cannot_be_made_is_left_out_and_the_plan_goes_on() -> None:
    kit = a_kit("2x20 1x10 kg")
    found = plan(kit, [load("60 kg"), load("61 kg"), load("80 kg")])
    assert [side and side_words(kit, side) for side in found.sides] == ["20 kg", None, "20 + 10 kg"]
    assert found.moves == 2


def test_looking_ahead_begins_with_the_plates_that_can_stay() -> None:
    kit = a_kit("1x20 3x15 1x10 kg")
    loads = [load("80 kg"), load("110 kg")]  # a side: 30, 45
    assert [side_words(kit, side or ()) for side in greedy(kit, loads).sides] == ["20 + 10 kg", "20 + 15 + 10 kg"]
    assert [side_words(kit, side or ()) for side in plan(kit, loads).sides] == ["2 × 15 kg", "3 × 15 kg"]
    assert (greedy(kit, loads).moves, plan(kit, loads).moves) == (5, 3)


def test_where_the_order_is_free_what_stays_goes_inside() -> None:
    free, heavy = (a_kit("1x20 1x10 1x5 kg", heavy_inside=order) for order in (False, True))
    loads = [load("50 kg"), load("30 kg"), load("70 kg")]  # a side: 15, 5, 25
    assert (plan(free, loads).moves, plan(heavy, loads).moves) == (4, 8)
    assert plan(free, loads).sides == ((2, 1), (2,), (2, 0))


def test_what_to_take_off_comes_outermost_first_and_what_to_put_on_innermost_first() -> None:
    assert swap((0, 2, 4), (0, 1, 3)) == ((4, 2), (1, 3))
    assert swap((), (0,)) == ((), (0,))
    assert (shared((0, 1), (0, 1, 2)), moves_between((0, 2), (0, 1, 3))) == (2, 3)
