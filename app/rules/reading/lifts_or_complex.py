"""Several lifts as heavy as possible: one complex under one load, or each on its own, and the best of each added up?"""

import re
from copy import deepcopy
from itertools import pairwise

from app.rules.reading.drafts import Group, Stretch
from app.rules.reading.talk import Span
from app.rules.reading.things import Things, needs_bar
from app.rules.values.clock_times import minutes_text

OF_A_COMPLEX = re.compile(r"\b(?:complex|unbroken|touch and go|without (?:letting|putting|dropping)|hands? on the bar)\b")
JOINS = re.compile(r"[+&]|\b(?:and|then|into)\b")
ADDED = {"T_LOADS", "T_SUM"}


def lifts_or_complex(things: Things) -> None:
    """`3 attempts each: back squat, bench press, deadlift`: lifts that nothing joins are asked about; where their loads are added
    up they are no complex."""
    talk, draft = things.talk, things.draft
    if OF_A_COMPLEX.search(talk.text.casefold()):
        return
    made: list[Stretch] = []
    for stretch in draft.stretches:
        if not _listed(things, stretch):
            made.append(stretch)
            continue
        span, each = stretch.span or Span(0, 0), f", {minutes_text(stretch.seconds)} for each" if stretch.seconds else ""
        answers = [
            ("apart", f"Each on its own{each}; the best of each are added up"),
            ("complex", "One complex: one after the other, under one load"),
        ]
        told = talk.ask("lifts", span, f"{len(stretch.works)} lifts: each on its own, or one complex?", answers)
        if told == "complex":
            made.append(stretch)
            continue
        for work in stretch.works:
            one = deepcopy(stretch)
            one.groups = [Group(works=[work])]
            one.after = stretch.after if work is stretch.works[-1] else stretch.off
            one.after_span, one.off = stretch.after_span or stretch.off_span, 0
            made.append(one)
        if not any(take in ADDED for take, _ in draft.takes):
            draft.takes.append(("T_LOADS", span))
    draft.stretches[:] = made


def _listed(things: Things, stretch: Stretch) -> bool:
    """Whether several lifts stand in it one after another, with commas alone between them, and without a number."""
    works, text = stretch.works, things.talk.text
    if stretch.kind != "lift" or len(works) < 2 or (stretch.count or 1) > 1:
        return False
    bare = all(needs_bar(work) and not work.joined and work.amount is None for work in works)
    between = [text[one.span.end : two.span.start].casefold() for one, two in pairwise(works)]
    return bare and not any(JOINS.search(said) for said in between[:-1]) and "+" not in "".join(between)
