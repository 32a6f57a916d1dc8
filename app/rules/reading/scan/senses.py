"""Sentences that are told by their sense, in whatever order their words stand: what counts, when time is called, a rest.

`What goes on the board is your weakest minute` is no row of the grammar, and it need not be one. Every word of such a sentence
stands in a table: those that carry the sense, and those that carry nothing beside it. One word from outside, a number that
nothing claims, a movement that is not all that is done, and the sentence is left to the grammar. What it comes to is said to
the grammar in the shortest words for it.
"""

from collections.abc import Callable
from dataclasses import replace
from itertools import pairwise

from app.rules.reading.scan.pieces import Tok, without_things, words_in
from app.rules.reading.scan.sense_words import Known, Senses, one_window
from app.rules.reading.scan.ties_said import tie_by_sense
from app.rules.reading.scan.uncounted_said import named_alone, shortened, some_of_it, uncounted_by_sense

COUNTED_TAKES = {"T_SUM": "all", "T_BEST": "best"}  # `all five`, `best of 3`
CLAIMED = ("BARE", "TIMES", "ROUNDS", "SETS", "WINDOWS", "ATTEMPTS", "COUNT", *COUNTED_TAKES)
MARKS = ("COLON", "COMMA", "STOP", "PLUS", "AND", "SLASH", "BAR", "DASH", "AT", "THEN")
NUMBERS_OF_TIME = ("DUR", "PRIMED")
MEMBERS, STYLES = ("PAIR", "TRIO", "TEAMS", "SOLO"), ("SPLIT", "SYNC", "TURNS", "RELAY")
NAMED = ("MEMBER", "MEMBERA", "MEMBERB", "MEMBERC", "LETTER")
NEGATED = {"not", "don't", "doesn't", "can't", "cannot", "hasn't", "haven't", "didn't", "isn't"}
UNITS_OF_LOADS = {
    "KG": {"kg", "kgs", "kilo", "kilos", "kilogram", "kilograms", "kilogrammes"},
    "LB": {"lb", "lbs", "pound", "pounds"},
}
OF_A_LIFT = ("T_LOAD", "T_ATTEMPT")
AMOUNTS = {"numbers", "amounts"}


def words_of_sense(said: str, toks: list[Tok], senses: Senses, spelt: Callable[[list[str]], list[str]]) -> list[str]:
    """The words of a sentence that may be told by its sense; none where one of them is in no table, whatever is known beside."""
    words = spelt(words_in(without_things(said, toks)))
    words = senses.joined(words, said)
    words += [COUNTED_TAKES[tok.kind] for tok in toks if tok.values and tok.kind in COUNTED_TAKES]
    words = _without_prize(words, senses)
    if any(tok.kind in ("ASKS", "SIGN", "NOTE") for tok in toks):
        return []
    named = {word for tok in toks if tok.kind in (*MEMBERS, *STYLES) for word in words_in(tok.text)}
    tied = senses.any(words, "tie") or "same" in words  # of a tie it is asked, whatever else is said
    return words if tied or all(word in senses.every or word in named for word in words) else []


def by_sense(said: str, toks: list[Tok], words: list[str], senses: Senses, known: Known) -> list[Tok] | None:
    """The sentence of these words in the grammar's shortest words; None where it has no such sense, or says more."""
    timed = _cap(words, said, toks, senses) or _bell(words, toks, senses, known) or _rest(words, toks, senses)
    if known.lifts and not any(tok.values or _moves(tok) for tok in toks) and _begun(words, senses):
        return _made(toks, "LIFTBEGUN")
    timed = timed or _lasts(words, toks, senses) or _cap_adds(words, toks, senses)
    timed = timed or tie_by_sense(words, toks, senses) or uncounted_by_sense(said, words, toks, senses, known)
    timed = timed or _late(words, toks, senses) or _once(words, toks, senses, known)
    timed = timed or _who(words, toks, senses, known) or _miss(words, toks, senses, known)
    timed = timed or _times_added(words, toks, senses, known)
    return timed or _score(shortened(words, senses, known), toks, senses, known) or _ending(words, toks, senses, known)


def _without_prize(words: list[str], senses: Senses) -> list[str]:
    """`Most reps wins a ham`: what is won."""
    at = next((place for place, word in enumerate(words) if word in ("win", "wins")), len(words))
    prize = [word for word in words[at + 1 :] if word not in senses.sets["beside"]]
    known = any(word in told for word in prize for told in senses.sets.values()) or any(word in senses.noun for word in prize)
    return words[: at + 1] if len(prize) == 1 and not known and words[at + 1] in ("a", "an", "the") else words


