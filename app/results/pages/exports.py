"""What leaves the desk as files, and the way back in: results for spreadsheets, the competition file."""

import asyncio
from collections.abc import Mapping

from fastapi import Request
from fastapi.responses import JSONResponse, RedirectResponse, Response, StreamingResponse
from starlette.datastructures import UploadFile

from app.hall.day_list import RESULTS_TAKEN
from app.results.apart import Written
from app.results.pages.copy import copy_files, zipped
from app.results.publishing import (
    NOT_AS_SEALED,
    BadFile,
    NotAsSealed,
    csv_file,
    exported,
    import_file,
    overall_csv_file,
    start_file,
    teams_csv_file,
)
from app.web.described import described
from app.web.pages import hall_of, page, sentence, wants_page
from app.web.rows import Rows
from app.web.shapes import EXPORTED, OBJECT, TEXT, WHOLE, an_object, many
from app.web.who import Desk

routes = Rows()

NO_FILE = "No file arrived. Choose a competition file (its name ends in .json) and send it again."


@routes.get("/desk/results.csv", record=("file", "Download the results as CSV"))
def results_file(request: Request, who: Desk) -> Response:
    """The results as CSV."""
    return _attachment(csv_file(hall_of(request)), "text/csv; charset=utf-8", "results.csv")


@routes.get("/desk/overall.csv", record=("file", "Download the overall standing as CSV"))
def overall_file(request: Request, who: Desk) -> Response:
    """The overall standing as CSV."""
    return _attachment(overall_csv_file(hall_of(request)), "text/csv; charset=utf-8", "overall.csv")


@routes.get("/desk/teams.csv", record=("file", "Take the standing of teams along as CSV"))
def teams_file(request: Request, who: Desk) -> Response:
    """The standing of teams as CSV."""
    return _attachment(teams_csv_file(hall_of(request)), "text/csv; charset=utf-8", "teams.csv")


@routes.get("/desk/results-copy.zip", record=("file", RESULTS_TAKEN))
async def results_copy(request: Request, who: Desk, names: str = "full") -> Response:
    """The results as one folder of plain pages and files, for any web space; `names` is full or initials."""
    hall = hall_of(request)
    packed = await asyncio.to_thread(lambda: zipped(copy_files(hall, initials=names == "initials")))
    return _attachment(packed, "application/zip", "results.zip")


@routes.get("/desk/competition.json", record=("file", "Download the competition file"), answers=EXPORTED)
async def competition_file(request: Request, who: Desk) -> Response:
    """The competition file, which is this hall's own."""
    return _attachment(await exported(hall_of(request)), "application/json", "competition.json")


@routes.get("/desk/start.json", record=("file", "Download the start file for another hall"), answers=EXPORTED)
def file_to_begin_from(request: Request, who: Desk, entries: str = "with") -> Response:
    """The start file: the competition for another hall to begin from; `entries` is with (and their heats) or without."""
    return _attachment(start_file(hall_of(request), entries=entries == "with"), "application/json", "start.json")


@routes.get("/desk/openapi.json", answers=an_object(openapi=TEXT, paths=OBJECT))
def description(request: Request, who: Desk) -> Response:
    """Every address of this server, described for programs (OpenAPI)."""
    return JSONResponse(described(request.app), headers={"Cache-Control": "no-store"})


@routes.post(
    "/desk/import",
    record=("file", "Import a competition file"),
    answers=an_object(competition=TEXT, marks=WHOLE, faults=many(TEXT)),
    takes_mb=32,
)
async def take_competition_file(request: Request, who: Desk) -> Response:
    """Reads a competition file into an empty server: the file of a form, or the body itself."""
    data, asked = await _sent_file(request)
    if not data:
        return sentence(request, 422, NO_FILE)
    another, changed = bool(asked.get("another_hall")), bool(asked.get("even_if_changed"))
    try:
        file, faults = await import_file(hall_of(request), data, another, changed)
    except NotAsSealed as wrong:
        return _not_as_sealed(request, wrong, another) if wants_page(request) else sentence(request, 422, str(wrong))
    except BadFile as wrong:
        return sentence(request, 422, str(wrong))
    if wants_page(request):
        return RedirectResponse("/desk", status_code=303)
    return JSONResponse({"competition": file.competition.id, "marks": len(file.marks), "faults": list(faults)})


def _not_as_sealed(request: Request, wrong: NotAsSealed, another: bool) -> Response:
    """What differs from the seal, and the file asked for once more."""
    views = {"said": NOT_AS_SEALED, "faults": wrong.faults, "another": another}
    return page(request, "results/not_as_sealed.html", status=422, here="/desk/setup", title="Not as sealed", **views)


async def _sent_file(request: Request) -> tuple[bytes, Mapping[str, str]]:
    """The file, and what is said beside it: whether another hall begins from it, whether it is taken even if it was changed."""
    if not request.headers.get("content-type", "").startswith("multipart/form-data"):
        return await request.body(), request.query_params
    async with request.form(max_files=1, max_fields=5) as form:
        sent, asked = form.get("file"), {name: str(value) for name, value in form.items() if name != "file"}
        return (await sent.read() if isinstance(sent, UploadFile) else b""), asked


def _attachment(data: bytes | Written, media_type: str, name: str) -> Response:
    """A download that no cache keeps: the next one may hold more marks."""
    headers = {"Content-Disposition": f'attachment; filename="{name}"', "Cache-Control": "no-store"}
    if isinstance(data, Written):
        return StreamingResponse(data.pieces, media_type=media_type, headers=headers | {"Content-Length": str(data.length)})
    return Response(data, media_type=media_type, headers=headers)
