"""Results as text and back, so that an update that comes twice gets its first answer again.

What is to be kept nowhere is left out: an invitation's code, a text that can't be placed, and the
names of those who are no longer in a club or never came in. The repeat of such an update is
answered without it.
"""

from __future__ import annotations

import functools
from dataclasses import replace
from typing import Any

from pydantic import TypeAdapter

from clubbot.rules import results
from clubbot.rules.results import Invited, MyData, NotAFault, Removed, TurnedAway


@functools.cache
def _adapter(name: str) -> TypeAdapter[Any]:
    return TypeAdapter(getattr(results, name))


def write(result: object) -> str:
    """Return what is kept of a result, its type and values, as one line of text."""
    name = type(result).__name__
    return f"{name} {_adapter(name).dump_json(kept(result)).decode()}"


def kept(result: object) -> object:
    """Return a result as it may be kept: codes and names that are to be nowhere are empty."""
    match result:
        case Invited():
            return replace(result, code="")
        case Removed() | TurnedAway():
            return replace(result, name="")
        case MyData():
            return replace(result, content="")
        case NotAFault():
            return replace(result, said="")
    return result


def read(text: str) -> object:
    """Return the result that `write` wrote, as it was kept."""
    name, _, body = text.partition(" ")
    return _adapter(name).validate_json(body)
