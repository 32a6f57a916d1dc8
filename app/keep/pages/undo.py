"""The door of every Undo button that puts back what was taken away or moved."""

from fastapi import Request
from fastapi.responses import Response

from app.web.pages import hall_of
from app.web.refused import Wrong, form_of, shown_again
from app.web.rows import Rows
from app.web.setup_parts import NAMED, STEP, Desk, page_of, setup_page, stored, undo
from app.web.typed import typed

routes = Rows(dependencies=NAMED)


# With the step may come a picture, as text.
@routes.post("/desk/undo", record=("setup", "Undo a removal or a move"), takes_mb=1)
async def undo_step(request: Request, who: Desk) -> Response:
    """Puts back what the button holds, and goes to the page that shows it; else says why it can't, and offers it again."""
    step = (await typed(request)).get(STEP, "")
    at = await page_of(hall_of(request), step)
    views = {"step": step if at else "", "at": at or "/desk/setup"}

    def refused(wrong: Wrong) -> Response:
        return setup_page(request, "keep/undo.html", at, "Undo", wrong, form=form_of({}, wrong), **views)

    async with shown_again(refused):
        await undo(hall_of(request), step)
    return stored(at)
