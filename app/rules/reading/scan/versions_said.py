"""Whose numbers are: loads of two versions in one line, as one load of two numbers, and the names beside them."""

import re
from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction

from app.rules.reading.scan.pieces import BLIND, GROUP, Tok, rewritten


def joined(toks: list[Tok], fits: Callable[[list[Tok]], Tok | None], length: int) -> list[Tok]:
    """Every run of so many words that fits, as one."""
    found: list[Tok] = []
    at = 0
    while at < len(toks):
        made = fits(toks[at : at + length]) if at + length <= len(toks) else None
        found.append(made or toks[at])
        at += length if made else 1
    return found


BETWEEN_GEAR = ("ON", "AT", "COLON", "PROSE", "GLUE")
MOST_BETWEEN = 3


def one_in_each_hand(toks: list[Tok]) -> list[Tok]:
    """`two 32 kg kettlebells`: one in each hand, each of that load."""
    return [
        tok
        for at, tok in enumerate(toks)
        if not (at and toks[at - 1].kind == "LOAD" and tok.text.casefold() == "bells")
        and not (
            tok.kind == "NUM"
            and tok.values == ("2",)
            and [one.kind for one in toks[at + 1 : at + 2]] == ["LOAD"]
            and toks[at + 2 : at + 3]
            and toks[at + 2].text.casefold() in PAIRS
        )
    ]


def gear(toks: list[Tok]) -> list[Tok]:
    """`a 24 kg kettlebell`, `the barbell weighs 60 kg`: a load with what it is the load of; without one the thing is a word."""
    found = list(toks)
    for at, tok in enumerate(toks):
        if not tok.kind.startswith(GEAR):
            continue
        found[at] = replace(tok, kind="WORD")
        lone = at > 0 and toks[at - 1].kind == "NUM" and toks[at - 1].values == ("1",)  # `one dumbbell, 20 kg`
        place = _beside(toks, at, 1, BETWEEN_GEAR + (("COMMA",) if lone else ()))
        if place is None:
            place = _beside(toks, at, -1, BETWEEN_GEAR)
        if place is not None and not found[place].key:
            found[place] = replace(found[place], key=tok.kind.removeprefix(GEAR).lower())
            for one in (at, *range(min(at, place) + 1, max(at, place))):
                found[one] = replace(found[one], kind="PROSE" if found[one].kind == "PROSE" else "GONE")
            for one in (at - 1, place - 1):
                if one >= 0 and toks[one].kind == "NUM" and toks[one].values == ("1",):
                    found[one] = replace(toks[one], kind="GONE")
    return [tok for tok in found if tok.kind != "GONE"]


GEAR = "GEAR_"
PAIRS = ("kettlebells", "dumbbells", "bells", "dbs", "kbs")


def words_before(toks: list[Tok]) -> list[Tok]:
    """`Weight: 40 kg`, `Time: 10 min`, `three attempts at the bench press`: words that say no more than what follows."""
    kinds = [tok.kind for tok in toks]
    scored = {"SCORE", "SCOREOF", "TIE"} & set(kinds)
    found = list(toks)
    for at, tok in enumerate(toks):
        colon = kinds[at + 1 : at + 2] == ["COLON"]
        follows = kinds[at + 1 + colon : at + 2 + colon]
        said = (tok.kind == "T_LOAD" and tok.text.casefold() in WEIGHTS and follows == ["LOAD"]) or (
            tok.kind == "T_TIME" and tok.text.casefold() == "time" and follows == ["DUR"]
        )
        if said and not scored:
            found[at] = replace(tok, kind="GONE")
            if colon:
                found[at + 1] = replace(toks[at + 1], kind="GONE")
        before = kinds[at - 1] if at else ""
        if tok.kind == "MAX" and before == "DUR" and "FORTIME" in kinds and kinds[at + 1 : at + 2] in ([], ["COMMA"], ["STOP"]):
            found[at] = replace(tok, kind="CAP")
        timed = next((kind for kind in kinds[at + 1 :] if kind != "IN"), "") == "DUR"
        if tok.kind == "T_LOAD" and tok.text.casefold() in HEAVIEST and timed and not scored:
            found[at] = replace(tok, kind="HEAVY")  # `complex, heaviest load in 7 minutes`
        if tok.text.casefold() == "possible" and before == "MOVE" and "HEAVY" in kinds[:at]:
            found[at] = replace(tok, kind="GONE")  # `the heaviest snatch possible`
        if tok.text.casefold() in NAMING and colon and kinds[at + 2 : at + 3] == ["MOVE"] and before in ("", "STOP"):
            found[at], found[at + 1] = replace(tok, kind="GONE"), replace(toks[at + 1], kind="GONE")  # `Lift: floor press`
        if tok.kind == "FT" and tok.text.casefold() == "ft" and before in ("", "STOP", "ROUNDS"):  # `FT / cap 11`, `3 rds FT`
            found[at] = replace(tok, kind="FORTIME")
        if tok.kind == "BOTH" and before == "MOVE" and scored:  # `score: wall balls of both`
            found[at] = replace(tok, kind="GONE")
        if tok.text.casefold() == "again" and kinds[at + 1 : at + 3] == ["DUR", "REST"]:  # `and again a minute rest`
            found[at] = replace(tok, kind="GONE")
        if tok.text.casefold() == "again" and (before == "MOVE" or (before == "LPAR" and kinds[at - 2 : at - 1] == ["MOVE"])):
            found[at] = replace(tok, kind="GONE")
        if tok.kind == "AT" and at and kinds[at - 1] == "ATTEMPTS" and follows == ["MOVE"]:
            found[at] = replace(tok, kind="GONE")
    return [tok for tok in found if tok.kind != "GONE"]


