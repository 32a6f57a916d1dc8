"""What can't be done is told in one place: the status and the sentence of each kind, and a refused form shown again."""

import ast
from collections.abc import Callable
from pathlib import Path

import pytest
from fastapi import APIRouter, FastAPI
from fastapi.responses import PlainTextResponse, Response
from starlette.testclient import TestClient

from app.hall.forms import refuse
from app.store.refusals import AlreadyThere, InUse, NotThere
from app.web import refused
from app.web.refused import Wrong, form_of, shown_again, status_of, tell_refusals

APP = Path(refused.__file__).parents[1]
PAGES = sorted(APP.glob("*/pages/*.py"))

KINDS: list[tuple[Callable[[], Wrong], int]] = [
    (lambda: refuse("name", "Wrong."), 422),
    (lambda: NotThere("Wrong."), 404),
    (lambda: InUse("Wrong."), 409),
    (lambda: AlreadyThere("Wrong."), 409),
]


def client() -> TestClient:
    """An application that refuses by a number in KINDS: as a sentence, or with the form shown again, now or a moment later."""
    routes = APIRouter()

    async def later(wrong: Wrong) -> Response:
        return PlainTextResponse(f"later: {form_of({'name': 'typed'}, wrong).value('name')}, {wrong}", status_of(wrong))

    def now(wrong: Wrong) -> Response:
        return PlainTextResponse(f"now: {form_of({'name': 'typed'}, wrong).value('name')}, {wrong}", status_of(wrong))

    @routes.post("/plain/{number}")
    def plain(number: int) -> None:
        raise KINDS[number][0]()

    @routes.post("/now/{number}")
    async def at_once(number: int) -> None:
        async with shown_again(now):
            raise KINDS[number][0]()

    @routes.post("/later/{number}")
    async def awaited(number: int) -> None:
        async with shown_again(later, type(refuse("", ""))):
            raise KINDS[number][0]()

    app = FastAPI()
    app.include_router(routes)
    tell_refusals(app)
    return TestClient(app)


@pytest.mark.parametrize("number", range(len(KINDS)))
def test_what_a_page_lets_pass_is_told_as_a_sentence(number: int) -> None:
    answer = client().post(f"/plain/{number}")
    assert (answer.status_code, answer.json()) == (KINDS[number][1], {"sentence": "Wrong."})


@pytest.mark.parametrize("number", range(len(KINDS)))
def test_a_refused_form_is_shown_again_with_what_was_typed(number: int) -> None:
    answer = client().post(f"/now/{number}")
    assert (answer.status_code, answer.text) == (KINDS[number][1], "now: typed, Wrong.")


def test_only_the_kinds_that_a_page_names_bring_its_form_back() -> None:
    sent = client()
    assert sent.post("/later/0").text == "later: typed, Wrong."
    assert (sent.post("/later/1").status_code, sent.post("/later/1").json()) == (404, {"sentence": "Wrong."})


def test_no_page_catches_by_hand_what_is_not_there() -> None:
    caught = [
        f"{path.relative_to(APP)}:{node.lineno}"
        for path in PAGES
        for node in ast.walk(ast.parse(path.read_text("utf-8")))
        if isinstance(node, ast.ExceptHandler) and node.type is not None and "NotThere" in ast.unparse(node.type)
    ]
    assert PAGES and caught == []
