"""The films of the demo's round: the drawn figure doing what an entry did, as a small file that the page of a look plays."""

import json
from hashlib import sha256
from itertools import pairwise

from app.demo.round.cast import WINDOWS, Squat, Squatter, squats_of

KIND = "application/vnd.lane-ledger.film+json"
GO_MS = 9_000  # of the film: before it the word and the bar are shown
WORD_MS = 4_000
AFTER_MS = 5_000
HIGH = 0.66  # how far a squat goes that is too high; 1 is all the way


def name_of(one: Squatter) -> str:
    """The name of an entry's film, which tells nobody whose it is."""
    return sha256(one.id.encode()).hexdigest()[:12]


def address_of(one: Squatter) -> str:
    """Where the film of an entry lies."""
    return f"/demo/round/films/{name_of(one)}.json"


def film_of(one: Squatter, word: str) -> bytes:
    """The film of an entry as JSON: length, movement, repetitions, cards shown over it; times in ms from its beginning."""
    end = GO_MS + 1000 * sum(WINDOWS[-1]) + AFTER_MS
    reps = _filled_up([_rep(squat) for squat in squats_of(one)])
    cards = [
        {"from": 0, "to": WORD_MS, "text": f"Word: {word}"},
        {"from": WORD_MS, "to": GO_MS - 1000, "text": "15 kg bar, 10 kg and a collar a side · 260 × 190 cm"},
        *({"from": GO_MS + 1000 * at, "to": GO_MS + 1000 * at + 1200, "text": "GO"} for at, _ in WINDOWS),
        *({"from": GO_MS + 1000 * (at + s), "to": GO_MS + 1000 * (at + s) + 1200, "text": "Bell"} for at, s in WINDOWS),
        {"from": end - WORD_MS + 1500, "to": end, "text": f"Word: {word}"},
    ]
    plain = {"length": end, "move": "squat", "reps": reps, "cards": cards}
    return json.dumps(plain, ensure_ascii=False).encode()


def _rep(squat: Squat) -> dict[str, float]:
    return {"start": GO_MS + squat.start, "end": GO_MS + squat.end, "far": 1 if squat.deep else HIGH, "home": 0}


def _filled_up(reps: list[dict[str, float]]) -> list[dict[str, float]]:
    """The same with a rest between two that do not follow at once, in which the figure stands."""
    found = reps[:1]
    for before, after in pairwise(reps):
        if after["start"] > before["end"]:
            found.append({"start": before["end"], "end": after["start"], "far": 0, "home": 0})
        found.append(after)
    return found
