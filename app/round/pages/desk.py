"""Headquarters' page of a round: the next thing to do as one button, and what else is taken in, decided and answered."""

from collections.abc import Callable
from io import SEEK_END, BytesIO

from fastapi import Request
from fastapi.responses import HTMLResponse, Response
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import UploadFile

from app.hall.forms import BadForm, Reading, Typed, refuse, slug
from app.hall.hall import Hall
from app.round.acts import HEAD_JUDGE, do_act
from app.round.at_hand import at_hand, take_hand_in, whatever_is_here
from app.round.desk_view import DeskPage, desk_page
from app.round.entries import answer_kind, link_of
from app.round.film_list import keep_films
from app.round.headquarters import Headquarters
from app.round.kept_records import NoRound
from app.round.kits import GymRow, kit_file, slips_page
from app.round.looks import add_reviewer
from app.round.ruling import NOBODY, Answered, Ruling, event_id, ruling_on
from app.round.signing import HEADQUARTERS_KEY, key_in
from app.round.taking.coming_in import in_turn
from app.rules.round import records as r
from app.rules.round.kit import BadKit
from app.store.refusals import NotThere, Refusal
from app.store.rounds import KIT
from app.web.pages import hall_of
from app.web.refused import Wrong, form_of, shown_again
from app.web.rows import MB, Rows
from app.web.setup_parts import Desk, setup_page, stored
from app.web.typed import typed

routes = Rows()
HERE = "/desk/round"
GYMS = "#gyms"
Act = Callable[[Headquarters, int], object]
ANSWERS = {"upheld": "Upheld", "partly": "Partly", "refused": "Refused"}


@routes.get(HERE)
async def round_page(request: Request, who: Desk) -> Response:
    """The round as it stands; the query may hold a ruling, whose effect is shown before it is made, or ask for a link."""
    form = dict(request.query_params)
    async with shown_again(lambda wrong: _page(request, form, wrong)):
        return await _page(request, form)


@routes.post("/desk/round/step", record=("ruling", "Take the next step of a round"))
async def step(request: Request, who: Desk) -> Response:
    """Does what the page says comes next."""
    form = await typed(request)

    def draw(headquarters: Headquarters, now_ms: int) -> None:
        headquarters.draw("".join(form.get("dice", "").split()), names_in(form.get("witnesses", "")), now_ms)

    steps: dict[str, Act] = {
        "go-on": lambda headquarters, now_ms: headquarters.go_on(now_ms),
        "opening": lambda headquarters, now_ms: headquarters.open_round(now_ms),
        "roll": lambda headquarters, now_ms: headquarters.close_roll(now_ms),
        "draw": draw,
        "published": lambda headquarters, now_ms: headquarters.add([(r.Published, {})], now_ms),
        "signed": lambda headquarters, now_ms: headquarters.add([(r.Signed, {})], now_ms),
    }
    if form.get("do") not in steps:
        raise refuse("do", "There is no such step.")
    return await _done(request, form, steps[form["do"]])


@routes.post("/desk/round/rule", record=("ruling", "Rule on a line of a round"))
async def rule(request: Request, who: Desk) -> Response:
    """Writes a decision down, or an answer to an appeal, by a head judge's name."""
    form = await typed(request)

    def act(headquarters: Headquarters, now_ms: int) -> None:
        read = Reading(form)
        by = read.name("by", HEAD_JUDGE)
        read.done()
        headquarters.add([_ruling(headquarters, form, by, now_ms).said], now_ms)

    return await _done(request, form, act, "#decide")


@routes.post("/desk/round/appeal", record=("ruling", "File an appeal in a round"))
async def appeal(request: Request, who: Desk) -> Response:
    """Takes in an appeal that reached headquarters."""
    form = await typed(request)

    def act(headquarters: Headquarters, now_ms: int) -> None:
        read = Reading(form)
        why = read.name("why", "What it says", 300)
        read.done()
        entry, _, event = form.get("line", "").partition(" ")
        said = {"entry": _entry(entry), "event": event_id(headquarters.state, event), "why": why}
        headquarters.add([(r.Appeal, said)], now_ms)

    return await _done(request, form, act, "#decide")


