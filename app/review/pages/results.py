"""The head judge's pages after the heats: protests and their answers, sign-off and reopening, the day's record, the judges."""

from collections.abc import Awaitable, Callable
from functools import partial

from fastapi import Request
from fastapi.responses import RedirectResponse, Response

from app.hall.forms import BadForm, Typed
from app.hall.hall import Hall
from app.hall.lists import Choice
from app.hall.organising import needed_roster
from app.results.results_state import filing_rule
from app.review import announcing, protesting, signing
from app.review.pages.name import name_of, remember_name
from app.review.protesting import DECISION_CHOICES
from app.review.trail import judge_rows, trail
from app.web.pages import hall_of, page
from app.web.phones import address_for_phones, qr_image
from app.web.refused import Wrong, form_of, shown_again, status_of
from app.web.rows import Rows
from app.web.setup_parts import NAMED_AT, just_done, said_once, stored
from app.web.typed import typed
from app.web.who import LINK_HOLDER, Head

routes = Rows()
HERE = "/review/results"
Act = Callable[[Hall, str, Typed], Awaitable[object]]


@routes.get(HERE)
def results(request: Request, who: Head) -> Response:
    """How final each event is, and the protests."""
    return _results(request, {})


@routes.post("/review/protests", record=("ruling", "File a protest at the desk"))
async def file_protest(request: Request, who: Head) -> Response:
    """Files a protest that somebody brought to the desk."""
    form = await typed(request)
    async with shown_again(lambda wrong: _results(request, form, wrong), BadForm):
        await protesting.file_at_desk(hall_of(request), form)
    return RedirectResponse(f"{HERE}#protests", 303)


@routes.get("/review/protests/{protest}")
def protest_page(request: Request, who: Head, protest: str) -> Response:
    """One protest, and its answer."""
    return _protest(request, protest, {})


@routes.post("/review/protests/{protest}", record=("ruling", "Answer a protest"))
async def answer_protest(request: Request, who: Head, protest: str) -> Response:
    """Decides a protest."""
    form = await typed(request)
    async with shown_again(lambda wrong: _protest(request, protest, form, wrong), BadForm):
        await protesting.answer(hall_of(request), protest, form)
    return _back(request, form)


@routes.post("/review/protests/{protest}/appeal", record=("ruling", "File an appeal at the desk"))
async def file_appeal(request: Request, who: Head, protest: str) -> Response:
    """Files an appeal against an answer that somebody brought to the desk."""
    form = await typed(request)
    async with shown_again(lambda wrong: _protest(request, protest, {**form, "asked": "appeal"}, wrong), BadForm):
        await protesting.appeal_at_desk(hall_of(request), protest, form)
    return RedirectResponse(f"{HERE}#protests", 303)


@routes.post("/review/events/{event}/sign-off", record=("ruling", "Sign an event's results off"))
async def sign_off(request: Request, who: Head, event: str) -> Response:
    """Signs an event's results off."""
    return await _event(request, event, partial(signing.sign_off, signer="head" if who.role == "review" else "desk"), "sign")


@routes.post("/review/events/{event}/announce", record=("ruling", "Announce an event's result"))
async def announce(request: Request, who: Head, event: str) -> Response:
    """Notes that an event's result is announced now."""
    return await _event(request, event, announcing.announce, "announce")


@routes.post("/review/events/{event}/announce/back", record=("ruling", "Take an announcement back"))
async def take_back(request: Request, who: Head, event: str) -> Response:
    """Takes the announcement of an event's result back."""
    return await _event(request, event, announcing.take_back, "back")


@routes.post("/review/events/{event}/open", record=("ruling", "Reopen a signed-off event"))
async def open_again(request: Request, who: Head, event: str) -> Response:
    """Opens a signed event again."""
    return await _event(request, event, signing.open_again, "open")


