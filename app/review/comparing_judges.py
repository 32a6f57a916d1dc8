"""One judge over many sheets: agreement with whoever judged the same, as numbers in words and as a plot."""

from dataclasses import dataclass
from fractions import Fraction
from urllib.parse import urlencode

from app.hall.hall import Hall
from app.live.projection import Place
from app.review.comparing import (
    NothingToCompare,
    assignments,
    compare_link,
    kappa_figure,
    read_kind,
    sheets_in_time,
    where_text,
)
from app.review.comparing_drawings import differences_plot, ratio_text, signed
from app.review.comparing_views import Figure, JudgeLine, JudgeMeasured, JudgeSheetLine, JudgesView, JudgeView
from app.review.judges_pictures import agreement_pictures, bias_text, limits_text, share_text
from app.rules.agree.agreement import Limits, bland_altman, cohens_kappa, intraclass
from app.rules.agree.comparing import Compared, compare, verdict_pairs
from app.rules.records.platforms import sheet_row
from app.rules.records.roster import Entry
from app.rules.records.seats import SheetKind
from app.rules.values.alphabet import by_name
from app.rules.values.units import decimal_text
from app.rules.values.words import say
from app.rules.workout.formats import CountTask
from app.rules.workout.words import window_text

FORMS = (
    ("one", "ICC(1,1)", "one count, each window counted by somebody else"),
    ("two", "ICC(2,1)", "one count, as from any judge of such a kind"),
    ("three", "ICC(3,1)", "one count, a constant difference between the two forgiven"),
    ("one_k", "ICC(1,k)", "the mean of both counts, each window counted by somebody else"),
    ("two_k", "ICC(2,k)", "the mean of both counts, as from any judges of such a kind"),
    ("three_k", "ICC(3,k)", "the mean of both counts, a constant difference forgiven"),
)


@dataclass(frozen=True, slots=True)
class _Beside:
    """A judge's sheet beside another of the same lane."""

    place: Place
    entry: Entry
    kind: SheetKind
    compared: Compared

    def counted(self) -> list[tuple[int, int, int]]:
        """Window, own count, the other's: windows of repetitions in which both counted."""
        format = self.place.format
        return [
            (window.index, window.first, window.second)
            for window in self.compared.both
            if isinstance(format.tasks[format.windows[window.index].task or ""], CountTask) and window.pairs
        ]


def judges_page(hall: Hall) -> JudgesView:
    """Every judge who was compared with anybody, those with the least agreement first."""
    made = (_measured(name, found) for name, found in _by_judge(hall).items())
    order = sorted(made, key=lambda one: (one.share, by_name(one.name)))
    return JudgesView(agreement_pictures(order), tuple(_line(one) for one in order))


def judge_page(hall: Hall, name: str) -> JudgeView:
    """One judge over many sheets. Raises NothingToCompare."""
    found = _by_judge(hall).get(name)
    if not found:
        raise NothingToCompare(f"No sheet of {name or 'such a judge'} was judged a second time yet.")
    counted = [(one, *window) for one in found for window in one.counted()]
    pairs = [(own, other) for _, _, own, other in counted]
    limits, verdicts = bland_altman(pairs), [pair for one in found for pair in verdict_pairs(one.compared)]
    names = [f"{_where(one)}, window {index + 1}: {own} and {other}" for one, index, own, other in counted]
    return JudgeView(
        name=name,
        figures=(_agreement(found), *_bias(limits), kappa_figure(cohens_kappa(verdicts), len(verdicts))),
        correlations=tuple(_correlations(pairs)),
        plot=differences_plot(limits, names) if limits else None,
        lines=tuple(_window_line(one, index, own, other) for one, index, own, other in counted),
    )


def judge_link(name: str) -> str:
    """The address of one judge's page."""
    return f"/review/compare/judges/one?{urlencode({'name': name})}"


def _by_judge(hall: Hall) -> dict[str, list[_Beside]]:
    """The compared sheets of each lane judge who has a name, in the order run."""
    found: dict[str, list[_Beside]] = {}
    for place, entry in assignments(hall):
        kinds = sheets_in_time(hall, place.assignment.id)
        if place.assignment.judge and "lane" in kinds and len(kinds) > 1:
            own = read_kind(hall, place, "lane")
            others = [kind for kind in kinds if kind != "lane"]
            beside = [_Beside(place, entry, kind, compare(place.format, own, read_kind(hall, place, kind))) for kind in others]
            found.setdefault(place.assignment.judge, []).extend(beside)
    return found


def _share(found: list[_Beside]) -> Fraction:
    seen = sum(one.compared.seen for one in found)
    return Fraction(sum(one.compared.agreed for one in found), seen) if seen else Fraction(1)


def _measured(name: str, found: list[_Beside]) -> JudgeMeasured:
    limits = bland_altman([(own, other) for one in found for _, own, other in one.counted()])
    kappa = cohens_kappa([pair for one in found for pair in verdict_pairs(one.compared)])
    return JudgeMeasured(name, len(found), _share(found), kappa, limits)


def _line(one: JudgeMeasured) -> JudgeLine:
    return JudgeLine(
        name=one.name,
        link=judge_link(one.name),
        sheets=str(one.sheets),
        share=share_text(one.share),
        bias=bias_text(one.limits),
        limits=limits_text(one.limits),
        kappa="–" if one.kappa is None else ratio_text(one.kappa),
    )


def _agreement(found: list[_Beside]) -> Figure:
    seen, agreed = sum(one.compared.seen for one in found), sum(one.compared.agreed for one in found)
    words = say("agreement", n=len(found), seen=seen, agreed=agreed)
    return Figure("Agreement", share_text(_share(found)), words)


def _bias(limits: Limits | None) -> list[Figure]:
    if limits is None:
        return []
    more = "more" if limits.bias > 0 else "fewer" if limits.bias < 0 else ""
    said = (
        f"In a window, this judge counts {decimal_text(abs(limits.bias), 1)} {more} on average." if more else "None on average."
    )
    if limits.low is None or limits.high is None:
        return [Figure("Bias", signed(limits.bias), f"{said} One window is too few for limits.")]
    between = limits_text(limits)
    return [Figure("Bias", signed(limits.bias), f"{said} 95 of 100 differences are expected between {between}.")]


def _correlations(pairs: list[tuple[int, int]]) -> list[Figure]:
    found = intraclass(pairs)
    if found is None:
        return []
    values = ((getattr(found, key), name, words) for key, name, words in FORMS)
    return [Figure(name, "–" if value is None else ratio_text(value), words) for value, name, words in values]


def _where(one: _Beside) -> str:
    return f"{one.entry.name}, {where_text(one.place)}"


def _window_line(one: _Beside, index: int, own: int, other: int) -> JudgeSheetLine:
    return JudgeSheetLine(
        where=_where(one),
        window=window_text(one.place.format, index),
        own=str(own),
        other=f"{other} ({sheet_row(one.kind, one.place.format).name.lower()})",
        apart=signed(Fraction(own - other)),
        link=compare_link(one.place.assignment.id, "lane", one.kind),
    )
