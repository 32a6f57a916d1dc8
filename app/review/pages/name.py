"""Who rules at this browser: kept so that the next ruling needs no typing, and believed for nothing else."""

from urllib.parse import quote, unquote

from fastapi import Request
from fastapi.responses import Response

from app.rules.values.texts import cleaned
from app.web.who import is_secure

NAME_COOKIE = "ll_by"
NAME_SECONDS = 14 * 3600  # one long day
MOST_NAME = 120


def remember_name(request: Request, answer: Response, name: str) -> None:
    """Keeps the name that was typed."""
    value = quote(cleaned(name)[:MOST_NAME])
    answer.set_cookie(NAME_COOKIE, value, max_age=NAME_SECONDS, httponly=True, samesite="lax", secure=is_secure(request))


def name_of(request: Request) -> str:
    """The name typed last, or nothing."""
    return cleaned(unquote(request.cookies.get(NAME_COOKIE, ""))[:MOST_NAME])
