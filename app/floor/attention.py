"""What needs a person at the desk, most urgent first: stopped lanes, tablets out of reach, odd marks, gaps in the plan."""

from collections import Counter
from collections.abc import Callable, Collection, Iterator
from dataclasses import dataclass, replace
from functools import cache
from typing import Literal

from app.doors.letting_in import who_asks
from app.floor.carried import carried_view
from app.floor.lane_markings import line_doubts
from app.floor.papers import sheets_keyed_in
from app.hall.backup_age import ago, is_late, last_backup
from app.hall.entered_words import asked_of
from app.hall.forms import lower_first
from app.hall.hall import Hall
from app.hall.hand_clock import hand_clock
from app.hall.heats import newest_runs
from app.hall.lane_rows import counts_of, lane_tablet
from app.hall.lane_scores import stop_text, stops_on
from app.hall.markings import unsaid_wall
from app.hall.views import Need, State
from app.review.comparing import video_link
from app.review.protesting import unanswered
from app.review.signing import came_after
from app.rules.count.flags import FLAGS, settled_marks, told_of
from app.rules.count.sheets import paper_sheet
from app.rules.count.stops import medical_stop
from app.rules.records.entered import entered
from app.rules.records.marks import sheet_key
from app.rules.records.moves import ON_THE_FLOOR as FLOOR
from app.rules.records.moves import HeatState
from app.rules.records.roster import Assignment, Event, Roster
from app.rules.records.seats import seat_row
from app.rules.values.clock_times import clock_text
from app.rules.values.words import ranges, say
from app.rules.workout.words import window_text
from app.store.devices import welcome_devices
from app.store.files.verbs import short
from app.synced import sync_trouble

NOW, SOON, LATER, SOME_TIME = 1, 2, 3, 4
OPENED_SHOWN_MS = 3_600_000
MANY_MARKS = 20  # marks waiting on a tablet that is online: the network is slow or the store refuses them
STORE_WORDS = {
    "no-disk": "Tablet can't keep marks on its own disk: don't let its page be closed. Swap it for another between heats.",
    "restored": "The tablet's browser had lost its marks; all of them are back.",
    "unsure": "The tablet's browser had lost its marks. None is known to be missing, but the last ones before "
    "that may be: ask the judge.",
    "blank": "The tablet has lost everything it kept; nobody knows whether marks are missing. Ask the judge for the totals.",
    "lost": "",  # it says how many
    "lost-more": "",
}
TOO_FAST = (
    "It sends more marks than hands can make in that time. They wait on it and are taken in at a human pace. "
    "If nobody there counts that fast, end its pairing."
)
TABLETS = "/desk/tablets"
BACKUPS = "/desk/backups"
WAY_IN = "/desk/way-in"
REVIEW = "/review"

Shape = Literal["look", "stopped", "kept", "safe"]
WORDS: dict[Shape, str] = {"look": "Look", "stopped": "Stopped", "kept": "Waiting", "safe": "Counts"}


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing found, before those that say the same of several lanes are put together; `lane` is 0 for no lane."""

    urgency: int
    shape: Shape
    place: str
    lane: int
    sentence: str
    link: str = ""


def needs(hall: Hall, roster: Roster, states: dict[str, HeatState], at_hand: str | None) -> tuple[Need, ...]:
    """Everything that needs a person, most urgent first; `states` are the heats' states by id, `at_hand` the heat at hand."""
    keyed = cache(lambda: sheets_keyed_in(hall))
    found = [*_machine(hall), *_refused(hall), *_plan(roster, states), *_late(hall, roster), *_protests(hall, roster)]
    events, runs = {event.id: event for event in roster.events}, newest_runs(hall.projection.runs)
    for heat in roster.heats:
        state, event = states[heat.id], events[heat.event]
        place = f"{event.name}, heat {heat.number}"
        carried = carried_view(hall, runs.get(heat.id)) if state in FLOOR else None
        if carried is not None:
            found.append(Finding(NOW if carried.unsure else LATER, "look", place, 0, carried.short, f"/desk?heat={heat.id}"))
        lacks = unsaid_wall(roster, event)
        if lacks and state is HeatState.PLANNED:
            found.append(Finding(SOON, "look", event.name, 0, lacks, f"/desk/events/{event.id}/markings"))
        for lane in heat.lanes:
            if state is not HeatState.OVER:
                doubts = line_doubts(hall, roster, event, lane)
                found += [Finding(SOON, "look", place, lane.lane, words, f"/desk/checkin/{who}") for words, who in doubts]
            if state in FLOOR or heat.id == at_hand:
                found += _tablet(hall, place, lane, state)
            if state is not HeatState.PLANNED:
                found += _sheet(hall, place, lane, state, keyed)
    return _together(found)


