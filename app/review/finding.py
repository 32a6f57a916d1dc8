"""What there is to look at on a lane: the marks that its tally finds odd, and what no single mark shows.

A flag of the second sort is one row and one function, side by side: what it is called, what suggests itself, how it is found.
"""

from collections.abc import Callable, Collection, Iterator, Sequence
from dataclasses import dataclass
from typing import Literal, TypeVar

from app.hall.hall import Hall
from app.hall.hand_clock import hand_clock
from app.hall.lane_rows import counts_of, lane_tablet
from app.hall.lane_scores import STOP, ruled_out, stop_text, stops_made
from app.live.projection import Place
from app.rules.count.counter_words import away_words, unlike_words
from app.rules.count.doubts import too_fast
from app.rules.count.flags import FLAGS, FlagRow, Offer, flag_key, told_of
from app.rules.count.sheet_clock import standing_shift
from app.rules.count.tally import Flag as TallyFlag
from app.rules.count.tally import Tally, WindowTally
from app.rules.records.document import Run
from app.rules.records.marks import Mark, sheet_key
from app.rules.records.roster import Heat, Roster
from app.rules.values.words import say
from app.rules.workout.formats import LiftTask, ListTask
from app.rules.workout.plates import PlateSet, kit_of, ways
from app.rules.workout.words import work_text

Done = Literal["", "settled", "aside"]
AFTER_SIGN_OFF = "Came after the event was signed off. It is kept and changes nothing until the event is reopened."
UNNAMED = FlagRow("Odd mark")  # of a ruling that an older version made about a flag that there is no more


@dataclass(frozen=True, slots=True)
class Flag:
    """One thing to look at on a lane: `why` is what kind (a key of FLAGS or of QUEUE), `marks` the marks it speaks of.

    `key` is the same whenever it is found again. `at` is its moment on the heat clock, None where it has none. `done`, `by` and
    `reason` say who settled it or set it aside; a mark that came since opens it again.
    """

    key: str
    why: str
    assignment: str
    run: int
    window: int | None
    at: int | None
    sentence: str
    marks: tuple[str, ...] = ()
    done: Done = ""
    by: str = ""
    reason: str = ""


@dataclass(frozen=True, slots=True)
class Looked:
    """One lane of a heat that was given a GO: its counting sheet and that sheet's tally. over: the heat is."""

    hall: Hall
    roster: Roster
    place: Place
    sheet: str
    tally: Tally
    over: bool

    @property
    def marks(self) -> Sequence[Mark]:
        """The marks of the sheet in their order: thousands in a day, so look at them within `kept`."""
        return self.hall.projection.sheet_marks(self.sheet)

    def named(self, ids: Collection[str]) -> dict[str, Mark]:
        """The marks of the sheet that have these ids, by id."""
        return self.hall.projection.marks_named(self.sheet, ids)

    def kept(
        self, finder: "OnLane", find: Callable[[], Iterator[Flag]], of: object = None, said: object = None
    ) -> tuple[Flag, ...]:
        """What a finder finds in the marks; not looked for again while the sheet says the same, what else it rests on is the very
        same, and what is `said` equal."""
        sheet = self.hall.projection.as_of(self.sheet)
        key = f"{finder.__name__} {self.sheet}"
        return self.hall.looked.view(key, (sheet, self.place.format, of), said, lambda: tuple(find()))


@dataclass(frozen=True, slots=True)
class LookedAtHeat:
    """A heat that was given a GO."""

    hall: Hall
    roster: Roster
    heat: Heat
    run: Run


OnLane = Callable[[Looked], Iterator[Flag]]
OnHeat = Callable[[LookedAtHeat], Iterator[Flag]]
OnAll = Callable[[Hall, Roster], Iterator[Flag]]
Finder = TypeVar("Finder", OnLane, OnHeat, OnAll)

QUEUE: dict[str, FlagRow] = {}  # the rows of the flags below; a key that ends in a dash stands for all that begin so
LANE_FINDERS: list[OnLane] = []


def finds(among: list[Finder], why: str, name: str, *offers: Offer) -> Callable[[Finder], Finder]:
    """Puts a flag into the queue: its key, its name in a few words, what suggests itself, and the function that finds it."""

    def put(finder: Finder) -> Finder:
        QUEUE[why] = FlagRow(name, offers=offers)
        among.append(finder)
        return finder

    return put


