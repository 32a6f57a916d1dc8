"""What is said through the catalogue, key by key, with the holes that are filled: by scripts, templates and Python."""

import ast
import json
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from jinja2 import nodes
from jinja2.visitor import NodeVisitor

from app.web.page_scripts import IMPORT
from app.web.pages import templates
from app.web.script_words import BEGUN, CALL, SPEAKS, TEXT, holes_filled, parted
from app.wording import catalogue
from tests.test_house import ROOT, STATIC, TEMPLATES, modules, told


@dataclass(frozen=True, slots=True)
class Key:
    """A key where it is said; the holes filled there, None where they can't be told from the text."""

    where: str
    key: str
    holes: frozenset[str] | None


# --- Scripts ------------------------------------------------------------------------------------------------------------


def loaded_by(page: str) -> list[Path]:
    """The modules that a page's script loads, itself among them: floor/lane."""
    seen, left = list[Path](), [STATIC / "js" / "screens" / f"{page}.js"]
    while left:
        one = left.pop()
        if one not in seen:
            seen.append(one)
            left += [(one.parent / path).resolve() for _, path in IMPORT.findall(one.read_text(encoding="utf-8"))]
    return sorted(seen)


def script_keys(path: Path) -> Iterator[Key]:
    """The keys that a module says by their names."""
    script = path.read_text(encoding="utf-8")
    if not SPEAKS.search(script) or path.parent.name == "words":
        return
    for call in CALL.finditer(script):
        given, _ = parted(script, call.end())
        filled = frozenset() if len(given) == 1 else _holes(given[1])
        where = f"{told(path)}:{script.count(chr(10), 0, call.start()) + 1}"
        begun = tuple(BEGUN.findall(given[0]))
        keys = [json.loads(f'"{text}"') for text in _chosen(given[0])]
        keys += [key for key in catalogue().words if begun and key.startswith(begun)]
        yield from (Key(where, key, filled) for key in keys)


def _chosen(key: str) -> list[str]:
    """The texts that an expression may come to: not those that it compares with."""
    return TEXT.findall(re.sub(r'[!=]== "[^"]*"', "", key))


def _holes(given: str) -> frozenset[str] | None:
    filled = holes_filled(given)
    return None if filled is None else frozenset(filled)


# --- Templates ----------------------------------------------------------------------------------------------------------


class _Calls(NodeVisitor):
    def __init__(self) -> None:
        self.found: list[tuple[int, str, frozenset[str]]] = []

    def visit_Call(self, node: nodes.Call) -> None:
        """Keeps what is said; a key may be one of two."""
        if isinstance(node.node, nodes.Name) and node.node.name == "say" and node.args:
            holes = frozenset(given.key for given in node.kwargs)
            self.found += [(node.lineno, key, holes) for key in _constants(node.args[0])]
        self.generic_visit(node)


def _constants(node: nodes.Node) -> Iterator[str]:
    if isinstance(node, nodes.Const):
        yield str(node.value)
    elif isinstance(node, nodes.CondExpr):
        yield from _constants(node.expr1)
        yield from _constants(node.expr2) if node.expr2 else ()


@cache
def template_keys(name: str) -> tuple[Key, ...]:
    """The keys of a template: watch/board."""
    path = TEMPLATES / f"{name}.html"
    calls = _Calls()
    calls.visit(templates().parse(path.read_text(encoding="utf-8")))
    return tuple(Key(f"{told(path)}:{line}", key, holes) for line, key, holes in calls.found)


# --- Python -------------------------------------------------------------------------------------------------------------


def python_keys(path: Path) -> Iterator[Key]:
    """The keys that a module says by their names."""
    text = path.read_text(encoding="utf-8")
    if "say(" not in text:
        return
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, ast.Call) and getattr(node.func, "id", "") == "say" and node.args:
            stars = any(given.arg is None for given in node.keywords)
            holes = None if stars else frozenset(str(given.arg) for given in node.keywords)
            yield from (Key(f"{told(path)}:{node.lineno}", key, holes) for key in _python_constants(node.args[0]))


def _python_constants(key: ast.expr) -> Iterator[str]:
    if isinstance(key, ast.IfExp):
        yield from _python_constants(key.body)
        yield from _python_constants(key.orelse)
    elif isinstance(key, ast.Constant):
        yield str(key.value)
    elif isinstance(key, ast.JoinedStr):
        pattern = "".join(re.escape(str(part.value)) if isinstance(part, ast.Constant) else r"[\w-]+" for part in key.values)
        yield from (row for row in catalogue().words if re.fullmatch(pattern, row))


@cache
def all_keys() -> tuple[Key, ...]:
    """Everything that is said by its name; looked for once."""
    found: list[Iterable[Key]] = [script_keys(path) for path in sorted((STATIC / "js").rglob("*.js"))]
    found += [template_keys(path.relative_to(TEMPLATES).with_suffix("").as_posix()) for path in sorted(TEMPLATES.rglob("*.html"))]
    found += [python_keys(path) for path in modules()]
    return tuple(key for keys in found for key in keys)


def of_modules(*names: str) -> list[Key]:
    """The keys of some modules of the app, by the patterns of their paths below it."""
    return [key for name in names for path in sorted((ROOT / "app").glob(name)) for key in python_keys(path)]
