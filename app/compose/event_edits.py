"""What the event form's row buttons do: rows added, copied, moved, removed, with everything that refers to them following."""

import re
from collections.abc import Callable, Mapping
from dataclasses import asdict, replace
from typing import Any

from app.compose.event_form import movement_row
from app.compose.event_rows import (
    NEW,
    OWNED,
    ROWS,
    EventForm,
    PartRow,
    ScoreRow,
    TieRow,
    VariantMovementRow,
    VariantRow,
    VariantTaskRow,
    WindowRow,
)
from app.rules.values.units import LoadUnit
from app.rules.workout.movements import library, movement
from app.rules.workout.points import read_point
from app.rules.workout.tie_steps import TIE_STEPS

BUTTON = re.compile(rf"(add|copy|up|down|remove)-({'|'.join(ROWS)})(?:-(\d{{1,3}}))?")
OWN = "own"  # a movement that is not in the library


def edited(form: EventForm, do: str, picked: Mapping[str, str] | None = None) -> EventForm:
    """The form after one of its buttons.

    `add-window`, or after another `add-window-2`; `copy-window-2`, `up-window-2`, `down-window-2`, `remove-window-2`;
    `add-part-0` to the first score, `add-vtask-0` to the first variant. `picked` holds what was chosen beside a button:
    `pick-movement`.
    """
    found = BUTTON.fullmatch(do)
    if found is None:
        return form
    verb, what, at = found[1], found[2], None if found[3] is None else int(found[3])
    if verb == "add":
        return _added(form, what, at, picked or {})
    if at is None or at >= len(getattr(form, f"{what}s")):
        return form
    return _moved(form, what, verb, at)


def _added(form: EventForm, what: str, at: int | None, picked: Mapping[str, str]) -> EventForm:
    rows: list[Any] = list(getattr(form, f"{what}s"))
    row = _new_row(form, what, at, picked)
    if row is None:
        return form
    rows.insert(len(rows) if at is None or what != "window" else at + 1, row)
    return _with(form, what, rows, lambda old: old + 1 if what == "window" and at is not None and old > at else old)


def _new_row(form: EventForm, what: str, at: int | None, picked: Mapping[str, str]) -> Any:
    """A new row of a kind, or None where the button names nothing that is there."""
    if what in OWNED:
        owners = getattr(form, f"{OWNED[what]}s")
        owner = owners[at or 0].id if (at or 0) < len(owners) else None
        return None if owner is None else _owned_row(form, what, owner, picked.get(f"pick-{what}-{at or 0}", ""))
    match what:
        case "movement":
            return _movement(form, picked.get("pick-movement", OWN))
        case "window":
            last = form.windows[min(at if at is not None else len(form.windows), len(form.windows) - 1)] if form.windows else None
            return replace(last, start="") if last else WindowRow(task=form.tasks[0].key if form.tasks else "")
        case "score":
            taken = [row.id for row in form.scores]
            return ScoreRow(id=_unused("score-", taken), name=f"Score {len(taken) + 1}")
        case "variant":
            taken = [row.id for row in form.variants]
            return VariantRow(id=_unused(NEW, taken), name="Scaled" if not taken else "")
        case _:
            first = form.movements[0].key if form.movements else ""
            return ROWS[what](key=_unused(NEW, [row.key for row in form.tasks]), movement=first)


def _owned_row(form: EventForm, what: str, owner: str, picked: str) -> Any:
    match what:
        case "part":
            return PartRow(score=owner, tasks=form.tasks[0].key if form.tasks else "")
        case "tie":
            return TieRow(score=owner)
        case "vtask":
            changed = {row.key for row in form.vtasks if row.variant == owner}
            task = next((row for row in form.tasks if row.key == picked), None)
            return None if task is None or task.key in changed else VariantTaskRow(**asdict(task), variant=owner)
        case _:
            changed = {row.key for row in form.vmovements if row.variant == owner}
            known = next((row for row in form.movements if row.key == picked and row.key not in changed), None)
            row = known or _movement(form, picked.removeprefix("library "))
            return VariantMovementRow(**asdict(row), variant=owner)


def _movement(form: EventForm, picked: str) -> Any:
    """A movement row from the library, its key free; an own one for anything else."""
    taken = [row.key for row in (*form.movements, *form.vmovements)]
    if picked not in library().movements:
        return ROWS["movement"](key=_unused(NEW, taken))
    unit: LoadUnit = "lb" if form.unit == "lb" else "kg"
    return movement_row(picked if picked not in taken else _unused(NEW, taken), movement(picked, unit))


