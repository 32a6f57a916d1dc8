"""The rulings that suggest themselves for a flag, and those that somebody puts together from the fields of the review page."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from app.hall.forms import Reading, Typed, lower_first
from app.hall.hall import Hall
from app.hall.hand_clock import known_lateness, milliseconds, seconds_text
from app.hall.lane_rows import fault_text, mark_text
from app.live.projection import Place
from app.review.finding import Flag, flag_row, window_of, window_words
from app.review.finding_across import lane_names, lane_of, number_flag
from app.rules.count.flags import FLAGS
from app.rules.count.joined import judged_in
from app.rules.records.marks import Mark, SheetKey, body_load, sheet_key
from app.rules.records.platforms import sheet_row
from app.rules.records.rulings import MOST_NAMED
from app.rules.values.clock_times import clock_ms_text
from app.rules.values.words import say
from app.rules.workout.score_units import score_unit
from app.rules.workout.words import member_letter

STATUS_CHOICES = {
    "did_not_finish": "Did not finish",
    "did_not_start": "Did not start",
    "withdrawn": "Withdrawn",
    "disqualified": "Disqualified",
    "again": "Takes part again",
}
KINDS = ("reps", "lift", "penalty", "status", "lane", "stand", "run", "rerun", "shift")
Plain = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Proposal:
    """A decision that could be made: in words, and as the rulings that it would be."""

    words: str
    rulings: tuple[Plain, ...]


def proposals(hall: Hall, place: Place, flag: Flag) -> Iterator[Proposal]:
    """What suggests itself for a flag, most likely first."""
    sheet = SheetKey(flag.assignment, flag.run, "lane").text()
    by_id = {mark.id: mark for mark in hall.projection.sheet_marks(sheet)}
    struck = hall.projection.sheet_tally(sheet).struck
    marks = [by_id[mark] for mark in flag.marks if mark in by_id and mark not in struck]
    if flag.why == "by-hand":
        yield from _shift(hall, place, sheet)
    if flag.why == "twice":
        yield from _one_of_two(hall, place)
    if flag.why.startswith("number-"):
        yield from _one_of_a_number(hall, flag)
    if "admit" in flag_row(flag.why).offers:
        yield Proposal(say("let_count", n=len(flag.marks)), (_on(place, "admit", {"marks": list(flag.marks)[:MOST_NAMED]}),))
        return
    for lift in (mark for mark in marks if mark.kind == "lift"):
        yield from _lift_proposals(hall, place, lift, flag)
    reps = [mark for mark in marks if mark.kind == "rep"]
    offers = flag_row(flag.why).offers
    if reps and "count" in offers:
        yield _count_them(place, flag, reps)
    if reps and "discount" in offers:
        yield _dont_count(place, flag, reps)
    if "stand" in offers:
        yield from sheets_that_could_stand(hall, place, flag.window)


def _on(place: Place, kind: str, body: Plain) -> Plain:
    return {
        "kind": kind,
        "assignment": place.assignment.id,
        "entry": place.assignment.entry,
        "event": place.event.id,
        "body": body,
    }


def _shift(hall: Hall, place: Place, sheet: str) -> Iterator[Proposal]:
    late = known_lateness(hall.projection.sheet_marks(sheet))
    if late:
        body = {"ms": late, "run": sheet_key(sheet).run}
        words = f"Move its marks {seconds_text(abs(late))} s {'later' if late > 0 else 'earlier'}"
        yield Proposal(words, (_on(place, "shift", body),))


# What keeps a lift out and a ruling on it undoes: by the moment at which it is counted, by a good lift, by either decision.
# Whatever else keeps one out is the event's own rule, or another sheet's matter: to call the lift something else changes nothing.
BY_MOMENT = frozenset({"outside", "begun-late", "attempt-late"})
BY_GOOD = frozenset({"attempt-late"})
BY_DECISION = frozenset({"judges-waiting", "judges-silent"})


def _lift_proposals(hall: Hall, place: Place, mark: Mark, flag: Flag) -> Iterator[Proposal]:
    """What a lift could be ruled to be; one that was marked for somebody else, to be the lift of whoever works in its window."""
    window = None if flag.window is None else place.format.windows[flag.window]
    if flag.why != "other-member" or window is None or isinstance(window.who, str):
        out = {
            one.why for one in hall.projection.sheet_tally(mark.sheet).flags if one.mark == mark.id and FLAGS[one.why].keeps_out
        }
        yield from _lift_anew(place, mark, frozenset(out))
        return
    load, good = body_load(mark.body).text(), mark.body["good"]
    for member in window.who:
        words = f"{load} at {clock_ms_text(mark.at)}: {_verdict(good)} of {member_letter(member)}"
        yield Proposal(words, (_on(place, "lift", {"mark": mark.id, "good": good, "member": member}),))


def _one_of_a_number(hall: Hall, flag: Flag) -> Iterator[Proposal]:
    """Which of the marks counts that share a number: each on its own lane."""
    doubled = next((one for one in hall.projection.doubled.found if number_flag(one) == flag.why), None)
    for key, mark in doubled.marks.items() if doubled else ():
        where = hall.projection.place_of(lane_of(mark))
        if where is not None:
            lane = "" if where.assignment.id == flag.assignment else f", on {lane_names(hall, [where.assignment.id])[0]},"
            yield Proposal(f"{mark_text(where.format, mark)}{lane} counts", (_on(where, "number", {"print": key}),))


def _one_of_two(hall: Hall, place: Place) -> Iterator[Proposal]:
    """Which of the lanes counts on which an entry was judged."""
    tables = hall.projection.event_results(place.event.id).tables
    rows = (row for table in tables for row in table.rows if row.entry.id == place.assignment.entry)
    judged = next((row.twice for row in rows), ())
    for lane, words in zip(judged, lane_names(hall, judged), strict=True):
        again, counts = (judged[1], "original") if lane == judged[0] else (lane, "again")
        about = {"kind": "rerun", "assignment": judged[0], "entry": place.assignment.entry, "event": place.event.id}
        yield Proposal(f"What was judged in {words} counts", ({**about, "body": {"again": again, "counts": counts}},))


def _lift_anew(place: Place, mark: Mark, out: frozenset[str]) -> Iterator[Proposal]:
    """What a lift could be ruled to be; `out`: the flags that keep it out now."""
    good = bool(mark.body["good"])
    if not out:
        yield _called(place, mark, not good)
    elif out <= BY_GOOD:
        yield _called(place, mark, True)
    elif out <= BY_DECISION:
        yield from (_called(place, mark, either) for either in (good, not good))
    elif out <= BY_MOMENT and mark.win is not None and mark.win < len(place.format.windows):
        body = {"mark": mark.id, "good": good, "at": place.format.windows[mark.win].end_ms - 1}
        words = f"{body_load(mark.body).text()}: count it as judged before the bell"
        yield Proposal(words, (_on(place, "lift", body),))


def _called(place: Place, mark: Mark, good: bool) -> Proposal:
    words = f"{body_load(mark.body).text()} at {clock_ms_text(mark.at)}: {_verdict(good)}"
    return Proposal(words, (_on(place, "lift", {"mark": mark.id, "good": good}),))


def _count_them(place: Place, flag: Flag, reps: list[Mark]) -> Proposal:
    index = flag.window if flag.window is not None else _nearest(place, reps[0])
    body = {"add": len(reps), "window": index, "run": flag.run}
    return Proposal(say("count_them", n=len(reps)), (_on(place, "reps", body),))


def _dont_count(place: Place, flag: Flag, reps: list[Mark]) -> Proposal:
    index = flag.window if flag.window is not None else _nearest(place, reps[0])
    body = {"add": -len(reps), "window": index, "run": flag.run, "marks": [mark.id for mark in reps]}
    return Proposal(say("dont_count", n=len(reps)), (_on(place, "reps", body),))


def _nearest(place: Place, mark: Mark) -> int:
    """The window of counting nearest to a mark that stands in none."""
    found = window_of(place, mark)
    if found is not None and place.format.windows[found].task is not None:
        return found
    work = [i for i, w in enumerate(place.format.windows) if w.task and place.format.tasks[w.task].kind in ("count", "list")]
    away = {i: max(place.format.windows[i].start_ms - mark.at, mark.at - place.format.windows[i].end_ms) for i in work}
    return min(work, key=lambda i: away[i], default=0)


def other_sheets(hall: Hall, place: Place) -> dict[str, str]:
    """The sheets of a lane assignment that hold marks, any run, by key, in words; left out the judge's where it counts alone."""
    alone = place.format.counters.how == "lane"
    counting = set(hall.projection.marked_sheets(place.assignment.id).values()) if alone else set()
    found = sorted({mark.sheet for mark in hall.projection.assignment_marks(place.assignment.id)})
    others = [key for key in found if key not in counting or sheet_key(key).kind != "lane"]
    words = {key: sheet_row(sheet_key(key).kind, place.format).sheet for key in others}
    return {key: f"{text[0].upper()}{text[1:]}, run {sheet_key(key).run}" for key, text in words.items()}


