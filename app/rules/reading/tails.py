"""A list, and then as many as possible of one thing in the time that it leaves."""

from app.rules.reading.clock import Clock
from app.rules.reading.drafts import Stretch
from app.rules.reading.lists import Listed


def has_a_tail(stretch: Stretch) -> bool:
    """Whether a list is done, and then one thing in the time that it leaves."""
    return any(group.role == "rest-of-time" for group in stretch.groups) and any(
        group.works and group.role != "rest-of-time" for group in stretch.groups
    )


def asks_of_a_tail(clock: Clock, stretch: Stretch, made: Listed) -> None:
    """That what stands before the time that is left counts in the score as well is said, and agreed to."""
    before = sum(item.reps * item.worth for item in made.items[:-1])
    said = f"The list before counts {before} in the score, then each repetition 1; that only the rest counts can't be said yet."
    clock.things.talk.ask("tail", stretch.span, said, [("so", "Count it so")])
