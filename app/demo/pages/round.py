"""The demo's round: a button that begins it, then its seats and its films. Routed only when the server runs a demo."""

from collections.abc import Callable

from fastapi import Request
from fastapi.responses import RedirectResponse, Response
from starlette.concurrency import run_in_threadpool

from app.demo.round.cast import FILMED, number_of
from app.demo.round.filling import begin, begin_open, let_others_look
from app.demo.round.films import KIND, film_of, name_of
from app.demo.round.seats import round_seats
from app.demo.round.your_gym import start_laptop
from app.doors.demo_password import demo_password_at
from app.hall.hall import Hall
from app.round.at_hand import at_hand
from app.round.kept_records import NoRound
from app.round.kits import kit_file
from app.rules.round.hand_in import MOST_OF_A_GYM
from app.store.refusals import NotThere, Refusal
from app.store.rounds import KIT
from app.web.pages import hall_of, page
from app.web.refused import Wrong, shown_again, status_of
from app.web.rows import Rows
from app.web.shapes import OBJECT, TEXT, WHOLE, an_object, many
from app.web.who import DEMO_VISITOR, client_address

routes = Rows(dependencies=DEMO_VISITOR)
HERE = "/demo/round"


@routes.get(HERE)
async def seats(request: Request) -> Response:
    """The seats of the round: headquarters', the reviewers', the gyms', the public's."""
    return await _page(request)


@routes.post("/demo/round/begin", record=("setup", "Begin the demo's round"), takes_kb=4)
async def begin_round(request: Request) -> Response:
    """Begins the round when most films are looked at."""
    return await _done(request, begin)


@routes.post("/demo/round/begin-open", record=("setup", "Begin the demo's round before its deadline"), takes_kb=4)
async def begin_before(request: Request) -> Response:
    """Begins the round some minutes before its deadline, so that a visitor can hand in."""
    address = f"{request.url.scheme}://{request.url.netloc}"
    return await _done(request, lambda hall: begin_open(hall, address))


@routes.post("/demo/round/laptop", record=("setup", "Start the laptop of a gym in the demo's round"), takes_kb=4)
async def laptop(request: Request) -> Response:
    """Starts the laptop of the gym that a visitor may be, for whoever sits at this computer."""

    def start(hall: Hall) -> None:
        if not demo_password_at(hall, client_address(request)):
            raise NoRound("The gym's laptop is started on the computer that the demo runs on.")
        start_laptop(hall)

    return await _done(request, start)


@routes.get("/demo/round/{name}.kit")
async def kit(request: Request, name: str) -> Response:
    """The kit, as headquarters sends it to every gym."""
    there = await run_in_threadpool(kit_file, hall_of(request).settings.data)
    if there is None:
        raise NotThere("The round has not begun.")
    headers = {"Content-Disposition": f'attachment; filename="{KIT}"', "Cache-Control": "no-store"}
    return Response(there, media_type="application/octet-stream", headers=headers)


@routes.post("/demo/round/others", record=("ruling", "Let simulated reviewers look"), takes_kb=4)
async def others(request: Request) -> Response:
    """Lets the simulated reviewers look at what still waits."""

    def look(hall: Hall) -> None:
        with at_hand(hall) as headquarters:
            let_others_look(headquarters, hall.time.wall_ms())

    return await _done(request, look)


@routes.get("/demo/round/films/{name}.json", answers=an_object(length=WHOLE, move=TEXT, reps=many(OBJECT), cards=many(OBJECT)))
async def film(request: Request, name: str) -> Response:
    """A film of the drawn figure, made as it is asked for."""
    hall, one = hall_of(request), next((one for one in FILMED if name_of(one) == name), None)
    if one is None:
        raise NotThere("There is no such film.")

    def make() -> bytes:
        with at_hand(hall) as headquarters:
            return film_of(one, headquarters.state.film_word(number_of(one, MOST_OF_A_GYM)))

    return Response(await run_in_threadpool(make), media_type=KIND)


async def _done(request: Request, act: Callable[[Hall], object]) -> Response:
    async with shown_again(lambda wrong: _page(request, wrong), Refusal):
        await run_in_threadpool(act, hall_of(request))
    return RedirectResponse(HERE, 303)


async def _page(request: Request, wrong: Wrong | None = None) -> Response:
    hall = hall_of(request)
    password = demo_password_at(hall, client_address(request))
    view = await run_in_threadpool(round_seats, hall, password, request.url.hostname or "")
    answer = page(request, "demo/round.html", status=status_of(wrong), view=view, wrong=str(wrong or ""))
    answer.headers["Cache-Control"] = "no-store"
    return answer
