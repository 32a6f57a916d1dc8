"""Judging a lane from a film: the page's shell, which is kept for work without network, and the packet that fills it."""

from fastapi import Request
from fastapi.responses import HTMLResponse, JSONResponse

from app.floor.video_packet import video_packet
from app.web.doors import content_policy
from app.web.pages import hall_of, page
from app.web.rows import Rows
from app.web.who import EVERYBODY, Head

routes = Rows()
HERE = "/review/video"


@routes.get(HERE, dependencies=EVERYBODY)
def video_page(request: Request) -> HTMLResponse:
    """The shell. It holds nothing of the competition; the film is opened in the page and never leaves it."""
    answer = page(request, "floor/video.html")
    answer.headers["Content-Security-Policy"] = content_policy(request.headers.get("host", ""), films=True)
    return answer


@routes.get(f"{HERE}/packet", whole=True)
async def packet(request: Request, who: Head, assignment: str = "") -> JSONResponse:
    """All that the page needs of one lane."""
    return JSONResponse(video_packet(hall_of(request), who, assignment), headers={"cache-control": "no-store"})
