"""The movement library: machines, ways on foot, carries, throws and holds; most of them are measured rather than counted."""

from app.rules.workout.movement_library import TURNING, Described, fault, kg
from app.rules.workout.tasks import Movement

HEAT = "Water and shade at hand; stop on dizziness, chill or confusion."
MACHINE = "The damper is set and the monitor at zero before the window opens."
RESET = fault("monitor", "Monitor not at zero at the start", "monitor")
BROKEN = fault("broken", "Position broken", "position")

WAYS = (
    Described(
        "run",
        Movement(
            name="Run",
            standards=(
                "The whole way is covered on foot, around every turning point.",
                "It counts when the whole body has crossed the line.",
            ),
            faults=(fault("turn", "Turning point cut", "turn"), fault("line", "Line not crossed", "line")),
            cautions=(TURNING, HEAT),
        ),
        called=("running",),
        like=("sprint", "shuttle run"),
    ),
    Described(
        "carry",
        Movement(
            name="Carry",
            standards=(
                "The load is off the floor whenever the carrier moves on.",
                "It may be put down and taken up again on the same spot.",
                "It counts when the carrier and the load have crossed the line.",
            ),
            faults=(
                fault("dragged", "Load touched the floor on the way", "floor"),
                fault("line", "Line not crossed", "line"),
                fault("spot", "Taken up farther ahead", "same spot"),
            ),
            cautions=("Feet out from under the load; put it down, do not throw it.", TURNING),
            heaviest=kg(400),
        ),
        like=("farmer's carry", "farmer's walk", "sandbag carry", "overhead carry", "front-rack carry", "loaded carry"),
    ),
    Described(
        "sled_push",
        Movement(
            name="Sled push",
            standards=(
                "Both hands are on the sled whenever it moves.",
                "It counts when the whole sled has crossed the line.",
            ),
            faults=(fault("line", "Line not crossed", "line"), fault("hands", "Pulled or kicked", "hands")),
            cautions=("Nobody stands behind the line; the sled's plates are secured.", TURNING),
            heaviest=kg(600),
        ),
        like=("sled pull", "sled drag"),
    ),
    Described(
        "swim",
        Movement(
            name="Swim",
            standards=("The whole way is swum, touching at each turn.", "It counts when a hand touches the end."),
            faults=(fault("touch", "End not touched", "touch"), fault("pulled", "Pulled on the rope", "rope")),
            cautions=("A qualified lifeguard watches every lane; nobody swims alone.", "Stop at once on pain in the chest."),
        ),
        called=("swimming",),
    ),
)

MACHINES = (
    Described(
        "row",
        Movement(
            name="Row",
            standards=(
                "The monitor starts at zero; the handle is in the cradle until GO.",
                "It counts when the monitor shows the whole number; the judge reads it.",
                "The athlete stays on the seat until the judge has read it.",
            ),
            faults=(RESET, fault("seat", "Left the seat too early", "seat")),
            cautions=(MACHINE, "Put the handle back; a handle let go hits whoever is near."),
        ),
        called=("rowing", "rowing machine", "rower", "erg"),
    ),
    Described(
        "bike",
        Movement(
            name="Bike",
            standards=(
                "The monitor starts at zero.",
                "It counts when the monitor shows the whole number; the judge reads it.",
                "The athlete stays on the saddle until the judge has read it.",
            ),
            faults=(RESET, fault("seat", "Left the saddle too early", "saddle")),
            cautions=(MACHINE, "Laces tucked in; hands and clothes away from the wheel."),
        ),
        called=("exercise bike", "cycling"),
        like=("air bike",),
    ),
    Described(
        "ski",
        Movement(
            name="Ski machine",
            standards=(
                "The monitor starts at zero.",
                "It counts when the monitor shows the whole number; the judge reads it.",
                "Both feet stay on the base while pulling.",
            ),
            faults=(RESET, fault("feet", "Feet left the base", "feet")),
            cautions=(MACHINE, "Let the handles go up in the hands; nobody stands behind."),
        ),
        called=("ski", "skiing"),
    ),
)

