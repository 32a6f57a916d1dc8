"""Static files under a versioned address, compressed, and the service worker with the version inside."""

import gzip
import hashlib
import json
import mimetypes
import re
from functools import lru_cache, partial
from pathlib import Path

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import Headers
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response
from starlette.types import Receive, Scope, Send

from app.paths import static_dir
from app.rules.values.words import ENGLISH, in_force, spoken
from app.web import roles
from app.web.page_scripts import APART, apart_of, is_page, page_script
from app.web.pages import OF_LANGUAGE, rows_json, static_url, static_version, version_spoken
from app.web.places import SERVICE_WORKER
from app.web.roles import wears
from app.web.rows import Rows
from app.web.script_words import said_in, table
from app.web.spoken import language_of
from app.wording import catalogue, languages

routes = Rows()

FOR_EVER = "max-age=31536000, immutable"
AGAIN = "no-cache"
SMALLEST_GZIP = 600  # bytes; below that, packing saves nothing
PACKED_ALREADY = frozenset({".woff2", ".png", ".jpg", ".webp"})
NEEDED_OFFLINE = ("css", "fonts", "icon")
OFFLINE = ("floor/lane", "floor/call", "floor/coach", "floor/platform", "floor/platform_call", "floor/video", "compose/brief")
SCRIPTS_OFFLINE = tuple(f"js/screens/{page}.js" for page in OFFLINE)
# Comments that have their lines to themselves. They are for who reads the source: a fifth of what a tablet would fetch.
COMMENT_LINES = re.compile(rb"^[ \t]*(?://[^\n]*|/\*(?:[^*]|\*(?!/))*\*/[ \t]*)$", re.M)
# Notes for the type checker in the middle of a line.
NOTES = re.compile(rb"/\*\* ?@(?:[^*\n]|\*(?!/))*\*/ *")
# Comments that end a line. With a quotation mark after the slashes they may be part of a text.
LAST_WORDS = re.compile(rb'[ \t]+// [^"`]*$')
EMPTY_LINES = re.compile(rb"\n\s*\n")
COMMENTED = frozenset({".js", ".css"})
ROWS_HOLE = b'"__ROWS__"'  # in static/js/rules/rows.js
TYPES = {".js": "text/javascript", ".css": "text/css", ".woff2": "font/woff2", ".webmanifest": "application/manifest+json"}


