"""No page needs more than the oldest browsers that the product is made for can do (`newer.FLOOR`)."""

import re
from collections.abc import Callable, Iterator
from itertools import pairwise

import pytest
import tinycss2
from tinycss2.ast import AtRule, Declaration, Node, QualifiedRule

from app.paths import static_dir, templates_dir
from tests.web.newer import newer

Use = tuple[str, str]
"""What kind of thing is used, and its name."""

WITHOUT = {
    ("at-rule", "page"): "the printer's own paper and margins",
    ("property", "size"): "the same",
    ("value", "break-after: avoid"): "a heading may stand alone at the foot of a printed page",
    ("property", "print-color-adjust"): "the browser asks whether to print grounds",
    ("property", "text-wrap"): "lines break where they do",
    ("property", "-webkit-touch-callout"): "a word of one engine; the others have no such menu",
    ("property", "text-size-adjust"): "the other engines do not grow text by themselves",
    ("property", "user-select"): "stands beside the prefixed one",
    ("property", "mask-image"): "a list that goes on is not faded at its end",
    ("property", "scrollbar-width"): "a bar to scroll by is seen",
    ("property", "overscroll-behavior"): "the page can be pulled past its edge",
    ("property", "cursor"): "the arrow of the mouse",
    ("value", "align-content: safe"): "the word is passed over, and with it the line",
    ("value", "justify-content: safe"): "the same",
    ("value", "font-family: ui-monospace"): "the next of the list",
    ("value", "text-decoration: dotted"): "a whole line below the word",
    ("selector", "has"): "Firefox alone, on the organiser's pages: a form is wider or narrower, nothing is hidden",
    ("attribute", "is"): "a word of a sentence that holds a greater-than sign",
    ("member", "estimate"): "asked for first; without it no word on the room left",
    ("member", "memory"): "the same",
    ("member", "fullscreenEnabled"): "no button for the whole screen",
    ("member", "fullscreenElement"): "the same",
    ("member", "exitFullscreen"): "the same",
    ("member", "requestFullscreen"): "the same",
    ("member", "outputLatency"): "sounds come as much later as the browser does not tell",
    ("member", "requestVideoFrameCallback"): "asked for first; a film steps by its stated frames",
    ("member", "vibrate"): "asked for first; sound and flash remain",
    ("member", "wakeLock"): "asked for first; the strip says how to keep the screen on",
    ("member", "databases"): "asked for first",
    ("member", "escape"): "that of CSS, which the floor has",
    ("member", "side"): "a word of our own",
    ("member", "sync"): "a word of our own",
    ("member", "when"): "a word of our own",
    ("member", "role"): "a word of our own",
}
"""What is used though the floor lacks it -> what a browser does without it. A row that nothing needs any more fails."""

COMMENTS = re.compile(r"/\*.*?\*/|(?<![:\"'\\/])//[^\n]*", re.S)
MEMBER = re.compile(r"\.([A-Za-z_]\w*)")
GLOBAL = re.compile(r"(?<![.\w\"'#-])([A-Z]\w+)(?=[.(])")
ITERATED = re.compile(r"(?<!Object)\.(?:values|keys|entries|matchAll)\([^()]*\)\s*\.(\w+)\(")
SYNTAX = {
    "look-behind": re.compile(r"\(\?<[=!]"),
    "static block": re.compile(r"\bstatic\s*\{"),
    "flag v": re.compile(r"/[gimsuy]*v[gimsuy]*[;,).\s]$"),
}


def used_in_css(text: str) -> Iterator[Use]:
    """Everything a style sheet uses: the last word on a property only, where an older way stands before it."""
    return _of_rules(tinycss2.parse_stylesheet(text, skip_comments=True, skip_whitespace=True))


def _of_rules(rules: list[Node]) -> Iterator[Use]:
    for rule in rules:
        if isinstance(rule, AtRule):
            yield from _of_at_rule(rule)
        elif isinstance(rule, QualifiedRule):
            yield from _of_selector(rule.prelude)
            yield from _of_declarations(rule.content)


def _of_at_rule(rule: AtRule) -> Iterator[Use]:
    if rule.lower_at_keyword == "supports":
        return  # asks before it uses
    yield "at-rule", rule.lower_at_keyword
    if rule.lower_at_keyword == "media":
        yield from (("media", part.value) for part in _within(rule.prelude) if part.type == "ident")
        yield from (
            ("media", "range_syntax")
            for part in _within(rule.prelude)
            if part.type == "literal" and part.value in ("<", ">", "<=", ">=")
        )
    if rule.content and rule.lower_at_keyword in ("media", "layer", "container"):
        yield from _of_rules(tinycss2.parse_rule_list(rule.content, skip_comments=True, skip_whitespace=True))
    elif rule.content:
        yield from _of_declarations(rule.content)


def _of_selector(prelude: list[Node]) -> Iterator[Use]:
    parts = list(_within(prelude))
    for before, part in pairwise(parts):
        if before.type == "literal" and before.value == ":" and part.type in ("ident", "function"):
            yield "selector", part.value if part.type == "ident" else part.lower_name


