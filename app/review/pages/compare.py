"""Compared sheets: the lanes that were judged more than once, two sheets side by side, and each judge over many sheets."""

from fastapi import Request
from fastapi.responses import HTMLResponse, Response

from app.review.comparing import compare_index, compare_page
from app.review.comparing_judges import judge_page, judges_page
from app.web.doors import content_policy
from app.web.pages import hall_of, page
from app.web.rows import Rows
from app.web.who import Head

routes = Rows()
HERE = "/review/compare"


@routes.get(HERE)
def index(request: Request, who: Head) -> HTMLResponse:
    """All lanes that were judged more than once, those that differ most first."""
    return page(request, "review/compare_index.html", view=compare_index(hall_of(request)))


@routes.get(f"{HERE}/judges")
def judges(request: Request, who: Head) -> HTMLResponse:
    """Every judge who was compared with anybody."""
    return page(request, "review/compare_judges.html", view=judges_page(hall_of(request)))


@routes.get(f"{HERE}/judges/one")
def judge(request: Request, who: Head, name: str = "") -> Response:
    """One judge over many sheets."""
    return page(request, "review/compare_judge.html", view=judge_page(hall_of(request), name))


@routes.get(f"{HERE}/{{assignment}}")
def compared(request: Request, who: Head, assignment: str, a: str = "", b: str = "", within: str = "") -> Response:
    """Two sheets of one lane. A film may be opened beside them: it is played by the browser alone."""
    view = compare_page(hall_of(request), assignment, a, b, within)
    answer = page(request, "review/compare.html", status=422 if view.wrong else 200, view=view)
    answer.headers["Content-Security-Policy"] = content_policy(request.headers.get("host", ""), films=True)
    return answer
