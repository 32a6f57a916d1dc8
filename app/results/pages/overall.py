"""Set-up: how the overall standing is made, and how everybody stands under it."""

from fastapi import APIRouter, Request
from fastapi.responses import Response

from app.hall.forms import BadForm, Typed
from app.results.overall_form import overall_page, overall_typed, save_overall
from app.store.records import Refusal
from app.web.pages import hall_of
from app.web.setup_parts import NAMED, WRONG, Desk, form_of, setup_page, stored
from app.web.typed import typed

routes = APIRouter(dependencies=NAMED)


@routes.get("/desk/overall")
async def overall_form(request: Request, who: Desk) -> Response:
    """The rule as it stands, and the standings that it gives."""
    return _overall(request, overall_typed(hall_of(request)))


@routes.post("/desk/overall")
async def store_overall(request: Request, who: Desk) -> Response:
    """Chooses the rule, or that there is none."""
    form = await typed(request)
    try:
        await save_overall(hall_of(request), form)
    except WRONG as wrong:
        return _overall(request, form, wrong)
    return stored("/desk/overall")


def _overall(request: Request, form: Typed, wrong: BadForm | Refusal | None = None) -> Response:
    view = overall_page(hall_of(request))
    return setup_page(request, "results/overall.html", "/desk/overall", "Overall", wrong, form=form_of(form, wrong), view=view)
