"""The demo's own page: which seat a visitor takes. Routed only when the server runs a demo."""

from fastapi import Request
from fastapi.responses import RedirectResponse, Response

from app.demo.seats import seats_view, stands_for
from app.doors import pairing
from app.doors.demo_password import demo_password_at
from app.hall.forms import BadForm
from app.rules.records.seats import SEATS
from app.web.pages import hall_of, page
from app.web.refused import Wrong, shown_again, status_of
from app.web.rows import Rows
from app.web.typed import typed
from app.web.who import DEMO_VISITOR, caller_of, client_address, give_session, lane_proved

routes = Rows(dependencies=DEMO_VISITOR)


@routes.get("/demo")
async def seats(request: Request) -> Response:
    """The seats of the hall: a lane's, the desk's, the public's."""
    return _seats(request)


@routes.post("/demo/seat", record=("device", "Take a role of the demo"), takes_kb=4)
async def take_seat(request: Request) -> Response:
    """Makes this browser a lane's device, uninvited; whoever was simulated there stands back."""
    form = await typed(request)
    hall = hall_of(request)
    lane = form.get("lane", "")
    number = int(lane) if lane.isascii() and lane.isdigit() else None
    async with shown_again(lambda wrong: _seats(request, wrong), BadForm):
        entries = stands_for(hall, form.get("role", ""), number)
        fresh = await pairing.invite(hall, form.get("role", ""), number, sure=True, entries=entries)
    taken = await pairing.pair(hall, fresh.token, caller_of(request), await lane_proved(request))
    answer = RedirectResponse(SEATS[fresh.seat].screen, 303)
    give_session(request, answer, "lane", taken.token)
    return answer


def _seats(request: Request, wrong: Wrong | None = None) -> Response:
    hall = hall_of(request)
    view = seats_view(hall, demo_password_at(hall, client_address(request)))
    answer = page(request, "demo/seats.html", status=status_of(wrong), view=view, wrong=str(wrong or ""))
    answer.headers["Cache-Control"] = "no-store"
    return answer
