"""What was typed into a form, or the same as JSON: flat texts by name."""

import json

from fastapi import Request
from python_multipart.exceptions import FormParserError
from starlette.exceptions import HTTPException

from app.hall.doing import done_by_form

MOST_FIELDS = 5_000
FORMS = ("application/x-www-form-urlencoded", "multipart/form-data")


async def typed(request: Request) -> dict[str, str]:
    """The texts of a form by field; files are left out. Raises HTTPException with a sentence for what is not a form."""
    form = await _typed(request)
    done_by_form(form)
    return form


async def _typed(request: Request) -> dict[str, str]:
    kind = request.headers.get("content-type", "").partition(";")[0].strip().lower()
    if kind == "application/json":
        return _from_json(await request.body())
    if kind not in FORMS:
        raise HTTPException(415, "Send this as a form or as JSON.")
    try:
        form = await request.form(max_files=10, max_fields=MOST_FIELDS)
    except (FormParserError, UnicodeDecodeError, LookupError):
        raise HTTPException(400, "The form could not be read. Go back and send it again.") from None
    return {name: _clean(value) for name, value in form.multi_items() if isinstance(value, str)}


def _from_json(body: bytes) -> dict[str, str]:
    try:
        read = json.loads(body.decode("utf-8"))
    except (ValueError, RecursionError):
        raise HTTPException(400, "The request is not JSON.") from None
    if not isinstance(read, dict) or not all(isinstance(value, str) for value in read.values()):
        raise HTTPException(400, "The request is a JSON object of texts.")
    return {name: _clean(value) for name, value in read.items()}


def _clean(text: str) -> str:
    """Half a character (a lone surrogate) can't be stored or shown; it becomes the sign for that."""
    return text.encode("utf-8", "replace").decode("utf-8") if any("\ud800" <= c <= "\udfff" for c in text) else text
