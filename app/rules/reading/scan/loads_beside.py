"""What stands beside what is done, before it and behind: amounts, loads (`5 x 60 kg power cleans`), own weights, complexes."""

from dataclasses import replace

from app.rules.reading.scan.pieces import Tok, rewritten
from app.rules.reading.scan.units_beside import NEXT, THINGS, kind_at
from app.rules.workout.movements import library

COUNTED, LIGHTEST = ("COUNT", "DUR", "MAX", "REPS"), 4


def loaded_behind(before: list[Tok], tok: Tok, follows: str) -> bool:
    """`12 kb swings 24`: behind a thing that is counted, and done with a load, a number is its load; its unit is asked."""
    if follows not in ("", "COMMA", "STOP"):
        return False
    if [one.kind in COUNTED for one in before[-2:]] != [True, False] or before[-1].kind != "MOVE" or len(tok.values) != 1:
        return False
    described = library().described.get(before[-1].key)
    heavy = described is not None and described.movement.heaviest is not None
    return heavy and tok.values[0].isdigit() and int(tok.values[0]) >= LIGHTEST


def one_in_each(toks: list[Tok]) -> list[Tok]:
    """`8 devil's presses 2x15`: behind a counted thing that is done with two dumbbells, each of that load; its unit is
    asked."""
    found: list[Tok] = []
    at = 0
    while at < len(toks):
        run = toks[at : at + 2]
        each = [tok.kind for tok in run] == ["TIMES", "BARE"] and run[0].values == ("2",) and len(run[1].values) == 1
        if each and _in_each(found, run[1], kind_at(toks, at + 2)):
            found.append(run[0].to(run[1], "PAIRNUM", values=run[1].values))
            at += 2
        else:
            found.append(toks[at])
            at += 1
    return found


def _in_each(before: list[Tok], tok: Tok, follows: str) -> bool:
    """Whether a number behind `2 x` is that of a pair, and not how many on each side: `20 dumbbell lunges 2x10`."""
    if not loaded_behind(before, tok, follows):
        return False
    described, amount = library().described.get(before[-1].key), before[-2].values
    return described is not None and "dumbbells" in described.needs and amount != (str(2 * int(tok.values[0])),)


LEAST_LOADED = 3  # `2 x 24 kg` is one in each hand


BEFORE_OWN = ("AT", "LPAR", "COMMA")
OWN_WEIGHT = ("bodyweight", "body weight")


def complexes(toks: list[Tok]) -> list[Tok]:
    """`Clean complex (1 power clean, 1 front squat), unbroken`: the lifts of a complex are joined, and it is unbroken anyhow."""
    at = next((place for place, tok in enumerate(toks) if tok.kind == "COMPLEX"), None)
    if at is None:
        return toks
    found = [tok for place, tok in enumerate(toks) if not (tok.kind == "UNBROKEN" and place > at)]
    at = found.index(toks[at])
    if at and found[at - 1].kind == "MOVE" and kind_at(found, at - 2) not in ("NUM", "PLUS"):
        del found[at - 1]
        at -= 1
    head, rest = found[: at + 1], found[at + 1 :]
    while rest and rest[0].kind in ("COMMA", "LPAR", "COLON"):
        head += [replace(rest[0], kind="COLON")] if rest[0].kind == "COLON" else []
        del rest[0]
    ends = next((place for place, tok in enumerate(rest) if tok.kind not in IN_COMPLEX), len(rest))
    inside = [
        replace(tok, kind="PLUS") if tok.kind == "COMMA" and kind_at(rest, place + 1) in IN_COMPLEX[:2] else tok
        for place, tok in enumerate(rest[:ends])
    ]
    return [*head, *inside, *rest[ends:]]


IN_COMPLEX = ("NUM", "MOVE", "PLUS", "COMMA", "AND")