def _made(toks: list[Tok], *kinds: str) -> list[Tok]:
    return [replace(toks[0].to(toks[-1], kind), values=(), unit="", key="") for kind in kinds]


def _moves(tok: Tok) -> bool:
    return tok.kind in ("MOVE", "UNKNOWN") and bool(tok.key)


def _only_time(toks: list[Tok]) -> Tok | None:
    """The one number of a sentence, where it is a time and nothing is done in it."""
    numbers = [tok for tok in toks if tok.values]
    alone = len(numbers) == 1 and numbers[0].kind in NUMBERS_OF_TIME and not any(_moves(tok) for tok in toks)
    return numbers[0] if alone else None


def _cap(words: list[str], said: str, toks: list[Tok], senses: Senses) -> list[Tok] | None:
    told = _only_time(toks)
    if told is None or not senses.all(words, "cap", "called", "before_cap"):
        return None
    before = words_in(said[: told.start - toks[0].start])
    called = senses.any(words, "called") and bool(before) and before[-1] in senses.sets["before_cap"]
    return [*_made(toks, "CAP"), told] if called or senses.any(words, "cap") else None


def _lasts(words: list[str], toks: list[Tok], senses: Senses) -> list[Tok] | None:
    """`Set the timer for 17 minutes`, `the duration is eight minutes`: how long it is."""
    told = _only_time(toks)
    known = told is not None and senses.any(words, "lasting") and senses.all(words, "lasting", "of_lasting")
    return [told] if told is not None and known else None


def _cap_adds(words: list[str], toks: list[Tok], senses: Senses) -> list[Tok] | None:
    """`If you don't finish we add a second for every rep you have left`."""
    numbers = [tok for tok in toks if tok.values]
    per = next((place for place, word in enumerate(words) if word in senses.sets["per"]), len(words))
    undone = any(one == "not" and two in senses.sets["undone"] for one, two in pairwise(words[per:]))  # `every rep not completed`
    told = senses.any(words, "adds") and senses.any(words, "per") and (senses.any(words, "left_over") or undone)
    reps = {"rep", "reps", "repetition", "repetitions"} & set(words)
    if not told or not reps or len(numbers) != 1 or numbers[0].kind != "DUR" or len(numbers[0].values) != 1:
        return None
    known = senses.all(words, "adds", "per", "left_over", "undone", "of_a_miss", "told", "cap", "called", "of_adds")
    return [*_made(toks, "CAPADDS"), numbers[0]] if known else None


def _begun(words: list[str], senses: Senses) -> bool:
    """`Bar leaves the floor before the bell: lift counts`, `a lift begun before the horn may be finished`."""
    told = senses.any(words, "begun") and "before" in words and senses.any(words, "late") and senses.any(words, "valid")
    return told and senses.all([word for word in words if word != "before"], "begun", "late", "valid", "of_lift")


def _bell(words: list[str], toks: list[Tok], senses: Senses, known: Known) -> list[Tok] | None:
    """`You just keep going until the ten minutes are over`: round after round, for as long as it lasts."""
    numbers = [tok for tok in toks if tok.values]
    fits = all(tok.kind == "DUR" and len(tok.values) == 1 and int(tok.values[0]) in known.seconds for tok in numbers)
    if len(numbers) > 1 or not fits or any(_moves(tok) for tok in toks):
        return None
    told = senses.any(words, "going") and senses.any(words, "until") and senses.any(words, "over")
    return _made(toks, "BELL") if told and senses.all(words, "going", "until", "over") else None


def _rest(words: list[str], toks: list[Tok], senses: Senses) -> list[Tok] | None:
    told = None if {"BETWEEN", "LEFTOF"} & {tok.kind for tok in toks} else _only_time(toks)
    if told is None or toks[-1].kind == "OFF" or not senses.all(words, "rest", "of_rest") or not senses.any(words, "rest"):
        return None
    return [*_made(toks, "REST"), told, *(_made(toks, "BETWEEN") if "between" in words else ())]


