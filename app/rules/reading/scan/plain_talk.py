"""Words that no table of the trade has: ordinary talk, and names of things that nobody knows."""

from dataclasses import replace

from app.rules.reading.scan.pieces import BLIND, Tok
from app.rules.workout.movements import library

COUNTS = ("NUM", "MAX", "HEAVY", "CALS", "LENG", "REPS", "MOVE")
PARTS_TALK = ("COMMA", "STOP", "DASH", "COLON", "LPAR", "RPAR")


def talk(toks: list[Tok]) -> list[Tok]:
    """Ordinary talk beside what is done: words that no table knows are part of it, but for a thing that a number counts, and
    where a word might change what counts."""
    found: list[Tok] = []
    at = 0
    while at < len(toks):
        end = at
        while end < len(toks) and toks[end].kind in BLIND:
            end += 1
        run = _chat(toks[at:end], toks[at - 1].kind if at else "", toks[end].kind if end < len(toks) else "")
        counted = at > 0 and toks[at - 1].kind in COUNTS and run[:1] and run[0].kind == "WORD"
        near = end < len(toks) and toks[end].kind == "MOVE" and run and run[-1].kind == "WORD"
        kinds = {tok.kind for tok in run}
        apart = (at == 0 or toks[at - 1].kind in PARTS_TALK) and (end == len(toks) or toks[end].kind in PARTS_TALK)
        if "PROSE" in kinds and "DECIDES" not in kinds and (apart or "WEIGHTY" not in kinds):
            first = next(place for place, tok in enumerate(run) if tok.kind == "PROSE") if counted else 0
            last = max(place for place, tok in enumerate(run) if tok.kind == "PROSE") + 1 if near else len(run)
            found += [*run[:first], run[first].to(run[last - 1], "PROSE"), *run[last:]]
        else:
            found += [replace(tok, kind="WORD") for tok in run] or [toks[at]]
        at = max(end, at + 1)
    return found


def _chat(run: list[Tok], before: str, behind: str) -> list[Tok]:
    """A run of words, whose chat is ordinary talk; right before a movement (`chair dips`) and behind a number it is a name."""
    first, last = 0, len(run)
    while before in COUNTS and first < last and run[first].kind == "CHAT":
        first += 1
    while behind == "MOVE" and last > first and run[last - 1].kind == "CHAT":
        last -= 1
    return [
        tok if tok.kind != "CHAT" else replace(tok, kind="PROSE" if first <= place < last else "WORD")
        for place, tok in enumerate(run)
    ]


def pronouns(toks: list[Tok]) -> list[Tok]:
    """`This is a simple one`: the word, beside ordinary talk and before nothing that it could count, is no number."""
    found = list(toks)
    for at, tok in enumerate(toks):
        if tok.kind != "NUM" or tok.text.casefold() != "one" or at == 0 or found[at - 1].kind != "PROSE":
            continue
        if at + 1 == len(toks) or toks[at + 1].kind in (*PARTS_TALK, "PROSE"):
            found[at] = replace(tok, kind="PROSE", values=())
    return found


def _turned(run: list[Tok]) -> Tok | None:
    """`pull-ups strict`: a movement by a name with its words in another order."""
    if [tok.kind for tok in run] != ["MOVE", "WORD"]:
        return None
    key = library().names.get(library().plain(f"{run[1].text} {run[0].text}"))
    return run[0].to(run[1], "MOVE", key=key, name=library().movements[key].name) if key else None


def unknown_things(toks: list[Tok]) -> list[Tok]:
    """Words that no table knows, and a movement among them, are one unknown thing. A target is one only behind a size."""
    shown = [
        replace(tok, kind="WORD") if tok.kind == "TARGET" and (at == 0 or toks[at - 1].kind not in ("SIZE", "TO")) else tok
        for at, tok in enumerate(toks)
    ]
    found: list[Tok] = []
    at = 0
    while at < len(shown):
        end = at
        while end < len(shown) and shown[end].kind in ("WORD", "MOVE"):
            end += 1
        run = shown[at:end]
        if turned := _turned(run):
            found.append(turned)
            at = end
        elif any(tok.kind == "WORD" for tok in run):
            like = next((tok for tok in run if tok.key), None)
            named = {"key": like.key, "within": (like.start, like.end)} if like else {"key": ""}
            found.append(run[0].to(run[-1], "UNKNOWN", **named))
            at = end
        else:
            found += run or [shown[at]]
            at = max(end, at + 1)
    return found
