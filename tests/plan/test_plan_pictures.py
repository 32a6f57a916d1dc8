"""The day's pictures draw the numbers of their tables: every lane, every judge's load, every heat's lateness."""

from collections import Counter

from hypothesis import given
from hypothesis import strategies as st

from app.hall.pictures import PLOT, Dot
from app.plan.day_times import WentHeat
from app.plan.plan_pictures import day_picture, judges_picture, late_picture, lateness_text, time_text
from app.rules.day.heats import PlannedHeat, Spot
from app.rules.records.day import DayRules
from app.rules.records.judges import Judge, minutes_of
from app.rules.records.roster import Roster
from tests.builders.slate_day import the_slate_day

DAY = the_slate_day(("10:00", "10:30", "11:00"))
JUDGES = tuple(Judge(id=f"jdg_{n}", name=f"Judge {n}") for n in range(1, 5))
ROSTER: Roster = DAY.model_copy(update={"judges": JUDGES})
RULES = DayRules()
ENTRIES = [entry.id for entry in ROSTER.entries]


@st.composite
def plans(draw: st.DrawFn) -> list[PlannedHeat]:
    heats, start = [], draw(st.integers(0, 12 * 60))
    for number in range(1, draw(st.integers(1, 6)) + 1):
        lanes = sorted(draw(st.sets(st.integers(1, 4), min_size=1)))
        judges = draw(st.permutations([judge.id for judge in JUDGES]))
        spots = tuple(
            Spot(lane=lane, entry=draw(st.sampled_from(ENTRIES)), judge=judge) for lane, judge in zip(lanes, judges, strict=False)
        )
        minutes = draw(st.integers(1, 40))
        heats.append(PlannedHeat(event=ROSTER.events[0].id, number=number, start=start, minutes=minutes, spots=spots))
        start += minutes + draw(st.integers(0, 90))
    return heats


def hours(words: str) -> int:
    """A time of a ruler or a table as a minute of the day."""
    clock, _, next_day = words.partition(" ")
    return minutes_of(clock) + (24 * 60 if next_day else 0)


@given(plans())
def test_every_entry_on_a_lane_is_a_bar_of_that_lane_and_a_row_of_the_table(heats: list[PlannedHeat]) -> None:
    picture = day_picture("day", ROSTER, RULES, heats)
    bars = {panel.name: [bar for bar in panel.bars if bar.tone != "break"] for panel in picture.panels}
    per_lane = Counter(f"Lane {row[0]}" for row in picture.rows)
    assert {name: len(found) for name, found in bars.items()} == per_lane
    assert len(picture.rows) == sum(len(heat.spots) for heat in heats)
    # The bars of a lane stand in the order of their table, each named by its times.
    for name, found in bars.items():
        rows = [row for row in picture.rows if f"Lane {row[0]}" == name]
        for bar, row in zip(found, rows, strict=True):
            assert f"{row[1]} to {row[2]}: {row[4]}" in bar.words


@given(plans())
def test_a_judges_bars_are_the_lanes_of_the_table(heats: list[PlannedHeat]) -> None:
    loads = Counter({judge.id: 0 for judge in JUDGES})
    loads.update(spot.judge for heat in heats for spot in heat.spots if spot.judge)
    picture = judges_picture("judges", ROSTER, RULES, heats, dict(loads))
    assert picture is not None
    names = {judge.id: judge.name for judge in JUDGES}
    assert {row[0]: int(row[1]) for row in picture.rows} == {names[judge]: load for judge, load in loads.items()}
    for panel, row in zip(picture.panels, picture.rows, strict=True):
        assert panel.name == row[0] and len(panel.bars) == int(row[1])
        drawn = sum(float(bar.width.removesuffix("%")) for bar in panel.bars)
        ruler = (hours(picture.ticks[-1].words) or 24 * 60) - hours(picture.ticks[0].words)
        if ruler > 0 and not any(heat.end > 24 * 60 for heat in heats):
            assert abs(drawn / 100 * ruler - int(row[2])) < 0.1 * max(1, len(panel.bars))


def test_nobody_on_the_list_judges_so_there_is_no_picture_of_it() -> None:
    heat = PlannedHeat(event=ROSTER.events[0].id, number=1, start=600, minutes=9, spots=(Spot(lane=1, entry=ENTRIES[0]),))
    assert judges_picture("judges", ROSTER, RULES, [heat], {judge.id: 0 for judge in JUDGES}) is None


WENT = st.builds(
    lambda n, planned, late, took, ended: WentHeat(
        f"heat {n}", planned, planned + 8, planned + late, planned + late + took if ended else None
    ),
    *(st.integers(1, 99), st.integers(60, 1200), st.integers(-20, 90), st.integers(8, 30), st.booleans()),
)


@given(st.lists(WENT, min_size=1, max_size=12))
def test_every_heat_is_drawn_as_late_as_its_row_says(heats: list[WentHeat]) -> None:
    picture = late_picture(heats)
    assert picture is not None
    (panel,) = picture.panels
    levels = {int(level.words): level.y for level in panel.levels}
    low, high = min(levels), max(levels)

    def late(dot: Dot) -> int:
        return round(high - dot.y / PLOT * (high - low))

    began = sorted(lateness_text(late(dot)) for dot in panel.dots if dot.shape == "ring")
    ended = sorted(lateness_text(late(dot)) for dot in panel.dots if dot.shape == "disc")
    assert began == sorted(row[3] for row in picture.rows)
    assert ended == sorted(row[6] for row in picture.rows if row[5] != "–")
    assert len(panel.strokes) == sum(heat.ended is not None for heat in heats)
    assert sorted(row[2] for row in picture.rows) == sorted(time_text(heat.began) for heat in heats)