def loads_of_the_bar(toks: list[Tok]) -> list[Tok]:
    """`The bar weighs 80 kg for men and 55 kg for women`: loads of two versions are no weight of an empty bar."""
    found = list(toks)
    for at in range(1, len(toks)):
        if toks[at - 1].kind == "BARWEIGHT" and toks[at].kind == "LOAD" and len(toks[at].values) == 2:
            found[at - 1], found[at] = replace(toks[at - 1], kind="GONE"), replace(toks[at], key="bar")
        named = toks[at - 1].kind in BLIND and toks[at - 1].text.casefold().split()[-1:] in (["bar"], ["barbell"])
        if named and toks[at].kind == "NUM" and [tok.kind for tok in toks[at + 1 : at + 2]] == ["VERSIONS"]:
            found[at - 1], found[at] = (
                replace(toks[at - 1], kind="GONE"),
                replace(toks[at], key="bar"),
            )  # `the bar is 60 for the guys …`
    return [tok for tok in found if tok.kind != "GONE"]


HEAVIEST = {"heaviest load", "heaviest weight", "heaviest lift", "heaviest", "top weight", "highest load"}
NAMING = {"lift", "movement", "exercise", "the lift", "the movement", "the exercise"}
WEIGHTS = {"weight", "weights", "load", "loads"}


def named_weights(toks: list[Tok]) -> list[Tok]:
    """`Weights: men 60 kg, women 40 kg`, `Load (M/W): 60/40 kg`, at the beginning of a line: a word that says no more than what
    follows, and whose the numbers are behind them."""
    if not toks or toks[0].text.casefold() not in WEIGHTS or "COLON" not in [tok.kind for tok in toks[1:5]]:
        return toks
    at = next(place for place, tok in enumerate(toks) if tok.kind == "COLON")
    whose = [tok for tok in toks[1:at] if tok.kind not in ("LPAR", "RPAR", "COMMA")]
    told = toks[at + 1 : at + 2]
    if not told or len(whose) > 1 or any(tok.kind != "VERSIONS" for tok in whose):
        return toks
    if not whose and toks[at + 1].kind in (*WHOSE, "LOAD", "NUM"):
        return toks[at + 1 :]
    again = any(tok.kind == "VERSIONS" for tok in toks[at:])
    if whose and told[0].kind in ("LOAD", "NUM") and len(told[0].values) == 2 and not again:
        return [told[0], *whose, *toks[at + 2 :]]
    return toks


def _beside(toks: list[Tok], at: int, step: int, between: tuple[str, ...]) -> int | None:
    """Where a load stands beside a thing, with nothing but talk between."""
    for place in range(at + step, at + step * (MOST_BETWEEN + 1), step):
        if not 0 <= place < len(toks):
            return None
        if toks[place].kind == "LOAD":
            return place
        if toks[place].kind not in between:
            return None
    return None


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
    """`43 kg / 30 kg`, `43 kg (30 kg)`."""
    toks = joined(toks, _bracketed, 4)

    def fits(three: list[Tok]) -> Tok | None:
        first, slash, second = three
        alike = first.kind == second.kind and first.kind in ("LOAD", "CALS", "SIZE") and first.unit == second.unit
        if slash.kind != "SLASH" or not alike or len(first.values + second.values) != 2:
            return None
        return first.to(second, first.kind, values=first.values + second.values)

    return joined(toks, fits, 3)


