"""The house that the tests of the pages share."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.web.halls import House, a_house


@pytest.fixture
def house(tmp_path: Path) -> Iterator[House]:
    """A running application over an invented competition, with no password set yet."""
    with a_house(tmp_path) as opened:
        yield opened


@pytest.fixture
def empty_house(tmp_path: Path) -> Iterator[House]:
    """A running application before anybody has named a competition."""
    with a_house(tmp_path, competition=False) as opened:
        yield opened
