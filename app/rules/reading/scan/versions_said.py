"""Whose numbers are: loads of two versions in one line, as one load of two numbers, and the names beside them."""

from collections.abc import Callable
from dataclasses import replace

from app.rules.reading.scan.scanning import Tok


def joined(toks: list[Tok], fits: Callable[[list[Tok]], Tok | None], length: int) -> list[Tok]:
    """Every run of so many words that fits, as one."""
    found: list[Tok] = []
    at = 0
    while at < len(toks):
        made = fits(toks[at : at + length]) if at + length <= len(toks) else None
        found.append(made or toks[at])
        at += length if made else 1
    return found


def versions(toks: list[Tok]) -> list[Tok]:
    """`men/women`, `M/F`, `Rx/scaled`: whose the first and the second of two numbers is."""

    def name(tok: Tok) -> str:
        letter = {"m": "men", "f": "women", "w": "women"}.get(tok.text.casefold(), "")
        return {"MEN": "men", "WOMEN": "women", "RX": "rx", "SCALED": "scaled"}.get(tok.kind, letter)

    def fits(three: list[Tok]) -> Tok | None:
        pair = (name(three[0]), name(three[2]))
        same = set(pair) in ({"men", "women"}, {"rx", "scaled"})
        return three[0].to(three[2], "VERSIONS", values=pair) if three[1].kind == "SLASH" and same else None

    return joined(toks, fits, 3)


def loads_together(toks: list[Tok]) -> list[Tok]:
    """`43 kg / 30 kg`."""

    def fits(three: list[Tok]) -> Tok | None:
        first, slash, second = three
        alike = first.kind == second.kind and first.kind in ("LOAD", "CALS", "SIZE") and first.unit == second.unit
        if slash.kind != "SLASH" or not alike or len(first.values + second.values) != 2:
            return None
        return first.to(second, first.kind, values=first.values + second.values)

    return joined(toks, fits, 3)


BETWEEN_VERSIONS = ("COMMA", "SLASH", "AND", "COLON", "LPAR", "RPAR", "AT", "PLUS", "BAR", "DASH", "STOP", "PROSE", "IN")
LETTERS = {"m": "MEN", "w": "WOMEN", "f": "WOMEN"}
WHOSE = {"MEN": "men", "WOMEN": "women", "RX": "rx", "SCALED": "scaled"}


def letters_of_versions(toks: list[Tok]) -> list[Tok]:
    """`M 9 kg, W 6 kg`: a letter before a load, where both stand in the line; `w 16 kg` alone is with it."""
    said = [
        (tok.text.casefold(), at)
        for at, tok in enumerate(toks[:-1])
        if toks[at + 1].kind == "LOAD" and tok.kind in ("WORD", "M") and tok.text.casefold() in LETTERS
    ]
    pair = len(said) == 2 and said[0][0] == "m" and said[1][0] in "wf"
    letters = {at: LETTERS[letter] for letter, at in said}
    if pair:
        return [replace(tok, kind=letters[at]) if at in letters else tok for at, tok in enumerate(toks)]
    lone = said[0][1] if len(said) == 1 and said[0][0] == "w" and said[0][1] and toks[said[0][1] - 1].kind == "MOVE" else None
    return [tok for at, tok in enumerate(toks) if at != lone]


def named_loads(toks: list[Tok]) -> list[Tok]:
    """`men 43 kg, women 30 kg`, `43 kg for men and 30 kg for women`: one load of two numbers, and whose they are."""
    found: list[Tok] = []
    at = 0
    while at < len(toks):
        run = [tok for tok in toks[at : at + 9] if tok.kind not in BETWEEN_VERSIONS]
        names, loads = [tok for tok in run[:4] if tok.kind in WHOSE], [tok for tok in run[:4] if tok.kind == "LOAD"]
        kinds = ["LOAD" if tok.kind == "LOAD" else "NAME" if tok.kind in WHOSE else "" for tok in run[:4]]
        told = kinds in (["NAME", "LOAD"] * 2, ["LOAD", "NAME"] * 2) and run[0] is toks[at]
        split = any(tok.kind == "STOP" for tok in toks[at : toks.index(run[1])]) if told else False
        same = told and not split and loads[0].unit == loads[1].unit and names[0].kind != names[1].kind
        if same and len(loads[0].values + loads[1].values) == 2:
            found.append(loads[0].to(loads[1], "LOAD", values=loads[0].values + loads[1].values))
            found.append(names[0].to(names[1], "VERSIONS", values=(WHOSE[names[0].kind], WHOSE[names[1].kind])))
            at = toks.index(run[3]) + 1
        else:
            found.append(toks[at])
            at += 1
    return found
