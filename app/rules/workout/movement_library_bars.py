"""The movement library: lifts and repetitions with a bar, a kettlebell or a pair of dumbbells."""

from app.rules.workout.movement_library import (
    BAIL_OUT,
    BELL,
    COLLARS,
    DEPTH,
    DROPPED,
    DROPPING,
    LOCKOUT,
    SPOTTED,
    STANDING,
    TOUCHED,
    Described,
    fault,
    kg,
)
from app.rules.workout.tasks import Movement

FEET = fault("feet", "Feet moved before the signal", "feet")
ELBOW = fault("elbow", "Elbow touched the leg", "elbow")

SQUATS = (
    Described(
        "back_squat",
        Movement(
            name="Back squat",
            standards=(
                "The bar rests on the back; the lift starts standing, knees and hips straight.",
                "At the bottom the top of the thigh at the hip joint is below the top of the knee.",
                "It ends standing still, knees and hips straight.",
                "The bar goes back into the rack under control.",
            ),
            faults=(
                DEPTH,
                fault("lockout", "Not stood up", "stand up"),
                fault("racked", "Racked too early", "racked early"),
                DROPPED,
            ),
            cautions=(COLLARS, SPOTTED),
            fastest_ms=500,
            heaviest=kg(450),
        ),
        called=("squat", "barbell squat"),
        lift_faults=(TOUCHED, BELL),
    ),
    Described(
        "front_squat",
        Movement(
            name="Front squat",
            standards=(
                "The bar rests on the front of the shoulders; the repetition starts standing.",
                "At the bottom the top of the thigh at the hip joint is below the top of the knee.",
                "It ends standing, knees and hips straight, the bar still on the shoulders.",
            ),
            faults=(DEPTH, STANDING, fault("shoulders", "Bar off the shoulders", "shoulders"), DROPPED),
            cautions=(COLLARS, SPOTTED),
            fastest_ms=500,
            heaviest=kg(350),
        ),
        like=("goblet squat",),
        lift_faults=(TOUCHED, BELL),
    ),
    Described(
        "overhead_squat",
        Movement(
            name="Overhead squat",
            standards=(
                "The bar stays over the head on locked arms the whole way.",
                "At the bottom the top of the thigh at the hip joint is below the top of the knee.",
                "It ends standing, knees and hips straight, the bar over the feet.",
            ),
            faults=(DEPTH, LOCKOUT, STANDING),
            cautions=(COLLARS, BAIL_OUT, DROPPING),
            fastest_ms=600,
            heaviest=kg(250),
        ),
        lift_faults=(DROPPED, BELL),
    ),
    Described(
        "squat_press",
        Movement(
            name="Squat presses",
            standards=(
                "The load starts on the front of the shoulders.",
                "At the bottom of the squat the top of the thigh at the hip joint is below the top of the knee.",
                "It goes overhead in one movement out of the squat.",
                "It ends with knees, hips and arms straight and the load over the feet.",
            ),
            faults=(DEPTH, LOCKOUT, STANDING, fault("stopped", "Stopped on the shoulders", "one movement")),
            cautions=(COLLARS, BAIL_OUT, DROPPING),
            fastest_ms=600,
            heaviest=kg(210),
        ),
        called=("thruster", "squat to press", "front squat to press"),
        like=("dumbbell squat press",),
        lift_faults=(DROPPED, BELL),
    ),
)

