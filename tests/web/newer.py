"""What the oldest browsers that the product is made for do not know yet, by public compatibility data.

`newer.json` is drawn from the package @mdn/browser-compat-data (CC0, its version stands in the file): the names of what at least
one browser of the floor lacks, with the version that brought it. To draw it anew from the package's data.json:

    python3 -m tests.web.newer data.json
"""

import json
import sys
from collections.abc import Iterator, Mapping
from functools import cache
from pathlib import Path
from typing import Any

from app.web.browsers import OLDEST

KEPT = Path(__file__).with_name("newer.json")

FLOOR = {key: OLDEST[name] for key, name in (("safari_ios", "iPadOS"), ("chrome_android", "Chrome"), ("firefox", "Firefox"))}
"""The browsers as the data names them."""

UNITS = {
    "container_query_length_units": ("cqw", "cqh", "cqi", "cqb", "cqmin", "cqmax"),
    "viewport_percentage_units_dynamic": ("dvw", "dvh", "dvi", "dvb", "dvmin", "dvmax"),
    "viewport_percentage_units_small": ("svw", "svh", "svi", "svb", "svmin", "svmax"),
    "viewport_percentage_units_large": ("lvw", "lvh", "lvi", "lvb", "lvmin", "lvmax"),
}

Lacks = dict[str, str]
"""Name of a browser of the floor -> the version that brought the thing; empty where none has yet."""


@cache
def newer() -> dict[str, dict[str, str]]:
    """Kind of thing (property, value, selector, ...) -> its name -> who lacks it, in words."""
    read: dict[str, dict[str, str]] = json.loads(KEPT.read_text(encoding="utf-8"))["newer"]
    return read


def drawn(data: Mapping[str, Any]) -> dict[str, dict[str, str]]:
    """The names of `newer()`, from the whole data."""
    css, html = data["css"], data["html"]
    found = {
        "property": _named(css["properties"]),
        "value": {
            f"{name}: {value}": lacks for name, node in _children(css["properties"]) for value, lacks in _named(node).items()
        },
        "selector": _named(css["selectors"]),
        "at-rule": _named(css["at-rules"]),
        "media": _named(css["at-rules"]["media"]),
        "unit": _units(css["types"]["length"]),
        "function": _named(css["types"]) | _named(css["types"]["color"]),
        "element": _named(html["elements"]),
        "attribute": _named(html["global_attributes"]) | _attributes(html["elements"]),
        "member": _members(data["javascript"]["builtins"], data["api"]),
        "global": _named(data["javascript"]["builtins"]) | _named(data["api"]),
        "iterator": _named(data["javascript"]["builtins"]["Iterator"]),
    }
    return {kind: {name: told for name, lacks in sorted(of.items()) if (told := _told(lacks))} for kind, of in found.items()}


def _children(node: Mapping[str, Any]) -> Iterator[tuple[str, Mapping[str, Any]]]:
    return ((name, below) for name, below in node.items() if name != "__compat")


def _named(node: Mapping[str, Any]) -> dict[str, Lacks]:
    return {name.removesuffix("_static"): _lacks(below) for name, below in _children(node) if "__compat" in below}


def _units(lengths: Mapping[str, Any]) -> dict[str, Lacks]:
    return {unit: lacks for name, lacks in _named(lengths).items() for unit in UNITS.get(name, (name,))}


def _attributes(elements: Mapping[str, Any]) -> dict[str, Lacks]:
    """Attributes that every element which takes them took too late, or none does yet."""
    return _late_everywhere(node for _name, node in _children(elements))


def _members(*groups: Mapping[str, Any]) -> dict[str, Lacks]:
    """Members of objects that the floor has. Of what it lacks whole (a global) they need no row; iterators have their own."""
    nodes = (node for group in groups for name, node in _children(group) if name not in ("Iterator", "Gamepad", "CSS"))
    return _late_everywhere(node for node in nodes if "__compat" in node and not _lacks(node))


def _late_everywhere(nodes: Iterator[Mapping[str, Any]]) -> dict[str, Lacks]:
    found: dict[str, list[Lacks]] = {}
    for node in nodes:
        for name, lacks in _named(node).items():
            found.setdefault(name, []).append(lacks)
    return {name: all_of[0] for name, all_of in found.items() if all(all_of)}


def _lacks(node: Mapping[str, Any]) -> Lacks:
    support = node["__compat"]["support"] if "__compat" in node else {}
    since = {browser: _since(support[browser]) for browser in FLOOR if browser in support}
    return {browser: ".".join(map(str, at or ())) for browser, at in since.items() if at is None or at > FLOOR[browser]}


def _since(entry: Any) -> tuple[int, ...] | None:
    """The first version that has it under its own name and without a switch; what came in part has come."""
    if isinstance(entry, list):
        return min((at for one in entry if (at := _since(one)) is not None), default=None)
    if any(entry.get(other) for other in ("prefix", "alternative_name", "flags")):
        return None
    added = entry["version_added"]
    return tuple(int(part) for part in added.lstrip("≤").split(".")) if added and added != "preview" else None


def _told(lacks: Lacks) -> str:
    return ", ".join(f"{browser} {at or 'not yet'}" for browser, at in lacks.items())


def main(data: Path) -> None:
    """Writes newer.json from the package's data.json."""
    whole = json.loads(data.read_bytes())
    kept = {"source": f"@mdn/browser-compat-data {whole['__meta']['version']}, CC0", "newer": drawn(whole)}
    KEPT.write_text(json.dumps(kept, ensure_ascii=False, indent=0, sort_keys=True) + "\n", encoding="utf-8")
    print({kind: len(of) for kind, of in kept["newer"].items()})


if __name__ == "__main__":
    main(Path(sys.argv[1]))
