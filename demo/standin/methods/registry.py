"""Which function carries out which method."""

from __future__ import annotations

from collections.abc import Awaitable, Callable
from typing import Any

from ..engine import Platform
from ..parameters import Params

Handler = Callable[[Platform, Params], Any | Awaitable[Any]]
METHODS: dict[str, tuple[str, Handler]] = {}
"""By lower-case name, as the platform takes names in any case: the proper name, the function."""


def method(name: str) -> Callable[[Handler], Handler]:
    """Makes a function carry out the method `name`."""

    def register(handler: Handler) -> Handler:
        METHODS[name.lower()] = (name, handler)
        return handler

    return register
