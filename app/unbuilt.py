"""Models that are declared and hardly used: what checks a value is made when the first one comes, not when they are imported."""

from collections.abc import Iterator
from contextlib import contextmanager

from pydantic import BaseModel


@contextmanager
def built_when_used() -> Iterator[None]:
    """Around imports. FastAPI declares all of OpenAPI, which no page here asks for: building that was a thirtieth of a start."""
    BaseModel.model_config["defer_build"] = True
    try:
        yield
    finally:
        del BaseModel.model_config["defer_build"]
