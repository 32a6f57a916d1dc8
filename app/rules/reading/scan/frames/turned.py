"""Words that turn what a sentence says, and that the grammar would pass over: `all but the run`, `only partner A counts`,
`calories in the rest count`, `at the first station`; and those that may mean two things, a moment or how long it took.
A sentence with one of them is left open, whatever else it says.
"""

import re
from collections.abc import Sequence

from app.rules.reading.scan.frames.parts import begins_at, ends_at
from app.rules.reading.scan.pieces import Tok, in_small

MEMBER = r"(?:partner|athlete|member|player|pupil|person)"
RESTS = r"\b(?:in|during|through|over) the (?:rests?|breaks?|pauses?)\b"
TURNS = re.compile(
    "|".join(
        (
            r"\b(?:score|scores|result)\b.*\b(?:all|everything|anything) but\b",
            rf"\b{MEMBER} (?:[a-l]|\d{{1,2}}|one|two) (?:alone |only )?counts?\b|\bonly [a-l] counts?\b",
            rf"{RESTS}.*\bcounts?\b|\bcount(?:s|ing)?\b.*{RESTS}|, which counts?\b",
            r"\beach (?:of them |one |\w+ )?(?:does|completes) .*\brounds?\b.*\bone after the other\b",
            r"\bat the (?:first|second|third|last) (?:station|machine|exercise)\b",
            r"\bof (?:it|that|this) to (?:move|change|switch|walk|rotate)\b",
            r"\bthe (?:longer|later|slower|fewer|less) the better\b",
            rf"^\W*(?:{MEMBER} )?[b-l] (?:starts|begins|goes first)\b",
            rf"^\W*(?:{MEMBER} )?[a-l] does (?:\d+|one) [^,;]*$",
            r"\btie(?:s|d|break| ?-? ?break)?\b.*\btime (?:for (?:the|round|set)|it takes|to (?:complete|finish|do))\b",
            r"^\W*that [a-z-]+ (?:doesn't|does not) count\b",
            r"\b(?:ties?|tied|shared?|equal)\b.*\b(?:but|except) (?:for|not|in|at)\b",
        )
    )
)
DENIED = re.compile(r"n't\b|\b(?:not|no|nothing|never|zero)\b")


def turned(text: str, toks: Sequence[Tok]) -> bool:
    """Whether a sentence has such words. What is denied of the rest is so anyway: `reps in the rest don't count`."""
    said = in_small(text[begins_at(text, toks) : ends_at(text, toks)])
    found = TURNS.search(said)
    return found is not None and not (DENIED.search(said) and re.search(RESTS, found[0]))