THROWS = (
    Described(
        "wall_throw",
        Movement(
            name="Wall throws",
            standards=(
                "The ball is held in front; at the bottom of the squat the thigh at the hip joint is below the top of the knee.",
                "Out of the squat the ball is thrown and hits the target or above it.",
                "A ball that falls to the floor starts still.",
            ),
            faults=(
                fault("target", "Below the target", "target"),
                fault("depth", "Not deep enough", "depth"),
                fault("missed", "Wall not hit", "wall"),
            ),
            cautions=("The target and the wall are fixed; space to step back.", "Eyes on the ball; catch it with soft arms."),
            fastest_ms=700,
            heaviest=kg(25),
        ),
        called=("wall ball", "wall ball shot", "throw to a wall target"),
    ),
    Described(
        "throw",
        Movement(
            name="Throw",
            standards=(
                "Starts behind the line; nobody crosses it before the throw is measured.",
                "Measured from the line to the nearest mark of the landing.",
            ),
            faults=(fault("line", "Stepped over the line", "line"), fault("sector", "Landed outside the sector", "sector")),
            cautions=(
                "Nobody in the sector or beside it; throw only when it is called clear.",
                "Carry the implement back, do not throw it.",
            ),
        ),
        like=("shot put", "ball throw", "hammer throw"),
    ),
    Described(
        "broad_jump",
        Movement(
            name="Broad jump",
            standards=(
                "Starts standing behind the line, both feet on the floor.",
                "Leaves and lands on both feet.",
                "Measured from the line to the nearest heel.",
            ),
            faults=(fault("line", "Foot on the line", "line"), fault("fell", "Fell back or stepped", "landing")),
            cautions=("A soft, dry landing that does not slide.",),
        ),
        called=("standing long jump",),
        like=("long jump",),
    ),
)

HOLDS = (
    Described(
        "plank_hold",
        Movement(
            name="Plank hold",
            standards=(
                "Forearms or hands, and toes, are the only parts on the floor.",
                "The body is straight from shoulders to heels.",
                "The hold ends when a knee or the belly touches, or at the second warning.",
            ),
            faults=(fault("sagged", "Hips sagged", "hips down"), fault("piked", "Hips too high", "hips up"), BROKEN),
            cautions=("Breathe on; stop on pain in the back.",),
        ),
        called=("plank", "hold of a plank"),
        like=("side plank",),
    ),
    Described(
        "bar_hang",
        Movement(
            name="Bar hang",
            standards=(
                "Both hands on the bar, arms straight, feet off the floor.",
                "The hold ends when a hand leaves the bar or a foot touches.",
            ),
            faults=(fault("floor", "Foot touched the floor", "feet"), fault("arms", "Arms bent", "arms"), BROKEN),
            cautions=("The bar over the head is tried before the heat.", "A mat or clear floor below."),
        ),
        called=("dead hang", "hang", "hold of a bar"),
    ),
    Described(
        "handstand_hold",
        Movement(
            name="Handstand hold",
            standards=(
                "Hands on the floor inside the box, arms locked, heels on the wall.",
                "The hold ends when a foot leaves the wall or an arm bends.",
            ),
            faults=(fault("arms", "Arms bent", "arms"), fault("wall", "Foot left the wall", "wall"), BROKEN),
            cautions=(
                "A pad below the head; come down feet first.",
                "Stop at once on neck pain, tingling or loss of control. Do not move a suspected neck injury.",
            ),
        ),
        called=("handstand",),
    ),
    Described(
        "bar_hold",
        Movement(
            name="Bar hold",
            standards=(
                "The load is held as the brief says: hanging from straight arms, on the shoulders or overhead.",
                "The hold ends when it leaves that place or touches the floor.",
            ),
            faults=(fault("floor", "Load touched the floor", "floor"), BROKEN),
            cautions=("Collars on; feet out from under the plates.", "A clear space to put it down in."),
            heaviest=kg(500),
        ),
        like=("deadlift hold", "barbell hold", "overhead hold"),
    ),
)

GROUND: tuple[Described, ...] = WAYS + MACHINES + THROWS + HOLDS
