"""The projection: whatever came in whatever order, it stands where a recount of the same file stands."""

import asyncio
import random
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.live import projection, sheets
from app.live.catching_up import caught_up
from app.live.projection import Projection, UnknownSheet
from app.rules.count.tally import Folding
from app.rules.records.document import CompetitionFile, Run
from app.rules.records.holding import Hold
from app.rules.records.marks import Mark, parse_mark
from app.rules.records.roster import Competition
from app.rules.records.rulings import Ruling
from app.rules.result.hall_records import HallFile
from app.rules.result.halls import join_halls
from app.rules.result.public_file import public_of
from app.rules.result.results import EventResults, results
from app.rules.result.sealing import seal_of
from app.rules.workout.formats import CountTask
from tests.builders.cast import Sheet, a_competition, a_format, a_lift_task, a_run, reps, take
from tests.builders.pairs import SQUAT, TAPS, a_file, a_mark
from tests.builders.platforms import level_flights
from tests.builders.ruled_heat import LANES, RuledHeat

FILE = a_file(done=((6, 9, 95), (7, 8, 80), (5, 5, 70)))


def projected(file: CompetitionFile) -> Projection:
    made = Projection()
    made.load(file, file.runs, file.rulings, file.marks)
    return made


@given(st.randoms(use_true_random=False), st.lists(st.integers(1, 12), max_size=8))
def test_order_batches_and_repeats_change_nothing(dice: random.Random, sizes: list[int]) -> None:
    made = projected(FILE.model_copy(update={"marks": ()}))
    marks = [*FILE.marks, *dice.sample(FILE.marks, 10)]
    dice.shuffle(marks)
    for size in [*sizes, len(marks)]:
        made.apply(marks[:size])
        made.event_results("evt")
        marks = marks[size:]
    assert [made.event_results("evt")] == results(FILE)


@given(st.randoms(use_true_random=False))
def test_a_mark_is_found_by_its_id_whatever_came_under_it(dice: random.Random) -> None:
    made = projected(FILE.model_copy(update={"marks": ()}))
    used = dice.sample(FILE.marks, 5)
    others = [replace(mark, at=mark.at + 1, sheet=dice.choice(FILE.marks).sheet) for mark in used]
    marks = [*FILE.marks, *others]
    dice.shuffle(marks)
    made.apply([*marks, *marks[:7]])
    every = [mark for lane in FILE.heats[0].lanes for mark in made.assignment_marks(lane.id)]
    assert len(every) == len(set(map(id, every))) == len(marks)
    for mark in FILE.marks:
        assert list(made.named(mark.id)) == [one for one in marks if one.id == mark.id]
    assert made.named("0" * 32) == ()


@pytest.mark.parametrize("seed", range(12))
def test_whatever_happens_pages_stand_as_the_file_does_the_public_one_and_joined(seed: int) -> None:
    dice = random.Random(seed)
    day = RuledHeat(dice)
    made = projected(day.file)
    for _ in range(25):
        made.apply(day.happens())
        supposed = made.supposing(day.file.rulings)
        made.roster_changed(day.file, day.file.runs, day.file.rulings)
        assert made.pack(dice.choice(list(LANES))) or made.doubled.found
        if dice.random() < 0.5:
            assert [made.event_results("evt")] == results(day.file)
            if supposed.runs == made.runs:
                assert supposed.event_results("evt") == made.event_results("evt")
    joined = join_halls(Competition(id="all", name="All halls"), [HallFile("North", seal_of(day.file).digest, day.file)], {})
    assert _told(results(day.file)) == _told(results(public_of(day.file))) == _told(results(joined.file))


def _told(found: list[EventResults]) -> list[tuple[object, ...]]:
    rows = [row for event in found for table in event.tables for row in table.rows]
    return [(row.place, row.shared, row.entry.name, row.score and row.score.text, row.status, row.penalty) for row in rows]


def test_the_version_grows_with_a_new_mark_and_not_with_a_known_one() -> None:
    made = projected(FILE)
    before = made.version
    made.apply(FILE.marks)
    assert made.version == before
    made.apply([parse_mark(a_mark("asg_0", 900, "rep", 50_000, TAPS[0]))])
    assert made.version == before + 1


