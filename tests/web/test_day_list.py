"""The list of the day: one next step, no alarm for what is merely to do, the whole of it beside every page of the organiser."""

import re
from collections.abc import AsyncGenerator
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from app.hall.day_list import RESULTS_TAKEN, day_list, list_of
from app.hall.day_steps import STEPS, Facts
from app.hall.hall import Hall
from app.rules.records.moves import HeatState
from app.rules.records.roster import Roster
from app.rules.workout.safety import Safety
from app.store.acts import last_done
from app.watch.pages.clock import told
from app.watch.pages.feed import Feed, events
from app.web.rows import Page
from tests.builders.halls import SLATE_DAY, House

PAGE = {"accept": "text/html"}
WHOLE = SLATE_DAY
EVENTS = [one.id for one in WHOLE.events]
ATHLETES = [one.id for one in WHOLE.athletes]


def begun(safety: bool, divisions: bool, entries: bool, events: bool, heats: bool) -> Roster:
    """A competition as far as somebody has come; what stands on something that is not there is not there either."""
    entries = entries and divisions
    heats = heats and entries and events
    said = Safety(aed="North door", aed_route="Along the wall", emergency="112", medic="Noor", first_aid="Desk")
    return WHOLE.model_copy(
        update={
            "competition": WHOLE.competition.model_copy(update={"safety": said if safety else Safety()}),
            "divisions": WHOLE.divisions if divisions else (),
            "entries": WHOLE.entries if entries else (),
            "athletes": WHOLE.athletes if entries else (),
            "events": WHOLE.events if events else (),
            "heats": WHOLE.heats if heats else (),
        }
    )


@st.composite
def facts(draw: Any) -> Facts:
    roster = begun(*(draw(st.booleans()) for _ in range(5)))
    return Facts(
        roster=roster,
        order=roster.heats,
        states={heat.id: draw(st.sampled_from(HeatState)) for heat in roster.heats},
        waiting=draw(st.dictionaries(st.sampled_from(["Rising bar", "Harbour relay"]), st.integers(1, 3))),
        draft=draw(st.booleans()),
        paired=draw(st.frozensets(st.integers(1, 4))),
        watched=draw(st.booleans()),
        backup=draw(st.sampled_from(["", "just now"])),
        late=draw(st.booleans()),
        failure=draw(st.sampled_from(["", "The disk is full."])),
        present=draw(st.frozensets(st.sampled_from(ATHLETES))),
        signed=frozenset(EVENTS if roster.events and draw(st.booleans()) else ()),
        taken=draw(st.booleans()),
    )


@given(facts())
@settings(max_examples=120, deadline=None)
def test_one_step_is_next_and_it_is_the_first_that_the_day_needs(known: Facts) -> None:
    found = list_of(known)
    standing = {step.name: looked for step in STEPS if (looked := step.look(known)) is not None}
    needed = [name for name, one in standing.items() if one.needed and not one.done]
    assert [line.name for line in found.lines] == list(standing)
    assert [line.name for line in found.lines if line.state.shape == "now"] == [
        name for name in needed[:1] if not standing[name].wrong
    ]
    assert (found.next is None) == (not needed)
    assert all(line.words for line in found.lines)
    assert [line.name for line in found.lines if line.state.shape in ("look", "stopped")] == (
        ["Backups"] if known.failure else []
    )


@given(facts())
@settings(max_examples=60, deadline=None)
def test_doing_the_next_step_again_and_again_comes_to_the_end_of_the_day(known: Facts) -> None:
    """Each step that is done as it should be leads to a later one, in the order of the list."""
    places, names = [], [step.name for step in STEPS]
    while (following := list_of(known)).next is not None:
        place = next(n for n, line in enumerate(following.lines) if line.state.shape == "now")
        places.append(names.index(following.lines[place].name))
        known = done(known, following.lines[place].name)
        assert len(places) < len(STEPS)
    assert places == sorted(set(places))


