"""Set-up: entries with their members in order, one at a time or pasted as lines."""

from fastapi import Request
from fastapi.responses import Response
from starlette.datastructures import UploadFile

from app.hall.forms import Typed
from app.hall.lists import Choice, Undo, club_names, division_choices
from app.hall.organising import needed_roster
from app.live.entry_pictures import pictures_of
from app.people import bulk, entering, entry_pictures
from app.people.lists import division_tick, entry_after, entry_groups, entry_typed, member_fields
from app.people.organising import SEX_WORDS
from app.web.pages import hall_of
from app.web.refused import Wrong, form_of, shown_again
from app.web.rows import Rows
from app.web.setup_parts import (
    NAMED,
    Desk,
    done,
    following,
    in_path,
    just_done,
    setup_page,
    step_of,
    stored,
    undo_of,
    undo_of_move,
)
from app.web.typed import typed

routes = Rows(dependencies=NAMED)


@routes.get("/desk/entries")
async def entries_page(request: Request, who: Desk) -> Response:
    """The entries by division."""
    return _entries(request)


@routes.get("/desk/entries/new")
async def new_entry(request: Request, who: Desk, division: str = "") -> Response:
    """An empty entry form."""
    return _entry(request, {"division": division}, "")


@routes.post("/desk/entries/new", record=("entry", "Add an entry"))
async def add_entry(request: Request, who: Desk) -> Response:
    """Adds an entry."""
    form = await typed(request)
    if form.get("do") == "more":
        return _entry(request, _one_more(form), "")
    async with shown_again(lambda wrong: _entry(request, form, "", wrong)):
        await entering.save_entry(hall_of(request), form)
    if form.get("do") == "next":
        return stored(f"/desk/entries/new?division={in_path(form['division'])}")
    return stored("/desk/entries")


@routes.get("/desk/entries/paste")
async def paste_page(request: Request, who: Desk) -> Response:
    """The page for many entries at once."""
    return _paste(request, division_tick(hall_of(request)))


@routes.post("/desk/entries/paste", record=("entry", "Add entries pasted as lines"))
async def paste(request: Request, who: Desk) -> Response:
    """Shows how pasted lines are understood, or stores them all; never some of them."""
    form = await typed(request)
    if form.get("do") != "store":
        return _paste(request, form)
    async with shown_again(lambda wrong: _paste(request, form, wrong)):
        await bulk.store_lines(hall_of(request), form.get("lines", ""), bool(form.get("make_divisions")))
    return stored("/desk/entries")


@routes.get("/desk/entries/{key}")
async def entry_page(request: Request, who: Desk, key: str) -> Response:
    """An entry's form."""
    return _entry(request, entry_typed(hall_of(request), key), key)


@routes.post("/desk/entries/{key}", record=("entry", "Change an entry"))
async def save_entry(request: Request, who: Desk, key: str) -> Response:
    """Changes an entry."""
    form = await typed(request)
    if form.get("do") == "more":
        return _entry(request, _one_more(form), key)
    async with shown_again(lambda wrong: _entry(request, form, key, wrong)):
        with following("/desk/entries", key) as way:
            await entering.save_entry(hall_of(request), form, key)
    after = entry_after(hall_of(request), key) if form.get("do") == "next" else ""
    if not after:
        return done(way, "/desk/entries", lambda undo: _entries(request, undo=undo), f"{form['name']} is saved.")

    def show(undo: Undo) -> Response:
        return _entry(request, entry_typed(hall_of(request), after), after, undo=undo)

    return done(way, f"/desk/entries/{in_path(after)}", show, f"{form['name']} is saved.")


@routes.post("/desk/entries/{key}/move", record=("entry", "Move an entry"))
async def move_entry(request: Request, who: Desk, key: str) -> Response:
    """Moves an entry up or down in its division."""
    by = step_of(await typed(request))
    async with shown_again(lambda wrong: _entries(request, wrong)):
        with following("/desk/entries") as way:
            name = await entering.move_entry(hall_of(request), key, by)
    return _entries(request, undo=undo_of_move(name, way, by)) if name else stored("/desk/entries")


