"""Whatever is taken away or moved at the desk is offered back, and comes back whole: every table and every order as it was."""

import html
import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import select
from sqlmodel import SQLModel

from app.compose.event_form import format_form, typed_fields
from app.compose.plating import set_typed
from app.people.classes import classes_typed
from app.people.lists import entry_typed
from app.plan.heat_views import heat_typed
from app.rehearsal.turns import turn_about
from app.rules.records.classes import Limits
from app.rules.records.document import CompetitionFile
from app.rules.records.judges import Hours, Judge
from app.rules.records.markings import BodyMeasure
from app.rules.records.roster import Assignment, Athlete, Club, Division, Entry, Event, Heat, Roster
from app.rules.values.lengths import Length
from app.rules.values.units import Load
from app.rules.workout.formats import Variant
from app.rules.workout.openers import Opener
from app.store.copies.undoing import STRANGE
from app.store.roster import read_roster
from app.web.rows import Page
from tests.builders.halls import House, TestClient, a_house, a_mark, sent
from tests.builders.images import a_jpeg, a_png
from tests.builders.slate_day import the_slate_day

PAGE = {"accept": "text/html"}
TELLS = ("act", "news", "setting", "kept_sheet")  # tables of what happened, and of this installation
EVENT, ENTRY, HEAT, SET = "/desk/events/evt_second", "/desk/entries/ent_late", "/desk/heats/het_late", "/desk/plates/pls_yard"

Form = dict[str, str]


def nothing(house: House) -> Form:
    """A button without fields."""
    return {}


@dataclass(frozen=True)
class Taken:
    """A thing that is taken away or moved: the address, what is sent with it, a file that is sent."""

    to: str
    form: Callable[[House], Form] = nothing
    file: bytes = b""
    gap: str = field(default="{key}")

    @property
    def way(self) -> str:
        """Its row."""
        return re.sub(r"/(ent|evt|het|div|clb|ath|pls|jud)_[a-z_0-9]+", f"/{self.gap}", self.to)


def post(desk: TestClient, path: str, status: int, **form: str) -> str:
    answer = desk.post(path, data=form, headers=PAGE)
    assert answer.status_code == status, answer.text[:2000]
    return answer.text


def roster_of(house: House) -> Roster:
    roster = house.app.state.hall.projection.roster
    assert isinstance(roster, Roster)
    return roster


def without(fields: Mapping[str, str], start: str) -> Form:
    """A form whose fields that begin so are empty."""
    return {name: "" if name.startswith(start) else value for name, value in fields.items()}


def fewer_windows(house: House) -> Form:
    fields = typed_fields(format_form("Second", next(one for one in roster_of(house).events if one.id == "evt_second").format))
    return {"do": "save", **{name: value for name, value in fields.items() if not name.startswith("window-2-")}}


def up(house: House) -> Form:
    return {"to": "up"}


def down(house: House) -> Form:
    return {"to": "down"}


TAKEN = (
    Taken("/desk/entries/ent_late/delete"),
    Taken("/desk/entries/ent_late/move", up),
    Taken(ENTRY, lambda house: without(entry_typed(house.app.state.hall, "ent_late"), "member-1")),
    Taken("/desk/entries/ent_late/picture", file=a_jpeg()),
    Taken("/desk/entries/ent_late/picture/remove"),
    Taken("/desk/classes/ent_late/move", lambda house: {"division": "div_late"}),
    Taken("/desk/classes", lambda house: without(classes_typed(house.app.state.hall), "div_late-")),
    Taken("/desk/events/evt_second/delete"),
    Taken("/desk/events/evt_second/move", up),
    Taken(EVENT, fewer_windows),
    Taken("/desk/events/evt_second/variants", lambda house: {"how": "lane"}),
    Taken("/desk/divisions/div_late/delete"),
    Taken("/desk/divisions/div_late/move", up),
    Taken("/desk/clubs/clb_late/delete"),
    Taken("/desk/athletes/ath_alone/delete"),
    Taken("/desk/judges/jud_late/delete"),
    Taken("/desk/heats/het_late/delete"),
    Taken("/desk/heats/het_late/lanes", lambda house: without(heat_typed(house.app.state.hall, "het_late"), "lane-2-entry")),
    Taken("/desk/plates/pls_spare/delete"),
    Taken(SET, lambda house: without(set_typed(roster_of(house).plate_sets[0]), "plate-1-weight")),
    Taken("/desk/plates/lanes", lambda house: {"lane-2": ""}),
)

