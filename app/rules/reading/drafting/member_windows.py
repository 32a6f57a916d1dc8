"""Windows that members of an entry have one after another, all of the same work."""

from copy import deepcopy
from dataclasses import replace
from itertools import pairwise

from app.rules.reading.drafts import Stretch
from app.rules.reading.each_member import EVERY_MEMBER, has_its_time
from app.rules.reading.talk import Span
from app.rules.reading.things import Things
from app.rules.values.clock_times import minutes_text


def from_member_to_member(things: Things) -> None:
    """`Athlete A starts at 0:00, athlete B at 2:30`, `one after the other, each has two minutes`: the one stretch that is told,
    by each of them in turn."""
    draft, worked = things.draft, [one for one in things.draft.stretches if one.works]
    told = [one.who for one in worked]
    if not (draft.starts or draft.in_order) or (told and told == [(number,) for number in range(1, len(told) + 1)]):
        return  # nothing is said, or it is so
    if not draft.starts and (draft.cap is not None or any(one.kind == "time" for one in worked)):
        draft.style = draft.style or "TURNS"
        return
    span = draft.starts[0][2] if draft.starts else draft.in_order or Span(0, 0)
    if not draft.starts and (draft.members or 1) == 1 and not any(told):
        return  # what is done is done one after the other
    if not draft.starts and len(worked) == 1 and has_its_time(things, worked[0]):
        return  # each_member.py has it
    one = worked[0] if len(worked) == len(draft.stretches) == 1 else Stretch()
    members = [member for member, _, _ in draft.starts] or list(range(1, (draft.members or 1) + 1))
    plain = one.seconds and one.kind not in ("every", "lift") and one.count in (None, 1) and one.start is None and one.who is None
    at = [start for _, start, _ in draft.starts] or [(number - 1) * ((one.seconds or 0) + one.off) for number in members]
    apart = all(after - before >= (one.seconds or 0) for before, after in pairwise(at))
    in_turn = members == list(range(1, len(members) + 1)) and draft.members in (None, len(members)) and at[0] == 0
    if not plain or not apart or not in_turn:
        things.talk.red(span, "Who does what when it is their turn is not clear.")
        return
    if (
        not draft.starts
        and not EVERY_MEMBER.search(things.talk.text.casefold())
        and not _long_for_each(things, span, one.seconds or 0)
    ):
        return
    draft.members, draft.style = len(members), ""
    spans = [*one.spans, span]
    draft.stretches[:] = [
        replace(one, who=(member,), start=start, off=0, off_span=None, groups=deepcopy(one.groups), spans=spans)
        for member, start in zip(members, at, strict=True)
    ]


def _long_for_each(things: Things, span: Span, seconds: int) -> bool:
    """Whether each has so long, where that is not said."""
    asked = f"One after the other: {minutes_text(seconds)} for each of them, or for all together?"
    return things.talk.ask("each", span, asked, [("each", "For each of them"), ("all", "For all together")]) == "each"
