"""What is said in more than one place, or of a number, is said from the catalogue: by Python, Jinja and the tablets alike."""

import ast
import functools
import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest

from app.rules.values.words import NAME, Word
from app.web.assets import offline_paths, served_bytes
from app.wording import catalogue, languages
from tests.test_house import STATIC, TEMPLATES, modules, scripts, told, tree, without_comments
from tests.words.readable import all_texts
from tests.words.said import all_keys

WORDS = catalogue().words
SPEAKS_IN_SCRIPTS = re.compile(r'import \{[^}]*\bsay\b[^}]*\} from "[^"]*words/say\.js"')
SPEAKS = "from app.rules.values.words import"
HOLE = re.compile(r"\{(\w+)\}")

# An if on the number one that chooses between two texts and yet is no plural.
NO_PLURAL = {
    "app/floor/keying.py": "keyed in once, or twice and not alike: two states",
    "app/rules/workout/advice.py": "the one athlete of an entry, or a member by letter",
    "static/js/rules/plates.js": "a unit named behind all plates where all have one",
}


@dataclass(frozen=True)
class Said:
    """One place that says a word: `keys` is a pattern where its name is put together there; the holes it fills, if known."""

    where: str
    keys: str
    holes: frozenset[str]

    @property
    def words(self) -> list[str]:
        """The words of the catalogue that it may say."""
        return [key for key in WORDS if re.fullmatch(self.keys, key)]


@functools.cache
def said_in_python() -> tuple[Said, ...]:
    return tuple(_said_in_python())


def _said_in_python() -> Iterator[Said]:
    for path in modules():
        if SPEAKS not in path.read_text(encoding="utf-8"):
            continue
        for node in ast.walk(tree(path)):
            if isinstance(node, ast.Call) and getattr(node.func, "id", "") == "say":
                holes = frozenset(str(given.arg) for given in node.keywords)
                for keys in key_patterns(node.args[0]):
                    yield Said(f"{told(path)}:{node.lineno}", keys, holes)


def key_patterns(key: ast.expr) -> Iterator[str]:
    """The name of a word as it stands in a call: a text, one put together, one of two; a variable's name is anybody's."""
    if isinstance(key, ast.IfExp):
        yield from key_patterns(key.body)
        yield from key_patterns(key.orelse)
    elif isinstance(key, ast.Constant):
        yield re.escape(str(key.value))
    elif isinstance(key, ast.JoinedStr):
        yield "".join(re.escape(str(part.value)) if isinstance(part, ast.Constant) else r"[\w-]+" for part in key.values)


def said_in_templates() -> Iterator[Said]:
    for path in sorted(TEMPLATES.rglob("*.html")):
        for key, holes in re.findall(r'\bsay\("([\w.]+)"((?:, \w+=[^,{}]+?)*)\)', path.read_text(encoding="utf-8")):
            yield Said(told(path), re.escape(key), frozenset(re.findall(r"(\w+)=", holes)))


def said_in_scripts() -> Iterator[Said]:
    for path in scripts():
        text = without_comments(path.read_text(encoding="utf-8"))
        if path.parent.name == "words" or not SPEAKS_IN_SCRIPTS.search(text):
            continue
        for found in re.finditer(r'(?<=[(\s])"([a-z_]+(?:\.[a-z_-]+)*)"(?=[\s,):])', text):
            if found[1] in WORDS:
                yield Said(told(path), re.escape(found[1]), frozenset())


def all_said() -> list[Said]:
    return [*said_in_python(), *said_in_templates(), *said_in_scripts()]


def holes_of(key: str) -> set[str]:
    """What a word needs: its holes, and `n` where it has forms."""
    word = WORDS[key]
    if isinstance(word, str):
        return set(HOLE.findall(word))
    return {"n", *HOLE.findall(" ".join(word.values()))}


def test_what_is_said_is_a_sentence_or_a_row_and_fills_the_holes_it_has() -> None:
    said = all_keys()
    assert [one for one in said if one.key not in WORDS and NAME.fullmatch(one.key)] == []
    needed = {one.key: holes_of(one.key) if one.key in WORDS else set(HOLE.findall(one.key)) for one in said}
    assert [one for one in said if one.holes is not None and one.holes != needed[one.key]] == []
    assert len(said) > 600


