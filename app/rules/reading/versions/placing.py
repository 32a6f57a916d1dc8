"""Loads that stand apart from what is done with them (`Rx: 43/30 kg` on a line of its own), and whose two numbers are."""

import re
from collections.abc import Iterable, Sequence
from fractions import Fraction

from app.rules.reading.drafts import Amount, Draft, Loaded, Work
from app.rules.reading.talk import Span, Talk
from app.rules.reading.versions.loaded_work import done_with, is_as_high, loadable, with_what
from app.rules.reading.versions.paired import pair_up
from app.rules.reading.versions.several import AS_WRITTEN, BASE, from_lines
from app.rules.workout.movements import library, lookup

WHOSE = {
    "men-women": ("Men", "Women"),
    "women-men": ("Women", "Men"),
    "rx-scaled": ("Rx", "Scaled"),
}
FIRST_ONLY, BOTH, HEADED, AGAIN = "first", "both", "headed", "again"
PIECES = re.compile(r"\w+|[^\w\s]")


def says_mixed(text: str, phrases: Iterable[str]) -> bool:
    """Whether a text says that men and women make an entry together."""
    flat = f" {' '.join(PIECES.findall(text.casefold()))} "
    return any(f" {phrase} " in flat for phrase in phrases)


def one_entry_has_both(draft: Draft, talk: Talk) -> None:
    """In a mixed pair or team two numbers are a man's and a woman's of one entry, and no two divisions': told where it is said
    so, asked where it is not said whose they are."""
    several = [one for one in _numbers(draft) if 2 <= len(one[0]) <= draft.versions]
    if not several or (draft.members or 1) == 1 or draft.nth is not None:
        return
    said = {whose for _, _, whose in several if whose}
    if draft.mixed and said == {("women", "men")}:
        draft.of_both = ("women", "men")
    elif (draft.mixed and said == {("men", "women")}) or (not said and _asked_whose(draft, talk, several) == BOTH):
        draft.of_both = ("men", "women")
    if draft.of_both and said:
        talk.assume("An entry is mixed: of two numbers one is the men's in it, the other the women's.", several[0][1])


def place_loose(draft: Draft, talk: Talk) -> None:
    """Gives every load that stands apart to what it can be for; where that is not clear, it is asked."""
    for work in (work for stretch in draft.stretches for work in stretch.works if work.load and work.load.gear):
        _with_its_gear(work, talk)
    pair_up(draft, talk)
    _from_versions(draft, talk)
    from_lines(draft, talk)
    _place_heights(draft, talk)
    for _, load in draft.loose:
        bare = [
            work
            for stretch in draft.stretches
            for work in stretch.works
            if work.load is None and loadable(work) and stretch.kind != "lift"
        ]
        if load.gear:
            bare = [work for work in bare if done_with(work, load.gear)]
        said = talk.text[load.span.start : load.span.end]
        kinds = {load.gear or with_what(work) for work in bare}  # `the dumbbell is 22.5 kg`: for all that is done with one
        if not bare and _told_again(draft, load):
            continue
        if not bare:
            talk.red(load.span, "There is nothing that this load could be for.")
        elif not load.gear and _has_it(draft, load):
            _ask_of(bare, load, talk, [(AGAIN, "It is told once more, for what has it already")])
        elif len({work.name for work in bare}) == 1 or len(kinds) == 1:
            talk.assume(f"“{said}” is for {' and '.join(dict.fromkeys(work.name for work in bare))}.", load.span)
            _give(bare, load)
        else:
            _ask_of(bare, load, talk, [])


def _ask_of(bare: Sequence[Work], load: Loaded, talk: Talk, others: Sequence[tuple[str, str]]) -> None:
    """Asks for which of them a load is, or another answer, and gives it."""
    names = list(dict.fromkeys(work.name for work in bare))
    all_of_them = [("all", "For all of them")] if len(names) > 1 else []
    answers = [*others, *((str(place), f"For {name}") for place, name in enumerate(names)), *all_of_them]
    said = talk.text[load.span.start : load.span.end]
    told = talk.ask("loose", load.span, f"“{said}”: what is it for?", answers)
    if told != AGAIN:
        _give([work for work in bare if told == "all" or work.name == names[int(told)]], load)


def _has_it(draft: Draft, load: Loaded) -> bool:
    """Whether something is done with the very same load already: told by itself behind it, it may be told once more."""
    works = [work for stretch in draft.stretches for work in stretch.works if work.load and stretch.kind != "lift"]
    return any(work.load and (work.load.values, work.load.unit) == (load.values, load.unit) for work in works)


def _place_heights(draft: Draft, talk: Talk) -> None:
    """Gives every height that stands apart (`target 10/9 ft`, `box 50 cm`) to all that has such a one and none of its own."""
    for of, size, names, span in draft.heights:
        works = [work for stretch in draft.stretches for work in stretch.works if is_as_high(work, of)]
        bare = [work for work in works if work.size is None]
        for work in bare:
            work.size, work.versions = size, work.versions or names
        if bare:
            said = talk.text[span.start : span.end]
            talk.assume(f"“{said}” is for {' and '.join(dict.fromkeys(work.name for work in bare))}.", span)
        elif not works or any(work.size != size for work in works):
            talk.red(span, "There is nothing that this height could be for.")