def done(known: Facts, step: str) -> Facts:
    """The facts once somebody has done a step that is needed."""
    has = {"divisions": bool(known.roster.divisions), "entries": bool(known.roster.entries)}
    has |= {"events": bool(known.roster.events), "heats": bool(known.roster.heats)}
    changes: dict[str, dict[str, bool]] = {
        "Entries": {"divisions": True, "entries": True},
        "Events": {"events": True},
        "Plan": {"heats": True},
    }
    has |= changes.get(step, {})
    roster = begun(False, **has)
    over = step in ("Heats", "Sign-off", "Publish")
    states = {heat.id: HeatState.OVER if over else known.state(heat) for heat in roster.heats}
    signed = frozenset(EVENTS) if step == "Sign-off" else known.signed
    return Facts(roster, roster.heats, states, signed=signed, taken=known.taken or step == "Publish")


def test_every_step_leads_to_a_page_of_the_organiser(house: House) -> None:
    there = {row.path for row in house.app.routes if isinstance(row, Page)}
    assert {step.link.partition("#")[0] for step in STEPS} <= there


def test_the_list_stands_beside_the_pages_of_the_desk_and_knows_where_one_is(house: House) -> None:
    desk = house.desk()
    shown = {line.name for line in day_list(house.app.state.hall, "").lines}
    for step in STEPS:
        if step.name not in shown or not step.pages or step.link.startswith("/desk/setup"):  # there the list itself is the page
            continue
        text = desk.get(step.link, headers=PAGE).text
        assert text.count('aria-label="Checklist"') == 1, step.link
        here = re.findall(r'aria-current="step"><span class="state" data-state="\w+"><strong>([^<]*)</strong>', text)
        assert here == [step.name], step.link
    for path, name in (("/desk/events/new", "Events"), ("/desk/entries/file", "Entries"), ("/desk/plan/rules", "Plan")):
        assert f"<strong>{name}</strong>" in desk.get(path, headers=PAGE).text.partition('aria-current="step"')[2][:99]


def test_the_desk_shows_what_is_next_and_its_refresh_says_it_anew(house: House) -> None:
    desk, heats = house.desk(), house.app.state.hall.projection.roster.heats
    for path in ("/desk", "/desk/floor"):
        text = desk.get(path, headers=PAGE).text
        assert f"0 of {len(heats)} over." in text and "Next, on this page:" in text, path
    assert desk.post(f"/desk/heats/{heats[0].id}/go", headers=PAGE).status_code == 303
    assert "on the floor" in desk.get("/desk/floor", headers=PAGE).text.partition("</nav>")[0]


def test_nobody_else_is_shown_the_list(house: House) -> None:
    house.desk()
    for path in ("/board", "/results", "/timetable", "/brief", "/clock"):
        assert "Checklist" not in house.browser().get(path, headers=PAGE).text


def test_taking_the_results_along_is_known_from_the_record_of_what_was_done(house: House) -> None:
    desk, database = house.desk(), house.app.state.hall.database
    assert database.read(lambda session: last_done(session, RESULTS_TAKEN)) is None
    assert desk.get("/desk/results-copy.zip").status_code == 200
    assert database.read(lambda session: last_done(session, RESULTS_TAKEN)) is not None


def test_a_screen_is_open_while_somebody_follows_and_not_because_the_server_does(house: House) -> None:
    desk, hall = house.desk(), house.app.state.hall

    def said() -> str:
        return next(line.words for line in day_list(hall, "").lines if line.name == "Screens")

    async def played(hall: Hall, stream: AsyncGenerator[bytes, None]) -> tuple[str, str]:
        if (await anext(stream)).startswith(b":"):
            await anext(stream)  # after its greeting
        watched = said()
        await stream.aclose()
        return watched, said()

    assert "Open one on a screen in the hall." in desk.get("/desk/setup", headers=PAGE).text
    for stream in (told(hall), events(lambda feed=Feed(hall): feed, "")):
        assert house.do(played, stream) == ("A board, wall or clock is open now.", "Open one on a screen in the hall.")
