"""What was done, for the desk: the record as pages and as CSV."""

from urllib.parse import urlencode

from fastapi import Request
from fastapi.responses import HTMLResponse, Response

from app.keep.done import done_csv, done_page
from app.web.pages import hall_of, page
from app.web.rows import Rows
from app.web.who import Desk

routes = Rows()
HERE = "/desk/done"
ASKED = ("who", "kind", "day")


@routes.get(HERE)
def done(request: Request, who: Desk) -> HTMLResponse:
    """The lines that the query asks for, newest first."""
    view = done_page(hall_of(request), dict(request.query_params))
    asked = urlencode({name: value for name in ASKED if (value := getattr(view, name))})
    answer = page(request, "keep/done.html", here=HERE, title="Activity log", view=view, asked=asked)
    answer.headers["Cache-Control"] = "no-store"
    return answer


@routes.get(f"{HERE}.csv", record=("file", "Download the activity log as CSV"))
def done_file(request: Request, who: Desk) -> Response:
    """The same as CSV."""
    headers = {"Content-Disposition": 'attachment; filename="what-was-done.csv"', "Cache-Control": "no-store"}
    return Response(done_csv(hall_of(request), dict(request.query_params)), media_type="text/csv; charset=utf-8", headers=headers)