def _bracketed(four: list[Tok]) -> Tok | None:
    first, left, second, right = four
    alike = first.kind == second.kind == "LOAD" and first.unit == second.unit and len(first.values + second.values) == 2
    if (left.kind, right.kind) != ("LPAR", "RPAR") or not alike or first.values == second.values:
        return None
    return first.to(right, "LOAD", values=first.values + second.values)


BETWEEN_VERSIONS = ("COMMA", "SLASH", "AND", "COLON", "LPAR", "RPAR", "AT", "PLUS", "BAR", "DASH", "STOP", "PROSE", "IN", "TO")
LIFTING = {"lift", "lifts", "use", "uses", "have", "take", "takes", "load"}  # `guys lift 40 kilos, ladies 27.5`
MOST_IN_RUN = 24
LETTERS = {"m": "MEN", "w": "WOMEN", "f": "WOMEN", "he": "MEN", "she": "WOMEN"}
SPOKEN = ("he", "she")  # words of talk too: beside one another, each before a number
NUMBERS = ("LOAD", "NUM", "SIZE")
WHOSE = {"MEN": "men", "WOMEN": "women", "RX": "rx", "SCALED": "scaled"}


def letters_of_versions(toks: list[Tok]) -> list[Tok]:
    """`M 9 kg, W 6 kg`, `M: 24 kg / W: 16 kg`, `60 kg M, 40 kg F`: a letter beside a load or a height, where both stand in the
    line, or before a colon; `w 16 kg` alone is with it."""
    toks = _letters_behind(_letters_with_colons(toks))
    said = [
        (tok.text.casefold(), at)
        for at, tok in enumerate(toks[:-1])
        if toks[at + 1].kind in NUMBERS and _is_letter(tok) and (tok.text.casefold() not in SPOKEN or at)
    ]
    behind = (
        len(said) == 1
        and said[0][0] in "wf"
        and [one.kind for one in toks[max(0, said[0][1] - 2) : said[0][1]]] == ["LOAD", "LPAR"]
    )
    if behind:  # `50 kg (w 35 kg)`
        return [replace(tok, kind="WOMEN") if at == said[0][1] else tok for at, tok in enumerate(toks)]
    pair = bool(said) and not len(said) % 2 and all(_pair(one[0], two[0]) for one, two in zip(said[::2], said[1::2], strict=True))
    said = said if pair else [one for one in said if toks[one[1] + 1].kind == "LOAD" and one[0] not in SPOKEN]
    letters = {at: LETTERS[letter] for letter, at in said}
    if pair:
        return [replace(tok, kind=letters[at]) if at in letters else tok for at, tok in enumerate(toks)]
    lone = said[0][1] if len(said) == 1 and said[0][0] == "w" and said[0][1] and toks[said[0][1] - 1].kind == "MOVE" else None
    return [tok for at, tok in enumerate(toks) if at != lone]


def _is_letter(tok: Tok) -> bool:
    word = tok.text.casefold()
    return word in LETTERS and tok.kind in ("WORD", "M", *(("PROSE", "CHAT") if word in SPOKEN else ()))


def _pair(one: str, two: str) -> bool:
    """Whether the first names men and the second women."""
    return (LETTERS[one], LETTERS[two]) == ("MEN", "WOMEN")


def _letters_behind(toks: list[Tok]) -> list[Tok]:
    """`60 kg M / 40 kg F`: letters behind what they name the version of."""
    kinds = ["", *(tok.kind for tok in toks), ""]
    at = [
        place
        for place, tok in enumerate(toks)
        if kinds[place] in ("LOAD", "SIZE") and _is_letter(tok) and kinds[place + 2] in ("", *BETWEEN_VERSIONS)
    ]
    named = [LETTERS[toks[place].text.casefold()] for place in at]
    if not at or len(at) % 2 or any(one == two for one, two in zip(named[::2], named[1::2], strict=True)):
        return toks
    return [replace(tok, kind=LETTERS[tok.text.casefold()]) if place in at else tok for place, tok in enumerate(toks)]


def _letters_with_colons(toks: list[Tok]) -> list[Tok]:
    """`M: 60 kg` alone in a line, `(M: 24 kg / W: 16 kg)`: a letter with a colon names a version, at the beginning or beside
    another one."""
    kinds = [tok.kind for tok in toks]
    at = [
        place
        for place, tok in enumerate(toks)
        if _is_letter(tok) and kinds[place + 1 : place + 2] == ["COLON"] and set(kinds[place + 2 : place + 3]) & set(NUMBERS)
    ]
    named = [LETTERS[toks[place].text.casefold()] for place in at]
    if not (at == [0] or (named and all(set(named[one : one + 2]) == {"MEN", "WOMEN"} for one in range(0, len(named), 2)))):
        return toks
    return [replace(tok, kind=LETTERS[tok.text.casefold()]) if place in at else tok for place, tok in enumerate(toks)]


