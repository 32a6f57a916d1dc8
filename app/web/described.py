"""The application described as OpenAPI 3.1: every address, who comes in, what is sent there and what comes back.

Made from the routes and their doors; what no route says of itself (what its answer is made of) stands in the tables here. The
description is held to: tests/web/test_described.py sends what it allows and what it does not, and looks at every answer.
"""

from collections.abc import Iterator, Mapping
from typing import Any

from fastapi import FastAPI
from fastapi.openapi.utils import get_openapi
from fastapi.responses import JSONResponse
from fastapi.routing import iter_route_contexts

from app.rules.records.document import MARK_SCHEMA
from app.rules.records.marks import MOST_MARKS
from app.web.roles import ALL, Door, ways

Plain = dict[str, Any]

TEXT: Plain = {"type": "string"}
WHOLE: Plain = {"type": "integer"}
NUMBER: Plain = {"type": "number"}
OBJECT: Plain = {"type": "object"}
PAGE = "text/html"
JSON = "application/json"


def an_object(**fields: Plain) -> Plain:
    """The schema of an object that has all of these fields, and maybe more."""
    return {"type": "object", "properties": fields, "required": list(fields)}


def many(item: Plain) -> Plain:
    """The schema of a list."""
    return {"type": "array", "items": item}


SENTENCE = an_object(sentence=TEXT)
REFUSED_MARK = an_object(epoch={"type": ["integer", "null"]}, seq={"type": ["integer", "null"]}, sentence=TEXT)
RECEIPT = an_object(boot=TEXT, held={"type": "object", "additionalProperties": WHOLE}, refused=many(REFUSED_MARK))
TEXTS: Plain = {"type": "object", "additionalProperties": TEXT}

# What comes back as JSON where all went well, by address; and what is neither JSON nor a page, by how its address ends.
AS_JSON: Mapping[str, Plain] = {
    "/board/parts": an_object(version=TEXT, html=TEXT),
    "/board/time": an_object(boot=TEXT, t2=NUMBER, t3=NUMBER),
    "/clock/now": OBJECT,
    "/results.json": an_object(events=many(an_object(event=TEXT, name=TEXT))),
    "/results/{event}/{score}/{entry}.json": an_object(event=TEXT, score_name=TEXT, members=many(TEXT)),
    "/overall/{division}/{entry}.json": OBJECT,
    "/health": OBJECT,
    "/halls.json": an_object(halls=OBJECT, found=many(TEXT)),
    "/brief/list.json": an_object(version=TEXT, paths=many(TEXT)),
    "/lane/packet": an_object(device=OBJECT, held=OBJECT),
    "/lane/ahead": OBJECT,
    "/review/video/packet": OBJECT,
    "/ten/now": an_object(open=TEXT),
    "/ten/count": an_object(count=WHOLE),
    "/trust/yes": an_object(lane_ledger={"const": True}),
    "/pair": an_object(to=TEXT, name=TEXT),
    "/pair/look": an_object(becomes=TEXT, competition=TEXT, gives_up=TEXT),
    "/desk/tablets/states": {"type": "object", "additionalProperties": an_object(state=TEXT, words=TEXT)},
    "/desk/competition.json": an_object(file={"const": "lane-ledger-competition"}, version={"const": 1}),
    "/desk/halls/competition.json": an_object(file={"const": "lane-ledger-competition"}, version={"const": 1}),
    "/desk/import": an_object(competition=TEXT, marks=WHOLE),
    "/desk/backups/now": an_object(file=TEXT, marks=WHOLE, sha256=TEXT),
    "/desk/backups/marks": an_object(new=WHOLE, known=WHOLE, refused=many(TEXT)),
    "/desk/openapi.json": an_object(openapi=TEXT, paths=OBJECT),
    **{f"/desk/heats/{{heat_id}}/{act}": SENTENCE for act in ("go", "abort", "restart", "hold", "go-on", "close")},
    "/desk/lanes/{assignment}/shift": SENTENCE,
}
OTHERWISE: Mapping[str, str] = {
    ".csv": "text/csv",
    ".ics": "text/calendar",
    ".zip": "application/zip",
    ".crt": "application/x-x509-ca-cert",
    ".mobileconfig": "application/x-apple-aspen-config",
    "/sw.js": "text/javascript",
    "/stream": "text/event-stream",
}
TAKES_FILES = frozenset({"/desk/import", "/desk/backups/marks", "/desk/halls", "/desk/entries/file"})
COOKIES = {"desk": "ll_desk", "lane": "ll_device", "head judge": "ll_review"}

