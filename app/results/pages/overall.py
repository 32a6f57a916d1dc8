"""Set-up: how the overall standing is made, and how everybody stands under it."""

from fastapi import Request
from fastapi.responses import Response

from app.hall.forms import Typed
from app.results.overall_form import overall_page, overall_typed, save_overall
from app.web.pages import hall_of
from app.web.refused import Wrong, form_of, shown_again
from app.web.rows import Rows
from app.web.setup_parts import NAMED, Desk, setup_page, stored
from app.web.typed import typed

routes = Rows(dependencies=NAMED)


@routes.get("/desk/overall")
async def overall_form(request: Request, who: Desk) -> Response:
    """The rule as it stands, and the standings that it gives."""
    return _overall(request, overall_typed(hall_of(request)))


@routes.post("/desk/overall", record=("event", "Choose the rule of the overall standing"))
async def store_overall(request: Request, who: Desk) -> Response:
    """Chooses the rule, or that there is none."""
    form = await typed(request)
    async with shown_again(lambda wrong: _overall(request, form, wrong)):
        await save_overall(hall_of(request), form)
    return stored("/desk/overall")


def _overall(request: Request, form: Typed, wrong: Wrong | None = None) -> Response:
    view = overall_page(hall_of(request))
    return setup_page(request, "results/overall.html", "/desk/overall", "Overall", wrong, form=form_of(form, wrong), view=view)
