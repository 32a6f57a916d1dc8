"""The solver's own process: a job as one line of JSON comes in, its progress goes out line by line, the plan last.

A second line, or the end of the input, means: enough, with the best so far. All of it is bytes, in UTF-8: the system's own
encoding, in which text would be read and written here, may not know the names of judges.
"""

import json
import os
import sys
import threading

from app.planning.making import make_plan
from app.planning.parts import Limits, NoPlan, Progress
from app.planning.replanning import make_replan
from app.planning.worker import Job

NICENESS = 10  # judging comes first


def main() -> None:
    """One job."""
    if hasattr(os, "nice"):
        os.nice(NICENESS)
    job = Job.model_validate_json(sys.stdin.buffer.readline())
    enough = threading.Event()
    threading.Thread(target=_listen, args=(enough,), daemon=True).start()
    limits = Limits(job.seconds, _tell, enough.is_set)
    try:
        plan = make_replan(job.late, limits) if job.late else make_plan(job.given, limits)
        _say({"plan": plan.model_dump(mode="json")})
    except NoPlan as why:
        _say({"why": str(why)})


def _listen(enough: threading.Event) -> None:
    sys.stdin.buffer.readline()
    enough.set()


def _tell(progress: Progress) -> None:
    _say({"stage": progress.stage, "end": progress.end, "bound": progress.bound, "seconds": round(progress.seconds, 2)})


def _say(line: object) -> None:
    sys.stdout.buffer.write(json.dumps(line).encode() + b"\n")
    sys.stdout.buffer.flush()


if __name__ == "__main__":
    main()
