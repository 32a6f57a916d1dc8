"""The arrows of the house that no import checker can see, and the order in its rooms."""

import ast
import functools
import hashlib
import re
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
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
CHANGING_CALLS = {"update", "delete", "drop_table"}
JS_RULES_FORBIDDEN = (
    *("document", "globalThis", "navigator", "localStorage", "sessionStorage", "indexedDB", "crypto", "performance"),
    *("fetch", "XMLHttpRequest", "WebSocket", "setTimeout", "setInterval", "requestAnimationFrame"),
)
CHANGES_MARKS = re.compile(r"\b(?:update|delete\s+from|drop\s+table|replace\s+into)\s+marks?\b", re.I)
LARGEST_MODULE = 350  # lines; past it, ask what second thing has moved in
LARGEST_FOLDER = 30  # files; past it, nobody reads the product from the tree
# Folders of tests/ that serve the others and so are named after no room.
WORKSHOPS = {"bench", "browser", "builders", "device", "engines", "faults", "imitations", "outside", "vectors", "words"}


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
    """A module, to walk."""
    return ast.parse(path.read_text(encoding="utf-8"), filename=str(path))


@dataclass(frozen=True, slots=True)
class Module:
    """What the laws ask of a module: its docstring; the line and full name of everything that it imports, `from a import b` as
    `a.b`, type-only imports too, by dots or not; its calls, with their line and what is called."""

    docstring: str
    imports: tuple[tuple[int, str], ...]
    calls: tuple[tuple[int, str, ast.Call], ...]


def read(path: Path) -> Module:
    """A module; each is parsed once for all laws."""
    return _parsed(path.read_text(encoding="utf-8"))


