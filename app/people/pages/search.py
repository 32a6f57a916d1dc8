"""The search box of the desk and of the review: what it finds while somebody types."""

from dataclasses import asdict

from fastapi import Request
from fastapi.responses import JSONResponse

from app.people.search import search
from app.web.pages import hall_of
from app.web.rows import Rows
from app.web.shapes import TEXT, an_object, many
from app.web.who import Head

routes = Rows()

FOUND = an_object(found=many(an_object(kind=TEXT, hits=many(an_object(name=TEXT, words=TEXT, link=TEXT)))))
MOST_TYPED = 80


@routes.get("/find", answers=FOUND)
def find(request: Request, who: Head, q: str = "") -> JSONResponse:
    """What fits what was typed, for whoever asks."""
    found = search(hall_of(request), q[:MOST_TYPED], who.role)
    return JSONResponse({"found": [asdict(one) for one in found]}, headers={"Cache-Control": "no-store"})
