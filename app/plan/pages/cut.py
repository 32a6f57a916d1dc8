"""Set-up: heats made from standings, looked at first."""

from fastapi import Request
from fastapi.responses import Response

from app.hall.forms import BadForm, Typed
from app.plan.cutting import CutPlan, cut_page, cut_typed, make_cut, plan_cut
from app.store.refusals import Refusal
from app.web.pages import hall_of
from app.web.refused import Wrong, form_of, shown_again
from app.web.rows import Rows
from app.web.setup_parts import NAMED, Desk, in_path, setup_page, stored
from app.web.typed import typed

routes = Rows(dependencies=NAMED)


@routes.get("/desk/cut")
async def cut_form(request: Request, who: Desk, event: str = "") -> Response:
    """Who goes on, and where."""
    return _cut(request, {**cut_typed(hall_of(request)), "event": event})


@routes.post("/desk/cut", record=("event", "Make heats from a standing"))
async def cut(request: Request, who: Desk) -> Response:
    """Shows the heats that a form would make, or makes them."""
    form, hall = await typed(request), hall_of(request)
    async with shown_again(lambda wrong: _cut(request, form, wrong, _plan_of(request, form))):
        if form.get("do") == "make":
            await make_cut(hall, form)
            return stored(f"/desk/heats?event={in_path(form['event'])}")
        return _cut(request, form, plan=plan_cut(hall, form))


def _plan_of(request: Request, form: Typed) -> CutPlan | None:
    """The heats as they would be by now, where the form itself is right."""
    try:
        return plan_cut(hall_of(request), form)
    except (BadForm, Refusal):
        return None


def _cut(request: Request, form: Typed, wrong: Wrong | None = None, plan: CutPlan | None = None) -> Response:
    view = cut_page(hall_of(request))
    return setup_page(
        request,
        "plan/cut.html",
        "/desk/heats",
        "Heats from standings",
        wrong,
        form=form_of(form, wrong),
        view=view,
        plan=plan,
    )
