"""Common formats from few knobs. A preset only fills in a Format, which stays editable afterwards.

The movements are general ones, described in our own words; their figures are ours, and mean
no workout that anybody has published.
"""

from collections.abc import Mapping
from types import MappingProxyType

from app.rules.workout.presets.counting import COUNTING
from app.rules.workout.presets.knobs import BadKnob, Knob, Preset
from app.rules.workout.presets.lifting import LIFTING
from app.rules.workout.presets.listed import LISTED
from app.rules.workout.presets.measuring import MEASURING
from app.rules.workout.presets.meets import MEETS
from app.rules.workout.presets.pairs import PAIRS
from app.rules.workout.presets.teams import TEAMS

__all__ = ["PRESETS", "BadKnob", "Knob", "Preset"]

PRESETS: Mapping[str, Preset] = MappingProxyType(
    {preset.key: preset for preset in COUNTING + LISTED + LIFTING + MEETS + MEASURING + PAIRS + TEAMS}
)
