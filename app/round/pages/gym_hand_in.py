"""A gym's page for handing in: what is complete and what lacks before it goes, its making, its sending, receipts."""

from collections.abc import Callable

from fastapi import Request
from fastapi.responses import Response
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import UploadFile

from app.hall.forms import BadForm, Typed, refuse
from app.hall.hall import Hall
from app.results.competition_file import read_file
from app.results.publishing import export_file
from app.round.film_list import GYM_FILMS, keep_some, kept_list, refuse_no_address
from app.round.gym.film_notes import keep_notes, note_in, shown_as, was_field
from app.round.gym.hand_in_view import HandInPage, earlier_of, film_key, hand_in_page
from app.round.gym.handing_in import make_hand_in
from app.round.gym.kept import made_content, made_here, receipts_here
from app.round.gym.opened import gym_here, kept_opening
from app.round.gym.sending import ask_again, keep_address, send_all, send_digest, take_receipt
from app.round.pages.gym import opening_page, told
from app.rules.round.kit import BadKit
from app.rules.round.look_guide import film_checks
from app.store.refusals import NotThere, Refusal
from app.web.pages import hall_of
from app.web.refused import Wrong, form_of, shown_again
from app.web.rows import Rows
from app.web.setup_parts import Desk, setup_page, stored
from app.web.typed import typed

routes = Rows()
HERE = "/desk/round/gym/hand-in"
SENDS = {"all": send_all, "digest": send_digest, "ask": ask_again}
KEPT_BY_NOBODY = {"Cache-Control": "no-store"}


@routes.get(HERE)
async def hand_in_page_of(request: Request, who: Desk) -> Response:
    """What would be handed in now, and what was; where no kit is open, or its slip's code is not typed in, that comes first."""
    try:
        await run_in_threadpool(gym_here, hall_of(request).settings.data)
    except BadKit:
        return await opening_page(request, {})
    return await _page(request, {})


@routes.post("/desk/round/gym/hand-in/films", record=("setup", "Note a gym's films"))
async def films(request: Request, who: Desk) -> Response:
    """Keeps where the films are, their prints, and what was ticked off of them: of the lines that were changed on this page."""
    form = await typed(request)
    listed = {key: value.strip() for name, value in form.items() if (key := film_key(name)) is not None}

    def keep(hall: Hall) -> None:
        kit = gym_here(hall.settings.data).kit
        checks = {one.id: tuple(key for key, _ in film_checks(kit.rule, one, kit.start)) for one in kit.rule.events}
        refuse_no_address(listed)  # before the notes are kept, so that a form is kept whole or not at all
        said = {key: note_in(key, form, checks.get(key[1], ())) for key in listed}
        others = {key: note for key, note in said.items() if form.get(was_field(key)) != shown_as(listed[key], note)}
        keep_notes(hall.settings.data, others.values())
        keep_some(hall.settings.data, {key: listed[key] for key in others}, GYM_FILMS)

    return await _done(request, form, keep, "#lines-title")


@routes.post("/desk/round/gym/hand-in/make", record=("file", "Make a hand-in"))
async def make(request: Request, who: Desk) -> Response:
    """Makes the hand-in of what is judged now; it stands for the last one that there is a receipt for."""

    def made(hall: Hall) -> object:
        data = hall.settings.data
        opened = gym_here(data)
        receipts = receipts_here(data, opened.key, opened.kit.rule.id, opened.gym)
        return make_hand_in(data, read_file(export_file(hall)), earlier_of(made_here(data), receipts) or None)

    return await _done(request, {}, made, "#made-title")


@routes.post("/desk/round/gym/hand-in/send", record=("file", "Send a hand-in to headquarters"))
async def send(request: Request, who: Desk) -> Response:
    """Sends a hand-in, or its digest alone, or asks how it stands; receipts that come back are checked and kept."""
    form = await typed(request)
    does = SENDS.get(form.get("do", ""))
    if does is None:
        raise refuse("do", "There is nothing of this kind to send.")

    def sent(hall: Hall) -> object:
        data = hall.settings.data
        return does(data, keep_address(data, form.get("address", "")), form.get("digest", ""))

    return await _done(request, form, sent, "#made-title")


@routes.post("/desk/round/gym/hand-in/receipt", record=("file", "Keep a receipt of headquarters"), takes_mb=1)
async def receipt(request: Request, who: Desk) -> Response:
    """Checks a receipt that came as a file, and keeps it."""
    async with request.form() as form:
        sent = form.get("file")
        content = await sent.read() if isinstance(sent, UploadFile) else b""

    def take(hall: Hall) -> object:
        if not content:
            raise BadKit("Choose the receipt's file.")
        return take_receipt(hall.settings.data, content)

    return await _done(request, {}, take, "#receipts-title")


@routes.get("/desk/round/gym/hand-in/films.csv", record=("file", "Download where a gym's films are"))
async def film_list(request: Request, who: Desk) -> Response:
    """Where the films are, as headquarters' list takes it."""
    text = await run_in_threadpool(kept_list, hall_of(request).settings.data, GYM_FILMS)
    headers = {"Content-Disposition": 'attachment; filename="films.csv"', **KEPT_BY_NOBODY}
    return Response(text, media_type="text/csv; charset=utf-8", headers=headers)


@routes.get("/desk/round/gym/hand-in/{digest}.hand-in", record=("file", "Download a hand-in"))
async def hand_in_file(request: Request, who: Desk, digest: str) -> Response:
    """A hand-in as it was made."""
    content = await run_in_threadpool(made_content, hall_of(request).settings.data, digest)
    if content is None:
        raise NotThere("No hand-in of this digest was made here.")
    headers = {"Content-Disposition": f'attachment; filename="{digest[:12]}.hand-in"', **KEPT_BY_NOBODY}
    return Response(content, media_type="application/octet-stream", headers=headers)


async def _done(request: Request, form: Typed, do: Callable[[Hall], object], at: str) -> Response:
    async with shown_again(lambda wrong: _page(request, form, wrong), (BadForm, Refusal)):
        await told(request, do)
    return stored(f"{HERE}{at}")


async def _page(request: Request, form: Typed, wrong: Wrong | None = None) -> Response:
    def read(hall: Hall) -> HandInPage:
        try:
            opened = gym_here(hall.settings.data)
        except BadKit as none:
            raise NotThere(str(none)) from None
        try:
            kept_opening(hall.settings.data, opened.kit.rule)
        except BadKit:
            return hand_in_page(hall, opened, needs_word=True)
        return hand_in_page(hall, opened, needs_word=False)

    views = {"view": await told(request, read), "form": form_of(form, wrong)}
    return setup_page(request, "round/gym_hand_in.html", HERE, "Hand in", wrong, **views)