def _together(found: list[Finding]) -> tuple[Need, ...]:
    """One need for all lanes of which the same is said."""
    lanes: dict[Finding, list[int]] = {}
    for one in found:
        lanes.setdefault(replace(one, lane=0), []).append(one.lane)
    needs = []
    for one, numbers in lanes.items():
        named = ranges(sorted(set(numbers) - {0}))
        which = say("lanes_named", n=len(numbers), named=named)
        where = f"{one.place}, {which}" if named else one.place
        needs.append(Need(one.urgency, State(one.shape, WORDS[one.shape]), where, one.sentence, one.link))
    return tuple(sorted(needs, key=lambda need: (need.urgency, need.state.shape != "stopped")))


def _machine(hall: Hall) -> Iterator[Finding]:
    for one in who_asks(hall):
        words = f"A device is asking to be let in; it shows {one.word}. Let it in only if you see the same word on it."
        yield Finding(NOW, "look", seat_row(one.role, one.sheet).place(one.lane), 0, words, TABLETS)
    if hall.database.short_of_space:
        words = "The disk was full and still has little space: marks may be refused. Free some space now."
        yield Finding(NOW, "look", "This computer", 0, words)
    elif hall.database.trouble:
        yield Finding(NOW, "look", "This computer", 0, hall.database.trouble, BACKUPS)
    if damaged := hall.database.damaged:
        first = damaged[0]
        names = {device.id: device.name for device in hall.database.read(welcome_devices)}
        words = say("store.damaged", n=len(damaged), device=names.get(first.device, first.device), number=first.seq)
        yield Finding(NOW, "look", "Marks", 0, words, BACKUPS)
    if lacking := hall.database.lacking:
        yield Finding(NOW, "look", "Files", 0, say("store.lacking", n=len(lacking), first=short(lacking[0])), BACKUPS)
    yield from _too_fast(hall)
    if hall.relay.deaf:
        words = "This server process hears nothing from the database, so updates come late. It reconnects by itself."
        yield Finding(NOW, "look", "Server", 0, words)
    elif hall.relay.behind:
        words = (
            "This server process has not heard of everything yet, so what it shows could lack something. It catches up by itself."
        )
        yield Finding(NOW, "look", "Server", 0, words)
    yield from _way_in(hall)
    if not hall.settings.on_server and (words := sync_trouble(hall.settings.data)):
        yield Finding(SOON, "look", "This computer", 0, words)
    yield from _backups(hall)
    if doubles := hall.projection.doubled.found:
        yield Finding(SOON, "look", "Marks", 0, say("numbers.doubled", n=len(doubles)), REVIEW)


def _way_in(hall: Hall) -> Iterator[Finding]:
    """Nobody has come yet, and nothing tells a quiet hall from a firewall; a door was closed; the laptop may fall asleep."""
    if hall.reached.closed:
        yield Finding(NOW, "look", "Connection", 0, f"{hall.reached.closed} It keeps trying.", WAY_IN)
    elif hall.time.wall_ms() - hall.reached.opened_wall_ms < OPENED_SHOWN_MS:
        words = f"The system closed a port and it was reopened, {ago(hall, hall.reached.opened_wall_ms)}. Screens reconnect."
        yield Finding(LATER, "look", "Connection", 0, words, WAY_IN)
    if not hall.reached.by and hall.settings.to_the_hall:
        words = "Nobody in the hall has reached this laptop yet. A firewall may be in the way: test it with one phone now."
        yield Finding(SOON, "look", "Connection", 0, words, WAY_IN)
    if hall.awake.in_vain:
        yield Finding(LATER, "look", "This computer", 0, say("awake.in_vain"), WAY_IN)