def test_only_what_has_come_since_the_last_look_is_added_to_its_sheet(monkeypatch: pytest.MonkeyPatch) -> None:
    made = projected(FILE)
    made.event_results("evt")
    taken: list[list[Mark]] = []
    take = Folding.take
    monkeypatch.setattr(Folding, "take", lambda folding, marks: taken.append(list(marks)) or take(folding, taken[-1]))
    made.event_results("evt")
    assert taken == []
    rep = parse_mark(a_mark("asg_0", 900, "rep", 50_000, TAPS[0]))
    made.apply([rep])
    made.event_results("evt")
    assert taken == [[rep]]


def test_sheets_that_nobody_marks_any_more_keep_their_tallies_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sheets, "MOST_OPEN", 2)
    made = projected(FILE)
    made.event_results("evt")
    assert sum(sheet.folding is not None for sheet in made._sheets.values()) == 2
    for lane in (0, 1, 2):
        made.apply([parse_mark(a_mark(f"asg_{lane}", 900, "rep", 50_000, TAPS[0]))])
    marks = [mark for lane in FILE.heats[0].lanes for mark in made.assignment_marks(lane.id)]
    assert [made.event_results("evt")] == results(FILE.model_copy(update={"marks": tuple(marks)}))


@settings(max_examples=30)
@given(
    st.lists(st.sampled_from(["marks", "look", "count", "hold", "ruling", "pack"]), max_size=14),
    st.randoms(use_true_random=False),
)
def test_whatever_happens_between_two_looks_it_stands_where_a_recount_stands(happens: list[str], dice: random.Random) -> None:
    file, marks = FILE, list(FILE.marks)
    dice.shuffle(marks)
    made = projected(FILE.model_copy(update={"marks": ()}))
    for what in happens:
        if what == "marks":
            made.apply(marks[:5])
            marks = marks[5:]
        elif what == "look":
            made.event_results("evt")
        elif what == "count":
            asyncio.run(caught_up(made))
        elif what == "pack":
            assert all(made.pack(lane.id) for lane in dice.sample(FILE.heats[0].lanes, 3))
        else:
            file = held(file, dice.randrange(400_000)) if what == "hold" else ruled(file, dice.randrange(len(RULED)))
            made.roster_changed(dice.choice([FILE, file]), file.runs, file.rulings)  # the very same roster, or one like it
    made.apply(marks)
    asyncio.run(caught_up(made))
    assert made.to_count() and all(made.count_a_little(lane) is False for lane in made.to_count()), "all is counted"
    assert [made.event_results("evt")] == results(file) and made.to_count() == []


def held(file: CompetitionFile, at_ms: int) -> CompetitionFile:
    hold = Hold(at_ms=at_ms, for_ms=9_000)
    return file.model_copy(update={"runs": tuple(run.model_copy(update={"holds": (hold,)}) for run in file.runs)})


def ruled(file: CompetitionFile, number: int) -> CompetitionFile:
    others = (ruling for ruling in file.rulings if ruling.id != f"rul_{number}")
    return file.model_copy(update={"rulings": (*others, a_ruling(number))})


def test_a_heat_that_is_run_again_counts_from_its_new_sheets() -> None:
    made = projected(FILE)
    first = FILE.runs[0]
    stopped = (replace_run(first, state="stopped"), replace_run(first, number=2))
    made.roster_changed(FILE, stopped, ())
    assert all(row.score is None for table in made.event_results("evt").tables for row in table.rows)
    made.apply([parse_mark(a_mark("asg_0", 1, "rep", 50_000, TAPS[0], run=2))])
    scored = [row for table in made.event_results("evt").tables for row in table.rows if row.score]
    assert [(row.entry.id, row.score.text) for row in scored if row.score] == [("ent_0_0", "1")]


def replace_run(run: object, **different: object) -> object:
    return run.model_copy(update=different)  # type: ignore[attr-defined]


