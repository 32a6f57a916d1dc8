"""Requests that mean no good, as a table; and what may never be found in a store afterwards."""

import gzip
import io
import json
import re
import sqlite3
import zipfile
from collections.abc import Iterator
from contextlib import closing
from dataclasses import dataclass, field
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

from app.rules.values.texts import NEVER
from tests.builders.halls import a_mark

JSON = {"content-type": "application/json"}
FORM = {"content-type": "application/x-www-form-urlencoded"}
GIVEN = "multipart/form-data; boundary=cut"

BAD_TEXTS = ("a\x00b", "\u202ea\x1b[2J", "1e999999999", "9" * 400, "o" + "\u0301" * 60)
BAD_JSON = ('[{"kind":"reps","body":{"add":1e400}}]', "[" * 20_000, '{"kind":NaN}', "null", "[[],[]]")
BIG = (2**63, 2**63 - 1, -(2**63) - 1, 2**64, 10**40, 10**4000)
ODD = (*BIG, 1.5, -0.0, True, "1", [], {}, [[1]])
WHOLE = ("epoch", "seq", "at", "err", "win")
OWN_WHOLE = {"rep": ("member", "held"), "lift": ("reps", "member"), "note": ("late", "go"), "declare": ("member",)}
NEEDED: dict[str, dict[str, Any]] = {
    "rep": {},
    "note": {"text": "x"},
    "declare": {"load": {"amount": "100", "unit": "kg"}, "by": "judge"},
    "lift": {"load": {"amount": "100", "unit": "kg"}, "good": True},
}


@dataclass(frozen=True)
class Hostile:
    """One request: who sends it, what, and which answers are right."""

    name: str
    seat: str
    path: str
    content: bytes = b""
    headers: dict[str, Any] = field(default_factory=dict)
    method: str = "POST"
    right: tuple[int, ...] = (400, 401, 403, 404, 405, 408, 409, 411, 413, 415, 421, 422, 429)


def odd_numbers() -> list[str]:
    """A mark as JSON for every odd value in every place where a whole number belongs; none of them is one."""
    marks = []
    for value in ODD:
        marks += [_mark(len(marks), {name: value}) for name in WHOLE]
        for kind, names in OWN_WHOLE.items():
            marks += [_mark(len(marks), {"kind": kind, "body": {**NEEDED[kind], name: value}}) for name in names]
    for word in ("NaN", "Infinity", "-Infinity", "1e400", "1e999999999"):
        for name in WHOLE:
            marks.append(_mark(len(marks), {name: "HERE"}).replace('"HERE"', word))
    for amount in (
        "1e999999999",
        "NaN",
        "inf",
        "9" * 400,
        "1" * 10_000,
        "-1",
        "1.",
        ".5",
        "1_0",
        "\u0661\u0662",
        "0x10",
        "1\x00",
    ):
        marks.append(_mark(len(marks), {"kind": "declare", "body": {"by": "judge", "load": {"amount": amount, "unit": "kg"}}}))
        if amount != "-1":
            marks.append(_mark(len(marks), {"kind": "measure", "body": {"value": amount}}))
    return marks


def bad_words() -> list[str]:
    """A mark for every text that may not be stored, in every place where words belong."""
    marks = []
    for text in (
        "a\x00b",
        "a\u202eb",
        "\u2066a",
        "\x1b[2J",
        "\ud800",
        "o" + "\u0301" * 60,
        "\ue000",
        "x" * 501,
        "a\u200bb",
        "\x85",
    ):
        for kind, body in (
            ("note", {"text": text}),
            ("stop", {"why": text}),
            ("sign", {"who": "judge", "name": text}),
            ("check", {"items": ["collars", text], "name": "Kim"}),
            ("norep", {"fault": text}),
            ("rep", {text: 1}),
        ):
            marks.append(_mark(len(marks), {"kind": kind, "body": body}))
        marks += [_mark(len(marks), {name: text}) for name in ("id", "sheet", "device", "kind")]
    return marks


def _mark(number: int, changes: dict[str, Any]) -> str:
    return json.dumps(a_mark() | {"id": f"{number + 900:032x}", "seq": number + 1} | changes)


