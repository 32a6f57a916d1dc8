"""The desk's page of backups, and the ways in for a tablet that can't send: its file, or its totals read out."""

from fastapi import Request
from fastapi.responses import JSONResponse, RedirectResponse, Response
from starlette.datastructures import UploadFile

from app.floor.totals import key_totals, lane_choices, totals_form
from app.hall.forms import BadForm, Typed
from app.hall.signed import signed_note
from app.keep.backups import back_up, backup_view, choose_folder
from app.keep.on_stick import pack_now, stick_view
from app.keep.tablet_file import BadTabletFile, Taken, take_tablet_file
from app.keep.wheels import SYSTEMS
from app.rules.values.words import say
from app.store.copies.backup import BackupFailed
from app.store.writer import StoreTrouble
from app.web.pages import hall_of, page, sentence, wants_page
from app.web.refused import Wrong, form_of, shown_again, status_of
from app.web.rows import Rows
from app.web.setup_parts import just_done, said_once, stored
from app.web.shapes import TEXT, WHOLE, an_object, many
from app.web.typed import typed
from app.web.who import Desk

routes = Rows()

HERE = "/desk/backups"
NO_FILE = "No file arrived. Choose the file that the tablet saved (its name ends in .json)."


@routes.get(HERE)
async def backups(request: Request, who: Desk) -> Response:
    """Where backups go, the last one, and the ways in for a tablet that can't send."""
    done = "Backups now go to the new place." if just_done(request) else ""
    return said_once(request, await _page(request, {}, done=done))


@routes.post(f"{HERE}/now", record=("file", "Back up now"), answers=an_object(file=TEXT, marks=WHOLE, sha256=TEXT))
async def now(request: Request, who: Desk) -> Response:
    """Makes a backup and reads it back before it answers."""
    try:
        made = await back_up(hall_of(request))
    except BackupFailed as wrong:
        return await _refused(request, str(wrong), 507)
    if wants_page(request):
        return RedirectResponse(HERE, 303)
    return JSONResponse({"file": str(made.file), "marks": made.contents.marks, "sha256": made.contents.digest})


@routes.post(f"{HERE}/folder", record=("file", "Choose where backups go"))
async def folder(request: Request, who: Desk) -> Response:
    """Chooses the place for backups."""
    form = await typed(request)
    async with shown_again(lambda wrong: _page(request, form, wrong), BadForm):
        await choose_folder(hall_of(request), form)
    return stored(HERE)


@routes.post(f"{HERE}/pack", record=("file", "Pack the program onto the stick"))
async def pack(request: Request, who: Desk) -> Response:
    """Begins to put the program onto the stick."""
    form = await typed(request)
    try:
        async with shown_again(lambda wrong: _page(request, form, wrong), BadForm):
            await pack_now(hall_of(request), [system for system in SYSTEMS if form.get(system) == "yes"])
    except BackupFailed as wrong:
        return await _refused(request, str(wrong), 507)
    return RedirectResponse(f"{HERE}#stick", 303)


@routes.get(f"{HERE}/packing", piece=True)
async def packing(request: Request, who: Desk) -> Response:
    """How the packing goes, for a refresh."""
    answer = page(request, "keep/on_stick.html", stick=await stick_view(hall_of(request)))
    answer.headers["Cache-Control"] = "no-store"
    return answer


@routes.post(
    f"{HERE}/marks",
    record=("file", "Take in marks that a tablet saved"),
    answers=an_object(new=WHOLE, known=WHOLE, refused=many(TEXT)),
    takes_mb=16,
)
async def marks(request: Request, who: Desk) -> Response:
    """Takes the file that a tablet saved."""
    data = await _sent_file(request)
    try:
        taken = await take_tablet_file(hall_of(request), who, data) if data else None
    except BadTabletFile as wrong:
        return await _refused(request, str(wrong), 422)
    except StoreTrouble as wrong:
        return await _refused(request, str(wrong), 503)
    if taken is None:
        return await _refused(request, NO_FILE, 422)
    return await _told(request, taken)


@routes.get(f"{HERE}/totals")
async def totals(request: Request, who: Desk, lane: str = "") -> Response:
    """The numbers to ask the judge of one lane for."""
    return _totals_page(request, lane, {})


@routes.post(f"{HERE}/totals", record=("paper", "Key in totals that a judge read out"))
async def keyed(request: Request, who: Desk, lane: str = "") -> Response:
    """Stores what a judge read out."""
    form = await typed(request)
    async with shown_again(lambda wrong: _totals_page(request, lane, form, wrong), BadForm):
        count = await key_totals(hall_of(request), who, lane, form)
    said = say("totals_stored", n=count)
    return _totals_page(request, lane, {}, done=said)


async def _page(
    request: Request, form: Typed, wrong: Wrong | None = None, done: str = "", refused: str = "", status: int = 200
) -> Response:
    hall = hall_of(request)
    view = await backup_view(hall)
    fields = form_of(form or {"folder": ""}, wrong)
    return page(
        request,
        "keep/backups.html",
        status=status_of(wrong) if wrong else status,
        here=HERE,
        title="Backups",
        view=view,
        stick=await stick_view(hall),
        form=fields,
        lanes=lane_choices(hall),
        done=done,
        refused=refused,
    )


async def _refused(request: Request, words: str, status: int) -> Response:
    if not wants_page(request):
        return sentence(request, status, words)
    return await _page(request, {}, refused=words, status=status)


async def _told(request: Request, taken: Taken) -> Response:
    if not wants_page(request):
        return JSONResponse({"new": taken.new, "known": taken.known, "refused": list(taken.refused)})
    return await _page(request, {}, done=taken.sentence())


def _totals_page(request: Request, lane: str, form: Typed, wrong: Wrong | None = None, done: str = "") -> Response:
    view = totals_form(hall_of(request), lane)
    return page(
        request,
        "floor/totals.html",
        status=status_of(wrong),
        here=HERE,
        title="Totals read out",
        view=view,
        form=form_of(form, wrong),
        done=done,
        signed_note=signed_note(hall_of(request), view.assignment),
    )


async def _sent_file(request: Request) -> bytes:
    if not request.headers.get("content-type", "").startswith("multipart/form-data"):
        return await request.body()
    async with request.form(max_files=1, max_fields=5) as form:
        sent = form.get("file")
        return await sent.read() if isinstance(sent, UploadFile) else b""
