"""Paper sheets keyed in twice: each person's typing is kept, nothing counts until two agree or somebody settles it by name."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import combinations

from app.floor.judging import record_marks
from app.floor.totals import Draft, TotalsField, lane_choices, lane_place, numbered, totals_form, window_drafts
from app.hall.changing import new_id
from app.hall.devices import Who
from app.hall.forms import Reading, Typed
from app.hall.hall import Hall
from app.rules.agree.keyed_twice import FieldKind, Keyed, differing
from app.rules.count.sheets import paper_sheet
from app.rules.records.marks import MOST_MARKS, mark_plain, sheet_key
from app.rules.values.clock_times import ago_text
from app.rules.values.shapes import load_plain
from app.rules.values.words import say
from app.rules.workout.formats import CountTask, Format, LiftTask, ListTask, Window
from app.rules.workout.paper_rows import keyed_rows, several_members
from app.rules.workout.words import window_text
from app.store.practice import KEYINGS, Keying, keyings, settle_keyings
from app.store.refusals import NotThere

SITTING = "sitting"  # names one opening of the form
MOST_REPS_IN_A_SET = 1000


@dataclass(frozen=True, slots=True)
class KeyField:
    """A field of the form: like a total that is read out, with how it is read and what can be chosen."""

    name: str
    label: str
    hint: str
    kind: FieldKind
    choices: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True)
class KeyGroup:
    """The fields of one window."""

    title: str
    fields: tuple[KeyField, ...]


@dataclass(frozen=True, slots=True)
class Difference:
    """A field in which two people typed different things."""

    name: str
    label: str
    first: str
    second: str


@dataclass(frozen=True, slots=True)
class KeyingView:
    """A lane's paper as it stands. state: empty, once, differ or stored. `by`: who keyed it in. `sitting` names this opening of
    the form. late: what is stored came after the sign-off of its event, and changes nothing."""

    assignment: str
    title: str
    state: str
    by: tuple[str, ...]
    groups: tuple[KeyGroup, ...]
    differences: tuple[Difference, ...]
    words: str
    sitting: str
    late: bool


def keying_view(hall: Hall, assignment: str) -> KeyingView:
    """What there is to key in of a lane's paper, and how far it is. Raises NotThere."""
    sheet, format = sheet_of(hall, assignment), lane_place(hall, assignment)[0].format
    title = next(choice.words for choice in lane_choices(hall) if choice.value == assignment)
    held = hall.database.read(lambda session: keyings(session, sheet))
    state, groups = state_of(held), tuple(_groups(hall, assignment, format))
    now = [one for one in held if one.state == ("stored" if state == "stored" else "waits")]
    differences = tuple(_differences(groups, format, now[0], now[-1])) if state == "differ" else ()
    times = [f"{one.by} ({hall_time(hall, one.made_wall_ms)})" for one in now]
    by, late = tuple(one.by for one in now), state == "stored" and came_late(hall, sheet)
    return KeyingView(assignment, title, state, by, groups, differences, " and ".join(times), new_id(), late)


def came_late(hall: Hall, sheet: str) -> bool:
    """Whether a paper sheet holds marks that came after the sign-off of their event."""
    late = hall.projection.came_late(sheet_key(sheet).assignment)
    return any(mark.sheet == sheet for mark in late)


def hall_time(hall: Hall, wall_ms: int) -> str:
    """How long ago something was typed."""
    return ago_text(hall.time.wall_ms() - wall_ms)


async def key_in(hall: Hall, who: Who, assignment: str, typed: Typed) -> str:
    """Keeps what one person typed; with a second that agrees the sheet is stored as marks. Returns the state after it.

    Raises BadForm, NotThere, StoreFull.
    """
    sheet, format = sheet_of(hall, assignment), lane_place(hall, assignment)[0].format
    read = Reading(typed)
    by = read.name("by", "The name of whoever keys it in")
    fields = list(_keyed(hall, assignment, format))
    _drafts(read, format)
    read.done()
    held = hall.database.read(lambda session: keyings(session, sheet))
    if state_of(held) == "stored":
        raise NotThere("This sheet is saved already. To key it in again, take it back first.")
    sitting = read.raw(SITTING)
    if sitting and any(one.typed.get(SITTING) == sitting for one in held):
        return state_of(held)  # the same form sent twice is not two people
    kept = {SITTING: sitting, **{field.name: read.raw(field.name) for field in fields}}
    made = Keying(new_id(), sheet, by, hall.time.wall_ms(), "waits", kept)
    await hall.database.awrite(lambda session: KEYINGS.put(session, made))
    waiting = [one for one in hall.database.read(lambda s: keyings(s, sheet)) if one.state == "waits"]
    for first, second in combinations(waiting, 2):
        if not differing(fields, first.typed, second.typed):
            await _store(hall, who, assignment, first.typed, f"Keyed in from paper by {first.by} and {second.by}.")
            return "stored"
    return state_of(waiting)


