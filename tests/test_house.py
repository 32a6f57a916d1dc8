"""The arrows of the house that no import checker can see, and the order in its rooms."""

import ast
import hashlib
import re
from collections.abc import Iterator
from html.parser import HTMLParser
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
APP = ROOT / "app"
STATIC = ROOT / "static"
TEMPLATES = ROOT / "templates"
VENDOR = STATIC / "vendor"

IMPURE_MODULES = {
    *("time", "random", "secrets", "uuid", "os", "io", "pathlib", "socket", "threading", "asyncio", "subprocess", "shutil"),
    *("tempfile", "logging", "fastapi", "starlette", "sqlmodel", "sqlalchemy", "uvicorn", "jinja2", "alembic", "httpx"),
}
IMPURE_CALLS = {"open", "print", "input", "exec", "eval", "now", "today", "utcnow", "read_text", "write_text"}
SHARED_PAGE_HELPERS = {
    *("acts", "assets", "crowd", "described", "doors", "limits", "lines", "pages", "qr", "refused"),
    *("quick", "roles", "streams", "typed", "who"),
}
JS_RULES_FORBIDDEN = (
    *("document", "globalThis", "navigator", "localStorage", "sessionStorage", "indexedDB", "crypto", "performance"),
    *("fetch", "XMLHttpRequest", "WebSocket", "setTimeout", "setInterval", "requestAnimationFrame"),
)
CHANGES_MARKS = re.compile(r"\b(?:update|delete\s+from|drop\s+table|replace\s+into)\s+marks?\b", re.I)
LARGEST_MODULE = 350  # lines; past it, ask what second thing has moved in


def modules(*rooms: str) -> list[Path]:
    """The Python files of some rooms of app/, or of all of it."""
    return sorted(path for room in (rooms or ("",)) for path in (APP / room).rglob("*.py") if "_shipped" not in path.parts)


def scripts(room: str = "") -> list[Path]:
    """The JavaScript files of a room of static/js, or of all of it."""
    return sorted((STATIC / "js" / room).rglob("*.js"))


def told(path: Path) -> str:
    """A path as a person would name it."""
    return path.relative_to(ROOT).as_posix()


def tree(path: Path) -> ast.Module:
    return ast.parse(path.read_text(encoding="utf-8"), filename=str(path))


