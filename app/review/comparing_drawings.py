"""The drawings of the compared sheets as numbers that a template can place: two tracks in time, differences against means."""

from collections.abc import Sequence
from fractions import Fraction

from app.hall.pictures import round_values
from app.review.comparing_views import Plot, PlotLine, PlotPoint, StripView, Stroke, Tick, Tie
from app.rules.agree.agreement import Limits
from app.rules.agree.aligning import Pair, Seen
from app.rules.agree.comparing import GOOD
from app.rules.values.clock_times import clock_ms_text, minutes_text
from app.rules.values.units import decimal_text
from app.rules.workout.formats import Window

# The strip: so many units for a second of work, so that marks of a fast rope (three a second) can still be told apart.
UNITS_PER_S = 24
EDGE = 24
TICK_EVERY_S = 5

WIDTH, HEIGHT = 640, 320
LEFT, RIGHT, TOP, BOTTOM = 56, 132, 16, 40


def strip(window: Window, pairs: Sequence[Pair], late_ms: int) -> StripView:
    """One window's two tracks. Marks a little outside of it, which count by the judge's reaction, have their place too."""
    start = window.start_ms - late_ms

    def x(at: int) -> float:
        return round(EDGE + (at - start) * UNITS_PER_S / 1000, 1)

    seconds = range(window.start, window.start + window.seconds + 1, TICK_EVERY_S)
    latest = max([window.end_ms + late_ms, *(one.at for pair in pairs for one in (pair.first, pair.second) if one)])
    return StripView(
        width=int(x(latest)) + EDGE,
        first=tuple(_stroke(pair.first, x(pair.first.at)) for pair in pairs if pair.first),
        second=tuple(_stroke(pair.second, x(pair.second.at)) for pair in pairs if pair.second),
        ties=tuple(Tie(x(p.first.at), x(p.second.at), not p.agreed) for p in pairs if p.first and p.second),
        ticks=tuple(Tick(x(second * 1000), minutes_text(second)) for second in seconds),
    )


def _stroke(seen: Seen, x: float) -> Stroke:
    says = f"{'good' if seen.verdict == GOOD else 'refused'} at {clock_ms_text(seen.at)}"
    return Stroke(seen.mark, x, seen.verdict, seen.at, says)


def differences_plot(limits: Limits, names: Sequence[str]) -> Plot:
    """A Bland-Altman plot: across the mean of two counts, up their difference; the bias and the limits of agreement as levels.

    `names` says of each point what it is.
    """
    means, differences = [mean for mean, _ in limits.points], [difference for _, difference in limits.points]
    levels = [Fraction(0), limits.bias, *(Fraction(level) for level in (limits.low, limits.high) if level is not None)]
    across, up = _ruler(means), _ruler([*differences, *levels])

    def x(value: Fraction) -> float:
        return round(LEFT + float((value - across[0]) / (across[-1] - across[0])) * (WIDTH - LEFT - RIGHT), 1)

    def y(value: Fraction) -> float:
        return round(HEIGHT - BOTTOM - float((value - up[0]) / (up[-1] - up[0])) * (HEIGHT - TOP - BOTTOM), 1)

    lines = [PlotLine(y(limits.bias), f"bias {signed(limits.bias)}", "bias")]
    lines += [
        PlotLine(y(Fraction(level)), f"{name} limit {signed(Fraction(level))}", "limit")
        for name, level in (("upper", limits.high), ("lower", limits.low))
        if level is not None
    ]
    return Plot(
        width=WIDTH,
        height=HEIGHT,
        points=tuple(PlotPoint(x(mean), y(apart), name) for (mean, apart), name in zip(limits.points, names, strict=True)),
        lines=(PlotLine(y(Fraction(0)), "", "zero"), *apart_enough(lines)),
        across=tuple(Tick(x(value), decimal_text(value, 1)) for value in across),
        up=tuple(PlotLine(y(value), signed(value), "tick") for value in up),
    )


def apart_enough(lines: Sequence[PlotLine]) -> list[PlotLine]:
    """The levels whose words would lie over one another say it in one line of words."""
    made: list[PlotLine] = []
    for line in sorted(lines, key=lambda one: one.y):
        if made and line.y - made[-1].y < 14 and made[-1].words:
            made[-1] = PlotLine(made[-1].y, "bias and limits" if line.kind != made[-1].kind else made[-1].words, made[-1].kind)
            made.append(PlotLine(line.y, "", line.kind))
        else:
            made.append(line)
    return made


def ratio_text(value: Fraction) -> str:
    """A measure of agreement to three decimals; one that is not full is never shown as 1."""
    almost = Fraction(999, 1000)
    return decimal_text(min(value, almost) if value < 1 else value, 3)


def signed(value: Fraction) -> str:
    """A difference with its sign, to a tenth: `+2`, `-0.5`, `0`."""
    text = decimal_text(abs(value), 1)
    return "0" if text == "0" else f"{'+' if value > 0 else '-'}{text}"


def _ruler(values: Sequence[Fraction]) -> list[Fraction]:
    return round_values(min(values), max(values))
