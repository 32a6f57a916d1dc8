"""What an event's words would leave open: the grace beside a window, numbers between two steps, several tablets, totals that were
read out, ties without a number, penalties on who was stopped. Each sentence is made of the field that the count reads.

The brief says them before the event, an explanation beside the result.
"""

from collections.abc import Iterator

from app.rules.values.words import known, say
from app.rules.workout.format_fields import EVENT, SCORE, seconds_text
from app.rules.workout.formats import Format, ListTask, ScoreRule
from app.rules.workout.less_for_more import told_exceptions
from app.rules.workout.task_fields import TASKS
from app.rules.workout.tie_steps import TIE_STEPS

LEFT_OPEN = ("rounding", "counts_when", "decide_seconds", "may_go_down")  # of a task
READ_OUT = (
    "Totals that a judge reads out stand in, window by window, where they are more than the marks that have come; once the marks "
    "are as many, the marks count."
)


def fine_print(format: Format, rule: ScoreRule) -> tuple[str, ...]:
    """All of it for one score, each sentence once."""
    sentences = [*event_print(format), *_task_print(format), *score_print(format, rule), *told_exceptions(format, rule)]
    return tuple(dict.fromkeys(sentences))


def event_print(format: Format) -> Iterator[str]:
    """What goes for every window of an event."""
    yield from EVENT.sentences(format, format.members)
    if format.late_ms and any(isinstance(task, ListTask) for task in format.tasks.values()):
        yield say("A finish marked after the bell that still counts is a finish at the bell.")
    yield known(READ_OUT)
    if format.counters.how != "lane":
        yield from _counters_print(format)


def _counters_print(format: Format) -> Iterator[str]:
    kinds = {task.kind for task in format.tasks.values()}
    if "count" in kinds:
        quiet = say("for longer than {span}", span=seconds_text(format.quiet_ms)) if format.quiet_ms else say("more than once")
        yield (
            say(
                "A counter who marks nothing while another counts {quiet} was not at work then, as far as anybody knows: what "
                "the other counted then is used for theirs, until the head judge rules. A signature is no sign that they were.",
                quiet=quiet,
            )
        )
    if kinds - {"count"}:
        yield (
            say(
                "Only counted repetitions are joined. Of all else the lane judge's sheet counts, or that of the first counter "
                "who was at work; where another differs, the head judge decides."
            )
        )


def score_print(format: Format, rule: ScoreRule) -> Iterator[str]:
    """What goes for a score: who is stopped by the bell, who has no total, and who has nothing to show for a tie step."""
    yield from SCORE.sentences(rule, format.members, only=("cap_adds", "every_part"))
    for step in rule.ties:
        if lacking := TIE_STEPS[step.kind].without:
            yield known(lacking)


def _task_print(format: Format) -> Iterator[str]:
    for task in format.tasks.values():
        yield from TASKS[task.kind].sentences(task, format.members, only=LEFT_OPEN)
