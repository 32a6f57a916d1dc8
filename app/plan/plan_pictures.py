"""The day as pictures: heats on their lanes, judges at theirs, how late the day ran. Each draws the rows of its own table."""

from collections.abc import Mapping, Sequence

from app.hall.pictures import (
    MOST_TICKS,
    PLOT,
    ROW,
    TONES,
    Bar,
    Column,
    Dot,
    Key,
    Level,
    Panel,
    Picture,
    Scale,
    Stroke,
    Tick,
    Tone,
    and_more,
    stepped,
)
from app.plan.day_problem import names_of
from app.plan.day_times import WentHeat
from app.rules.day.heats import PlannedHeat, Spot
from app.rules.records.day import Break, DayRules
from app.rules.records.judges import MINUTES_IN_DAY, clock_of, minutes_of
from app.rules.records.roster import Roster
from app.rules.values.alphabet import by_name
from app.rules.values.clock_times import span_text
from app.rules.values.words import say

HOUR = 60
SHORT, HOURS = (5, 10, 15, 30), (60, 120, 180, 240, 360)  # minutes between the lines of the ruler
LONG = 4 * HOUR  # of work that a phone's width still shows
BROAD_TICKS = 15
MINUTES = (1, 2, 5, 10, 15, 30, 60)  # between the levels of lateness
LEAST_LATE = 5  # minutes that the ruler of lateness always shows


def time_text(minute: int) -> str:
    """A minute of the day as people read it; one after midnight says so."""
    return clock_of(minute % MINUTES_IN_DAY) + (" the next day" if minute >= MINUTES_IN_DAY else "")


def day_picture(name: str, roster: Roster, rules: DayRules, heats: Sequence[PlannedHeat]) -> Picture:
    """The day drawn to scale: a row for each lane, a bar for each entry that stands on it."""
    scale, ticks = _ruler(rules, heats)
    events, entries, judges = names_of(roster.events), names_of(roster.entries), names_of(roster.judges)
    tones = dict(zip(events, TONES * len(events), strict=False))
    pauses = tuple(_pause(scale, one) for one in rules.breaks if scale.low <= minutes_of(one.start) < scale.high)
    at = sorted(((spot.lane, heat, spot) for heat in heats for spot in heat.spots), key=lambda one: (one[0], one[1].start))
    rows = tuple(
        (
            str(lane),
            time_text(heat.start),
            time_text(heat.end),
            f"{events.get(heat.event, '')}, heat {heat.number}",
            entries.get(spot.entry, ""),
            judges.get(spot.judge or "", ""),
        )
        for lane, heat, spot in at
    )
    panels = []
    for lane in dict.fromkeys(lane for lane, _, _ in at):
        there = [(heat, spot) for number, heat, spot in at if number == lane]
        bars = [
            _bar(scale, heat, tones.get(heat.event, "1"), str(heat.number), _there(heat, spot, events, entries))
            for heat, spot in there
        ]
        panels.append(Panel(f"Lane {lane}", say("heats", n=len(there)), ROW, (*pauses, *bars)))
    floor = f"{say('heats', n=len(heats))} on {say('lanes', n=len(panels))}"
    return Picture(
        name=name,
        title="The day on its lanes",
        says=f"{floor}. A bar is an entry on its lane, with the number of its heat.",
        across="time of day",
        panels=tuple(panels),
        ticks=ticks,
        columns=(*_numbers("Lane", "Begins", "Ends"), *_words("Heat", "Entry", "Judge")),
        rows=rows,
        keys=tuple(Key(events[event], tone) for event, tone in tones.items() if any(heat.event == event for heat in heats)),
        broad=_long(heats),
    )


def judges_picture(
    name: str, roster: Roster, rules: DayRules, heats: Sequence[PlannedHeat], loads: Mapping[str, int]
) -> Picture | None:
    """Who judges when, and how much: a row for each judge, the busiest first. None where nobody on the list judges."""
    scale, ticks = _ruler(rules, heats)
    judges, events, entries = names_of(roster.judges), names_of(roster.events), names_of(roster.entries)
    own: dict[str, list[tuple[PlannedHeat, Spot]]] = {judge: [] for judge in loads}
    for heat in sorted(heats, key=lambda heat: heat.start):
        for spot in heat.spots:
            if spot.judge in judges:
                own.setdefault(spot.judge, []).append((heat, spot))
    if not any(own.values()):
        return None
    order = sorted(own, key=lambda judge: (-len(own[judge]), by_name(judges[judge])))
    rows, panels = [], []
    for judge in order:
        there = own[judge]
        minutes = sum(heat.minutes for heat, _ in there)
        first, last = (time_text(there[0][0].start), time_text(there[-1][0].end)) if there else ("", "")
        rows.append((judges[judge], str(len(there)), str(minutes), first, last))
        bars = tuple(_bar(scale, heat, "plain", str(spot.lane), _there(heat, spot, events, entries)) for heat, spot in there)
        figure = f"{say('lanes', n=len(there))}, {span_text(minutes)}"
        panels.append(Panel(judges[judge], figure, ROW, bars))
    return Picture(
        name=name,
        title="Who judges when",
        says=_load_words({judges[judge]: len(own[judge]) for judge in order}),
        across="time of day",
        panels=tuple(panels),
        ticks=ticks,
        columns=(*_words("Judge"), *_numbers("Lanes", "Minutes", "From", "To")),
        rows=tuple(rows),
        broad=_long(heats),
    )