@functools.cache
def _parsed(text: str) -> Module:
    tree = ast.parse(text)
    imports: list[tuple[int, str]] = []
    calls: list[tuple[int, str, ast.Call]] = []
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            imports += [(node.lineno, alias.name) for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            imports += [(node.lineno, f"{'.' * node.level}{node.module}.{alias.name}") for alias in node.names]
        elif isinstance(node, ast.Call):
            name = getattr(node.func, "id", getattr(node.func, "attr", ""))
            if name in IMPURE_CALLS | CHANGING_CALLS:
                calls.append((node.lineno, name, node))
    return Module(ast.get_docstring(tree) or "", tuple(imports), tuple(calls))


def imported(path: Path) -> Iterator[tuple[int, str]]:
    """The line and full name of everything that a module imports."""
    for line, name in read(path).imports:
        assert not name.startswith("."), f"{told(path)}:{line} imports by dots; say the whole name"
        yield line, name


def without_comments(script: str) -> str:
    """A script or style sheet without its comments and the text of its strings, for searching its words."""
    kept = re.compile(r"""("(?:\\.|[^"\\\n])*"|'(?:\\.|[^'\\\n])*'|`(?:\\.|[^`\\])*`)|//[^\n]*|/\*.*?\*/""", re.S)
    return kept.sub(lambda found: found[1] or " ", script)


def where_found(paths: Iterable[Path], search: Callable[[Path], Iterable[str]]) -> list[str]:
    """What a search finds in some files, each with the file it is in: one law walks all of them, and tells all that break it."""
    return [f"{told(path)}: {found}" for path in paths for found in search(path)]


# --- Python -------------------------------------------------------------------------------------------------------------


def impure_imports(path: Path) -> list[str]:
    """What a module imports that reads a clock, a disk or a die."""
    return [f"line {line} imports {name}" for line, name in imported(path) if name.split(".")[0] in IMPURE_MODULES]


def impure_calls(path: Path) -> list[str]:
    """What a module calls that reads or writes the world."""
    return [f"line {line} calls {name}()" for line, name, _ in read(path).calls if name in IMPURE_CALLS]


def test_the_rule_book_imports_nothing_that_reads_a_clock_a_disk_or_a_die() -> None:
    assert where_found(modules("rules"), impure_imports) == []


def test_the_rule_book_calls_nothing_that_reads_or_writes_the_world() -> None:
    assert where_found(modules("rules"), impure_calls) == []


def of_the_app(path: Path) -> list[str]:
    """What a module imports of app/."""
    return [name for _, name in imported(path) if name.split(".")[0] == "app"]


def test_the_rule_book_stands_on_nothing_else_of_the_app() -> None:
    def beside(path: Path) -> list[str]:
        return [name for name in of_the_app(path) if not name.startswith("app.rules")]

    assert where_found(modules("rules"), beside) == []


def page_modules() -> list[Path]:
    """The modules of all rooms that answer requests, and the frame that they share."""
    return [*modules("web"), *sorted(APP.glob("*/pages/*.py"))]


def test_pages_hold_no_sql() -> None:
    def sql(path: Path) -> list[str]:
        return [name for _, name in imported(path) if name.split(".")[0] in {"sqlalchemy", "sqlmodel", "sqlite3", "alembic"}]

    assert where_found(page_modules(), sql) == []


def pages_beside(path: Path) -> list[str]:
    """The pages of other rooms that a page imports; the frame is everybody's."""
    pages = [name for name in of_the_app(path) if re.match(r"app\.\w+\.pages\.", name)]
    return [name for name in pages if name.split(".")[1] not in (path.parts[-3], "web")]


def test_a_page_knows_no_page_of_another_room() -> None:
    assert where_found(sorted(APP.glob("*/pages/*.py")), pages_beside) == []


def migrations() -> list[Path]:
    return sorted((ROOT / "migrations").rglob("*.py"))


def test_a_migration_does_not_import_the_app() -> None:
    # It must go on making the tables of its day when the app has moved on.
    assert where_found(migrations(), of_the_app) == []


def changed_marks(path: Path) -> list[str]:
    """The statements and calls of a module that would change or delete a mark."""
    calls = [
        ast.unparse(node)
        for _, name, node in read(path).calls
        if name in CHANGING_CALLS
        and any("MarkRow" in ast.unparse(given) or ast.unparse(given) in {"'marks'", "'mark'"} for given in node.args)
    ]
    return CHANGES_MARKS.findall(path.read_text(encoding="utf-8")) + calls


def test_nothing_changes_or_deletes_a_mark() -> None:
    assert where_found([*modules(), *migrations()], changed_marks) == []


def large(path: Path) -> list[str]:
    """How many lines a module has, where they are too many."""
    lines = len(path.read_text(encoding="utf-8").splitlines())
    return [f"{lines} lines"] if lines > LARGEST_MODULE else []


def wordless_or_large(path: Path) -> list[str]:
    """What is missing of a module: its sentence, or its measure."""
    return ([] if read(path).docstring else ["a module opens with what it is"]) + large(path)


def test_a_module_says_what_it_is_and_stays_small() -> None:
    assert where_found(modules(), wordless_or_large) == []
    assert where_found(scripts(), large) == []


# --- Rooms --------------------------------------------------------------------------------------------------------------


def rooms(*inside: str) -> set[str]:
    """The names of the folders of app/, or of a folder in it."""
    return {path.parent.name for path in APP.joinpath(*inside).glob("*/__init__.py")} - {"_shipped"}


def law(init: Path) -> list[str]:
    """What is wrong with the first line of a room: it is one sentence or two, whole, that say what lives there."""
    first = read(init).docstring.partition("\n")[0]
    return [] if first.endswith(".") and len(first.split()) > 3 else [f"opens with {first!r} and no law"]


def test_a_room_opens_with_its_law_in_one_line() -> None:
    assert where_found(sorted(path for path in modules() if path.name == "__init__.py"), law) == []


def crowded_folders(*tops: Path) -> list[str]:
    """The folders that hold more files than a person takes in; vendored ones apart."""
    folders = [folder for top in tops for folder in (top, *top.rglob("*")) if folder.is_dir()]
    ours = [folder for folder in folders if not {"vendor", "_shipped", "__pycache__"} & set(folder.parts)]
    counted = {folder: sum(map(Path.is_file, folder.iterdir())) for folder in ours}
    return [f"{told(folder)}: {count} files" for folder, count in counted.items() if count > LARGEST_FOLDER]


def test_no_folder_holds_more_than_a_person_takes_in() -> None:
    assert crowded_folders(APP, TEMPLATES, STATIC, ROOT / "tests") == []


# Lists that are in the order of names without the alphabet's: heats, which are numbered.
NOT_BY_ALPHABET = {"app/planning/parts.py", "app/plan/plan_pictures.py"}

BY_KEY = re.compile(r"\bkey\s*=")  # without which nothing needs to be parsed


def names_in_keys(module: ast.Module) -> bool:
    """Whether something is sorted by a name as it is written, or by its small letters."""
    for node in ast.walk(module):
        if not (isinstance(node, ast.keyword) and node.arg == "key"):
            continue
        by_alphabet = {id(part) for one in ast.walk(node) if is_call(one, "by_name") for part in ast.walk(one)}
        parts = [part for part in ast.walk(node) if isinstance(part, ast.Attribute) and id(part) not in by_alphabet]
        if any(part.attr in ("name", "casefold", "lower") for part in parts):
            return True
    return False


def is_call(node: ast.AST, name: str) -> bool:
    return isinstance(node, ast.Call) and getattr(node.func, "id", "") == name


def test_names_are_listed_by_one_alphabet() -> None:
    sorting = [path for path in modules() if BY_KEY.search(path.read_text(encoding="utf-8"))]
    beside = {told(path) for path in sorting if names_in_keys(tree(path))}
    assert {path for path in beside if not path.startswith("app/rules/reading/")} == NOT_BY_ALPHABET
    found = [names_in_keys(ast.parse(f"sorted(all, key={key})")) for key in ("lambda one: one.name", "str.casefold", "by_name")]
    assert found == [True, True, False]


def test_tests_stand_under_the_name_of_the_room_that_they_test() -> None:
    folders = {path.name for path in (ROOT / "tests").iterdir() if path.is_dir()} - {"__pycache__"}
    assert sorted(folders - rooms() - WORKSHOPS) == []
    inner = {path.name for path in (ROOT / "tests" / "rules").iterdir() if path.is_dir()} - {"__pycache__"}
    assert sorted(inner - rooms("rules")) == []


# --- JavaScript ---------------------------------------------------------------------------------------------------------


def impure_words(script: str) -> list[str]:
    """The words in a script that a rule may not use."""
    words = without_comments(script)
    words = re.sub(r"""("(?:\\.|[^"\\\n])*"|'(?:\\.|[^'\\\n])*')""", "''", words)
    bad = [word for word in JS_RULES_FORBIDDEN if re.search(rf"(?<![\w.$]){word}\b(?!\s*:)", words)]
    return bad + re.findall(r"Date\.now|new Date\b|Math\.random", words)


def test_the_rules_in_javascript_are_as_pure_as_their_twins() -> None:
    assert where_found([*scripts("words"), *scripts("rules")], lambda path: impure_words(path.read_text(encoding="utf-8"))) == []


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
    def up(path: Path) -> Iterator[str]:
        for name in script_imports(path):
            target = (path.parent / name).resolve().relative_to(STATIC / "js") if name.startswith(".") else Path(name)
            if target.parts[0] not in ROOMS_BELOW[room]:
                yield name

    assert where_found(scripts(room), up) == []


def test_a_script_imports_only_files_that_are_there() -> None:
    def missing(path: Path) -> list[str]:
        return [name for name in script_imports(path) if not name.startswith(".") or not (path.parent / name).is_file()]

    assert where_found(scripts(), missing) == []


def declared_twice(script: str) -> list[str]:
    """The names that a script imports and declares again at its top: it would not load."""
    words = without_comments(script)
    brought = {
        name.split(" as ")[-1].strip() for names in re.findall(r"^import \{([^}]*)\}", words, re.M) for name in names.split(",")
    }
    own = re.findall(r"^(?:export )?(?:async )?(?:function|class|const|let) (\w+)", words, re.M)
    return sorted(brought & set(own))


def test_a_script_declares_no_name_that_it_imports() -> None:
    assert where_found(scripts(), lambda path: declared_twice(path.read_text(encoding="utf-8"))) == []
    assert declared_twice('import { say, tell as told } from "./a.js";\nfunction say() {}\nconst told = 1;') == ["say", "told"]


def code_from_text(script: str) -> list[str]:
    """Where a script makes code or elements of a text."""
    found = r"\beval\s*\(|new Function\b|\.innerHTML\s*\+?=|insertAdjacentHTML|document\.write"
    return re.findall(found, without_comments(script))


def test_a_script_makes_no_code_from_text() -> None:
    assert where_found(scripts(), lambda path: code_from_text(path.read_text(encoding="utf-8"))) == []


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


def inline_code(path: Path) -> list[str]:
    """The inline code of a template, and what it loads from outside."""
    inspector = Inspector()
    inspector.feed(re.sub(r"\{#.*?#\}", "", path.read_text(encoding="utf-8"), flags=re.S))
    return inspector.found


def test_a_template_has_no_inline_code_and_loads_nothing_from_outside() -> None:
    assert where_found(templates(), inline_code) == []


def unescaped(text: str) -> list[str]:
    """Where a template would let a text become code."""
    # An attribute without quotes lets a name with a space in it write attributes of its own.
    return re.findall(r"\|\s*safe\b|autoescape\s+false|Markup\(", text) + re.findall(r"""\s[\w-]+=\{\{""", text)


def test_a_template_escapes_everything() -> None:
    assert where_found(templates(), lambda path: unescaped(path.read_text(encoding="utf-8"))) == []


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


def named_twice(text: str) -> set[str]:
    """The places that a template leaves open under a name that another place has in what it stands on."""
    return {name for name, depth in _blocks(text) if depth} & _extended(text)


def test_a_place_that_a_template_leaves_open_has_a_name_of_its_own() -> None:
    # A page that fills it would otherwise fill the other one too: sheets of paper once stood where style sheets belong.
    assert where_found(templates(), lambda path: named_twice(path.read_text(encoding="utf-8"))) == []


def careless_styles(path: Path) -> list[str]:
    """What a style sheet loads from outside or from nowhere, and where it shouts."""
    text = without_comments(path.read_text(encoding="utf-8"))
    loads = re.findall(r"""(?:url\(\s*|@import\s+)["']?([^"')\s;]+)""", text)
    outside = [name for name in loads if re.match(r"(https?:)?//", name)]
    nowhere = [name for name in loads if not name.startswith("data:") and not (path.parent / name).resolve().is_file()]
    return outside + nowhere + re.findall("!important", text)


def test_a_style_sheet_loads_nothing_from_outside() -> None:
    assert where_found(sorted(STATIC.rglob("*.css")), careless_styles) == []


def outside_addresses(script: str) -> list[str]:
    """The addresses outside the hall that a script names; the names of the languages of the web are none."""
    outside = re.findall(r"""https?://[^\s"'`)]+""", without_comments(script))
    return [address for address in outside if not address.startswith("http://www.w3.org/")]


def test_a_script_names_no_address_outside_the_hall() -> None:
    everywhere = [*scripts(), *STATIC.glob("*.js")]
    assert where_found(everywhere, lambda path: outside_addresses(path.read_text(encoding="utf-8"))) == []


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


# A file in which every law is broken, and what each search says of it.
BROKEN = """import time
from app.hall import hall
from sqlmodel import Session
open(1)
op.drop_table('marks')
"""


@pytest.fixture
def broken(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setattr("tests.test_house.ROOT", tmp_path)
    file = tmp_path / "broken.py"
    file.write_text(BROKEN, encoding="utf-8")
    return file


def test_the_searches_of_modules_find_and_name_the_file(broken: Path) -> None:
    assert where_found([broken], impure_imports) == [
        "broken.py: line 1 imports time",
        "broken.py: line 3 imports sqlmodel.Session",
    ]
    assert where_found([broken], impure_calls) == ["broken.py: line 4 calls open()"]
    assert where_found([broken], of_the_app) == ["broken.py: app.hall.hall"]
    broken.write_text("from app.hall.pages import hall\n" + BROKEN, encoding="utf-8")
    assert where_found([broken], pages_beside) == ["broken.py: app.hall.pages.hall"]
    assert where_found([broken], changed_marks) == ["broken.py: op.drop_table('marks')"]
    assert where_found([broken], wordless_or_large) == ["broken.py: a module opens with what it is"]
    assert where_found([broken], law) == ["broken.py: opens with '' and no law"]
    broken.write_text('"""Said."""\n' * (LARGEST_MODULE + 1), encoding="utf-8")
    assert where_found([broken], wordless_or_large) == [f"broken.py: {LARGEST_MODULE + 1} lines"]
    assert where_found([broken], law) == ["broken.py: opens with 'Said.' and no law"]


def test_the_count_of_folders_finds_the_crowded_one(broken: Path) -> None:
    full = broken.parent / "full"
    (full / "vendor").mkdir(parents=True)
    for n in range(LARGEST_FOLDER + 1):
        (full / f"{n}.py").touch()
        (full / "vendor" / f"{n}.js").touch()
    assert crowded_folders(broken.parent) == [f"full: {LARGEST_FOLDER + 1} files"]


def test_the_searches_of_texts_find() -> None:
    assert len(unescaped("{{ a|safe }}{% autoescape false %}<p title={{ a }}>{{ Markup(a) }}")) == 4
    assert code_from_text("a.innerHTML = b; eval(c); // document.write") == [".innerHTML =", "eval("]
    assert outside_addresses("const a = 'https://elsewhere.example/a'; // http://b.example/") == ["https://elsewhere.example/a"]


def test_the_search_of_style_sheets_finds(broken: Path) -> None:
    sheet = broken.with_suffix(".css")
    sheet.write_text("@import 'https://elsewhere.example/a.css'; p { color: red !important; background: url(gone.png) }")
    found = where_found([sheet], careless_styles)
    assert [said.partition(": ")[2] for said in found] == [
        "https://elsewhere.example/a.css",
        "https://elsewhere.example/a.css",
        "gone.png",
        "!important",
    ]
