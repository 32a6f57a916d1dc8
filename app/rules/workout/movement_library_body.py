"""The movement library: repetitions with the body alone, on the floor, on a bar, on a box and with a rope."""

from app.rules.workout.movement_library import BAR_CHECK, DEPTH, LANDING, LOCKOUT, STANDING, Described, fault
from app.rules.workout.tasks import Movement

CHIN = fault("chin", "Chin not over the bar", "chin")
HANG = fault("hang", "Arms not straight at the bottom", "hang")
NECK = "Stop at once on neck pain, tingling or loss of control. Do not move a suspected neck injury."
ROPE_CLEAR = "Keep clear of the next lane's rope."
ROPE_DRY = "Dry the floor before the window opens."
BOX_STANDS = "The box stands fast on an even floor; nothing lies around it."
SHINS = "Stop when the feet begin to catch the edge."

ROPES = (
    Described(
        "double_skip",
        Movement(
            name="Double skips",
            standards=(
                "The rope passes under both feet twice in one jump.",
                "Both feet leave the floor together.",
                "The rope turns forwards.",
                "A skip counts when the rope has come round the second time.",
            ),
            faults=(
                fault("single", "Only one pass", "single"),
                fault("caught", "Rope caught", "rope"),
                fault("backwards", "Rope turned backwards", "forwards"),
            ),
            cautions=(ROPE_CLEAR, ROPE_DRY),
            # 183 in a minute is the fastest on record: 328 ms each; half of that is no human skip.
            fastest_ms=160,
        ),
        called=("double-under", "double under", "du"),
    ),
    Described(
        "single_skip",
        Movement(
            name="Single skips",
            standards=(
                "The rope passes under the feet once in one jump.",
                "The rope turns forwards.",
                "A skip counts when the rope has come round.",
            ),
            faults=(fault("caught", "Rope caught", "rope"), fault("backwards", "Rope turned backwards", "forwards")),
            cautions=(ROPE_CLEAR, ROPE_DRY),
            fastest_ms=100,
        ),
        called=("single-under", "rope skip", "skip"),
    ),
    Described(
        "rope_climb",
        Movement(
            name="Rope climbs",
            standards=(
                "Starts with a foot on the floor.",
                "A hand touches the mark at the top.",
                "It counts when the climber is back in control at the mark for the way down.",
            ),
            faults=(
                fault("touch", "Top not touched", "touch"),
                fault("start", "Did not start from the floor", "floor"),
                fault("let_go", "Let go too high", "control"),
            ),
            cautions=(
                "Mats below; nobody under a climber.",
                "Come down hand under hand; letting go burns hands and breaks feet.",
            ),
            fastest_ms=3000,
        ),
    ),
)

HANGING = (
    Described(
        "pull_up",
        Movement(
            name="Pull-ups",
            standards=(
                "Starts hanging with straight arms, feet off the floor.",
                "It ends with the chin clearly over the bar.",
                "Swinging is allowed unless the brief says strict.",
            ),
            faults=(CHIN, HANG, fault("floor", "Feet touched the floor", "feet")),
            cautions=(BAR_CHECK, LANDING),
            fastest_ms=400,
        ),
        like=("chin-up", "kipping pull-up", "strict pull-up"),
    ),
    Described(
        "chest_to_bar",
        Movement(
            name="Chest-to-bar pull-ups",
            standards=(
                "Starts hanging with straight arms, feet off the floor.",
                "It ends with the chest, below the collar bone, touching the bar.",
            ),
            faults=(fault("chest", "Chest did not touch", "chest"), HANG, fault("floor", "Feet touched the floor", "feet")),
            cautions=(BAR_CHECK, LANDING),
            fastest_ms=400,
        ),
        called=("chest to bar", "c2b"),
    ),
    Described(
        "muscle_up",
        Movement(
            name="Muscle-ups",
            standards=(
                "Starts hanging with straight arms, feet off the floor.",
                "The body goes from below the bar or rings to above them.",
                "It ends in support with straight arms.",
            ),
            faults=(LOCKOUT, HANG, fault("heels", "Feet above the bar on the way", "heels")),
            cautions=(BAR_CHECK, LANDING),
            fastest_ms=900,
        ),
        like=("bar muscle-up", "ring muscle-up"),
    ),
    Described(
        "toes_to_bar",
        Movement(
            name="Toes to bar",
            standards=(
                "Starts hanging with straight arms, the heels behind the bar.",
                "Both feet touch the bar at the same time, between the hands.",
            ),
            faults=(
                fault("touch", "Feet did not touch together", "toes"),
                fault("behind", "Heels not behind the bar", "heels"),
                HANG,
            ),
            cautions=(BAR_CHECK, LANDING),
            fastest_ms=500,
        ),
        called=("t2b",),
        like=("knees to elbows", "hanging knee raise"),
    ),
)

