"""The fields of a format beside its tasks, each declared once: the event, its movements, scores and variants. See fields.py.

Here are those that stand by themselves. What names another row (a window's work and members, what a part takes from) is read
and written by hand in compose/, and windows are drawn on the strip: their numbers are two fields that script and page know.
"""

from collections.abc import Mapping
from fractions import Fraction
from functools import partial

from app.rules.values.units import Rounding, decimal_text
from app.rules.values.words import decimal, say
from app.rules.workout.fields import Declared, Field, Group
from app.rules.workout.formats import Format, Part, ScoreRule, TieStep, Variant
from app.rules.workout.joining import JoinRule
from app.rules.workout.tasks import MOST_MEMBERS, Movement
from app.rules.workout.tie_steps import TIE_STEPS

BETTER = {"more": "more is better", "less": "less is better"}
ROUNDINGS = {"none": "not rounded", "down": "rounded down", "nearest": "rounded to the nearest"}
TAKES = {
    "sum": "the sum of",
    "best": "the best of",
    "worst": "the worst of",
    "last": "the last of",
    "member_best": "each member's best, added up, of",
    "time": "the finish time of",
    "heaviest": "the heaviest load done of",
}
RANKED = {"with": "with everybody else", "after": "behind everybody who does it as written", "apart": "in a separate standing"}
HOW = {
    "lane": "the lane judge's count alone",
    "closest_two": "the mean of the two closest counts",
    "drop_high_low": "without the highest and the lowest, the mean of the rest",
    "mean": "the mean of all counts",
    "median": "the middle count",
}


def _cap(score: ScoreRule, _: int) -> str:
    if all(part.take != "time" for part in score.parts):
        return ""
    if score.cap_adds is None:
        return say(
            "Whoever is stopped by the bell ranks behind all finishers, by the work left; a penalty moves them only among those "
            "with as much work left."
        )
    return say("cap_adds", n=score.cap_adds, seconds=decimal_text(score.cap_adds))


def _every_part(score: ScoreRule, _: int) -> str:
    if not score.every_part:
        return ""
    return say(
        "Without a good lift in each part there is no total, and no place."
        if len(score.parts) > 1
        else "Without a good lift there is no place."
    )


def _rounding(score: ScoreRule, _: int) -> str:
    if score.rounding is Rounding.NONE:
        return ""
    down = score.rounding is Rounding.DOWN
    step = decimal(decimal_text(score.rounding_step))
    return say("Rounded down to multiples of {step}." if down else "Rounded to the nearest multiple of {step}.", step=step)


def seconds_text(ms: int) -> str:
    """A grace in words: `1.5 s`."""
    return f"{decimal(decimal_text(Fraction(ms, 1000), 3))} s"


def _early(format: Format, _: int) -> str:
    if not format.grace_before_ms:
        return say("Marks made before GO, or before their window opens, do not count.")
    grace = seconds_text(format.grace_before_ms)
    return say("Marks up to {grace} before a window opens, or before GO, count and are flagged.", grace=grace)


def _late(format: Format, _: int) -> str:
    if not format.late_ms:
        return say("Marks at the bell or after it do not count.")
    return say(
        "Marks up to {grace} after their bell, or after a hold, count and are flagged: that is the judge's reaction time.",
        grace=seconds_text(format.late_ms),
    )


def _quiet(format: Format, _: int) -> str:
    quiet = format.quiet_ms
    near = say("no more than {span} apart", span=seconds_text(quiet)) if quiet else say("made at one moment")
    return say(
        "If several tablets mark for one judge in a window and one took over from the other for good, everything counts. If "
        "their marks are mixed, only one of two marks {near} on different tablets counts: as many as possible are counted, and "
        "where two choices are equal, the earlier.",
        near=near,
    )


def _puts_out(format: Format, _: int) -> str:
    return say("Who misses what a window asks for is out: in later windows nothing counts.") if format.miss_puts_out else ""


event = partial(Field, Format, "")
EVENT = Declared(
    Format,
    (
        Group(
            (
                event("members", "Members of an entry", "The number of members of an entry", f"1 to {MOST_MEMBERS}"),
                event("unit", "Loads in", "The unit of loads"),
                event(
                    "late_ms",
                    "Counts after the bell",
                    "How long after the bell a mark still counts",
                    "seconds of reaction time for the judge; these marks are flagged",
                    typed="millis",
                    say=_late,
                    turn=2,
                ),
                event(
                    "early_ms",
                    "Counts before GO",
                    "How early before a window a mark already counts",
                    "seconds, before every window too; these marks are flagged; empty: the same as after the bell",
                    typed="millis",
                    say=_early,
                    turn=1,
                ),
                event(
                    "quiet_ms",
                    "Quiet before another tablet counts",
                    "How long a tablet must be quiet",
                    "seconds; closer marks from two tablets, interleaved, are taken as one athlete counted twice",
                    typed="millis",
                    say=_quiet,
                    turn=3,
                ),
                event("miss_puts_out", "Missing what a window asks for puts the entry out", "", say=_puts_out, turn=4),
            )
        ),
    ),
)

