"""Which word is the newer one: what tablets are told carries when it was so.

Words take different ways (an answer that is late on a weak line, a socket, a store that is read at a reload), so the order in
which they come says nothing. `boot` names the line of time, `number` is that of the newest records that this process has taken
over (several processes count alike; one that is alone has none), `at` is when it was said, on that line of time. An older word
never replaces a newer one; js/rules/told.js sees to it.
"""

from app.hall.hall import Hall


def told_now(hall: Hall) -> dict[str, str | int | float]:
    """The order of what is read from the projection in this moment, as JSON values."""
    return {"boot": hall.time.boot, "number": hall.relay.records, "at": hall.time.fine_ms()}
