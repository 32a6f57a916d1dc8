"""The start file: what another hall needs to begin the same events, and nothing by which it could pass for the hall that made it.

What is carried over is named here, field by field; whatever a file gains later stays out until it is. The secret of the ledger
stays at home: whoever has it can guess what that hall's public file withholds, and make a file that counts as the hall's
own. Runs, marks, rulings and protests are that hall's day; judges and safety facts are its people and its building, and another
building's way to the AED would be worse than none.
"""

from app.rules.records.day import DayRules
from app.rules.records.document import CompetitionFile
from app.rules.records.roster import Heat
from app.rules.result.sealing import sealed
from app.rules.workout.safety import Safety


def start_of(file: CompetitionFile, *, entries: bool = True) -> CompetitionFile:
    """The start file of a competition, of no ledger, sealed. `entries`: with those entered, and the heats that they stand in."""
    begun = CompetitionFile(
        made_wall_ms=file.made_wall_ms,
        competition=file.competition.model_copy(update={"safety": Safety()}),
        divisions=file.divisions,
        events=file.events,
        overall=file.overall,
        markings=file.markings,
        plate_sets=file.plate_sets,
        lane_plates=file.lane_plates,
        day=_day(file.day, entries) if file.day else None,
    )
    return sealed(_with_entries(begun, file) if entries else begun)


def _with_entries(begun: CompetitionFile, file: CompetitionFile) -> CompetitionFile:
    update = {name: getattr(file, name) for name in ("clubs", "athletes", "entries", "measures", "openers")}
    return begun.model_copy(update=update | {"heats": tuple(map(_without_judges, file.heats))})


def _without_judges(heat: Heat) -> Heat:
    lanes = tuple(lane.model_copy(update={"judge": "", "judge_id": None}) for lane in heat.lanes)
    return heat.model_copy(update={"lanes": lanes})


def _day(day: DayRules, entries: bool) -> DayRules:
    """The day's rules without what they say of judges, of who withdrew, and of entries that don't come along."""
    locks = tuple(lock for lock in day.locks if lock.judge is None and (entries or lock.entry is None))
    return day.model_copy(update={"locks": locks, "withdrawn": ()})