def test_a_changed_format_is_counted_by_at_once() -> None:
    made = projected(FILE)
    before = made.event_results("evt").tables[0].rows[0].score
    event = FILE.events[0]
    score = event.format.scores[0]
    doubled = score.model_copy(update={"parts": (score.parts[0].model_copy(update={"weight": 2}), *score.parts[1:])})
    changed = event.model_copy(update={"format": event.format.model_copy(update={"scores": (doubled,)})})
    made.roster_changed(FILE.model_copy(update={"events": (changed,)}), FILE.runs, ())
    after = made.event_results("evt").tables[0].rows[0].score
    assert before is not None and after is not None and after.value > before.value


def test_the_last_mark_is_the_last_to_come_on_the_sheet_that_counts() -> None:
    made = projected(FILE)
    late = parse_mark(a_mark("asg_0", 901, "rep", 10_000, TAPS[0]))
    made.apply([late, replace(late, id="f" * 32, sheet="asg_0/2/lane")])
    assert made.last_mark("asg_0") == late and made.last_mark("asg_3") is None


def test_what_is_not_there_is_said_so() -> None:
    made = projected(FILE)
    with pytest.raises(KeyError):
        made.event_results("nowhere")
    with pytest.raises(UnknownSheet, match="belongs to no lane"):
        made.sheet_tally("asg_99/1/lane")
    assert made.sheet_marks("asg_99/1/lane") == [] and not made.sheet_tally("asg_3/1/lane").any_marks
    assert Projection().roster is None


RULED = [
    {"kind": "reps", "assignment": "asg_0", "body": {"add": 3, "window": 1, "run": 1}},
    {"kind": "move", "assignment": "asg_0", "body": {"sheet": "asg_1/1/lane"}},
    {"kind": "move", "assignment": "asg_1", "body": {"sheet": "asg_0/1/lane"}},
    {"kind": "status", "assignment": "asg_2", "body": {"status": "did_not_finish"}},
    {"kind": "undo", "body": {"ruling": "rul_0"}},
    {"kind": "stand", "assignment": "asg_2", "body": {"sheet": "asg_2/1/lane", "windows": [1]}},
    {"kind": "penalty", "entry": "ent_1", "event": "evt", "body": {"amount": "2"}},
    {"kind": "undo", "body": {"ruling": "rul_1"}},
]


def a_ruling(number: int) -> Ruling:
    return Ruling(id=f"rul_{number}", by="Sam", why="Seen", made_wall_ms=number + 1, **RULED[number])  # type: ignore[arg-type]


@settings(max_examples=25)
@given(st.lists(st.integers(0, len(RULED) - 1), unique=True))
def test_under_any_rulings_it_stands_where_a_recount_stands_supposed_or_made(numbers: list[int]) -> None:
    rulings = tuple(a_ruling(number) for number in numbers)
    made = projected(FILE)
    before = made.event_results("evt")
    recounted = results(FILE.model_copy(update={"rulings": rulings}))
    assert [made.supposing(rulings).event_results("evt")] == recounted
    assert made.event_results("evt") is before and made.rulings == FILE.rulings, "to suppose changes nothing"
    made.roster_changed(FILE, FILE.runs, rulings)
    assert [made.event_results("evt")] == recounted
    assert [made.supposing(rulings[:-1]).event_results("evt")] == results(FILE.model_copy(update={"rulings": rulings[:-1]}))
    assert [made.event_results("evt")] == recounted, "nor does what is supposed of a standing that was looked at"


def test_a_ruling_has_nothing_counted_that_it_does_not_touch(monkeypatch: pytest.MonkeyPatch) -> None:
    made, joined = projected(FILE), []
    before = made.event_results("evt")
    join = projection.joined_tally
    monkeypatch.setattr(projection, "joined_tally", lambda *of: joined.append(of) or join(*of))
    made.roster_changed(FILE, FILE.runs, (a_ruling(0),))
    after = made.event_results("evt")
    assert after != before and len(joined) == 1, "one lane is joined again"
    about = {"assignment": "asg_1", "body": {"flag": "unsent", "done": "settled", "marks": []}}
    seen = Ruling(id="rul_9", by="Sam", why="Seen", made_wall_ms=99, kind="flag", **about)  # type: ignore[arg-type]
    made.roster_changed(FILE.model_copy(), FILE.runs, (a_ruling(0), seen))
    assert made.event_results("evt") is after and len(joined) == 1, "a flag that is settled changes no number"


