"""The two doors of the ledger: what is sent by a tablet's own line and by a request is taken, or refused, alike."""

import json
from typing import Any

from httpx import Response as Answer

from tests.builders.halls import TestClient, sent

JSON = {"content-type": "application/json"}
SOCKET = "ws://localhost/lane/socket"
NOT_SAID = {"boot", "sentence", "retry_s"}  # the hello has said it; and the wait has grown shorter meanwhile


def both_ways(browser: TestClient, *marks: object, again: bool = False) -> Answer:
    """Sends marks by the line, then by a request, which must say the same: what is sent twice is one. Whoever has no line (the
    head judge, who is at no lane) sends them once. Returns what the request was answered."""
    by_line = None if "ll_review" in browser.cookies else on_the_line(browser, *marks, again=again)
    answer = by_request(browser, *marks, again=again)
    if by_line is not None:
        assert by_line["status"] == answer.status_code, (by_line, answer.text)
        said = {name: value for name, value in answer.json().items() if value and name not in NOT_SAID}
        assert {name: by_line.get(name) for name in said} == said
    return answer


def by_request(browser: TestClient, *marks: object, again: bool = False) -> Answer:
    """The same by a request alone."""
    answer: Answer = browser.post(f"/marks{'?again=1' if again else ''}", content=sent(*marks), headers=JSON)
    return answer


def on_the_line(browser: TestClient, *marks: object, again: bool = False) -> dict[str, Any]:
    """What marks are answered on the tablet's own line; the desk sits down at lane 1. Who may open none is told so: 401."""
    return framed(browser, json.dumps({"type": "marks", "n": 7, "again": again, "marks": marks}))


def framed(browser: TestClient, frame: str) -> dict[str, Any]:
    """What a frame is answered; a goodbye as its code and words."""
    lane = "" if "ll_device" in browser.cookies else "?lane=1"
    with browser.websocket_connect(f"{SOCKET}{lane}") as line:
        said = line.receive_json()
        if said["type"] == "hello":
            line.send_text(frame)
        while said["type"] not in ("answer", "bye"):
            message = line.receive()
            if message["type"] == "websocket.close":
                return {"type": "closed", "status": message["code"], "sentence": message["reason"]}
            said = json.loads(message["text"])
    assert said.pop("n", 7) == 7
    return said | {"status": said.get("status", 401)}