def _moved(form: EventForm, what: str, verb: str, at: int) -> EventForm:
    rows: list[Any] = list(getattr(form, f"{what}s"))
    match verb:
        case "copy":
            rows.insert(at + 1, _copy(form, what, rows[at]))
            return _with(form, what, rows, lambda old: old + 1 if old > at else old)
        case "remove":
            gone = rows.pop(at)
            left = _with(form, what, rows, lambda old: None if old == at else old - 1 if old > at else old)
            return _without(left, what, gone)
    other = _neighbour(rows, what, at, -1 if verb == "up" else 1)
    if other is None:
        return form
    rows[at], rows[other] = rows[other], rows[at]
    return _with(form, what, rows, lambda old: {at: other, other: at}.get(old, old))


def _copy(form: EventForm, what: str, row: Any) -> Any:
    if what == "window":
        return replace(row, start="")
    if what in ("movement", "task"):
        taken = [one.key for one in getattr(form, f"{what}s")]
        return replace(row, key=_unused(NEW, taken), name=f"{row.name} 2")
    return row


def _neighbour(rows: list[Any], what: str, at: int, by: int) -> int | None:
    """The row to change places with: the next one in that direction that belongs to the same owner."""
    owner = OWNED.get(what)
    places = range(at + by, len(rows) if by > 0 else -1, by)
    return next((i for i in places if owner is None or getattr(rows[i], owner) == getattr(rows[at], owner)), None)


def _with(form: EventForm, what: str, rows: list[Any], moved: Callable[[int], int | None]) -> EventForm:
    """The form with these rows. Where windows or parts moved, what names them by number follows: `moved` says where to."""
    new: dict[str, Any] = {f"{what}s": tuple(rows)}
    if what == "window":
        new["parts"] = tuple(replace(part, windows=_renumbered(part.windows, moved)) for part in form.parts)
        new["ties"] = tuple(replace(tie, point=_point_moved(tie.point, moved)) for tie in form.ties)
    if what == "part":
        new["ties"] = tuple(_followed(form, rows, tie, moved) for tie in form.ties)
    return replace(form, **new)


def _renumbered(text: str, moved: Callable[[int], int | None]) -> str:
    places = [moved(int(number) - 1) for number in re.findall(r"\d{1,4}", text)]
    return ", ".join(str(place + 1) for place in places if place is not None)


def _point_moved(text: str, moved: Callable[[int], int | None]) -> str:
    """A point of the work where its window went to; nothing where its window is gone."""
    point = read_point(text)
    if point is None or point.window is None:
        return text
    now = moved(point.window)
    return "" if now is None else point.model_copy(update={"window": now}).words()


def _followed(form: EventForm, rows: list[PartRow], tie: TieRow, moved: Callable[[int], int | None]) -> TieRow:
    """A tie step by part names the part by its number within its score."""
    own = [i for i, part in enumerate(form.parts) if part.score == tie.score]
    asks_part = tie.kind in TIE_STEPS and TIE_STEPS[tie.kind].asks == "part"
    if not asks_part or not tie.part.isdigit() or not 1 <= int(tie.part) <= len(own):
        return tie
    now = moved(own[int(tie.part) - 1])
    number = None if now is None else sum(1 for part in rows[: now + 1] if part.score == tie.score)
    return replace(tie, part="" if number is None else str(number))


def _without(form: EventForm, what: str, gone: Any) -> EventForm:
    """The form without what only made sense with the row that is gone."""
    match what:
        case "task":
            return replace(
                form,
                windows=tuple(replace(row, task="") if row.task == gone.key else row for row in form.windows),
                parts=tuple(replace(row, tasks=" ".join(k for k in row.tasks.split() if k != gone.key)) for row in form.parts),
                vtasks=tuple(row for row in form.vtasks if row.key != gone.key),
            )
        case "score":
            parts = tuple(row for row in form.parts if row.score != gone.id)
            return replace(form, parts=parts, ties=tuple(row for row in form.ties if row.score != gone.id))
        case "variant":
            movements = tuple(row for row in form.vmovements if row.variant != gone.id)
            return replace(form, vmovements=movements, vtasks=tuple(row for row in form.vtasks if row.variant != gone.id))
        case _:
            return form


def _unused(start: str, taken: list[str]) -> str:
    return next(f"{start}{n}" for n in range(1, len(taken) + 2) if f"{start}{n}" not in taken)