def late_picture(heats: Sequence[WentHeat]) -> Picture | None:
    """How late each heat began and ended, over the day: a line from the one to the other. None before the first has begun."""
    if not heats:
        return None
    order = sorted(heats, key=lambda heat: (heat.began, heat.name))
    moments = [*(heat.began for heat in order), *(heat.ended for heat in order if heat.ended is not None)]
    lates = [0, *(heat.late for heat in order), *(heat.late_end for heat in order if heat.late_end is not None)]
    times = stepped(min(moments), max(moments), (*SHORT, *HOURS))
    minutes = stepped(min(lates), max(*lates, LEAST_LATE), MINUTES)
    scale, up = Scale(times[0], times[-1]), Scale(minutes[0], minutes[-1])
    strokes, dots = [], []
    for heat in order:
        at, y = scale.across(heat.began), up.up(heat.late, PLOT)
        if heat.ended is not None and heat.late_end is not None:
            end, end_y = scale.across(heat.ended), up.up(heat.late_end, PLOT)
            strokes.append(Stroke(at, y, end, end_y))
            dots.append(Dot(end, end_y, "disc", words=_late_words(heat)))
        dots.append(Dot(at, y, "ring", words=_late_words(heat)))
    worst = max(order, key=lambda heat: heat.late)
    return Picture(
        name="late-picture",
        title="How late the heats ran",
        says=f"{worst.name}, began the latest: {lateness_text(worst.late)}." if worst.late > 0 else "No heat began late.",
        across="time of day",
        up="minutes late",
        panels=(Panel("", "", PLOT, (), tuple(strokes), tuple(dots), _levels(minutes, up)),),
        ticks=tuple(Tick(scale.across(minute), clock_of(minute % MINUTES_IN_DAY)) for minute in times),
        columns=(*_words("Heat"), *_numbers("Planned", "Began", "Late", "Planned end", "Ended", "Late")),
        rows=tuple(_late_row(heat) for heat in order),
        keys=(Key("began", "plain", "ring"), Key("ended", "plain", "disc")),
    )


def _late_row(heat: WentHeat) -> tuple[str, ...]:
    ended = ("–", "–") if heat.ended is None or heat.late_end is None else (time_text(heat.ended), lateness_text(heat.late_end))
    began = time_text(heat.planned), time_text(heat.began), lateness_text(heat.late)
    return heat.name, *began, time_text(heat.planned_end), *ended


def lateness_text(minutes: int) -> str:
    """How late something was: `12 min late`, `on time`, `3 min early`."""
    if not minutes:
        return "on time"
    return f"{span_text(abs(minutes))} {'late' if minutes > 0 else 'early'}"


def _late_words(heat: WentHeat) -> str:
    return ", ".join((heat.name, *_late_row(heat)[1:4]))


def _levels(values: Sequence[int], up: Scale) -> tuple[Level, ...]:
    return tuple(Level(up.up(value, PLOT), str(value), zero=value == 0) for value in values)


def _words(*names: str) -> tuple[Column, ...]:
    return tuple(map(Column, names))


def _numbers(*names: str) -> tuple[Column, ...]:
    return tuple(Column(name, number=True) for name in names)


def _ruler(rules: DayRules, heats: Sequence[PlannedHeat]) -> tuple[Scale, tuple[Tick, ...]]:
    """The hours from before the first heat to after the last."""
    first = min((heat.start for heat in heats), default=minutes_of(rules.start))
    last = max((heat.end for heat in heats), default=first + HOUR)
    hours = stepped(first, last, (*SHORT, *HOURS), BROAD_TICKS if _long(heats) else MOST_TICKS)
    scale = Scale(hours[0], hours[-1])
    return scale, tuple(Tick(scale.across(minute), clock_of(minute % MINUTES_IN_DAY)) for minute in hours)


def _long(heats: Sequence[PlannedHeat]) -> bool:
    """Whether the day has more than a phone's width shows."""
    return max((heat.end for heat in heats), default=0) - min((heat.start for heat in heats), default=0) > LONG


def _pause(scale: Scale, one: Break) -> Bar:
    start, end = minutes_of(one.start), minutes_of(one.end)
    return Bar(scale.across(start), scale.wide(start, end), 0, ROW, "break", one.name, one.name)


def _bar(scale: Scale, heat: PlannedHeat, tone: Tone, label: str, words: str) -> Bar:
    return Bar(scale.across(heat.start), scale.wide(heat.start, heat.end), 0, ROW, tone, words, label)


def _there(heat: PlannedHeat, spot: Spot, events: Mapping[str, str], entries: Mapping[str, str]) -> str:
    where = f"{events.get(heat.event, '')}, heat {heat.number}, lane {spot.lane}"
    return f"{where}, {time_text(heat.start)} to {time_text(heat.end)}: {entries.get(spot.entry, '')}"


def _load_words(loads: Mapping[str, int]) -> str:
    """Who judges most and who least, by name; `loads` come with the busiest first."""
    most, least = max(loads.values()), min(loads.values())
    if most == least:
        return f"All judges have the same load: {say('lanes', n=most)}."
    busiest, idlest = ([name for name, load in loads.items() if load == number] for number in (most, least))
    return f"The most: {and_more(busiest)}, {say('lanes', n=most)}. The fewest: {and_more(idlest)}, {say('lanes', n=least)}."
