"""The review pages as frozen views: the queue of what waits for the head judge, and one dispute at a time."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from app.hall.changing import new_id
from app.hall.forms import BadForm, FormView, Problem, Typed
from app.hall.hall import Hall
from app.hall.lane_rows import member_names
from app.hall.lists import Choice
from app.hall.organising import needed_roster
from app.hall.result_words import results_path
from app.hall.views import State
from app.live.projection import Place
from app.results.explaining import lanes_in_words
from app.results.results_state import filing_rule, finality_of, times_running
from app.review.announcing import on_the_floor
from app.review.finding import Flag, flag_row, window_words
from app.review.flags import flags, lane_words, window_holds
from app.review.mark_strip import Strip, strip
from app.review.proposals import STATUS_CHOICES, Proposal, lifts_of, other_sheets, proposals, read_proposal
from app.review.protesting import unanswered
from app.review.ruling import option_text, suppose, undoing
from app.review.what_if import Effect, Stands, compared, effect_of, stands_now
from app.rules.count.flags import FlagRow
from app.rules.records.in_force import taken_back
from app.rules.records.marks import sheet_key
from app.rules.records.roster import Event, Protest
from app.rules.records.rulings import Ruling
from app.rules.result.ruling_words import Saying, ruling_text
from app.rules.values.words import say
from app.rules.workout.score_units import score_unit
from app.store.refusals import NotThere

BY_RULE = "No ruling suggests itself: a rule of the event keeps it out. Settle it if that is right."


@dataclass(frozen=True, slots=True)
class FlagLine:
    """A flag or a protest in the queue: what it is, whether it waits for somebody or counts as it stands, where, the entry, in
    words, and where it is looked at."""

    title: str
    state: State
    where: str
    entry: str
    sentence: str
    link: str
    done: str


@dataclass(frozen=True, slots=True)
class TimeLine:
    """What may still be filed about an event, and until when, in words; where its result is announced and signed off."""

    event: str
    words: str
    link: str


@dataclass(frozen=True, slots=True)
class Queue:
    """What waits for the head judge, what counts until somebody rules otherwise, and what was settled, the newest heats first.
    times: until when protests and appeals may come about what is over; rule: until when they may about any event."""

    waiting: tuple[FlagLine, ...]
    counting: tuple[FlagLine, ...]
    settled: tuple[FlagLine, ...]
    times: tuple[TimeLine, ...]
    rule: str


@dataclass(frozen=True, slots=True)
class OptionView:
    """A decision that could be made, with what it would do. `value` carries it through the form."""

    value: str
    words: str
    effect: Effect
    chosen: bool


@dataclass(frozen=True, slots=True)
class RulingLine:
    """A ruling that was made: in words, who and why; `undone` says who took it back and why; `undo` is what that would do."""

    id: str
    words: str
    by: str
    why: str
    undone: str
    undo: Effect | None


@dataclass(frozen=True, slots=True)
class Dispute:
    """One lane of one heat as the head judge looks at it, by a flag or by itself; `no_option`: why nothing suggests itself.
    `once` names this opening of the form."""

    assignment: str
    flag: Flag | None
    title: str
    state: State | None
    where: str
    window: str
    entry: str
    members: str
    judge: str
    now: tuple[Stands, ...]
    windows: tuple[tuple[int, str, str], ...]
    strip: Strip | None
    options: tuple[OptionView, ...]
    no_option: str
    rulings: tuple[RulingLine, ...]
    choices: Mapping[str, tuple[Choice, ...]]
    form: FormView
    why_link: str
    next_link: str
    once: str


def queue(hall: Hall) -> Queue:
    """The queue: protests first, then flags."""
    found = flags(hall)
    names = _names(hall)
    events = {event.id: event.name for event in needed_roster(hall).events}
    protests = (_protest_line(one, events[one.event], names[one.entry]) for one in unanswered(hall))
    unsettled = [(flag_row(flag.why).lets_in, _flag_line(hall, flag, names)) for flag in found if not flag.done]
    waiting = (*protests, *(line for counts, line in unsettled if not counts))
    counting = tuple(line for counts, line in unsettled if counts)
    settled = tuple(_flag_line(hall, flag, names) for flag in found if flag.done)
    roster = needed_roster(hall)
    times = (_time_line(hall, event) for event in roster.events)
    return Queue(waiting, counting, settled, tuple(filter(None, times)), filing_rule(roster.competition))


def _time_line(hall: Hall, event: Event) -> TimeLine | None:
    """The times of an event that run; None where none does. Until its last bell nobody knows when protests will end."""
    found, under_way = finality_of(hall, event), on_the_floor(hall, event)
    running = [f"{what} until {end}" for what, end in times_running(hall, found) if what != "protests" or not under_way]
    if found.state == "unannounced":
        running.insert(0, "the time for protests begins when the result is announced")
    return TimeLine(event.name, ", ".join(running), f"/review/results#event-{event.id}") if running else None


def _names(hall: Hall) -> dict[str, str]:
    return {entry.id: entry.name for entry in needed_roster(hall).entries}


def flag_link(flag: Flag) -> str:
    """Where a flag is looked at."""
    return f"/review/lanes/{flag.assignment}?flag={flag.key}"


def _protest_line(protest: Protest, event: str, entry: str) -> FlagLine:
    title = "Protest" if protest.against is None else "Appeal"
    return FlagLine(title, State("look", "To answer"), event, entry, protest.text, f"/review/protests/{protest.id}", "")


def _flag_line(hall: Hall, flag: Flag, names: Mapping[str, str]) -> FlagLine:
    place = _place(hall, flag.assignment)
    where = ", ".join(
        text for text in (lane_words(needed_roster(hall), place.assignment, place.heat), window_words(place, flag.window)) if text
    )
    done = "" if not flag.done else f"{'Settled' if flag.done == 'settled' else 'Set aside'} by {flag.by}: {flag.reason}"
    row, entry = flag_row(flag.why), names[place.assignment.entry]
    return FlagLine(row.name, flag_state(row), where, entry, flag.sentence, flag_link(flag), done)


def flag_state(row: FlagRow) -> State:
    """How urgent a kind of flag is to the head judge, told apart by word and sign."""
    if row.lets_in:
        return State("safe", "Counts")
    return State("look", "Does not count" if row.keeps_out else "To decide")


def _place(hall: Hall, assignment: str) -> Place:
    place = hall.projection.place_of(assignment)
    if place is None:
        raise NotThere("There is no such lane. It may have been deleted in the meantime.")
    return place


def dispute(hall: Hall, assignment: str, key: str, typed: Typed, wrong: tuple[Problem, ...] = ()) -> Dispute:
    """One dispute; `typed` holds a ruling put together by hand, or a form that was refused. Raises NotThere."""
    place, found = _place(hall, assignment), flags(hall)
    flag = next((one for one in found if one.key == key and one.assignment == assignment), None)
    sheet = hall.projection.counting_sheet(assignment)
    run = flag.run if flag else sheet_key(sheet).run if sheet else 1
    choices = choices_for(hall, place, run)
    made, problems = _by_hand(hall, place, run, typed, choices)
    offered = ([made] if made else []) + (list(proposals(hall, place, flag)) if flag else [])
    problems += wrong
    at, marks, window = (flag.at, flag.marks, flag.window) if flag else (None, (), _looked_at(place, typed))
    following = next((one for one in found if not one.done and one.key != key), None)
    tally = hall.projection.counting_tally(assignment)
    return Dispute(
        assignment=assignment,
        flag=flag,
        title=flag_row(flag.why).name if flag else "Rulings on this lane",
        state=flag_state(flag_row(flag.why)) if flag else None,
        where=lane_words(needed_roster(hall), place.assignment, place.heat),
        window=window_words(place, window),
        entry=_names(hall)[place.assignment.entry],
        members=_members(hall, place),
        judge=place.assignment.judge,
        now=stands_now(hall, place.event.id, place.assignment.entry),
        windows=tuple((i, window_words(place, i), text) for i, text in window_holds(place, tally)) if tally else (),
        strip=strip(hall, place, run, marks, at, window),
        options=tuple(_option(hall, place, one, one is made) for one in offered),
        no_option=BY_RULE if flag and not flag.done and flag_row(flag.why).keeps_out and not offered else "",
        rulings=ruling_lines(hall, place),
        choices={name: tuple(Choice(value, words) for value, words in those.items()) for name, those in choices.items()},
        form=FormView(typed, tuple(problems)),
        why_link=results_path(place.event.id, place.format.scores[0].id, place.assignment.entry),
        next_link=flag_link(following) if following else "",
        once=new_id(),
    )


def _looked_at(place: Place, typed: Typed) -> int | None:
    """The window whose marks somebody asked to see; the first one of work if none."""
    asked = typed.get("look", "")
    if asked.isascii() and asked.isdigit() and len(asked) < 4 and int(asked) < len(place.format.windows):
        return int(asked)
    return next((index for index, window in enumerate(place.format.windows) if window.task), None)


def _members(hall: Hall, place: Place) -> str:
    roster = needed_roster(hall)
    return member_names(roster, next(entry for entry in roster.entries if entry.id == place.assignment.entry))


def _by_hand(
    hall: Hall, place: Place, run: int, typed: Typed, choices: Mapping[str, Mapping[str, str]]
) -> tuple[Proposal | None, tuple[Problem, ...]]:
    try:
        return read_proposal(hall, place, run, typed, choices), ()
    except BadForm as bad:
        return None, bad.problems


def _option(hall: Hall, place: Place, one: Proposal, chosen: bool) -> OptionView:
    effect = effect_of(hall, place.event.id, place.assignment.entry, suppose(hall, one.rulings))
    return OptionView(option_text(one.rulings), one.words, effect, chosen)


def choices_for(hall: Hall, place: Place, run: int) -> dict[str, dict[str, str]]:
    """What a ruling on a lane can choose from, by field: value to words."""
    names, format = _names(hall), place.format
    counted = [i for i, w in enumerate(format.windows) if w.task and format.tasks[w.task].kind in ("count", "list")]
    runs = [one for one in hall.projection.runs if one.heat == place.heat.id]
    return {
        "window": {str(i): window_words(place, i) for i in counted},
        "mark": lifts_of(hall, place, run),
        "good": {"good": say("lift.good"), "no": say("lift.no")},
        "score": {rule.id: f"{rule.name}, in {score_unit(place.event.format, rule)}" for rule in format.scores},
        "status": STATUS_CHOICES,
        "lane": {o.id: f"lane {o.lane}, {names[o.entry]}" for o in place.heat.lanes if o.id != place.assignment.id},
        "sheet": other_sheets(hall, place),
        "where": {str(i): window_words(place, i) for i, window in enumerate(format.windows) if window.task},
        "again": _reruns(hall, place),
        "number": {str(one.number): f"Run {one.number}" for one in runs} if len(runs) > 1 else {},
    }


def _reruns(hall: Hall, place: Place) -> dict[str, str]:
    """The two runs of an entry that was let run again, each as what could count."""
    granted = [one for one in hall.projection.standing_rulings if one.kind == "rerun" and one.event == place.event.id]
    mine = [one for one in granted if one.entry == place.assignment.entry]
    if not mine:
        return {}
    first, again = str(mine[-1].assignment), str(mine[-1].body["again"])
    lanes = lanes_in_words(hall)
    words = {"again": lanes.get(again, "the second run"), "original": lanes.get(first, "the first run")}
    return {f"{first}:{again}:{which}": f"The run in {where} counts" for which, where in words.items()}


def ruling_lines(hall: Hall, place: Place) -> tuple[RulingLine, ...]:
    """The rulings on a lane and its entry, the newest first, with what taking each back would do."""
    rulings = hall.projection.rulings
    back, about = taken_back(rulings), _saying(hall, place)
    lane, entry, event = place.assignment.id, place.assignment.entry, place.event.id
    mine = [one for one in rulings if one.kind not in ("undo", "flag", "sign_off") and _is_on(one, lane, entry, event)]
    return tuple(_ruling_line(hall, place, one, back.get(one.id), about) for one in reversed(mine))


def _is_on(ruling: Ruling, lane: str, entry: str, event: str) -> bool:
    if ruling.assignment is not None:
        return lane in (ruling.assignment, ruling.body.get("again"))
    return ruling.entry == entry and ruling.event in (None, event)


def _saying(hall: Hall, place: Place) -> Saying:
    marks = {mark.id: mark for mark in hall.projection.assignment_marks(place.assignment.id)}
    return Saying(place.format, marks, lanes_in_words(hall))


def _ruling_line(hall: Hall, place: Place, ruling: Ruling, by: Ruling | None, about: Saying) -> RulingLine:
    undo = None
    if by is None:
        event, entry = place.event.id, place.assignment.entry
        undo = effect_of(hall, event, entry, (undoing(hall, ruling),))
    undone = "" if by is None else f"Taken back by {by.by}: {by.why}"
    return RulingLine(ruling.id, ruling_text(ruling, about), ruling.by, ruling.why, undone, undo)


def outcome(hall: Hall, place: Place, made: Sequence[Ruling]) -> Effect:
    """What rulings that were made have done, against the competition without them."""
    ids = {ruling.id for ruling in made}
    without = hall.projection.supposing([ruling for ruling in hall.projection.rulings if ruling.id not in ids])
    return compared(without, hall.projection, place.event.id, place.assignment.entry)
