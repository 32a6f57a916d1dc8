"""The description of the application is true: what it allows and what it does not, sent by the desk, a lane and a reader.

The requests and the checks are schemathesis's (a library for this, made by others); the description is ours.
"""

import itertools
import warnings
from collections.abc import Iterator
from typing import Any

import pytest
import requests
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import seed as seeded
from starlette.testclient import TestClient

from app.web.described import described
from tests.builders.halls import ON_THE_LAN, House
from tests.web.ways import named_there

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # what its parts say while they are loaded
    import schemathesis
    from schemathesis import GenerationMode
    from schemathesis.checks import not_a_server_error
    from schemathesis.specs.openapi.checks import (
        content_type_conformance,
        response_headers_conformance,
        response_schema_conformance,
        status_code_conformance,
    )

pytestmark = pytest.mark.slow

CHECKS = [
    not_a_server_error,
    status_code_conformance,
    content_type_conformance,
    response_headers_conformance,
    response_schema_conformance,
]
ENDLESS = ("/stream",)
STARTS_A_SEARCH = ("/desk/plan/late",)
ENDS_THE_SEAT = ("/desk/leave", "/review/leave", "/desk/tablets/here", "/pair")
ACCEPTS = itertools.cycle(("application/json", "text/html"))
SEATS = ("desk", "lane", "reader")


@pytest.fixture
def seats(house: House) -> dict[str, TestClient]:
    return {"desk": house.desk(), "lane": house.tablet(1), "reader": house.browser(ON_THE_LAN)}


@pytest.mark.parametrize("seat", SEATS)
def test_no_answer_is_a_crash_or_another_than_the_description_says(seats: dict[str, TestClient], house: House, seat: str) -> None:
    tried, wrong = 0, []
    for found in _operations(house):
        for mode, there in _ways_to_try(found, seat):
            try:
                tried += _try(found, mode, seats[seat], there)
            except (Exception, BaseExceptionGroup) as crash:
                wrong.append(f"{found.method} {found.path}: {_told(crash)}")
    assert wrong == []
    assert tried > 200, "every address is tried"


def _operations(house: House) -> Iterator[Any]:
    whole = schemathesis.openapi.from_dict(described(house.app))
    for one in whole.get_all_operations():
        found = one.ok()
        if not found.path.endswith((*ENDLESS, *STARTS_A_SEARCH, *ENDS_THE_SEAT)):
            yield found


def _ways_to_try(operation: Any, seat: str) -> Iterator[tuple[Any, dict[str, str] | None]]:
    """What is allowed by every seat; of things that are not there, and what is not allowed, by the desk."""
    said = operation.definition.raw
    names = named_there(operation.path)
    if seat == "desk" or not names:
        yield GenerationMode.POSITIVE, None
    if names:
        yield GenerationMode.POSITIVE, names
    if seat == "desk" and ("requestBody" in said or any(one["in"] == "query" for one in said.get("parameters", ()))):
        yield GenerationMode.NEGATIVE, names or None


def _try(operation: Any, mode: Any, browser: TestClient, there: dict[str, str] | None = None) -> int:
    count = 0

    @seeded(8)
    @settings(max_examples=1, database=None, phases=[Phase.generate], suppress_health_check=list(HealthCheck))
    @given(operation.as_strategy(generation_mode=mode, path_parameters=there))
    def one(case: Any) -> None:
        nonlocal count
        count += 1
        case.validate_response(_sent(browser, case), checks=CHECKS)

    try:
        one()
    except Exception as none_to_make:
        if type(none_to_make).__name__ != "Unsatisfiable":  # nothing that is sent there can be wrong
            raise
    return count


def _sent(browser: TestClient, case: Any) -> Any:
    """What a made-up request gets, from the application itself."""
    kwargs = case.as_transport_kwargs(base_url="http://localhost")
    kwargs["headers"] = {**kwargs["headers"], "accept": next(ACCEPTS)}
    made = requests.Request(**kwargs).prepare()
    body = made.body.encode() if isinstance(made.body, str) else made.body
    headers = {name: value for name, value in made.headers.items() if name.lower() != "cookie"}
    return browser.request(str(made.method), str(made.url), content=body, headers=headers)


def _told(crash: BaseException) -> str:
    inner = getattr(crash, "exceptions", ()) or (crash,)
    return " | ".join(f"{type(one).__name__}: {str(one)[:500]}" for one in inner)


def test_a_description_that_lies_is_caught(house: House, seats: dict[str, TestClient]) -> None:
    """The checks can fail: each lie about one address is found."""
    lies: tuple[tuple[str, Any], ...] = (
        ("a status", {"404": {"description": "x"}}),
        ("a type", {"200": {"description": "x", "content": {"text/csv": {}}}}),
        ("a shape", {"200": {"description": "x", "content": {"application/json": {"schema": {"required": ["gone"]}}}}}),
    )
    for what, responses in lies:
        said = described(house.app)
        said["paths"] = {"/board/time": {"get": said["paths"]["/board/time"]["get"] | {"responses": responses}}}
        (lie,) = (one.ok() for one in schemathesis.openapi.from_dict(said).get_all_operations())
        with pytest.raises(BaseExceptionGroup) as caught:
            _try(lie, GenerationMode.POSITIVE, seats["reader"])
        assert any(word in _told(caught.value) for word in ("UndefinedStatusCode", "UndefinedContentType", "JsonSchemaError")), (
            what
        )
