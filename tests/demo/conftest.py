"""One demo that tests look at; those that let it go on have one of their own."""

from collections.abc import Iterator

import pytest

from tests.builders.halls import House, a_house


@pytest.fixture(scope="session")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Iterator[House]:
    """The demo as it is when somebody starts it; its clock stands."""
    with a_house(tmp_path_factory.mktemp("demo"), competition=False, demo=True) as house:
        yield house