@routes.get("/review/trail")
def trail_page(request: Request, who: Head) -> Response:
    """Every decision of the day."""
    return page(request, "review/trail.html", here="/review", title="Decisions", lines=trail(hall_of(request)))


@routes.get("/review/judges")
def judges_page(request: Request, who: Head) -> Response:
    """What each judge was overruled in."""
    return page(request, "review/judges.html", here="/review", title="Judges", rows=judge_rows(hall_of(request)))


@routes.get("/review/links")
async def links_page(request: Request, who: Head) -> Response:
    """A slip for each entry with its own link to protest by, to cut out."""
    hall, base = hall_of(request), address_for_phones(request)
    slips = [(line, f"{base}{line.path}", qr_image(f"{base}{line.path}")) for line in await protesting.links(hall)]
    rule = filing_rule(needed_roster(hall).competition)
    return page(request, "review/links.html", here="/review", title="Protest links", slips=slips, rule=rule)


@routes.get("/protest/{token}", dependencies=LINK_HOLDER)
async def own(request: Request, token: str) -> Response:
    """An entry's own page: how it stands, its protests, and a form for one."""
    return await _own(request, token, {})


@routes.post(
    "/protest/{token}",
    dependencies=LINK_HOLDER,
    record=("ruling", "File a protest by an entry's own link"),
    takes_kb=16,
    even_so=True,
)
async def file_own(request: Request, token: str) -> Response:
    """Files a protest by an entry's own link."""
    form = await typed(request)
    async with shown_again(lambda wrong: _own(request, token, form, wrong), BadForm):
        await protesting.file_by_link(hall_of(request), token, form)
    return stored(f"/protest/{token}")


async def _own(request: Request, token: str, form: Typed, wrong: Wrong | None = None) -> Response:
    view = await protesting.own_page(hall_of(request), token)
    open_events = tuple(Choice(one.event, one.name) for one in view.events if not one.closed)
    views = {"view": view, "form": form_of(form, wrong), "open_events": open_events, "filed": just_done(request), "token": token}
    views["fresh"] = form_of({})
    answer = page(request, "review/own_protest.html", status=status_of(wrong), **views)
    answer.headers["Cache-Control"] = "no-store"  # whoever has the link needs no session, by which other pages are kept by nobody
    return said_once(request, answer)


async def _event(request: Request, event: str, act: Act, which: str) -> Response:
    form = await typed(request)
    async with shown_again(lambda wrong: _results(request, {**form, "event-asked": event, "asked": which}, wrong), BadForm):
        await act(hall_of(request), event, form)
    return _back(request, form)


def _back(request: Request, form: Typed) -> Response:
    answer = RedirectResponse(HERE, 303)
    remember_name(request, answer, form.get("by", ""))
    return answer


def _results(request: Request, form: Typed, wrong: Wrong | None = None) -> Response:
    hall = hall_of(request)
    if hall.projection.roster is None:
        return RedirectResponse(NAMED_AT, 303)
    roster = hall.projection.roster
    views = {
        "events": signing.event_lines(hall),
        "overall": signing.overall_line(hall),
        "protests": protesting.protest_lines(hall),
        "entries": tuple(Choice(entry.id, entry.name) for entry in roster.entries),
        "named": tuple(Choice(event.id, event.name) for event in roster.events),
        "rule": filing_rule(roster.competition),
        "form": form_of(form, wrong),
        "own_name": name_of(request),
        "desk_signs": request.state.seat == "desk",
    }
    return page(request, "review/results.html", status=status_of(wrong), here="/review", title="Results", **views)


def _protest(request: Request, protest: str, form: Typed, wrong: Wrong | None = None) -> Response:
    view = protesting.protest_line(hall_of(request), protest)
    choices = tuple(Choice(value, words) for value, words in DECISION_CHOICES.items())
    known = form_of({"by": name_of(request), **form}, wrong)
    views = {"view": view, "form": known, "choices": choices}
    return page(request, "review/protest.html", status=status_of(wrong), here="/review", title="Protest", **views)
