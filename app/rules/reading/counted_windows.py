"""Windows in which something is counted or measured: every so often, one after another, in turn."""

from dataclasses import replace

from app.rules.reading.clock import Clock, shared_by
from app.rules.reading.drafting.climbs import can_climb, more_of_each
from app.rules.reading.drafts import Group, Stretch, Work
from app.rules.reading.lines_in_turn import as_it_is_told, ask_for_turns
from app.rules.reading.lists import listed
from app.rules.reading.tails import has_a_tail, with_a_tail
from app.rules.reading.talk import Span
from app.rules.reading.things import HELD, MEASURED, has_more
from app.rules.values.clock_times import minutes_text
from app.rules.values.units import Load
from app.rules.workout.presets.teams import together, while_held
from app.rules.workout.tasks import CountTask, ListTask, MeasureTask, Movement, Task, Who

WINDOWS, COUNTS = (60, 120, 180, 300), (5, 8, 10, 12)
HIGHEST_MEASURE = 10_000
MEASURES = {"calories": "cal", "distance": "m", "time": "s"}


def every_so_often(clock: Clock, stretch: Stretch) -> list[str]:
    seconds = stretch.seconds or 60
    ask_for_turns(clock, stretch)
    stations = _stations(clock, stretch)
    count = _how_often(clock, stretch, seconds, len(stations))
    as_it_is_told(clock, stretch, len(stations), count)
    who = "all" if all(group.who for group in stretch.groups if group.works) else shared_by(clock, stretch)
    keys: list[str] = []
    several = stretch if any(len(works) == 1 for works in stations) or not can_climb(stations) else replace(stretch, adds=0)
    made: list[str | None] = [_station(clock, several, works, seconds) for works in stations]
    whose = _whose(clock, stretch)
    _out_of_one_thing(clock, stretch, made)
    climbs = bool(stretch.adds) and several is not stretch
    for number in range(count):
        place = number % len(stations)
        works, key = stations[place], made[place]
        if climbs and number:
            key = _station(clock, replace(stretch, adds=0), more_of_each(works, stretch.adds * number), seconds)
        spans = (*stretch.headings, *(work.span for work in works))
        if key is None and not works[0].rest:
            return []
        long = _inside(clock, works, seconds)
        clock.window(stretch, long, key, spans, whose.get(place, who))
        keys += [key] if key else []
        if number < count - 1:
            clock.rest(stretch, seconds - long + stretch.off, stretch.off_span)
    return keys


def _whose(clock: Clock, stretch: Stretch) -> dict[int, Who]:
    """Whose each of the windows is, by its place among the stations, where each has its own members."""
    found: dict[int, Who] = {}
    for number, group in enumerate((one for one in stretch.groups if one.works and one.label is not None), start=1):
        if group.who is None:
            continue
        for place in places_of(group, number):
            if found.setdefault(place - 1, group.who) != group.who:
                clock.things.talk.red(group.works[0].span, "Two members are named for one window, each with work of their own.")
    return found


def places_of(group: Group, number: int) -> tuple[int, ...]:
    """Which of the windows a group under a label is done in, counted from 1; `number` is which of the groups it is."""
    return (1,) if group.label == "odd" else (2,) if group.label == "even" else group.label or (number,)


def _out_of_one_thing(clock: Clock, stretch: Stretch, made: list[str | None]) -> None:
    """Who misses is out of the later windows of that one thing; of several, or of a list (which `10 cal row` is as well), out of
    the event, where it is all of the event."""
    if not stretch.puts_out or (len(set(made)) == 1 and not isinstance(clock.tasks.get(made[0] or ""), ListTask)):
        return
    for key in made:
        task = clock.tasks.get(key or "")
        if isinstance(task, CountTask) and key:
            clock.tasks[key] = task.model_copy(update={"miss_puts_out": False})
    if all_of_it(clock, stretch):
        clock.out = True
        return
    stretch.puts_out = False
    told = "That a miss puts out of several things in turn, or of a list, can be said where nothing else is done in the event."
    span = next((span for take, span in clock.draft.takes if take == "T_MISS"), stretch.span or Span(0, 0))
    clock.draft.takes = [one for one in clock.draft.takes if one[0] != "T_MISS"]
    clock.things.talk.cannot(span, told)