def _told_again(draft: Draft, load: Loaded) -> bool:
    """Whether all that is done with such a thing has this load already: `one 50 lb dumbbell`, and below `same 50 lb dumbbell`."""
    works = [work for stretch in draft.stretches for work in stretch.works if work.load and stretch.kind != "lift"]
    with_it = [work.load for work in works if work.load and load.gear and done_with(work, load.gear)]
    return bool(with_it) and all((one.values, one.unit) == (load.values, load.unit) for one in with_it)


def _with_its_gear(work: Work, talk: Talk) -> None:
    """`Snatch with one dumbbell of 17.5 kg` is a dumbbell snatch; what is never done with that thing stands in red."""
    assert work.load is not None
    gear = work.load.gear
    if not work.known or done_with(work, gear):
        return
    found = lookup(f"{gear} {work.name}")
    if found.key is None and not loadable(work):
        return  # it may be for another thing in the line
    if found.key is None:
        talk.red(work.span, f"{work.name} with a {gear} is not known.")
        return
    work.key, work.name = found.key, library().movements[found.key].name
    talk.assume(f"“{talk.text[work.span.start : work.span.end]}” is {work.name}.", work.span)


def _from_versions(draft: Draft, talk: Talk) -> None:
    """`Men 43 kg, women 30 kg` is a load of two numbers."""
    said = draft.version_loads
    if not said:
        return
    (first, one), (second, other) = said[0], said[-1]
    span = Span(one.start, other.end)
    whose = (first.lower(), second.lower())
    if len(said) != 2 or one.unit != other.unit or len(one.values + other.values) != 2 or first == second:
        if len(said) == 1 and len(one.values) == 2:
            draft.loose.append(("", Loaded(one.values, one.unit, span)))
        else:
            talk.cannot(span, "Loads of more than two versions are set in the event, as variants.")
        return
    draft.loose.append(("", Loaded(one.values + other.values, one.unit, span, whose)))


def _give(works: list[Work], load: Loaded) -> None:
    for work in works:
        work.load = load
        if load.size is not None and work.size is None:
            work.size, work.versions = load.size, work.versions or load.versions


def _numbers(draft: Draft) -> list[tuple[tuple[str, ...], Span, tuple[str, ...]]]:
    """Everything with numbers for versions, and whose they are said to be."""
    found: list[tuple[tuple[str, ...], Span, tuple[str, ...]]] = []
    if (rounds := draft.rounds_of) is not None:
        found.append((tuple(map(str, rounds.counts)), rounds.span, rounds.names))
    for stretch in draft.stretches:
        for work in [*stretch.works, *([stretch.held] if stretch.held else [])]:
            found += [(load.values, load.span, load.versions or work.versions) for load in (work.load,) if load]
            found += [
                (amount.values, work.span, work.versions) for amount in (work.amount, work.size) if isinstance(amount, Amount)
            ]
    return found


def version_names(draft: Draft, talk: Talk) -> tuple[str, ...] | None:
    """The names of the versions; None where there is one. Whose the numbers are is asked where the text does not say."""
    several = [one for one in _numbers(draft) if 2 <= len(one[0]) <= draft.versions]
    if draft.nth is not None:
        return None
    if not several or draft.of_both:
        return _of_other_work(draft)
    said = {whose for values, _, whose in several if whose and not (draft.paired and len(values) == len(draft.paired))}
    if len(said) > 1:
        talk.red(several[-1][1], "The numbers are told in two orders.")
    if draft.rounds_of and any(not whose and _in_another_order(values, draft.rounds_of.names) for values, _, whose in several):
        talk.red(several[-1][1], "Whose these numbers are is not said.")
    if said:
        return tuple(name[:1].upper() + name[1:] for name in next(iter(said)))
    told = _asked_whose(draft, talk, several)
    return draft.headed if told == HEADED else WHOSE.get(told)


def _in_another_order(values: tuple[str, ...], names: tuple[str, ...]) -> bool:
    """`Women: 4 rounds, men: 5 rounds`, and below it `43/30 kg`: men's numbers stand first, and are the greater ones."""
    return bool(names) and (names != ("men", "women") or Fraction(values[0]) < Fraction(values[-1]))


def _asked_whose(draft: Draft, talk: Talk, several: Sequence[tuple[tuple[str, ...], Span, tuple[str, ...]]]) -> str:
    span = several[0][1]
    text = talk.text[span.start : span.end]
    answers = [
        ("men-women", "Men, then women"),
        ("rx-scaled", "As written, then scaled"),
        ("women-men", "Women, then men"),
        (FIRST_ONLY, "Only the first number counts"),
    ]
    if (draft.members or 1) > 1:
        answers.insert(0 if draft.mixed else 1, (BOTH, "The men's, then the women's of one mixed entry"))
    if draft.headed:
        answers.insert(0, (HEADED, ", then ".join(draft.headed)))
    told = next((said for id, said in talk.given.items() if id.startswith("versions-")), "")
    if told in {value for value, _ in answers} and talk.id("versions", span) not in talk.given:
        return told  # of another version's numbers: they stand in one order
    return talk.ask("versions", span, f"Two numbers stand in “{text}”. Whose are they?", answers)


def _of_other_work(draft: Draft) -> tuple[str, ...] | None:
    """The names of versions that do something else, and have no numbers of their own."""
    versions = tuple(dict.fromkeys(one.version for one in draft.instead))
    return (BASE.get(versions[0], AS_WRITTEN) if len(versions) == 1 else AS_WRITTEN, *versions) if versions else None
