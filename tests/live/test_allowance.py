"""How many marks a device may bring: hands never wait, and whoever lies about time gains what hands could have made."""

from hypothesis import given
from hypothesis import strategies as st

from app.live.allowance import AGAIN, AT_ONCE_S, MOST_WAIT_S, UNSEEN_S, Allowances, Stretch
from app.rules.values.hands import OVER_A_HEAT, PER_SECOND

BATCH = 200
TABLET = "dev_a"


def bring(allowances: Allowances, now_ms: int, marks: int, *covering: Stretch) -> int:
    """Brings new marks if they are let in; how many were."""
    if allowances.wait_ms(TABLET, now_ms):
        return 0
    with allowances.bringing(TABLET, now_ms, marks, (f"{now_ms}/{n}" for n in range(marks)), lambda key: False):
        pass
    allowances.covers(TABLET, now_ms, covering)
    return marks


@given(st.lists(st.integers(190, 3_000), min_size=1, max_size=400))
def test_a_tablet_that_counts_as_fast_as_hands_go_never_waits(gaps_ms: list[int]) -> None:
    allowances, now = Allowances(PER_SECOND), 1_000
    for gap in gaps_ms * 4:
        now += gap
        assert bring(allowances, now, 1) == 1


@given(st.lists(st.tuples(st.integers(60, 1_200), st.integers(1, 30), st.booleans()), min_size=1, max_size=12))
def test_what_was_counted_alone_comes_at_once_whatever_it_is(heats: list[tuple[int, int, bool]]) -> None:
    """heats: how long each was, in seconds, its marks in ten seconds, and whether the desk gave it a GO."""
    allowances, unseen = Allowances(PER_SECOND), 0
    for number, (length, tenth, vouched) in enumerate(heats):
        vouched = vouched or unseen + length > UNSEEN_S
        unseen += 0 if vouched else length
        marks, at = length * tenth // 10, 0
        for left in range(marks, 0, -BATCH):
            some = min(BATCH, left)
            until = at + some * length * 1000 // marks
            assert bring(allowances, 5_000, some, Stretch(f"heat {number}", at, until, vouched)) == some
            at = until


@given(
    st.lists(
        st.tuples(st.integers(0, 5_000), st.integers(0, 3), st.integers(0, 1_200_000), st.integers(0, 1_200_000), st.booleans()),
        max_size=120,
    )
)
def test_whoever_lies_about_time_gains_what_hands_could_have_made(lies: list[tuple[int, int, int, int, bool]]) -> None:
    allowances, begun, now, came = Allowances(PER_SECOND), 1_000, 1_000, 0
    for wait, heat, one, other, vouched in lies:
        now += wait
        stretch = Stretch(f"{heat}/{vouched}", min(one, other), max(one, other), vouched)
        came += bring(allowances, now, BATCH, stretch)
    passed_s = (now - begun) / 1000
    heats_s = 4 * 1_200 + UNSEEN_S + passed_s
    assert came <= PER_SECOND * (AT_ONCE_S + passed_s + OVER_A_HEAT * heats_s) + BATCH


@given(st.lists(st.floats(1, 20_000), min_size=1, max_size=20))
def test_who_is_told_when_to_come_again_is_let_in_then_and_never_waits_for_more_than_a_minute(owed: list[float]) -> None:
    allowances, now = Allowances(PER_SECOND), 1_000
    for marks in owed:
        allowances.owes(TABLET, now, marks)
        wait = allowances.wait_ms(TABLET, now)
        assert wait <= MOST_WAIT_S * 1000
        now += wait
        assert allowances.wait_ms(TABLET, now + 1) == 0


def test_what_is_here_already_or_on_its_way_is_sent_again_at_little_cost() -> None:
    allowances, marks = Allowances(PER_SECOND), [str(n) for n in range(BATCH)]
    with allowances.bringing(TABLET, 1_000, BATCH, marks, lambda key: False):  # no answer comes: it sends again, and again
        for _ in range(8):
            assert allowances.wait_ms(TABLET, 1_000) == 0
            with allowances.bringing(TABLET, 1_000, BATCH, marks, lambda key: False):
                pass
    sent = 0
    while not allowances.wait_ms(TABLET, 1_000):
        with allowances.bringing(TABLET, 1_000, BATCH, marks, lambda key: True):
            sent += 1
    assert sent <= PER_SECOND * AT_ONCE_S / AGAIN / BATCH + 1, "and not for nothing: it is work all the same"


def test_requests_of_nothing_are_not_for_nothing() -> None:
    allowances, asked = Allowances(PER_SECOND), 0
    while not allowances.wait_ms(TABLET, 1_000):
        asked += bring(allowances, 1_000, 0) == 0
    assert asked == round(PER_SECOND * AT_ONCE_S / AGAIN) + 1


def test_the_desk_hears_for_a_minute_who_had_to_wait() -> None:
    allowances = Allowances(PER_SECOND)
    allowances.owes(TABLET, 1_000, 10_000)
    assert allowances.waiting(1_000) == ()
    assert allowances.wait_ms(TABLET, 2_000) > 0
    assert (allowances.waiting(3_000), allowances.waiting(62_000)) == ((TABLET,), ())
