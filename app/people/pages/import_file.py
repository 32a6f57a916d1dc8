"""Set-up: entries from a spreadsheet's file, looked at before anything is stored, and taken back as a whole."""

from fastapi import Request
from fastapi.responses import Response
from starlette.datastructures import UploadFile

from app.hall.forms import BadForm, Typed
from app.hall.lists import Choice, division_choices
from app.people import entry_back, entry_import
from app.people.entry_file import ENCODINGS, MOST_BYTES, MOST_ROWS, SEPARATORS, decoded
from app.people.lists import division_tick
from app.web.pages import hall_of
from app.web.refused import Wrong, form_of, shown_again
from app.web.rows import Rows
from app.web.setup_parts import NAMED, Desk, setup_page, stored
from app.web.typed import typed

routes = Rows(dependencies=NAMED)
HERE = "/desk/entries/file"


@routes.get(HERE)
async def file_page(request: Request, who: Desk) -> Response:
    """The page on which a file is chosen."""
    return await _page(request, {})


@routes.post(HERE, record=("file", "Import a list of entries"), takes_mb=3)
async def take_file(request: Request, who: Desk) -> Response:
    """Shows how a list is understood, or stores all of it; never a part."""
    form = await typed(request)
    async with shown_again(lambda wrong: _page(request, form, wrong)):
        form = form if form.get("text") else {**form, **await _sent(request, form)}
        if not form.get("columns"):  # a list that is seen for the first time
            form = {**division_tick(hall_of(request)), **form}
        if form.get("do") == "store":
            await entry_import.store_list(hall_of(request), form)
            return stored(HERE)
    return await _page(request, form)


@routes.post("/desk/entries/file/back", record=("file", "Undo an import of entries"))
async def take_back(request: Request, who: Desk) -> Response:
    """Takes the last import back."""
    async with shown_again(lambda wrong: _page(request, {}, wrong)):
        done = await entry_back.take_back(hall_of(request))
    return await _page(request, {}, done=done)


async def _sent(request: Request, form: Typed) -> dict[str, str]:
    """The text of the file that came along, and how it was read."""
    async with request.form() as parts:  # read already; here its file is closed again
        file = parts.get("file")
        data = await file.read() if isinstance(file, UploadFile) else b""
        name = (file.filename or "")[:80] if isinstance(file, UploadFile) else ""
    read = decoded(data, form.get("encoding", ""))
    guess = ", guessed" if read.guessed else ""
    return {"text": read.text, "file_name": name, "read_as": f"{ENCODINGS[read.encoding]}{guess}"}


async def _page(request: Request, form: Typed, wrong: Wrong | None = None, done: str = "") -> Response:
    hall = hall_of(request)
    look = None
    if form.get("text"):
        try:
            look = entry_import.looked(hall, form, await entry_import.known_before(hall))
        except BadForm as unread:
            wrong = unread
    return setup_page(
        request,
        "people/import.html",
        "/desk/entries",
        "Entries from a spreadsheet",
        wrong,
        form=form_of(form, wrong),
        look=look,
        last=await entry_back.last_import(hall),
        divisions=division_choices(hall),
        encodings=[Choice(key, words) for key, words in ENCODINGS.items()],
        separators=[Choice(key, words) for key, words in SEPARATORS.items()],
        most=f"{MOST_ROWS} rows and {MOST_BYTES // 1024} kB",
        done=done,
    )
