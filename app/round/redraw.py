"""Redraws a round's films: `python3 redraw.py` in the book's folder prints gym, entry and event of each. Needs Python alone."""

import json
from fractions import Fraction
from hashlib import sha256
from pathlib import Path


def redraw() -> None:
    said = {one["kind"]: one for one in map(json.loads, Path(__file__).with_name("round.jsonl").read_bytes().splitlines())}
    rule, roll, dice = said["opened"]["rule"], said["roll"], said["draw"]["dice"]
    lines = Path(__file__).with_name("roll.jsonl").read_bytes().splitlines()
    gyms: dict[int, list[tuple[str, int, str]]] = {}
    level = [sha256(b"\0" + sha256(line).digest()).digest() for line in lines]
    while len(level) > 1:
        pairs = [sha256(b"\1" + level[n] + level[n + 1]).digest() for n in range(0, len(level) - 1, 2)]
        level = pairs + level[2 * len(pairs) :]
    assert (level or [sha256().digest()])[0].hex() == roll["root"], "These are not the lines whose root was published."
    seed = sha256(f"{roll['root']}/{dice}".encode()).hexdigest()
    for line, (entry, event, _, gym, _, _) in zip(lines, map(json.loads, lines), strict=True):
        ticket = sha256(f"{seed}/{entry}/{sha256(line).hexdigest()}".encode()).hexdigest()
        gyms.setdefault(gym, []).append((ticket, entry, event))
    for gym, tickets in sorted(gyms.items()):
        most = max(rule["draw_least"], int(Fraction(rule["draw_share"]) * len(tickets)))
        for _, entry, event in sorted(tickets)[:most]:
            print(gym, entry, event)


if __name__ == "__main__":
    redraw()
