"""The offset between two clocks, and the ids that carry time, against their standards' own examples."""

from datetime import UTC, datetime

import pytest

from app.rules.count.clock import Offset
from app.rules.values.ids import mark_id
from tests.vectors.reference import rfc5905_offset

# RFC 5905, section 8, gives the formulas; four time stamps of one exchange in seconds, with offset and delay worked out by them.
STAMPS = (0.410634, 0.415284, 0.415471, 0.430596)
OFFSET, DELAY = -0.0052375, 0.019775


def test_offset_and_delay_of_an_exchange_are_those_of_rfc_5905() -> None:
    assert rfc5905_offset(*STAMPS) == pytest.approx((OFFSET, DELAY), abs=1e-12)


def test_one_exchange_bounds_the_offset_by_half_its_delay() -> None:
    # RFC 5905, section 10: the true offset lies within half of the round-trip delay of the computed one, drift aside.
    estimate = Offset(drift_ppm=0)
    estimate.add(*(stamp * 1000 for stamp in STAMPS))
    assert estimate.estimate(STAMPS[3] * 1000) == pytest.approx((OFFSET * 1000, DELAY * 1000 / 2), abs=1e-9)


def test_an_id_of_version_7_is_the_example_of_rfc_9562() -> None:
    # RFC 9562, appendix A.6: 017F22E2-79B0-7CC3-98C4-DC0C0C07398F is 2022-02-22T14:22:22.00-05:00.
    example = "017F22E2-79B0-7CC3-98C4-DC0C0C07398F".replace("-", "").lower()
    when = datetime(2022, 2, 22, 19, 22, 22, tzinfo=UTC)
    assert int(example[:12], 16) == int(when.timestamp() * 1000)
    assert mark_id(int(when.timestamp() * 1000), 0xCC3 << 62 | 0x18C4DC0C0C07398F) == example


def test_later_ids_sort_later_whatever_their_random_bits() -> None:
    assert mark_id(1_645_557_742_000, 2**74 - 1) < mark_id(1_645_557_742_001, 0)
