"""The desk's page of the way in: a code for a phone to try it with, and what stands in the way on each system."""

from fastapi import Request
from fastapi.responses import JSONResponse
from starlette.responses import HTMLResponse

from app.doors.way_in import WayInView, way_in_view
from app.lan.addresses import lan_addresses
from app.web.pages import hall_of, page, secure_of
from app.web.phones import qr_image
from app.web.rows import Rows
from app.web.shapes import TEXT, an_object
from app.web.who import Desk

routes = Rows()
HERE = "/desk/way-in"
TRIED = "board"  # what a phone opens: it needs no login and no trust


@routes.get(HERE)
def way_in(request: Request, who: Desk) -> HTMLResponse:
    """The whole page."""
    view = _view(request)
    answer = page(request, "doors/way_in.html", view=view, qr=qr_image(view.address) if view.address else "")
    answer.headers["Cache-Control"] = "no-store"
    return answer


@routes.get(f"{HERE}/state", piece=True)
def state(request: Request, who: Desk) -> HTMLResponse:
    """Whether somebody came and whether the laptop stays awake, for a refresh."""
    answer = page(request, "doors/way_in_state.html", view=_view(request))
    answer.headers["Cache-Control"] = "no-store"
    return answer


@routes.get(f"{HERE}/reached", answers=an_object(reached_by=TEXT))
async def reached(request: Request, who: Desk) -> JSONResponse:
    """Who came first, empty while nobody has, for whoever tries a hall out."""
    return JSONResponse({"reached_by": hall_of(request).reached.by}, headers={"cache-control": "no-store"})


def _view(request: Request) -> WayInView:
    secure, number = secure_of(request), request.url.port
    plain = number if secure is None else secure.http_port
    ports = [port for port in (plain, secure and secure.https_port) if port]
    addresses = [f"http://{one}{f':{plain}' if plain else ''}/{TRIED}" for one in lan_addresses()]
    return way_in_view(hall_of(request), addresses, ports)