def _ending(words: list[str], toks: list[Tok], senses: Senses, known: Known) -> list[Tok] | None:
    """`The score is the time at which the last thruster is locked out`."""
    timed = "T_TIME" in {senses.noun.get(word) for word in words} and senses.any(words, "told")
    timed = timed or (senses.any(words, "clocks") and senses.any(words, "stops") and "last" in words)
    named = all(known.last.endswith(tok.key) for tok in toks if _moves(tok))
    if not timed or not named or any(tok.values for tok in toks):
        return None
    times = [word for word in words if senses.noun.get(word) != "T_TIME"]
    return _made(toks, "SCORE", "T_TIME") if senses.all(times, "told", "ending", "clocks", "stops") else None


def _who(words: list[str], toks: list[Tok], senses: Senses, known: Known) -> list[Tok] | None:
    """`The second event is for pairs`, `You can split the rowing and the burpees however you want`."""
    told = [tok for tok in toks if tok.kind in (*MEMBERS, *STYLES)]
    if not any(tok.kind in STYLES for tok in told) and (shared := _shared(words, toks, senses, known)):
        return shared
    told = told[:1] if {tok.kind for tok in told} == {"SPLIT"} else told  # `split it any way you like`
    moves = {tok.key for tok in toks if _moves(tok)}
    if len(told) != 1 or any(tok.values and tok.text.casefold() != "one" for tok in toks if tok is not told[0]):
        return None
    said = {word for tok in toks if tok.kind in (*MEMBERS, *STYLES) for word in words_in(tok.text)}
    left = [word for word in words if word not in said]
    if told[0].kind in MEMBERS:
        named = moves or any(tok.kind in NAMED for tok in toks)  # `pairs: partner A goes first, …`
        named = named or not AMOUNTS.isdisjoint(left)  # `all numbers are for the pair`
        return told if not named and senses.all(left, "who") else None
    return told if told[0].kind == "SPLIT" and _all_shared(moves, known) and senses.all(left, "shared") else None


def _all_shared(moves: set[str], known: Known) -> bool:
    """Whether what is named is all that is done, but for what is done in step; or nothing is."""
    meant = {key: {done for done in known.done if done.startswith(key)} for key in moves}
    return not moves or (all(meant.values()) and known.done - known.in_step <= set().union(*meant.values()))


def _shared(words: list[str], toks: list[Tok], senses: Senses, known: Known) -> list[Tok] | None:
    """`The repetitions may be divided in whatever manner they prefer`, `one athlete works while the other rests`."""
    numbers, moves = {tok.values for tok in toks if tok.values}, {tok.key for tok in toks if _moves(tok)}
    if not numbers <= {("1",), ("2",)}:
        return None
    free = senses.any(words, "divides") and senses.any(words, "freely")
    if free and _all_shared(moves, known) and senses.all(words, "divides", "freely", "shared"):
        return _made(toks, "SPLIT")
    in_turn = senses.any(words, "works") and senses.any(words, "waits") and {"other", "others"} & set(words)
    one = not moves and (("1",) in numbers or "one" in words)
    always = "only" in words or ("any" in words and "time" in words) or ("a", "time") in pairwise(words)
    if one and always and senses.any(words, "works") and senses.all(words, "works", "waits", "of_turns"):
        return _made(toks, "SPLIT")
    if in_turn and one and senses.all(words, "works", "waits", "of_turns"):
        return [replace(tok, text="one works, the other rests") for tok in _made(toks, "TURNS")]
    return None


def _late(words: list[str], toks: list[Tok], senses: Senses) -> list[Tok] | None:
    """`The metres after the beep don't count`: so it is."""
    said = senses.any(words, "late") and "after" in words and sum(word in NEGATED | {"nothing", "no"} for word in words) == 1
    plain = said and not any(tok.values or _moves(tok) for tok in toks) and {"count", "counts", "counted"} & set(words)
    return _made(toks, "LATE") if plain and senses.all(words, "late", "of_late") else None


def _once(words: list[str], toks: list[Tok], senses: Senses, known: Known) -> list[Tok] | None:
    """`The run counts as one`: so a distance is counted."""
    moves, numbers = {tok.key for tok in toks if _moves(tok)}, [tok.values for tok in toks if tok.values]
    one = numbers == [("1",)] or (not numbers and "one" in words)
    told = senses.any(words, "told") or any(tok.kind == "REPS" for tok in toks)  # `the run is one repetition`
    plain = moves and moves <= known.ones and one and told
    return _made(toks, "EACHONE") if plain and senses.all(words, "once") else None


