"""Whether two events are the same, but for keys that nobody sees: part by part, in words."""

from typing import Any

from app.rules.workout.formats import Format, Variant
from app.rules.workout.tasks import ListTask, Task

FIELDS = {
    "members": "The number of members",
    "unit": "The unit of loads",
    "grace": "How long before and after the bell a mark counts, and how long a tablet must be quiet,",
    "counters": "How several counts become one",
    "miss_puts_out": "Whether a miss puts out of the whole event",
    "movements": "Movements, their standards, faults and bounds",
    "tasks": "What is done",
    "windows": "The windows",
    "variants": "Other versions",
    "scores": "The score",
}


def comparable(format: Format) -> dict[str, Any]:
    """A format without its variants, with keys that nobody sees told by order, so that two can be compared, part by part."""
    plain = format.model_dump(mode="json")
    tasks = {key: f"task {place}" for place, key in enumerate(dict.fromkeys(one.task for one in format.windows if one.task))}
    movements = list(dict.fromkeys(key for name in tasks for key in keys_of(format.tasks[name])))
    keys = {key: f"movement {place}" for place, key in enumerate([*movements, *sorted(set(format.movements) - set(movements))])}
    return {
        "members": plain["members"],
        "unit": plain["unit"],
        "grace": (plain["late_ms"], format.grace_before_ms, plain["quiet_ms"]),
        "counters": plain["counters"],
        "miss_puts_out": plain["miss_puts_out"],
        "movements": [plain["movements"][key] for key in keys],
        "tasks": [_renamed(plain["tasks"][key], keys) for key in tasks],
        "windows": [_window_plain(format, one) | {"task": tasks.get(one["task"])} for one in plain["windows"]],
        "variants": [_variant_plain(format, variant) for variant in format.variants],
        "scores": [_score(format, place, one) for place, one in enumerate(plain["scores"])],
    }


def _window_plain(format: Format, window: dict[str, Any]) -> dict[str, Any]:
    """One athlete alone is all of them."""
    return window | {"who": "all"} if format.members == 1 else window


def _variant_plain(format: Format, variant: Variant) -> dict[str, Any]:
    """A version by what an entry does that chooses it."""
    told = comparable(format.varied(variant.id))
    return {"name": variant.name, "ranked": variant.ranked, "movements": told["movements"], "tasks": told["tasks"]}


def _renamed(task: dict[str, Any], keys: dict[str, str]) -> dict[str, Any]:
    if task["kind"] == "list":
        return task | {"items": [item | {"movement": keys[item["movement"]]} for item in task["items"]]}
    return task | {"movement": keys[task["movement"]]}


def _score(format: Format, place: int, score: dict[str, Any]) -> dict[str, Any]:
    """A part is told by the windows that it takes from."""
    parts = format.scores[place].parts
    told = [one | {"tasks": (), "windows": format.window_indexes(part)} for one, part in zip(score["parts"], parts, strict=True)]
    return score | {"id": place, "parts": told}


def keys_of(task: Task) -> list[str]:
    """The keys of the movements of a task, in order."""
    return [item.movement for item in task.items] if isinstance(task, ListTask) else [task.movement]
