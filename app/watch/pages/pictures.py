"""Pictures of entries, as the hall's screens ask for them."""

import asyncio

from fastapi import Request
from fastapi.responses import Response

from app.store.pictures import picture
from app.web.pages import hall_of, sentence
from app.web.rows import Rows
from app.web.who import EVERYBODY

routes = Rows(dependencies=EVERYBODY)
NONE = "There is no such picture. It may have been removed meanwhile."


@routes.get("/entries/{entry}/picture", cheap=True)
async def entry_picture(request: Request, entry: str) -> Response:
    """An entry's picture. Browsers ask again each time, so that one that was removed is gone from them too."""
    found = await asyncio.to_thread(hall_of(request).database.read, lambda session: picture(session, entry))
    if found is None:
        return sentence(request, 404, NONE)
    digest, kind, content = found
    headers = {"ETag": f'"{digest}"', "Cache-Control": "no-cache"}
    if request.headers.get("if-none-match") == headers["ETag"]:
        return Response(status_code=304, headers=headers)
    return Response(content, media_type=f"image/{kind}", headers=headers)
