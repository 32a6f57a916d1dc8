"""The map of the house, printed from what every room and every module says of itself.

`python3 -m tests.map` prints the rooms from the highest floor down, each with its size, its law and its modules;
`python3 -m tests.map --figures` prints one line of numbers for each room. Neither needs more than a bare Python.
"""

import ast
import re
import sys
import tomllib
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path
from statistics import median

ROOT = Path(__file__).resolve().parent.parent
SCRIPT_FLOORS = ("screens", "parts", "device", "rules", "words")
MANY_PARAMETERS = 5
ENDS = (".", "!", "?", ":")
SAID = re.compile(r"/\*\*?(?P<block>.*?)\*/|(?P<lines>(?:^//[^\n]*\n?)+)", re.S | re.M)


@dataclass(frozen=True, slots=True)
class Function:
    """A function: how many lines from its name to its end, how many parameters but `self` and `cls`."""

    name: str
    lines: int
    parameters: int


@dataclass(frozen=True, slots=True)
class Module:
    """A file of code: its path below the root, what it says of itself, its lines, and what is in it."""

    path: str
    says: str
    lines: int
    functions: tuple[Function, ...] = ()
    hidden_imports: int = 0


@dataclass(frozen=True, slots=True)
class Room:
    """A folder of code: its path below the root, its law (empty for scripts), its files without those of rooms inside it."""

    path: str
    law: str
    modules: tuple[Module, ...]

    @property
    def lines(self) -> int:
        """The lines of all its files."""
        return sum(module.lines for module in self.modules)


def python_module(path: Path, root: Path) -> Module:
    """A Python file read: the first line of its docstring, its functions, the imports inside them."""
    text = path.read_text(encoding="utf-8")
    tree = ast.parse(text, filename=str(path))
    nodes = list(ast.walk(tree))
    functions = [node for node in nodes if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)]
    inside = [node for node in nodes if isinstance(node, ast.Import | ast.ImportFrom) and node not in tree.body]
    hidden = {node.lineno for function in functions for node in ast.walk(function) if node in inside} if inside else set()
    says = opening_line(ast.get_docstring(tree) or "")
    measured = tuple(_measured(function) for function in functions)
    return Module(path.relative_to(root).as_posix(), says, len(text.splitlines()), measured, len(hidden))


def _measured(function: ast.FunctionDef | ast.AsyncFunctionDef) -> Function:
    given = function.args
    names = [argument.arg for argument in (*given.posonlyargs, *given.args, *given.kwonlyargs)]
    lines = (function.end_lineno or function.lineno) - function.lineno + 1
    return Function(function.name, lines, len([name for name in names if name not in ("self", "cls")]))


def opening_line(docstring: str) -> str:
    """The first line of a docstring, and as much of the next ones as its last sentence needs."""
    lines = docstring.partition("\n\n")[0].splitlines()
    ends = next((number for number, line in enumerate(lines, start=1) if line.endswith(ENDS)), len(lines))
    return " ".join(line.strip() for line in lines[:ends])


def script(path: Path, root: Path) -> Module:
    """A JavaScript file read: the first sentence of its first comment that is for people."""
    text = path.read_text(encoding="utf-8")
    return Module(path.relative_to(root).as_posix(), first_comment(text), len(text.splitlines()))


def first_comment(text: str) -> str:
    """The first sentence of the first comment that is not for the type checker alone; empty where there is none."""
    for found in SAID.finditer(text.removeprefix("// @ts-check\n")):
        words = " ".join(
            line.strip().lstrip("*/").strip() for line in (found["block"] or found["lines"] or "").splitlines()
        ).strip()
        if words and not words.startswith("@"):
            return re.split(r"(?<=[.!?])\s|\s@", words, maxsplit=1)[0]
    return ""


def floors(root: Path) -> list[str]:
    """The rooms of app/ from the highest floor down, as pyproject.toml gives them to import-linter: `app/web` and so on."""
    contracts = tomllib.loads((root / "pyproject.toml").read_text(encoding="utf-8"))["tool"]["importlinter"]["contracts"]
    layers = [
        f"{container}.{name.removeprefix(f'{container}.')}"
        for contract in contracts
        if contract["type"] == "layers"
        for container in contract.get("containers", ["app"])
        for layer in contract["layers"]
        for name in re.findall(r"[\w.]+", layer)
    ]
    return [name.replace(".", "/") for name in layers]