SAYS: Mapping[str, str] = {
    "200": "What was asked for",
    "303": "Done; or log in first: the address to go on to",
    "307": "The same under another address",
    "400": "What came can't be read",
    "401": "Who asks is not known, or may not come in",
    "403": "A wrong password or code, or a page of another site",
    "404": "There is no such thing",
    "405": "Nothing is done at this address in this way",
    "408": "What came took too long to arrive",
    "409": "It can't be done as things stand",
    "413": "Too much at once",
    "415": "Neither a form nor JSON",
    "421": "This server does not go by that name",
    "422": "What was typed can't be taken, and why",
    "429": "Too many wrong tries, or too many requests; Retry-After says when",
    "503": "The store can't take it now",
    "507": "There is no room for a backup",
}
FETCHED = ("200", "303", "400", "401", "404", "405", "421", "422", "429", "503")
SENT = (*FETCHED, "403", "408", "409", "413", "415", "507")


def described(app: FastAPI) -> Plain:
    """The description of an application, all its pages loaded."""
    plain = get_openapi(title=app.title, version=app.version, openapi_version="3.1.0", routes=app.routes)
    doors = {(method.lower(), way.path): way.doors[0] for way in ways(app) if way.doors for method in way.methods}
    paths: Plain = plain["paths"]
    paths["/marks"] = {"post": {"summary": "Take Marks", "operationId": "take_marks", "parameters": []}}
    data = _data_by_their_own_word(app)
    for path, operations in paths.items():
        for method, operation in operations.items():
            _describe(path, method, operation, doors.get((method, path)), AS_JSON.get(path, OBJECT if path in data else None))
    schemes = {name: {"type": "apiKey", "in": "cookie", "name": cookie} for name, cookie in COOKIES.items()}
    plain["components"] = {"securitySchemes": schemes, "schemas": {"Sentence": SENTENCE, "Mark": MARK_SCHEMA}}
    return plain


def _data_by_their_own_word(app: FastAPI) -> frozenset[str]:
    """The addresses whose function says that it answers with JSON, whatever is in it."""
    said = ((route.path or "", getattr(route.endpoint, "__annotations__", {})) for route in iter_route_contexts(app.routes))
    return frozenset(path for path, types in said if types.get("return") in (JSONResponse, "JSONResponse"))


def _describe(path: str, method: str, operation: Plain, door: Door | None, data: Plain | None) -> None:
    operation["responses"] = dict(_responses(path, method, data))
    if method == "post":
        operation["requestBody"] = {"required": path == "/marks", "content": _sent(path)}
    if door is not None and door.admits != ALL:
        operation["description"] = f"{operation.get('description', '')}\n\nFor {door.name}: {door.words}.".strip()
        operation["security"] = [{name: []} for name in COOKIES if name in door.admits]


def _sent(path: str) -> Plain:
    if path == "/marks":
        schema = an_object(marks={"type": "array", "maxItems": MOST_MARKS, "items": {"$ref": "#/components/schemas/Mark"}})
        return {JSON: {"schema": schema}}
    form = {"application/x-www-form-urlencoded": {"schema": TEXTS}, JSON: {"schema": TEXTS}}
    if path not in TAKES_FILES:
        return form
    file = {"type": "object", "properties": {"file": {"type": "string", "contentMediaType": "application/octet-stream"}}}
    return {**form, "multipart/form-data": {"schema": file}}


def _responses(path: str, method: str, data: Plain | None) -> Iterator[tuple[str, Plain]]:
    sentence = {JSON: {"schema": {"$ref": "#/components/schemas/Sentence"}}, PAGE: {}, "text/plain": {}}
    for status in FETCHED if method == "get" else SENT:
        if status == "200":
            yield status, {"description": SAYS[status], "content": _good(path, method, data)}
        elif status == "303":
            yield status, {"description": SAYS[status], "headers": {"Location": {"schema": TEXT}}}
        else:
            yield status, {"description": SAYS[status], "content": sentence}


def _good(path: str, method: str, data: Plain | None) -> Plain:
    if path == "/marks":
        return {JSON: {"schema": RECEIPT}}
    ends = next((kind for end, kind in OTHERWISE.items() if path.endswith(end)), None)
    if ends is not None:
        return {ends: {}}
    if data is None:
        return {PAGE: {}}
    return {JSON: {"schema": data}, **({PAGE: {}} if method == "post" or path == "/pair" else {})}