def all_of_it(clock: Clock, stretch: Stretch) -> bool:
    """Whether nothing else is done in the event, and nothing in it has no end."""
    alone = all(one is stretch or not one.works for one in clock.draft.stretches)
    return alone and not any(group.role == "rest-of-time" for group in stretch.groups)


def _inside(clock: Clock, works: list[Work], seconds: int) -> int:
    """How long a thing is done in its window: all of it, or a time of its own."""
    told = [work.long for work in works if work.long]
    if len(works) > 1 and told:
        clock.things.talk.red(works[0].span, "Several things with times of their own in one window can't be said yet.")
    return min(told[0], seconds) if told else seconds


def _stations(clock: Clock, stretch: Stretch) -> list[list[Work]]:
    """What is done in the first window, in the second and so on, before it begins again."""
    if stretch.one_by_one and not has_a_tail(stretch) and all(group.label is None for group in stretch.groups):
        return [[work] for work in stretch.works]
    labelled = [group for group in stretch.groups if group.label is not None and group.works]
    if not labelled:
        return [stretch.works]
    for work in (work for group in stretch.groups if group.label is None for work in group.works):
        clock.things.talk.red(work.span, "In which of the windows this is done is not said.")
    by_number: dict[int, list[Work]] = {}
    for place, group in enumerate(labelled, start=1):
        for number in places_of(group, place):
            by_number.setdefault(number, []).extend(group.works)
    if sorted(by_number) != list(range(1, len(by_number) + 1)):
        clock.things.talk.red(stretch.span or Span(0, 0), "Which window is which is not clear: they are counted from 1.")
    return [by_number[number] for number in sorted(by_number)]