async def settle(hall: Hall, who: Who, assignment: str, typed: Typed) -> None:
    """Stores a sheet on which two differ, as somebody decided field by field and by name. Raises BadForm, NotThere."""
    view, format = keying_view(hall, assignment), lane_place(hall, assignment)[0].format
    if view.state != "differ":
        raise NotThere("There is nothing left to settle on this sheet. Reload it.")
    sheet = sheet_of(hall, assignment)
    held = [one for one in hall.database.read(lambda s: keyings(s, sheet)) if one.state == "waits"]
    read = Reading(typed)
    by = read.name("by", "The name of whoever settles it")
    settled, said = dict(held[0].typed), []
    versions = {"first": f"{view.by[0]}'s", "second": f"{view.by[-1]}'s", "other": "neither"}
    for one in view.differences:
        choice = read.choice(f"take-{one.name}", one.label, versions)
        other = read.raw(f"other-{one.name}")
        settled[one.name] = {"first": one.first, "second": one.second}.get(choice, other)
        said.append(f"{one.label}: {settled[one.name] or 'nothing'} ({one.first or 'nothing'} or {one.second or 'nothing'})")
    again = Reading(settled)
    _drafts(again, format)
    read.problems += [replace(problem, field=f"other-{problem.field}") for problem in again.problems]
    read.done()
    words = f"Keyed in from paper by {held[0].by} and {held[-1].by}; settled by {by}. {'; '.join(said)}"
    await _store(hall, who, assignment, settled, words)


async def take_back(hall: Hall, who: Who, assignment: str) -> None:
    """Strikes out what was stored from paper, and lets go what waits: the sheet can be keyed in anew. Raises NotThere."""
    sheet = sheet_of(hall, assignment)
    strikes = numbered(hall, who, sheet, _strikes(hall, sheet))
    await _send(hall, who, [mark_plain(mark) for mark in strikes])
    held = [one.id for one in hall.database.read(lambda s: keyings(s, sheet)) if one.state != "left"]
    await hall.database.awrite(lambda session: settle_keyings(session, held, "left"))


async def _store(hall: Hall, who: Who, assignment: str, typed: Typed, words: str) -> None:
    """The agreed sheet as marks; whatever stood on the paper sheet before is struck out in the same breath."""
    sheet, format = sheet_of(hall, assignment), lane_place(hall, assignment)[0].format
    note = Draft("note", format.length_ms, None, {"text": words[:480]})
    drafts = [*_strikes(hall, sheet), *_drafts(Reading(typed), format), note]
    await _send(hall, who, [mark_plain(mark) for mark in numbered(hall, who, sheet, drafts)])
    held = [one.id for one in hall.database.read(lambda s: keyings(s, sheet)) if one.state == "waits"]
    await hall.database.awrite(lambda session: settle_keyings(session, held, "stored"))


async def _send(hall: Hall, who: Who, marks: list[dict[str, object]]) -> None:
    for start in range(0, len(marks), MOST_MARKS):
        await record_marks(hall, who, marks[start : start + MOST_MARKS])


def state_of(held: Sequence[Keying]) -> str:
    """How far a sheet's keying is: empty, once, differ or stored."""
    waiting = sum(one.state == "waits" for one in held)
    if waiting:
        return "once" if waiting == 1 else "differ"
    return "stored" if any(one.state == "stored" for one in held) else "empty"


def sheet_of(hall: Hall, assignment: str) -> str:
    """The paper sheet of a lane. Raises NotThere."""
    return paper_sheet(lane_place(hall, assignment)[1])


def _strikes(hall: Hall, sheet: str) -> list[Draft]:
    marks = hall.projection.sheet_marks(sheet)
    struck = {mark.body["mark"] for mark in marks if mark.kind == "strike"}
    return [
        Draft("strike", mark.at, None, {"mark": mark.id}) for mark in marks if mark.kind != "strike" and mark.id not in struck
    ]


def _groups(hall: Hall, assignment: str, format: Format) -> Iterator[KeyGroup]:
    """The fields of each window: those of totals, and for lifts a row for each attempt."""
    totals = {field.name: field for field in totals_form(hall, assignment).fields}
    for index, window in enumerate(format.windows):
        if window.task is not None:
            task = format.tasks[window.task]
            if isinstance(task, LiftTask):
                fields = tuple(_attempt_fields(format, index, window, task))
            else:
                fields = tuple(_as_field(format, index, field) for name, field in totals.items() if _belongs(name, index))
            yield KeyGroup(window_text(format, index), fields)
    yield KeyGroup(
        "Signatures",
        (KeyField("sign-judge", "Judge", "As signed.", "name"), KeyField("sign-athlete", "Athlete", "As signed.", "name")),
    )


