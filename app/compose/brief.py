"""The brief of an event as frozen views: what is read out before it, hung on the wall, kept on the tablets."""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import groupby

from app.compose.event_form import format_form
from app.compose.event_plain import told
from app.compose.event_strip import Strip, strip_of
from app.compose.markings_view import Drawing, floor_drawing
from app.hall.hall import Hall
from app.hall.markings import markings_of
from app.hall.organising import found, needed_roster
from app.rules.records.entered import named_divisions
from app.rules.records.markings import footprint, hall_width, protocol_of, unsaid, unsaid_words
from app.rules.records.measuring import Protocol
from app.rules.records.roster import Event, Heat, Roster
from app.rules.result.worked_example import WorkedScore, worked_example
from app.rules.values.clock_times import minutes_text
from app.rules.values.lengths import tape_text
from app.rules.values.words import say
from app.rules.workout.cautions import Caution, cautions
from app.rules.workout.equipment import Equipment, equipment
from app.rules.workout.formats import Format, Window
from app.rules.workout.movements import shown_name
from app.rules.workout.safety import PLAN_FIRST, facts, missing
from app.rules.workout.tasks import Movement, movements_of
from app.rules.workout.words import listed, member_letter, who_text, work_text
from app.store.refusals import NotThere

USUAL_LANES = 4
MOST_EXAMPLE_STEPS = 8  # windows of the worked example that are told one by one


@dataclass(frozen=True, slots=True)
class BriefLine:
    """An event in the list of briefs."""

    link: str
    name: str
    words: str


@dataclass(frozen=True, slots=True)
class Turn:
    """Who does what when. `holding` says who holds meanwhile, or is empty."""

    number: str
    at: str
    length: str
    who: str
    what: str
    holding: str
    rest: bool


@dataclass(frozen=True, slots=True)
class FaultLine:
    """A fault and what the judge says."""

    name: str
    say: str


@dataclass(frozen=True, slots=True)
class MovementBrief:
    """A movement: what counts, what does not."""

    name: str
    counts: tuple[str, ...]
    faults: tuple[FaultLine, ...]


@dataclass(frozen=True, slots=True)
class SafetyFact:
    """One safety fact; `said` is false where nobody has said it."""

    label: str
    words: str
    said: bool


@dataclass(frozen=True, slots=True)
class SafetyView:
    """The safety facts of the competition, as they stand on every brief and heat sheet."""

    facts: tuple[SafetyFact, ...]
    gap: str
    plan: str


@dataclass(frozen=True, slots=True)
class ExampleView:
    """A score of the worked example: the facts before it, window by window, and how they are added up."""

    name: str
    score: str
    windows: tuple[tuple[str, tuple[str, ...]], ...]
    more: str
    sums: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class MarkingsBrief:
    """What is marked on the floor and the wall: the drawing, and how it is measured, in sentences."""

    floor: Drawing | None
    lines: tuple[str, ...]
    protocol: Protocol | None


@dataclass(frozen=True, slots=True)
class VariantLink:
    """A variant to look at; `shown` marks the one on the page."""

    link: str
    name: str
    divisions: str
    shown: bool


@dataclass(frozen=True, slots=True)
class Brief:
    """Everything that an event's brief says."""

    competition: str
    where: str
    event: str
    variant: str
    variants: tuple[VariantLink, ...]
    heats: str
    strip: Strip
    length: str
    members: str
    divisions: str
    runs: tuple[str, ...]
    scores: tuple[str, ...]
    fine: tuple[str, ...]
    turns: tuple[Turn, ...]
    movements: tuple[MovementBrief, ...]
    examples: tuple[ExampleView, ...]
    markings: MarkingsBrief | None
    equipment: Equipment
    cautions: tuple[Caution, ...]
    safety: SafetyView


def brief_lines(hall: Hall) -> tuple[BriefLine, ...]:
    """All events, in the order run."""
    roster = hall.projection.roster
    if roster is None:
        return ()
    return tuple(
        BriefLine(brief_path(event.id), event.name, f"{_length(event.format)}, {_people(event.format)}. {_heats(roster, event)}")
        for event in roster.events
    )


def brief_path(event: str, variant: str = "") -> str:
    """Where an event's brief is."""
    return f"/brief/{event}" + (f"/{variant}" if variant else "")


def brief_paths(hall: Hall) -> list[str]:
    """Every brief there is, for those who keep them for later."""
    roster = hall.projection.roster
    events = roster.events if roster else ()
    own = [brief_path(event.id) for event in events]
    return ["/brief", *own, *(brief_path(event.id, one.id) for event in events for one in event.format.variants)]


def brief(hall: Hall, key: str, variant: str = "") -> Brief:
    """The brief of an event, as a variant does it. Raises NotThere."""
    roster = needed_roster(hall)
    event = found(roster.events, key, "event")
    if variant and event.format.variant(variant) is None:
        raise NotThere(say("{name} has no such variant.", name=event.name))
    format = event.format.varied(variant)
    words = told(format)
    return Brief(
        competition=roster.competition.name,
        where=" · ".join(text for text in (roster.competition.place, roster.competition.day) if text),
        event=event.name,
        variant=next((one.name for one in event.format.variants if one.id == variant), ""),
        variants=tuple(_variants(roster, event, variant)),
        heats=_heats(roster, event),
        strip=strip_of(format_form(event.name, format)),
        length=_length(format),
        members=_people(format),
        divisions=listed([one.name for one in named_divisions(roster, event.divisions)]),
        runs=words.runs,
        scores=words.scores,
        fine=words.fine,
        turns=turns(format),
        movements=movement_briefs(format),
        examples=tuple(_example(one) for one in worked_example(event, variant)),
        markings=_markings(roster, event),
        equipment=equipment(format, lanes_of(roster, event)),
        cautions=cautions(format),
        safety=safety_view(roster),
    )


