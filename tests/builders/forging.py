"""Forgeries: a competition file as plain JSON with one thing in it changed, taken out, added or bound to something else."""

import json
import random
from collections.abc import Callable
from copy import deepcopy
from typing import Any

Plain = dict[str, Any]
Forge = Callable[[Plain, random.Random], None]


def forged(text: str, die: random.Random) -> tuple[Plain, str]:
    """The file, given as JSON text, with one forgery, and which one it is."""
    made: Plain = json.loads(text)
    forge = die.choice(FORGERIES)
    forge(made, die)
    return made, forge.__name__


def a_mark_changed(plain: Plain, die: random.Random) -> None:
    """Its time, kind, window, sheet, load or verdict."""
    mark = die.choice(plain["marks"])
    way = die.choice(("at", "kind", "win", "sheet", "good", "load", "seq", "number", "receipt"))
    if way == "at":
        mark["at"] += die.choice((-40_000, -1, 1, 40_000))
    elif way == "kind" and mark["kind"] in ("rep", "norep"):
        mark["kind"] = "norep" if mark["kind"] == "rep" else "rep"
    elif way == "win":
        mark["win"] = die.choice((None, 0, 1, 2, 7))
    elif way == "sheet":
        mark["sheet"] = die.choice(plain["marks"])["sheet"]
    elif way == "number":
        mark |= {name: die.choice(plain["marks"])[name] for name in ("device", "epoch", "seq")}
    elif way == "receipt":
        mark["receipt"] = {
            "number": die.randint(1, 999),
            "seat": die.choice(("lane", "lifter", "desk")),
            "clock": die.randint(-9_999, 99_999),
        }
    elif way == "good" and "good" in mark["body"]:
        mark["body"]["good"] = not mark["body"]["good"]
    elif way == "load" and "load" in mark["body"]:
        mark["body"]["load"]["amount"] = str(die.randint(100, 400))
    else:
        mark["seq"] += die.randint(1, 9)


def a_mark_taken_out(plain: Plain, die: random.Random) -> None:
    """One of any."""
    plain["marks"].pop(die.randrange(len(plain["marks"])))


def a_mark_added(plain: Plain, die: random.Random) -> None:
    """One like another, or a strike-out of another, there or nowhere."""
    mark = deepcopy(die.choice(plain["marks"]))
    mark |= {"id": f"{die.getrandbits(128):032x}", "seq": 9000 + die.randint(0, 99)}
    if die.random() < 0.6:
        struck = die.choice((die.choice(plain["marks"])["id"], f"{die.getrandbits(128):032x}"))
        mark |= {"kind": "strike", "body": {"mark": struck}}
    plain["marks"].append(mark)


def a_ruling_added(plain: Plain, die: random.Random) -> None:
    """Of any kind, on whatever there is and on what there is not."""
    lanes = [lane for heat in plain["heats"] for lane in heat["lanes"]]
    lane, other = die.choice(lanes), die.choice(lanes)
    event = die.choice(plain["events"])["id"]
    nowhere = die.choice(("asg_99", lane["id"]))
    sheet = {"sheet": f"{die.choice((other['id'], nowhere))}/{die.choice((1, 1, 7))}/lane"}
    on = {"assignment": lane["id"]}
    kinds: list[Plain] = [
        {"kind": "status", **on, "body": {"status": die.choice(("withdrawn", "disqualified", ""))}},
        {"kind": "status", "entry": lane["entry"], "body": {"status": "withdrawn"}},
        {"kind": "penalty", "entry": lane["entry"], "event": event, "body": {"amount": "5"}},
        {"kind": "penalty", **on, "event": event, "body": {"amount": "5"}},
        {"kind": "shift", **on, "body": {"ms": die.choice((-30_000, 30_000)), "run": die.choice((1, 4))}},
        {"kind": "reps", **on, "body": {"add": die.choice((-3, 4)), "window": 0, "run": 1}},
        {"kind": "lift", **on, "body": {"mark": die.choice(plain["marks"])["id"], "good": die.random() < 0.5}},
        {"kind": "move", **on, "body": sheet},
        {"kind": "stand", **on, "body": sheet},
        {"kind": "run", **on, "body": {"run": die.choice((1, 2, 5))}},
        {"kind": "rerun", **on, "entry": die.choice((lane, other))["entry"], "body": {"again": other["id"], "counts": "again"}},
        {"kind": "undo", "body": {"ruling": die.choice(("nothing", *(one["id"] for one in plain["rulings"])))}},
        {"kind": "sign_off", "event": event, **die.choice(({}, on)), "body": {"state": "open"}},
    ]
    made = {"id": f"forged{die.getrandbits(30)}", "by": "Nobody", "why": "Nothing", "made_wall_ms": die.randint(0, 500)}
    plain["rulings"].append(made | die.choice(kinds))