def _too_fast(hall: Hall) -> Iterator[Finding]:
    """The devices whose marks wait on them because no hands make so many."""
    slowed = hall.allowances.waiting(hall.time.server_ms())
    names = {device.id: device.name for device in hall.database.read(welcome_devices)} if slowed else {}
    for name in (names[key] for key in slowed if key in names):
        yield Finding(SOON, "kept", name, 0, TOO_FAST, TABLETS)


def _refused(hall: Hall) -> Iterator[Finding]:
    """Marks that the desk refused, of whichever device: they are not here, and somebody has to see to it."""
    for seen in hall.presence.everybody():
        if seen.report.refused:
            why = hall.presence.refusal(seen.device.device_id)
            words = say("tablet.refused_why", n=seen.report.refused, name=seen.device.name or seen.device.device_id, why=why)
            seat = seat_row(seen.device.role, seen.device.sheet)
            yield Finding(NOW, "look", seat.place(seen.device.lane), 0, words.rstrip(), TABLETS)


def _late(hall: Hall, roster: Roster) -> Iterator[Finding]:
    """What came for events that are signed off: from tablets, from paper, by calls and rulings."""
    for event in roster.events:
        if words := came_after(hall, event):
            yield Finding(SOON, "look", event.name, 0, words, f"{REVIEW}/results#event-{event.id}")


def _protests(hall: Hall, roster: Roster) -> Iterator[Finding]:
    """Protests wait for the head judge, who may be anywhere but at the review's page of them."""
    for event, count in Counter(one.event for one in unanswered(hall)).items():
        name = next(one.name for one in roster.events if one.id == event)
        yield Finding(SOON, "look", name, 0, say("protests.waiting", n=count), f"{REVIEW}/results#protests")


def _backups(hall: Hall) -> Iterator[Finding]:
    state = hall.backups
    if state.failure:
        yield Finding(SOON, "look", "Backups", 0, f"{state.failure} The last good one was {last_backup(hall)}.", BACKUPS)
    elif is_late(hall):
        yield Finding(LATER, "look", "Backups", 0, f"The last one was {last_backup(hall)}.", BACKUPS)


def _tablet(hall: Hall, place: str, lane: Assignment, state: HeatState) -> Iterator[Finding]:
    urgency = NOW if state in FLOOR else SOON
    now_ms = hall.time.server_ms()
    belongs = hall.projection.place_of(lane.id)
    seen = lane_tablet(hall, lane.lane, belongs.format if belongs else None)
    if seen is None:
        if hall.projection.last_mark(lane.id):
            yield Finding(LATER, "look", place, lane.lane, "Marks came in, but no tablet is connected now.", TABLETS)
        elif state is not HeatState.OVER:
            yield Finding(urgency, "look", place, lane.lane, "No tablet has been seen. Pair one, or judge on paper.", TABLETS)
        return
    report = seen.report
    held = f" {say('last_heard.held', n=report.outbox)}" if report.outbox else ""
    if not seen.online(now_ms):
        if state is not HeatState.OVER or report.outbox:
            words = f"Tablet offline for {clock_text(now_ms - seen.last_seen_ms)}.{held} A tablet counts on without the desk."
            yield Finding(urgency, "look", place, lane.lane, words, TABLETS)
    elif report.outbox >= MANY_MARKS:
        yield Finding(SOON, "kept", place, lane.lane, f"Tablet is online, but {report.outbox} marks wait on it.", TABLETS)
    if report.trouble in STORE_WORDS:
        lost = "tablet.lost_least" if report.trouble == "lost-more" else "tablet.lost"
        words = STORE_WORDS[report.trouble] or say(lost, n=report.missing)
        yield Finding(SOON if report.trouble == "restored" else urgency, "look", place, lane.lane, words, TABLETS)