def _denied_before(words: list[str], senses: Senses) -> bool:
    """Whether what is denied is that it is done: the word stands before it, and not before `out`."""
    at = next(place for place, word in enumerate(words) if word in NEGATED)
    return any(word in senses.sets["undone"] for word in words[at + 1 : at + 4])


def _is_finished(words: list[str]) -> bool:
    """`Who doesn't manage the number is finished`: that is not what is denied."""
    denied = next((place for place, word in enumerate(words) if word in NEGATED), -1)
    told = words[-1:] in (["finished"], ["done"]) and words[-2:-1] in (["is"], ["you're"], ["are"])
    return told and denied < len(words) - 4


def _all_of_them(tok: Tok, known: Known) -> bool:
    """`All 9`, `the 9 reps`: as many repetitions as are asked for."""
    return tok.kind in ("T_SUM", "BARE", "COUNT", "REPS") and set(tok.values) == known.counts


def _miss(words: list[str], toks: list[Tok], senses: Senses, known: Known) -> list[Tok] | None:
    """`Who does not finish the repetitions inside the minute is out`: a time in it is that of the window."""
    denied = sum(word in NEGATED for word in words)
    if (
        not denied
        and "stay" in words
        and not any(tok.values for tok in toks)
        and senses.any(words, "undone")
        and senses.all(words, "undone", "missed", "of_a_miss")
    ):
        return _made(toks, "T_MISS")  # `you stay in as long as you finish within the minute`
    undone = senses.any(words, "missed") if not denied else senses.any(words, "undone") and _denied_before(words, senses)
    if not undone or denied > 1 or not (senses.any(words, "out") or _is_finished(words)):
        return None
    if not {tok.key for tok in toks if _moves(tok)} <= known.done:
        return None
    numbers = [tok for tok in toks if tok.values and tok.text.casefold() != "one" and not _all_of_them(tok, known)]
    if any(tok.kind != "DUR" or len(tok.values) != 1 or int(tok.values[0]) not in known.seconds for tok in numbers):
        return None
    return _made(toks, "T_MISS") if senses.all(words, "out", "missed", "undone", "of_a_miss") else None


def _score(words: list[str], toks: list[Tok], senses: Senses, known: Known) -> list[Tok] | None:
    if one_window(toks) or not senses.all(words, "nouns", "windows", "told", "sum", "low", "best", "apart", "of_score"):
        return None
    strong = [word for word in words if word not in senses.sets["weak"]]
    some = some_of_it(words, toks, senses, known)
    if not senses.any(strong, "told", "sum", "low", "best", "apart") or not (some or _claims_fit(toks, known)):
        return None
    if not AMOUNTS.isdisjoint(words) and "for" in words and not senses.any(words, "told"):
        return None  # `all numbers are for the pair in total`
    nouns = list(dict.fromkeys(senses.noun[word] for word in words if word in senses.noun))
    if known.lifts and "T_LOAD" in nouns and set(nouns) <= {"T_LOAD", "T_ATTEMPT", "T_REPS"}:
        nouns = ["T_LOAD"]  # `the load of the heaviest repetition`
    if not nouns and known.lifts and "heaviest" in words and {tok.key for tok in toks if _moves(tok)} <= known.lifts:
        nouns = ["T_LOAD"]  # `the heaviest clean`
    if not nouns and senses.any(words, "apart"):
        return _made(toks, "APART", *(("SCORE", "T_SUM") if senses.any(strong, "sum") else ()))
    if len(nouns) > 1 and senses.any(words, "apart"):
        claims = [replace(tok, kind="CLAIM") for tok in toks if tok.values and tok.kind in CLAIMED]
        return [*_made(toks, "SCOREOF", *("T_LOAD" if noun == "T_ATTEMPT" else noun for noun in nouns)), *claims]
    if all(said & set(words) for said in UNITS_OF_LOADS.values()):
        return None  # in two units
    if not nouns and not any(_moves(tok) for tok in toks) and any(senses.only_talk(word) for word in words):
        return None  # `whoever smiles most is on top`
    of_windows = any(tok.values and tok.kind in CLAIMED for tok in toks) and "any" in words  # `in any of the eight`
    take = _take([*words, *(["window"] if of_windows else [])], nouns, senses, known, any(_moves(tok) for tok in toks))
    claims = [replace(tok, kind="CLAIM") for tok in toks if tok.values and tok.kind in CLAIMED]
    named = any(tok.kind == "SCOREOF" for tok in toks)  # `score 1 = your time`
    kinds: tuple[str, ...] = ("SCOREOF" if named else "SCORE",)
    if some:
        alone = not (senses.any(words, "apart") or named) and take in ("", "T_SUM", "T_REPS", "T_LOW", "T_BEST")
        return [*named_alone(toks, some), *_made(toks, *([take] if take else [])), *claims] if alone else None
    if senses.any(words, "apart"):  # `the sum of both, two scores` does not fit together
        kinds = ("APART", "SCORE" if take in ("T_SUM", "T_LOADS") else "SCOREOF")
    return [*_made(toks, *kinds, take), *claims, *_unit(words, toks, take)] if take else None


