"""How an import of entries is taken back: each record as it was before, unless somebody changed it since."""

import json
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from pydantic import ValidationError
from sqlmodel import Session

from app.hall.backup_age import ago
from app.hall.changing import change_roster
from app.hall.forms import refuse
from app.hall.hall import Hall
from app.hall.organising import needed_roster
from app.people.entry_plan import Known, Plan
from app.rules.records.markings import BodyMeasure
from app.rules.records.roster import Athlete, Entry, Roster
from app.rules.values.lengths import Length
from app.rules.workout.openers import Opener
from app.store.devices import delete_setting, get_setting
from app.store.entering import CHECKINS, MEASURES, checkin, put_imported
from app.store.entries import delete_entry, put_entry
from app.store.kinds import ATHLETES, CLUBS, DIVISIONS, OPENERS
from app.store.refusals import InUse, NotThere

UNDO = "entries-import"  # the name under which the store keeps how the last import is taken back


@dataclass(frozen=True, slots=True)
class LastImport:
    """The last import, that can be taken back."""

    when: str
    words: str


def way_back(hall: Hall, plan: Plan, roster: Roster, known: Known, name: str) -> dict[str, Any]:
    """How an import is taken back: each record before and after it."""
    were = {one.id: one.model_dump(mode="json") for one in roster.entries}
    were |= {one.id: one.model_dump(mode="json") for one in roster.athletes}
    leaving: dict[str, Any] = {one.id: None for one in plan.leaving}
    after = {key: one.model_dump(mode="json") for key, one in plan.athletes.items()} | leaving
    added, changed = len(plan.of_kind("added")), len(plan.of_kind("changed"))
    measures, openers = {one.athlete: one for one in roster.measures}, {one.key: one for one in roster.openers}
    return {
        "when": hall.time.wall_ms(),
        "words": f"{added} added, {changed} changed{f', from {name}' if name else ''}",
        "divisions": [one.id for one in plan.divisions],
        "clubs": [one.id for one in plan.clubs],
        "entries": {key: [were.get(key), one.model_dump(mode="json")] for key, one in plan.entries.items()},
        "athletes": {key: [were.get(key), one] for key, one in after.items()},
        "keys": {key: known.keys.get(key, "") for key in plan.keys},
        "heights": {key: [_plain(known.heights.get(key)), _plain(one)] for key, one in plan.heights.items()},
        "measures": [[_dumped(measures.get(key)), _dumped(one)] for key, one in plan.measures.items()],
        "openers": [[_dumped(openers.get(key)), _dumped(one)] for key, one in plan.openers.items()],
    }


def _plain(length: Length | None) -> list[str] | None:
    return None if length is None else [length.amount, length.unit]


def _dumped(record: BodyMeasure | Opener | None) -> dict[str, Any] | None:
    return None if record is None else record.model_dump(mode="json")


async def last_import(hall: Hall) -> LastImport | None:
    """The last import, if it can be taken back."""
    kept = await hall.database.aread(lambda session: get_setting(session, UNDO))
    if kept is None:
        return None
    step = json.loads(kept)
    return LastImport(ago(hall, step["when"]), step["words"])


async def take_back(hall: Hall) -> str:
    """Takes the last import back as a whole; what somebody changed since stays, and is named. Returns what was done, in words.

    Raises BadForm when there is none, InUse (with nothing taken back) when one of its entries stands on a start list.
    """
    kept = await hall.database.aread(lambda session: get_setting(session, UNDO))
    if kept is None:
        raise refuse("", "There is no import to undo.")
    step = json.loads(kept)
    roster = needed_roster(hall)
    entries = {one.id: one for one in roster.entries}
    athletes = {one.id: one for one in roster.athletes}
    stays: list[str] = []

    def undo(session: Session) -> None:
        _facts_back(session, step)
        for key, (before, after) in step["athletes"].items():
            if after is None and key not in athletes:
                ATHLETES.put(session, Athlete.model_validate(before))
        for key, (before, after) in step["entries"].items():
            there = entries.get(key)
            if there is None or there != _entry(after):
                stays.extend([there.name] if there is not None else [])
            elif before is None:
                delete_entry(session, key)
            else:
                put_entry(session, Entry.model_validate(before))
        session.flush()
        for key, (before, after) in step["athletes"].items():
            _athlete_back(session, athletes.get(key), before, after)
        for key, was in step["keys"].items():
            put_imported(session, key, was)
        _remove_unused(session, step)
        delete_setting(session, UNDO)

    await change_roster(hall, undo)
    return (
        f"The import is undone. Changed since then, so left as they are: {', '.join(stays)}."
        if stays
        else "The import is undone."
    )


def _entry(plain: Any) -> Entry | None:
    try:
        return Entry.model_validate(plain)
    except ValidationError:
        return None


def _athlete_back(session: Session, there: Athlete | None, before: Any, after: Any) -> None:
    """One athlete as before, unless somebody changed them since; one who came with the import goes, if in no entry now."""
    if there is None or after is None or there != Athlete.model_validate(after):
        return
    if before is not None:
        ATHLETES.put(session, Athlete.model_validate(before))
        return
    try:
        ATHLETES.delete(session, there.id)
    except InUse:
        return


def _remove_unused(session: Session, step: dict[str, Any]) -> None:
    """Divisions and clubs that came with the import go, unless somebody uses them by now."""
    session.flush()
    for keys, delete in ((step["clubs"], CLUBS.delete), (step["divisions"], DIVISIONS.delete)):
        for key in keys:
            try:
                delete(session, key)
            except (InUse, NotThere):
                continue


def _facts_back(session: Session, step: Mapping[str, Any]) -> None:
    """Heights, reaches and openers as before, unless somebody changed them since."""
    for athlete, (before, after) in step.get("heights", {}).items():
        seen = checkin(session, athlete)
        if _plain(seen.height) == after:
            CHECKINS.put(session, replace(seen, height=None if before is None else Length(*before)))
    for before, after in step.get("measures", ()):
        measure = BodyMeasure.model_validate(after)
        if MEASURES.get(session, measure.athlete) == measure:
            MEASURES.forget(session, measure.athlete)
            if before is not None:
                MEASURES.put(session, BodyMeasure.model_validate(before))
    for before, after in step.get("openers", ()):
        opener = Opener.model_validate(after)
        if OPENERS.get(session, opener.key) == opener:
            OPENERS.forget(session, opener.key)
            if before is not None:
                OPENERS.put(session, Opener.model_validate(before))
