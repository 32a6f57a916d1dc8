"""Set-up: the plan of the day. Its rules, making it, choices to keep, publishing, late changes, and the way back from each."""

from collections.abc import Awaitable, Callable

from fastapi import Request
from fastapi.responses import HTMLResponse, Response

from app.hall.forms import Typed
from app.hall.hall import Hall
from app.hall.lists import Undo
from app.plan import plan_form, plan_late, plan_views, planning
from app.rules.values.words import say
from app.web.pages import hall_of, page, sentence
from app.web.refused import Wrong, form_of, shown_again
from app.web.rows import Rows
from app.web.setup_parts import NAMED, Desk, setup_page, stored
from app.web.typed import typed

routes = Rows(dependencies=NAMED)
HERE = "/desk/plan"
NO_HEAT = "That heat is no longer in the plan. Go back to the plan."


@routes.get("/desk/plan")
async def plan_page(request: Request, who: Desk) -> Response:
    """The plan as it stands."""
    return _plan(request, {})


@routes.post("/desk/plan", record=("plan", "Make a plan"))
async def make_plan(request: Request, who: Desk) -> Response:
    """Begins the search for a plan."""
    return await _done(request, planning.start_planning, saved=False)


@routes.get("/desk/plan/progress", piece=True)
async def progress(request: Request, who: Desk) -> HTMLResponse:
    """How far the search is; tells the page to load again once it is over."""
    view = plan_views.searching(hall_of(request))
    answer = page(request, "plan/plan_progress.html", searching=view)
    answer.headers["Cache-Control"] = "no-store"
    if view is None:
        answer.headers["HX-Refresh"] = "true"
    return answer


@routes.post("/desk/plan/enough", record=("plan", "End the search for a plan"))
async def enough(request: Request, who: Desk) -> Response:
    """Ends the search with the best so far."""
    hall_of(request).planner.enough()
    return stored_quietly()


@routes.post("/desk/plan/publish", record=("plan", "Publish the plan"))
async def publish(request: Request, who: Desk) -> Response:
    """Makes the plan the competition's heats."""
    return await _done(request, lambda hall, _: planning.publish_draft(hall))


@routes.post("/desk/plan/drop", record=("plan", "Discard a draft plan"))
async def drop(request: Request, who: Desk) -> Response:
    """Puts away the plan that is not published, and offers to put it back."""
    if not await planning.drop_draft(hall_of(request)):
        return stored_quietly()
    return _plan(request, {}, undo=Undo("The plan is discarded.", "/desk/plan/drop/back", ()))


@routes.post("/desk/plan/drop/back", record=("plan", "Restore a discarded plan"))
async def draft_back(request: Request, who: Desk) -> Response:
    """Puts back the plan that was dropped last."""
    return await _done(request, lambda hall, _: planning.draft_back(hall))


@routes.post("/desk/plan/back", record=("plan", "Undo a change to the plan"))
async def take_back(request: Request, who: Desk) -> Response:
    """Puts the heats back as they were before the newest change."""
    return await _done(request, lambda hall, _: planning.take_back(hall))


@routes.post("/desk/plan/let-go", record=("plan", "Release what was kept in the plan"))
async def let_go(request: Request, who: Desk) -> Response:
    """Lets go of all choices to keep, and offers to put them back."""
    gone = await planning.let_go(hall_of(request))
    if not gone:
        return stored_quietly()
    back = tuple(planning.locks_written(gone).items())
    return _plan(request, {}, undo=Undo(say("plan.let_go", n=len(gone)), "/desk/plan/let-go/back", back))


@routes.post("/desk/plan/let-go/back", record=("plan", "Keep in the plan what was released"))
async def keep_again(request: Request, who: Desk) -> Response:
    """Puts back the choices to keep that were let go."""
    return await _done(request, planning.keep_again)


@routes.get("/desk/plan/rules")
async def rules_page(request: Request, who: Desk) -> Response:
    """The rules of the day."""
    return _rules(request, plan_form.rules_typed(hall_of(request)))