def _times_added(words: list[str], toks: list[Tok], senses: Senses, known: Known) -> list[Tok] | None:
    """`The sum of your five round times`: of each window its finish time, added up."""
    several = [tok for tok in toks if tok.kind == "TIMES" and tok.text.casefold().endswith("times")]
    if not (several or "times" in words or ("time" in words and senses.any(words, "windows"))) or any(
        _moves(tok) for tok in toks
    ):
        return None
    words = [word for word in words if word not in ("time", "times")]
    summed = senses.any([word for word in words if word not in senses.sets["weak"]], "sum")
    if not summed or not _claims_fit(toks, known) or not senses.all(words, "windows", "told", "sum", "clocks"):
        return None
    return [
        *_made(toks, "SCORE", "T_TIME", "T_SUM"),
        *(replace(tok, kind="CLAIM") for tok in toks if tok.kind in CLAIMED and tok.values),
    ]


def _unit(words: list[str], toks: list[Tok], take: str) -> list[Tok]:
    """`The heaviest good lift in pounds`: the unit of the loads."""
    told = {unit for unit, said in UNITS_OF_LOADS.items() if said & set(words)} if take in ("T_LOAD", "T_LOADS") else set()
    return _made(toks, "LOADSIN", told.pop()) if len(told) == 1 else []


def _claims_fit(toks: list[Tok], known: Known) -> bool:
    """Whether its numbers may stand in it: how many there are is compared when all is known, a time is that of a stretch; and
    what is named is all that is done."""
    moves = {tok.key for tok in toks if _moves(tok)}
    if moves and moves not in (known.done, known.lifts, known.tail):
        return False
    for tok in toks:
        if tok.values and tok.kind in NUMBERS_OF_TIME:
            if len(tok.values) != 1 or tok.kind == "PRIMED" or int(tok.values[0]) not in {*known.seconds, known.total}:
                return False
        elif tok.values and (tok.kind not in CLAIMED or len(tok.values) != 1 or not tok.values[0].isdigit()):
            return False
    return True


def _take(words: list[str], nouns: list[str], senses: Senses, known: Known, named: bool) -> str:
    """What is taken of what; nothing where it could be two things."""
    low, best = senses.any(words, "low"), senses.any(words, "best")
    strong = [word for word in words if word not in senses.sets["weak"]]
    sums = senses.any(strong if low or best else words, "sum")
    window = senses.any(words, "windows")
    if low and best:
        return ""
    lifted = bool(known.lifts) and known.lifts == known.done and (set(nouns) <= set(OF_A_LIFT))
    if lifted and (nouns or named or best):
        return "T_LOADS" if sums else "T_LOAD" if best or "T_LOAD" in nouns else ""
    if known.lifts and nouns == ["T_LOAD"] and not sums and not low:
        return "T_LOAD"  # of the lifts among what is done
    if set(nouns) & set(OF_A_LIFT):
        return ""
    if low and {"win", "wins", "winner"} & set(words):
        return "T_TIME" if nouns == ["T_TIME"] else ""  # the least wins
    if low:
        return "T_LOW" if not sums and (window or not nouns) else ""
    if best and window and not sums:
        return "T_BEST"
    if set(nouns) == {"T_ROUNDS", "T_REPS"}:
        return "T_ROUNDS"
    if set(nouns) == {"T_REPS", "T_CAL"} and sums:
        return "T_SUM"
    if nouns == ["T_TIME"] and window and not sums:
        return ""  # of a round
    if len(nouns) == 1:
        return nouns[0]
    if not nouns and ("total", "rounds") in pairwise(words):
        return "T_ROUNDS"
    return "T_SUM" if sums and not nouns else ""
