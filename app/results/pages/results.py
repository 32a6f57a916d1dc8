"""Results for everybody: all standings, and for each number how it was worked out, as pages and as JSON."""

import asyncio
from collections.abc import Callable
from functools import partial
from typing import Any

from fastapi import Request
from fastapi.responses import JSONResponse, Response
from markupsafe import Markup

from app.live.catching_up import caught_up
from app.live.slices import Slices
from app.results import halls
from app.results.event_pictures import event_pictures
from app.results.explaining import (
    ExplanationPage,
    ResultTable,
    explained,
    explained_overall,
    results_page,
    results_plain,
)
from app.results.podium import looks_of, podiums
from app.results.results_sheet import results_sheet
from app.results.results_state import said_of
from app.web.pages import hall_of
from app.web.rows import Rows
from app.web.shapes import OBJECT, TEXT, an_object, many
from app.web.shared import HTML, JSON, Make, Shared, drawn, shared_answer, shared_of
from app.web.who import EVERYBODY

routes = Rows(dependencies=EVERYBODY)


@routes.get("/results", spoken=True)
async def all_results(request: Request) -> Response:
    """Every standing; each score leads to how it was worked out."""
    hall, shared = hall_of(request), shared_of(request)

    async def make(slices: Slices) -> bytes:
        await caught_up(hall.projection, slices)
        view = results_page(hall)
        return await drawn(request, slices, "results/index.html", view=view, standing=partial(_standing, shared))

    return await shared_answer(request, partial(said_of, hall), make)


def _standing(shared: Shared, table: ResultTable) -> Markup:
    return shared.piece("results/table.html", "standing", table.anchor, table)


@routes.get("/results.json", answers=an_object(events=many(an_object(event=TEXT, name=TEXT))), whole=True)
async def all_results_data(request: Request) -> Response:
    """The same as data, as a recount prints it."""
    return await _data(request, lambda: results_plain(hall_of(request)))


@routes.get("/podium", spoken=True, whole=True)
async def podium(request: Request) -> Response:
    """Who came first, second and third."""
    hall = hall_of(request)

    async def make(slices: Slices) -> bytes:
        await caught_up(hall.projection, slices)
        view = results_page(hall)
        return await drawn(request, slices, "results/podium.html", view=view, podiums=podiums(view, looks_of(hall)))

    return await shared_answer(request, partial(said_of, hall), make)


@routes.get("/results/{event}", spoken=True, whole=True)
async def sheet(request: Request, event: str) -> Response:
    """The results sheet of an event, to be printed and signed."""
    hall = hall_of(request)

    async def make(slices: Slices) -> bytes:
        await caught_up(hall.projection, slices)
        view = await asyncio.to_thread(results_sheet, hall, event)  # its digests are taken over all marks
        return await drawn(request, slices, "results/sheet.html", view=view)

    return await shared_answer(request, partial(said_of, hall), make, aside=True)


@routes.get("/pictures/{event}", spoken=True)
async def pictures(request: Request, event: str) -> Response:
    """An event to look at: how the best moved, and the counts of the heat that was run last."""
    return await _pictures(request, event, "")


@routes.get("/pictures/{event}/{heat}", spoken=True)
async def pictures_of_heat(request: Request, event: str, heat: str) -> Response:
    """The same with the counts of one heat."""
    return await _pictures(request, event, heat)


async def _pictures(request: Request, event: str, heat: str) -> Response:
    hall = hall_of(request)

    async def make(slices: Slices) -> bytes:
        await caught_up(hall.projection, slices)
        view = await asyncio.to_thread(event_pictures, hall, event, heat)  # every mark of a heat is read again
        return await drawn(request, slices, "results/pictures.html", view=view)

    return await shared_answer(request, partial(said_of, hall), make, aside=True)


@routes.get("/results/{event}/{score}/{entry}.json", answers=an_object(event=TEXT, score_name=TEXT, members=many(TEXT)))
async def why_data(request: Request, event: str, score: str, entry: str) -> Response:
    """How a score came about, as data."""
    return await _data(request, lambda: explained(hall_of(request), event, score, entry)[1])


@routes.get("/results/{event}/{score}/{entry}", spoken=True)
async def why(request: Request, event: str, score: str, entry: str) -> Response:
    """How a score came about."""
    return await _why(request, lambda: explained(hall_of(request), event, score, entry)[0])


@routes.get("/overall/{division}/{entry}.json", answers=OBJECT)
async def why_overall_data(request: Request, division: str, entry: str) -> Response:
    """How a place overall came about, as data."""
    return await _data(request, lambda: explained_overall(hall_of(request), division, entry)[1])


@routes.get("/overall/{division}/{entry}", spoken=True)
async def why_overall(request: Request, division: str, entry: str) -> Response:
    """How a place overall came about."""
    return await _why(request, lambda: explained_overall(hall_of(request), division, entry)[0])


async def _why(request: Request, explain: Callable[[], ExplanationPage]) -> Response:
    hall = hall_of(request)

    async def make(slices: Slices) -> bytes:
        await caught_up(hall.projection, slices)
        return await drawn(request, slices, "results/why.html", view=explain())

    return await shared_answer(request, partial(said_of, hall), make)


async def _data(request: Request, say: Callable[[], dict[str, Any]]) -> Response:
    hall = hall_of(request)

    async def make(slices: Slices) -> bytes:
        await caught_up(hall.projection, slices)
        return bytes(JSONResponse(say()).body)

    return await shared_answer(request, partial(said_of, hall), make, JSON)


@routes.get("/halls")
async def halls_page(request: Request) -> Response:
    """The standing of all halls."""

    async def make(slices: Slices) -> bytes:
        found = await halls.whole(hall_of(request), exact=True)
        return await drawn(request, slices, "results/halls.html", view=found.page)

    return await _of_all_halls(request, make)


@routes.get("/halls.json", answers=an_object(halls=OBJECT, found=many(TEXT)), whole=True)
async def halls_data(request: Request) -> Response:
    """The same as data."""

    async def make(slices: Slices) -> bytes:
        found = await halls.whole(hall_of(request), exact=True)
        return bytes(JSONResponse(await asyncio.to_thread(halls.halls_plain, found)).body)

    return await _of_all_halls(request, make, JSON)


async def _of_all_halls(request: Request, make: Make, media_type: str = HTML) -> Response:
    hall = hall_of(request)
    said = await halls.said(hall)
    return await shared_answer(request, lambda: (said, said.version(hall)), make, media_type, aside=True)
