"""The quick way of marks goes through every door that any other request goes through, and answers the same."""

from typing import Any

import pytest
from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response

from app.store.writer import StoreFull
from app.web.later import Pages
from app.web.quick import QuickWay
from tests.builders.halls import House, TestClient, a_mark, sent

JSON = {"content-type": "application/json"}


def both(house: House, **how: Any) -> tuple[tuple[int, str, dict[str, str]], tuple[int, str, dict[str, str]]]:
    """One request by the quick way, and the same by the routing table alone: status, body, headers."""
    app = house.app
    tablet = house.tablet(1)
    answers = []
    quick = app.quick  # type: ignore[attr-defined]
    for way in (quick, None):
        app.quick = way  # type: ignore[attr-defined]
        answer = tablet.post("/marks", **how)
        answers.append((answer.status_code, answer.text, dict(answer.headers)))
    app.quick = quick  # type: ignore[attr-defined]
    return answers[0], answers[1]


@pytest.mark.parametrize(
    "how",
    [
        {"content": b'{"marks":[]}', "headers": JSON},
        {"content": b'{"marks":[]}', "headers": {"content-type": "Application/JSON; charset=utf-8"}},
        {"content": b'{"marks":[]}', "headers": {"content-type": "text/plain"}},
        {"content": b"{", "headers": JSON},
        {"content": b"x" * 300_000, "headers": JSON},
        {"content": b'{"marks":[]}', "headers": JSON | {"host": "evil.example"}},
        {"content": b'{"marks":[]}', "headers": JSON | {"origin": "http://evil.example"}},
        {"content": b'{"marks":[]}', "headers": JSON | {"sec-fetch-site": "cross-site"}},
        {"content": b'{"marks":[]}', "headers": JSON, "params": {"seat": "desk"}},
    ],
)
def test_by_the_quick_way_the_answer_is_the_same(house: House, how: dict[str, Any]) -> None:
    quick, table = both(house, **how)
    assert quick == table
    assert "content-security-policy" in quick[2]


def test_a_stranger_is_refused_on_it(house: House) -> None:
    assert house.browser().post("/marks", content=b'{"marks":[]}', headers=JSON).status_code == 401


def test_a_mark_is_stored_by_it(house: House, monkeypatch: pytest.MonkeyPatch) -> None:
    tablet = house.tablet(1)
    monkeypatch.setattr(house.app, "router", None)  # nothing else can be reached
    answer = tablet.post("/marks", content=sent(a_mark(1)), headers=JSON)
    monkeypatch.undo()
    assert answer.status_code == 200 and answer.json()["refused"] == []


def test_other_methods_are_left_to_the_table(house: House) -> None:
    assert house.browser().get("/marks").status_code == 405


class Odd(StoreFull):
    """A kind of an error that has a handler."""


def test_an_error_is_told_by_the_applications_own_handler() -> None:
    async def endpoint(request: Request) -> Response:
        raise Odd if request.headers.get("x-odd") else KeyError("nothing for this one")

    async def told(request: Request, error: Exception) -> Response:
        return PlainTextResponse("full", 503)

    app = Pages()
    app.add_exception_handler(StoreFull, told)
    app.quick = QuickWay(app, "/marks", endpoint)
    client = TestClient(app)
    assert client.post("/marks", headers={"x-odd": "1"}).status_code == 503
    with pytest.raises(KeyError):
        client.post("/marks")
