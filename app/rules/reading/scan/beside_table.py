"""What the table of a language says of talk: which of its words make talk, and which could change an event."""

from app.rules.values.shapes import Base


class BesideTable(Base):
    """The table. `speaks` make a sentence; `bears` may change the event; `standards` and `advice` tell of a movement without
    saying that it is done. Among `standards` words `of_a_rep` and `of_standards` bear on nothing; behind `conditions` a movement
    may be owed; `guards` beside a count say when a repetition is one. A number `before` or `behind` which such a word stands is a
    page, a price; `one` before `after_one` counts nothing; behind one of `hours`, in a sentence with one of `clocks`, a number is
    an hour, of which there are `parts_of_an_hour`. `ifs` begin a clause that goes with another; `choices` leave open what is
    done; `groups` bear on it beside one of `doing`; `orders` before a word that nobody knows say what is done; of `scored` a
    score may be; `tips` head advice; not to be `advised` `to_extremes` is some. `reasons` begin a clause in which `of_reasons`
    bear on nothing; `idioms` are whole, whatever
    their words mean; `openers` begin talk behind something else; `harmless` are words that carry nothing in talk, by the kind
    that they have elsewhere; `greets` make a greeting or a farewell.

    A sentence with a word of `function` or of those that `speaks` is set aside where it has none of `bears` or `changes`; of
    what `staff` do (`staff_does`) those `handled` change nothing, and `of_writing` where one of them `writes`. `gear`
    beside `using` is how work is done (`put the pink one on`), but where it is `tidied`; so is `gear` that is `denied`.
    What begins with a word of `house` is about the house, where
    words `of_house` change nothing; with a word `of_heats` a sentence may be about the day, with
    `heat_hours` beside; what is `brought` is no work; what `ends_letters` stands alone in
    the last lines; `fillers` mean nothing in the middle of a sentence of
    work, `limits` may. What `hinges` on something, or on one of the `signals`, may change an event, but in a sentence that
    `begs`; a standard with one of the `outcomes` at its end is none, and phrases `of_bodies` bear on nothing there; what
    `refers` to something else says something. A question that begins with one of `asks` says nothing; `heads` alone in a line
    say what stands below; what `takes_back` what was said stands between it and what is meant."""

    speaks: tuple[str, ...]
    bears: tuple[str, ...]
    standards: tuple[str, ...]
    advice: tuple[str, ...]
    of_a_rep: tuple[str, ...]
    of_standards: tuple[str, ...]
    conditions: tuple[str, ...]
    guards: tuple[str, ...]
    before: tuple[str, ...]
    behind: tuple[str, ...]
    after_one: tuple[str, ...]
    hours: tuple[str, ...]
    clocks: tuple[str, ...]
    parts_of_an_hour: tuple[str, ...]
    groups: tuple[str, ...]
    doing: tuple[str, ...]
    scored: tuple[str, ...]
    orders: tuple[str, ...]
    advised: tuple[str, ...]
    to_extremes: tuple[str, ...]
    tips: tuple[str, ...]
    ifs: tuple[str, ...]
    choices: tuple[str, ...]
    reasons: tuple[str, ...]
    of_reasons: tuple[str, ...]
    idioms: tuple[str, ...]
    openers: tuple[str, ...]
    harmless: dict[str, tuple[str, ...]]
    greets: tuple[str, ...]
    function: tuple[str, ...]
    changes: tuple[str, ...]
    mild: tuple[str, ...]
    of_a_day: tuple[str, ...]
    staff: tuple[str, ...]
    staff_does: tuple[str, ...]
    handled: tuple[str, ...]
    writes: tuple[str, ...]
    of_writing: tuple[str, ...]
    house: tuple[str, ...]
    of_heats: tuple[str, ...]
    ends_letters: tuple[str, ...]
    of_house: tuple[str, ...]
    gear: tuple[str, ...]
    using: tuple[str, ...]
    denied: tuple[str, ...]
    limits: tuple[str, ...]
    tidied: tuple[str, ...]
    fillers: tuple[str, ...]
    asks: tuple[str, ...]
    heads: tuple[str, ...]
    hinges: tuple[str, ...]
    signals: tuple[str, ...]
    begs: tuple[str, ...]
    outcomes: tuple[str, ...]
    of_bodies: tuple[str, ...]
    refers: tuple[str, ...]
    brought: tuple[str, ...]
    heat_hours: tuple[str, ...]
    takes_back: tuple[str, ...]
