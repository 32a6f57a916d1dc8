"""What the composer shows of an event: the strip to scale, the event in words, warnings at their places."""

from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given, settings

from app.compose.event_form import format_form
from app.compose.event_look import look
from app.compose.event_plain import told
from app.compose.event_rows import EventForm
from app.compose.event_strip import Bar, Strip, strip_of
from app.rehearsal.turns import turn_about
from app.rules.workout.formats import CountTask, Format, Movement, Part, ScoreRule, TieStep, Window
from app.rules.workout.presets import PRESETS
from tests.builders.any_format import formats

PAIR = turn_about()
FORM = format_form("Pair", PAIR)


def part(text: str) -> Fraction:
    return Fraction(text.removesuffix("%")) / 100


def bars(strip: Strip, window: int) -> list[Bar]:
    return [bar for bar in strip.bars if bar.window == window]


def test_bars_lie_to_scale_on_the_tracks_of_those_who_work() -> None:
    strip = strip_of(FORM)
    assert [track.name for track in strip.tracks] == ["A", "B"]
    assert [(bar.x, bar.width, bar.kind) for bar in bars(strip, 2)] == [("18.18%", "13.64%", "work")]
    first, second = bars(strip, 0)[0], bars(strip, 9)[0]
    assert (first.y, second.y) == (strip.tracks[0].y, strip.tracks[1].y)
    assert bars(strip, 1)[0].kind == "rest" and bars(strip, 1)[0].height > first.height
    assert strip.length == "22:00" and strip.ticks[-1].words == "22:00"


def test_holding_is_drawn_beside_the_work_and_work_together_over_all_tracks() -> None:
    windows = (replace(FORM.windows[0], holding="2"), replace(FORM.windows[2], who="all"), replace(FORM.windows[2], who="any"))
    strip = strip_of(replace(FORM, windows=windows))
    assert [bar.kind for bar in bars(strip, 0)] == ["work", "holding"]
    assert bars(strip, 0)[1].y > strip.tracks[1].y
    assert [bar.kind for bar in bars(strip, 1)] == ["work"] and bars(strip, 1)[0].height > strip.tracks[0].height
    assert [bar.kind for bar in bars(strip, 2)] == ["shared"]


def test_a_window_that_can_not_be_read_is_left_out_and_the_rest_is_drawn() -> None:
    broken = replace(FORM, windows=(replace(FORM.windows[0], seconds="two"), *FORM.windows[1:]))
    strip = strip_of(broken)
    assert bars(strip, 0) == [] and bars(strip, 1)[0].start == 0
    assert strip_of(EventForm(windows=())).bars == ()


@settings(max_examples=25)
@given(formats())
def test_no_bar_sticks_out_of_the_strip_and_every_window_has_one(format: Format) -> None:
    strip = strip_of(format_form("Any", format), room=True)
    assert {bar.window for bar in strip.bars} == set(range(len(format.windows)))
    for bar in strip.bars:
        assert part(bar.x) >= 0 and part(bar.x) + part(bar.width) <= 1
        assert bar.y >= 0 and bar.y + bar.height <= strip.height
    assert len(strip.ticks) <= 14


@pytest.mark.parametrize("key", PRESETS)
def test_every_preset_can_be_told_in_words_and_drawn(key: str) -> None:
    format = PRESETS[key].make({})
    words = told(format)
    assert words.runs and words.scores
    for line in (*words.runs, *words.scores):
        assert line[0].isupper() or line[0].isdigit()
        assert line.endswith(".") and "None" not in line and "  " not in line
    assert strip_of(format_form(key, format), drawn="sketch").bars


def lines(key: str, **knobs: str) -> list[str]:
    words = told(PRESETS[key].make(knobs))
    return [*words.runs, *words.scores]