def rooms(root: Path) -> Iterator[Room]:
    """All rooms: app/ first, then those inside it from the highest floor down, then those of the scripts."""
    order = {name: place for place, name in enumerate(floors(root))}
    packages = [path.parent for path in (root / "app").rglob("__init__.py") if "_shipped" not in path.parts]
    for folder in sorted(packages, key=lambda package: _place(package.relative_to(root), order)):
        files = [python_module(path, root) for path in sorted(folder.glob("*.py"))]
        law = next(file.says for file in files if file.path.endswith("__init__.py"))
        yield Room(folder.relative_to(root).as_posix(), law, tuple(files))
    yield from _script_rooms(root)


def _place(folder: Path, order: dict[str, int]) -> list[tuple[int, str]]:
    """Where a room stands: by the floor of each folder on the way to it; what has no floor comes last, by name."""
    parts = folder.parts
    steps = ["/".join(parts[: end + 1]) for end in range(1, len(parts))]
    return [(order.get(step, len(order)), step) for step in steps]


def _script_rooms(root: Path) -> Iterator[Room]:
    scripts = root / "static" / "js"
    folders = sorted({path.parent for path in scripts.rglob("*.js")}, key=lambda folder: (_script_floor(folder, scripts), folder))
    for folder in folders:
        yield Room(folder.relative_to(root).as_posix(), "", tuple(script(path, root) for path in sorted(folder.glob("*.js"))))


def _script_floor(folder: Path, scripts: Path) -> int:
    first = folder.relative_to(scripts).parts[0] if folder != scripts else ""
    return SCRIPT_FLOORS.index(first) if first in SCRIPT_FLOORS else len(SCRIPT_FLOORS)


def printed(all_rooms: Iterable[Room]) -> str:
    """The map: for each room its path, files, lines and law, under it each module with what it says."""
    parts = []
    for room in all_rooms:
        lines = [f"{room.path}/  ({len(room.modules)} files, {room.lines} lines)", *([f"  {room.law}"] if room.law else [])]
        shown = [module for module in room.modules if not module.path.endswith("__init__.py")]
        lines += [f"    {module.path.rpartition('/')[2]:28} {module.says}".rstrip() for module in shown]
        parts.append("\n".join(lines))
    return "\n\n".join(parts)


FIGURES = (
    "room",
    "files",
    "lines",
    "median file",
    "largest file",
    "median function",
    "largest function",
    "hidden imports",
    "over 5",
)


def figures(all_rooms: Iterable[Room]) -> str:
    """The numbers of each room and of each language together, as a table: over 5 is functions with more than five parameters."""
    several = list(all_rooms)
    modules = [module for room in several for module in room.modules]
    wholes = [
        Room(f"all {language}", "", tuple(module for module in modules if module.path.endswith(ending)))
        for language, ending in (("Python", ".py"), ("scripts", ".js"))
    ]
    rows = [FIGURES, *(_row(room) for room in [*several, *wholes] if room.modules)]
    widths = [max(len(row[column]) for row in rows) for column in range(len(FIGURES))]
    return "\n".join("  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip() for row in rows)


def _row(room: Room) -> tuple[str, ...]:
    functions = [function for module in room.modules for function in module.functions]
    largest = max(room.modules, key=lambda module: module.lines)
    longest = max(functions, key=lambda function: function.lines, default=None)
    return (
        *(room.path, str(len(room.modules)), str(room.lines), f"{median(module.lines for module in room.modules):.0f}"),
        f"{largest.lines} {largest.path.rpartition('/')[2]}",
        f"{median(function.lines for function in functions):.0f}" if functions else "-",
        f"{longest.lines} {longest.name}" if longest else "-",
        str(sum(module.hidden_imports for module in room.modules)),
        str(sum(function.parameters > MANY_PARAMETERS for function in functions)),
    )


if __name__ == "__main__":
    print(figures(rooms(ROOT)) if "--figures" in sys.argv[1:] else printed(rooms(ROOT)))