# What else sounds as if it took something away: how it is taken back instead, or why nothing is lost.
OTHERWISE = {
    "/desk/entries/file/back": "is itself an undo",
    "/desk/halls/{digest}/aside": "Bring back stands where Put aside stood",
    "/desk/heats/{heat_id}/abort": "asks first; the marks stay, and the heat is run again",
    "/desk/heats/{heat_id}/close": "asks first; the marks stay",
    "/desk/judges/{key}/away": "the same button says that they are here again",
    "/desk/lanes/{assignment}/clear": "a ruling, which the head judge takes back",
    "/desk/lanes/{assignment}/shift": "a ruling: another shift replaces it, and 0 undoes it",
    "/desk/paper/key/{assignment}/back": "the paper is keyed in again; what was keyed stays in the ledger, struck out",
    "/desk/plan/back": "is itself an undo",
    "/desk/plan/drop": "offers Undo by a way of its own",
    "/desk/plan/drop/back": "is itself an undo",
    "/desk/plan/enough": "ends a search, and keeps what it found",
    "/desk/plan/let-go": "offers Undo by a way of its own",
    "/desk/plan/let-go/back": "is itself an undo",
    "/desk/practice/together": "the count is there until the next one begins",
    "/desk/tablets/{device_id}/away": "its browser has let go of the pairing: it is invited again, and what it holds is taken in",
    "/desk/tablets/asking/{key}/no": "whoever was turned away asks again",
    "/desk/undo": "is itself an undo",
    "/look/{token}/back": "a look that was given back is there to be taken",
    "/review/events/{event}/announce/back": "is itself an undo",
    "/review/events/{event}/open": "is signed off again",
    "/review/lanes/{assignment}/undo/{ruling_id}": "is itself an undo",
}
SOUNDS = re.compile(
    r"\b(delete|remove|move|discard|release|abort|close|end|turn|clear|undo|back(?! up)|aside|away|reopen|shift)\b", re.I
)


def the_day() -> CompetitionFile:
    """The Slate Day with one more of everything, none of them the first or the last of its kind."""
    day = the_slate_day(("10:00", "10:30", "11:00"))
    first, *others = day.entries
    late = Entry(id="ent_late", division="div_open", name="Late", members=("ath_zoe", "ath_yan"), team="Quay team")
    people = (
        Athlete(id="ath_zoe", name="Zoe", club="clb_1", bodyweight=Load("61.5", "kg"), age=34, said_like="ZOH-ee", sex="women"),
        Athlete(id="ath_yan", name="Yan"),
        Athlete(id="ath_alone", name="Ute", club="clb_2", bodyweight=Load("71.5", "kg"), age=34, said_like="OO-teh"),
    )
    light = turn_about().model_copy(update={"variants": (Variant(id="light", name="Light"),)})
    second = Event(id="evt_second", name="Second", format=light, variants={"div_open": "light"}, divisions=("div_open",))
    ids = [entry.id for entry in day.entries[:2]]
    lanes = (
        Assignment(id="asg_late_1", lane=1, entry=ids[0], judge="Kim", judge_id="jud_there"),
        Assignment(id="asg_late_2", lane=2, entry=ids[1], judge="A guest"),
    )
    plates = day.plate_sets[0]
    hours = (Hours(start="09:00", end="12:00"),)
    return day.model_copy(
        update={
            "divisions": (
                day.divisions[0],
                Division(id="div_late", name="Late ones", limits=Limits(sex="men")),
                day.divisions[1],
            ),
            "clubs": (*day.clubs, Club(id="clb_late", name="Quay", colour="")),
            "athletes": (*day.athletes, *people),
            "entries": (first, late, *others),
            "measures": (*day.measures, BodyMeasure(athlete="ath_zoe", reach=Length("201", "cm"))),
            "openers": (
                Opener(event="evt_turns", task="squat", entry="ent_late", member=1, load=Load("60", "kg")),
                Opener(event="evt_turns", task="squat", entry="ent_late", member=2, load=Load("80", "kg")),
                Opener(event="evt_second", task="squat", entry="ent_late", member=1, load=Load("62", "kg")),
            ),
            "events": (day.events[0], second, Event(id="evt_third", name="Third", format=turn_about())),
            "markings": {**day.markings, "evt_second": day.markings["evt_turns"]},
            "heats": (*day.heats, Heat(id="het_late", event="evt_turns", number=9, planned="12:00", lanes=lanes)),
            "judges": (
                Judge(id="jud_there", name="Kim"),
                Judge(id="jud_late", name="Ines", club="clb_1", level="second year", hours=hours, away=True, notes="Whistle"),
            ),
            "plate_sets": (
                plates,
                plates.model_copy(update={"id": "pls_spare", "name": "Spare"}),
                plates.model_copy(update={"id": "pls_old", "name": "Old"}),
            ),
        }
    )


@pytest.fixture
def house(tmp_path: Path) -> Iterator[House]:
    """The day, and the late entry with a picture."""
    with a_house(tmp_path, file=the_day()) as opened:
        send(opened.desk(), Taken(f"{ENTRY}/picture", file=a_png()), opened, 303)
        yield opened


def send(desk: TestClient, taken: Taken, house: House, status: int) -> str:
    files = {"picture": ("a.jpg", taken.file)} if taken.file else None
    answer = desk.post(taken.to, data=taken.form(house), files=files, headers=PAGE)
    assert answer.status_code == status, answer.text[:3000]
    return answer.text


