"""Models that are declared and hardly used: what checks a value is made when the first one comes, not when they are imported."""

import sys
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


def without_old_models() -> None:
    """FastAPI asks of every route whether it is declared by models of pydantic's version 1, and loads them to ask: 1.5 MB. Here
    none is, and so it is told that there are none to load."""
    sys.modules.setdefault("pydantic.v1", None)  # type: ignore[arg-type]  # how an import is told so (importlib, sys.modules)
