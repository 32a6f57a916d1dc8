"""A list, and then as many as possible of one thing in the time that it leaves."""

from dataclasses import replace

from app.rules.reading.clock import Clock
from app.rules.reading.drafts import Stretch
from app.rules.reading.lists import Listed
from app.rules.reading.some_count import is_said_to_count, lines_before_a_tail, without_worth


def has_a_tail(stretch: Stretch) -> bool:
    """Whether a list is done, and then one thing in the time that it leaves."""
    return any(group.role == "rest-of-time" for group in stretch.groups) and any(
        group.works and group.role != "rest-of-time" for group in stretch.groups
    )


def with_a_tail(clock: Clock, stretch: Stretch, made: Listed) -> Listed:
    """Such a list with what counts of it. Whether what stands before the time that is left counts as well is asked, where the
    text does not say what counts, or which of it does not."""
    before = lines_before_a_tail(made.items)
    if not any(made.items[place].worth for place in before) or is_said_to_count(clock, made.items):
        return made
    worth = sum(made.items[place].reps * made.items[place].worth for place in before)
    said = f"The list before counts {worth} in the score, and then each repetition 1; or does only the rest count?"
    answers = [("so", "All of it counts"), ("rest", "Only what is done in the time that is left")]
    told = clock.things.talk.ask("tail", stretch.span, said, answers)
    return replace(made, items=without_worth(made.items, before)) if told == "rest" else made