def sheets_that_could_stand(hall: Hall, place: Place, window: int | None) -> Iterator[Proposal]:
    """Letting another sheet stand: in the window in question, where somebody judged it there, else wherever it was judged."""
    for key, words in other_sheets(hall, place).items():
        if window is None or window in judged_in(hall.projection.sheet_tally(key)):
            yield _let_stand(place, key, words, window)


def _let_stand(place: Place, sheet: str, words: str, window: int | None) -> Proposal:
    where = "wherever it was judged" if window is None else f"in {lower_first(window_words(place, window))}"
    return Proposal(f"{words}, stands {where}", (_on(place, "stand", stand_body(sheet, window)),))


def stand_body(sheet: str, window: int | None) -> Plain:
    """The body of a ruling that lets a sheet stand, in one window or wherever it was judged."""
    return {"sheet": sheet} if window is None else {"sheet": sheet, "windows": [window]}


def lifts_of(hall: Hall, place: Place, run: int) -> dict[str, str]:
    """The lifts on a lane's sheet that stand, by mark, in words: one that was taken back can't be ruled on."""
    sheet = SheetKey(place.assignment.id, run, "lane").text()
    struck = hall.projection.sheet_tally(sheet).struck
    marks = [mark for mark in hall.projection.sheet_marks(sheet) if mark.kind == "lift" and mark.id not in struck]
    return {mark.id: _lift_words(place, mark) for mark in marks}


