"""A coach's invitation, and the lifters that the desk gives to a coach's phone."""

from fastapi import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from app.doors import coaches, letting_in
from app.doors.coaches import CoachView
from app.doors.pages.pairing import invitation_shown
from app.hall.forms import BadForm
from app.web.pages import hall_of, page
from app.web.refused import Wrong, form_of, shown_again, status_of
from app.web.rows import Rows
from app.web.typed import typed
from app.web.who import Desk

routes = Rows()


@routes.get("/desk/tablets/coach")
async def new_coach(request: Request, who: Desk, club: str = "") -> HTMLResponse:
    """The form of a new coach; the entries of a club are ticked at once."""
    return _form(request, coaches.new_coach(hall_of(request), club))


@routes.post("/desk/tablets/coach", record=("device", "Invite a coach"))
async def invite(request: Request, who: Desk) -> Response:
    """Makes an invitation for a coach's phone and shows it."""
    form, hall = await typed(request), hall_of(request)
    at_once = await letting_in.lets_in_at_once(hall)

    def again(wrong: Wrong) -> Response:
        return _form(request, coaches.coach_form(hall, "", form_of(form, wrong)), wrong)

    async with shown_again(again, BadForm):
        fresh = await coaches.invite_coach(hall, form, sure=at_once)
    return await invitation_shown(request, who, fresh)


@routes.get("/desk/tablets/{device_id}/lifters")
async def lifters(request: Request, who: Desk, device_id: str) -> HTMLResponse:
    """Which lifters a coach's phone has."""
    return _form(request, await coaches.coach_at_hand(hall_of(request), who, device_id))


@routes.post("/desk/tablets/{device_id}/lifters", record=("device", "Change a coach's lifters"))
async def change(request: Request, who: Desk, device_id: str) -> Response:
    """Gives a coach's phone more lifters, or takes some away from it at once."""
    form, hall = await typed(request), hall_of(request)
    now = await coaches.coach_at_hand(hall, who, device_id)

    def again(wrong: Wrong) -> Response:
        shown = form_of({"name": now.form.value("name")} | form, wrong)
        return _form(request, coaches.coach_form(hall, device_id, shown), wrong)

    async with shown_again(again, BadForm):
        await coaches.change_lifters(hall, device_id, form)
    return RedirectResponse("/desk/tablets", 303)


def _form(request: Request, view: CoachView, wrong: Wrong | None = None) -> HTMLResponse:
    return page(request, "doors/coach.html", status=status_of(wrong), view=view)
