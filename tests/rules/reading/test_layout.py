"""How a text lies on its page: tables, broken words, stamps of a film, numbers in words."""

import pytest

from app.rules.reading.reader import understand
from app.rules.reading.scan.spoken_numbers import number_in_words
from app.rules.reading.scan.words import words_of_language
from app.rules.workout.formats import Format
from tests.rules.reading.plainly import same, windows_of


def _format(text: str) -> Format:
    read = understand(text)
    assert read.whole and read.format is not None, (read.not_understood, read.questions)
    return read.format


def test_a_table_is_read_by_its_headings() -> None:
    table = "AMRAP 10\nMovement\tReps\tLoad\nDeadlift\t8\t100 kg\nBurpee\t10\t"
    assert windows_of(_format(table)) == windows_of(_format("AMRAP 10\n8 deadlifts 100 kg\n10 burpees"))


def test_columns_of_men_and_women_are_two_versions() -> None:
    made = _format("AMRAP 10\nMovement\tReps\tMen\tWomen\nDeadlift\t8\t100 kg\t70 kg\nScore\ttotal reps")
    assert [one.name for one in made.variants] == ["Women"]


@pytest.mark.parametrize("row", ["Deadlift\tzorbly\t100 kg", "Deadlift\t8\tzorbly", "Deadlift\t8\t100 kg\t37"])
def test_a_row_that_does_not_fit_its_headings_is_never_passed_over(row: str) -> None:
    assert not understand(f"AMRAP 10\nMovement\tReps\tLoad\n{row}\nBurpee\t10\t").whole


def test_words_and_brackets_that_were_broken_over_lines_are_one() -> None:
    broken = "For time, 5 rounds of:\n12 kettle-\nbell swings (24\nkg)\n9 burpee pull-\nups\n200 m\nrun\nTime cap: 16\nminutes"
    whole = "For time, 5 rounds of:\n12 kettlebell swings (24 kg)\n9 burpee pull-ups\n200 m run\nTime cap: 16 minutes"
    assert windows_of(_format(broken)) == windows_of(_format(whole))


def test_stamps_of_a_film_are_no_times_of_the_event() -> None:
    lines = ["it's a ten minute AMRAP", "twelve calories on the bike", "nine toes to bar", "good luck everyone"]
    stamped = "\n".join(f"[00:{place * 7:02}] {line}" for place, line in enumerate(lines))
    assert windows_of(_format(stamped)) == windows_of(_format("\n".join(lines)))


def test_times_in_brackets_that_are_windows_stay_times() -> None:
    assert not understand("[0:00] max burpees\n[2:00] max sit-ups\n[4:00] max squats").whole


@pytest.mark.parametrize(
    ("said", "value"),
    [
        ("two hundred and fifty", "250"),
        ("one hundred", "100"),
        ("a hundred", None),
        ("twenty one", "21"),
        ("one thousand two hundred", "1200"),
        ("two and a half", "2.5"),
        ("half an hour", "0.5"),
        ("a minute", "1"),
        ("half a mile", None),
    ],
)
def test_numbers_in_words(said: str, value: str | None) -> None:
    found = number_in_words(said.split(), words_of_language().numbers)
    assert (found and found[0]) == value


def test_a_load_that_is_told_once_goes_for_the_same_thing_and_is_told() -> None:
    read = understand("For time, cap 14:\n27 cal row\n27 thrusters (30 kg)\n21 cal row\n21 thrusters")
    assert read.whole and read.format is not None and any("told once" in one.words for one in read.assumed)
    (window,) = windows_of(read.format)
    assert [line.kg for line in window.lines] == [None, 30, None, 30]


def test_rounds_below_all_that_is_done_go_for_it_and_are_told() -> None:
    read = understand("For time, cap 12:\n10 burpees\n20 sit-ups\n3 rounds")
    assert read.whole and read.format is not None and any("goes for all" in one.words for one in read.assumed)
    assert windows_of(read.format) == windows_of(_format("For time, cap 12: 3 rounds of\n10 burpees\n20 sit-ups"))


def test_words_between_a_number_and_a_unit_part_them() -> None:
    read = understand("AMRAP 9: 10 burpees, between two athletes in turn")
    assert all(one.words != "a size" for one in read.numbers)


def test_a_number_with_a_point_before_a_unit_is_no_step_of_a_list() -> None:
    told = understand("AMRAP 12:\n2.1 10 power snatches, 35 kg\n2.2 10 burpees")
    plain = understand("AMRAP 12:\n10 power snatches, 35 kg\n10 burpees")
    assert told.whole and told.format == plain.format
    cells = understand("AMRAP 12\nMovement | Reps | Men | Women\nPower snatches | 7 | 40 kg | 27.5 kg\nBurpees | 11 | |")
    rows = understand("AMRAP 12\n7 power snatches, men 40 kg, women 27.5 kg\n11 burpees")
    assert cells.whole and cells.format and rows.format and windows_of(cells.format) == windows_of(rows.format)
    far = understand("For time, cap 20:\n1.2 km run\n30 burpees")
    assert far.whole and far.format
    assert same(
        far.format,
        {"windows": [{"from": "0:00", "long": "20:00", "ends": "time", "do": ["1200 m run", "30 burpees"]}], "score": "time"},
    )


def test_from_when_to_when_is_told_in_minutes_too() -> None:
    windows = "max cal row\n3 min to 5 min: max cal bike. Score: total calories."
    plain = understand("0:00-2:00 max cal row\n3:00-5:00 max cal bike. Score: total calories.")
    for told in (f"0 min to 2 min: {windows}", f"from 0 to 2 min: {windows}"):
        assert understand(told).format == plain.format and plain.whole


