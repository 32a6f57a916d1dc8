"""The timetable: for everybody in the hall, for its screen, for printing, and as calendars."""

from fastapi import Request
from fastapi.responses import HTMLResponse, Response

from app.plan.timetable import calendar, on_the_wall, timetable
from app.web.pages import hall_of, page, sentence
from app.web.rows import Rows
from app.web.who import EVERYBODY

routes = Rows(dependencies=EVERYBODY)
NO_COMPETITION = "There is no competition yet, so there is no timetable."
LONGEST_SEARCH = 120


@routes.get("/timetable", spoken=True)
async def timetable_page(request: Request, who: str = "", by: str = "heats") -> HTMLResponse:
    """When everybody is due; with `who`, somebody's own times."""
    return page(request, "plan/timetable.html", view=timetable(hall_of(request), who[:LONGEST_SEARCH], by))


@routes.get("/timetable/hall", spoken=True)
async def hall_screen(request: Request) -> HTMLResponse:
    """What comes next, for the wall."""
    return page(request, "plan/timetable_hall.html", view=on_the_wall(hall_of(request)))


@routes.get("/timetable/hall/now", piece=True, spoken=True)
async def hall_screen_now(request: Request) -> HTMLResponse:
    """The same without its frame, for a refresh."""
    answer = page(request, "plan/timetable_wall.html", view=on_the_wall(hall_of(request)))
    answer.headers["Cache-Control"] = "no-store"
    return answer


@routes.get("/timetable.ics")
async def calendar_file(request: Request, entry: str = "", judge: str = "") -> Response:
    """A calendar to subscribe to or to keep: of an entry, of a judge, or of all heats."""
    data = calendar(hall_of(request), entry, judge)
    if data is None:
        return sentence(request, 404, NO_COMPETITION)
    headers = {"Content-Disposition": 'attachment; filename="timetable.ics"', "Cache-Control": "no-store"}
    return Response(data, media_type="text/calendar; charset=utf-8", headers=headers)