def own_weights(toks: list[Tok]) -> list[Tok]:
    """`bench press @ bodyweight`, `deadlift @ 80 % 1RM`: what is loaded is a note, for it is another load for everybody."""
    return rewritten(toks, lambda run, at: _own_weight(run, at) or _share_of_a_best(run, at))


def _share_of_a_best(toks: list[Tok], at: int) -> tuple[list[Tok], int] | None:
    """`@ 80 % 1RM`, `(60% of 3RM)`, `at 75%`, behind what is lifted."""
    before = toks[at - 1].kind if at else ""
    share = toks[at + 1] if toks[at].kind in BEFORE_OWN and at + 1 < len(toks) else None
    if before != "MOVE" or share is None or share.unit != "PERCENT" or not any(one.strip("0.") for one in share.values):
        return None
    ends = at + 2
    while kind_at(toks, ends) in ("OF", "GLUE", "RM", "NRM"):
        ends += 1
    if kind_at(toks, ends) not in ("", "COMMA", "STOP", "AND", "PLUS", "RPAR"):
        return None
    last = toks[ends - 1]
    return [share.to(last, "NOTE", values=(), unit="")], ends + (toks[at].kind == "LPAR" and kind_at(toks, ends) == "RPAR")


def _own_weight(toks: list[Tok], at: int) -> tuple[list[Tok], int] | None:
    before = toks[at - 1].kind if at else ""
    if any(tok.kind in ("TIE", "SCORE") for tok in toks[:at]):
        return None
    place = at + (toks[at].kind in BEFORE_OWN)
    number = toks[place : place + 1]
    place += bool(number) and number[0].kind == "TIMES"
    if before != "MOVE" or kind_at(toks, place) != "TIE_BODY" or toks[place].text.casefold() not in OWN_WEIGHT:
        return None
    first = toks[at + 1] if toks[at].kind in BEFORE_OWN else toks[at]
    ends = place + 1 + (toks[at].kind == "LPAR" and kind_at(toks, place + 1) == "RPAR")
    return [first.to(toks[place], "NOTE", values=(), unit="")], ends


def loads_between(toks: list[Tok]) -> list[Tok]:
    """`5 x 60 kg power cleans`, `60 kg power clean x 5`: so many with that load; `back squat 5 x 5 @ 60 kg`, `sled push
    4 x 20 m`: sets of so many, told behind what is done."""
    return rewritten(toks, lambda run, at: _loaded_thing(run, at) or _amount_last(run, at) or _sets_behind(run, at))


def rungs_in_line(toks: list[Tok]) -> list[Tok]:
    """`Deadlifts: 10 @ 100, 8 @ 110, 6 @ 120 kg`, `snatch, 40 kg x 5, 50 kg x 3`: so many of one thing with one load after
    another; `bench press: max reps at 60 kg` is as many as possible with it."""
    return rewritten(toks, lambda run, at: _rungs(run, at) or _most_with(run, at))


def _rungs(toks: list[Tok], at: int) -> tuple[list[Tok], int] | None:
    place = at + 1 + (kind_at(toks, at + 1) == "LADDER")
    if toks[at].kind != "MOVE" or kind_at(toks, place) not in ("COLON", "COMMA") or kind_at(toks, at - 1) not in SETS_FOLLOW:
        return None
    told: list[tuple[Tok, Tok]] = []
    while rung := _rung(toks, place + 1):
        told.append(rung[0])
        place = rung[1]
        if kind_at(toks, place) not in ("COMMA", "SLASH", "AND"):
            break
    units = {load.unit for _, load in told if load.kind == "LOAD"}
    if len(told) < LEAST_RUNGS or len(units) != 1 or any(len(load.values) > 1 for _, load in told):
        return None
    unit, thing = units.pop(), replace(toks[at], name=toks[at].name or toks[at].text)
    made: list[Tok] = []
    for amount, load in told:
        here = min(amount.start, load.start)
        made += [replace(amount, kind="COUNT"), replace(thing, start=here, end=here), replace(load, kind="LOAD", unit=unit)]
        made.append(load.to(load, "COMMA", values=(), unit=""))
    return made[:-1], place