def _packed(content: bytes) -> bytes:
    box = io.BytesIO()
    with zipfile.ZipFile(box, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("xl/workbook.xml", content)
    return box.getvalue()


def _parts(*parts: str) -> bytes:
    return "".join(f"--cut\r\n{part}\r\n" for part in parts).encode("utf-8", "surrogatepass") + b"--cut--\r\n"


def _file(content: bytes, name: str = "list.csv", kind: str = "text/csv") -> bytes:
    head = f'--cut\r\ncontent-disposition: form-data; name="file"; filename="{name}"\r\ncontent-type: {kind}\r\n\r\n'
    return head.encode() + content + b"\r\n--cut--\r\n"


def _text(name: str, value: str) -> str:
    return f'content-disposition: form-data; name="{name}"\r\n\r\n{value}'


def requests() -> Iterator[Hostile]:
    """All of them."""
    yield from _bodies()
    yield from _forms()
    yield from _lists()
    yield from _files()
    yield from _addresses()


def _bodies() -> Iterator[Hostile]:
    deep, many = b'{"marks": ' + b"[" * 100_000 + b"]" * 100_000 + b"}", b'{"marks": [' + b"0," * 120_000 + b"0]}"
    twice = b'{"marks": 5, "marks": []}'
    for name, body, right in (
        ("brackets 100,000 deep", deep, (200, 400)),
        ("120,000 numbers for marks", many, (413,)),
        ("201 marks", ('{"marks": [' + ",".join(["{}"] * 201) + "]}").encode(), (413,)),
        ("a name twice", twice, (200, 400)),
        ("a mark that is a number", b'{"marks": [1e400, -0, null, "x", [], true]}', (200,)),
        ("a list at the top", b"[]", (400,)),
        ("a number at the top", b"9" * 5000, (400,)),
        ("nothing", b"", (400,)),
        ("half a JSON", b'{"marks": [{"id": "', (400,)),
        ("not UTF-8", b'{"marks": ["\xff\xfe"]}', (400,)),
        ("UTF-16", '{"marks": []}'.encode("utf-16"), (400,)),
        ("NaN for marks", b'{"marks": NaN}', (400,)),
        ("a NUL in a key", b'{"marks": [{"\\u0000": 1}]}', (200,)),
        (
            "objects 50,000 deep in a body",
            b'{"marks": [{"body": ' + b'{"a":' * 40_000 + b"1" + b"}" * 40_000 + b"}]}",
            (200, 400),
        ),
    ):
        yield Hostile(f"marks: {name}", "lane", "/marks", body, JSON, right=right)
    yield Hostile("marks: as a form", "lane", "/marks", b"marks=[]", FORM)
    yield Hostile("marks: a type that nobody knows", "lane", "/marks", b'{"marks": []}', {"content-type": b"application/x-\xff"})
    packed = gzip.compress(b'{"marks": [' + b" " * 40_000_000 + b"]}")
    yield Hostile(
        "marks: 40 MB packed into 40 kB", "lane", "/marks", packed, {**JSON, "content-encoding": "gzip"}, right=(400, 415)
    )
    yield Hostile("marks: from a stranger", "stranger", "/marks", b'{"marks": []}', JSON, right=(401,))
    yield Hostile("marks: fetched", "lane", "/marks", method="GET", right=(405,))


def _forms() -> Iterator[Hostile]:
    path = "/desk/divisions"
    many = "&".join(f"f{n}=" for n in range(30_000)).encode()
    yield Hostile("form: 30,000 fields", "desk", path, many, FORM)
    yield Hostile("form: 100,000 empty fields", "desk", path, b"&" * 100_000 + b"name=x\x00", FORM)
    yield Hostile("form: percent garbage", "desk", path, b"name=%zz%00%u202e%ff%c0%80%", FORM)
    yield Hostile("form: a name of 100 kB", "desk", path, b"name=" + b"a" * 100_000, FORM)
    yield Hostile("form: a field named by 100 kB", "desk", path, b"n" * 100_000 + b"=1", FORM)
    yield Hostile("form: a tower of 100 kB", "desk", path, b"name=o" + "\u0301\u0323".encode() * 30_000, FORM)
    yield Hostile("form: JSON with a list", "desk", path, b'{"name": ["x"]}', JSON)
    yield Hostile("form: JSON 100,000 deep", "desk", path, b"[" * 100_000, JSON)
    yield Hostile("form: half a character", "desk", path, b'{"name": "a\\ud800"}', JSON, right=(303, 422))
    yield Hostile("form: no type", "desk", path, b"name=x")
    yield Hostile("parts: no boundary", "desk", path, b"x", {"content-type": "multipart/form-data"})
    yield Hostile(
        "parts: a boundary of 10 kB", "desk", path, b"x", {"content-type": "multipart/form-data; boundary=" + "b" * 10_000}
    )
    yield Hostile(
        "parts: 10,000 of them", "desk", path, _parts(*(_text(f"f{n}", "") for n in range(4_000))), {"content-type": GIVEN}
    )
    yield Hostile(
        "parts: 11 files",
        "desk",
        path,
        _parts(*(f'content-disposition: form-data; name="f{n}"; filename="x"\r\n\r\nx' for n in range(11))),
        {"content-type": GIVEN},
    )
    yield Hostile("parts: a field named by 60 kB", "desk", path, _parts(_text("n" * 60_000, "x")), {"content-type": GIVEN})
    yield Hostile(
        "parts: 20 kB of header",
        "desk",
        path,
        _parts("x-h: " + "h" * 20_000 + "\r\n" + _text("name", "x\x00")),
        {"content-type": GIVEN},
    )
    yield Hostile("parts: never ends", "desk", path, b"--cut\r\n" + b"x" * 1000, {"content-type": GIVEN})
    yield Hostile(
        "parts: a charset that nobody knows",
        "desk",
        path,
        _parts(_text("_charset_", "utf-99"), _text("name", "\x00")),
        {"content-type": GIVEN + "; charset=utf-99"},
    )


def _lists() -> Iterator[Hostile]:
    path, cut = "/desk/entries/file", {"content-type": GIVEN}
    right = (200, 400, 413, 422)
    wide, tall, fat = b",".join([b"a"] * 10_000), b",\n" * 1_000_000, b"a,b\n" + b"x" * (2900 * 1024)
    for name, content, file, kind in (
        ("10,000 columns", b"\n".join([wide] * 3), "list.csv", "text/csv"),
        ("a million empty rows", tall, "list.csv", "text/csv"),
        ("one cell of 3 MB", fat, "list.csv", "text/csv"),
        ("200,000 empty rows", b",\n" * 180_000, "list.csv", "text/csv"),
        ("a quote that never ends", b'"' + b"x" * 300_000, "list.csv", "text/csv"),
        ("a spreadsheet renamed", _packed(b"<x/>"), "list.csv", "text/csv"),
        ("a bomb in a spreadsheet", _packed(b"0" * 20_000_000), "list.xlsx", "application/zip"),
        ("UTF-16 with NUL", "Division,Entry\nOpen,a\x00b\n".encode("utf-16"), "list.csv", "text/csv"),
        ("UTF-16 cut in half", "Division,Entry".encode("utf-16")[:-1], "list.csv", "text/csv"),
        ("only a byte order mark", b"\xef\xbb\xbf", "list.csv", "text/csv"),
        ("half characters in UTF-8", b"Division,Entry\nOpen,\xed\xa0\x80\n", "list.csv", "text/csv"),
        ("NUL everywhere", b"\x00" * 50_000, "list.csv", "text/csv"),
        ("a tower", b"Division,Entry\nOpen,o" + "\u0301\u0323".encode() * 80_000, "list.csv", "text/csv"),
        ("a path for a name", b"Division,Entry\nOpen,x\n", "../../../etc/passwd", "text/csv"),
        ("a name that turns", b"Division,Entry\nOpen,x\n", "\u202evsc.tsil\x00", "text/csv"),
        ("a name of 5 kB", b"Division,Entry\nOpen,x\n", "\u5217" * 1700, "text/csv"),
        ("a name in Korean", b"Division,Entry\nOpen,x\n", "\ucc38\uac00\uc790 \uba85\ub2e8.csv", "text/csv"),
    ):
        yield Hostile(f"list: {name}", "desk", path, _file(content, file, kind), cut, right=right)
    form = "do=store&make_divisions=on&odd_is_right=on&text="
    for name, text in (
        ("NUL", "Open%2Ca%00b"),
        ("turned", "Open%2Ca%E2%80%AEb"),
        ("NaN", "Open%2CNaN"),
        ("half", "Open%2C%ED%A0%80"),
    ):
        body = f"{form}Division%2CEntry%0A{text}&file_name=%E2%80%AE%00x".encode()
        yield Hostile(f"list: stored with {name}", "desk", path, body, FORM, right=(303, 400, 422))


def _files() -> Iterator[Hostile]:
    cut = {"content-type": GIVEN}
    for path in ("/desk/import", "/desk/halls", "/desk/backups/marks"):
        for name, content in (
            ("brackets 100,000 deep", b"[" * 100_000),
            ("objects 100,000 deep", b'{"a":' * 100_000),
            ("a number of 100,000 digits", b'{"file": "lane-ledger-competition", "version": ' + b"9" * 100_000 + b"}"),
            ("NaN", b'{"file": "lane-ledger-competition", "version": 1, "made_wall_ms": NaN}'),
            ("a name twice", b'{"file": "lane-ledger-competition", "file": "lane-ledger-competition", "version": 1}'),
            ("60,000 different names twice", b"{" + b",".join(b'"%d":1' % (n // 2) for n in range(60_000)) + b"}"),
            ("a zip", _packed(b"0" * 1_000_000)),
            ("a gzip bomb", gzip.compress(b"[" * 10_000_000)),
            ("an empty file", b""),
            ("a million of nothing", b'{"file": "lane-ledger-marks", "version": 1, "marks": [' + b"0," * 100_000 + b"0]}"),
        ):
            # A tablet's file is read mark by mark: what is no mark is told and nothing is stored.
            right = (200, 400, 404, 409, 413, 422)
            yield Hostile(f"{path}: {name}", "desk", path, _file(content, "x.json", "application/json"), cut, right=right)
    yield Hostile("/desk/import: parts without a boundary", "desk", "/desk/import", b"x", {"content-type": "multipart/form-data"})
    yield Hostile("/desk/backups/marks: broken parts", "desk", "/desk/backups/marks", b"--cut\r\nx", cut)
    yield Hostile("backups: a folder with NUL", "desk", "/desk/backups/folder", b"folder=/tmp/%00", FORM, right=(422,))
    yield Hostile("backups: a folder of 100 kB", "desk", "/desk/backups/folder", b"folder=/" + b"x" * 100_000, FORM, right=(422,))
    yield Hostile(
        "halls: an answer to no question", "desk", "/desk/halls/settle", b"key=%E2%80%AE&answer=%00", FORM, right=(404, 422)
    )


def _addresses() -> Iterator[Hostile]:
    odd = (
        "../../etc/passwd",
        "..%2f..%2fx",
        "%00",
        "a%00b",
        "'%20or%201=1--",
        "{{7*7}}",
        "%E2%80%AE",
        "%ff%fe",
        "x" * 5000,
        "~",
        "-1",
        "1e400",
    )
    rooms = (
        "/results/",
        "/brief/",
        "/protest/",
        "/desk/entries/",
        "/desk/events/",
        "/desk/heats/",
        "/review/lanes/",
        "/static/",
        "/desk/plates/",
        "/train/result/",
        "/desk/paper/key/",
    )
    for number, (room, key) in enumerate((room, key) for room in rooms for key in odd):
        seat = "stranger" if number % 2 and not room.startswith(("/desk", "/review")) else "desk"
        yield Hostile(f"address: {room}{key[:20]}", seat, room + key, method="GET", right=(303, 307, 400, 401, 403, 404, 405))
    yield Hostile("query: 60 kB", "desk", "/desk/checkin?q=" + "x" * 60_000, method="GET", right=(200, 414))
    for query in ("heat=%00", "heat=%ff%fe%zz", "heat=" + "%E2%80%AE" * 50, "&" * 5_000, "heat[]=1&heat=2&heat=3", "=%3D%00"):
        yield Hostile(f"query: {query[:20]}", "desk", f"/desk?{query}", method="GET", right=(200, 303, 404))
    for query in ("within=1e999999999", "within=NaN", "a=..%2F..&b=%00", "within=1/0"):
        yield Hostile(f"compare: {query}", "desk", f"/review/compare/asg_1_1?{query}", method="GET", right=(200, 404, 422))
    yield Hostile(
        "ahead: window past all", "lane", "/lane/ahead?assignment=asg_1_1&window=" + "9" * 400 + "&member=1", method="GET"
    )
    for name, value in (
        ("8 kB", "x" * 8_000),
        ("NUL", "ll_desk=\x00; ll_device=\x00"),
        ("not text", "ll_desk=\xff\xfe"),
        ("500 of them", "; ".join(f"c{n}=1" for n in range(500))),
    ):
        headers = {"cookie": value.encode("latin-1") if "=" in value else f"ll_desk={value}".encode()}
        yield Hostile(f"cookie: {name}", "none", "/desk", headers=headers, method="GET", right=(303, 401))
    yield Hostile(
        "cookie: a name that turns",
        "desk",
        "/review",
        headers={"cookie": b"ll_by=%E2%80%AE%00%ff%zz"},
        method="GET",
        right=(200, 401),
    )
    yield Hostile("a method that nobody knows", "desk", "/desk", method="BREW", right=(405,))
    yield Hostile("accept: garbage", "desk", "/desk", headers={"accept": b"\xff/\x00;q=nan"}, method="GET", right=(200,))
    yield Hostile(
        "accept-encoding: garbage", "desk", "/desk", headers={"accept-encoding": b"gzip;q=1e999,\xff"}, method="GET", right=(200,)
    )
    yield Hostile(
        "range: backwards",
        "desk",
        "/sw.js",
        headers={"range": b"bytes=9-1,-5,0-999999999999999999999"},
        method="GET",
        right=(200, 206, 400, 416),
    )


FRAMES: tuple[str | bytes, ...] = (
    "",
    "x",
    "\x00" * 1000,
    b"\xff\xfe\x00",
    "[" * 50_000,
    '{"type": "ping", "t1": NaN}',
    '{"type": "ping", "t1": "1"}',
    '{"type": "ping", "t1": 1e400}',
    '{"type": "report", "outbox": 9223372036854775808}',
    '{"type": "report", "outbox": true}',
    '{"type": "report", "screen": "\\u202e"}',
    '{"type": "report", "heat": "a\\u0000b"}',
    '{"type": "report", "trouble": "' + "x" * 10_000 + '"}',
    '{"type": "report", "type": "ping"}',
    '{"type": 5}',
)


@dataclass
class Form:
    """A form on a page: where it goes, its fields with what stands in them, and which of these anything can be typed into."""

    action: str
    fields: dict[str, str] = field(default_factory=dict)
    free: list[str] = field(default_factory=list)


class Forms(HTMLParser):
    """The forms of a page that are sent as POST."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.found: list[Form] = []
        self._select = ""
        self._inside = False
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        at = {name: value or "" for name, value in attrs}
        if tag == "form":
            self._inside = at.get("method", "").lower() == "post"
            if self._inside:
                self.found.append(Form(at.get("action", "")))
        name = at.get("name", "")
        if not self._inside or not (name or tag == "option"):
            return
        form = self.found[-1]
        if tag == "textarea" or (
            tag == "input" and at.get("type", "text") not in ("hidden", "submit", "checkbox", "radio", "file")
        ):
            form.free.append(name)
            form.fields[name] = at.get("value", "")
        elif (
            tag == "input"
            and at.get("type") in ("hidden", "checkbox", "radio")
            and (at.get("type") == "hidden" or name not in form.fields)
        ):
            form.fields[name] = at.get("value", "on")
        elif tag == "button":
            form.fields.setdefault(name, at.get("value", ""))
        elif tag == "select":
            self._select = name
        elif tag == "option" and self._select and ("selected" in at or self._select not in form.fields):
            form.fields[self._select] = at.get("value", "")

    def handle_endtag(self, tag: str) -> None:
        if tag == "form":
            self._inside = False
        if tag == "select":
            self._select = ""


HIDDEN = re.compile(r"\\u(?:00[01][0-8bcef]|007f|00[89]|202[a-e]|206[6-9]|200[ef]|d[89a-f])", re.IGNORECASE)


def unfit_in(file: Path) -> list[str]:
    """Every value of a store that holds a control, a turned direction, half a character or a number that is none."""
    found = []
    with closing(sqlite3.connect(file)) as store:
        tables = [name for (name,) in store.execute("select name from sqlite_master where type = 'table'")]
        for table in tables:
            for row in store.execute(f'select * from "{table}"'):
                found += [f"{table}: {value!r:.200}" for value in row if unfit_value(value)]
    return found


def unfit_value(value: object) -> bool:
    """Whether a stored value is unfit, as a text or as JSON."""
    if isinstance(value, bytes):
        value = value.decode("utf-8", "surrogateescape")
    if isinstance(value, float):
        return value != value or value in (float("inf"), float("-inf"))
    if not isinstance(value, str):
        return False
    return bool(NEVER.search(value) or (value[:1] in ("{", "[") and (HIDDEN.search(value) or _holds_no_number(value))))


def _holds_no_number(text: str) -> bool:
    found: list[str] = []
    try:
        json.loads(text, parse_constant=lambda name: found.append(name))
    except ValueError:
        return False
    return bool(found)
