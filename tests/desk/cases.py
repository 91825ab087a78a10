"""Every use case of the desk, found in its modules, so that a new one is tried as well."""

from __future__ import annotations

import importlib
import inspect
import pkgutil
from collections.abc import Callable, Iterator, Mapping, Sequence
from datetime import date, datetime
from enum import Enum
from types import ModuleType, UnionType
from typing import Any, Literal, NamedTuple, Union, get_args, get_origin

from clubbot import desk
from clubbot.desk.showing import Photo
from clubbot.rules.model import Role
from clubbot.rules.permissions import Deed
from clubbot.store.engine import Store
from tests.desk.scene import UseCase


class Case(NamedTuple):
    """A use case as the desk's modules define it, and the deed that it is."""

    name: str
    run: UseCase
    what: Deed
    writes: bool

    @property
    def last(self) -> bool:
        """Whether whoever did it can do no more in the club."""
        return self.what is Deed.LEAVE


def _modules() -> Iterator[ModuleType]:
    for found in pkgutil.iter_modules(desk.__path__):
        yield importlib.import_module(f"clubbot.desk.{found.name}")


def _cases() -> Iterator[Case]:
    for module in _modules():
        for name, function in vars(module).items():
            made_in = getattr(getattr(function, "__code__", None), "co_qualname", "")
            maker, _, rest = made_in.partition(".")
            if maker in ("deed", "look") and rest and function.__module__ == module.__name__:
                what = inspect.getclosurevars(function).nonlocals["what"]
                short = module.__name__.rpartition(".")[2]
                yield Case(f"{short}.{name}", function, what, maker == "deed")


CASES = list(_cases())


def arguments(case: Case, given: Mapping[str, Any]) -> list[Any]:
    """Make one value for each argument, by its name or else by its type.

    `given` has at least number, text, name, club, start and end.
    """
    known = {
        "more": "Friday",
        "names": "Lanterns",
        "kit_ids": [given["number"]],
        "code": "restart",
        "outcome": "same",
        "role": Role.HELPER,
        "place": 0,
        "key": "0123456789ab",
        "fix": "glued",
        "photo": Photo("file", "unique", "photo"),
        "start": given["start"],
        "end": given["end"],
        "day": given["start"].date().isoformat(),
        "first": given["start"].date().isoformat(),
        "last": given["start"].date().isoformat(),
        "shown": given["start"].date(),
        "addressed": True,
    } | dict(given)
    if case.name == "club.choose_club":
        known["number"] = given["club"]
    by_type: dict[Any, Any] = {
        str: given["text"],
        bytes: b"planted",
        int: given["number"],
        bool: True,
        date: given["start"].date(),
        datetime: given["start"],
    }
    signature = inspect.signature(inspect.unwrap(case.run), eval_str=True)
    found: list[Any] = []
    for each in list(signature.parameters.values())[2:]:
        few = get_args(each.annotation) if get_origin(each.annotation) is Literal else ()
        if each.name in known and (not few or known[each.name] in few):
            found.append(known[each.name])
            continue
        try:
            found.append(_made(each.annotation, by_type))
        except KeyError:
            if each.default is inspect.Parameter.empty:
                raise AssertionError(f"{case.name} needs a value for {each}") from None
            break
    return found


def _made(kind: Any, by_type: Mapping[Any, Any]) -> Any:
    """Make a value of a type, of values for the plain ones; KeyError where that isn't known."""
    kind = getattr(kind, "__supertype__", kind)
    if kind in by_type:
        return by_type[kind]
    origin, inner = get_origin(kind), get_args(kind)
    if origin is Literal:
        return inner[0]
    if origin in (Union, UnionType):
        return _made(inner[0], by_type)
    if isinstance(kind, type) and issubclass(kind, Enum):
        return next(iter(kind))
    if origin is tuple and inner[-1] is not Ellipsis:
        return tuple(_made(each, by_type) for each in inner)
    if isinstance(origin, type) and issubclass(origin, Sequence):
        return (_made(inner[0], by_type),)
    if isinstance(origin, type) and issubclass(origin, Mapping):
        return {_made(inner[0], by_type): _made(inner[1], by_type)}
    raise KeyError(kind)


def _open() -> Iterator[tuple[Callable[..., Any], list[Any]]]:
    """Yield what takes (store, asking, ...) and asks for no deed, with texts as "text"."""
    wrapped = {case.run for case in CASES}
    for module in _modules():
        for name, function in vars(module).items():
            if not inspect.isfunction(function) or function.__module__ != module.__name__:
                continue
            if function in wrapped or name.startswith("_"):
                continue
            parameters = list(inspect.signature(function, eval_str=True).parameters.values())
            if len(parameters) > 1 and parameters[0].annotation is Store:
                if parameters[1].name != "asking":
                    continue
                kinds = {str: "text", bool: True, int: 1}
                yield function, [kinds[each.annotation] for each in parameters[2:]]


OPEN = list(_open())
