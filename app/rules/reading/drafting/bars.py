"""Bars one after another, told in several sentences: begun, and made into windows with a load each."""

from app.rules.reading.drafts import Amount, Draft, Group, Loaded, Stretch, Work
from app.rules.reading.scan.frames.bars_said import Bars, missing
from app.rules.reading.talk import Span, Talk


def begin_bars(draft: Draft, told: Bars) -> Bars | None:
    """Makes room for bars: in the stretch at hand, where nothing is told but the name of the lift. None where more is."""
    here = draft.stretches[-1] if draft.stretches else None
    named = here.works[0] if here and len(here.works) == 1 and here.works[0].known else None
    bare = named is not None and (named.amount, named.load, named.size, named.most, named.note) == (None, None, None, "", "")
    if here is None or (not here.works and not here.kind and here.seconds is None):
        draft.stretches[-1:] = [Stretch(kind="every", seconds=told.seconds)]
    elif named and bare and len(here.groups) == 1 and here.kind == "" and here.seconds is None and here.group.rounds == 1:
        if told.thing is not None and told.thing.key != named.key:
            return None
        draft.stretches[-1] = Stretch(kind="every", seconds=told.seconds, spans=list(here.spans))
        draft.bars_named = named
    else:
        return None
    draft.bars_at = len(draft.stretches) - 1
    return told


def place_bars(draft: Draft, talk: Talk) -> None:
    """A window for each bar; what is not told of them stands in red."""
    told, named = draft.bars, draft.bars_named
    if told is None:
        return
    here = draft.stretches[draft.bars_at]
    span = Span(told.spans[0].start, told.spans[-1].end)
    thing = told.thing
    name, key = (named.name, named.key) if named else (thing.name or thing.text, thing.key) if thing else ("", "")
    where = named.span if named else Span(thing.start, thing.end) if thing else span
    left = [one for one in missing(told) if one != "what is lifted" or not key]
    if left or here.works or here.kind != "every":
        talk.red(span, f"Of these bars it is not said {' and '.join(left)}." if left else "More than the bars is told here.")
        return
    each, off = told.seconds or 60, told.off
    here.seconds, here.total, here.count = each + off, len(told.loads) * (each + off), None
    here.groups = [
        Group(
            label=(number,),
            works=[
                Work(
                    name,
                    key,
                    True,
                    where,
                    where,
                    amount=Amount("reps", (str(told.reps),), ""),
                    load=Loaded((load,), told.unit, span),
                    long=each if off else None,
                )
            ],
        )
        for number, load in enumerate(told.loads, start=1)
    ]
    here.spans += told.spans