def test_events_are_told_as_somebody_would_read_them_out() -> None:
    assert lines("for_time", scheme="18-14-10", movements="thrusters 37 kg\ndips", cap="9:00") == [
        "One window of 9:00, for time: 18-14-10 thrusters (37 kg) and dips.",
        "The score is the finish time. The shortest time wins.",
        "Whoever is stopped by the bell ranks behind all finishers, by the work left; "
        "a penalty moves them only among those with as much work left.",
        "Equal scores share a place.",
    ]
    assert lines("every_minute", movement="burpees", reps="10", more="2", windows="8")[:2] == [
        "8 windows of 1:00: 10 burpees, 2 more in each window; whoever misses it is out.",
        "The last bell goes at 8:00.",
    ]
    pair = " ".join(lines("mirrored_pair"))
    assert "plus each member's best Overhead press, in points, each load in kilograms. More is better." in pair
    assert lines("rep_ladder")[0].startswith("One window of 6:00, until the bell: 5-8-11 and so on to")
    assert "One window of 11:00, 4 rounds for time: 250 m row, 18 lunges, 12 dips." in lines("for_time_list")
    assert lines("holding")[0].endswith("as many as possible, while another holds.")
    assert "The score is the measured Ski erg, in metres. More is better." in lines("measured")
    assert "Repetitions: the Lunges. More is better." in lines("two_scores")


def test_ties_weights_and_rounding_are_told_in_order() -> None:
    score = ScoreRule(
        unit="points",
        rounding="down",  # type: ignore[arg-type]
        rounding_step=Fraction(1, 2),
        parts=(Part(take="sum", tasks=("work",), weight=Fraction(1, 2), drop=1),),
        ties=(TieStep(kind="count_at", at=60), TieStep(kind="part", part=0)),
    )
    windows = tuple(Window(start=60 * n, seconds=60, task="work") for n in range(2))
    format = Format(
        movements={"m": Movement(name="Ring rows")}, tasks={"work": CountTask(movement="m")}, windows=windows, scores=(score,)
    )
    assert list(told(format).scores) == [
        "The score is Ring rows without the lowest 1 times 0.5, in points. More is better.",
        "Rounded down to multiples of 0.5.",
        "Equal scores: more work done by 1:00, then the better part 1; otherwise the place is shared.",
    ]


def test_warnings_point_to_their_rows_and_problems_to_their_fields() -> None:
    overlap = replace(FORM, windows=(FORM.windows[0], replace(FORM.windows[4], start="1:00"), *FORM.windows[2:]))
    seen = look(overlap)
    assert ("window-1", "Member A also works in window 1 at the same time.") in [(note.at, note.sentence) for note in seen.notes]
    assert seen.flagged(1) and not seen.flagged(0)
    no_bar = replace(FORM, tasks=(*FORM.tasks[:2], FORM.tasks[2].having({"lift-bar": "0", "lift-step": "0.5 lb"})))
    assert [note.at for note in look(no_bar).notes] == ["task-2", "task-2"]
    wrong = look(replace(FORM, windows=(replace(FORM.windows[0], seconds="2"), *FORM.windows[1:])))
    assert wrong.told is None and [problem.field for problem in wrong.problems] == ["window-0-seconds"]


def test_a_movement_that_nobody_knows_is_pointed_out_before_it_is_stored() -> None:
    listed = replace(FORM.tasks[0], kind="list").having({"list-items": "10 Swigns of the rope\n10 Pull-ups"})
    seen = look(replace(FORM, tasks=(listed, *FORM.tasks[1:]), parts=(FORM.parts[0].having({"take": "sum"}), *FORM.parts[1:])))
    assert [note.sentence for note in seen.notes if note.at == "movements"] == [
        "“Swigns of the rope” is not in the library and has no standards. Say what makes a repetition count."
    ]


def test_a_movement_that_got_another_name_is_pointed_out_while_it_has_the_standards_of_before() -> None:
    form = format_form("Jumps", PRESETS["most_reps"].make({"movement": "burpees"}))

    def told_of(**row: str) -> list[str]:
        return [note.sentence for note in look(replace(form, movements=(replace(form.movements[0], **row),))).notes]  # type: ignore[arg-type]

    assert told_of() == told_of(name="Burpee") == []
    assert told_of(name="burpees over the bar") == [
        "“burpees over the bar” has the standards of Burpees, word for word. Check that they are right here."
    ]


@pytest.mark.parametrize(
    ("lift", "told_of"),
    [
        ("Back squat", []),
        (
            "Front squat",
            ["What referees call of “Front squat” is from memory, for no text was read that says it. Check your rules."],
        ),
    ],
)
def test_signals_that_are_from_memory_are_said_to_be_where_referees_call_them(lift: str, told_of: list[str]) -> None:
    for preset, expected in (("lifts_in_rounds", told_of), ("lifts_summed", [])):
        form = format_form("Meet", PRESETS[preset].make({"movements": lift}))
        assert [note.sentence for note in look(form).notes if "memory" in note.sentence] == expected