@routes.post("/desk/round/invitation", record=("ruling", "Note an answer to an invitation"))
async def invitation(request: Request, who: Desk) -> Response:
    """Notes whether an entry comes."""
    form = await typed(request)
    kind = answer_kind(form)
    said = {"entry": _entry(form.get("entry", ""))}
    return await _done(request, form, lambda headquarters, now_ms: headquarters.add([(kind, said)], now_ms))


@routes.post("/desk/round/films", record=("file", "Keep the list of films"), takes_mb=16)
async def films(request: Request, who: Desk) -> Response:
    """Keeps the addresses of the films."""
    form = await typed(request)

    def act(headquarters: Headquarters, now_ms: int) -> None:
        keep_films(headquarters.data, form.get("films", ""), headquarters.state)

    return await _done(request, form, act, "#films")


@routes.post("/desk/round/reviewer", record=("ruling", "Add a reviewer to a round"))
async def reviewer(request: Request, who: Desk) -> Response:
    """Adds somebody who looks at films; the page then has their link."""
    form = await typed(request)

    def act(headquarters: Headquarters, now_ms: int) -> None:
        read = Reading(form)
        name, gym = read.name("name", "The reviewer's name"), read.whole("gym", "The own gym", 0, 10**6, 0)
        read.done()
        add_reviewer(headquarters, slug(name, headquarters.state.reviewers), name, gym or 0, now_ms)

    return await _done(request, form, act, "#reviewers")


@routes.post("/desk/round/hand-in", record=("file", "Take in what a gym sent"), takes_mb=128)
async def hand_in(request: Request, who: Desk) -> Response:
    """Takes in what a gym sent: its key's binding, or its hand-in, for which there is a receipt and which is checked later."""
    form, hall = await typed(request), hall_of(request)
    async with request.form() as parts:  # read already; here its file is closed again
        sent = parts.get("file")
        file = sent.file if isinstance(sent, UploadFile) and sent.size else BytesIO(as_scanned(form.get("scanned", "")))
        size = file.seek(0, SEEK_END)
        if not size:
            raise refuse("file", "Choose the file that the gym sent.")
        file.seek(0)
        if b'"kind":"binding"' in (head := file.read(1000)):
            data = head + file.read(MB)
            return await _done(request, form, lambda headquarters, now_ms: headquarters.bind(data, now_ms), GYMS)
        async with shown_again(lambda wrong: _page(request, form, wrong), (BadForm, Refusal)):
            await in_turn(hall, file, size, lambda content, now_ms: take_hand_in(hall, content, now_ms))
    return stored(f"{HERE}{GYMS}")


@routes.post("/desk/round/act", record=("ruling", "Say something else of a round"))
async def act(request: Request, who: Desk) -> Response:
    """Does one of the other acts, which the page offers by the stage of the round."""
    form = await typed(request)
    return await _done(request, form, lambda headquarters, now_ms: do_act(headquarters, form, now_ms), "#acts")


@routes.get("/desk/round/slips.html", record=("file", "Download the slips of a round"))
async def slips(request: Request, who: Desk) -> Response:
    """The slips of all gyms, to print and cut."""
    hall = hall_of(request)

    def read() -> str:
        with at_hand(hall) as headquarters:
            key = key_in(headquarters.data, HEADQUARTERS_KEY, make=False)
            gyms = [GymRow(one.gym, one.name, one.region) for one in headquarters.state.gyms.values()]
            return slips_page(key, headquarters.state.rules, gyms)

    headers = {"Content-Disposition": 'attachment; filename="slips.html"', "Cache-Control": "no-store"}
    return HTMLResponse(await run_in_threadpool(read), headers=headers)


