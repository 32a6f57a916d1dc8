"""The rows that the tablets read too: kinds of mark, sheets, seats with their authority, and what a judge is told of a flag.

They are JSON, written into static/js/rules/rows.js as it is sent, and so kept by the service worker with everything else that a
lane needs with the server dead. A change of a row is a change of that file's hash.
"""

from typing import Any

from app.rules.count.flags import FLAGS
from app.rules.records.authority import BELIEVED_MS, MOMENTS, authority_plain
from app.rules.records.kinds import LOCKS, ROWS
from app.rules.records.seats import SHEETS
from app.rules.values.hands import BESIDE, PER_SECOND
from app.rules.values.words import known
from app.rules.workout.tasks import FASTEST_TAPS


def tablet_rows() -> dict[str, Any]:
    """All of them, by table and key."""
    kinds = {
        kind: {
            "told": known(row.told),
            "listed": known(row.listed or row.told),
            "work": row.work,
            "timed": row.timed,
            "of_the_bar": row.of_the_bar,
            "prepares": row.prepares,
            "private": row.private,
            "locks": row.locks,
            "track": row.track,
        }
        for kind, row in ROWS.items()
    }
    return {
        "kinds": kinds,
        "sheets": {kind: {"does": row.does, "name": known(row.name)} for kind, row in SHEETS.items()},
        "moments": MOMENTS,
        "locks": LOCKS,
        "believed_ms": BELIEVED_MS,
        "hands": {"per_second": PER_SECOND, "beside": BESIDE, "fastest_taps": FASTEST_TAPS},
        "seats": {seat: {**row, "name": known(row["name"])} for seat, row in authority_plain().items()},
        "flags": {why: known(row.tablet) for why, row in FLAGS.items() if row.tablet},
        "keeps_out": [why for why, row in FLAGS.items() if row.keeps_out],
    }
