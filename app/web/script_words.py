"""The words of a page's script: put into it in the language that it is served in, and of the catalogue only those that it says.

Where a script calls say("Lane {number}", { number: lane.lane }), what is served has the finished text in that place:
`Bahn ${lane.lane}`. So a page weighs the same in every language, no more than if it had its words written in, and needs nothing
beside its one file. What only a variable names, and what has forms for a number, stays in a table (js/words/en.js), cut down to
what the script holds the names of.
"""

import json
import re

from app.rules.values.words import Catalogue

WORDS = "js/words/en.js"
SPEAKS = re.compile(r'import \{[^}]*\bsay\b[^}]*\} from "[^"]*words/say\.js";')
CALL = re.compile(r"(?<![\w.$#])say\(")
TEXT = re.compile(r'"((?:\\.|[^"\\\n])*)"')
BEGUN = re.compile(r"`([a-z_]+\.)\$\{")  # a name that is put together: `heat.${state}`
STRING = re.compile(r"\"(?:\\.|[^\"\\\n])*\"|'(?:\\.|[^'\\\n])*'")
HOLE = re.compile(r"\{(\w+)\}")
FILLED = re.compile(r"(\w+)(?:\s*:\s*(.*))?", re.S)
OPENS, SHUTS = "([{", ")]}"


def said_in(script: str, words: Catalogue) -> str:
    """A module with its sentences in a language; those that it lacks are English. A module that says nothing stays as it is."""
    return _said(script, words) if SPEAKS.search(script) else script


def table(scripts: str, words: Catalogue) -> str:
    """The module of words for some scripts: the rows whose names they hold, English where the language lacks one."""
    named = {json.loads(f'"{text}"') for text in set(TEXT.findall(scripts)) if re.fullmatch(r"(?:[^\\]|\\u[0-9a-f]{4})*", text)}
    begun = tuple(set(BEGUN.findall(scripts)))
    rows = {**(words.beneath.words if words.beneath else {}), **words.words}
    kept = {key: word for key, word in rows.items() if key in named or (begun and key.startswith(begun))}
    told = {"language": words.language, "point": words.point, "plural": list(words.plural), "words": kept}
    return f"export const catalogue = {json.dumps(told, ensure_ascii=False, separators=(',', ':'))};"


def _said(script: str, words: Catalogue) -> str:
    pieces, done = [], 0
    for call in CALL.finditer(script):
        if call.start() >= done:
            given, end = parted(script, call.end())
            said = _text([_said(one, words) for one in given], words)
            pieces += [script[done : call.start()], said]
            done = end + 1
    return "".join((*pieces, script[done:]))


def _text(given: list[str], words: Catalogue) -> str:
    """What stands in the place of a call: a text, a text with expressions in it, or the call with its key."""
    key, filled = TEXT.fullmatch(given[0].strip()), holes_filled(given[1]) if len(given) == 2 else {}
    word = _word(json.loads(key[0]), words) if key and "\\" not in key[1] else None
    if word is None or filled is None or len(given) > 2 or set(HOLE.findall(word)) - filled.keys():
        return f"say({','.join(given)})"
    if not filled:
        return json.dumps(word, ensure_ascii=False)
    plain = word.replace("\\", "\\\\").replace("`", "\\`").replace("${", "\\${")
    return f"`{HOLE.sub(lambda hole: f'${{{filled[hole[1]]}}}', plain)}`"


def _word(key: str, words: Catalogue) -> str | None:
    """What a key says, where that is one text; None for what has forms."""
    word = words.words.get(key)
    if word is None:
        return key if words.beneath is None else _word(key, words.beneath)
    return word if isinstance(word, str) else None


def holes_filled(holes: str) -> dict[str, str] | None:
    """What is written into each hole by an object as scripts write it; None for another expression."""
    text = holes.strip()
    if not (text.startswith("{") and text.endswith("}")):
        return None
    given, _ = parted(text, 1)
    pairs = [FILLED.fullmatch(one.strip()) for one in given if one.strip()]
    return {pair[1]: pair[2] or pair[1] for pair in pairs if pair} if all(pairs) else None


def parted(script: str, at: int) -> tuple[list[str], int]:
    """What stands between an open bracket and the one that shuts it, parted at its commas; and where that one is."""
    parts, begun, depth = list[str](), at, 0
    while True:
        if text := STRING.match(script, at):
            at = text.end()
        elif script[at] == "`":
            at = _template_end(script, at)
        elif script[at] in OPENS:
            depth, at = depth + 1, at + 1
        elif not depth and script[at] in (",", *SHUTS):
            parts.append(script[begun:at])
            if script[at] != ",":
                return parts, at
            begun = at = at + 1
        else:
            depth, at = depth - (script[at] in SHUTS), at + 1


def _template_end(script: str, at: int) -> int:
    """Behind the template string that begins here."""
    at += 1
    while script[at] != "`":
        if script.startswith("${", at):
            _, at = parted(script, at + 2)
        at += 2 if script[at] == "\\" else 1
    return at + 1