@routes.get("/desk/round/{name}.kit", record=("file", "Download the kit of a round"))
async def kit(request: Request, who: Desk, name: str) -> Response:
    """The kit as it was made, for another gym."""
    there = await run_in_threadpool(kit_file, hall_of(request).settings.data)
    if there is None:
        raise NotThere("The kit is not in this data folder.")
    headers = {"Content-Disposition": f'attachment; filename="{KIT}"', "Cache-Control": "no-store"}
    return Response(there, media_type="application/octet-stream", headers=headers)


@routes.get("/desk/round/receipts/{number}.receipt", record=("file", "Download a receipt of a round"))
async def receipt(request: Request, who: Desk, number: str) -> Response:
    """A receipt as it was signed, for its gym."""
    hall = hall_of(request)

    def read() -> bytes | None:
        with at_hand(hall) as headquarters:
            return headquarters.receipt(_number(number))

    there = await run_in_threadpool(read)
    if there is None:
        raise NotThere("There is no receipt with this number.")
    headers = {"Content-Disposition": f'attachment; filename="round-{_number(number)}.receipt"', "Cache-Control": "no-store"}
    return Response(there, media_type="application/octet-stream", headers=headers)


def as_scanned(text: str) -> bytes:
    """A signed file that came as the text of a code: forms change the ends of lines."""
    lines = text.split()
    return ("\n".join(lines) + "\n").encode() if lines else b""


def _number(typed: str) -> int:
    """A number in an address; 0 for what is none."""
    return int(typed) if typed.isascii() and typed.isdecimal() and len(typed) < 10 else 0


def _entry(typed: str) -> int:
    """An entry's number. Raises BadForm."""
    read = Reading({"entry": typed})
    number = read.needed_whole("entry", "The entry's number", 1, 10**9 - 1)
    read.done()
    return number


def _ruling(headquarters: Headquarters, form: Typed, by: str, now_ms: int) -> Ruling:
    """What the form rules: the scale's decision, or the answer to an appeal that it says."""
    state = headquarters.state
    told, _, event = form.get("of_line", f"{form.get('entry', '')} {form.get('event', '')}").partition(" ")
    judges = tuple(names_in(form.get("judges", "")))
    answered = Answered(form["outcome"], form.get("why", ""), form.get("score") or None, judges) if form.get("outcome") else None
    return ruling_on(state, (_entry(told), event_id(state, event)), answered, by, now_ms)


def names_in(typed: str) -> list[str]:
    """Names with commas between."""
    return [one.strip() for one in typed.split(",") if one.strip()]


async def _done(request: Request, form: Typed, act: Act, at: str = "") -> Response:
    """Does something at headquarters, and what is due by itself after it; then back to the page."""
    async with shown_again(lambda wrong: _page(request, form, wrong), (BadForm, Refusal)):
        await run_in_threadpool(_act, hall_of(request), act)
    return stored(f"{HERE}{at}")


def _act(hall: Hall, act: Act) -> None:
    with at_hand(hall) as headquarters:
        try:
            act(headquarters, hall.time.wall_ms())
        except BadKit as wrong:
            raise NoRound(str(wrong)) from None
        headquarters.go_on(hall.time.wall_ms())


async def _page(request: Request, form: Typed, wrong: Wrong | None = None) -> Response:
    hall = hall_of(request)

    def read() -> tuple[DeskPage | None, str, str]:
        with whatever_is_here(hall) as headquarters:
            if not headquarters.has_round:
                return None, "", ""
            now, asks = hall.time.wall_ms(), request.method == "GET" and not wrong
            shown = _ruling(headquarters, form, NOBODY, now).words if form.get("outcome") and asks else ""
            link = link_of(headquarters, _entry(form["of"]), form.get("division", "")) if form.get("of") and asks else ""
            return desk_page(headquarters, now), shown, link

    view, effect, link = await run_in_threadpool(read)
    views = {"form": form_of(form, wrong), "view": view, "effect": effect, "link": link, "answers": ANSWERS}
    return setup_page(request, "round/desk.html", HERE, "Round", wrong, **views)