def named_loads(toks: list[Tok]) -> list[Tok]:
    """`men 43 kg, women 30 kg`, `43 kg for men and 30 kg for women`, `43 kg (women 30 kg)`: one load of all, and whose."""
    return rewritten(toks, _named_run)


OF_RUN = {**dict.fromkeys(WHOSE, "N"), "LOAD": "L", "SIZE": "S", "NUM": "L"}
# Names with a load, a height or both: `men 43 kg, women 30 kg`, `60 cm for adults and 50 cm for juniors`, `43 kg (women 30 kg)`.
RUNS = tuple(re.compile(form) for form in ("(?:NLS){2}", "(?:NL){2,}", "(?:LN){2,}", "(?:NS){2,}", "(?:SN){2,}", "LNL"))
OTHER = {"women": "men", "scaled": "rx", "men": "women"}
AS_WRITTEN = "as written"
LEAST_NAMED, MOST_NAMED = 2, 6


def _of_run(tok: Tok) -> str:
    return OF_RUN.get(tok.kind) or ("N" if tok.unit == GROUP and tok.kind in BLIND else "")


def _whose(tok: Tok) -> str:
    return WHOSE.get(tok.kind) or tok.text.casefold()


def _named_run(toks: list[Tok], at: int) -> tuple[list[Tok], int] | None:
    run: list[Tok] = []
    place, ends = at, []
    while place < len(toks) and len(run) < 2 * MOST_NAMED and place - at < MOST_IN_RUN:
        if _of_run(toks[place]):
            run.append(toks[place])
            ends.append(place + 1)
        elif toks[place].kind not in BETWEEN_VERSIONS and not (run and toks[place].text.casefold() in LIFTING):
            break
        place += 1
    if not run or run[0] is not toks[at]:
        return None
    said = "".join(_of_run(tok) for tok in run)
    for form in RUNS:
        if (found := form.match(said)) and (made := _several(run[: found.end()], found[0])):
            stops = [place for place in range(at, toks.index(run[1], at)) if toks[place].kind == "STOP"]
            return None if stops else (made, ends[found.end() - 1])
    return None


def _several(run: list[Tok], form: str) -> list[Tok] | None:
    """The load or the height of several numbers, whose they are, and the heights beside the loads."""
    names = [_whose(tok) for tok in run if _of_run(tok) == "N"]
    loads, sizes = [tok for tok in run if _of_run(tok) == "L"], [tok for tok in run if tok.kind == "SIZE"]
    if form == "LNL":
        names = [OTHER.get(names[0], AS_WRITTEN), *names]
    if (
        (form == "LNL" and (loads[0].kind == "NUM" or _in_another_order(names, loads)))
        or len(set(names)) != len(names)
        or "" in names
    ):
        return None
    pair = set(names) <= set(WHOSE.values()) and len(names) == LEAST_NAMED
    told = [_as_one(one, pair) for one in (loads, sizes) if one]
    if None in told:
        return None
    made = [one for one in told if one is not None]
    return [made[0], names_of(run, tuple(names)), *made[1:]]


def _in_another_order(names: list[str], loads: list[Tok]) -> bool:
    """`43 kg men 30 kg`: whose name stands between is that of the first here, as the loads tell, and the second has none."""
    one, other = (Fraction(tok.values[0]) for tok in loads[:2])
    return (one > other) if names[-1] in ("men", "rx") else (one < other) if names[-1] in ("women", "scaled") else False


def _as_one(numbers: list[Tok], pair: bool) -> Tok | None:
    """Loads or heights as one with all their numbers; each has one, or each has two."""
    first, last = numbers[0], numbers[-1]
    alike = all(tok.kind == "NUM" or tok.unit == first.unit for tok in numbers[1:])
    each = {len(tok.values) for tok in numbers}
    if not alike or len(each) != 1 or not each <= {1, 2} or (first.kind == "NUM" and not pair):
        return None
    key = next((tok.key for tok in numbers if tok.key), "")
    return first.to(last, first.kind, values=tuple(value for tok in numbers for value in tok.values), key=key)


def names_of(run: list[Tok], names: tuple[str, ...]) -> Tok:
    """Whose the numbers are, as one word."""
    said = [tok for tok in run if _of_run(tok) == "N"]
    return said[0].to(said[-1], "VERSIONS", values=names, unit="")