def a_ruling_changed(plain: Plain, die: random.Random) -> None:
    """Taken out, bound to another lane, entry, event or ruling, or made at another time."""
    ruling = die.choice(plain["rulings"])
    lane = die.choice([lane for heat in plain["heats"] for lane in heat["lanes"]])
    way = die.choice(("out", "assignment", "entry", "event", "time", "body"))
    if way == "out":
        plain["rulings"].remove(ruling)
    elif way == "time":
        ruling["made_wall_ms"] = die.randint(0, 500)
    elif way == "body" and "ruling" in ruling["body"]:
        ruling["body"]["ruling"] = die.choice(("nothing", die.choice(plain["rulings"])["id"]))
    elif way == "body" and "sheet" in ruling["body"]:
        ruling["body"]["sheet"] = f"{lane['id']}/1/lane"
    elif way == "body" and "again" in ruling["body"]:
        ruling["body"]["again"] = lane["id"]
    else:
        named = {"assignment": lane["id"], "entry": lane["entry"], "event": die.choice(plain["events"])["id"]}
        ruling[way if way in named else "assignment"] = named.get(way, lane["id"])


def a_record_changed(plain: Plain, die: random.Random) -> None:
    """A run, a heat, a lane, an entry, an athlete, a division, an event."""
    heat = die.choice(plain["heats"])
    lane, entry = die.choice(heat["lanes"]), die.choice(plain["entries"])
    ways: list[Callable[[], Any]] = [
        lambda: die.choice(plain["runs"]).update(state="stopped"),
        lambda: die.choice(plain["runs"]).update(number=2),
        lambda: die.choice(plain["runs"]).update(holds=[{"at_ms": 5_000, "for_ms": 20_000}]),
        lambda: plain["runs"].append({**die.choice(plain["runs"]), "number": 3}),
        lambda: heat.update(event=die.choice(plain["events"])["id"], number=7),
        lambda: lane.update(entry=entry["id"]),
        lambda: lane.update(variant=die.choice(("light", "scaled", ""))),
        lambda: entry.update(division=die.choice(plain["divisions"])["id"]),
        lambda: entry.update(members=[die.choice(plain["athletes"])["id"]]),
        lambda: die.choice(plain["athletes"]).update(bodyweight={"amount": str(die.randint(40, 140)), "unit": "kg"}),
        lambda: die.choice(plain["athletes"]).update(name="Somebody Else"),
        lambda: die.choice(plain["divisions"]).update(name="Another division"),
        lambda: die.choice(plain["events"])["variants"].update({die.choice(plain["divisions"])["id"]: "light"}),
        lambda: die.choice(plain["events"])["format"]["scores"][0].update(better=die.choice(("more", "less"))),
        lambda: die.choice(plain["events"])["format"].update(grace_ms=die.choice((0, 5_000))),
        lambda: heat["lanes"].remove(lane),
    ]
    die.choice(ways)()


FORGERIES: tuple[Forge, ...] = (
    a_mark_changed,
    a_mark_taken_out,
    a_mark_added,
    a_ruling_added,
    a_ruling_added,
    a_ruling_changed,
    a_record_changed,
)
