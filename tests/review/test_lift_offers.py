"""A lift that is flagged, as the head judge looks at it: what is offered, what is said of it, how the drawing is explained."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from app.hall.hall import Hall
from app.review.disputes import BY_RULE, Dispute, dispute, queue
from app.review.flags import flags
from app.review.proposals import BY_DECISION, BY_GOOD, BY_MOMENT
from app.rules.count.flags import FLAGS
from app.rules.records.document import CompetitionFile
from app.rules.records.marks import Mark, parse_mark
from tests.builders.halls import a_house
from tests.builders.pairs import FORMAT, SQUAT, a_file, a_mark

WINDOW = FORMAT.windows[SQUAT[0]]
BELL = WINDOW.end_ms
TWO_ATTEMPTS = FORMAT.model_copy(
    update={
        "tasks": {**FORMAT.tasks, "squat": FORMAT.tasks["squat"].model_copy(update={"attempts": 2, "counts_when": "begun"})},
    }
)


def a_lift(lane: str, number: int, kg: int, begun: int, good: bool = True) -> list[Mark]:
    """A load declared, the bar out at a moment, the lift judged two seconds later."""
    load = {"amount": str(kg), "unit": "kg"}
    said = a_mark(lane, number, "declare", begun - 1_000, SQUAT[0], load=load, by="judge")
    out = a_mark(lane, number + 1, "begun", begun, SQUAT[0], declared=said["id"])
    about = {"declared": said["id"], "begun": out["id"]}
    judged = a_mark(lane, number + 2, "lift", begun + 2_000, SQUAT[0], load=load, good=good, **about)
    racked = a_mark(lane, number + 3, "racked", begun + 4_000, SQUAT[0], declared=said["id"])
    return [parse_mark(mark) for mark in (said, out, judged, racked)]


def the_file() -> CompetitionFile:
    """Two attempts each. The first lifts a third time, the second begins after the bell, the third is over in time."""
    file = a_file((("Chalk Lines", "Iron Larks", "Lanterns"),))
    marks = [mark for n in range(3) for mark in a_lift("asg_0", 1 + 4 * n, 100 + 5 * n, WINDOW.start_ms + 20_000 * (n + 1))]
    marks += a_lift("asg_1", 1, 120, BELL + FORMAT.late_ms + 500)
    marks += a_lift("asg_2", 1, 90, WINDOW.start_ms + 20_000)
    events = tuple(event.model_copy(update={"format": TWO_ATTEMPTS}) for event in file.events)
    return file.model_copy(update={"events": events, "marks": tuple(marks)})


@pytest.fixture
def hall(tmp_path: Path) -> Iterator[Hall]:
    with a_house(tmp_path, file=the_file()) as house:
        yield house.app.state.hall


def looked_at(hall: Hall, why: str) -> Dispute:
    (flag,) = [flag for flag in flags(hall) if flag.why == why]
    return dispute(hall, flag.assignment, flag.key, {})


def test_of_a_lift_that_a_rule_keeps_out_nothing_is_offered_that_changes_nothing(hall: Hall) -> None:
    over = looked_at(hall, "attempt-over")
    assert over.options == () and over.no_option == BY_RULE
    late = looked_at(hall, "begun-late")
    (option,) = late.options
    assert option.words == "120 kg: count it as judged before the bell" and option.effect.changed and late.no_option == ""
    assert option.effect.stands[0].score.startswith("120")


def test_a_mark_that_does_not_count_is_not_said_to_count(hall: Hall) -> None:
    """The lift after the bell is late, which counts, and begun too late, which does not."""
    tally = hall.projection.counting_tally("asg_1")
    assert tally is not None and {flag.why for flag in tally.flags} >= {"late", "begun-late"}
    found = queue(hall)
    assert "Begun after the bell" in {line.title for line in found.waiting}
    assert "After the bell" not in {line.title for line in (*found.waiting, *found.counting)}


def test_the_key_of_a_drawing_names_what_is_drawn_and_nothing_else(hall: Hall) -> None:
    drawn = looked_at(hall, "begun-late").strip
    assert drawn is not None
    ring = "Small ring: bar left the rack, bar racked"
    assert drawn.key == ("Tick: good lift or finish", "Square: declared load", ring, "Circled: what this is about")
    number = SQUAT[0] + 1
    assert [edge.label for edge in drawn.edges] == [f"Window {number} closes, window {number + 1} opens"]


def test_what_a_ruling_on_a_lift_undoes_keeps_a_mark_out() -> None:
    assert all(FLAGS[why].keeps_out for why in BY_MOMENT | BY_GOOD | BY_DECISION)
    assert not any(row.keeps_out and row.lets_in for row in FLAGS.values())
