"""Windows that members of an entry have one after another, all of the same work."""

from copy import deepcopy
from dataclasses import replace
from itertools import pairwise

from app.rules.reading.drafts import Draft, Stretch
from app.rules.reading.each_member import EVERY_MEMBER, has_its_time
from app.rules.reading.scan.frames.roster_said import Turn
from app.rules.reading.talk import Span
from app.rules.reading.things import Things
from app.rules.values.clock_times import minutes_text


def from_member_to_member(things: Things) -> None:
    """`Athlete A starts at 0:00, athlete B at 2:30`, `one after the other, each has two minutes`: the one stretch that is told,
    by each of them in turn."""
    draft, worked = things.draft, [one for one in things.draft.stretches if one.works]
    _times_of_each(draft)
    if draft.roster and draft.roster_span:
        _by_the_roster(things, draft.roster, draft.roster_span)
        return
    told = [one.who for one in worked]
    _rest_between(things, worked)
    if not (draft.starts or draft.in_order) or (told and told == [(number,) for number in range(1, len(told) + 1)]):
        return  # nothing is said, or it is so
    if not draft.starts and (draft.cap is not None or any(one.kind == "time" for one in worked)):
        if not draft.style:
            draft.style, draft.style_span = "TURNS", draft.in_order  # a hundred of each, or of all of them: it is asked
        return
    span = draft.starts[0][2] if draft.starts else draft.in_order or Span(0, 0)
    if not draft.starts and (draft.members or 1) == 1 and not any(told):
        return  # what is done is done one after the other
    if not draft.starts and len(worked) == 1 and has_its_time(things, worked[0]):
        return  # each_member.py has it
    one = worked[0] if len(worked) == len(draft.stretches) == 1 else Stretch()
    members = [member for member, _, _ in draft.starts] or list(range(1, (draft.members or 1) + 1))
    plain = (
        one.seconds
        and not draft.swaps
        and one.kind not in ("every", "lift")
        and one.count in (None, 1)
        and one.start is None
        and one.who is None
    )
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


def _rest_between(things: Things, worked: list[Stretch]) -> None:
    """`One minute each, one after the other, 15 seconds to swap`: behind each window but the last."""
    draft = things.draft
    if draft.member_rest is None:
        return
    rest, span = draft.member_rest
    each = [one.who for one in worked] == [(number,) for number in range(1, len(worked) + 1)] and len(worked) > 1
    if each and all(one.start is None and one.after in (0, rest) and not one.off for one in worked):
        for one in worked[:-1]:
            one.after, one.after_span = rest, span
    elif len(worked) == 1 and worked[0].off == 0 and not any(one.who for one in worked):
        worked[0].off, worked[0].off_span = rest, span
    elif not (len(worked) == 1 and worked[0].off == rest) and not all(one.start is not None for one in worked):
        things.talk.red(span, "Between what this rest lies is not clear.")


def _times_of_each(draft: Draft) -> None:
    """`Skier A 3:00`, `swap 0:30`, `skier B 3:00`: the same time behind every member is how long each has, and no start."""
    told, rests = {at for _, at, _ in draft.starts}, set(draft.swaps)
    alike = len(told) == 1 and 0 not in told and len(draft.starts) > 1 and len(rests) < 2
    if not alike or len(draft.swaps) not in (0, len(draft.starts) - 1):
        return
    rest = rests.pop() if rests else 0
    draft.roster = tuple(Turn(who, None, at, rest if place else 0) for place, (who, at, _) in enumerate(draft.starts))
    draft.roster_span, draft.starts, draft.swaps = draft.starts[0][2], [], []


def _by_the_roster(things: Things, turns: tuple[Turn, ...], span: Span) -> None:
    """What is told once, by each member in the windows that are told for them."""
    draft, worked = things.draft, [one for one in things.draft.stretches if one.works]
    one, members = worked[0] if len(worked) == 1 else Stretch(), len({turn.member for turn in turns})
    last = turns[-1]
    ends = sum(turn.rest + turn.seconds for turn in turns) if last.start is None else last.start + last.seconds
    others = [
        told for told in draft.stretches if told is not one and (told.rest_only or told.kind or told.seconds not in (None, ends))
    ]
    lasts = {turn.seconds for turn in turns}
    windows = (
        one.kind == "every"
        and not one.adds
        and not one.puts_out
        and one.total in (None, ends)
        and one.count in (None, len(turns))
    )
    plain = windows or (one.kind in ("", "amrap", "windows") and one.count in (None, 1, len(turns)) and one.off == 0)
    plain = plain and one.start is None and one.who is None and ({one.seconds} == lasts or one.seconds in (None, ends))
    labelled = any(group.label is not None or group.rounds > 1 for group in one.groups)
    together = {draft.style, one.style} & {"SYNC", "ALLTOGETHER"}
    if not one.works or others or not plain or labelled or together or one.held or draft.members not in (None, members):
        things.talk.red(span, "Who does what when it is their turn is not clear.")
        return
    kind, at = "windows" if windows else one.kind, 0
    draft.members, draft.style, made = members, "", list[Stretch]()
    for turn in turns:
        at = turn.start if turn.start is not None else at + turn.rest
        groups = deepcopy(one.groups)
        made.append(
            replace(
                one,
                kind=kind,
                who=(turn.member,),
                start=at,
                seconds=turn.seconds,
                count=None,
                total=None,
                groups=groups,
                spans=[*one.spans, span],
            )
        )
        at += turn.seconds
    draft.stretches[:], draft.roster, draft.in_order = made, (), None