def _rung(toks: list[Tok], at: int) -> tuple[tuple[Tok, Tok], int] | None:
    """An amount and its load, in either order, and where they end."""
    kinds = [kind_at(toks, place) for place in range(at, at + 3)]
    if kinds[:2] == ["LOAD", "TIMES"] and _times_behind(toks[at + 1]):
        return (toks[at + 1], toks[at]), at + 2
    if kinds[:2] == ["NUM", "AT"] and kinds[2] in ("LOAD", "NUM") and len(toks[at].values) == 1 and toks[at].values[0].isdigit():
        return (toks[at], toks[at + 2]), at + 3
    return None


def _most_with(toks: list[Tok], at: int) -> tuple[list[Tok], int] | None:
    colon = kind_at(toks, at + 1) == "COLON"
    run = toks[at + 1 + colon : at + 4 + colon]
    if toks[at].kind != "MOVE" or [tok.kind for tok in run] != ["MAX", "AT", "LOAD"]:
        return None
    return [run[0], toks[at], run[2]], at + 4 + colon


LEAST_RUNGS = 2


def _loaded_thing(toks: list[Tok], at: int) -> tuple[list[Tok], int] | None:
    """An amount, a load and the thing; the amount may stand behind, or nowhere."""
    before = toks[at - 1].kind if at else ""
    counted = toks[at].kind == "NUM" or (toks[at].kind == "TIMES" and toks[at].text[:1] not in SIGNS_OF_TIMES)
    counted = counted and before != "AMRAP"  # `AMRAP 10 60 kg cleans`: how long
    amount = toks[at] if counted and len(toks[at].values) == 1 else None
    place = at + (amount is not None)
    run = toks[place : place + 3]
    load = run[: 1 + (len(run) > 1 and run[1].kind == "VERSIONS")]
    things = run[len(load) : len(load) + 1]
    if [tok.kind for tok in load[:1]] != ["LOAD"] or [tok.kind for tok in things] != ["MOVE"] or before not in BEFORE_LOADS:
        return None
    least = LEAST_LOADED if amount is not None and amount.kind == "TIMES" else 1
    if amount is not None and (not amount.values[0].isdigit() or int(amount.values[0]) < least):
        return None
    place += len(load) + 1
    behind = toks[place] if place < len(toks) else None
    if behind is not None and behind.kind in ("LOAD", "AT", "LPAR", "SIZE"):
        return None
    if amount is None and behind is not None and (behind.kind == "REPS" or _times_behind(behind)):
        amount, place = behind, place + 1
    if _joined_without_load(toks, place):
        return None
    return [*([replace(amount, kind="COUNT")] if amount else []), *things, *load], place


def _joined_without_load(toks: list[Tok], at: int) -> bool:
    """`60 kg power clean x 5 + jerk x 1`: whether another thing that is done with a load is joined, and has none of its own."""
    joined = toks[at + 1 : at + 5] if kind_at(toks, at) == "PLUS" else []
    thing = next((tok for tok in joined[:2] if tok.kind == "MOVE"), None)
    described = library().described.get(thing.key) if thing else None
    return described is not None and described.movement.heaviest is not None and "LOAD" not in {tok.kind for tok in joined}


def _times_behind(tok: Tok) -> bool:
    return tok.kind == "TIMES" and tok.text[:1] in SIGNS_OF_TIMES and len(tok.values) == 1


def _amount_last(toks: list[Tok], at: int) -> tuple[list[Tok], int] | None:
    """`KB swing 24 kg x 15`."""
    before = toks[at - 1].kind if at else ""
    fits = [tok.kind for tok in toks[at : at + 3]] == ["MOVE", "LOAD", "TIMES"] and _times_behind(toks[at + 2])
    behind = toks[at + 3].kind if at + 3 < len(toks) else ""
    if not fits or before not in BEFORE_LOADS or behind not in ("", "COMMA", "STOP", "AND", "PLUS"):
        return None
    thing, load, often = toks[at : at + 3]
    return [replace(often, kind="COUNT"), thing, load], at + 3


