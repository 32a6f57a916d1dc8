"""The headers of every answer: of all routes, by everybody, refused or not; of redirects, errors, streams and files."""

from collections.abc import Iterator

import pytest

from app.web import roles
from app.web.roles import ways
from tests.builders.halls import House, a_house
from tests.web.knocking import Caller, knock
from tests.web.test_roles import address_of

WANTED = {
    "x-content-type-options": "nosniff",
    "x-frame-options": "DENY",
    "referrer-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
}
POLICY = (
    "default-src 'self'",
    "script-src 'self'",
    "style-src 'self'",
    "object-src 'none'",
    "frame-ancestors 'none'",
    "base-uri 'none'",
)
PUBLIC = (roles.READER, roles.LINK, roles.DEMO)
KEPT = ("no-store", "no-cache", "public, max-age=31536000, immutable")


@pytest.fixture(scope="module")
def house(tmp_path_factory: pytest.TempPathFactory) -> Iterator[House]:
    with a_house(tmp_path_factory.mktemp("headers")) as opened:
        yield opened


@pytest.fixture(scope="module")
def callers(house: House) -> list[Caller]:
    return [
        Caller("a reader", {}, "reader"),
        Caller("the desk", dict(house.desk().cookies), "desk"),
        Caller("a tablet", dict(house.tablet(1).cookies), "lane"),
    ]


def lacks(headers: dict[str, str], private: bool) -> list[str]:
    """What an answer's headers lack."""
    policy = headers.get("content-security-policy", "")
    missing = [name for name, value in WANTED.items() if headers.get(name) != value]
    missing += [part for part in POLICY if part not in policy.split("; ")]
    missing += ["a strict policy"] if "unsafe" in policy or "*" in policy or "http:" in policy else []
    kept = headers.get("cache-control", "")
    missing += ["no-store"] if private and kept != "no-store" else []
    return missing + (["cache-control"] if not kept.startswith(KEPT) else [])


@pytest.mark.parametrize("accept", ["text/html", "application/json"])
def test_every_route_answers_everybody_with_all_headers(house: House, callers: list[Caller], accept: str) -> None:
    """What only a session opens is kept by nobody; who has none is told a sentence there."""
    wrong, seen = [], 0
    for way in ways(house.app):
        if "/leave" in way.path:
            continue
        for method in [one for one in way.methods if one != "HEAD"]:
            for caller in callers:
                status, headers, _ = knock(house, method, address_of(way), caller, accept=accept)
                seen += 1
                private = way.doors[0] not in PUBLIC and bool(caller.cookies)
                if missing := lacks(headers, private):
                    wrong.append(f"{method} {way.path} to {caller.name}, {status}: {missing} {headers.get('cache-control')}")
    assert wrong == [] and seen > 600


@pytest.mark.parametrize("path", ["/no-such-page", "/static/0/none.js", "/desk/none", "/..%2f", "/board/none"])
def test_what_is_not_there_has_them_too(house: House, callers: list[Caller], path: str) -> None:
    for method in ("GET", "POST", "DELETE", "TRACE"):
        status, headers, _ = knock(house, method, path, callers[0])
        assert status in (404, 405) and lacks(headers, private=False) == []


def test_over_https_a_page_is_alone_in_its_window(house: House) -> None:
    browser = house.browser()
    browser.base_url = "https://localhost"  # type: ignore[assignment]
    assert browser.get("/board").headers["cross-origin-opener-policy"] == "same-origin"


ELSEWHERE = {
    "a picture": {"sec-fetch-site": "cross-site", "sec-fetch-mode": "no-cors", "sec-fetch-dest": "image"},
    "a script": {"sec-fetch-site": "cross-site", "sec-fetch-mode": "no-cors", "sec-fetch-dest": "script"},
    "a fetch": {"sec-fetch-site": "cross-site", "sec-fetch-mode": "cors", "origin": "http://evil.example"},
    "a fetch on plain HTTP, where browsers say less": {"origin": "http://evil.example"},
    "a fetch from another port": {"sec-fetch-site": "same-site", "sec-fetch-mode": "cors", "origin": "http://localhost:9"},
    "a page without an origin": {"origin": "null"},
}


@pytest.mark.parametrize("how", ELSEWHERE)
def test_another_site_reads_nothing_and_takes_no_place_for_a_stream(house: House, how: str) -> None:
    for path in ("/board", "/board/stream", "/clock/stream", "/static/0/js/screens/lane.js", "/lane/packet"):
        answer = house.tablet(1).get(path, headers=ELSEWHERE[how])
        assert answer.status_code == 403 and "another site" in answer.json()["sentence"], path
    assert house.app.state.places["public"].taken == 0


def test_a_link_from_another_site_may_be_followed(house: House) -> None:
    link = {"sec-fetch-site": "cross-site", "sec-fetch-mode": "navigate", "sec-fetch-dest": "document"}
    assert house.browser().get("/board", headers=link).status_code == 200
    assert house.browser().post("/pair", json={}, headers=link).status_code == 403, "a form of another site is no link"


def test_the_one_answer_for_our_own_plain_pages_is_given(house: House) -> None:
    answer = house.browser().get("/trust/yes", headers={"origin": "http://localhost:8765", "sec-fetch-site": "same-site"})
    assert answer.status_code == 200 and "access-control-allow-origin" not in answer.headers, "nor does this house have HTTPS"