@settings(max_examples=25)
@given(st.lists(st.integers(0, len(RULED) - 1), unique=True), st.randoms(use_true_random=False))
def test_under_any_rulings_later_marks_change_what_was_looked_at(numbers: list[int], dice: random.Random) -> None:
    rulings = tuple(a_ruling(number) for number in numbers)
    marks = list(FILE.marks)
    dice.shuffle(marks)
    made = projected(FILE.model_copy(update={"marks": tuple(marks[:-4]), "rulings": rulings}))
    for mark in marks[-4:]:
        made.event_results("evt")
        made.apply([mark])
    assert [made.event_results("evt")] == results(FILE.model_copy(update={"rulings": rulings}))


def test_a_shadow_judges_lift_stands_under_the_bar_that_the_lane_declares_even_later() -> None:
    lane = [mark for mark in a_file(done=((0, 0, 95),)).marks if mark.kind == "declare"][:1]
    shadow = replace(lane[0], id="f" * 32, sheet="asg_0/1/shadow", device="shadow", kind="lift", at=lane[0].at + 20_000)
    shadow = replace(shadow, body={"load": lane[0].body["load"], "good": True, "declared": lane[0].id})
    projection = projected(a_file())
    projection.apply([shadow])
    assert [flag.why for flag in projection.sheet_tally("asg_0/1/shadow").flags] == ["no-declaration"]
    projection.apply(lane)
    assert projection.sheet_tally("asg_0/1/shadow").flags == ()
    assert (
        projection.counting_tally("asg_0") is not None and projection.sheet_tally("asg_0/1/lane").windows[SQUAT[0]].best is None
    )


def test_where_a_tie_asks_who_was_first_another_go_ranks_anew() -> None:
    file = level_flights((0, 0, 0))
    made = Projection()
    made.apply(file.marks)
    for gos in ((), (3, 2, 1), (1, 2, 3)):
        runs = tuple(Run(heat=f"heat_{n}", number=1, go_wall_ms=go) for n, go in enumerate(gos, 1))
        made.roster_changed(file, runs, ())
        assert [made.event_results("evt")] == results(file.model_copy(update={"runs": runs}))


def test_a_heat_that_is_closed_and_opened_again_ranks_anew_and_another_event_stays() -> None:
    """Of a closed heat a sheet with nothing on it says 0."""
    sheet = Sheet("asg_1")
    tap = sheet.rep(1_000)
    file = a_competition(
        a_format(CountTask(movement="swing")), {"Open": ["Ana", "Bo"]}, [tap, sheet.strike(2_000, tap), *reps(3, 2)]
    )
    other = file.events[0].model_copy(update={"id": "other"})
    file = file.model_copy(update={"events": (*file.events, other)})
    made, found = projected(file), list[object]()
    for state in ("set", "closed", "set"):
        runs = tuple(run.model_copy(update={"state": state}) for run in file.runs)
        made.roster_changed(file, runs, ())
        assert made.event_results("evt") == results(file.model_copy(update={"runs": runs}))[0]
        found.append(made.event_results("other"))
    assert found[0] is found[1] is found[2]


def test_a_sheet_without_marks_that_a_ruling_lets_stand_is_read_with_the_lanes_bar_as_in_the_file() -> None:
    format = a_format(a_lift_task(), take("best"), unit="kg")
    stands = {"kind": "stand", "assignment": "asg_1", "body": {"sheet": "asg_1/1/second", "windows": [0]}}
    ruling = {"id": "rul", "by": "Ruth", "why": "Seen", **stands}
    file = a_competition(format, {"Open": ["Ana"]}, [Sheet("asg_1").declare(1_000, "100 kg")], [a_run(2).model_dump()], [ruling])
    assert [projected(file).event_results("evt")] == results(file)
