"""Set-up: the list of the day, the competition itself, its divisions, clubs and athletes."""

from fastapi import Request
from fastapi.responses import Response

from app.hall.day_list import day_list
from app.hall.forms import Typed
from app.hall.lists import Choice, Undo
from app.people.entry_pictures import pictures_are_published, say_pictures_published
from app.people.lists import competition_form, division_lines, people_lines
from app.people.organising import ATHLETE, CLUB, DIVISION, PROTEST_FROM, new_competition, save_competition
from app.rules.beginning.ready import ready_competitions
from app.rules.records.roster import CLUB_COLOURS
from app.store.kinds import ATHLETES, CLUBS, DIVISIONS
from app.web.pages import hall_of
from app.web.refused import Wrong, form_of, shown_again
from app.web.rows import Rows
from app.web.setup_parts import NAMED, Desk, moved, removed, saved, setup_page, stored
from app.web.typed import typed

routes = Rows()
PEOPLE = "/desk/people"
PUBLISHED = "pictures-published"  # the tick of the competition's form


@routes.get("/desk/setup")
async def overview(request: Request, who: Desk) -> Response:
    """The list of the day, and files in and out."""
    hall = hall_of(request)
    lines, named = day_list(hall, "/desk/setup"), hall.projection.roster is not None
    return setup_page(request, "people/setup.html", "/desk/setup", "Checklist", list=lines, named=named)


@routes.get("/desk/competition")
async def competition_page(request: Request, who: Desk) -> Response:
    """The competition's form."""
    hall = hall_of(request)
    roster = hall.projection.roster
    now = roster.competition if roster else None
    form = competition_form(now) if now else {**competition_form(new_competition(hall)), "name": ""}
    published = {PUBLISHED: "on"} if pictures_are_published(hall) else {}
    return _competition(request, {**form, **published, "language": await hall.language.now(hall.database)})


@routes.post("/desk/competition", record=("setup", "Save the competition's name and rules"))
async def competition(request: Request, who: Desk) -> Response:
    """Names the competition or changes it."""
    form = await typed(request)
    async with shown_again(lambda wrong: _competition(request, form, wrong)):
        await save_competition(hall_of(request), form)
        await say_pictures_published(hall_of(request), PUBLISHED in form)
    return stored("/desk/setup")


def _competition(request: Request, form: Typed, wrong: Wrong | None = None) -> Response:
    first = hall_of(request).projection.roster is None
    view = form_of(form, wrong)
    starts = tuple(Choice(value, words) for value, words in PROTEST_FROM.items())
    views = {"form": view, "first": first, "ready": ready_competitions() if first else (), "protest_from": starts}
    return setup_page(request, "people/competition.html", "/desk/setup", "Competition", wrong, **views)


@routes.get("/desk/divisions", dependencies=NAMED)
async def divisions_page(request: Request, who: Desk) -> Response:
    """The divisions in their order."""
    return _divisions(request, {})


@routes.post("/desk/divisions", dependencies=NAMED, record=("setup", "Add a division"))
async def add_division(request: Request, who: Desk) -> Response:
    """Adds a division."""
    return await saved(request, DIVISION, "", _divisions, "/desk/divisions")


@routes.post("/desk/divisions/{key}", dependencies=NAMED, record=("setup", "Change a division"))
async def rename_division(request: Request, who: Desk, key: str) -> Response:
    """Renames a division."""
    return await saved(request, DIVISION, key, _divisions, "/desk/divisions")


@routes.post("/desk/divisions/{key}/move", dependencies=NAMED, record=("setup", "Move a division"))
async def move_division(request: Request, who: Desk, key: str) -> Response:
    """Moves a division up or down."""
    return await moved(request, DIVISIONS, key, lambda undo: _divisions(request, {}, undo=undo), "/desk/divisions")


@routes.post("/desk/divisions/{key}/delete", dependencies=NAMED, record=("setup", "Delete a division"))
async def delete_division(request: Request, who: Desk, key: str) -> Response:
    """Deletes a division that has no entries."""
    return await removed(request, DIVISIONS, key, _divisions, "/desk/divisions")


def _divisions(request: Request, form: Typed, wrong: Wrong | None = None, undo: Undo | None = None) -> Response:
    lines = division_lines(hall_of(request))
    view = form_of(form, wrong)
    return setup_page(request, "people/divisions.html", "/desk/setup", "Divisions", wrong, form=view, lines=lines, undo=undo)


@routes.get("/desk/people", dependencies=NAMED)
async def people_page(request: Request, who: Desk) -> Response:
    """The clubs and athletes."""
    return _people(request, {})


@routes.post("/desk/clubs", dependencies=NAMED, record=("setup", "Add a club"))
async def add_club(request: Request, who: Desk) -> Response:
    """Adds a club."""
    return await saved(request, CLUB, "", _people, PEOPLE)


@routes.post("/desk/clubs/{key}", dependencies=NAMED, record=("setup", "Change a club"))
async def rename_club(request: Request, who: Desk, key: str) -> Response:
    """Renames a club."""
    return await saved(request, CLUB, key, _people, PEOPLE)


@routes.post("/desk/clubs/{key}/delete", dependencies=NAMED, record=("setup", "Delete a club"))
async def delete_club(request: Request, who: Desk, key: str) -> Response:
    """Deletes a club that nobody belongs to."""
    return await removed(request, CLUBS, key, _people, PEOPLE)


@routes.post("/desk/athletes/{key}", dependencies=NAMED, record=("entry", "Change an athlete"))
async def save_athlete(request: Request, who: Desk, key: str) -> Response:
    """Gives an athlete another name or club."""
    return await saved(request, ATHLETE, key, _people, PEOPLE)


@routes.post("/desk/athletes/{key}/delete", dependencies=NAMED, record=("entry", "Delete an athlete"))
async def delete_athlete(request: Request, who: Desk, key: str) -> Response:
    """Deletes an athlete who is in no entry."""
    return await removed(request, ATHLETES, key, _people, PEOPLE)


def _people(request: Request, form: Typed, wrong: Wrong | None = None, undo: Undo | None = None) -> Response:
    clubs, athletes = people_lines(hall_of(request))
    view = form_of(form, wrong)
    return setup_page(
        request,
        "people/people.html",
        "/desk/entries",
        "Clubs and athletes",
        wrong,
        form=view,
        clubs=clubs,
        athletes=athletes,
        colours=CLUB_COLOURS,
        undo=undo,
    )
