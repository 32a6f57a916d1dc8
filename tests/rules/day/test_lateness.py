"""How late the day runs: what is still to come moves by what really happened, and slack takes it up."""

from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from app.rules.day.lateness import DayHeat, lateness, nearest, planned_minutes
from app.rules.records.day import Break, DayRules, EventDay
from app.rules.records.roster import Heat

RULES = DayRules(changeover=4, reset=10, rest=20, breaks=(), events=(EventDay(event="a"), EventDay(event="b")))
LANES = frozenset((1, 2))


def day(*planned: int, went: dict[int, tuple[int, int]] | None = None, **different: Any) -> list[DayHeat]:
    """Heats of ten minutes of one event, planned at these minutes; `went` for those that had a GO."""
    return [
        DayHeat(
            **{"key": f"h{n}", "event": "a", "planned": at, "minutes": 10, "lanes": LANES, **different}, went=(went or {}).get(n)
        )
        for n, at in enumerate(planned)
    ]


def starts(heats: list[DayHeat], now: int, rules: DayRules = RULES) -> list[int]:
    return list(lateness(heats, rules, now).starts.values())


def test_a_day_on_time_starts_as_planned() -> None:
    heats = day(540, 554, 568, went={0: (540, 550)})
    assert starts(heats, 551) == [540, 554, 568] and lateness(heats, RULES, 551).late == 0


def test_a_late_go_moves_what_follows() -> None:
    heats = day(540, 554, 568, went={0: (552, 562)})
    assert starts(heats, 560) == [552, 566, 580] and lateness(heats, RULES, 560).late == 12


def test_a_hold_moves_what_follows() -> None:
    assert starts(day(540, 554, went={0: (540, 557)}), 545) == [540, 561]


def test_waiting_for_a_go_makes_the_next_heat_late_by_the_minute() -> None:
    assert starts(day(540, 554), 547) == [547, 561] and lateness(day(540, 554), RULES, 547).late == 7


def test_slack_takes_lateness_up() -> None:
    assert starts(day(540, 554, 590, went={0: (550, 560)}), 560) == [550, 564, 590]


def test_a_break_that_may_shrink_takes_lateness_up_and_one_that_may_not_moves() -> None:
    heats = day(540, 600, went={0: (552, 562)})
    lunch = Break(name="Lunch", start="09:10", end="10:00", least=30)
    assert starts(heats, 562, RULES.model_copy(update={"breaks": (lunch,)})) == [552, 600]
    whole = lunch.model_copy(update={"least": None})
    assert starts(heats, 562, RULES.model_copy(update={"breaks": (whole,)})) == [552, 612]


def test_an_athlete_keeps_the_rest_that_the_plan_gave() -> None:
    who = frozenset(("m1",))
    heats = day(540, 570, went={0: (550, 560)}, athletes=who)
    assert starts(heats, 560) == [550, 580]
    elsewhere = [heats[0], DayHeat("h1", "b", 555, 10, frozenset((7,)), who)]
    assert starts(elsewhere, 555) == [550, 565]  # the plan itself gave five minutes only


def test_times_after_midnight_are_of_the_same_night() -> None:
    night = [Heat(id=f"h{n}", event="a", number=n, planned=at) for n, at in enumerate(("23:10", "23:40", "", "00:10"), 1)]
    assert planned_minutes(night) == {"h1": 1390, "h2": 1420, "h4": 1450}
    early = [Heat(id=f"h{n}", event="a", number=n, planned=at) for n, at in enumerate(("05:30", "19:00"), 1)]
    assert planned_minutes(early) == {"h1": 330, "h2": 1140}
    assert [nearest(5, 1430), nearest(1435, 10), nearest(600, 610)] == [1445, -5, 600]


def test_a_heat_beside_on_other_lanes_is_not_late() -> None:
    heats = [*day(540, went={0: (560, 570)}), DayHeat("h1", "b", 552, 10, frozenset((7,)))]
    assert starts(heats, 545) == [560, 552]


@given(st.lists(st.integers(0, 30), min_size=1, max_size=8), st.integers(0, 60), st.integers(0, 8))
def test_nothing_is_expected_before_its_plan_or_before_now_and_more_lateness_never_helps(
    gaps: list[int], late: int, ran: int
) -> None:
    planned = [540 + sum(gaps[:n]) + 10 * n for n in range(len(gaps))]
    for minutes in (late, late + 5):
        went = {n: (at + minutes, at + minutes + 10) for n, at in enumerate(planned[:ran])}
        now = 540 + minutes
        found = starts(day(*planned, went=went), now)
        assert all(start >= max(at, now) for start, at in zip(found[ran:], planned[ran:], strict=True))
        if minutes == late:
            before = found
    assert all(one <= other for one, other in zip(before, found, strict=True))
