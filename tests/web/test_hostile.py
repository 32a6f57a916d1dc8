"""What hostile requests get: a sentence or what they asked for, never a crash; and nothing of theirs that could harm is kept."""

import itertools
import json
import re
from pathlib import Path
from typing import Any

import httpx
import pytest
from starlette.testclient import WebSocketDisconnect

from app.review.protesting import links
from app.rules.records.marks import parse_mark
from app.web import roles
from app.web.roles import ways
from tests.builders.halls import ON_THE_LAN, STORE, House, a_mark, sent
from tests.web import hostile
from tests.web.hostile import BAD_JSON, BAD_TEXTS, FRAMES, JSON, Forms, Hostile, unfit_in
from tests.web.ways import named_there, whole_pages

pytestmark = pytest.mark.slow

PAGE = {"accept": "text/html"}
# Totals are asked for with a sheet; of the rest the tests' house has nothing to show.
NOT_THERE = {
    *("/desk/backups/totals", "/desk/plan/heats/{event}/{group}", "/desk/plates/{key}", "/desk/judges/{key}"),
    *("/review/compare/judges/one", "/review/protests/{protest}", "/desk/begin/{key}"),
    "/desk/round/gym/hand-in",  # before a kit is open
    "/desk/tablets/{device_id}/lifters",  # before a coach has a phone
}
SEATS = ("desk", "lane", "stranger", "none")
WITH_A_SHEET = "/desk/backups/totals?lane=asg_1_1"
DONE = re.compile(r'<p class="notice"[^>]*><span class="state" data-state="safe">([^<]*)|Ruling made')


def to_look_at(house: House) -> list[str]:
    """Every page of the desk, the head judge and the practice room, with what is there in its gaps."""
    inside = {way.path for way in ways(house.app) if {roles.DESK, roles.HEAD_JUDGE} & {*way.doors}} | {"/train", "/ten"}
    pages = [path for path in whole_pages(house.app) if path in inside]
    assert set(pages) >= NOT_THERE
    return [*(path.format(**named_there(path)) for path in pages if path not in NOT_THERE), WITH_A_SHEET]


class Visitors:
    """A browser for each seat."""

    def __init__(self, house: House) -> None:
        house.desk()
        self.house, self._by_seat = house, {"lane": house.tablet(1), "stranger": house.browser(ON_THE_LAN), "desk": house.desk()}

    def answer(self, one: Hostile) -> httpx.Response:
        """What a request gets."""
        browser = self._by_seat.get(one.seat) or self.house.browser()
        headers = [(name, value) for name, value in one.headers.items()]
        return browser.request(one.method, httpx.URL(one.path), content=one.content, headers=headers)


@pytest.fixture
def visitors(house: House) -> Visitors:
    return Visitors(house)


def _is_told(answer: httpx.Response) -> bool:
    """Whether a refusal says why, in a sentence."""
    if answer.headers.get("content-type", "").startswith("application/json"):
        return str(answer.json()["sentence"]).rstrip().endswith((".", "?", "]"))
    return bool(answer.text.strip())


def test_no_page_says_that_something_was_done_because_its_address_does(house: House) -> None:
    desk = house.desk()
    own = house.do(links)[0].path
    for address in (*to_look_at(house), "/review/lanes/asg_1_1", own):
        claimed = f"{address}{'&' if '?' in address else '?'}saved=yes&filed=yes&done=folder&made=flag"
        answer = desk.get(claimed, headers=PAGE)
        assert answer.status_code != 200 or not DONE.search(answer.text), claimed
    division, protest = {"name": "Late comers", "members": "2"}, {"event": "evt_turns", "text": "Two taps were not counted"}
    for browser, address, form in ((desk, "/desk/divisions", division), (house.browser(), own, protest)):
        answer = browser.post(address, data=form, headers=PAGE)
        assert answer.status_code == 303, answer.text[:1000]
        told = [bool(DONE.search(browser.get(answer.headers["location"], headers=PAGE).text)) for _ in range(2)]
        assert told == [True, False], f"{address}: the page that follows says it, once"


def test_a_hundred_hostile_requests_break_nothing_and_leave_nothing_behind(visitors: Visitors, tmp_path: Path) -> None:
    table, wrong = list(hostile.requests()), []
    assert len(table) >= 40 and len({one.name for one in table}) == len(table)
    for one in table:
        try:
            answer = visitors.answer(one)
        except Exception as crash:
            wrong.append(f"{one.name}: {crash!r:.300}")
            continue
        if answer.status_code not in one.right:
            wrong.append(f"{one.name}: {answer.status_code} {answer.text[:200]}")
        elif answer.status_code >= 400 and not _is_told(answer):
            wrong.append(f"{one.name}: {answer.status_code} without a sentence: {answer.text[:100]}")
    assert wrong == []
    assert unfit_in(tmp_path / STORE) == [] and visitors.house.marks() == []
    _still_works(visitors)


def _still_works(visitors: Visitors) -> None:
    fine = visitors.answer(Hostile("fine", "lane", "/marks", sent(a_mark()).encode(), JSON))
    assert fine.json()["refused"] == [] and len(visitors.house.marks()) == 1
    assert visitors.answer(Hostile("fine", "desk", "/desk/competition.json", method="GET")).json()["marks"]


