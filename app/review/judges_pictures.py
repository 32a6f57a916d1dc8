"""Judges beside one another as pictures: how far each agrees with whoever judged the same, who counts more and who fewer."""

from collections.abc import Sequence
from fractions import Fraction

from app.hall.pictures import ROW, Column, Dot, Key, Panel, Picture, Scale, Stroke, Tick, round_values
from app.review.comparing_drawings import signed
from app.review.comparing_views import JudgeMeasured
from app.rules.agree.agreement import Limits
from app.rules.values.units import decimal_text


def agreement_pictures(judges: Sequence[JudgeMeasured]) -> tuple[Picture, ...]:
    """How far each judge agrees with whoever judged the same, and who counts more and who fewer; nothing without a judge."""
    if not judges:
        return ()
    bias = [one for one in judges if one.limits is not None]
    return (_shares(judges), *((_biases(bias),) if bias else ()))


def _shares(judges: Sequence[JudgeMeasured]) -> Picture:
    values = round_values(min(one.share for one in judges) * 100, 100)
    scale, least = Scale(values[0], values[-1]), min(judges, key=lambda one: one.share)
    panels = (
        Panel(one.name, share_text(one.share), ROW, dots=(Dot(scale.across(one.share * 100), ROW / 2, "disc"),)) for one in judges
    )
    return Picture(
        name="agreement-picture",
        title="How far judges agree",
        says=f"The least agreement: {least.name}, {share_text(least.share)}.",
        across="agreement, in percent of repetitions and lifts",
        panels=tuple(panels),
        ticks=tuple(Tick(scale.across(value), f"{decimal_text(value, 1)} %") for value in values),
        columns=(Column("Judge"), Column("Agreement", number=True)),
        rows=tuple((one.name, share_text(one.share)) for one in judges),
    )


def _biases(judges: Sequence[JudgeMeasured]) -> Picture:
    """Each judge's bias as a dot, and from which to which difference 95 of 100 are expected as a line through it."""
    known = [one.limits for one in judges if one.limits is not None]
    ends = [Fraction(end) for limits in known for end in (limits.low, limits.high) if end is not None]
    every = [Fraction(0), *(limits.bias for limits in known), *ends]
    values = round_values(min(every), max(every))
    scale = Scale(values[0], values[-1])
    farthest = max(judges, key=lambda one: abs(one.limits.bias) if one.limits else 0)
    return Picture(
        name="bias-picture",
        title="Who counts more, who fewer",
        says=f"The largest bias: {farthest.name}, {bias_text(farthest.limits)} in a window.",
        across="repetitions in a window more (+) or fewer (-) than the other judge",
        panels=tuple(_bias_panel(scale, one) for one in judges),
        ticks=tuple(Tick(scale.across(value), signed(value)) for value in values),
        columns=(Column("Judge"), Column("Bias in a window", number=True), Column("95 of 100 between", number=True)),
        rows=tuple((one.name, bias_text(one.limits), limits_text(one.limits)) for one in judges),
        keys=(Key("bias", "plain", "disc"), Key("where 95 of 100 differences are expected", "plain", "line")),
    )


def _bias_panel(scale: Scale, one: JudgeMeasured) -> Panel:
    limits, middle = one.limits, ROW / 2
    if limits is None:
        return Panel(one.name, "", ROW)
    lines = [Stroke(scale.across(0), 0, scale.across(0), ROW, "outline")]
    if limits.low is not None and limits.high is not None:
        lines.append(Stroke(scale.across(Fraction(limits.low)), middle, scale.across(Fraction(limits.high)), middle))
    return Panel(one.name, bias_text(limits), ROW, (), tuple(lines), (Dot(scale.across(limits.bias), middle, "disc"),))


def share_text(share: Fraction) -> str:
    """A share of things on which judges agree, in percent."""
    return f"{decimal_text(share * 100, 1)} %"


def bias_text(limits: Limits | None) -> str:
    """By how much one judge's counts differ from another's on average, with its sign."""
    return signed(limits.bias) if limits else "–"


def limits_text(limits: Limits | None) -> str:
    """Between which differences 95 of 100 are expected: `-1.5 and +2`."""
    if limits is None or limits.low is None or limits.high is None:
        return "–"
    return f"{signed(Fraction(limits.low))} and {signed(Fraction(limits.high))}"