counters = partial(Field, JoinRule, "")
COUNTERS = Declared(
    JoinRule,
    (
        Group(
            (
                counters("how", "Their counts are combined:", "How several counts are combined", words=HOW),
                counters(
                    "recount_beyond",
                    "Count again if they are further apart than",
                    "How far apart counts may be",
                    "repetitions; empty: never",
                ),
            )
        ),
    ),
)

movement = partial(Field, Movement, "")
MOVEMENT = Declared(
    Movement,
    (
        Group(
            (
                movement(
                    "fastest_ms",
                    "Least time between two",
                    "{}'s least time between repetitions",
                    "seconds; faster is flagged",
                    typed="millis",
                ),
                movement("heaviest", "Heaviest plausible", "{}'s heaviest load", "heavier is flagged"),
            )
        ),
        Group(
            (
                movement("standards", "Standards, one per line", "{}'s standards", rows=5),
                movement(
                    "faults",
                    "Faults, most likely first, one per line",
                    "{}'s faults",
                    "After a bar “|”, what the judge says.",
                    typed="own",
                    rows=5,
                ),
                movement("cautions", "Cautions, one per line", "{}'s cautions", rows=5),
                movement(
                    "checks",
                    "Equipment checks before a heat, one per line",
                    "{}'s equipment checks",
                    "Empty: the usual list of a lift.",
                    rows=5,
                ),
            )
        ),
    ),
)

score = partial(Field, ScoreRule, "")
ROUNDED = "Rounding, and what a cap adds"
SCORE = Declared(
    ScoreRule,
    (
        Group(
            (
                score("better", "Ranked so that", "{}: which is better", words=BETTER),
                score(
                    "unit",
                    "In",
                    "{}: the unit",
                    "loads and lengths are added in this unit; use points for a sum of different things",
                ),
                score("every_part", "No total without a good lift in each part", "", say=_every_part, turn=3),
            )
        ),
        Group(
            (
                score("rounding", "The published number is", "{}: the rounding", words=ROUNDINGS, say=_rounding, turn=2),
                score("rounding_step", "to a multiple of", "{}: the step of rounding"),
                score(
                    "cap_adds",
                    "Each repetition left at the cap adds",
                    "{}: seconds for a repetition left",
                    "seconds; empty: capped entries rank behind finishers",
                    say=_cap,
                    turn=1,
                ),
            ),
            folded=ROUNDED,
        ),
    ),
)

part = partial(Field, Part, "")
PART = Declared(
    Part,
    (
        Group((part("take", "plus", "{}: what it takes", words=TAKES),)),
        Group(
            (
                part("windows", "These windows instead of tasks", "{}", "such as 1, 3", typed="own"),
                part("weight", "times", "{}: the weight", "a number"),
                part("drop", "without the lowest", "{}: how many of the lowest it leaves out", "how many; empty for none"),
            ),
            folded="Some windows only, times a number, without the lowest",
        ),
    ),
)

POINTS = "such as the end of round 2, line 4, the end of the 15s, repetition 60; with “, window 3” where it is not the first"
tie = partial(Field, TieStep, "")
TIE = Declared(
    TieStep,
    (
        Group(
            (
                tie("kind", "then", "{}", words={key: kind.choice for key, kind in TIE_STEPS.items()}, fresh="time_of_count"),
                tie("at", "by", "{}: the moment of the heat clock", "minutes:seconds", typed="moment"),
                tie("part", "part", "{}: the number of the part", "its number", typed="own"),
                tie("point", "at", "{}: the point of the work", POINTS, typed="own"),
            )
        ),
    ),
)

variant = partial(Field, Variant, "")
VARIANT = Declared(Variant, (Group((variant("ranked", "Ranked", "The variant {}: how it is ranked", words=RANKED),)),))

ROWS: Mapping[str, Declared] = {
    "event": EVENT,
    "movement": MOVEMENT,
    "score": SCORE,
    "part": PART,
    "tie": TIE,
    "variant": VARIANT,
}
