"""Everything that is stored but marks, as values of app.rules: the one door for the actions.

Each function takes the session that `Database.read` or `Database.write` hands to its work. A change that can't be made raises a
Refusal (InUse, NotThere, AlreadyThere) whose text is the sentence to show.
"""

from sqlmodel import Session

from app.rules.records.document import Run
from app.rules.records.roster import Roster
from app.rules.records.rulings import Ruling
from app.store.acts import Act, Asked, acts, count_acts, names_and_kinds, put_act
from app.store.day import add_change, draft, last_change, put_day, put_draft, put_heats, take_back_change
from app.store.devices import (
    Device,
    Invitation,
    answer_asking,
    ask_in,
    asked_by,
    asking,
    delete_setting,
    device_of_token,
    find_invitation,
    get_setting,
    put_device,
    put_invitation,
    put_setting,
    put_setting_once,
    rename_device,
    revoke_device,
    revoke_role,
    see_device,
    standing_among,
    take_invitation,
    welcome_devices,
)
from app.store.entering import (
    Checkin,
    checkin,
    checkins,
    imported,
    put_checkin,
    put_imported,
    put_markings,
    put_reach,
)
from app.store.floor import delete_event, delete_heat, order_events, put_event, put_heat, put_ruling, put_run, with_marks
from app.store.guesses import guesses_since, put_guess, take_guess_back
from app.store.halls import HallContent, hall_files, put_hall_file, set_aside
from app.store.judges import delete_judge, put_judge
from app.store.news import News, newest, since, tell
from app.store.openers import delete_opener, put_opener
from app.store.people import (
    delete_athlete,
    delete_club,
    delete_division,
    delete_entry,
    order_divisions,
    order_entries,
    put_athlete,
    put_club,
    put_competition,
    put_division,
    put_entry,
    put_overall,
)
from app.store.plates import delete_plate_set, put_lane_plates, put_plate_set
from app.store.practice import Keying, Practice, keyings, practices, put_keying, put_practice, settle_keyings
from app.store.protests import put_protest
from app.store.refusals import AlreadyThere, InUse, NotThere, Refusal
from app.store.roster import competition, roster, rulings, runs

__all__ = [
    "Act",
    "AlreadyThere",
    "Asked",
    "Checkin",
    "Device",
    "HallContent",
    "InUse",
    "Invitation",
    "Keying",
    "News",
    "NotThere",
    "Practice",
    "Refusal",
    "acts",
    "add_change",
    "answer_asking",
    "ask_in",
    "asked_by",
    "asking",
    "checkin",
    "checkins",
    "competition",
    "count_acts",
    "delete_athlete",
    "delete_club",
    "delete_division",
    "delete_entry",
    "delete_event",
    "delete_heat",
    "delete_judge",
    "delete_opener",
    "delete_plate_set",
    "delete_setting",
    "device_of_token",
    "draft",
    "find_invitation",
    "get_setting",
    "guesses_since",
    "hall_files",
    "imported",
    "keyings",
    "last_change",
    "names_and_kinds",
    "newest",
    "order_divisions",
    "order_entries",
    "order_events",
    "practices",
    "put_act",
    "put_athlete",
    "put_checkin",
    "put_club",
    "put_competition",
    "put_day",
    "put_device",
    "put_division",
    "put_draft",
    "put_entry",
    "put_event",
    "put_everything",
    "put_guess",
    "put_hall_file",
    "put_heat",
    "put_heats",
    "put_imported",
    "put_invitation",
    "put_judge",
    "put_keying",
    "put_lane_plates",
    "put_markings",
    "put_opener",
    "put_overall",
    "put_plate_set",
    "put_practice",
    "put_protest",
    "put_reach",
    "put_ruling",
    "put_run",
    "put_setting",
    "put_setting_once",
    "rename_device",
    "revoke_device",
    "revoke_role",
    "roster",
    "rulings",
    "runs",
    "see_device",
    "set_aside",
    "settle_keyings",
    "since",
    "standing_among",
    "take_back_change",
    "take_guess_back",
    "take_invitation",
    "tell",
    "welcome_devices",
    "with_marks",
]


def put_everything(session: Session, whole: Roster, its_runs: tuple[Run, ...] = (), its_rulings: tuple[Ruling, ...] = ()) -> None:
    """Fills an empty store with a competition file's records, all or nothing. Raises AlreadyThere when there is a competition."""
    there = competition(session)
    if there is not None:
        raise AlreadyThere(f"This data folder already holds {there.name}. Import into an empty folder.")
    put_competition(session, whole.competition)
    for division in whole.divisions:
        put_division(session, division)
    for club in whole.clubs:
        put_club(session, club)
    for athlete in whole.athletes:
        put_athlete(session, athlete)
    for entry in whole.entries:
        put_entry(session, entry)
    for judge in whole.judges:
        put_judge(session, judge)
    for plates in whole.plate_sets:
        put_plate_set(session, plates)
    put_lane_plates(session, whole.lane_plates)
    for event in whole.events:
        put_event(session, event)
    put_overall(session, whole.overall)
    put_day(session, whole.day)
    for event_id, marked in whole.markings.items():
        put_markings(session, event_id, marked)
    for measure in whole.measures:
        put_reach(session, measure.athlete, measure.reach)
    for protest in whole.protests:
        put_protest(session, protest)
    for opener in whole.openers:
        put_opener(session, opener)
    for heat in whole.heats:
        put_heat(session, heat)
    for run in its_runs:
        put_run(session, run)
    for ruling in its_rulings:
        put_ruling(session, ruling)
