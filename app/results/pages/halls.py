"""Set-up: other halls' competition files taken in, what is found in them settled, the standing of all as files."""

from fastapi import Request
from fastapi.responses import Response
from starlette.datastructures import UploadFile

from app.hall.forms import BadForm, Typed
from app.results import halls
from app.web.pages import hall_of
from app.web.refused import Wrong, form_of, shown_again
from app.web.rows import Rows
from app.web.setup_parts import Desk, setup_page, stored
from app.web.shapes import EXPORTED
from app.web.typed import typed

routes = Rows()
HERE = "/desk/halls"


@routes.get(HERE)
async def halls_page(request: Request, who: Desk) -> Response:
    """The files of all halls, what was found in them, and the standing."""
    return await _page(request, {})


@routes.post(HERE, record=("file", "Take in another hall's file"), takes_mb=64)
async def take_file(request: Request, who: Desk) -> Response:
    """Takes one hall's competition file in."""
    form = await typed(request)
    async with request.form() as parts:  # read already; here its file is closed again
        sent = parts.get("file")
        data = await sent.read() if isinstance(sent, UploadFile) else b""
    async with shown_again(lambda wrong: _page(request, form, wrong)):
        await halls.take_hall_file(hall_of(request), form.get("name", ""), data)
    return stored(HERE)


@routes.post("/desk/halls/settle", record=("file", "Settle a question between halls' files"))
async def settle(request: Request, who: Desk) -> Response:
    """Keeps a person's answer to a question about two halls."""
    async with shown_again(lambda wrong: _page(request, {}, wrong), BadForm):
        await halls.settle(hall_of(request), await typed(request))
    return stored(f"{HERE}#found")


@routes.get("/desk/halls/results.csv", record=("file", "Download the results of all halls as CSV"))
async def results_file(request: Request, who: Desk) -> Response:
    """The results of all halls as CSV."""
    return _attachment(await halls.halls_csv(hall_of(request)), "text/csv; charset=utf-8", "all-halls.csv")


@routes.get("/desk/halls/overall.csv", record=("file", "Download the overall standing of all halls as CSV"))
async def overall_file(request: Request, who: Desk) -> Response:
    """The overall standing of all halls as CSV."""
    return _attachment(await halls.halls_overall_csv(hall_of(request)), "text/csv; charset=utf-8", "all-halls-overall.csv")


@routes.get("/desk/halls/competition.json", record=("file", "Download the competition file of all halls"), answers=EXPORTED)
async def joined_file(request: Request, who: Desk) -> Response:
    """All halls as one competition file."""
    return _attachment(await halls.halls_file(hall_of(request)), "application/json", "all-halls.json")


@routes.post("/desk/halls/{digest}/aside", record=("file", "Put another hall's file aside"))
async def put_aside(request: Request, who: Desk, digest: str) -> Response:
    """Puts a file aside, or takes it up again."""
    form = await typed(request)
    async with shown_again(lambda wrong: _page(request, {}, wrong)):
        await halls.put_aside(hall_of(request), digest, bool(form.get("aside")))
    return stored(HERE)


async def _page(request: Request, form: Typed, wrong: Wrong | None = None) -> Response:
    view = await halls.halls_page(hall_of(request))
    return setup_page(request, "results/halls_desk.html", HERE, "Halls", wrong, form=form_of(form, wrong), view=view)


def _attachment(data: bytes, media_type: str, name: str) -> Response:
    headers = {"Content-Disposition": f'attachment; filename="{name}"', "Cache-Control": "no-store"}
    return Response(data, media_type=media_type, headers=headers)
