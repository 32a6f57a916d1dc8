"""A page's script with all that it imports, as one file: a tablet on poor Wi-Fi asks once instead of a hundred times.

It is put together when it is first asked for, from the modules as they are served, so there is no step between writing a module
and seeing it. Each module keeps a scope of its own and stands before those that import it. What a page may get elsewhere stays a
file of its own and is imported (APART): the catalogue, which is another one in another language, and what every page loads.

It knows the forms in which this tree is written, `import { a, b as c } from "./x.js";` and `export` before a function, a class or
a const, and says where something else stands.
"""

import posixpath
import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache

from app.web.script_words import WORDS

APART = frozenset({"js/parts/ground.js"})
PAGE = re.compile(r"js/screens/\w+/\w+\.js")  # what templates name as a page's own script, and a worker beside them
WORKER = re.compile(r'new Worker\(new URL\("([^"]+)", import\.meta\.url\)')
IMPORT = re.compile(r'import (\{[^}]*\}|\w+) from "([^"]+)";')
EXPORT = re.compile(r"export (?=(?:async )?(?:function\*?|class|const) (\w+))")
TAKEN = re.compile(r"(?:[{,]\s*)(\w+)")
OTHER = re.compile(r"^(?:im|ex)port\b.*|\bimport\(.*", re.M)
EMPTY = re.compile(r"\n\s*\n")  # where comments stood: among other modules a line's number says nothing of its source
NOTES = re.compile(r"/\*.*?\*/", re.S)  # they may name modules as well

Source = Callable[[str], str]  # a module's text as it is served, by its name in the static tree


class BadModule(ValueError):
    """Raised for a module that is written in another form, or that imports itself by way of others; its text says where."""


@dataclass(frozen=True, slots=True)
class _Module:
    """A module taken apart: the names that it takes from each other module, by that one's name; what it gives; the rest."""

    name: str
    takes: tuple[tuple[str, str], ...]
    gives: tuple[str, ...]
    body: str


def is_page(name: str) -> bool:
    """Whether a file of the static tree is a page's script, or a worker's that travels as one file with all it imports."""
    return PAGE.fullmatch(name) is not None


def page_script(name: str, source: Source, table: Callable[[str], str] | None = None) -> str:
    """The script `name` and what it imports as one module. table: makes the module of words for what all others say. Raises
    BadModule."""
    modules = _in_order(name, source)
    if WORDS in modules and table is not None:
        others = "\n".join(module.body for one, module in modules.items() if module is not None and one != WORDS)
        modules[WORDS] = _apart(WORDS, table(others))
    for module in filter(None, modules.values()):
        _all_given(module, modules)
    number = {one: n for n, one in enumerate(modules)}
    whole = [_from_apart(one, name, number) for one in modules if one in APART]
    whole += [_scoped(module, name, number) for module in modules.values() if module is not None]
    return "\n".join(whole)


def apart_of(name: str, source: Source) -> set[str]:
    """What a page fetches beside its one script: the files that stay apart, and the workers, each with what it imports."""
    modules = _in_order(name, source)
    bodies = {one: module.body for one, module in modules.items() if module is not None}
    workers = {_beside(one, path) for one, body in bodies.items() for path in WORKER.findall(body)}
    theirs = (apart_of(worker, source) | {worker} if is_page(worker) else _in_order(worker, source) for worker in workers)
    return (modules.keys() - bodies.keys()).union(*theirs)


def _in_order(name: str, source: Source) -> dict[str, _Module | None]:
    """Every module that `name` needs and itself, each after those it imports; None for one that stays apart."""
    done: dict[str, _Module | None] = {}

    def walk(here: str, above: tuple[str, ...]) -> None:
        if here in above:
            raise BadModule(f"{' > '.join((*above, here))}: a module that imports itself by way of others.")
        if here not in done:
            module = None if here in APART else _apart(here, source(here))
            for other, _ in module.takes if module is not None else ():
                walk(other, (*above, here))
            done[here] = module

    walk(name, ())
    return done


@lru_cache(maxsize=512)
def _apart(name: str, text: str) -> _Module:
    takes = tuple((_beside(name, path), names) for names, path in IMPORT.findall(text))
    gives = tuple(EXPORT.findall(text))
    body = EXPORT.sub("", IMPORT.sub("", text))
    if other := OTHER.search(NOTES.sub("", body)):
        raise BadModule(f"{name}: {other[0]}: this form of import or export is not known.")
    return _Module(name, takes, gives, body)


def _all_given(module: _Module, modules: Mapping[str, _Module | None]) -> None:
    """Raises BadModule where a module takes a name that the other does not give: of loose modules a browser would tell."""
    for other, names in module.takes:
        there = modules[other]
        if there is not None and (missing := set(TAKEN.findall(names)) - {*there.gives}):
            raise BadModule(f"{module.name} takes {', '.join(sorted(missing))} from {other}, which gives no such thing.")


def _beside(name: str, path: str) -> str:
    return posixpath.normpath(posixpath.join(posixpath.dirname(name), path))


def _from_apart(name: str, page: str, number: Mapping[str, int]) -> str:
    return f'import * as _{number[name]} from "{_address(name, page)}";'


def _scoped(module: _Module, page: str, number: Mapping[str, int]) -> str:
    """A module as a function called at once, which gives back what it exports; the page's own, which may wait, as it stands."""
    taken = "".join(f"const {pattern} = _{number[other]};" for other, pattern in _patterns(module))
    body = EMPTY.sub("\n", module.body).replace("import.meta.url", f'new URL("{_address(module.name, page)}", import.meta.url)')
    if module.name == page:
        return f"// {module.name}\n{taken}{body}"
    gives = f"return {{ {', '.join(module.gives)} }};"
    return f"// {module.name}\nconst _{number[module.name]} = (() => {{{taken}{body}\n{gives}}})();"


def _patterns(module: _Module) -> Iterator[tuple[str, str]]:
    """What is taken from each module, as a pattern that takes it out of an object."""
    for other, names in module.takes:
        yield other, names.replace(" as ", ": ") if names.startswith("{") else f"{{ default: {names} }}"


def _address(name: str, page: str) -> str:
    path = posixpath.relpath(name, posixpath.dirname(page))
    return path if path.startswith(".") else f"./{path}"
