"""Results as text and back, so that an update that comes twice gets its first answer again."""

from __future__ import annotations

import functools
from typing import Any

from pydantic import TypeAdapter

from clubbot.rules import results


@functools.cache
def _adapter(name: str) -> TypeAdapter[Any]:
    return TypeAdapter(getattr(results, name))


def write(result: object) -> str:
    """Return a result's type and values as one line of text."""
    name = type(result).__name__
    return f"{name} {_adapter(name).dump_json(result).decode()}"


def read(text: str) -> object:
    """Return the result that `write` wrote."""
    name, _, body = text.partition(" ")
    return _adapter(name).validate_json(body)