def test_the_catalogue_holds_what_is_said_twice_or_of_a_number_and_nothing_else() -> None:
    named = "\n".join(path.read_text(encoding="utf-8") for path in modules())
    times = Counter(key for one in all_said() for key in one.words)
    unsaid = [key for key in WORDS if not times[key] and f'"{key}"' not in named]
    rows = {key for one in all_said() if len(one.words) > 1 for key in one.words}  # a name for each of several states
    once = [key for key, word in WORDS.items() if isinstance(word, str) and times[key] < 2 and key not in rows]
    assert (unsaid, once) == ([], [])


def test_each_word_of_a_number_has_the_forms_of_its_language() -> None:
    forms = {row["form"] for row in catalogue().plural} | {"other"}
    counted = {key: set(word) for key, word in WORDS.items() if not isinstance(word, str)}
    assert {key: own for key, own in counted.items() if not {"one", "other"} <= own <= forms} == {}
    assert len(counted) > 40


# --- No plural beside the catalogue, no clock beside its one place -----------------------------------------------------


def is_text(node: ast.expr) -> bool:
    return isinstance(node, ast.JoinedStr) or (isinstance(node, ast.Constant) and isinstance(node.value, str))


COMPARED_WITH_ONE = re.compile(r"[=!]=[\s(]*1\b")  # without which nothing needs to be parsed


def plural_ifs(path: Path) -> int:
    """How many ifs of a file choose between two texts by whether a number is one."""
    text = path.read_text(encoding="utf-8")
    if not COMPARED_WITH_ONE.search(text):
        return 0
    if path.suffix == ".html":
        return len(re.findall(r"""["'] if [^{}"']*?[=!]= 1 else ["']""", text))
    if path.suffix == ".js":
        return len(re.findall(r"""[=!]== 1 \? ["'`]""", without_comments(text)))
    ifs = [node for node in ast.walk(ast.parse(text)) if isinstance(node, ast.IfExp) and isinstance(node.test, ast.Compare)]
    asked = [node for node in ifs if ast.unparse(node.test).endswith((" == 1", " != 1")) and is_text(node.body)]
    # A text or nothing is a factor that is left out when it is one.
    return sum(is_text(node.orelse) and (ast.unparse(node.orelse) != "''" or "'s'" in ast.unparse(node)) for node in asked)


def test_no_plural_is_made_beside_the_catalogue() -> None:
    files = [*modules(), *sorted(TEMPLATES.rglob("*.html")), *scripts()]
    assert {told(path): 1 for path in files if plural_ifs(path)} == dict.fromkeys(NO_PLURAL, 1)


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("a.py", "f\"{n} mark{'' if n == 1 else 's'}\""),
        ("a.py", "'1 mark' if len(found) == 1 else f'{len(found)} marks'"),
        ("a.html", """{{ "this heat" if heats | length == 1 else "these" }}"""),
        ("a.js", 'const a = `${n} ${n === 1 ? "mark" : "marks"}`;'),
    ],
)
def test_the_search_for_plurals_finds(tmp_path: Path, name: str, text: str) -> None:
    (tmp_path / name).write_text(text, encoding="utf-8")
    assert plural_ifs(tmp_path / name) == 1


# A number before several things that has no form for one, by its file: where it is never one, or no number at all.
NEVER_ONE = {
    **dict.fromkeys(
        ("app/doors/letting_in.py", "app/doors/pairing.py", "templates/doors/invitation.html", "templates/demo/round.html"),
        "minutes that the house has set",
    ),
    **dict.fromkeys(
        (
            *("app/compose/event_reading.py", "app/people/bulk.py", "app/people/entry_rows.py", "app/people/judges.py"),
            *("app/plan/cutting.py", "app/plan/start_list.py", "app/results/point_table.py", "app/hall/forms.py"),
            *("app/rules/workout/written_work.py", "app/rules/day/plan_check.py", "app/floor/attention.py", "app/files.py"),
        ),
        "more than a bound that is more than one",
    ),
    **dict.fromkeys(
        (
            *("app/compose/event_plain.py", "app/rules/workout/points.py", "app/floor/training.py", "app/plan/beginning.py"),
            *("app/publishing.py", "app/round_heads.py", "static/js/parts/lifting/lights.js"),
            *("app/rules/round/doubting.py", "app/rules/round/told.py", "app/rehearsal/drill.py", "app/rehearsal/rehearse.py"),
            *("app/planning/causes.py", "app/plan/plan_views.py"),
        ),
        "several by what it is: three judges, the files of a folder, the marks of a whole rehearsal",
    ),
    **dict.fromkeys(
        (
            *("templates/compose/variants.html", "templates/people/openers.html", "app/floor/calls.py", "app/floor/totals.py"),
            *(
                "app/rules/day/late_change.py",
                "app/rules/records/roster.py",
                "app/rules/workout/formats.py",
                "app/web/setup_parts.py",
            ),
        ),
        "a name, and what it does",
    ),
}


