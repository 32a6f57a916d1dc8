"""Presets for pairs and teams: a relay, in step, in turns, shared as they like, one works while another holds."""

from collections.abc import Sequence

from app.rules.workout.formats import CountTask, Format, Part, ScoreRule, WorkItem
from app.rules.workout.presets.building import (
    CAP_KNOBS,
    ENDS,
    TIE_KNOB,
    UNIT,
    Turn,
    count_knob,
    list_format,
    members_knob,
    movement_knob,
    one_after_another,
    rest_knob,
    window_knob,
    work_knob,
)
from app.rules.workout.presets.knobs import Knob, Preset, Turned, preset
from app.rules.workout.tasks import Fault, Movement
from app.rules.workout.written_work import MOST_LINES, MOST_ROUNDS, WrittenWork

ENDS_KNOB = Knob("ends", "How it ends", "choice", "time", choices=ENDS)
LIST_KNOBS = (ENDS_KNOB, *CAP_KNOBS, TIE_KNOB, UNIT)
LETTERS = "Each member does all of it in turn, unless lines name members: A: 9 burpees."


def _written(turned: Turned, members: int) -> WrittenWork:
    work = turned.work("work", members)
    if work.rounds > 1 and turned.choice("ends") == "bell":
        turned.refuse("work", "starts again until the bell, so it can't have rounds")
    return work


def in_turn(items: Sequence[WorkItem], members: int) -> tuple[WorkItem, ...]:
    """Each member's part after the other's: as the lines name them, else the whole list for each."""
    if any(item.who is not None for item in items):
        return tuple(items)
    return tuple(item.model_copy(update={"who": (member,)}) for member in range(1, members + 1) for item in items)


def _turns(turned: Turned) -> Format:
    members = turned.count("members")
    work = _written(turned, members)
    items = in_turn(work.items, members)
    if len(items) > MOST_LINES:
        turned.refuse("work", f"comes to at most {MOST_LINES} lines for all members")
    rounds = work.rounds * turned.count("rounds")
    if rounds > MOST_ROUNDS:
        turned.refuse("rounds", f"comes to at most {MOST_ROUNDS} with the rounds of the work")
    return list_format(turned, items, rounds, "any", members)


def _shared(turned: Turned) -> Format:
    members = turned.count("members")
    work = _written(turned, members)
    return list_format(turned, work.items, work.rounds, "any", members)


def _together(turned: Turned) -> Format:
    members = turned.count("members")
    work = _written(turned, members)
    turned.movements = {key: together(movement) for key, movement in turned.movements.items()}
    return list_format(turned, work.items, work.rounds, "all", members)


def together(movement: Movement) -> Movement:
    """The movement as a pair or a team does it in step."""
    return _with_rule(
        movement,
        "All members finish the repetition at the same time.",
        Fault(id="not_together", name="Not together", say="No rep, together."),
    )


def while_held(movement: Movement, hold: Movement) -> Movement:
    """The movement as one member does it while another holds."""
    return _with_rule(
        movement,
        f"It counts only while the other member holds: {hold.name}.",
        Fault(id="not_held", name="Partner did not hold", say="No rep, hold."),
    )


def _with_rule(movement: Movement, standard: str, fault: Fault) -> Movement:
    return movement.model_copy(update={"standards": (*movement.standards, standard), "faults": (fault, *movement.faults)})


def _holding(turned: Turned) -> Format:
    hold, work = turned.one("hold"), turned.one("movement")
    turned.counted(hold)
    key = turned.counted(work)
    turned.movements[key] = while_held(turned.movements[key], hold.movement)
    window, rest = turned.seconds("window"), turned.seconds("rest")
    turns = [Turn("work", window, rest, (worker,), (3 - worker,)) for worker in (1, 2)] * turned.count("rounds")
    return Format(
        members=2,
        unit=turned.unit,
        movements=turned.movements,
        tasks={"work": CountTask(movement=key)},
        windows=one_after_another(turns, "rounds"),
        scores=(ScoreRule(name="Repetitions", unit="reps", parts=(Part(take="sum", tasks=("work",)),)),),
    )


TEAMS: tuple[Preset, ...] = (
    preset(
        "relay",
        "Relay",
        "The members one after another, each with a part of the list; the team has one score.",
        (
            members_knob("4"),
            work_knob("9 burpees\n16 swings\n150 m run", help=LETTERS),
            *LIST_KNOBS,
            count_knob("rounds", "Times through", "1", 1, 100),
        ),
        _turns,
    ),
    preset(
        "turns",
        "You go, I go",
        "A works while B rests, then B while A rests, round after round.",
        (
            members_knob(),
            work_knob("8 swings\n12 sit-ups", "One turn", help=LETTERS),
            count_knob("rounds", "Turns of each member", "5", 1, 100, help="Until the bell: as many as they can."),
            *LIST_KNOBS,
        ),
        _turns,
    ),
    preset(
        "shared",
        "Split as they like",
        "A pair or a team splits the work as it likes.",
        (members_knob(), work_knob("70 step-ups\n90 sit-ups\n50 dips"), *LIST_KNOBS),
        _shared,
    ),
    preset(
        "together",
        "Together, in step",
        "All members do each repetition at the same time; it counts when the last one has finished it.",
        (members_knob(), work_knob("24 lunges\n24 push-ups\n24 burpees"), *LIST_KNOBS),
        _together,
    ),
    preset(
        "holding",
        "One works while the other holds",
        "A works while B holds, then they swap; repetitions count only during the hold.",
        (
            movement_knob("Push-ups"),
            movement_knob("Plank hold", "The hold", "hold"),
            window_knob("1:00"),
            rest_knob("0:20", "Time to swap"),
            count_knob("rounds", "Windows of each member", "3", 1, 50),
            UNIT,
        ),
        _holding,
    ),
)