def _of_declarations(content: list[Node]) -> Iterator[Use]:
    told: dict[str, list[Declaration]] = {}
    for one in tinycss2.parse_blocks_contents(content, skip_comments=True, skip_whitespace=True):
        if isinstance(one, Declaration):
            told.setdefault(one.lower_name, []).append(one)
    for name, ways in told.items():
        yield from min(
            (list(_of_declaration(name, way)) for way in _that_fall_back(ways)), key=lambda uses: len(lacking(iter(uses)))
        )


def _that_fall_back(ways: list[Declaration]) -> list[Declaration]:
    """The ways of one property of which a browser takes the last it knows: what holds a var() is taken unseen, and wins."""
    last_unseen = max(
        (
            at
            for at, way in enumerate(ways)
            if any(part.type == "function" and part.lower_name == "var" for part in _within(way.value))
        ),
        default=0,
    )
    return ways[last_unseen:]


def _of_declaration(name: str, way: Declaration) -> Iterator[Use]:
    yield "property", name
    for part in _within(way.value):
        if part.type == "dimension":
            yield "unit", part.lower_unit
        elif part.type == "function":
            yield "function", part.lower_name
        elif part.type == "ident":
            yield "value", f"{name}: {part.lower_value}"


def _within(parts: list[Node]) -> Iterator[Node]:
    for part in parts:
        yield part
        yield from _within(getattr(part, "arguments", None) or getattr(part, "content", None) or [])


def used_in_js(text: str) -> Iterator[Use]:
    """Members, globals, what is asked of iterators, and syntax."""
    code = COMMENTS.sub(" ", text)
    yield from (("member", found[1]) for found in MEMBER.finditer(code))
    yield from (("global", found[1]) for found in GLOBAL.finditer(code))
    yield from (("iterator", found[1]) for found in ITERATED.finditer(code))
    yield from (("syntax", name) for name, pattern in SYNTAX.items() if pattern.search(code))


def used_in_html(text: str) -> Iterator[Use]:
    """Elements and attributes of a template."""
    for tag in re.finditer(r"<([a-z][a-z0-9]*)\b([^<>]*)", text):
        yield "element", tag[1]
        yield from (("attribute", name) for name in re.findall(r"\s([a-z][a-z-]*)(?=[=\s>]|$)", tag[2]))


def lacking(uses: Iterator[Use]) -> set[Use]:
    return {use for use in uses if use[0] == "syntax" or use[1] in newer()[use[0]]}


def row_of(use: Use) -> Use:
    """The row that speaks of a use: a property's own stands for its values too."""
    of_property = ("property", use[1].partition(":")[0])
    return of_property if use[0] == "value" and of_property in WITHOUT else use


def every_use() -> dict[Use, set[str]]:
    ways = ((static_dir(), "*.css", used_in_css), (static_dir(), "*.js", used_in_js), (templates_dir(), "*.html", used_in_html))
    found: dict[Use, set[str]] = {}
    for folder, pattern, read in ways:
        for path in sorted(folder.rglob(pattern)):
            if "vendor" not in path.parts:
                for use in lacking(read(path.read_text(encoding="utf-8"))):
                    found.setdefault(use, set()).add(path.relative_to(folder).as_posix())
    return found


def test_what_the_oldest_browsers_lack_is_not_needed() -> None:
    found = every_use()
    said = [
        f"{kind} {name} ({newer().get(kind, {}).get(name, 'newer')}): {', '.join(sorted(at))}"
        for (kind, name), at in found.items()
        if row_of((kind, name)) not in WITHOUT
    ]
    assert not said, "\n".join(["the floor (tests/web/newer.py) lacks:", *sorted(said)])
    assert set(WITHOUT) == {row_of(use) for use in found}


@pytest.mark.parametrize(
    ("read", "text", "lacks"),
    [
        (used_in_css, "a { color: oklch(0.2 0 0) }", {("function", "oklch")}),
        (used_in_css, "a { height: 100vh; height: 100dvh }", set()),
        (used_in_css, "a { width: 3vw; width: calc(1cqw * var(--b)) }", {("unit", "cqw")}),
        (used_in_css, "@media (width > 20rem) { a:has(b) { inset: 0 } }", {("media", "range_syntax"), ("selector", "has")}),
        (used_in_css, "@supports selector(:has(*)) { a:has(b) { inset: 0 } }", set()),
        (used_in_css, "a { font-size: min(3cqw, 2rem) }", {("unit", "cqw")}),
        (used_in_js, "const a = /(?<=x)y/u; // (?<!", {("syntax", "look-behind")}),
        (used_in_js, "form.requestSubmit(); [1].at(-1)", {("member", "requestSubmit")}),
        (used_in_js, "marks.values().map((mark) => mark)", {("iterator", "map")}),
        (used_in_js, "Object.values(marks).map((mark) => mark)", set()),
        (used_in_html, "<div popover id=x></div>", {("attribute", "popover")}),
    ],
)
def test_the_reader_finds_what_is_newer(read: Callable[[str], Iterator[Use]], text: str, lacks: set[Use]) -> None:
    assert lacking(read(text)) == lacks