def _sets_behind(toks: list[Tok], at: int) -> tuple[list[Tok], int] | None:
    run, before = toks[at : at + 3], toks[at - 1].kind if at else ""
    if len(run) < 3 or run[0].kind not in ("MOVE", "WORD") or run[1].kind != "TIMES" or before not in SETS_FOLLOW:
        return None
    thing, often, each = run
    behind = toks[at + 3].kind if at + 3 < len(toks) else ""
    described = library().described.get(thing.key)
    light = described is None or described.movement.heaviest is None
    told = each.kind in ("LENG", "CALS") or (each.kind == "NUM" and (light or behind in ("AT", "LOAD", "LPAR")))
    if not told or len(each.values) > 1 or behind in (*THINGS, "X", "SLASH"):
        return None
    return [often, each, thing], at + 3


SIGNS_OF_TIMES = "x×X"
SETS_FOLLOW = ("", "STOP", "COMMA", "COLON", "AND", "PLUS", "THEN", "DASH")
BEFORE_LOADS = (*SETS_FOLLOW, "AMRAP", "FORTIME", "ROUNDS", "DUR", "MAX")


def pieces_loaded(toks: list[Tok]) -> list[Tok]:
    """`15 thrusters, 4 x 15 kg`: so many of that load are no rounds. Behind a thing without an amount they are repetitions."""
    found: list[Tok] = []
    for at, tok in enumerate(toks):
        if tok.kind == "TIMES" and at + 1 < len(toks) and toks[at + 1].kind == "LOAD":
            thing = [one.kind for one in found if one.kind != "COLON"][-2:]
            behind = thing[-1:] == ["MOVE"] and thing[:-1] not in ([kind] for kind in NEXT)
            tok = tok if behind else replace(tok, kind="SIGN")
        found.append(tok)
    return found


LEAST_FEET = 25  # nobody lunges for so many minutes; common practice, no source
OVER_A_DISTANCE = ("lunge", "walk", "carry", "push", "crawl")


def _in_feet(tok: Tok, after: list[Tok]) -> bool:
    """Whether the sign of minutes and feet stands for feet: before what is done over a distance, and for so many."""
    over = bool(after) and after[0].kind == "MOVE" and any(way in after[0].key for way in OVER_A_DISTANCE)
    return over and tok.values[0].isdigit() and int(tok.values[0]) >= LEAST_FEET


def counted(toks: list[Tok]) -> list[Tok]:
    """A bare number before a thing counts it; another one stands alone."""
    found: list[Tok] = []
    for at, tok in enumerate(toks):
        follows = toks[at + 1].kind if at + 1 < len(toks) else ""
        if tok.kind == "PRIMED" and tok.unit == "PRIME" and _in_feet(tok, toks[at + 1 : at + 2]):
            tok = replace(tok, kind="SIZE", unit="FT")  # `100' walking lunge`
        if tok.kind == "PRIMED" and tok.unit == "PRIME" and follows in THINGS and tok.values[0].isdigit():
            tok = replace(tok, kind="DUR", values=(str(int(tok.values[0]) * 60),))
        if tok.kind == "NUM" and len(tok.values) == 1 and "." in tok.values[0] and found and found[-1].kind == "MOVE":
            found.append(replace(tok, kind="PAIRNUM"))  # `dumbbell snatch 22.5`: a load without a unit
            continue
        if tok.kind == "NUM":
            kind = "PAIRNUM" if len(tok.values) > 1 or loaded_behind(found, tok, follows) else "BARE"
            kind = "COUNT" if follows in THINGS else kind
            tok = replace(tok, kind=kind)
        found.append(tok)
    return found
