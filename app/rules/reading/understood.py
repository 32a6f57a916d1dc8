"""What a written workout was understood to say."""

from dataclasses import dataclass

from app.rules.reading.talk import Question, Remark, Span
from app.rules.workout.formats import Format

# What a number was taken as, by the kind of its word.
MEANINGS = {
    "COUNT": "repetitions",
    "BARE": "a number",
    "TIMES": "how often",
    "REPS": "repetitions",
    "LENG": "a distance",
    "CALS": "calories",
    "DUR": "a time",
    "PRIMED": "a time",
    "DURS": "times",
    "SIZE": "a size",
    "LOAD": "a load",
    "PAIRNUM": "two numbers",
    "SCHEME": "a scheme of repetitions",
    "SPAN": "from when to when",
    "ROUNDS": "rounds",
    "SETS": "rounds",
    "WINDOWS": "windows",
    "ATTEMPTS": "attempts",
    "EMOM": "minutes",
    "TEAMS": "members",
    "MEMBER": "a member",
    "MINUTE": "which window",
    "NRM": "repetitions of a lift",
    "WORTH": "what it is worth",
    "TIE_AT": "a point of the work",
    "TIE_COUNT": "a moment of the clock",
    "GROWS": "how the load grows",
}


@dataclass(frozen=True, slots=True)
class Understood:
    """What a text was understood to say.

    `format` is None where no event came of it; while questions are open, it is the event by each first answer. `sources`: for
    each window of the format the stretches of the text that it came from. `numbers`: every number of the text that was taken,
    and as what. `not_understood` stands in red; `kept` was left out of the event by somebody, or is told beside it; `answered`
    are questions with what was said to them. `divisions`: the names of those that the text says it is for.
    """

    text: str
    title: str
    format: Format | None
    sources: tuple[tuple[Span, ...], ...]
    numbers: tuple[Remark, ...]
    assumed: tuple[Remark, ...]
    questions: tuple[Question, ...]
    not_understood: tuple[Remark, ...]
    kept: tuple[Remark, ...]
    answered: tuple[tuple[Question, str], ...] = ()
    divisions: tuple[str, ...] = ()

    @property
    def whole(self) -> bool:
        """Whether nothing is open: there is an event, no question, nothing in red."""
        return self.format is not None and not self.questions and not self.not_understood
