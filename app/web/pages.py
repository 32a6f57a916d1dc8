"""Rendering: the one template environment, versioned static addresses, and sentences as pages or JSON."""

import hashlib
import json
from functools import lru_cache, partial
from pathlib import Path
from typing import Any

from fastapi import Request
from fastapi.responses import HTMLResponse, JSONResponse
from jinja2 import Environment, FileSystemLoader, StrictUndefined

from app.hall.around import REVIEW, REVIEW_PASSWORD, ROOMS
from app.hall.day_list import day_list
from app.hall.hall import Hall
from app.hall.told import told_now
from app.lan.secure import Secure
from app.paths import static_dir, templates_dir
from app.rules.count.tablet_rows import tablet_rows
from app.rules.values.words import ENGLISH, decimal, in_force, known, say_apart, spoken
from app.web.browsers import oldest_words
from app.web.keys import KEYS, on_key
from app.web.places import BELOW_STATIC
from app.wording import catalogue, languages, written

HASH_LENGTH = 12  # hex digits; enough to tell two versions of the app apart
OF_LANGUAGE = "-"  # between the version and the language
TOLD = "Ledger-Told"  # the header that says when a piece of a page was so


@lru_cache(maxsize=8)
def rows_json(language: str = ENGLISH) -> bytes:
    """The rows of the rule book that tablets read, as they are written into static/js/rules/rows.js in a language."""
    with spoken(catalogue(language)):
        return json.dumps(tablet_rows(), ensure_ascii=True, separators=(",", ":")).encode()


@lru_cache(maxsize=1)
def static_version() -> str:
    """A hash of the whole static tree and of the rows in it: one address prefix, so that modules of two versions never mix."""
    seen = hashlib.sha256()
    root = static_dir()
    for path in sorted(p for p in root.rglob("*") if p.is_file()):
        seen.update(path.relative_to(root).as_posix().encode())
        seen.update(hashlib.sha256(path.read_bytes()).digest())
    seen.update(rows_json())
    for text in written():
        seen.update(text)
    return seen.hexdigest()[:HASH_LENGTH]


def version_spoken() -> str:
    """This version of the app in the language that is spoken here. Another language is another version, with scripts of its own:
    so a tablet comes to it the way it comes to a newer app, never in the middle of a heat."""
    language = in_force().language
    return static_version() if language in (ENGLISH, "") else f"{static_version()}{OF_LANGUAGE}{language}"


def static_url(path: str) -> str:
    """The address of a static file in this version of the app."""
    return f"{BELOW_STATIC}{version_spoken()}/{path}"


def static_file(path: str) -> Path:
    """Where a static file lies on disk."""
    return static_dir() / path


@lru_cache(maxsize=1)
def templates() -> Environment:
    """The template environment: everything escaped, an unknown name is an error."""
    environment = Environment(
        loader=FileSystemLoader(templates_dir()),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        auto_reload=False,
    )
    environment.globals["static_url"] = static_url
    environment.globals["say"] = say_apart
    environment.globals.update(known=known, decimal=decimal, language=lambda: in_force().language)
    environment.globals.update(languages=languages, other_languages=other_languages)
    environment.globals["oldest_browsers"] = oldest_words()
    environment.globals |= {"rooms": ROOMS, "review_places": REVIEW, "review_password": REVIEW_PASSWORD}
    environment.globals |= {"on_key": on_key, "key_groups": KEYS}
    return environment


def other_languages() -> list[tuple[str, str]]:
    """The languages that are not spoken here: code, and what each calls itself."""
    return [(code, name) for code, name in languages().items() if code != in_force().language]


def hall_of(request: Request) -> Hall:
    """The hall that this server runs."""
    hall: Hall = request.app.state.hall
    return hall


def secure_of(request: Request) -> Secure | None:
    """This server's HTTPS, if it speaks it."""
    secure: Secure | None = request.app.state.secure
    return secure


def render(name: str, **views: Any) -> str:
    """A template as text."""
    return templates().get_template(name).render(**views)


def page(request: Request, name: str, status: int = 200, **views: Any) -> HTMLResponse:
    """A template as an answer; every page is told whether this is a demo, whether it is the head judge who looks, and how to come
    by the list of the day."""
    hall, seat = hall_of(request), getattr(request.state, "seat", "")
    always = {"demo": hall.settings.demo, "seat": seat, "day_list": partial(day_list, hall, request.url.path)}
    # A piece that a page asks for says when it was so: pieces may come in another order (js/parts/under_finger.js).
    told = {TOLD: json.dumps(told_now(hall))} if request.headers.get("hx-request") else None
    return HTMLResponse(render(name, **{**always, **views}), status_code=status, headers=told)


def wants_page(request: Request) -> bool:
    """Whether a person's browser asked for a page, as opposed to a script that asked for data."""
    return "text/html" in request.headers.get("accept", "")


def sentence(request: Request, status: int, text: str) -> HTMLResponse | JSONResponse:
    """A plain sentence as the answer to something that can't be done."""
    if wants_page(request):
        return page(request, "web/error.html", status=status, sentence=text, status_code=status)
    return JSONResponse({"sentence": text}, status_code=status)