FLOOR = (
    Described(
        "inverted_press",
        Movement(
            name="Inverted presses",
            standards=(
                "Starts with arms locked, heels on the wall above the line, hands inside the floor box.",
                "The head touches the pad.",
                "Ends with arms, hips and knees straight and heels above the line.",
                "Each repetition returns to the start before the next.",
            ),
            faults=(
                LOCKOUT,
                fault("line", "Heels below the line", "line"),
                fault("pad", "Head did not touch", "touch"),
                fault("box", "Hand outside the box", "box"),
            ),
            cautions=("Pad level with the hands; nobody drops on the head.", NECK),
            fastest_ms=500,
        ),
        called=("handstand press", "handstand push-up", "hspu", "inverted push-up"),
        like=("strict handstand push-up",),
    ),
    Described(
        "push_up",
        Movement(
            name="Push-ups",
            standards=(
                "Starts with arms locked, body straight from shoulders to heels.",
                "The chest touches the floor.",
                "It ends with arms locked and the body still straight.",
            ),
            faults=(LOCKOUT, fault("chest", "Chest did not touch", "chest"), fault("sagged", "Body not straight", "straight")),
            cautions=("Stop on pain in a wrist or a shoulder.",),
            fastest_ms=250,
        ),
        called=("press-up",),
        like=("hand-release push-up", "hand-release press-up"),
    ),
    Described(
        "dip",
        Movement(
            name="Dips",
            standards=(
                "Starts in support with straight arms.",
                "At the bottom the shoulder is below the elbow.",
                "It ends in support with straight arms.",
            ),
            faults=(LOCKOUT, fault("depth", "Shoulder not below the elbow", "depth")),
            cautions=("The bars or rings are fixed and dry.", "Stop on pain in the front of the shoulder."),
            fastest_ms=400,
        ),
        like=("ring dip", "bar dip"),
    ),
    Described(
        "air_squat",
        Movement(
            name="Air squats",
            standards=(
                "Starts standing, knees and hips straight.",
                "At the bottom the top of the thigh at the hip joint is below the top of the knee.",
                "It ends standing, knees and hips straight.",
            ),
            faults=(DEPTH, STANDING),
            cautions=("Heels on the floor; stop on pain in a knee.",),
            fastest_ms=350,
        ),
        called=("bodyweight squat",),
        like=("jump squat", "single-leg squat"),
    ),
    Described(
        "lunge",
        Movement(
            name="Lunges",
            standards=(
                "The knee behind touches the floor.",
                "It ends standing, knees and hips straight.",
                "The legs take turns.",
            ),
            faults=(fault("knee", "Knee did not touch", "knee"), STANDING, fault("turns", "Same leg twice", "other leg")),
            cautions=("An even, dry floor; set the knee down, do not drop it.",),
            fastest_ms=400,
        ),
        like=("walking lunge", "overhead lunge", "front-rack lunge"),
    ),
    Described(
        "burpee",
        Movement(
            name="Burpees",
            standards=(
                "Chest and thighs touch the floor.",
                "It ends with a jump, both feet off the floor, hips straight, hands over the head.",
            ),
            faults=(
                fault("chest", "Chest did not touch", "chest"),
                fault("jump", "No jump", "jump"),
                fault("hips", "Hips not straight", "hips"),
            ),
            cautions=("Space to fall forwards; a dry floor.", "Let the hands take the fall, not the chin."),
            fastest_ms=800,
        ),
        like=("bar-facing burpee", "burpee over the bar", "burpee box jump-over"),
    ),
    Described(
        "sit_up",
        Movement(
            name="Sit-ups",
            standards=(
                "Starts lying, shoulder blades on the floor, hands behind the head's line.",
                "It ends upright, shoulders in front of the hips, hands past the feet.",
            ),
            faults=(fault("upright", "Not upright", "up"), fault("back", "Shoulders not on the floor", "back")),
            cautions=("A mat under the back.", "Pull with the belly, not with hands on the neck."),
            fastest_ms=450,
        ),
        like=("abmat sit-up",),
    ),
    Described(
        "box_jump",
        Movement(
            name="Box jumps",
            standards=(
                "Starts with both feet on the floor and leaves it with both together.",
                "It ends standing on the box, both feet on it, knees and hips straight.",
            ),
            faults=(
                fault("hips", "Not straight on the box", "stand up"),
                fault("two_feet", "Feet did not leave together", "two feet"),
                fault("edge", "Foot not on the box", "box"),
            ),
            cautions=(BOX_STANDS, SHINS, "Step down if the brief says so, and whenever tired."),
            fastest_ms=500,
        ),
        called=("jump onto a box",),
        like=("box jump-over",),
    ),
    Described(
        "step_up",
        Movement(
            name="Step-ups",
            standards=(
                "Starts with both feet on the floor.",
                "It ends standing on the box, both feet on it, knees and hips straight.",
                "The legs take turns.",
            ),
            faults=(
                fault("hips", "Not straight on the box", "stand up"),
                fault("turns", "Same leg twice", "other leg"),
                fault("hand", "Hand on the leg", "hands"),
            ),
            cautions=(BOX_STANDS, SHINS),
            fastest_ms=600,
        ),
        called=("box step-up",),
        like=("step-over", "box step-over", "dumbbell step-up"),
    ),
)

BODY: tuple[Described, ...] = ROPES + HANGING + FLOOR