@routes.post("/desk/plan/rules", record=("plan", "Change the rules of the day"))
async def save_rules(request: Request, who: Desk) -> Response:
    """Changes the rules of the day."""
    form = await typed(request)
    async with shown_again(lambda wrong: _rules(request, form, wrong)):
        await plan_form.save_rules(hall_of(request), form)
    return stored(HERE)


@routes.get("/desk/plan/heats/{event}/{group}")
async def heat_page(request: Request, who: Desk, event: str, group: str) -> Response:
    """The choices to keep of one heat."""
    found = plan_views.heat_choices(hall_of(request), event, group)
    return _heat(request, found[0], found[1]) if found else sentence(request, 404, NO_HEAT)


@routes.post("/desk/plan/heats/{event}/{group}", record=("plan", "Keep a choice in the plan"))
async def keep(request: Request, who: Desk, event: str, group: str) -> Response:
    """Keeps choices of one heat."""
    form, hall = await typed(request), hall_of(request)
    found = plan_views.heat_choices(hall, event, group)
    if found is None:
        return sentence(request, 404, NO_HEAT)
    async with shown_again(lambda wrong: _heat(request, found[0], form, wrong)):
        await planning.keep_choices(hall, event, group, form)
    return stored(HERE)


@routes.get("/desk/plan/late")
async def late_page(request: Request, who: Desk) -> Response:
    """A late change: who withdraws, how late it is."""
    return _late(request, plan_late.late_typed(hall_of(request)))


@routes.post("/desk/plan/late", record=("plan", "Make a late change"))
async def late(request: Request, who: Desk) -> Response:
    """Shows the fewest moves, or makes them."""
    form, hall = await typed(request), hall_of(request)
    async with shown_again(lambda wrong: _late(request, form, wrong)):
        if form.get("do") == "make":
            await plan_late.make(hall, form)
            return stored(HERE)
        return _late(request, form, proposal=await plan_late.look(hall, form))


def stored_quietly() -> Response:
    """Back to the plan, with nothing to say."""
    return Response(status_code=303, headers={"Location": HERE})


async def _done(request: Request, act: Callable[[Hall, Typed], Awaitable[object]], saved: bool = True) -> Response:
    """Does one thing to the plan, and shows it anew."""
    form = await typed(request) if request.headers.get("content-type") else {}
    async with shown_again(lambda wrong: _plan(request, form, wrong)):
        await act(hall_of(request), form)
    return stored(HERE) if saved else stored_quietly()


def _plan(request: Request, form: Typed, wrong: Wrong | None = None, undo: Undo | None = None) -> Response:
    hall = hall_of(request)
    view = plan_views.plan_page(hall)
    typed_now = {"seconds": view.seconds, **form}
    views = {"view": view, "searching": plan_views.searching(hall), "form": form_of(typed_now, wrong), "undo": undo}
    return setup_page(request, "plan/plan.html", HERE, "Plan", wrong, **views)


def _rules(request: Request, form: Typed, wrong: Wrong | None = None) -> Response:
    views = {"form": form_of(form, wrong), "view": plan_form.rules_page(hall_of(request), form)}
    return setup_page(request, "plan/plan_rules.html", HERE, "Rules of the day", wrong, **views)


def _heat(request: Request, view: plan_views.HeatChoices, form: Typed, wrong: Wrong | None = None) -> Response:
    return setup_page(request, "plan/plan_heat.html", HERE, view.title, wrong, form=form_of(form, wrong), view=view)


def _late(request: Request, form: Typed, wrong: Wrong | None = None, proposal: plan_late.Proposal | None = None) -> Response:
    views = {"form": form_of(form, wrong), "view": plan_late.late_page(hall_of(request)), "proposal": proposal}
    return setup_page(request, "plan/plan_late.html", HERE, "Late change", wrong, **views)
