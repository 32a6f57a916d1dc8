"""What of all that is done counts, told by its sense: `the row doesn't count`, `only the wall balls are your score`."""

from dataclasses import replace

from app.rules.reading.scan.pieces import Tok, words_in
from app.rules.reading.scan.sense_words import Known, Senses
from app.rules.reading.things import HELD

ONLY = ("only", "just")
OF_A_NAME = {"the", "your", "our", "and", "a", "an", "all", "total", "number", "of", "rep", "reps", "repetitions"} | {
    "calorie",
    "calories",
    "cal",
    "cals",
    "on",
    "from",
}
CALORIES = {"calorie", "calories", "cal", "cals"}
THINGS = ("MOVE", "UNKNOWN")  # a movement alone, or with words around it
ASKED = "asked"  # the unit of what may not count, or may be counted by somebody else: `we don't count the burpees`
OTHERWISE = {"as", "but", "except", "without", "besides"}  # `all but the run` is what is not named
SCORED = {"score", "scores", "scored", "scoring", "result"}  # `every burpee counts` says nothing of what else is done


def uncounted_by_sense(said: str, words: list[str], toks: list[Tok], senses: Senses, known: Known) -> list[Tok] | None:
    """What is named, of all that is done, as not counting, or as counting alone; None for what says more: when, of whom, how it
    must be done."""
    moves = [tok for tok in toks if tok.key]
    named = {tok.key for tok in moves}
    plain = all(not tok.values and (not tok.key or tok.kind in THINGS) for tok in toks)
    if not plain or not named <= known.done:
        return None
    pieces = _around(said, toks, moves)
    entry = senses.any(words, "entry") and len(named) == 1 and senses.all_of(words, "entry", "only", "of_scored")
    if entry or _denied(words, pieces, senses):
        left = known.done - named
        denied = words[:1] in (["don't"], ["not"]) and not _begins(toks[0])  # `don't count the burpees`
        unit = ASKED if denied or {"we", "you"} & set(words) else ""
        if moves and left:
            return [_made(toks, "UNCOUNTED", key=tok.key, unit=unit) for tok in moves]
        return [_made(toks, "UNCOUNTED", key="T_CAL", unit=unit)] if not moves and CALORIES & set(words) else None
    only = ("only" in words or "just" in words) and named < known.done and bool(named) and _alone(pieces)
    if not only or not senses.any(words, "scored") or not senses.all_of(words, "only", "scored", "of_scored"):
        return None
    if not (SCORED | {"the"}) & set(words) and named != known.tail:
        return None  # `only strict pull-ups count` says how they are done
    return [*named_alone(toks, moves)]


def _begins(tok: Tok) -> bool:
    """Whether a sentence begins with what is done: `the burpees don't count`, not `don't count the burpees`."""
    before = tok.within[0] - tok.start if tok.kind == "UNKNOWN" else 0
    return bool(tok.key) and before <= len("these ")


def _around(said: str, toks: list[Tok], moves: list[Tok]) -> list[list[str]]:
    """The words before what is named, between one and the next, and behind."""
    base, at, found = toks[0].start, 0, list[list[str]]()
    for tok in moves:
        begins, ends = tok.within if tok.kind == "UNKNOWN" else (tok.start, tok.end)
        found.append(words_in(said[at : max(at, begins - base)]))
        at = ends - base
    return [*found, words_in(said[at:])]


def _alone(pieces: list[list[str]]) -> bool:
    """Whether `only` is said of what is named: before it, at the very end, or as `the only`; not `is just a rep in the score`."""
    before, between, behind = pieces[0], pieces[1:-1], pieces[-1]
    last = next((word for word in reversed(before) if word not in OF_A_NAME), "")
    every = " ".join(before + behind)
    said = last in ONLY or behind[-1:] == ["only"] or "the only" in every
    return said and all(word in OF_A_NAME for words in between for word in words)


def _denied(words: list[str], pieces: list[list[str]], senses: Senses) -> bool:
    """`Doesn't count`, `scores nothing`: denied once, of all that is named, and nothing else is said. `Score: burpees, not the
    run` says two things, `nothing but the run counts` the contrary."""
    once = sum(word in senses.sets["nothing"] for word in words) == 1
    if not once or not senses.any(words, "scored") or not senses.all_of(words, "nothing", "scored", "of_scored"):
        return False
    places = [place for place, piece in enumerate(pieces) if senses.any(piece, "nothing")]
    turned = "but" in words[words.index(next(word for word in words if word in senses.sets["nothing"])) :]
    behind = places == [len(pieces) - 1]
    two = behind and any(senses.any(piece, "scored") for piece in pieces[:-1])
    return (behind or places == [0]) and not (two or turned)


def some_of_it(words: list[str], toks: list[Tok], senses: Senses, known: Known) -> list[Tok]:
    """`Your score is all burpees added up`, where other things are done as well, or a list is before them: what alone counts."""
    moves = [tok for tok in toks if tok.key and tok.kind in THINGS]
    named = {tok.key for tok in moves}
    told = bool(SCORED & set(words)) and named < known.done and not named & known.lifts
    plain = all(
        tok.kind != "COMMA" and tok.key in ("", *named) and (not tok.values or tok.kind in ("T_SUM", "T_BEST")) for tok in toks
    )
    known_words = senses.all_of(words, "scored", "of_scored", "sum", "low", "best", "windows", "of_some")
    return moves if told and plain and known_words and not OTHERWISE & set(words) else []


def shortened(words: list[str], senses: Senses, known: Known) -> list[str]:
    """What a sentence says of a score without what the score is not, and without when it is read: `not the total but your lowest
    round`, `the metres at the bell`, `all reps until you are out`. Nothing where seconds are told that may be of a cap."""
    if {"seconds", "secs"} & set(words) and not known.done <= set(HELD):
        return []
    taken = {*senses.sets["nouns"], *senses.sets["sum"], *senses.sets["low"], *senses.sets["best"], "the", "your", "a"}
    if "not" in words and "but" in words[words.index("not") :]:
        denied = words.index("not")
        but = words.index("but", denied)
        if but - denied > 1 and all(word in taken for word in words[denied + 1 : but]):
            words = [*words[:denied], *words[but + 1 :]]
    tail = next((place for place, word in enumerate(words) if word in ("at", "until") and place), len(words))
    behind = [word for word in words[tail + 1 :] if word != "the"]
    at_the_bell = words[tail : tail + 1] == ["at"] and len(behind) == 1 and behind[0] in senses.sets["late"]
    until_out = words[tail : tail + 1] == ["until"] and behind in (["you", "are", "out"], ["you're", "out"])
    return words[:tail] if at_the_bell or until_out else words


def named_alone(toks: list[Tok], moves: list[Tok]) -> list[Tok]:
    """`Score: wall balls`, as the grammar has it."""
    found = [_made(toks[:1], "SCORE")]
    for number, tok in enumerate(moves):
        begins, ends = tok.within if tok.kind == "UNKNOWN" else (tok.start, tok.end)
        found += [*([_made([tok], "AND")] if number else []), replace(tok, kind="MOVE", start=begins, end=ends)]
    return found


def _made(toks: list[Tok], kind: str, key: str = "", unit: str = "") -> Tok:
    return replace(toks[0].to(toks[-1], kind), values=(), unit=unit, key=key)