@pytest.mark.parametrize("make", [hostile.odd_numbers, hostile.bad_words])
def test_every_mark_with_an_odd_number_or_a_bad_word_is_refused_with_a_sentence(visitors: Visitors, make: Any) -> None:
    marks = make()
    assert len(marks) > 60
    for start in range(0, len(marks), 20):
        some = marks[start : start + 20]
        answer = visitors.answer(Hostile("marks", "lane", "/marks", ('{"marks": [' + ",".join(some) + "]}").encode(), JSON))
        assert answer.status_code == 200, answer.text
        told = [one["sentence"] for one in answer.json()["refused"]]
        assert len(told) == len(some), [mark[:200] for mark in some]
        assert all(text.endswith(".") and len(text) < 250 and text.isprintable() for text in told)
    assert visitors.house.marks() == []


def test_what_a_judge_may_say_is_still_taken(visitors: Visitors) -> None:
    texts = ["Bo’s wrist\nsays no", "می‌خواهم", "👩‍🚒 called", "=1+1", "<b>", "x" * 500]
    marks = [a_mark(n + 1, kind="note", body={"text": text}) for n, text in enumerate(texts)]
    answer = visitors.answer(Hostile("notes", "lane", "/marks", sent(*marks).encode(), JSON))
    assert answer.json()["refused"] == [] and [mark.body["text"] for mark in visitors.house.marks()] == texts


@pytest.mark.parametrize("frame", FRAMES, ids=range(len(FRAMES)))
def test_a_hostile_frame_closes_its_own_socket_and_no_other(visitors: Visitors, frame: str | bytes) -> None:
    house = visitors.house
    with house.tablet(2).websocket_connect("ws://localhost/lane/socket") as calm:
        calm.receive_json()
        with house.tablet(1).websocket_connect("ws://localhost/lane/socket") as line:
            line.receive_json()
            line.send_bytes(frame) if isinstance(frame, bytes) else line.send_text(frame)
            with pytest.raises(WebSocketDisconnect) as closed:
                line.receive_json()
            assert closed.value.code == 1007
        calm.send_json({"type": "ping", "t1": 1.0})
        assert next(said for said in iter(calm.receive_json, None) if said["type"] == "pong")["t1"] == 1.0


def test_every_field_of_every_form_takes_hostile_texts_without_breaking_or_keeping_them(
    visitors: Visitors, tmp_path: Path
) -> None:
    desk, wrong, sent_in = visitors.house.desk(), [], 0
    for path in to_look_at(visitors.house):
        shown = desk.get(path, headers=PAGE)
        assert shown.status_code == 200, (path, shown.status_code, shown.headers.get("location"))
        for form in Forms(shown.text).found:
            action = form.action or path
            if action in ("/desk/leave", "/review/leave") or "delete" in action or not form.free:
                continue
            tries = [(form.fields | dict.fromkeys(form.free, text), text) for text in BAD_TEXTS]
            hidden = [name for name in form.fields if name not in form.free]
            tries += [(form.fields | {name: text}, text) for name, text in zip(hidden, itertools.cycle(BAD_TEXTS + BAD_JSON))]
            for filled, text in tries:
                sent_in += 1
                if said := _send(desk, action, filled):
                    wrong.append(f"{path} -> {action} with {text[:20]!r}: {said}")
    assert wrong == []
    assert sent_in > 300, sent_in
    assert unfit_in(tmp_path / STORE) == []
    exported = desk.get("/desk/competition.json")
    assert not hostile.unfit_value(exported.text)
    for path in ("/board", "/results", "/brief", "/timetable", "/desk", "/review", "/desk/results.csv", "/podium"):
        shown = desk.get(path, headers=PAGE)
        assert shown.status_code in (200, 303) and not hostile.NEVER.search(shown.text.replace("\r", "")), path


def _send(desk: Any, action: str, filled: dict[str, str]) -> str:
    try:
        answer = desk.post(
            action, data={name: value.encode("utf-8", "surrogatepass") for name, value in filled.items()}, headers=PAGE
        )
    except Exception as crash:
        return repr(crash)[:400]
    return f"{answer.status_code}" if answer.status_code >= 500 else ""


def test_the_scan_of_a_store_sees_what_it_looks_for(house: House, tmp_path: Path) -> None:
    assert unfit_in(tmp_path / STORE) == []
    for bad in (
        "a\x00b",
        "a\u202eb",
        '{"a": NaN}',
        '{"a": "\\u0000"}',
        '["\\u202E"]',
        float("nan"),
        b'{"a": 1e400, "b": Infinity}',
    ):
        assert hostile.unfit_value(bad), bad
    for good in ("NaN", "a\nb", '{"a": "NaN"}', '{"a": "\\u00e4"}', 1.5, None, b"\x01\x02"):
        assert hostile.unfit_value(good) is (good == b"\x01\x02"), good


def test_marks_in_the_table_are_odd_in_one_place_only() -> None:
    """Each is a good mark but for the one thing that is said to be odd: so it is that which was refused."""
    assert parse_mark(a_mark()).seq == 1
    for kind, body in hostile.NEEDED.items():
        assert parse_mark(json.loads(hostile._mark(1, {"kind": kind, "body": body}))).kind == kind
