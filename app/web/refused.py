"""What can't be done, told once: a refused form is shown again with all that was typed; anything else is one sentence."""

from collections.abc import AsyncIterator, Awaitable, Callable
from contextlib import asynccontextmanager
from inspect import isawaitable

from fastapi import FastAPI, Request
from fastapi.responses import Response

from app.hall.forms import BadForm, FormView, Problem, Typed
from app.store.refusals import NotThere, Refusal
from app.web.pages import sentence

Wrong = BadForm | Refusal
Showing = Callable[[Wrong], Response | Awaitable[Response]]
Kinds = type[Wrong] | tuple[type[Wrong], ...]


class Answered(Exception):
    """Raised in place of an answer: a form was refused, and `answer` is its page again."""

    def __init__(self, answer: Response) -> None:
        self.answer = answer


@asynccontextmanager
async def shown_again(show: Showing, kinds: Kinds = (BadForm, Refusal)) -> AsyncIterator[None]:
    """Within it a refusal of these kinds is answered by the page that `show` makes of what is wrong; any other by a sentence."""
    try:
        yield
    except kinds as wrong:
        answer = show(wrong)
        raise Answered(await answer if isawaitable(answer) else answer) from wrong


def tell_refusals(app: FastAPI) -> None:
    """Whatever a page lets pass is told here."""
    app.add_exception_handler(Answered, _answered)  # type: ignore[arg-type]
    for kind in (BadForm, Refusal):
        app.add_exception_handler(kind, _told)  # type: ignore[arg-type]


async def _answered(request: Request, error: Answered) -> Response:
    return error.answer


async def _told(request: Request, error: Wrong) -> Response:
    return sentence(request, status_of(error), str(error))


def form_of(typed: Typed, wrong: Wrong | None = None) -> FormView:
    """A form with what was typed and what is wrong with it."""
    if isinstance(wrong, BadForm):
        return FormView(typed, wrong.problems)
    return FormView(typed, (Problem("", str(wrong)),) if wrong else ())


def status_of(wrong: Wrong | None) -> int:
    """422 for a form that can't be stored, 404 for what is not there, 409 for what the store refuses."""
    if wrong is None:
        return 200
    return 422 if isinstance(wrong, BadForm) else 404 if isinstance(wrong, NotThere) else 409
