"""All that a person can read, by page: in templates, scripts, Python, the library and the catalogue.

Each line that is printed says where the text stands, whether it has a German, and the text; what changes in it stands in braces.
What only looks like something to read (a selector, a key) is left out by its shape, so a word that stands alone in small letters
is told only where it is said from the catalogue.
"""

import ast
import json
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cache
from html.parser import HTMLParser
from pathlib import Path
from typing import TypeGuard

from jinja2 import Environment

from app.wording import catalogue
from tests.test_house import ROOT, STATIC, TEMPLATES, modules, scripts, told

INLINE = frozenset({"a", "abbr", "b", "code", "em", "i", "kbd", "mark", "q", "small", "span", "strong", "sub", "sup"})
READ_ALOUD = frozenset({"alt", "aria-label", "aria-description", "placeholder", "title"})
HOLE = re.compile(r"\{([^{}]*)\}")
MARK = re.compile("\ue000(\\d+)\ue001")
SENTENCE = re.compile(r"[A-Za-z’'…][A-Za-z’',.;:!?…)]* [A-Za-z0-9{(“]|^[A-Z][a-z’]+[.…:!?]?$")
WORD = re.compile(r"[A-Za-z]{3}|\bof\b|\bby\b|\bto\b|\bin\b|\bor\b")
CLASSES = re.compile(r"""(?:class:|class"?,|classList\.\w+\(|className =|key\([^()"]*,) *$""")
CODE = re.compile(
    r"""^[#.\[/<@&(-]|[{};=<>]\s*$|=>|::|\\[dwsSb(]|\(\?|^use strict|^\w+=|[\w-]+: [\w-]+;|^tbody """
    r"""|^(?:SELECT|INSERT|UPDATE|DELETE|CREATE|PRAGMA|BEGIN|WITH)\b"""
)
SCRIPT = re.compile(
    r"""(?P<note>//[^\n]*|/\*.*?\*/)|(?P<regex>(?<=[(,=:\[!&|?{};\n])\s*/(?![*/])(?:\\.|\[(?:\\.|[^\]\\\n])*\]|[^/\\\n\[])+/[gimsuy]*)"""
    r"""|"(?P<double>(?:\\.|[^"\\\n])*)"|'(?P<single>(?:\\.|[^'\\\n])*)'|`(?P<template>(?:\\.|\$\{(?:[^{}`]|\{[^{}]*\}|`[^`]*`)*\}|[^`\\])*)`""",
    re.S,
)
IMPORTED = re.compile(r'from "(\.[^"]+)"')


@dataclass(frozen=True, slots=True)
class Text:
    """One thing that a person can read: the page or room that shows it, the file and line where it stands."""

    page: str
    path: str
    line: int
    text: str

    def told(self, language: str = "de") -> str:
        """The line that is printed of it."""
        has = language if has_words(self.text, language) else "--"
        return f"{self.path}:{self.line}\t{has}\t{self.text}"


@cache
def words_of(language: str) -> dict[str, object]:
    """The words that a language has by their keys; none for a language that is not here."""
    try:
        return dict(catalogue(language).words)
    except FileNotFoundError:
        return {}


def has_words(text: str, language: str) -> bool:
    """Whether a text has its words in a language: by its own English, or by the name of its row in the catalogue."""
    return bool({text, *names_of().get(text, ())} & words_of(language).keys())


@cache
def names_of() -> dict[str, tuple[str, ...]]:
    """The names of the rows of the catalogue by the English that they hold, in any form."""
    named: dict[str, tuple[str, ...]] = {}
    for key, word in catalogue().words.items():
        for text in [word] if isinstance(word, str) else word.values():
            named[text] = (*named.get(text, ()), key)
    return named


def readable(text: str) -> bool:
    """Whether a text looks like something that a person reads, rather than a name, an address or a piece of code."""
    bare = HOLE.sub("x", text).strip()
    return bool(SENTENCE.search(bare) and WORD.search(HOLE.sub("", text))) and not CODE.search(bare)


@cache
def all_texts() -> tuple[Text, ...]:
    """Everything, by page: templates, then scripts, then Python, then the library, then the catalogue; looked for once."""
    return (*in_templates(), *in_scripts(), *in_python(), *in_library(), *in_catalogue())


# --- Templates ----------------------------------------------------------------------------------------------------------


def in_templates() -> Iterator[Text]:
    """The texts of every template: what stands in it, what it hands to a macro, what its tags have read aloud."""
    for path in sorted(TEMPLATES.rglob("*.html")):
        page = path.relative_to(TEMPLATES).with_suffix("").as_posix()
        for line, text in template_texts(path.read_text(encoding="utf-8")):
            yield Text(page, told(path), line, text)