def safety_view(roster: Roster) -> SafetyView:
    """The safety facts; what is missing is named, so that nobody takes the gap for an answer."""
    safety = roster.competition.safety
    unsaid = missing(safety)
    gap = say("Missing: {these}. Ask the desk before the first heat.", these=listed(unsaid)) if unsaid else ""
    lines = tuple(SafetyFact(label, words or say("not given yet"), bool(words)) for label, words in facts(safety))
    return SafetyView(lines, gap, PLAN_FIRST)


def lanes_of(roster: Roster, event: Event) -> int:
    """How many lanes the event's fullest heat uses; without heats, as many as usual."""
    return max((len(heat.lanes) for heat in roster.heats if heat.event == event.id), default=0) or USUAL_LANES


def turns(format: Format) -> tuple[Turn, ...]:
    """Who does what when. Windows that are alike and follow one another are told as one."""
    numbered = list(enumerate(format.windows, start=1))
    grouped = [list(group) for _, group in groupby(numbered, key=lambda one: _alike(one[1]))]
    return tuple(_turn(format, group) for group in grouped)


def movement_briefs(format: Format) -> tuple[MovementBrief, ...]:
    """The movements that the event uses, in the format's order."""
    used = {key for task in format.tasks.values() for key in movements_of(task)}
    return tuple(_movement(movement) for key, movement in format.movements.items() if key in used)


def _markings(roster: Roster, event: Event) -> MarkingsBrief | None:
    markings = markings_of(roster, event)
    if markings is None:
        return None
    foot, lines = footprint(markings), []
    if markings.wall and markings.drop and markings.tolerance:
        drop, off = markings.drop.text(), markings.tolerance.text()
        lines.append(
            say(
                "Wall line: the mark at the wrists, standing, arms straight up, less {drop}; each athlete has their own.",
                drop=drop,
            )
        )
        lines.append(say("The judge measures it again before GO and calls the head judge if it is more than {off} out.", off=off))
    if missing := unsaid(markings):
        lines.append(say("Still missing: {unsaid}.", unsaid=unsaid_words(missing)))
    if foot.spaces:
        lanes = lanes_of(roster, event)
        wide, deep = tape_text(hall_width(markings, lanes), markings.unit), tape_text(foot.depth, markings.unit)
        lines.append(say("lanes.room", n=lanes, wide=wide, deep=deep))
    return MarkingsBrief(floor_drawing(markings) if foot.spaces else None, tuple(lines), protocol_of(markings))


def _alike(window: Window) -> tuple[object, ...]:
    return (window.task, window.who, window.holding, window.seconds)


def _turn(format: Format, group: list[tuple[int, Window]]) -> Turn:
    (first, window), (last, end) = group[0], group[-1]
    several = len(group) > 1
    held = listed([member_letter(member) for member in window.holding])
    return Turn(
        number=say("{first} to {last}", first=first, last=last) if several else str(first),
        at=say("{start} to {end}", start=minutes_text(window.start), end=minutes_text(end.start + end.seconds)),
        length=say("each {length}", length=minutes_text(window.seconds)) if several else minutes_text(window.seconds),
        who=who_text(window, format.members) if window.task else "",
        what=work_text(format, window),
        holding=say("{held} holds", held=held) if held else "",
        rest=window.task is None,
    )


def _movement(movement: Movement) -> MovementBrief:
    faults = tuple(FaultLine(fault.name, fault.say or say("No rep.")) for fault in movement.faults)
    return MovementBrief(shown_name(movement.name), movement.standards, faults)


def _example(worked: WorkedScore) -> ExampleView:
    windows = [step for step in worked.steps if step.title != "Score"]
    told_ones = tuple((step.title, tuple(line.text for line in step.lines)) for step in windows[:MOST_EXAMPLE_STEPS])
    more = len(windows) - len(told_ones)
    words = say("brief.more_windows", n=more) if more else ""
    sums = tuple(line.text for step in worked.steps if step.title == "Score" for line in step.lines)
    return ExampleView(worked.name, worked.score, told_ones, words, sums[-MOST_EXAMPLE_STEPS * 2 :])


def _variants(roster: Roster, event: Event, shown: str) -> Iterator[VariantLink]:
    if not event.format.variants:
        return
    names = {division.id: division.name for division in roster.divisions}
    for key, name in (("", say("As written")), *((one.id, one.name) for one in event.format.variants)):
        doing = [names[division] for division in names if event.variants.get(division, "") == key]
        yield VariantLink(brief_path(event.id, key), name, listed(doing), key == shown)


def _heats(roster: Roster, event: Event) -> str:
    heats = [heat for heat in roster.heats if heat.event == event.id]
    if not heats:
        return say("no_heats")
    return say("brief.heats", n=len(heats), heats=listed([_when(heat) for heat in sorted(heats, key=_by_number)]))


def _when(heat: Heat) -> str:
    return say("{number} at {planned}", number=heat.number, planned=heat.planned) if heat.planned else str(heat.number)


def _by_number(heat: Heat) -> int:
    return heat.number


def _length(format: Format) -> str:
    return say("{time} from GO to the last bell", time=minutes_text(format.length_ms // 1000))


def _people(format: Format) -> str:
    return {1: say("one athlete"), 2: say("a pair: A and B")}.get(
        format.members, say("a team of {members}: A to {member}", members=format.members, member=member_letter(format.members))
    )
