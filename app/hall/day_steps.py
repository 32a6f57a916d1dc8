"""The day in order, from the competition's name to its results: each step a row with its name, its address, and how to tell from
the facts of the day how far it is. Pure: the facts are gathered in day_list.py.

A step that the day can't do without is `needed` while it is not done: the first of these is the next thing to do. All others can
wait, and nothing that is merely to do is an alarm.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from app.hall.markings import unsaid_wall
from app.rules.records.moves import ON_THE_FLOOR, HeatState
from app.rules.records.roster import Event, Heat, Roster
from app.rules.values.words import say
from app.rules.workout.safety import missing
from app.rules.workout.tasks import LiftTask
from app.rules.workout.words import listed
from app.store.rounds import GymRound

MOST_NAMED = 6  # lanes that are named one by one


@dataclass(frozen=True, slots=True)
class Facts:
    """What is known of the day. Nothing can be known of a competition that has no name yet.

    order: the heats as the day runs; states: how each stands. waiting: by an event's name, how many of those it is for stand in
    none of its heats. draft: a plan was made and is not published. paired: lanes with a tablet. watched: a wall, board or clock
    is open somewhere. backup: when the last one was made, in words, empty before the first; late: something new has waited for
    long; failure: why the last one failed. practised: judges who have counted a set; present: athletes who are here. signed:
    events that are signed off; taken: the results were taken along since. unclassed: entries with something open about their
    class. round: how far this gym has come in a round, None where no kit was opened here.
    """

    roster: Roster
    order: tuple[Heat, ...] = ()
    states: Mapping[str, HeatState] | None = None
    waiting: Mapping[str, int] = field(default_factory=dict)
    draft: bool = False
    paired: frozenset[int] = frozenset()
    watched: bool = False
    backup: str = ""
    late: bool = False
    failure: str = ""
    practised: frozenset[str] = frozenset()
    present: frozenset[str] = frozenset()
    signed: frozenset[str] = frozenset()
    taken: bool = False
    unclassed: int = 0
    round: GymRound | None = None

    def state(self, heat: Heat) -> HeatState:
        """How a heat stands."""
        return (self.states or {}).get(heat.id, HeatState.PLANNED)

    @property
    def lanes(self) -> frozenset[int]:
        """The lanes on which somebody stands."""
        return frozenset(lane.lane for heat in self.roster.heats for lane in heat.lanes)

    def event_over(self, event: Event) -> bool:
        """Whether an event has heats and all of them are over."""
        states = [self.state(heat) for heat in self.roster.heats if heat.event == event.id]
        return bool(states) and all(state is HeatState.OVER for state in states)


@dataclass(frozen=True, slots=True)
class Standing:
    """How far a step is: whether it is done, and in words what there is or what is missing.

    needed: the day can't go on without it. wrong: something has failed, and a person should look. later: nothing can be done
    in it yet. title, link: what is done next in it and where, in place of the step's own. under_way: it is done now.
    """

    done: bool
    words: str
    needed: bool = False
    wrong: bool = False
    later: bool = False
    title: str = ""
    link: str = ""
    under_way: bool = False


@dataclass(frozen=True, slots=True)
class Step:
    """One step of the day. pages: how the addresses begin that belong to it. look: None where it plays no part."""

    name: str
    link: str
    pages: tuple[str, ...]
    look: Callable[[Facts], Standing | None]


def _competition(facts: Facts) -> Standing:
    return Standing(True, facts.roster.competition.name)


def _safety(facts: Facts) -> Standing:
    lacks = missing(facts.roster.competition.safety)
    return Standing(not lacks, f"Missing: {listed(lacks)}." if lacks else "Emergency details are on every brief and sheet.")


def _divisions(facts: Facts) -> Standing:
    count = len(facts.roster.divisions)
    return Standing(count > 0, say("list.divisions", n=count) if count else "None yet. Importing entries can add them.")


def _entries(facts: Facts) -> Standing:
    count = len(facts.roster.entries)
    if not count:
        return Standing(False, "Nobody is entered yet.", needed=True, link="/desk/entries/file")
    return Standing(True, say("list.entries", n=count))


def _events(facts: Facts) -> Standing:
    events = facts.roster.events
    if not events:
        return Standing(False, "None yet. Paste a workout, or choose a kind of event.", needed=True, link="/desk/workout")
    lacking = [event.name for event in events if unsaid_wall(facts.roster, event)]
    said = [f"Wall line sizes missing: {listed(lacking)}."] if lacking else []
    said += [f"In {event.name} nobody does {listed(idle)} yet." for event in events if (idle := _idle_variants(facts, event))]
    count = say("list.events", n=len(events))
    return Standing(not said, " ".join((f"{count}.", *said)) if said else count)


def _idle_variants(facts: Facts, event: Event) -> list[str]:
    """The variants that no division does and no lane: their loads were written for somebody."""
    done = {*event.variants.values(), *(lane.variant for heat in facts.roster.heats for lane in heat.lanes)}
    return [f"“{one.name}”" for one in event.format.variants if one.id not in done]


def _overall(facts: Facts) -> Standing | None:
    if len(facts.roster.events) < 2:
        return None
    said = facts.roster.overall is not None
    return Standing(said, "How the events add up is chosen." if said else "Choose how the events add up.")


def _judges(facts: Facts) -> Standing:
    count = len(facts.roster.judges)
    if not count:
        return Standing(False, "Nobody is on the list yet. You can also plan without judges.")
    open_places = sum(not lane.judge for heat in facts.roster.heats for lane in heat.lanes)
    judges = say("list.judges", n=count)
    return Standing(not open_places, f"{judges}. {say('day.unjudged', n=open_places)}" if open_places else judges)


def _plan(facts: Facts) -> Standing:
    heats = say("list.heats", n=len(facts.roster.heats))
    if facts.roster.heats:
        left = listed([f"{count} in {event}" for event, count in facts.waiting.items()])
        return Standing(not left, f"{heats}. Without a heat: {left}. That is right if they were cut." if left else heats)
    return Standing(False, "A plan is ready but not published." if facts.draft else "No heats yet.", needed=True)


def _plates(facts: Facts) -> Standing | None:
    """Lifts go on without plates; with them, screens draw the bar."""
    lifts = {one.id for one in facts.roster.events if any(isinstance(task, LiftTask) for task in one.format.tasks.values())}
    lanes = {lane.lane for heat in facts.roster.heats if heat.event in lifts for lane in heat.lanes}
    bare = sorted(lanes - {one.lane for one in facts.roster.lane_plates})
    if not lifts:
        return None
    if not lanes:
        return Standing(False, "For lifting lanes, once there are heats.", later=True)
    return Standing(not bare, f"Missing on {_named(bare)}." if bare else "Every lifting lane has plates.")


def _paper(facts: Facts) -> Standing:
    sheets = "Briefs, heat sheets and scoresheets, to print."
    return Standing(False, sheets if facts.roster.heats else "Briefs to print; sheets follow the heats.")


def _tablets(facts: Facts) -> Standing:
    if not facts.lanes:
        return Standing(False, "One for each lane, once there are heats.", later=True)
    without = sorted(facts.lanes - facts.paired)
    return Standing(not without, f"None yet on {_named(without)}." if without else "Every lane has one.")


def _screens(facts: Facts) -> Standing:
    words = "A board, wall or clock is open now." if facts.watched else "Open one on a screen in the hall."
    return Standing(facts.watched, words)


def _backups(facts: Facts) -> Standing:
    if facts.failure:
        return Standing(False, facts.failure, wrong=True)
    if not facts.backup:
        return Standing(False, "None since the server started.")
    words = f"The last one was made {facts.backup}."
    return Standing(not facts.late, f"{words} Much has changed since then." if facts.late else words)


def _practice(facts: Facts) -> Standing:
    judges = {judge.id for judge in facts.roster.judges}
    if not judges:
        return Standing(False, "Judges practise on a set with known answers.", later=True)
    counted = len(judges & facts.practised)
    return Standing(counted == len(judges), say("day.practised", n=len(judges), counted=counted))


def _checkin(facts: Facts) -> Standing:
    athletes = {member for entry in facts.roster.entries for member in entry.members}
    here = len(athletes & facts.present)
    return Standing(bool(athletes) and here == len(athletes), say("day.present", n=len(athletes), here=here), later=not athletes)


# Of a class without bounds of bodyweight nobody need be weighed in, so no more is said.
ALL_FIT = "Every entry fits the limits of its class."


def _classes(facts: Facts) -> Standing | None:
    if not any(one.limits for one in facts.roster.divisions):
        return None
    if not facts.roster.entries:
        return Standing(False, "Come with the entries.", later=True)
    asked = say("day.unclassed", n=facts.unclassed)
    return Standing(not facts.unclassed, asked if facts.unclassed else ALL_FIT)


def _heats(facts: Facts) -> Standing:
    if not facts.order:
        return Standing(False, "Follow from the plan.", later=True)
    over = sum(facts.state(heat) is HeatState.OVER for heat in facts.order)
    if over == len(facts.order):
        return Standing(True, f"{say('list.heats', n=over)}, all over.")
    names = {event.id: event.name for event in facts.roster.events}
    at_hand = next((heat for heat in facts.order if facts.state(heat) in ON_THE_FLOOR), None)
    following = at_hand or next(heat for heat in facts.order if facts.state(heat) is not HeatState.OVER)
    title = f"{names[following.event]}, heat {following.number}"
    when = "on the floor" if at_hand else f"planned {following.planned}" if following.planned else "no planned time"
    words = f"{over} of {len(facts.order)} over. {title}: {when}."
    return Standing(False, words, needed=True, title=title, under_way=at_hand is not None)


def _sign_off(facts: Facts) -> Standing:
    events = facts.roster.events
    ready = [event.name for event in events if event.id not in facts.signed and facts.event_over(event)]
    signed = len(facts.signed & {event.id for event in events})
    if events and signed == len(events):
        return Standing(True, f"{say('list.events', n=signed)} signed off.")
    words = f"{signed} of {say('list.events', n=len(events))} signed off." if events else "Once there are events."
    return Standing(
        False, f"{words} All heats are over: {listed(ready)}." if ready else words, needed=bool(ready), later=not ready
    )


def _publish(facts: Facts) -> Standing:
    whole = bool(facts.roster.events) and facts.signed >= {event.id for event in facts.roster.events}
    if whole and facts.taken:
        return Standing(True, "Downloaded for the web.")
    words = "Not downloaded since the last sign-off." if whole else "Once every event is signed off."
    return Standing(False, words, needed=whole, later=not whole)


def _round(facts: Facts) -> Standing | None:
    if facts.round is None:
        return None
    return Standing(facts.round.slip, "The slip's code is typed in." if facts.round.slip else "Type in the code of your slip.")


# What headquarters said is told by the receipts that lie here, each checked before it was kept.
def _hand_in(facts: Facts) -> Standing | None:
    if facts.round is None:
        return None
    if not facts.round.slip:
        return Standing(False, "Once the slip's code is typed in.", later=True)
    if facts.round.receipts & {"arrived", "checked"}:
        return Standing(True, "A receipt of headquarters for a file is here.")
    over = bool(facts.order) and all(facts.state(heat) is HeatState.OVER for heat in facts.order)
    if "promised" in facts.round.receipts:
        return Standing(False, "Headquarters' receipt for the digest is here. The file must follow.", needed=True)
    due = f"By {facts.round.due}, this laptop's time, says the kit. " if facts.round.due else ""
    made = "Made, and no receipt of headquarters is here." if facts.round.made else "See what lacks, then make it."
    return Standing(False, f"{due}{made}", needed=over or facts.round.made > 0, later=not facts.order)


def _named(lanes: list[int]) -> str:
    if len(lanes) > MOST_NAMED:
        return say("lanes", n=len(lanes))
    return say("lanes_named", n=len(lanes), named=listed([str(lane) for lane in lanes]))


STEPS = (
    Step("Competition", "/desk/competition", ("/desk/competition",), _competition),
    Step("Safety", "/desk/competition#safety", (), _safety),
    Step("Divisions", "/desk/divisions", ("/desk/divisions",), _divisions),
    Step("Entries", "/desk/entries", ("/desk/entries", "/desk/people", "/desk/clubs"), _entries),
    Step("Events", "/desk/events", ("/desk/events", "/desk/workout"), _events),
    Step("Overall", "/desk/overall", ("/desk/overall",), _overall),
    Step("Round", "/desk/round/gym", ("/desk/round/gym",), _round),
    Step("Judges", "/desk/judges", ("/desk/judges",), _judges),
    Step("Plan", "/desk/plan", ("/desk/plan", "/desk/heats", "/desk/cut"), _plan),
    Step("Plates", "/desk/plates", ("/desk/plates",), _plates),
    Step("Paper", "/desk/paper", ("/desk/paper",), _paper),
    Step("Tablets", "/desk/tablets", ("/desk/tablets", "/desk/way-in"), _tablets),
    Step("Screens", "/desk/walls", ("/desk/walls",), _screens),
    Step("Backups", "/desk/backups", ("/desk/backups",), _backups),
    Step("Practice", "/desk/practice", ("/desk/practice",), _practice),
    Step("Check-in", "/desk/checkin", ("/desk/checkin",), _checkin),
    Step("Classes", "/desk/classes", ("/desk/classes",), _classes),
    Step("Heats", "/desk", (), _heats),
    Step("Sign-off", "/review/results", ("/review",), _sign_off),
    Step("Hand in", "/desk/round/gym/hand-in", ("/desk/round/gym/hand-in",), _hand_in),
    Step("Publish", "/desk/setup#out-title", ("/desk/halls",), _publish),
)
