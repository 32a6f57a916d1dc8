"""Set-up: an event as a workout text, to copy out, and what of the event such a text can't say."""

import asyncio

from fastapi import Request
from fastapi.responses import Response

from app.hall.organising import found, needed_roster
from app.rules.reading.writing.written_text import written_text
from app.rules.records.entered import named_divisions
from app.web.pages import hall_of
from app.web.rows import Rows
from app.web.setup_parts import NAMED, Desk, setup_page

routes = Rows(dependencies=NAMED)


@routes.get("/desk/events/{key}/text")
async def event_as_text(request: Request, who: Desk, key: str) -> Response:
    """The event as a workout text."""
    roster = needed_roster(hall_of(request))
    event = found(roster.events, key, "event")
    divisions = [one.name for one in named_divisions(roster, event.divisions)]
    written = await asyncio.to_thread(written_text, event.format, event.name, divisions)
    return setup_page(request, "compose/event_text.html", "/desk/events", f"{event.name} as text", event=event, written=written)
