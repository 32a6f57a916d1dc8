"""A gym's pages of a round: its kit is looked at and opened, its slip and the opening word typed in."""

from base64 import b64decode, b64encode
from binascii import Error as NotBase64
from collections.abc import Callable
from typing import TypeVar

from fastapi import Request
from fastapi.responses import Response
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import UploadFile

from app.hall.forms import BadForm, Typed, refuse
from app.hall.hall import Hall
from app.results.competition_file import BadFile
from app.round.gym.handing_in import film_words
from app.round.gym.kit_view import KitPage, OfferPage, kit_page, offer_page
from app.round.gym.opened import binding_here, keep_slip, kept_kit, open_kit, read_kit
from app.round.gym.sending import keep_address, send_binding
from app.rules.round.kit import BadKit, read_slip
from app.store.refusals import NotThere, Refusal
from app.store.rounds import BINDING
from app.web.pages import hall_of
from app.web.phones import qr_image
from app.web.refused import Wrong, form_of, shown_again
from app.web.rows import MB, ONLY_LOOKS, Rows
from app.web.setup_parts import Desk, setup_page, stored
from app.web.typed import typed

routes = Rows()
HERE = "/desk/round/gym"
TITLE = "Round in this gym"
T = TypeVar("T")
CHOOSE_KIT = "Choose the kit's file. It is called round.kit unless somebody named it otherwise."
NO_KIT = "No kit of a round is open here."


class NotTaken(Refusal):
    """Raised where something of a round can't be used; its text is the sentence to show."""


@routes.get(HERE)
async def gym_page(request: Request, who: Desk) -> Response:
    """What is open here, or a kit to choose."""
    return await opening_page(request, {})


@routes.post("/desk/round/gym/look", record=ONLY_LOOKS, takes_mb=3)
async def look(request: Request, who: Desk) -> Response:
    """Shows what is in a kit and what it would do here. Nothing is kept."""
    async with request.form() as form:
        sent = form.get("file")
        kit = await sent.read() if isinstance(sent, UploadFile) else b""
    async with shown_again(lambda wrong: opening_page(request, {}, wrong)):
        if not kit:
            raise refuse("file", CHOOSE_KIT)
        return await _offered(request, kit, {})


@routes.post("/desk/round/gym/open", record=("setup", "Open the kit of a round"), takes_mb=4)
async def open_it(request: Request, who: Desk) -> Response:
    """Opens the kit that was looked at."""
    await request.form(max_part_size=4 * MB)  # it comes back as a text, which is longer than others may be
    form, hall = await typed(request), hall_of(request)
    try:
        kit = b64decode(form.get("kit", ""), validate=True)
    except NotBase64:
        kit = b""
    if not kit:
        raise refuse("file", CHOOSE_KIT)
    async with shown_again(lambda wrong: _offered(request, kit, form, wrong)):
        try:
            await open_kit(hall, kit, form.get("slip", ""), bool(form.get("over")))
        except (BadKit, BadFile) as wrong:
            raise NotTaken(str(wrong)) from None
    return stored(HERE)


@routes.post("/desk/round/gym/slip", record=("setup", "Type in the slip of a round"))
async def slip(request: Request, who: Desk) -> Response:
    """Takes the code of the gym's slip."""
    form = await typed(request)
    return await _done(request, form, lambda hall: keep_slip(hall.settings.data, read_slip(form.get("slip", ""))), "#slip-title")


@routes.post("/desk/round/gym/word", record=("setup", "Type in the opening word of a round"))
async def word(request: Request, who: Desk) -> Response:
    """Takes the opening word; the page then has each entry's film word."""
    form = await typed(request)

    def keep(hall: Hall) -> object:
        roster = hall.projection.roster
        if roster is None:
            raise BadKit(NO_KIT)
        return film_words(hall.settings.data, roster, form.get("word", ""))

    return await _done(request, form, keep, "#word-title")


@routes.post("/desk/round/gym/send", record=("file", "Send the file of a slip to headquarters"))
async def send(request: Request, who: Desk) -> Response:
    """Sends what binds this gym's key to headquarters' server."""
    form = await typed(request)

    def sent(hall: Hall) -> None:
        data = hall.settings.data
        send_binding(data, keep_address(data, form.get("address", "")))

    return await _done(request, form, sent, "#slip-title")


@routes.get("/desk/round/gym/slip.binding", record=("file", "Download the file of a slip"))
async def binding(request: Request, who: Desk) -> Response:
    """The file by which headquarters binds this gym's key."""
    content = await run_in_threadpool(binding_here, hall_of(request).settings.data)
    if not content:
        raise NotThere("The slip was not typed in yet.")
    headers = {"Content-Disposition": f'attachment; filename="{BINDING}"', "Cache-Control": "no-store"}
    return Response(content, media_type="application/octet-stream", headers=headers)


async def _done(request: Request, form: Typed, do: Callable[[Hall], object], at: str) -> Response:
    async with shown_again(lambda wrong: opening_page(request, form, wrong), (BadForm, Refusal)):
        await told(request, do)
    return stored(f"{HERE}{at}")


async def told(request: Request, do: Callable[[Hall], T]) -> T:
    """What is done for a gym in a thread; what can't be is a refusal with its sentence."""
    try:
        return await run_in_threadpool(do, hall_of(request))
    except BadKit as wrong:
        raise NotTaken(str(wrong)) from None


async def _offered(request: Request, kit: bytes, form: Typed, wrong: Wrong | None = None) -> Response:
    """What is in a kit. One that can't be opened is told on the page where it was chosen."""
    view: OfferPage = await told(request, lambda hall: offer_page(hall, read_kit(kit)))
    views = {"view": view, "kit": b64encode(kit).decode(), "form": form_of(form, wrong)}
    return setup_page(request, "round/gym_offer.html", HERE, TITLE, wrong, **views)


async def opening_page(request: Request, form: Typed, wrong: Wrong | None = None) -> Response:
    """What is open here, or a kit to choose."""
    hall = hall_of(request)

    def read() -> KitPage | None:
        try:
            opened = kept_kit(hall.settings.data)
        except BadKit:
            return None
        return kit_page(hall, opened)

    view = await run_in_threadpool(read)
    code = qr_image(view.binding) if view and view.binding else ""
    views = {"view": view, "form": form_of(form, wrong), "code": code}
    return setup_page(request, "round/gym.html", HERE, TITLE, wrong, **views)