def flag_row(why: str) -> FlagRow:
    """The row of a flag, whoever finds it."""
    kin = next((key for key in QUEUE if key.endswith("-") and why.startswith(key)), why)
    return FLAGS.get(why) or QUEUE.get(kin, UNNAMED)


def made(sheet: str, why: str, window: int | None, sentence: str, marks: Sequence[Mark] = (), at: int | None = None) -> Flag:
    """A flag on a sheet, for its finder."""
    key = sheet_key(sheet)
    when = at if at is not None else min((mark.at for mark in marks), default=None)
    ids = tuple(mark.id for mark in marks)
    return Flag(flag_key(key.assignment, key.run, why, window), why, key.assignment, key.run, window, when, sentence, ids)


def odd_marks(look: Looked) -> Iterator[Flag]:
    """The marks that the tally finds odd, gathered by what is odd about them and by window; of the sheets beside the lane
    judge's, what waits for a ruling there."""
    held, beside = look.hall.projection, _beside(look)
    yield from look.kept(odd_marks, lambda: _odd_marks(look, beside), said=(_out(look), [held.as_of(sheet) for sheet in beside]))


def _odd_marks(look: Looked, beside: Sequence[str]) -> Iterator[Flag]:
    standing = _standing(look)
    by_id = look.named({flag.mark for flag in standing})
    groups: dict[tuple[str, int | None], list[Mark]] = {}
    for flag in standing:
        mark = by_id[flag.mark]
        groups.setdefault((flag.why, window_of(look.place, mark)), []).append(mark)
    for index, quick in _quick(look):
        groups.setdefault(("fast", index), []).extend(quick)
    for mark, why in _waiting(look, beside):
        groups.setdefault((why, window_of(look.place, mark)), []).append(mark)
    for (why, window), marks in groups.items():
        yield made(look.sheet, why, window, f"{say('marks', n=len(marks))}: {FLAGS[why].sentence}", marks)


def _quick(look: Looked) -> Iterator[tuple[int, list[Mark]]]:
    """The repetitions of work lists that came too fast, by window; a sheet without a list is not looked through."""
    format = look.place.format
    lists = [i for i, window in enumerate(format.windows) if isinstance(format.tasks.get(window.task or ""), ListTask)]
    by_id = {mark.id: mark for mark in look.marks} if lists else {}
    for index in lists:
        reps = [m for m in by_id.values() if m.kind == "rep" and m.win == index and m.id not in look.tally.struck]
        if quick := [by_id[mark] for mark in too_fast(format, index, reps)]:
            yield index, quick


def _standing(look: Looked) -> list[TallyFlag]:
    """What is odd on a sheet. Who is out follows from all sheets together: a minute that was read out may have kept them in."""
    out = _out(look)
    return told_of(flag for flag in look.tally.flags if flag.why != "after-out" or flag in out)


def _out(look: Looked) -> set[TallyFlag]:
    counted = look.hall.projection.counting_tally(look.place.assignment.id)
    return set() if counted is None else {flag for flag in counted.flags if flag.why == "after-out"}


def _beside(look: Looked) -> list[str]:
    """The sheets of a lane beside its judge's."""
    return [sheet for sheet in look.hall.projection.own_sheets(look.place.assignment.id).values() if sheet != look.sheet]


def _waiting(look: Looked, sheets: Sequence[str]) -> Iterator[tuple[Mark, str]]:
    """What waits for a ruling on some sheets beside the lane judge's, and why."""
    for sheet in sheets:
        own = look.hall.projection.marks_named(sheet, {flag.mark for flag in look.hall.projection.sheet_tally(sheet).flags})
        for flag in look.hall.projection.sheet_tally(sheet).flags:
            if flag.mark in own and FLAGS[flag.why].is_ruled_beside:
                yield own[flag.mark], flag.why


def window_of(place: Place, mark: Mark) -> int | None:
    """The window a mark names, else the one its time falls in."""
    windows = place.format.windows
    if mark.win is not None:
        return mark.win if mark.win < len(windows) else None
    return next((i for i, w in enumerate(windows) if w.task and w.start_ms <= mark.at < w.end_ms), None)


def window_words(place: Place, index: int | None) -> str:
    """A window in a few words: `Window 3, Press`; nothing for none."""
    if index is None or index >= len(place.format.windows):
        return ""
    return f"Window {index + 1}, {work_text(place.format, place.format.windows[index])}"