def _lift_words(place: Place, mark: Mark) -> str:
    fault = fault_text(place.format, mark).removesuffix(",")
    return f"{body_load(mark.body).text()} at {clock_ms_text(mark.at)}: {_verdict(mark.body['good'])}{fault}"


def read_proposal(hall: Hall, place: Place, run: int, typed: Typed, choices: Mapping[str, Mapping[str, str]]) -> Proposal | None:
    """The ruling that somebody put together; None if nothing was asked for. Raises BadForm with each problem at its field."""
    kind = typed.get("kind", "")
    if kind not in KINDS:
        return None
    read = Reading(typed)
    made = READERS[kind](read, place, run, choices)
    read.done()
    return made


def _read_reps(read: Reading, place: Place, run: int, choices: Mapping[str, Mapping[str, str]]) -> Proposal:
    add = read.needed_whole("add", "The number of repetitions", -999, 999)
    window = read.choice("window", "The window", choices["window"])
    if not add and not read.problems_at("add"):
        read.wrong("add", "Type how many repetitions: a number above or below zero.")
    words = say("reps.added" if add > 0 else "reps.taken", n=abs(add))
    return Proposal(words, (_on(place, "reps", {"add": add, "window": int(window or 0), "run": run}),))


def _read_lift(read: Reading, place: Place, run: int, choices: Mapping[str, Mapping[str, str]]) -> Proposal:
    mark = read.choice("mark", "The lift", choices["mark"])
    good = read.choice("good", "What it is", {"good": say("lift.was_good"), "no": say("lift.was_no")}) == "good"
    words = f"{choices['mark'].get(mark, '')} → {_verdict(good)}"
    return Proposal(words, (_on(place, "lift", {"mark": mark, "good": good}),))


