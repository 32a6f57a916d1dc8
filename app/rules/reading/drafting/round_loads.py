"""Loads that change from round to round, put into the rounds, which are written out."""

from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

from app.rules.reading.drafts import Draft, Group, Loaded, Stretch, Work
from app.rules.reading.scan.frames.loads_by_round import MOST_ROUNDS, RoundLoads
from app.rules.reading.talk import Span, Talk
from app.rules.reading.things import needs_bar
from app.rules.reading.versions.loaded_work import loadable, with_what
from app.rules.values.units import plain_decimal


def place_round_loads(draft: Draft, talk: Talk) -> None:
    """Gives each round of a list, each set of a scheme, each window its load; what does not fit stands in red."""
    for stretch in (one for one in draft.stretches if one.round_loads):
        span = Span(stretch.round_loads[0][1].start, stretch.round_loads[-1][1].end)
        windows = _windows(stretch)
        group = stretch.group if windows else _of_rounds(stretch)
        in_turn = draft.style in ("TURNS", "RELAY") and (draft.members or 1) > 1
        if group is None or in_turn:
            talk.red(span, "Loads that change from round to round are for rounds that are counted, each done by all.")
            continue
        works = _loaded(group)
        loads = _loads([told for told, _ in stretch.round_loads], windows or len(group.scheme) or group.rounds, span)
        if not works:
            talk.red(span, "There is nothing that this load could be for.")
        elif loads is None:
            talk.red(span, "The loads that are told are not those of all rounds, or do not fit together.")
        else:
            names = " and ".join(dict.fromkeys(work.name for work in works))
            talk.assume(f"“{' '.join(talk.text[span.start : span.end].split())}” is for {names}.", span)
            at = stretch.groups.index(group)
            stretch.groups[at : at + 1] = [_round(group, works, nth, load) for nth, load in enumerate(loads)]
            stretch.spans.append(span)
            if windows:
                _number(stretch, windows)


def _windows(stretch: Stretch) -> int:
    """In how many windows one list is done each time; 0 where it is not so."""
    group = stretch.group
    turned = stretch.one_by_one or stretch.alternates or stretch.stations or stretch.adds or stretch.listed
    plain = len(stretch.groups) == 1 and group.rounds == 1 and not group.scheme and group.label is None and not group.role
    if not plain or turned or stretch.kind not in ("every", "windows"):
        return 0
    often = stretch.count or (stretch.total or 0) // (stretch.seconds or 1)
    return often if 1 < often <= MOST_ROUNDS else 0


def _number(stretch: Stretch, windows: int) -> None:
    """Tells of each window by its number what is done in it."""
    for number, group in enumerate(stretch.groups, start=1):
        group.label = (number,)
    if stretch.kind == "windows":
        stretch.count = 1
    else:
        stretch.count, stretch.total = None, windows * (stretch.seconds or 0)


def _of_rounds(stretch: Stretch) -> Group | None:
    """The one group of a list that is done several times."""
    told = [group for group in stretch.groups if group.works]
    several = [group for group in told if group.rounds > 1 or len(group.scheme) > 1]
    once = all(group.role in ("buy-in", "cash-out") for group in told if group not in several)
    plain = len(several) == 1 and once and not several[0].role and not several[0].open_end and several[0].label is None
    fits = plain and (not several[0].scheme or several[0].rounds in (1, len(several[0].scheme)))
    counted = plain and max(several[0].rounds, len(several[0].scheme)) <= MOST_ROUNDS
    return several[0] if fits and counted and stretch.kind in ("", "time") and not stretch.adds else None


def _loaded(group: Group) -> list[Work]:
    """What has no load yet: what is done with a bar, else with one kind of thing."""
    bare = [work for work in group.works if work.load is None and loadable(work) and not work.rest]
    bars = [work for work in bare if needs_bar(work)]
    return bars or (bare if len({with_what(work) for work in bare}) == 1 else [])


def _loads(told: Sequence[RoundLoads], rounds: int, span: Span) -> list[Loaded] | None:
    """The load of each round; None where they are not all told, or contradict one another."""
    if len(told) == 1 and told[0].first is not None and told[0].step is not None:
        first, step = told[0].first, told[0].step
        values = [
            tuple(Decimal(one) + Decimal(more) * nth for one, more in zip(first.values, step.values, strict=True))
            for nth in range(rounds)
        ]
        if any(number > rounds or Fraction(values[number - 1][0]) != value for number, value in told[0].checks):
            return None
        made = [tuple(plain_decimal(f"{value:f}") for value in one) for one in values]
        return [Loaded(one, first.unit, span, gear=first.key) for one in made]
    loads = [pair for one in told for pair in one.loads]
    if any(one.first is not None for one in told) or [number for number, _ in loads] != list(range(1, rounds + 1)):
        return None
    alike = len({(tok.unit, len(tok.values), tok.key) for _, tok in loads}) == 1
    return [Loaded(tok.values, tok.unit, Span(tok.start, tok.end), gear=tok.key) for _, tok in loads] if alike else None


def _round(group: Group, works: Sequence[Work], nth: int, load: Loaded) -> Group:
    """One round of a group, in which these works have this load."""
    made = [replace(work, load=load if any(work is one for one in works) else work.load) for work in group.works]
    scheme = group.scheme[nth : nth + 1]
    return replace(group, rounds=1, rounds_span=None, times=False, scheme=scheme, works=made)
