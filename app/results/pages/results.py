"""Results for everybody: all standings, and for each number how it came about, as pages and as JSON."""

from collections.abc import Callable
from typing import Any

from fastapi import Request
from fastapi.responses import HTMLResponse, JSONResponse, Response

from app.results import halls
from app.results.explaining import (
    ExplanationPage,
    explained,
    explained_overall,
    results_page,
    results_plain,
)
from app.results.podium import podiums
from app.results.results_sheet import results_sheet
from app.web.pages import hall_of, page
from app.web.rows import Rows
from app.web.shapes import OBJECT, TEXT, an_object, many
from app.web.who import EVERYBODY

routes = Rows(dependencies=EVERYBODY)

Explaining = Callable[[], tuple[ExplanationPage, dict[str, Any]]]

FRESH = {"Cache-Control": "no-cache"}  # the next look may come after another mark


@routes.get("/results")
def all_results(request: Request) -> Response:
    """Every standing; each score leads to how it came about."""
    return page(request, "results/index.html", view=results_page(hall_of(request)))


@routes.get("/results.json", answers=an_object(events=many(an_object(event=TEXT, name=TEXT))))
def all_results_data(request: Request) -> Response:
    """The same as data, as a recount prints it."""
    return JSONResponse(results_plain(hall_of(request)), headers=FRESH)


@routes.get("/podium")
def podium(request: Request) -> Response:
    """Who came first, second and third."""
    view = results_page(hall_of(request))
    return page(request, "results/podium.html", view=view, podiums=podiums(view))


@routes.get("/results/{event}")
def sheet(request: Request, event: str) -> Response:
    """The results sheet of an event, to be printed and signed."""
    return page(request, "results/sheet.html", view=results_sheet(hall_of(request), event))


@routes.get("/results/{event}/{score}/{entry}.json", answers=an_object(event=TEXT, score_name=TEXT, members=many(TEXT)))
def why_data(request: Request, event: str, score: str, entry: str) -> Response:
    """How a score came about, as data."""
    return _answer(request, lambda: explained(hall_of(request), event, score, entry), data=True)


@routes.get("/results/{event}/{score}/{entry}")
def why(request: Request, event: str, score: str, entry: str) -> Response:
    """How a score came about."""
    return _answer(request, lambda: explained(hall_of(request), event, score, entry))


@routes.get("/overall/{division}/{entry}.json", answers=OBJECT)
def why_overall_data(request: Request, division: str, entry: str) -> Response:
    """How a place overall came about, as data."""
    return _answer(request, lambda: explained_overall(hall_of(request), division, entry), data=True)


@routes.get("/overall/{division}/{entry}")
def why_overall(request: Request, division: str, entry: str) -> Response:
    """How a place overall came about."""
    return _answer(request, lambda: explained_overall(hall_of(request), division, entry))


@routes.get("/halls")
async def halls_page(request: Request) -> Response:
    """The standing of all halls."""
    return HTMLResponse(await halls.halls_sent(hall_of(request), "page", lambda found: _halls(request, found)), headers=FRESH)


def _halls(request: Request, found: halls.Whole) -> bytes:
    return bytes(page(request, "results/halls.html", view=found.page).body)


@routes.get("/halls.json", answers=an_object(halls=OBJECT, found=many(TEXT)))
async def halls_data(request: Request) -> Response:
    """The same as data."""
    body = await halls.halls_sent(hall_of(request), "data", lambda found: bytes(JSONResponse(halls.halls_plain(found)).body))
    return Response(body, media_type="application/json", headers=FRESH)


def _answer(request: Request, explain: Explaining, data: bool = False) -> Response:
    view, plain = explain()
    if data:
        return JSONResponse(plain, headers=FRESH)
    return page(request, "results/why.html", view=view)