@functools.cache
def counted_things() -> set[str]:
    """What the catalogue has several forms of: marks, entries, no-reps."""
    found = set()
    for word in WORDS.values():
        if not isinstance(word, str):
            one, other = (re.search(r"\{(?:n|shown)\} ([a-z-]+)", word[form]) for form in ("one", "other"))
            found |= {other[1]} if one and other and one[1] != other[1] and other[1] not in ("are", "stay") else set()
    return found


def number_before_several(text: str) -> bool:
    """Whether a text has a hole before several things; not one that holds a bound of the house, in capitals."""
    several = counted_things() | {"points", "places", "characters", "people"}
    found = re.findall(r"\{([^{}]*)\}(?= (?:[a-z]+ )?([a-z-]+))(?= ([a-z-]+))", text)
    return any({last, first} & several and not re.fullmatch("[A-Z_0-9]+", hole) for hole, last, first in found)


def test_no_number_stands_before_several_things_where_it_may_be_one() -> None:
    beside = [one for one in all_texts() if one.page != "words" and not one.path.startswith("app/rules/reading/")]
    assert {one.path for one in beside if number_before_several(one.text)} == NEVER_ONE.keys()
    assert {"marks", "reps", "entries", "windows", "minutes", "points"} <= counted_things() | {"points"}
    assert [number_before_several(text) for text in ("{n} marks", "{n} good reps", "{MOST} marks", "{n} mark")] == [
        *(True, True, False, False),
    ]


# --- One apostrophe: the one that people type, search and quote ----------------------------------------------------------

APOSTROPHE = re.compile("(?<=[^\\W\\d_])’(?=[^\\W\\d_])|(?<=s)’(?= )|(?<=[}\\d])’(?=s)")


def test_what_people_read_has_one_apostrophe() -> None:
    read = [(one.path, one.line, one.text) for one in all_texts()]
    read += [
        (language, 0, text) for language in languages() for word in catalogue(language).words.values() for text in forms(word)
    ]
    assert [one for one in read if APOSTROPHE.search(one[2])] == []
    assert sum("'" in text for _, _, text in read) > 500
    typed = ("can’t", "judges’ notes", "{name}’s", "Gym 7’s", "Don't", "9’ 58”", "‘so’ it")
    assert [bool(APOSTROPHE.search(text)) for text in typed] == [True, True, True, True, False, False, False]


def forms(word: Word) -> list[str]:
    return [word] if isinstance(word, str) else list(word.values())


CLOCK_IN_PYTHON = re.compile(r"\{[^{}\n]*60[^{}\n]*\}:\{[^{}\n]*:02d?\}|\}:\{\w+:02d?\}")
CLOCK_IN_SCRIPTS = re.compile(r'padStart\(2, "0"\)')
TIMES_OF_DAY = {"app/rules/records/judges.py", "static/js/parts/timing.js"}  # HH:MM is no time on a clock of a heat


def test_a_time_on_the_clock_is_written_in_one_place_of_each_language() -> None:
    python = {told(path) for path in modules() if CLOCK_IN_PYTHON.search(path.read_text(encoding="utf-8"))}
    javascript = {told(path) for path in scripts() if CLOCK_IN_SCRIPTS.search(path.read_text(encoding="utf-8"))}
    assert python - TIMES_OF_DAY == {"app/rules/values/clock_times.py"}
    # Bytes of an id are two digits each.
    assert javascript - TIMES_OF_DAY == {"static/js/device/ids.js", "static/js/words/clock_times.js"}


def test_the_lane_has_the_words_with_the_desk_dead() -> None:
    offline = offline_paths(STATIC)
    lane = served_bytes(STATIC / "js/screens/floor/lane.js").decode()
    words = {path.relative_to(STATIC).as_posix() for path in scripts("words")}
    assert "js/screens/floor/lane.js" in offline
    assert words and {name for name in words if name not in offline and f"// {name}\n" not in lane} == set()