def imported(path: Path) -> Iterator[tuple[int, str]]:
    """The line and full name of everything that a module imports, `from a import b` as `a.b`; type-only imports too."""
    for node in ast.walk(tree(path)):
        if isinstance(node, ast.Import):
            yield from ((node.lineno, alias.name) for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{told(path)}:{node.lineno} imports by dots; say the whole name"
            yield from ((node.lineno, f"{node.module}.{alias.name}") for alias in node.names)


def without_comments(script: str) -> str:
    """A script or style sheet without its comments and the text of its strings, for searching its words."""
    kept = re.compile(r"""("(?:\\.|[^"\\\n])*"|'(?:\\.|[^'\\\n])*'|`(?:\\.|[^`\\])*`)|//[^\n]*|/\*.*?\*/""", re.S)
    return kept.sub(lambda found: found[1] or " ", script)


# --- Python -------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("path", modules("rules"), ids=told)
def test_the_rule_book_imports_nothing_that_reads_a_clock_a_disk_or_a_die(path: Path) -> None:
    bad = [f"line {line}: {name}" for line, name in imported(path) if name.split(".")[0] in IMPURE_MODULES]
    assert bad == []


@pytest.mark.parametrize("path", modules("rules"), ids=told)
def test_the_rule_book_calls_nothing_that_reads_or_writes_the_world(path: Path) -> None:
    called = [node for node in ast.walk(tree(path)) if isinstance(node, ast.Call)]
    names = [(node.lineno, getattr(node.func, "id", getattr(node.func, "attr", ""))) for node in called]
    assert [f"line {line}: {name}()" for line, name in names if name in IMPURE_CALLS] == []


@pytest.mark.parametrize("path", modules("rules"), ids=told)
def test_the_rule_book_stands_on_nothing_else_of_the_app(path: Path) -> None:
    ours = [name for _, name in imported(path) if name.split(".")[0] == "app"]
    assert [name for name in ours if not name.startswith("app.rules")] == []


@pytest.mark.parametrize("path", modules("web"), ids=told)
def test_pages_hold_no_sql(path: Path) -> None:
    names = [name for _, name in imported(path)]
    assert [name for name in names if name.split(".")[0] in {"sqlalchemy", "sqlmodel", "sqlite3", "alembic"}] == []


@pytest.mark.parametrize("path", modules("web"), ids=told)
def test_a_page_knows_no_other_page(path: Path) -> None:
    ours = [name.split(".")[2] for _, name in imported(path) if name.startswith("app.web.")]
    own = path.stem.split("_")[0]  # a page may have several rooms: board, board_feed
    assert [name for name in ours if name not in SHARED_PAGE_HELPERS and name.split("_")[0] != own] == []


@pytest.mark.parametrize("path", sorted((ROOT / "migrations").rglob("*.py")), ids=told)
def test_a_migration_does_not_import_the_app(path: Path) -> None:
    # It must go on making the tables of its day when the app has moved on.
    assert [name for _, name in imported(path) if name.split(".")[0] == "app"] == []


@pytest.mark.parametrize("path", [*modules(), *sorted((ROOT / "migrations").rglob("*.py"))], ids=told)
def test_nothing_changes_or_deletes_a_mark(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    statements = CHANGES_MARKS.findall(text)
    calls = [
        ast.unparse(node)
        for node in ast.walk(tree(path))
        if isinstance(node, ast.Call)
        and getattr(node.func, "id", getattr(node.func, "attr", "")) in {"update", "delete", "drop_table"}
        and any("MarkRow" in ast.unparse(given) or ast.unparse(given) in {"'marks'", "'mark'"} for given in node.args)
    ]
    assert statements + calls == []


@pytest.mark.parametrize("path", modules(), ids=told)
def test_a_module_says_what_it_is_and_stays_small(path: Path) -> None:
    assert ast.get_docstring(tree(path)), "a module opens with what it is"
    assert len(path.read_text(encoding="utf-8").splitlines()) <= LARGEST_MODULE


# --- JavaScript ---------------------------------------------------------------------------------------------------------


def impure_words(script: str) -> list[str]:
    """The words in a script that a rule may not use."""
    words = without_comments(script)
    words = re.sub(r"""("(?:\\.|[^"\\\n])*"|'(?:\\.|[^'\\\n])*')""", "''", words)
    bad = [word for word in JS_RULES_FORBIDDEN if re.search(rf"(?<![\w.$]){word}\b(?!\s*:)", words)]
    return bad + re.findall(r"Date\.now|new Date\b|Math\.random", words)


@pytest.mark.parametrize("path", [*scripts("words"), *scripts("rules")], ids=told)
def test_the_rules_in_javascript_are_as_pure_as_their_twins(path: Path) -> None:
    assert impure_words(path.read_text(encoding="utf-8")) == []


def script_imports(path: Path) -> list[str]:
    """What a script imports, as written."""
    text = without_comments(path.read_text(encoding="utf-8"))
    return re.findall(r"""(?:\bfrom\s*|\bimport\s*\(?\s*)["']([^"']+)["']""", text)


ROOMS_BELOW = {
    "words": ("words",),
    "rules": ("words", "rules"),
    "device": ("words", "rules", "device"),
    "parts": ("words", "rules", "device", "parts"),
}


@pytest.mark.parametrize("room", sorted(ROOMS_BELOW))
def test_arrows_in_javascript_point_down_only(room: str) -> None:
    bad = []
    for path in scripts(room):
        for name in script_imports(path):
            target = (path.parent / name).resolve().relative_to(STATIC / "js") if name.startswith(".") else Path(name)
            if target.parts[0] not in ROOMS_BELOW[room]:
                bad.append(f"{told(path)} imports {name}")
    assert bad == []


@pytest.mark.parametrize("path", scripts(), ids=told)
def test_a_script_imports_only_files_that_are_there(path: Path) -> None:
    missing = [name for name in script_imports(path) if not name.startswith(".") or not (path.parent / name).is_file()]
    assert missing == []


@pytest.mark.parametrize("path", scripts(), ids=told)
def test_a_script_makes_no_code_from_text(path: Path) -> None:
    words = without_comments(path.read_text(encoding="utf-8"))
    assert re.findall(r"\beval\s*\(|new Function\b|\.innerHTML\s*\+?=|insertAdjacentHTML|document\.write", words) == []


# --- Templates, styles, vendored files ------------------------------------------------------------------------------------


class Inspector(HTMLParser):
    """Reads a template and notes what the content policy or the hall without internet would not bear."""

    LOADS = ("src", "href", "action", "srcset", "poster", "data", "xlink:href")

    def __init__(self) -> None:
        super().__init__()
        self.found: list[str] = []
        self._in_script = False

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self._in_script = tag == "script" and not any(name == "type" and value == "application/json" for name, value in attrs)
        if tag == "style":
            self.found.append("a <style> element")
        for name, value in attrs:
            if name == "style" or name.startswith(("on", "hx-on")):
                self.found.append(f"{name}= on <{tag}>")
            if name in self.LOADS and re.match(r"\s*(https?:)?//|\s*javascript:", value or "", re.I):
                self.found.append(f"{name}={value} on <{tag}>")

    def handle_endtag(self, tag: str) -> None:
        self._in_script = False

    def handle_data(self, data: str) -> None:
        if self._in_script and data.strip():
            self.found.append("a script in the page")


def templates() -> list[Path]:
    return sorted(TEMPLATES.rglob("*.html"))


@pytest.mark.parametrize("path", templates(), ids=told)
def test_a_template_has_no_inline_code_and_loads_nothing_from_outside(path: Path) -> None:
    inspector = Inspector()
    inspector.feed(re.sub(r"\{#.*?#\}", "", path.read_text(encoding="utf-8"), flags=re.S))
    assert inspector.found == []


@pytest.mark.parametrize("path", templates(), ids=told)
def test_a_template_escapes_everything(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    assert re.findall(r"\|\s*safe\b|autoescape\s+false|Markup\(", text) == []
    # An attribute without quotes lets a name with a space in it write attributes of its own.
    assert re.findall(r"""\s[\w-]+=\{\{""", text) == []


def _blocks(text: str) -> Iterator[tuple[str, int]]:
    """The blocks of a template, each with how many others it lies in."""
    depth = 0
    for opened, name in re.findall(r"\{%-?\s*(block|endblock)\b\s*(\w*)", text):
        if opened == "block":
            yield name, depth
        depth += 1 if opened == "block" else -1


def _extended(text: str) -> set[str]:
    """The names of all blocks that a template gets from those it stands on."""
    found = re.search(r"""\{%-?\s*extends\s+["']([^"']+)""", text)
    if found is None:
        return set()
    above = (TEMPLATES / found[1]).read_text(encoding="utf-8")
    return {name for name, _ in _blocks(above)} | _extended(above)


@pytest.mark.parametrize("path", templates(), ids=told)
def test_a_place_that_a_template_leaves_open_has_a_name_of_its_own(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    # A page that fills it would otherwise fill the other one too: sheets of paper once stood where style sheets belong.
    assert {name for name, depth in _blocks(text) if depth} & _extended(text) == set()


@pytest.mark.parametrize("path", sorted(STATIC.rglob("*.css")), ids=told)
def test_a_style_sheet_loads_nothing_from_outside(path: Path) -> None:
    text = without_comments(path.read_text(encoding="utf-8"))
    loads = re.findall(r"""(?:url\(\s*|@import\s+)["']?([^"')\s;]+)""", text)
    assert [name for name in loads if re.match(r"(https?:)?//", name)] == []
    assert [name for name in loads if not name.startswith("data:") and not (path.parent / name).resolve().is_file()] == []
    assert "!important" not in text


@pytest.mark.parametrize("path", [*scripts(), *STATIC.glob("*.js")], ids=told)
def test_a_script_names_no_address_outside_the_hall(path: Path) -> None:
    text = without_comments(path.read_text(encoding="utf-8"))
    outside = re.findall(r"""https?://[^\s"'`)]+""", text)
    assert [address for address in outside if not address.startswith("http://www.w3.org/")] == []


def test_vendored_files_are_the_ones_that_were_checked() -> None:
    listed = {}
    for line in (VENDOR / "CHECKSUMS").read_text(encoding="utf-8").splitlines():
        if line.strip() and not line.startswith("#"):
            digest, name = line.split()
            listed[name.lstrip("*")] = digest
    there = {path.relative_to(VENDOR).as_posix() for path in VENDOR.rglob("*") if path.is_file()} - {"CHECKSUMS"}
    code = {name for name in there if not name.upper().startswith(("LICENSE", "README"))}
    assert code <= set(listed), "every vendored file has a line in CHECKSUMS"
    assert {name: hashlib.sha256((VENDOR / name).read_bytes()).hexdigest() for name in listed} == listed
    assert any(name.upper().startswith("LICENSE") for name in there), "what is vendored comes with its licence"


# --- These tests bite ---------------------------------------------------------------------------------------------------------


def test_the_search_of_scripts_sees_uses_and_not_talk() -> None:
    used = "const a = fetch(b); setTimeout(c, 1); d = Date.now(); document.title = 'x';"
    assert impure_words(used) == ["document", "fetch", "setTimeout", "Date.now"]
    assert impure_words("// fetch it\nconst a = 'document'; /* Date.now */ b.fetch = heat.document;") == []


@pytest.mark.parametrize(
    "page",
    [
        "<script>go()</script>",
        "<p style='color: red'>",
        "<button onclick='go()'>",
        "<style>p {}</style>",
        "<img src='//elsewhere.example/a.png'>",
        "<a href='https://elsewhere.example/'>",
        "<form action='http://elsewhere.example/'>",
        "<a href='javascript:go()'>",
    ],
)
def test_the_search_of_templates_finds(page: str) -> None:
    inspector = Inspector()
    inspector.feed(page)
    assert len(inspector.found) == 1


def test_the_search_of_templates_lets_our_own_files_pass() -> None:
    inspector = Inspector()
    inspector.feed("""<script type="module" src="{{ static_url('js/a.js') }}"></script>""")
    inspector.feed("""<script type="application/json">{"a": 1}</script><a href="/board">Board</a>""")
    assert inspector.found == []


@pytest.mark.parametrize("statement", ["UPDATE marks SET at = 1", "delete from mark where id = 1", "DROP TABLE marks"])
def test_the_search_for_changed_marks_finds(statement: str) -> None:
    assert CHANGES_MARKS.search(statement)