def test_a_load_that_is_told_again_for_the_same_thing_is_no_other() -> None:
    text = "For time, cap 16:\n30 dumbbell snatches, one 50 lb dumbbell\n20 burpees\n30 dumbbell snatches, same {} lb dumbbell"
    assert understand(text.format(50)).whole and not understand(text.format(35)).whole


def test_a_table_with_a_column_for_each_round_is_told_round_by_round() -> None:
    read = understand("For time, cap 9\n\nRound | 1 | 2\nwall balls | 4 | 8 (9 kg)\nCal row | 2 | 4\n")
    written = understand("For time, cap 9\n4 wall balls 9 kg\n2 cal row\n8 wall balls 9 kg\n4 cal row\n")
    assert read.whole and read.format == written.format


def test_an_empty_row_of_a_table_says_nothing() -> None:
    assert understand("AMRAP 9\nReps | Movement\n | \n10 | burpees").format == understand("AMRAP 9\n10 burpees").format


def test_lines_that_end_anywhere_are_read_as_one_but_a_list_of_names_and_numbers_is_not() -> None:
    read = understand("AMRAP 14\nminutes of 10\npower cleans at\n50 kg 15\npush-ups 20 air\nsquats. Score total\nreps\n")
    assert read.whole and read.format == understand("AMRAP 14: 10 power cleans 50 kg, 15 push-ups, 20 air squats").format
    listed = understand("AMRAP 9\npull-ups 10\ndips 20\nsit-ups 30\n")
    assert listed.format == understand("AMRAP 9\n10 pull-ups\n20 dips\n30 sit-ups\n").format


ROUNDS_DOWN = "Round\tClean\tLoad\tBar-facing burpees\n1\t9\t50 kg\t9\n2\t6\t60 kg\t6\nFor time, cap 12"


def test_a_table_with_a_row_for_each_round_is_a_list() -> None:
    read = understand(ROUNDS_DOWN)
    told = understand("For time, cap 12\n9 cleans 50 kg\n9 bar-facing burpees\n6 cleans 60 kg\n6 bar-facing burpees")
    assert read.whole and read.format and told.format and read.format.tasks == told.format.tasks


@pytest.mark.parametrize(
    ("was", "is_"),
    [("2\t6\t60", "3\t6\t60"), ("60 kg\t6", "60 kg\t"), ("9\t50 kg", "9\t50 kg each"), ("60 kg\t6", "60 kg\t6\ttwice")],
)
def test_a_table_of_rounds_that_does_not_fit_is_none_in_silence(was: str, is_: str) -> None:
    assert was in ROUNDS_DOWN and not understand(ROUNDS_DOWN.replace(was, is_, 1)).whole


def test_cells_of_two_versions_may_hold_how_many_and_with_what() -> None:
    rows = [
        "Movement | Men | Women",
        "Thrusters | 20 @ 50 kg | 20 @ 35 kg",
        "Box jumps | 12, 60 cm | 12, 50 cm",
        "Burpees | 9 | 9",
    ]
    table = "\n".join([*rows, "AMRAP 10"])
    read = understand(table)
    told = understand("AMRAP 10\n20 thrusters 50/35 kg (men/women)\n12 box jumps 60/50 cm (men/women)\n9 burpees")
    assert read.whole and read.format and told.format and read.format.variants == told.format.variants
    for other in (table.replace("20 @ 35", "15 @ 35"), table.replace("9 | 9", "9 | 7")):
        assert not understand(other).whole


def test_a_bare_number_behind_what_is_loaded_is_a_load_whose_unit_is_asked() -> None:
    assert [one.typed or one.id.split("-")[0] for one in understand("AMRAP 9\n12 kb swings 24\n10 burpees").questions] == ["unit"]
    assert not understand("AMRAP 9\n12 kb swings 2\n10 burpees").whole and not understand("AMRAP 9\n12 burpees 24").whole


def test_messages_of_one_day_are_read_without_their_hour_and_who_sent_them() -> None:
    assert understand("[09:14] Tess: AMRAP 9\n[09:15] Tess: 12 burpees\n[09:15] Ravi Mo: 9 pull-ups").whole


SPOKEN = (
    "right so number two is as many rounds as possible in fifteen minutes and a round is eight burpees then twelve goblet squats "
    "with a sixteen kilo kettlebell and then twenty sit ups and then you start again with the burpees your judge has got a sheet "
    "and when the horn goes you tell him where you are and everybody's got the same kettlebell"
)


def test_what_was_spoken_without_a_stop_is_parted_where_a_clause_surely_begins() -> None:
    read = understand(SPOKEN)
    written = understand(
        "As many rounds as possible in 15 minutes: 8 burpees, 12 goblet squats with a 16 kg kettlebell, 20 sit-ups"
    )
    assert read.whole and read.text == SPOKEN and read.format and written.format
    assert windows_of(read.format) == windows_of(written.format)


@pytest.mark.parametrize(
    "said",
    [
        "and then you do half of it with the left hand",
        "and when the horn goes you change your machine",
        "and everybody's got the same kettlebell but the girls",
        "and after every round you rest a bit",
        "and we count only the full rounds",
        "and your judge takes a rep off when you talk",
        "and if you drop it you start the round again",
        "it's ten minutes for the kids",
    ],
)
def test_a_clause_more_of_what_was_spoken_stays_open_where_it_changes_the_event(said: str) -> None:
    assert not understand(f"{SPOKEN} {said}").whole


@pytest.mark.parametrize("how", ["then you come back in, and that's", "then back you come, and there are"])
def test_work_behind_what_somebody_says_in_a_round_is_asked_about(how: str) -> None:
    read = understand(f"For time, cap 15. Four rounds of 400 m run, {how} 19 kettlebell swings at 24 kilos.")
    assert [one.id.partition("-")[0] for one in read.questions] == ["then"]