@routes.post("/desk/entries/{key}/delete", record=("entry", "Delete an entry"))
async def delete_entry(request: Request, who: Desk, key: str) -> Response:
    """Deletes an entry that stands in no heat."""
    async with shown_again(lambda wrong: _entries(request, wrong)):
        with following("/desk/entries", key) as way:
            gone = await entering.remove_entry(hall_of(request), key)
    return _entries(request, undo=undo_of(gone.name, way))


@routes.post("/desk/entries/{key}/picture", record=("entry", "Give an entry a picture"), takes_mb=4)
async def give_picture(request: Request, who: Desk, key: str) -> Response:
    """Keeps a picture for an entry, in place of the one before it. One as a phone takes it, where no script made it smaller, is
    let in to be refused by a sentence."""
    hall = hall_of(request)
    async with shown_again(lambda wrong: _entry(request, entry_typed(hall, key), key, wrong)):
        with following(_at(key), key) as way:
            await entry_pictures.give_picture(hall, key, await _sent(request))
    return done(way, _at(key), lambda undo: _entry(request, entry_typed(hall, key), key, undo=undo), "The picture is replaced.")


@routes.post("/desk/entries/{key}/picture/remove", record=("entry", "Remove an entry's picture"))
async def remove_picture(request: Request, who: Desk, key: str) -> Response:
    """Removes an entry's picture for good, but for the page that offers to put it back."""
    hall = hall_of(request)
    with following(_at(key), key) as way:
        await entry_pictures.take_picture_away(hall, key)
    return done(way, _at(key), lambda undo: _entry(request, entry_typed(hall, key), key, undo=undo), "The picture is removed.")


def _at(key: str) -> str:
    return f"/desk/entries/{in_path(key)}"


async def _sent(request: Request) -> bytes:
    """The bytes of the picture that came along; none where none did."""
    await typed(request)  # refuses what is no form
    async with request.form() as parts:
        sent = parts.get(entry_pictures.FIELD)
        return await sent.read() if isinstance(sent, UploadFile) else b""


def _one_more(form: Typed) -> Typed:
    """The form with one row more for a member."""
    rows = [int(name.split("-")[1]) for name in form if name.startswith("member-") and name.split("-")[1].isdigit()]
    return {**form, f"member-{max(rows, default=0) + 1}-name": ""}


def _entries(request: Request, wrong: Wrong | None = None, undo: Undo | None = None) -> Response:
    groups = entry_groups(hall_of(request))
    return setup_page(
        request, "people/entries.html", "/desk/entries", "Entries", wrong, form=form_of({}, wrong), groups=groups, undo=undo
    )


def _entry(request: Request, form: Typed, key: str, wrong: Wrong | None = None, undo: Undo | None = None) -> Response:
    hall = hall_of(request)
    return setup_page(
        request,
        "people/entry.html",
        "/desk/entries",
        "Entry",
        wrong,
        form=form_of(form, wrong),
        key=key,
        undo=undo,
        divisions=division_choices(hall),
        clubs=club_names(hall),
        teams=sorted({one.team for one in needed_roster(hall).entries if one.team}),
        members=member_fields(hall, form),
        picture=pictures_of(hall.database, hall.projection).get(key, ""),
        pictures_published=entry_pictures.pictures_are_published(hall),
        sexes=tuple(Choice(value, words) for value, words in SEX_WORDS.items()),
        following=entry_after(hall, key),
        focused=not key or just_done(request),
    )


def _paste(request: Request, form: Typed, wrong: Wrong | None = None) -> Response:
    roster = needed_roster(hall_of(request))
    lines = bulk.read_lines(form.get("lines", ""), roster, bool(form.get("make_divisions")))
    views = {
        "form": form_of(form, wrong),
        "lines": lines,
        "to_fix": sum(len(line.problems) for line in lines),
        "example": bulk.EXAMPLE,
    }
    return setup_page(request, "people/paste.html", "/desk/entries", "Paste entries", wrong, **views)
