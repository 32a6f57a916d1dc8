"""Judges' practice: sets on any tablet of the hall, the count of ten together, and the desk's page of both."""

from fastapi import Request
from fastapi.responses import HTMLResponse, JSONResponse, RedirectResponse, Response

from app.floor import together, training
from app.hall.forms import BadForm, Typed
from app.rules.agree.practice import MOVES
from app.web.pages import hall_of, page
from app.web.refused import Wrong, form_of, shown_again, status_of
from app.web.rows import Rows
from app.web.shapes import TEXT, WHOLE, an_object
from app.web.typed import typed
from app.web.who import Desk, Judge

routes = Rows()

HERE = "/desk/practice"
NOW = {"Cache-Control": "no-store"}


@routes.get("/train", spoken=True)
async def train(request: Request, who: Judge) -> Response:
    """Who practises, and what."""
    moves = [(key, move.name) for key, move in MOVES.items()]
    return page(request, "floor/practice_start.html", judges=training.trainees(hall_of(request)), moves=moves)


@routes.get("/train/set", spoken=True)
async def practise(request: Request, who: Judge, judge: str = "", move: str = "") -> Response:
    """A new set for a judge; who comes without a name chooses it first."""
    if not judge:
        return RedirectResponse("/train", 303)
    view = training.set_page(hall_of(request), judge, move)
    return page(request, "floor/set.html", view=view)


@routes.post("/train/set", record=("setup", "Finish a practice set"))
async def finished(request: Request, who: Judge, judge: str = "") -> Response:
    """Takes a judge's calls, and shows what they were worth."""
    key = await training.finish_set(hall_of(request), judge, await typed(request))
    return RedirectResponse(f"/train/result/{key}", 303)


@routes.get("/train/result/{key}", spoken=True)
async def result(request: Request, who: Judge, key: str) -> Response:
    """A finished set, repetition by repetition."""
    view = training.set_result(hall_of(request), key)
    return page(request, "floor/set_result.html", view=view)


@routes.get("/ten", spoken=True)
async def ten(request: Request, who: Judge) -> Response:
    """A lane's page of the count together."""
    return page(request, "floor/ten.html", lane=who.lane)


@routes.get("/ten/now", answers=an_object(open=TEXT))
async def ten_now(request: Request, who: Judge) -> JSONResponse:
    """Which count is open, for a lane's page."""
    last = together.newest(hall_of(request))
    return JSONResponse({"open": last.id if last is not None and last.body["open"] else ""}, headers=NOW)


@routes.post("/ten/count", record=("setup", "Send in a count of ten"), answers=an_object(count=WHOLE))
async def ten_count(request: Request, who: Judge) -> Response:
    """A lane's count."""
    return JSONResponse({"count": await together.count_in(hall_of(request), who, await typed(request))})


@routes.get(HERE)
async def practice(request: Request, who: Desk) -> Response:
    """Who is calibrated, what practice asks, and the count together."""
    return _practice(request, {})


@routes.get(f"{HERE}/lanes", piece=True)
async def practice_lanes(request: Request, who: Desk) -> HTMLResponse:
    """What the lanes have counted, for a refresh."""
    answer = page(request, "floor/practice_lanes.html", together=together.together_view(hall_of(request)))
    answer.headers.update(NOW)
    return answer


@routes.post(f"{HERE}/rules", record=("setup", "Change the practice settings"))
async def practice_rules(request: Request, who: Desk) -> Response:
    """Changes what practice asks."""
    form = await typed(request)
    async with shown_again(lambda wrong: _practice(request, form, wrong), BadForm):
        await training.set_rules(hall_of(request), form)
    return RedirectResponse(HERE, 303)


@routes.post(f"{HERE}/together", record=("setup", "Start or end the count of ten"))
async def begin_together(request: Request, who: Desk) -> Response:
    """Begins a count together, or ends the one that is open."""
    form = await typed(request)
    async with shown_again(lambda wrong: _practice(request, form, wrong), BadForm):
        await (together.end(hall_of(request)) if form.get("do") == "end" else together.begin(hall_of(request), form))
    return RedirectResponse(HERE, 303)


def _practice(request: Request, form: Typed, wrong: Wrong | None = None) -> Response:
    hall = hall_of(request)
    rules = training.rules_now(hall)
    stored = {"level": str(rules.level), "tolerance": str(rules.tolerance_ms), "reps": str(rules.reps), "shown": "10"}
    return page(
        request,
        "floor/practice.html",
        status=status_of(wrong),
        here="/desk/judges",
        title="Practice",
        form=form_of({**stored, **form}, wrong),
        judges=training.trainees(hall),
        together=together.together_view(hall),
    )
