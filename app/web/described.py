"""The application described as OpenAPI 3.1: every address, who comes in, what is sent there and what comes back.

Made from the rows of all pages and their doors. The description is held to: tests/web/test_described.py sends what it allows and
what it does not, and looks at every answer.
"""

from collections.abc import Iterator, Mapping

from fastapi import FastAPI
from fastapi.openapi.utils import get_openapi
from fastapi.responses import JSONResponse

from app.rules.records.document import MARK_SCHEMA
from app.web.roles import ALL, Door, ways
from app.web.rows import Page, Plainly, Says
from app.web.shapes import OBJECT, SENTENCE, TEXT, TEXTS, Plain

PAGE = "text/html"
JSON = "application/json"
# What is neither JSON nor a page, by how its address ends.
OTHERWISE: Mapping[str, str] = {
    ".csv": "text/csv",
    ".ics": "text/calendar",
    ".zip": "application/zip",
    ".crt": "application/x-x509-ca-cert",
    ".html": "text/html",  # a file to keep, as which it is sent
    ".receipt": "application/octet-stream",
    ".kit": "application/octet-stream",
    ".binding": "application/octet-stream",
    ".hand-in": "application/octet-stream",
    ".mobileconfig": "application/x-apple-aspen-config",
    "/stream": "text/event-stream",
}
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
    "409": "It can't be done as things are",
    "413": "Too much at once",
    "415": "Neither a form nor JSON",
    "421": "This server does not answer to that name",
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
    doors = {(method, way.path): way.doors[0] for way in ways(app) if way.doors for method in way.methods}
    paths: Plain = plain["paths"]
    for row in app.routes:
        if isinstance(row, Page) or (isinstance(row, Plainly) and row.says.answers is not None):
            for method in row.methods or ():
                operation = paths.setdefault(row.path, {}).setdefault(method.lower(), _plain_operation(row))
                _describe(operation, row, method, doors.get((method, row.path)))
    schemes = {name: {"type": "apiKey", "in": "cookie", "name": cookie} for name, cookie in COOKIES.items()}
    plain["components"] = {"securitySchemes": schemes, "schemas": {"Sentence": SENTENCE, "Mark": MARK_SCHEMA}}
    return plain


def _plain_operation(row: Page | Plainly) -> Plain:
    """What the framework tells of its own pages, for one that goes past it."""
    return {"summary": row.name.replace("_", " ").title(), "operationId": row.name, "parameters": []}


def _describe(operation: Plain, row: Page | Plainly, method: str, door: Door | None) -> None:
    operation["responses"] = dict(_responses(row, method))
    if method == "POST":
        operation["requestBody"] = {"required": row.says.takes is not None, "content": _sent(row.says)}
    if door is not None and door.admits != ALL:
        operation["description"] = f"{operation.get('description', '')}\n\nFor {door.name}: {door.words}.".strip()
        operation["security"] = [{name: []} for name in COOKIES if name in door.admits]


def _sent(says: Says) -> Plain:
    if says.takes is not None:
        return {JSON: {"schema": says.takes}}
    form = {"application/x-www-form-urlencoded": {"schema": TEXTS}, JSON: {"schema": TEXTS}}
    if not says.takes_mb:
        return form
    file = {"type": "object", "properties": {"file": {"type": "string", "contentMediaType": "application/octet-stream"}}}
    return {**form, "multipart/form-data": {"schema": file}}


def _responses(row: Page | Plainly, method: str) -> Iterator[tuple[str, Plain]]:
    sentence = {JSON: {"schema": {"$ref": "#/components/schemas/Sentence"}}, PAGE: {}, "text/plain": {}}
    for status in FETCHED if method == "GET" else SENT:
        if status == "200":
            yield status, {"description": SAYS[status], "content": _good(row, method)}
        elif status == "303":
            yield status, {"description": SAYS[status], "headers": {"Location": {"schema": TEXT}}}
        else:
            yield status, {"description": SAYS[status], "content": sentence}


def _good(row: Page | Plainly, method: str) -> Plain:
    ends = next((kind for end, kind in OTHERWISE.items() if row.path.endswith(end)), None)
    if ends is not None:
        return {ends: {}}
    data = data_of(row)
    if data is None:
        return {PAGE: {}}
    return {JSON: {"schema": data}, **({PAGE: {}} if method == "POST" and row.says.takes is None else {})}


def data_of(row: Page | Plainly) -> Plain | None:
    """What a page's JSON is made of, if it answers with JSON: what its row says, or some object where only its type says so."""
    by_its_type = getattr(row.endpoint, "__annotations__", {}).get("return") in (JSONResponse, "JSONResponse")
    return row.says.answers or (OBJECT if by_its_type else None)