def template_texts(source: str) -> Iterator[tuple[int, str]]:
    """The texts of a template with their lines. Sentences with a link or a name in them stay whole."""
    holes: list[str] = []
    line, flat = 1, ""
    said: list[tuple[int, str]] = []
    expression = False
    for at, token, value in Environment().lex(source):
        line = at
        if token == "data":
            flat += value
        elif token in ("variable_begin", "block_begin"):
            expression, holes = True, [*holes, ""]
            flat += f"\ue000{len(holes) - 1}\ue001" if token == "variable_begin" else "\ue002"
        elif token in ("variable_end", "block_end"):
            expression = False
        elif expression and token != "whitespace":
            holes[-1] += value if token != "string" or not readable(value[1:-1]) else "…"
            if token == "string" and (readable(value[1:-1]) or value[1:-1] in catalogue().words):
                said.append((line, value[1:-1]))
        if token == "data":
            continue
        flat += "\n" * value.count("\n") if token.endswith("comment") else ""
    yield from sorted([*said, *_Reader(holes).texts_of(flat)])


class _Reader(HTMLParser):
    """Collects the texts between the tags that part them, and the attributes that are read aloud."""

    def __init__(self, holes: list[str]) -> None:
        super().__init__(convert_charrefs=True)
        self.holes = holes
        self.found: list[tuple[int, str]] = []
        self.open, self.at, self.hidden = "", 1, False

    def texts_of(self, flat: str) -> list[tuple[int, str]]:
        self.feed(flat)
        self.close()
        self._end()
        return self.found

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        for name, value in attrs:
            if name in READ_ALOUD and value:
                self._keep(self.getpos()[0], value)
        self.hidden = tag in ("script", "style")
        if tag not in INLINE:
            self._end()

    def handle_endtag(self, tag: str) -> None:
        self.hidden = False
        if tag not in INLINE:
            self._end()

    def handle_data(self, data: str) -> None:
        if self.hidden:
            return
        for n, piece in enumerate(re.split("\ue002", data)):
            if n:
                self._end()
            if not self.open.strip():
                self.at = self.getpos()[0] + data[: data.find(piece)].count("\n")
            self.open += piece

    def _end(self) -> None:
        self._keep(self.at, self.open)
        self.open = ""

    def _keep(self, line: int, text: str) -> None:
        whole = " ".join(MARK.sub(lambda hole: f"{{{self.holes[int(hole[1])][-30:]}}}", text).split()).strip(" {}")
        shown = " ".join(MARK.sub(lambda hole: f"{{{self.holes[int(hole[1])]}}}", text).replace("\ue002", "").split())
        if re.search(r"[A-Za-z]{2}", HOLE.sub("", shown)) and whole:
            self.found.append((line, shown))


# --- Scripts ------------------------------------------------------------------------------------------------------------


def in_scripts() -> Iterator[Text]:
    """The texts of every script, under the page that loads it; one that several pages load stands under its folder."""
    pages = _pages_of_scripts()
    for path in scripts():
        if path.parent.name == "words":
            continue
        loaded = pages.get(path, set())
        page = next(iter(loaded)) if len(loaded) == 1 else path.relative_to(STATIC).parent.as_posix()
        for line, text in script_texts(path.read_text(encoding="utf-8")):
            yield Text(page, told(path), line, text)


def script_texts(source: str) -> Iterator[tuple[int, str]]:
    """The texts of a script with their lines; what a template string fills in stands in braces."""
    for found in SCRIPT.finditer(source):
        kind = found.lastgroup
        if kind in (None, "note", "regex"):
            continue
        text = found[kind]
        if CLASSES.search(source, max(0, found.start() - 40), found.start()):
            continue
        line = source.count("\n", 0, found.start()) + 1
        if kind == "template":
            inner = [one[1] for one in re.finditer(r"\$\{((?:[^{}`]|\{[^{}]*\}|`[^`]*`)*)\}", text)]
            for expression in inner:
                yield from ((line, one) for _, one in script_texts(expression))
            text = re.sub(r"\$\{((?:[^{}`]|\{[^{}]*\}|`[^`]*`)*)\}", _short, text)
        if readable(text) or (text in catalogue().words and "say(" in source[max(0, found.start() - 60) : found.start()]):
            yield line, text


def _short(hole: re.Match[str]) -> str:
    names = re.findall(r"[A-Za-z_]\w*", re.sub(r'"[^"]*"|`[^`]*`', "", hole[1]))
    return f"{{{names[-1] if names else '…'}}}"


