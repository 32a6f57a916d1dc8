"""Words for what an answer is made of, as JSON Schema: a page's row says it with them, `described.py` tells it on."""

from typing import Any

from app.rules.records.document import VERSION

Plain = dict[str, Any]

TEXT: Plain = {"type": "string"}
WHOLE: Plain = {"type": "integer"}
NUMBER: Plain = {"type": "number"}
TRUTH: Plain = {"type": "boolean"}
OBJECT: Plain = {"type": "object"}
TEXTS: Plain = {"type": "object", "additionalProperties": TEXT}


def an_object(**fields: Plain) -> Plain:
    """The schema of an object that has all of these fields, and maybe more."""
    return {"type": "object", "properties": fields, "required": list(fields)}


def many(item: Plain) -> Plain:
    """The schema of a list."""
    return {"type": "array", "items": item}


def by_name(item: Plain) -> Plain:
    """The schema of an object of which all fields are alike, whatever they are called."""
    return {"type": "object", "additionalProperties": item}


SENTENCE = an_object(sentence=TEXT)
EXPORTED = an_object(file={"const": "lane-ledger-competition"}, version={"const": VERSION})
MARK: Plain = {"$ref": "#/components/schemas/Mark"}