def _how_often(clock: Clock, stretch: Stretch, seconds: int, stations: int) -> int:
    talk, span = clock.things.talk, stretch.span
    if stretch.total is not None:
        if stretch.total % seconds:
            total, each = minutes_text(stretch.total), minutes_text(seconds)
            talk.red(span or Span(0, 0), f"{total} can't be split into windows of {each} each.")
        elif stretch.count is not None and stretch.total // seconds not in (stretch.count, stretch.count * stations):
            talk.red(span or Span(0, 0), f"It says {stretch.count}, and there are {stretch.total // seconds} windows.")
        return max(1, stretch.total // seconds)
    if stretch.count is not None:
        if not stretch.alternates or stretch.count == 1:
            return stretch.count * stations
        if not stretch.count % stations:
            return stretch.count
        answers = [("turn", f"{stretch.count} windows in all"), ("round", f"{stretch.count * stations}: so many of each")]
        asked = f"{stretch.count} windows of several things in turn: in all, or of each?"
        return stretch.count * (stations if talk.ask("order", span, asked, answers) == "round" else 1)
    if stretch.by_numbers:
        talk.assume(f"The windows are told by their numbers: there are {stations}.", span)
        return stations
    return talk.count("often", span, "How often, or until when, is not said.", COUNTS)


def _listed(clock: Clock, stretch: Stretch, seconds: int) -> str | None:
    made = listed(clock.things, stretch, seconds, endless=False)
    if made is None:
        return None
    if stretch.adds:
        clock.things.talk.red(stretch.span or Span(0, 0), "More in each window is for repetitions of one thing.")
    if has_a_tail(stretch):
        made = with_a_tail(clock, stretch, made)
    return clock.task("work", ListTask(items=made.items, rounds=made.rounds))


def _station(clock: Clock, stretch: Stretch, works: list[Work], seconds: int) -> str | None:
    """What is done in one window: a number of one thing, as many as possible of it, or a short list."""
    if stretch.listed or has_a_tail(stretch):
        return _listed(clock, stretch, seconds)
    work = works[0]
    if len(works) == 1 and work.rest:
        if work.rest != seconds:
            clock.things.talk.red(work.span, f"The window lasts {minutes_text(seconds)}, and so does a rest in it.")
        return None
    if len(works) == 1 and work.amount and work.amount.kind == "time" and len(work.amount.values) == 1 and work.key not in HELD:
        told = int(work.amount.values[0])  # `ninety seconds of burpees` in a window of so long, or a longer one
        if told <= seconds:
            work.long, work.amount = (told if told < seconds else None), None
    if len(works) == 1 and work.amount is None:
        if not work.most:
            clock.things.talk.assume(f"{work.name}: as many as possible in its window.", work.span)
        task = most_task(clock, stretch, work)
        return clock.task("work", task) if task else None
    if len(works) == 1 and work.amount and work.amount.kind == "reps":
        found = clock.things.item(work)
        if found is None:
            return None
        return clock.task(
            "work",
            CountTask(
                movement=_named_load(clock, found.movement, found.load, found.note),
                target=found.reps,
                grows=stretch.adds,
                miss_puts_out=stretch.puts_out,
            ),
        )
    made = listed(clock.things, Stretch(groups=[Group(works=works)], spans=stretch.spans), seconds, endless=False)
    if made is None:
        return None
    if stretch.adds:
        clock.things.talk.red(stretch.span or Span(0, 0), "More in each window is for repetitions of one thing.")
    return clock.task("work", ListTask(items=made.items, rounds=made.rounds))


def _named_load(clock: Clock, key: str, load: Load | None, note: str | None) -> str:
    """A movement that is counted tells in its name what it is done with."""
    told = [text for text in (load.text() if load else "", note or "") if text]
    if not told:
        return key
    movement = clock.things.movements.pop(key)
    name = ", ".join([movement.name, *told])
    return clock.things.use(key, movement.model_copy(update={"name": name}))


def most_task(clock: Clock, stretch: Stretch, work: Work, in_step: bool = False) -> Task | None:
    """As many as possible, as far as possible, as long as possible."""
    work = clock.things.of_version(work)
    if (found := clock.things.described(work)) is None:
        return None
    key, movement = found
    if (hold := held_beside(clock, stretch)) is not None:
        movement = while_held(movement, hold)
    elif work.sync or in_step:
        movement = together(movement)
    measured = _measured(clock, work)
    if work.each_side or work.worth is not None or (measured and has_more(work, load=True)):
        clock.things.talk.red(work.span, "What is said beside it goes nowhere here.")
    load = clock.things.load(work.load, work)
    if measured:
        loaded = movement.model_copy(update={"name": f"{movement.name}, {load.text()}"}) if load else movement
        key = clock.things.use(key, loaded)
        return MeasureTask.model_validate({"movement": key, "unit": MEASURES[measured], "high": HIGHEST_MEASURE})
    notes = [text for text in (clock.things.loads_of_both(work), clock.things._size(work), work.note) if text]
    told = [movement.name, *([load.text()] if load else []), *notes]
    return CountTask(movement=clock.things.use(key, movement.model_copy(update={"name": ", ".join(told)})))


def _measured(clock: Clock, work: Work) -> str:
    """Whether calories, metres or seconds are measured; nothing where repetitions are counted."""
    if work.most in ("calories", "distance"):
        return work.most
    if work.key in MEASURED and work.known:
        answers = [("calories", "Calories"), ("distance", "Metres"), ("reps", "Repetitions")]
        if (takes := {take for take, _ in clock.draft.takes}) & {"T_CAL", "T_DIST"}:
            return "calories" if "T_CAL" in takes else "distance"
        every = (one for told in clock.draft.stretches for one in told.works)
        first = next((one for one in every if one.key == work.key and one.most in ("", "any")), work)  # asked once for all
        told = clock.things.talk.ask("measure", first.span, f"“{first.name}”: what is measured is not said.", answers)
        return "" if told == "reps" else told
    if work.key in HELD and work.known:
        return "time"
    return ""


def held_beside(clock: Clock, stretch: Stretch) -> Movement | None:
    """What another member holds meanwhile; None where nobody does."""
    if stretch.held is None:
        return None
    if has_more(stretch.held, load=True):
        clock.things.talk.red(stretch.held.span, "What is said beside the hold goes nowhere here.")
    hold = clock.things.described(stretch.held)
    if hold is None:
        return None
    described = hold[1]
    load = clock.things.load(stretch.held.load, stretch.held)
    if load:
        described = described.model_copy(update={"name": f"{described.name}, {load.text()}"})
    clock.things.use(hold[0], described)
    return described


def one_after_another(clock: Clock, stretch: Stretch) -> list[str]:
    """Windows of one thing each, as many as possible."""
    span, talk = stretch.span, clock.things.talk
    if stretch.seconds is None and stretch.count in (None, 1) and len(stretch.works) == 1:
        stretch.seconds = clock.length(stretch)  # `max plank hold, cap 5 min`
    if stretch.seconds is None:
        stretch.seconds = talk.seconds("long", span, "How long a window lasts is not said.", WINDOWS)
    ask_for_turns(clock, stretch)
    order = _order(clock, stretch)
    who = shared_by(clock, stretch)
    keys: list[str] = []
    for number, works in enumerate(order):
        key = _station(clock, stretch, works, stretch.seconds)
        if key is None and not works[0].rest:
            return []
        if number:
            between = stretch.round_off if stretch.round_off and not number % (stretch.stations or 1) else stretch.off
            clock.rest(stretch, between, stretch.off_span)
        clock.window(stretch, stretch.seconds, key, (*stretch.headings, *(work.span for work in works)), who)
        keys += [key] if key else []
    return keys


def _order(clock: Clock, stretch: Stretch) -> list[list[Work]]:
    """What is done in which window. Whether several things make a round or take turns is asked."""
    if stretch.listed or (has_a_tail(stretch) and all(group.label is None for group in stretch.groups)):
        return [stretch.works] * (stretch.count or 1)
    _numbered(clock, stretch)
    labelled = _stations(clock, stretch)
    works = labelled if len(labelled) > 1 else [[work] for work in stretch.works]
    count = stretch.count or 1
    if stretch.stations is not None:
        if len(works) != stretch.stations:
            clock.things.talk.red(stretch.span or Span(0, 0), f"It says {stretch.stations} stations and names {len(works)}.")
        return works * count
    if len(labelled) > 1 and count == len(works) and stretch.numbered_windows:
        return works  # `three blocks of 4 minutes`, and `block 1`, `block 2`, `block 3`
    if stretch.alternates and count > 1 and not count % len(works):
        return [works[number % len(works)] for number in range(count)]
    if len(works) == 1 or count == 1 or (stretch.one_by_one and not stretch.alternates):
        return works * count
    span = stretch.span
    answers = [
        ("round", f"A round is one window of each: {count * len(works)} windows"),
        ("turn", f"They take turns: {count} windows"),
        ("each", f"{count} windows of the first, then of the next"),
    ]
    told = clock.things.talk.ask("order", span, f"{count} windows of several things: in which order?", answers)
    if told == "round":
        return works * count
    if told == "turn":
        return [works[number % len(works)] for number in range(count)]
    return [one for one in works for _ in range(count)]


def _numbered(clock: Clock, stretch: Stretch) -> None:
    """`6 stations`, and lines that begin with 1, 2, 3 to 6: the numbers are those of the stations."""
    works = stretch.works
    amounts = [work.amount.values if work.amount and work.amount.kind == "reps" else () for work in works]
    if len(works) > 2 and stretch.stations == len(works) and amounts == [(str(number),) for number in range(1, len(works) + 1)]:
        clock.things.talk.assume("The numbers before the stations count the stations.", works[0].span)
        for work in works:
            work.amount = None


def in_a_cycle(clock: Clock, stretch: Stretch) -> list[str]:
    """Things with a time each, one after another, round after round: as many as possible of each."""
    keys: list[str] = []
    group, who = stretch.group, shared_by(clock, stretch)
    if stretch.seconds is not None:
        clock.things.talk.red(stretch.span or Span(0, 0), "What has a time of its own has another one above it.")
    made = [(work, None if work.rest else _timed(clock, stretch, work)) for work in group.works]
    for number in range(group.rounds):
        for place, (work, key) in enumerate(made):
            last = number == group.rounds - 1 and place == len(made) - 1
            if work.rest and not last:
                clock.rest(stretch, work.rest, work.span)
            elif key is not None and work.amount is not None:
                clock.window(stretch, int(work.amount.values[0]), key, (*stretch.headings, work.span), who)
                keys.append(key)
                if not last:
                    clock.rest(stretch, stretch.off, stretch.off_span)
    return keys


def _timed(clock: Clock, stretch: Stretch, work: Work) -> str | None:
    if not work.most:
        clock.things.talk.assume(f"{work.name}: as many as possible in its time.", work.span)
    task = most_task(clock, stretch, work)
    return clock.task("work", task) if task else None
