"""The demo's own page: which seat a visitor takes. Routed only when the server runs a demo."""

from fastapi import Request
from fastapi.responses import RedirectResponse, Response

from app.doors import logins, pairing
from app.hall.forms import BadForm
from app.rules.records.seats import SEATS
from app.web.pages import hall_of, page
from app.web.refused import Wrong, shown_again, status_of
from app.web.rows import Rows
from app.web.typed import typed
from app.web.who import DEMO_VISITOR, caller_of, give_session, lane_or_none

routes = Rows(dependencies=DEMO_VISITOR)


@routes.get("/demo")
async def seats(request: Request) -> Response:
    """The seats of the hall: the desk, a lane, a lifter's phone, the public."""
    return _seats(request)


@routes.post("/demo/seat", record=("device", "Take a seat of the demo"))
async def take_seat(request: Request) -> Response:
    """Makes this browser the tablet or the phone of a lane, uninvited; the lane's simulated judge stands back."""
    form = await typed(request)
    hall = hall_of(request)
    lane = form.get("lane", "")
    number = int(lane) if lane.isascii() and lane.isdigit() else None
    async with shown_again(lambda wrong: _seats(request, wrong), BadForm):
        fresh = await pairing.invite(hall, form.get("role", ""), number, sure=True)
    taken = await pairing.pair(hall, fresh.token, caller_of(request), await lane_or_none(request))
    answer = RedirectResponse(SEATS[fresh.seat].screen, 303)
    give_session(request, answer, "lane", taken.token)
    return answer


def _seats(request: Request, wrong: Wrong | None = None) -> Response:
    roster = hall_of(request).projection.roster
    lanes = sorted({lane.lane for heat in roster.heats for lane in heat.lanes}) if roster else []
    return page(
        request, "demo/seats.html", status=status_of(wrong), lanes=lanes, password=logins.DEMO_PASSWORD, wrong=str(wrong or "")
    )
