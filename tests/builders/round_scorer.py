"""A scorer of whole rounds that shares no code with the app: from the facts of one to its lines, looks, places and invitations.

Written from the plan of the round alone, over plain values: what a head judge with a pocket calculator would do.
"""

import json
import math
from collections import Counter
from fractions import Fraction
from hashlib import sha256
from typing import Any

Key = tuple[int, str]


class OwnScorer:
    """Scores one round. `lines`: by entry and event a dict of what is known; `value` None is a refused line."""

    def __init__(self, facts: Any) -> None:
        self.facts, self.knobs = facts, facts.knobs
        self.events = {one["id"]: one for one in facts.events}
        self.region = {one["gym"]: one["region"] for one in facts.gyms}
        self.lines: dict[Key, dict[str, Any]] = self.counting_lines()
        self.asked: Counter[str] = Counter()
        self.corrections: Counter[int] = Counter()
        self.named: set[int] = set()
        self.root = tree([self.leaf(line) for _, line in sorted(self.lines.items())]).hex()
        chance = facts.chance("dice")
        self.seed = hashed(f"{self.root}/{''.join(chance.choice('123456') for _ in range(40))}")
        self.order = {
            gym: sorted((key for key in self.lines if self.lines[key]["gym"] == gym), key=self.ticket) for gym in self.region
        }

    def whole(self) -> "OwnScorer":
        """The round from its draw to its invitations."""
        self.waves()
        many = self.knobs["named_after"]
        self.named = {gym for gym in self.region if self.facts.names(gym) and self.corrections[gym] >= many}
        while self.appeals():
            self.waves()
        self.invited = {division: self.invitations(division, places) for division, places in self.facts.divisions}
        return self

    # --- what counts ---

    def counting_lines(self) -> dict[Key, dict[str, Any]]:
        state: dict[str, str] = {}
        gym_of: dict[str, int] = {}
        claimed: dict[Key, dict[str, Any]] = {}
        for one in self.facts.claims:
            if one["hand_in"] is None:
                claimed[one["entry"], one["event"]] = one
        for one in self.facts.hand_ins:
            key, old = one["hand_in"], one["replaces"]
            if one["late"] or (old and (gym_of.get(old) != one["gym"] or state[old] not in ("promised", "sound"))):
                continue
            state[key], gym_of[key] = "promised", one["gym"]
            if one["lapses"]:
                continue
            state[key] = "unsound" if one["faulty"] else "sound"
            if state[key] == "sound":
                if old:
                    state[old] = "replaced"
                    claimed = {at: line for at, line in claimed.items() if line["hand_in"] != old}
                for line in self.facts.claims:
                    at = (line["entry"], line["event"])
                    if line["hand_in"] == key and claimed.get(at, line)["hand_in"] == key:
                        claimed[at] = line
            if one["taken_back"] and state[key] == "sound":
                state[key] = "withdrawn"
                claimed = {at: line for at, line in claimed.items() if line["hand_in"] != key}
        return {key: self.line(one) for key, one in claimed.items()}

    def line(self, claim: dict[str, Any]) -> dict[str, Any]:
        score = self.score(claim["event"], [Fraction(part) for part in claim["parts"]])
        return claim | {"claimed": score, "value": score, "state": "", "asks": 0, "looks": [], "appealed": False}

    def score(self, event: str, parts: list[Fraction]) -> Fraction:
        if self.events[event]["take"] == "sum":
            return Fraction(sum(parts))
        return max(parts) if self.events[event]["better"] == "more" else min(parts)

    def leaf(self, line: dict[str, Any]) -> str:
        told = [
            line["entry"],
            line["event"],
            line["division"],
            line["gym"],
            [str(one) for one in line["parts"]],
            line["person"] or "",
        ]
        return hashed(json.dumps(told, separators=(",", ":"), ensure_ascii=False))

    def ticket(self, key: Key) -> str:
        return hashed(f"{self.seed}/{key[0]}/{self.leaf(self.lines[key])}")

    # --- looks ---

    def waves(self) -> None:
        while found := self.wants():
            for key, reason in found.items():
                more = max(1, self.knobs["top_looks"] - self.lines[key]["asks"]) if reason == "top" else 1
                self.lines[key]["asks"] += more
                self.asked[reason] += more
            for key in sorted(found):
                self.look(key)
            for key in sorted(found):
                self.decide(key)

    def wants(self) -> dict[Key, str]:
        found = {key: "again" for key, line in self.lines.items() if line["state"] == "more"}
        lacking = [key for key, line in self.lines.items() if line["asks"] < self.knobs["top_looks"]]
        for division, places in self.facts.divisions:
            rows, most = self.standing(division), math.ceil(Fraction(self.knobs["top_share"]) * places)
            top = {entry for entry, place in rows.items() if place and place <= most}
            for key in lacking:
                if key[0] in top and self.lines[key]["division"] == division and self.lines[key]["state"] in ("", "stands"):
                    found.setdefault(key, "top")
        for gym, order in self.order.items():
            drawn = max(self.knobs["draw_least"], math.floor(Fraction(self.knobs["draw_share"]) * len(order)))
            opened = self.corrections[gym] or any(one["opened"] for one in self.facts.gyms if one["gym"] == gym)
            for place, key in enumerate(order[: drawn + (self.knobs["opened_next"] if opened else 0)]):
                if not self.lines[key]["asks"]:
                    found.setdefault(key, "draw" if place < drawn else "opened")
        return found | self.doubted(found)

    def doubted(self, found: dict[Key, str]) -> dict[Key, str]:
        share, others = Fraction(self.knobs["doubts_share"]), sum(self.asked.values()) - self.asked["doubt"]
        most = 0  # d doubts are at most that share of all looks, d among them
        while most + 1 <= share * (others + most + 1):
            most += 1
        lines = [key for key in self.lines if key in self.facts.doubts and not self.lines[key]["asks"]]
        lines = sorted(lines, key=self.ticket)[: max(0, most - self.asked["doubt"])]
        return {key: "doubt" for key in lines if key not in found}

    def look(self, key: Key) -> None:
        line = self.lines[key]
        while self.facts.film(*key) != "never" and len(line["looks"]) < line["asks"]:
            seen, refused = self.facts.look(*key, len(line["looks"]), line["parts"])
            refused |= self.facts.word(*key, len(line["looks"])) != own_film_word(
                self.facts.opening, key[0], self.knobs["film_word"]
            )
            parts = [
                Fraction(part["none"] if amiss else count)
                for (count, amiss), part in zip(seen, self.events[key[1]]["parts"], strict=True)
            ]
            line["looks"].append(None if refused else self.score(key[1], parts))

    def decide(self, key: Key) -> None:
        line, looks = self.lines[key], self.lines[key]["looks"]
        if not looks:
            return self.correct(key, None)
        near = max(Fraction(self.knobs["near"]), Fraction(self.knobs["near_share"]) * line["claimed"])
        agree = lambda one, other: one == other if None in (one, other) else abs(one - other) <= near  # noqa: E731
        line["state"] = "stands"
        if all(agree(line["claimed"], one) for one in looks):
            return None
        worst = math.inf if self.events[key[1]]["better"] == "less" else -math.inf
        ranked = sorted((worst if one is None else one for one in looks), reverse=self.events[key[1]]["better"] == "more")
        rest = self.knobs["most_looks"] - len(looks)
        middle = self.knobs["most_looks"] // 2
        low, high = ((ranked + [end] * rest) if end == worst else ([end] * rest + ranked) for end in (worst, -worst))
        ends = [None if one[middle] == worst else one[middle] for one in (low, high)]
        settled = agree(*ends) or (len(looks) == 2 and agree(*looks))
        if not settled:
            line["state"] = "more"
            return None
        given = ranked[0] if len(looks) == 2 else high[middle]
        if given == worst:
            return self.correct(key, None)
        return None if agree(line["claimed"], given) else self.correct(key, given)

    def correct(self, key: Key, value: Fraction | None) -> None:
        line = self.lines[key]
        sign = 1 if self.events[key[1]]["better"] == "more" else -1
        self.corrections[line["gym"]] += value is None or sign * value < sign * line["claimed"]
        line["state"], line["value"] = "corrected", value

    def appeals(self) -> bool:
        found = False
        for key, line in self.lines.items():
            appeal = None if line["state"] != "corrected" or line["appealed"] else self.facts.appeal(*key)
            if appeal is not None:
                found = line["appealed"] = True
                for outcome, value in (appeal[:2], appeal[2:]):
                    if outcome in ("upheld", "partly"):
                        line["value"] = line["claimed"] if outcome == "upheld" else Fraction(value)
        return found

    # --- places ---

    def standing(self, division: str, region: str | None = None, gym: int | None = None) -> dict[int, int | None]:
        """Places by entry."""
        inside = {
            key: line
            for key, line in self.lines.items()
            if line["division"] == division and region in (None, self.region[line["gym"]]) and gym in (None, line["gym"])
        }
        entries = sorted({key[0] for key in inside})
        places = {
            event: self.places(event, {key[0]: line for key, line in inside.items() if key[1] == event}) for event in self.events
        }
        if len(places) == 1:
            return {entry: places[next(iter(places))].get(entry) for entry in entries}
        points = {}
        for entry in entries:
            own = [found.get(entry) for found in places.values()]
            if any(own):
                total = sum(len(found) + 1 if place is None else place for found, place in zip(places.values(), own, strict=True))
                points[entry] = (total, sorted(math.inf if place is None else place for place in own))
        return {
            entry: 1 + sum(other < points[entry] for other in points.values()) if entry in points else None for entry in entries
        }

    def places(self, event: str, lines: dict[int, dict[str, Any]]) -> dict[int, int]:
        sign = -1 if self.events[event]["better"] == "more" else 1
        values = {entry: sign * line["value"] for entry, line in lines.items() if line["value"] is not None}
        return {entry: 1 + sum(other < own for other in values.values()) for entry, own in values.items()}

    def invitations(self, division: str, places: int) -> dict[int, str]:
        def may(entry: int) -> bool:
            own = [line for key, line in self.lines.items() if key[0] == entry]
            return own[0]["gym"] not in self.named or all(line["looks"] for line in own)

        said = {"accepted": "accepted", "declined": "declined", "silent": "lapsed", "uninvited": "withdrawn"}
        standing = {entry: place for entry, place in self.standing(division).items() if place and may(entry)}
        invited: dict[int, str] = {}
        for place in sorted(set(standing.values())):
            if sum(one == "accepted" for one in invited.values()) >= places:
                break
            invited |= {entry: said[self.facts.answer(entry)] for entry, own in standing.items() if own == place}
        return invited


def own_film_word(opening: str, entry: int, letters: int) -> str:
    """The film word as RFC 2104 makes HMAC, by hand: the number that it is in base 24, last digit first; none without opening."""
    key = opening.encode().ljust(64, b"\0")
    inner = sha256(bytes(one ^ 0x36 for one in key) + str(entry).encode()).digest()
    number = int(sha256(bytes(one ^ 0x5C for one in key) + inner).hexdigest(), 16)
    word = "".join("ABCDEFGHJKLMNPQRSTUVWXYZ"[number // 24**place % 24] for place in range(letters))
    return word if opening else ""


def hashed(text: str) -> str:
    return sha256(text.encode()).hexdigest()


def tree(leaves: list[str]) -> bytes:
    """The Merkle tree hash of RFC 6962, as its section 2.1 defines it."""
    if len(leaves) <= 1:
        return sha256(b"\0" + bytes.fromhex(leaves[0])).digest() if leaves else sha256().digest()
    split = 1
    while split * 2 < len(leaves):
        split *= 2
    return sha256(b"\1" + tree(leaves[:split]) + tree(leaves[split:])).digest()