@finds(LANE_FINDERS, "by-hand", "Clock started by hand")
def _by_hand(look: Looked) -> Iterator[Flag]:
    shift = standing_shift(look.place.assignment.id, sheet_key(look.sheet).run, look.hall.projection.standing_rulings)
    yield from look.kept(_by_hand, lambda: _started_by_hand(look), shift)


def _started_by_hand(look: Looked) -> Iterator[Flag]:
    hand = hand_clock(look.hall, look.place.assignment.id, look.sheet)
    if hand is not None and not hand.moved:
        yield made(look.sheet, "by-hand", None, hand.words)


@finds(LANE_FINDERS, STOP, "Stopped on the floor")
def _stopped(look: Looked) -> Iterator[Flag]:
    """Stops that stand. Settled here, they are said at the desk and on the board no more."""
    lane = look.place.assignment
    stops = stops_made(look.hall, lane, sheet_key(look.sheet).run)
    if stops and not ruled_out(look.hall, lane):
        yield made(look.sheet, STOP, None, ". ".join(map(stop_text, stops)) + ".", stops)


@finds(LANE_FINDERS, "plates", "Not on these plates")
def _plates(look: Looked) -> Iterator[Flag]:
    """Loads that were judged and can't be put on the bar with the plates of the lane."""
    of_lane = {one.lane: one.plates for one in look.roster.lane_plates}
    plates = next((one for one in look.roster.plate_sets if one.id == of_lane.get(look.place.assignment.lane)), None)
    if plates is not None:
        yield from look.kept(_plates, lambda: _not_on(look, plates), plates)


def _not_on(look: Looked, plates: PlateSet) -> Iterator[Flag]:
    format = look.place.format
    for window in look.tally.windows:
        task = format.tasks.get(format.windows[window.index].task or "")
        if not isinstance(task, LiftTask):
            continue
        kit = kit_of(plates, task)
        odd = [lift for lift in window.lifts if not ways(kit, lift.load, 1)]
        if odd:
            loads = ", ".join(dict.fromkeys(lift.load.text() for lift in odd))
            words = f"{loads} can't be loaded with the plates of this lane ({plates.name})."
            by_id = look.named({lift.mark for lift in odd})
            yield made(look.sheet, "plates", window.index, words, [by_id[lift.mark] for lift in odd if lift.mark in by_id])


@finds(LANE_FINDERS, "recount", "Counts too far apart", "stand")
def _recounts(look: Looked) -> Iterator[Flag]:
    tally = look.hall.projection.counting_tally(look.place.assignment.id) if look.over else None
    for window in tally.recounts if tally else ():
        counts = counts_of(look.hall, look.place.assignment, window)
        words = f"The counts are {counts}, too far apart to combine."
        yield made(look.sheet, "recount", window, words, at=look.place.format.windows[window].start_ms)


@finds(LANE_FINDERS, "away", "A counter had nothing", "stand")
def _away(look: Looked) -> Iterator[Flag]:
    """Windows in which one counter was not at work, as far as anybody knows, and another counted."""
    yield from _of_counters(look, "away", away_words)


@finds(LANE_FINDERS, "unlike", "Counters differ", "stand")
def _unlike(look: Looked) -> Iterator[Flag]:
    """Windows of which several judged what can't be joined, and not alike."""
    yield from _of_counters(look, "unlike", unlike_words)


def _of_counters(look: Looked, why: str, words: Callable[[WindowTally], Iterator[str]]) -> Iterator[Flag]:
    tally = look.hall.projection.counting_tally(look.place.assignment.id) if look.over else None
    for window in tally.windows if tally else ():
        told = " ".join(f"{one}." for one in words(window))
        if told:
            yield made(look.sheet, why, window.index, told, at=look.place.format.windows[window.index].start_ms)


@finds(LANE_FINDERS, "unsent", "Marks still on the tablet", "stand")
def _unsent(look: Looked) -> Iterator[Flag]:
    seen = lane_tablet(look.hall, look.place.assignment.lane, look.place.format) if look.over else None
    if seen is not None and seen.report.outbox:
        words = say("unsent", n=seen.report.outbox)
        yield made(look.sheet, "unsent", None, words)


@finds(LANE_FINDERS, "after-sign-off", "After the sign-off")
def _after_sign_off(look: Looked) -> Iterator[Flag]:
    if not look.hall.projection.is_signed(look.place.event.id):
        return
    late = look.hall.projection.came_late(look.place.assignment.id)
    if late:
        yield made(look.sheet, "after-sign-off", None, f"{say('marks', n=len(late))}: {AFTER_SIGN_OFF}", late)
