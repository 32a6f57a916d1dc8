"""What a round's pages say of receipts, deadlines and files that wait: rows of the claims (claims.py).

What is so is told by `ground_of`: read out of headquarters' database file and the gym's folder, past the app.
"""

import json
import re
import sqlite3
from collections.abc import Collection, Iterator
from contextlib import closing
from datetime import UTC, datetime
from hashlib import sha256
from pathlib import Path

from tests.faults.claiming import Holds, besides, says
from tests.faults.ground import Facts, Ground, Held


def _by(what: str) -> Holds:
    """True where the receipt that a sentence names is for this, is headquarters' own, byte for byte, and is the last for it."""
    return lambda facts, said: f"{what} by {said['n']}" in facts.besides


def _until(facts: Facts, said: re.Match[str]) -> bool:
    return f"file until {said['when']}" in facts.besides


def _due(facts: Facts, said: re.Match[str]) -> bool:
    return f"due {said['when']}" in facts.besides


def _waiting(facts: Facts, said: re.Match[str]) -> bool:
    return f"{said['n']} wait" in facts.besides


RECEIPT = r"receipt (?P<n>\d+), [^.]+\."
ROUND = (
    says(r"No receipt of headquarters is here for it\.", besides("no receipt for it")),
    says(r"Headquarters has its digest: " + RECEIPT, _by("promised")),
    says(r"The file must reach it by (?P<when>[^,]+), [^.]+\.", _until),
    says(r"Headquarters has its file: " + RECEIPT, _by("arrived")),
    says(r"Whether it was checked is not known here yet\.", besides("no word of a check")),
    says(r"Headquarters has checked it: " + RECEIPT, _by("checked")),
    says(r"Nothing was amiss\.", besides("sound")),
    says(r"Nothing of it counts:.+", besides("unsound")),
    says(r"Headquarters' server answered that it knows this laptop's key as gym (?P<n>\d+)'s\.",
         lambda facts, said: f"key of gym {said['n']} bound" in facts.besides),
    says(r"A receipt of headquarters for a file is here\.", besides("a receipt for a file")),
    says(r"Headquarters' receipt for the digest is here\. The file must follow\.", besides("a receipt for a digest alone")),
    says(r"By (?P<when>[\d: -]+), this laptop's time, says the kit\.", _due),
    says(r"See what lacks, then make it\.", besides("nothing made")),
    says(r"Made, and no receipt of headquarters is here\.", besides("no receipt at all")),
    says(
        r"Headquarters has it\. Receipt (?P<n>\d+)\. Where headquarters publishes its heads, the receipt's digest stands there "
        r"by its number\.",
        _by("claimed"),
    ),
    says(r"Your appeal is filed\. Another head judge answers it here\.", besides("an appeal waits")),
    says(r"Files that wait to be checked: (?P<n>\d+)\. No line in them counts yet\.", _waiting),
    says(r"Files that could not be checked here: (?P<n>\d+)\. Start the server anew, or look into its log\.",
         lambda facts, said: "a check that comes to nothing" in facts.besides and _waiting(facts, said)),
)  # fmt: skip


def ground_of(store: Path, gym: Path, newest: str = "") -> Ground:
    """What is so between headquarters, whose store is this file, and a gym with this data folder: of its hand-in of this digest,
    and of all that wait."""
    return Ground(lambda: Held([]), besides=frozenset(_so(store, gym, newest)))


def waiting_ground(store: Path, *besides_that: str) -> Ground:
    """The same of headquarters alone."""
    return Ground(lambda: Held([]), besides=frozenset([f"{_waits(_records(store))} wait", *besides_that]))


def entry_ground(store: Path, entry: int, leaves: Collection[str]) -> Ground:
    """What is so at headquarters of an entry: the receipts for what it claimed, whose digests are these leaves, and whether its
    appeal waits."""
    told = [json.loads(content.split(b"\n")[1]) for content in _receipts(store)]
    so = {f"claimed by {one['number']}" for one in told if one["what"] == "claimed" and one["hand_in"] in leaves}
    kinds = {one["kind"] for one in _records(store) if one.get("entry") == entry}
    return Ground(
        lambda: Held([]), besides=frozenset(so | ({"an appeal waits"} if "appeal" in kinds and "answer" not in kinds else set()))
    )


def _receipts(store: Path) -> set[bytes]:
    with closing(sqlite3.connect(f"{store.absolute().as_uri()}?mode=ro", uri=True)) as opened:
        return {bytes(content) for (content,) in opened.execute("SELECT content FROM round_receipt")}


def _records(store: Path) -> list[dict[str, object]]:
    with closing(sqlite3.connect(f"{store.absolute().as_uri()}?mode=ro", uri=True)) as opened:
        return [json.loads(text) for (text,) in opened.execute("SELECT text FROM round_record ORDER BY number")]


def _waits(records: list[dict[str, object]]) -> int:
    """How many files came and were not checked."""
    kinds = [one["kind"] for one in records]
    return kinds.count("arrived") - kinds.count("checked")


def _so(store: Path, gym: Path, newest: str) -> Iterator[str]:
    records, given = _records(store), _receipts(store)
    kept = [file.read_bytes() for file in gym.glob("round/receipts/*")]
    told = [json.loads(content.split(b"\n")[1]) for content in kept if content in given]
    own = sorted((one for one in told if one["hand_in"] in (newest, newest[:32].ljust(64, "0"))), key=lambda one: one["number"])
    yield f"{_waits(records)} wait"
    yield from [] if any(gym.glob("round/handed-in/*")) else ["nothing made"]
    if own:
        yield f"{own[-1]['what']} by {own[-1]['number']}"
    else:
        yield "no receipt for it"
    whats = {one["what"] for one in told}
    yield "a receipt for a file" if whats - {"promised"} else "a receipt for a digest alone" if whats else "no receipt at all"
    yield from ["no word of a check"] if "checked" not in {one["what"] for one in own} else []
    rule = next(one for one in records if one["kind"] == "opened")["rule"]
    assert isinstance(rule, dict)
    yield f"due {datetime.fromtimestamp(rule['deadline_ms'] / 1000, UTC).astimezone():%Y-%m-%d %H:%M}"
    for one in records:
        if one["kind"] == "promised" and own and one["hand_in"] == own[0]["hand_in"]:
            until = datetime.fromtimestamp((int(str(one["at"])) + rule["grace_ms"]) / 1000, UTC)
            yield f"file until {until:%Y-%m-%d %H:%M} UTC"
        if one["kind"] == "checked" and own and one["hand_in"] == own[0]["hand_in"]:
            yield "unsound" if one.get("faults") else "sound"
        if one["kind"] == "bound" and (gym / "round" / "bound.txt").is_file():
            binding = (gym / "round" / "binding.json").read_bytes()
            is_it = (gym / "round" / "bound.txt").read_text() == sha256(binding).hexdigest()
            yield from [f"key of gym {one['gym']} bound"] if is_it and str(one["key"]).encode() in binding else []