def _pages_of_scripts() -> dict[Path, set[str]]:
    """The page scripts that load each module."""
    loaded: dict[Path, set[str]] = {}
    screens = STATIC / "js" / "screens"
    for page in sorted(screens.glob("*/*.js")):
        seen, left = set[Path](), [page]
        while left:
            one = left.pop()
            if one in seen or not one.is_file():
                continue
            seen.add(one)
            left += [(one.parent / name).resolve() for name in IMPORTED.findall(one.read_text(encoding="utf-8"))]
        for one in seen:
            loaded.setdefault(one, set()).add(page.relative_to(screens).with_suffix("").as_posix())
    return loaded


# --- Python -------------------------------------------------------------------------------------------------------------


def in_python() -> Iterator[Text]:
    """The texts of every module of the app, under its room: no docstrings, nothing that looks like code."""
    for path in modules():
        room = path.relative_to(ROOT / "app").parent.as_posix()
        for line, text in python_texts(ast.parse(path.read_text(encoding="utf-8"))):
            yield Text(room if room != "." else "the way in", told(path), line, text)


def python_texts(tree: ast.Module) -> Iterator[tuple[int, str]]:
    """The texts of a module with their lines; what an f-string fills in stands in braces."""
    silent: set[int] = set()
    texts_in: list[ast.expr] = []
    for node in ast.walk(tree):
        if isinstance(node, ast.Expr):  # what stands by itself: a docstring, of a function, class or field alike
            silent.add(id(node.value))
        elif _is_text(node):
            texts_in.append(node)
            if isinstance(node, ast.JoinedStr):
                silent |= {id(part) for part in node.values}
    found = [node for node in texts_in if id(node) not in silent]
    texts = [(node.lineno, _python_text(node)) for node in sorted(found, key=lambda node: (node.lineno, node.col_offset))]
    yield from ((line, text) for line, text in texts if readable(text) or _said(text))


def _is_text(node: ast.AST) -> TypeGuard[ast.expr]:
    return isinstance(node, ast.JoinedStr) or (isinstance(node, ast.Constant) and isinstance(node.value, str))


def _python_text(node: ast.AST) -> str:
    if isinstance(node, ast.Constant):
        return str(node.value)
    parts = node.values if isinstance(node, ast.JoinedStr) else []
    return "".join(str(part.value) if isinstance(part, ast.Constant) else f"{{{_hole(part)}}}" for part in parts)


def _hole(part: ast.expr) -> str:
    names = (
        re.findall(r"[A-Za-z_]\w*", re.sub(r"'[^']*'", "", ast.unparse(part.value)))
        if isinstance(part, ast.FormattedValue)
        else []
    )
    return names[-1] if names else "…"


def _said(text: str) -> bool:
    return "." in text and text in catalogue().words


# --- The library ---------------------------------------------------------------------------------------------------------


def in_library() -> Iterator[Text]:
    """The names and sentences that an organiser begins from: movements, plates, whole days."""
    for path in sorted((ROOT / "app" / "library").glob("*.json")):
        if path.name.startswith("reading_"):
            continue  # the reader's own words: nobody is shown them
        source = path.read_text(encoding="utf-8")
        for text in dict.fromkeys(_texts_in(json.loads(source))):
            line = source.count("\n", 0, max(0, source.find(json.dumps(text, ensure_ascii=False)))) + 1
            yield Text(f"library/{path.stem}", told(path), line, text)


def _texts_in(value: object) -> Iterator[str]:
    """The readable texts of a JSON value, without what it says of itself and where it has it from."""
    if isinstance(value, str) and readable(value):
        yield value
    for key, inner in value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ():
        if key not in ("about", "source", "sources", "called", "called_as_lift"):
            yield from _texts_in(inner)


# --- The catalogue ------------------------------------------------------------------------------------------------------


def in_catalogue() -> Iterator[Text]:
    """What is said in more than one place, or of a number."""
    path = STATIC / "js" / "words" / "en.js"
    lines = path.read_text(encoding="utf-8").splitlines()
    for number, line in enumerate(lines, 1):
        key = re.match(r'"([^"]+)": (?:"|\{"\w+": ")', line)
        if key and key[1] in catalogue().words:
            word = catalogue().words[key[1]]
            for text in [word] if isinstance(word, str) else word.values():
                yield Text("words", told(path), number, text)


def printed(texts: Iterable[Text], names: Iterable[str] = (), missing: bool = False) -> Iterator[str]:
    """The lines to print: each page with its texts, then how many there are and how many have a German."""
    names = tuple(names)
    kept = [one for one in texts if not names or one.page.startswith(names)]
    german = sum(has_words(one.text, "de") for one in kept)
    for page in dict.fromkeys(one.page for one in kept):
        own = [one.told() for one in kept if one.page == page and not (missing and has_words(one.text, "de"))]
        yield from [f"\n== {page} ({len(own)})", *own] if own else []
    yield f"\n{len(kept)} texts on {len({one.page for one in kept})} pages and rooms; {german} have a German."