def _read_penalty(read: Reading, place: Place, run: int, choices: Mapping[str, Mapping[str, str]]) -> Proposal:
    score = read.choice("score", "The score", choices["score"])
    rule = next((rule for rule in place.format.scores if rule.id == score), place.format.scores[0])
    unit = score_unit(place.event.format, rule)
    amount = read.raw("amount").replace(",", ".")
    if not amount.replace(".", "", 1).isdecimal() or not amount.isascii() or len(amount) > 9 or not float(amount):
        read.wrong("amount", f"A penalty is a number of {unit} above zero, such as 5 or 2.5.")
    body = {"amount": amount, "score": score}
    return Proposal(f"Penalty of {amount} {unit}", (_on(place, "penalty", body),))


def _read_status(read: Reading, place: Place, run: int, choices: Mapping[str, Mapping[str, str]]) -> Proposal:
    status = read.choice("status", "What became of the entry", STATUS_CHOICES)
    whole = {"kind": "status", "entry": place.assignment.entry, "body": {"status": "" if status == "again" else status}}
    about = whole if read.raw("everywhere") else {**whole, "event": place.event.id}
    return Proposal(STATUS_CHOICES.get(status, status) + (" in every event" if read.raw("everywhere") else ""), (about,))


def _read_lane(read: Reading, place: Place, run: int, choices: Mapping[str, Mapping[str, str]]) -> Proposal:
    other = read.choice("lane", "The other lane", choices["lane"])
    entry = next((lane.entry for lane in place.heat.lanes if lane.id == other), "")
    there = {**_on(place, "move", {"sheet": SheetKey(other or "x", run, "lane").text()})}
    own = SheetKey(place.assignment.id, run, "lane").text()
    back = {"kind": "move", "assignment": other, "entry": entry, "event": place.event.id, "body": {"sheet": own}}
    return Proposal(f"Swap sheets with {choices['lane'].get(other, '')}", (there, back))


def _read_stand(read: Reading, place: Place, run: int, choices: Mapping[str, Mapping[str, str]]) -> Proposal:
    sheet, where = read.choice("sheet", "The sheet", choices["sheet"]), read.raw("where")
    if where and where not in choices["where"]:
        read.wrong("where", "Choose one of the windows.")
    window = int(where) if where in choices["where"] else None
    return _let_stand(place, sheet, choices["sheet"].get(sheet, ""), window)


def _read_run(read: Reading, place: Place, run: int, choices: Mapping[str, Mapping[str, str]]) -> Proposal:
    number = read.choice("number", "The run", choices["number"])
    return Proposal(f"{choices['number'].get(number, '')} counts", (_on(place, "run", {"run": int(number or 1)}),))


def _read_rerun(read: Reading, place: Place, run: int, choices: Mapping[str, Mapping[str, str]]) -> Proposal:
    chosen = read.choice("again", "Which run", choices["again"])
    first, again, counts = [*chosen.split(":"), "", "", "original"][:3]
    about = {"kind": "rerun", "assignment": first or "x", "entry": place.assignment.entry, "event": place.event.id}
    return Proposal(choices["again"].get(chosen, ""), ({**about, "body": {"again": again or "x", "counts": counts}},))


def _read_shift(read: Reading, place: Place, run: int, choices: Mapping[str, Mapping[str, str]]) -> Proposal:
    ms = milliseconds(read)
    return Proposal(f"Clock moved by {seconds_text(ms)} s", (_on(place, "shift", {"ms": ms, "run": run}),))


READERS = {
    "reps": _read_reps,
    "lift": _read_lift,
    "penalty": _read_penalty,
    "status": _read_status,
    "lane": _read_lane,
    "stand": _read_stand,
    "run": _read_run,
    "rerun": _read_rerun,
    "shift": _read_shift,
}


def _verdict(good: bool) -> str:
    return say("lift.was_good" if good else "lift.was_no")