def _sheet(hall: Hall, place: str, lane: Assignment, state: HeatState, keyed: Callable[[], Collection[str]]) -> Iterator[Finding]:
    sheet = hall.projection.counting_sheet(lane.id)
    if sheet is None:
        return
    tally = hall.projection.sheet_tally(sheet)
    yield from _stops(hall, place, lane, sheet_key(sheet).run)
    yield from _medical(hall, place, lane)
    yield from _recounts(hall, place, lane, state)
    hand = hand_clock(hall, lane.id, sheet)
    if hand is not None and not hand.moved:
        yield Finding(LATER, "look", place, lane.lane, f"{hand.words} Shift it in its row.")
    seen = settled_marks(hall.projection.standing_rulings)
    for why, count in Counter(flag.why for flag in told_of(tally.flags) if (flag.mark, flag.why) not in seen).items():
        row = FLAGS[why]
        urgency = NOW if row.at_once else SOME_TIME if row.lets_in else LATER
        words = f"{say('marks', n=count)}: {row.sentence}"
        yield Finding(urgency, "safe" if row.lets_in else "look", place, lane.lane, words, REVIEW)
    yield from _stand_ins(hall, place, lane, sheet, keyed)
    if state is HeatState.OVER and tally.any_marks and "judge" not in dict(tally.signed):
        yield Finding(SOME_TIME, "kept", place, lane.lane, "The judge has not signed the sheet.")


def _stops(hall: Hall, place: str, lane: Assignment, run: int) -> Iterator[Finding]:
    for stop in stops_on(hall, lane, run):
        yield Finding(NOW, "stopped", place, lane.lane, stop_text(stop), f"{REVIEW}/lanes/{lane.id}")


def _medical(hall: Hall, place: str, lane: Assignment) -> Iterator[Finding]:
    belongs = hall.projection.place_of(lane.id)
    if belongs and medical_stop(hall.projection.rulings, lane, belongs.event.id) is not None:
        words = "Medical stop. Nothing starts here until the medic clears it."
        yield Finding(NOW, "stopped", place, lane.lane, words, f"/desk/lanes/{lane.id}/calls")


def _recounts(hall: Hall, place: str, lane: Assignment, state: HeatState) -> Iterator[Finding]:
    """Windows whose counts lie too far apart. While the heat runs they may still meet: one counter is a tap ahead."""
    tally = hall.projection.counting_tally(lane.id) if state is HeatState.OVER else None
    belongs = hall.projection.place_of(lane.id)
    if tally is None or belongs is None:
        return
    for window in tally.recounts:
        counts = counts_of(hall, lane, window)
        words = f"Recount {lower_first(window_text(belongs.format, window))}: the counts are {counts}, too far apart to combine."
        how = "Count it from video and rule whose count stands, or rerun the heat."
        yield Finding(SOON, "look", place, lane.lane, f"{words} {how}", video_link(lane.id))


def _stand_ins(hall: Hall, place: str, lane: Assignment, sheet: str, keyed: Callable[[], Collection[str]]) -> Iterator[Finding]:
    """Windows that count by what a judge read out, because the tablet's own marks have not come. Where a paper was keyed in
    nothing is waited for."""
    windows = hall.projection.stand_ins(sheet)
    if windows and paper_sheet(sheet) not in keyed():
        words = say("stand_ins", n=len(windows))
        yield Finding(SOME_TIME, "kept", place, lane.lane, words, BACKUPS)


def _plan(roster: Roster, states: dict[str, HeatState]) -> Iterator[Finding]:
    for event in roster.events:
        heats = [heat for heat in roster.heats if heat.event == event.id]
        waiting = entered(roster, event).missing
        if heats and waiting and not all(states[heat.id] is HeatState.OVER for heat in heats):
            words = say("in_no_heat", n=len(waiting))
            yield Finding(SOME_TIME, "kept", event.name, 0, words, f"/desk/heats?event={event.id}")
        yield from _misfits(roster, event, {states[heat.id] for heat in heats})
        for heat in heats:
            if not heat.lanes and states[heat.id] is HeatState.PLANNED:
                link = f"/desk/heats/{heat.id}/lanes"
                yield Finding(SOME_TIME, "look", f"{event.name}, heat {heat.number}", 0, say("on_no_lane"), link)


def _misfits(roster: Roster, event: Event, states: set[HeatState]) -> Iterator[Finding]:
    """Whoever does not fit an event: first of all before its first GO, and no more when it is over, but for who is not ranked."""
    over = bool(states) and states <= {HeatState.OVER}
    urgency = NOW if states <= {HeatState.PLANNED} else SOON
    for one in asked_of(roster, event):
        if one.stray or not over:
            yield Finding(urgency, "look", event.name, 0, one.sentence, one.link)