def offered(text: str) -> tuple[str, Form]:
    """Where the Undo button sends, and what it holds."""
    form = re.search(r'<form class="notice row" method="post" action="([^"]*)">(.*?)<button[^>]*>Undo</button>', text, re.S)
    assert form, "no Undo is offered"
    fields = re.findall(r'<input type="hidden" name="([^"]*)" value="([^"]*)"', form[2])
    return html.unescape(form[1]), {html.unescape(name): html.unescape(value) for name, value in fields}


def kept(house: House) -> tuple[dict[str, list[str]], Roster | None]:
    """All that is kept: each table's rows but for the numbers that make an order, and the roster in its orders."""
    tables = [table for table in SQLModel.metadata.sorted_tables if table.name not in TELLS]

    def read(session: Any) -> dict[str, list[str]]:
        found = {table.name: session.connection().execute(select(table)).mappings().all() for table in tables}
        return {
            name: sorted(repr({column: value for column, value in row.items() if column != "position"}) for row in rows)
            for name, rows in found.items()
        }

    database = house.app.state.hall.database
    return database.read(read), database.read(read_roster)


@pytest.mark.parametrize("taken", TAKEN, ids=lambda taken: taken.to)
def test_what_is_taken_away_or_moved_comes_back_whole(house: House, taken: Taken) -> None:
    desk, before = house.desk(), kept(house)
    action, fields = offered(send(desk, taken, house, 200))
    assert kept(house) != before, "nothing was taken away"
    answer = desk.post(action, data=fields, headers=PAGE)
    assert answer.status_code in (200, 303), answer.text[:3000]
    assert kept(house) == before
    assert roster_of(house) == before[1], "screens follow"


def test_every_way_that_sounds_as_if_it_took_something_away_is_walked_or_says_how_it_is_taken_back(house: House) -> None:
    rows = [row for row in house.app.routes if isinstance(row, Page) and "POST" in row.methods]
    told = {row.path: f"{row.says.record[1]} {row.path.replace('/', ' ')}" for row in rows if row.says.record}
    sounding = {path for path, words in told.items() if SOUNDS.search(words)}
    walked = {taken.way for taken in TAKEN}
    assert walked <= {row.path for row in rows}
    assert sounding - walked == set(OTHERWISE)


def test_what_was_changed_since_stays_and_says_so(house: House) -> None:
    desk = house.desk()
    action, fields = offered(send(desk, Taken("/desk/divisions/div_late/delete"), house, 200))
    post(desk, "/desk/divisions", 303, name="late ONES")
    before = kept(house)
    text = html.unescape(post(desk, action, 409, **fields))
    assert "Something else is called Late ones by now." in text and kept(house) == before
    assert html.unescape(text).count(fields["step"]) == 1, "it is offered again"
    new = roster_of(house).divisions[-1].id
    post(desk, f"/desk/divisions/{new}", 303, name="Other")
    post(desk, action, 303, **fields)
    assert [one.id for one in roster_of(house).divisions] == ["div_open", "div_late", "div_veteran", new]
    assert "changed since" in html.unescape(post(desk, action, 409, **fields)), "it is there already"


def test_an_undo_never_takes_away_what_people_have_marked_or_what_others_need(house: House) -> None:
    desk = house.desk()
    form = {**heat_typed(house.app.state.hall, "het_late"), "lane-2-entry": "", "lane-3-entry": "ent_late"}
    action, fields = offered(post(desk, "/desk/heats/het_late/lanes", 200, **form))
    lane = next(one.id for heat in roster_of(house).heats if heat.id == "het_late" for one in heat.lanes if one.lane == 3)
    desk.post("/marks", content=sent(a_mark(1, f"{lane}/1/lane")), headers={"content-type": "application/json"})
    before = kept(house)
    assert "already has marks" in post(desk, action, 409, **fields) and kept(house) == before
    action, fields = offered(send(desk, Taken(EVENT, fewer_windows), house, 200))
    post(desk, "/desk/heats/new", 303, event="evt_second", number="1", lanes="1", do="store", **{"lane-1-entry": "ent_late"})
    lane = next(heat.lanes[0].id for heat in roster_of(house).heats if heat.event == "evt_second")
    desk.post("/marks", content=sent(a_mark(2, f"{lane}/1/lane")), headers={"content-type": "application/json"})
    before = kept(house)
    assert "has marks by now" in post(desk, action, 409, **fields) and kept(house) == before
    action, fields = offered(send(desk, Taken("/desk/clubs/clb_late/delete"), house, 200))
    post(desk, action, 303, **fields)


def test_what_no_page_of_this_folder_has_offered_is_not_done(house: House) -> None:
    desk, before = house.desk(), kept(house)
    action, fields = offered(send(desk, Taken("/desk/clubs/clb_late/delete"), house, 200))
    gone, packed = kept(house), fields["step"]
    for step in ("", ".", packed[:-1], packed.replace(packed[40], "A" if packed[40] != "A" else "B", 1), "x.y", "\u2603" * 9):
        assert STRANGE in html.unescape(post(desk, action, 409, step=step))
    assert kept(house) == gone
    assert house.browser().post(action, data=fields).status_code == 401
    assert kept(house) == gone != before
