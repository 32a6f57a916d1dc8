"""Headquarters begins a round: what was typed is shown in words, and then the kit is made."""

from collections.abc import Callable
from typing import TypeVar

from fastapi import Request
from fastapi.responses import Response
from starlette.concurrency import run_in_threadpool

from app.hall.forms import BadForm, Typed
from app.hall.hall import Hall
from app.results.competition_file import make_file
from app.round.at_hand import whatever_is_here
from app.round.kept_records import NoRound
from app.round.kit_form import LOOKS, PLACES, KitDraft, KitShown, begin, kit_draft, kit_shown, lacks_for_a_kit, usual
from app.round.kits import refuse_second
from app.rules.round.kit import BadKit
from app.store.refusals import Refusal
from app.web.pages import hall_of
from app.web.refused import Wrong, form_of, shown_again
from app.web.rows import ONLY_LOOKS, Rows
from app.web.setup_parts import Desk, setup_page, stored
from app.web.typed import typed

routes = Rows()
HERE = "/desk/round/kit"
SHOWN = "shown"  # the field that says what was shown
CHANGED = "The competition was changed since this was shown, so nothing has begun. Look at it as it is now, and begin it then."
T = TypeVar("T")


@routes.get(HERE)
async def kit_page(request: Request, who: Desk) -> Response:
    """What a round is made of."""
    return await _page(request, {})


@routes.post("/desk/round/kit/look", record=ONLY_LOOKS)
async def look(request: Request, who: Desk) -> Response:
    """Shows what would begin. Nothing is kept."""
    form = await typed(request)

    def read(hall: Hall) -> KitShown:
        return kit_shown(_draft(hall, form), hall.time.wall_ms())

    async with shown_again(lambda wrong: _page(request, form, wrong), (BadForm, Refusal)):
        shown = await _told(request, read)
    return await _page(request, form, shown=shown)


@routes.post("/desk/round/kit/make", record=("setup", "Begin a round"))
async def make(request: Request, who: Desk) -> Response:
    """Begins the round that was shown; where the competition is another by now, shows that one and begins nothing."""
    form = await typed(request)
    was_shown = form.pop(SHOWN, "")

    def made(hall: Hall) -> KitShown | None:
        draft, now = _draft(hall, form), hall.time.wall_ms()
        if (shown := kit_shown(draft, now)).of != was_shown:
            return shown
        with whatever_is_here(hall) as headquarters:
            begin(headquarters, draft, now)
        return None

    async with shown_again(lambda wrong: _page(request, form, wrong), (BadForm, Refusal)):
        other = await _told(request, made)
    return await _page(request, form, NoRound(CHANGED), other) if other else stored("/desk/round")


def _draft(hall: Hall, form: Typed) -> KitDraft:
    roster, now = hall.projection.roster, hall.time.wall_ms()
    if roster is None or (lacks := lacks_for_a_kit(roster)):
        raise NoRound(lacks_for_a_kit(None) if roster is None else lacks)
    with whatever_is_here(hall) as headquarters:
        refuse_second(headquarters)
    return kit_draft(make_file(roster, (), (), (), now), form, now)


async def _told(request: Request, do: Callable[[Hall], T]) -> T:
    try:
        return await run_in_threadpool(do, hall_of(request))
    except BadKit as wrong:
        raise NoRound(str(wrong)) from None


async def _page(request: Request, form: Typed, wrong: Wrong | None = None, shown: KitShown | None = None) -> Response:
    roster = hall_of(request).projection.roster
    lacks = lacks_for_a_kit(roster)
    given = form or (usual(roster) if roster else {})
    views = {"form": form_of(given, wrong), "shown": shown, "lacks": lacks, "looks": LOOKS, "at": PLACES, "of": SHOWN}
    divisions = roster.divisions if roster else ()
    return setup_page(request, "round/kit.html", "/desk/round", "Begin a round", wrong, divisions=divisions, **views)