PULLS = (
    Described(
        "deadlift",
        Movement(
            name="Deadlift",
            standards=(
                "Starts with the bar still on the floor.",
                "The bar goes up without coming down on the way.",
                "It ends standing, knees and hips straight, shoulders behind the bar.",
                "The bar is lowered with both hands on it.",
            ),
            faults=(
                fault("lockout", "Knees or hips not straight", "stand up"),
                fault("shoulders", "Shoulders not back", "shoulders"),
                fault("bounced", "Bounced off the floor", "bounce"),
                fault("hitched", "Bar rested on the thighs", "hitch"),
            ),
            cautions=(COLLARS, "Feet out from under the plates; a flat, dry floor."),
            fastest_ms=500,
            heaviest=kg(520),
        ),
        like=("sumo deadlift", "trap bar deadlift"),
        lift_faults=(fault("down", "Bar went down on the way", "down"), DROPPED, BELL),
    ),
    Described(
        "clean",
        Movement(
            name="Clean",
            standards=(
                "Starts with the bar on the floor.",
                "The bar goes to the shoulders in one movement.",
                "It ends standing, knees and hips straight, elbows in front of the bar.",
            ),
            faults=(
                STANDING,
                fault("elbows", "Elbows not in front", "elbows"),
                fault("floor", "Did not start from the floor", "floor"),
            ),
            cautions=(COLLARS, BAIL_OUT, DROPPING),
            fastest_ms=600,
            heaviest=kg(280),
        ),
        like=("power clean", "squat clean", "hang clean", "hang power clean"),
        lift_faults=(ELBOW, BELL),
    ),
    Described(
        "snatch",
        Movement(
            name="Snatch",
            standards=(
                "Starts with the bar on the floor.",
                "The bar goes overhead in one movement, without a press at the end.",
                "It ends standing still, knees, hips and arms straight, the bar over the feet.",
            ),
            faults=(
                fault("press", "Pressed out", "press out"),
                STANDING,
                LOCKOUT,
                fault("floor", "Did not start from the floor", "floor"),
            ),
            cautions=(COLLARS, BAIL_OUT, DROPPING),
            fastest_ms=700,
            heaviest=kg(230),
        ),
        like=("power snatch", "squat snatch", "hang snatch", "hang power snatch"),
        lift_faults=(FEET, BELL),
    ),
    Described(
        "clean_and_jerk",
        Movement(
            name="Clean and jerk",
            standards=(
                "Starts with the bar on the floor; it goes to the shoulders, the lifter stands up, then it goes overhead.",
                "Overhead the arms lock in one movement, without a press at the end.",
                "It ends standing still, feet in line, knees, hips and arms straight.",
            ),
            faults=(
                fault("press", "Pressed out", "press out"),
                LOCKOUT,
                fault("feet", "Feet not in line", "feet"),
                fault("recovered", "Did not stand up between", "stand up"),
            ),
            cautions=(COLLARS, BAIL_OUT, DROPPING),
            fastest_ms=900,
            heaviest=kg(280),
        ),
        called=("c&j", "clean & jerk"),
        like=("ground to overhead", "clean and press"),
        lift_faults=(ELBOW, BELL),
    ),
    Described(
        "dumbbell_snatch",
        Movement(
            name="Dumbbell snatches",
            standards=(
                "Starts with the dumbbell on the floor.",
                "It goes overhead in one movement with one hand.",
                "It ends standing, knees, hips and the arm straight.",
                "The hand changes as the brief says.",
            ),
            faults=(
                LOCKOUT,
                STANDING,
                fault("floor", "Did not touch the floor", "floor"),
                fault("hand", "Hand not changed", "change hands"),
            ),
            cautions=("Nobody within reach of the dumbbell.", "Put it down; a dropped dumbbell rolls and bounces."),
            fastest_ms=600,
            heaviest=kg(150),
        ),
        called=("db snatch",),
        like=("kettlebell snatch",),
        lift_faults=(BELL,),
    ),
    Described(
        "kettlebell_swing",
        Movement(
            name="Kettlebell swings",
            standards=(
                "The bell passes between the legs.",
                "It ends at the height that the brief says, arms straight.",
                "At the top knees and hips are straight.",
            ),
            faults=(
                fault("height", "Not high enough", "height"),
                fault("hips", "Hips not straight", "hips"),
                fault("arms", "Arms bent at the top", "arms"),
            ),
            cautions=("A clear space before and behind the lane.", "Dry hands and a dry handle; nobody stands in the line."),
            fastest_ms=600,
            heaviest=kg(110),
        ),
        called=("swing", "kb swing", "swing of a kettlebell"),
        like=("one-arm swing",),
        lift_faults=(BELL,),
    ),
)

PRESSES = (
    Described(
        "overhead_press",
        Movement(
            name="Overhead press",
            standards=(
                "The load starts on the front of the shoulders, knees straight.",
                "It goes overhead by the arms alone; knees and feet do not help.",
                "It ends with knees, hips and arms straight and the load over the feet.",
            ),
            faults=(
                LOCKOUT,
                fault("knees", "Knees helped", "knees"),
                fault("shoulders", "Did not start on the shoulders", "shoulders"),
            ),
            cautions=(COLLARS, BAIL_OUT, DROPPING),
            fastest_ms=400,
            heaviest=kg(240),
        ),
        called=("press", "press overhead", "strict press", "shoulder press"),
        like=("dumbbell press",),
        lift_faults=(fault("down", "Bar went down on the way", "down"), BELL),
    ),
    Described(
        "jerk",
        Movement(
            name="Jerk",
            standards=(
                "The load starts on the front of the shoulders.",
                "It goes overhead, the legs may help.",
                "It ends standing, feet in line, knees, hips and arms straight.",
            ),
            faults=(LOCKOUT, fault("feet", "Feet not in line", "feet"), STANDING),
            cautions=(COLLARS, BAIL_OUT, DROPPING),
            fastest_ms=500,
            heaviest=kg(280),
        ),
        like=("push press", "push jerk", "split jerk", "shoulder to overhead"),
        lift_faults=(fault("press", "Pressed out", "press out"), BELL),
    ),
    Described(
        "bench_press",
        Movement(
            name="Bench press",
            standards=(
                "Head, shoulders and seat stay on the bench, feet on the floor.",
                "The bar touches the chest.",
                "It ends with both arms locked.",
            ),
            faults=(
                LOCKOUT,
                fault("chest", "Did not touch the chest", "chest"),
                fault("seat", "Seat off the bench", "seat"),
                fault("feet", "Feet off the floor", "feet"),
            ),
            cautions=(COLLARS, "Safety arms set at chest height or two spotters ready; thumbs around the bar."),
            fastest_ms=400,
            heaviest=kg(360),
        ),
        like=("floor press", "close-grip bench press"),
        lift_faults=(fault("down", "Bar went down on the way", "down"), TOUCHED, BELL),
    ),
)

BARS: tuple[Described, ...] = SQUATS + PULLS + PRESSES