def _belongs(name: str, index: int) -> bool:
    return name == f"w{index}" or name.startswith(f"w{index}-")


def _as_field(format: Format, index: int, field: TotalsField) -> KeyField:
    task = format.tasks[format.windows[index].task or ""]
    kind: FieldKind = "finish" if field.name != f"w{index}" else "whole" if isinstance(task, CountTask | ListTask) else "value"
    return KeyField(field.name, field.label, field.hint, kind)


def _attempt_fields(format: Format, index: int, window: Window, task: LiftTask) -> Iterator[KeyField]:
    members = several_members(format, window)
    for row in range(keyed_rows(format, task, window)):
        name = f"w{index}-t{row}"
        if members:
            chosen = (("", "–"), *((str(ord(letter) - 64), letter) for letter in members))
            yield KeyField(f"{name}-who", f"Try {row + 1}, who", "", "choice", chosen)
        yield KeyField(name, f"Try {row + 1}, load", f"In {task.step.unit}.", "load")
        if task.times_reps:
            yield KeyField(f"{name}-reps", f"Try {row + 1}, repetitions", "", "whole")
        yield KeyField(
            f"{name}-good",
            f"Try {row + 1}, outcome",
            "",
            "choice",
            (("", "–"), ("good", say("lift.good")), ("no", say("lift.no"))),
        )


def _keyed(hall: Hall, assignment: str, format: Format) -> Iterator[Keyed]:
    for group in _groups(hall, assignment, format):
        yield from (Keyed(field.name, field.kind, format.unit) for field in group.fields)


def _differences(groups: tuple[KeyGroup, ...], format: Format, first: Keying, second: Keying) -> Iterator[Difference]:
    for group in groups:
        fields = [Keyed(field.name, field.kind, format.unit) for field in group.fields]
        for name in differing(fields, first.typed, second.typed):
            label = next(field.label for field in group.fields if field.name == name)
            yield Difference(name, f"{group.title}. {label}", first.typed.get(name, ""), second.typed.get(name, ""))


def _drafts(read: Reading, format: Format) -> list[Draft]:
    """The marks that a sheet as typed makes; what can't be read is noted as a problem."""
    drafts: list[Draft] = []
    for index, window in enumerate(format.windows):
        if window.task is not None:
            task = format.tasks[window.task]
            if isinstance(task, LiftTask):
                drafts += _lift_drafts(read, format, index, window, task)
            else:
                drafts += window_drafts(read, format, index, window, task)
    for signer in ("judge", "athlete"):
        name = read.optional(f"sign-{signer}", "The name")
        if name:
            drafts.append(Draft("sign", format.length_ms, None, {"who": signer, "name": name}))
    return drafts


def _lift_drafts(read: Reading, format: Format, index: int, window: Window, task: LiftTask) -> Iterator[Draft]:
    """Each row a declaration, its outcome and the bar racked, one after another: the order is known, the moments are not."""
    members = several_members(format, window)
    rows = keyed_rows(format, task, window)
    length = window.end_ms - window.start_ms
    for row in range(rows):
        name, at = f"w{index}-t{row}", window.start_ms + length * (row + 1) // (rows + 1)
        load = read.load(name, f"Try {row + 1}, the load", format.unit)
        outcome, whose = read.raw(f"{name}-good"), _member(read, f"{name}-who", row, bool(members), load is not None)
        if load is None:
            if outcome and not read.raw(name):
                read.wrong(name, f"Try {row + 1} has an outcome but no load.")
            continue
        if outcome not in ("good", "no"):
            read.wrong(f"{name}-good", f"Try {row + 1}: was it good, or not?")
        reps = (
            read.whole(f"{name}-reps", f"Try {row + 1}, the repetitions", 1, MOST_REPS_IN_A_SET, 1) if task.times_reps else None
        )
        said: dict[str, object] = {"load": load_plain(load), **whose}
        yield Draft("declare", at - 2, index, {**said, "by": "desk"})
        yield Draft("lift", at, index, {**said, "good": outcome == "good", **({"reps": reps} if reps else {})})
        yield Draft("racked", at + 2, index, {})


def _member(read: Reading, name: str, row: int, asked: bool, needed: bool) -> Mapping[str, object]:
    if not asked or not needed:
        return {}
    typed = read.raw(name)
    if not (typed.isdecimal() and len(typed) < 3):
        read.wrong(name, f"Try {row + 1}: who lifted?")
        return {}
    return {"member": int(typed)}