@wears(roles.READER)
class VersionedStatic:
    """Serves `/static/<version>/<path>`.

    The present version may be kept for ever; another version's address gives today's file, not kept.
    """

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answers one request for a static file."""
        if scope["type"] != "http" or scope["method"] not in ("GET", "HEAD"):
            raise HTTPException(405, headers={"Allow": "GET, HEAD"})
        path = scope["path"].removeprefix(scope.get("root_path", "")).lstrip("/")
        version, _, name = path.partition("/")
        language = language_of_version(version)
        found = (_made.get((name, language)) or await run_in_threadpool(_make, name, language)) if name in _names() else None
        if found is None:
            await PlainTextResponse("There is no such file here.", status_code=404)(scope, receive, send)
            return
        body, packed, kind = found
        headers = {
            "Cache-Control": FOR_EVER if version.partition(OF_LANGUAGE)[0] == static_version() else AGAIN,
            "Vary": "Accept-Encoding",
        }
        if packed is not None and "gzip" in Headers(scope=scope).get("accept-encoding", ""):
            body, headers["Content-Encoding"] = packed, "gzip"
        # As it stands: for text a response would add a charset, which scripts and styles have from their page.
        answer = Response(body, headers=headers | {"Content-Type": kind})
        await answer(scope, receive, send)


@lru_cache(maxsize=1)
def _names() -> frozenset[str]:
    """The files of the static tree: what is asked for is looked up here and never on the disk, whatever it is made of."""
    return frozenset(_all(static_dir()))


def _all(root: Path) -> list[str]:
    """Every name that is served, relative to the static tree: its files, and the sheets that stand for several."""
    found = [path for path in root.rglob("*") if path.is_file()]
    found += [path.with_suffix(".css") for path in found if path.suffix == ".txt" and sheets_of(path.with_suffix(".css"))]
    return sorted(path.relative_to(root).as_posix() for path in found)


_made: dict[tuple[str, str], tuple[bytes, bytes | None, str]] = {}


def language_of_version(version: str) -> str:
    """The language that is named behind the version in an address."""
    named = version.partition(OF_LANGUAGE)[2]
    return named if named in languages() else ENGLISH


def _make(name: str, language: str) -> tuple[bytes, bytes | None, str]:
    """A static file's bytes, its packed bytes if that helps, its type. A page's script takes a tenth of a second, once."""
    path = static_dir() / name
    body = served_bytes(path, language)
    kind = TYPES.get(path.suffix) or mimetypes.guess_type(path.name)[0] or "application/octet-stream"
    packs = path.suffix not in PACKED_ALREADY and len(body) > SMALLEST_GZIP
    _made[name, language] = body, gzip.compress(body, 9, mtime=0) if packs else None, kind
    return _made[name, language]


def served_bytes(path: Path, language: str = ENGLISH) -> bytes:
    """What is sent for a file of the static tree: our own scripts and styles without comments, notes and indentation.

    What others wrote keeps its licence and its checksum. A sheet that a list of sheets stands for (`x.txt` beside it) is all of
    them in that order; a page's script is all that it imports (page_scripts.py), with its words in a language (script_words.py).
    """
    name = path.relative_to(static_dir()).as_posix() if path.is_relative_to(static_dir()) else ""
    if not is_page(name):
        return alone(path, language)
    words = catalogue(language)
    return page_script(name, partial(_module, language=language), partial(table, words=words)).encode()


@lru_cache(maxsize=1024)
def _module(name: str, language: str = ENGLISH) -> str:
    """The text of a module of the static tree, as it is served by itself in a language."""
    text = alone(static_dir() / name, language).decode()
    return said_in(text, catalogue(language))


def alone(path: Path, language: str = ENGLISH) -> bytes:
    """What is sent for one file by itself: the lines stay, empty, so that an error names the line of the source; among
    several sheets it would say nothing, and they go."""
    if not path.exists() and sheets_of(path):
        return EMPTY_LINES.sub(b"\n", b"".join(served_bytes(sheet) for sheet in sheets_of(path)))
    body = path.read_bytes().replace(ROWS_HOLE, rows_json(language))
    if path.suffix not in COMMENTED or "vendor" in path.parts:
        return body
    body = COMMENT_LINES.sub(lambda comment: b"\n" * comment[0].count(b"\n"), body)
    return b"\n".join(_spare(line) for line in body.split(b"\n"))


def _spare(line: bytes) -> bytes:
    """A line without what only its reader needs. A template string is left as it is, with the code inside it."""
    return (line if b"`" in line else LAST_WORDS.sub(b"", NOTES.sub(b" ", line))).lstrip(b" \t")


def sheets_of(path: Path) -> list[Path]:
    """The style sheets that travel as one under this name, in their order; none for a name that stands for itself."""
    listed = path.with_suffix(".txt")
    if path.suffix != ".css" or path.parents[1].name != "css" or not listed.is_file():
        return []
    return [path.parents[1] / name for name in listed.read_text(encoding="utf-8").split()]


@routes.plain(SERVICE_WORKER, "GET")
@wears(roles.READER)
async def service_worker(request: Request) -> Response:
    """The service worker: never kept, and changed by every change of the static tree."""
    with spoken(catalogue(await language_of(request))):
        script = await run_in_threadpool(worker_script, in_force().language)
    return Response(script, media_type="text/javascript", headers={"Cache-Control": AGAIN})


@lru_cache(maxsize=8)
def worker_script(language: str = ENGLISH) -> str:
    """static/sw.js with this version, and what a lane needs offline: each file's address with the hash of what is sent for it. It
    is made while that language is spoken."""
    root = static_dir()
    script = (root / "sw.js").read_text(encoding="utf-8")
    hashes = {
        static_url(path): hashlib.sha256((_made.get((path, language)) or _make(path, language))[0]).hexdigest()
        for path in offline_paths(root)
    }
    assets = json.dumps(hashes, indent=0)
    return script.replace('"__VERSION__"', json.dumps(version_spoken())).replace('"__ASSETS__"', assets)


def offline_paths(root: Path) -> list[str]:
    """The static files that the lane and call screens load, relative to the static tree."""
    scripts = {*SCRIPTS_OFFLINE, *APART, *(path for page in SCRIPTS_OFFLINE for path in apart_of(page, _module))}
    return sorted(
        {path for path in _all(root) if path.startswith(NEEDED_OFFLINE) and not path.endswith((".txt", ".md"))} | scripts
    )
