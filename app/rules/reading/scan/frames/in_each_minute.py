"""What a sentence says of every minute that was told before it: that all lines are done in each, `both inside the minute`; that
what a minute leaves is rest, `the other 20 seconds of every minute are for the change`."""

from collections.abc import Mapping, Sequence

from app.rules.reading.drafts import Stretch
from app.rules.reading.scan.frames.parts import begins_at, ends_at, parts_of
from app.rules.reading.scan.pieces import Tok

TOGETHER: Mapping[str, str] = {
    **dict.fromkeys(("both", "all", "everything"), "all"),
    **dict.fromkeys(("inside", "within", "in"), "in"),
    **dict.fromkeys(("minute", "min", "window", "interval"), "minute"),
    **dict.fromkeys(
        (
            "the",
            "each",
            "every",
            "same",
            "one",
            "a",
            "of",
            "them",
            "it",
            "lines",
            "things",
            "movements",
            "exercises",
            "are",
            "is",
            "done",
            "go",
            "must",
            "be",
            "have",
            "to",
            "you",
            "do",
        ),
        "",
    ),
}
CHANGE: Mapping[str, str] = {
    **dict.fromkeys(("other", "remaining"), "other"),
    **dict.fromkeys(("minute", "min", "window", "interval"), "minute"),
    **dict.fromkeys(
        ("change", "changing", "changeover", "rest", "recover", "move", "switch", "breathe", "transition", "walk"), "rest"
    ),
    **dict.fromkeys(("the", "of", "each", "every", "are", "is", "for", "to", "over", "you", "and", "a", "in", "use", "we"), ""),
}


def together(text: str, toks: Sequence[Tok], here: Stretch) -> int:
    """How many of these words say that all lines are done in each window, which come every so often; 0 if none do."""
    labelled = any(group.label is not None for group in here.groups)
    if here.kind != "every" or len(here.works) < 2 or labelled or here.one_by_one or not toks:
        return 0
    ends = next((at for at, tok in enumerate(toks) if tok.kind in ("DASH", "COMMA", "T_MISS")), len(toks))
    if not ends or any(tok.values for tok in toks[:ends]):
        return 0
    last = toks[ends].start if ends < len(toks) else ends_at(text, toks)
    parts = parts_of(text, (begins_at(text, toks), last), (), TOGETHER, {}, ())
    said = [part.kind for part in parts or ()]
    both = "both" not in text[toks[0].start : last].casefold() or len(here.works) == 2
    return ends if said == ["all", "in", "minute"] and both else 0


def rest_of_each(text: str, toks: Sequence[Tok], here: Stretch) -> bool:
    """Whether a sentence says only that what each minute leaves is rest, and how long that is."""
    longs = {work.long for work in here.works if not work.rest}
    times = [tok for tok in toks if tok.kind == "DUR"]
    long = longs.pop() if len(longs) == 1 else None
    if here.kind != "every" or long is None or len(times) != 1 or times[0].values != (str((here.seconds or 60) - long),):
        return False
    parts = parts_of(text, (begins_at(text, toks), ends_at(text, toks)), times, CHANGE, {}, ("DUR",))
    return [part.kind for part in parts or ()] == ["other", "DUR", "minute", "rest"]
