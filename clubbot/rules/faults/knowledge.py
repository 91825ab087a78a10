"""What is behind the faults of robot kits, from one file; a slip in it is named by its line."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, fields
from enum import StrEnum
from functools import lru_cache
from importlib.resources import files
from types import MappingProxyType
from typing import Any

from clubbot.rules.faults.symptoms import Symptom
from clubbot.rules.model import ItemKind


class Hands(StrEnum):
    """Who may do a check, from everybody to adults only."""

    ANYONE = "anyone"
    HELPER = "helper"
    ADULT = "adult"

    def reach(self, other: Hands) -> bool:
        """True when these hands may do what needs the other's."""
        order = list(Hands)
        return order.index(self) >= order.index(other)


@dataclass(frozen=True, slots=True)
class Check:
    """Something to try or to look at; `minutes` of somebody's time.

    `mends`: where it helps, the fault is gone; otherwise it only finds the cause. `ask` says what
    to do, `done` tells it afterwards.
    """

    code: str
    minutes: int
    who: Hands
    mends: bool
    ask: str
    done: str
    tools: str = ""
    caution: str = ""


@dataclass(frozen=True, slots=True)
class Cause:
    """Why something fails. `behind`: how often it stands behind a symptom, in parts.

    `told_by`: the chance that a check works, or finds it, where this is the cause. `ends_with`
    says who ends it where no check mends it. `did` tells the fix afterwards. `item` is the kind of
    thing to blame; empty: the kit as it was built and used. `flat`: the battery was driven empty,
    which tells of its run time.
    """

    code: str
    behind: Mapping[str, int]
    name: str
    seen: str
    told_by: Mapping[str, float]
    ends_with: str
    fix: str
    did: str
    parts: str = ""
    item: str = ""
    flat: bool = False


@dataclass(frozen=True, slots=True)
class Knowledge:
    checks: Mapping[str, Check]
    causes: Mapping[str, Cause]


class KnowledgeSlip(ValueError):
    """The file can't be read; the text begins with the line."""


@lru_cache(maxsize=1)
def known() -> Knowledge:
    """Return what the package brings along."""
    path = files("clubbot.rules.faults").joinpath("knowledge.toml")
    return read_knowledge(path.read_text(encoding="utf-8"))


def read_knowledge(text: str) -> Knowledge:
    """Read a file of checks and causes; raises KnowledgeSlip for the first line that is wrong."""
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise KnowledgeSlip(str(error)) from None
    if extra := set(data) - {"check", "cause"}:
        raise KnowledgeSlip(f"there is no table {sorted(extra)[0]!r}, only check and cause")
    checks: dict[str, Check] = {}
    for line, row in _rows(text, data, "check"):
        _fit(line, row, Check)
        if row["who"] not in set(Hands):
            raise KnowledgeSlip(f"line {line}: who is {row['who']!r}, not one of {[*Hands]}")
        if row["code"] in checks or row["minutes"] < 1:
            raise KnowledgeSlip(f"line {line}: {row['code']!r} is there twice, or takes no time")
        checks[row["code"]] = Check(**{**row, "who": Hands(row["who"])})
    causes: dict[str, Cause] = {}
    for line, row in _rows(text, data, "cause"):
        _fit(line, row, Cause)
        if problem := _odd(row, checks, causes):
            raise KnowledgeSlip(f"line {line}: {row['code']!r}: {problem}")
        kept = {name: MappingProxyType(row[name]) for name in ("behind", "told_by")}
        causes[row["code"]] = Cause(**{**row, **kept})
    return Knowledge(MappingProxyType(checks), MappingProxyType(causes))


def _rows(text: str, data: Mapping[str, Any], table: str) -> Iterator[tuple[int, dict[str, Any]]]:
    heads = [
        number
        for number, line in enumerate(text.splitlines(), 1)
        if line.split("#")[0].strip() == f"[[{table}]]"
    ]
    rows = data.get(table, [])
    if len(heads) != len(rows):
        raise KnowledgeSlip(f"every {table} begins with a line [[{table}]]")
    yield from zip(heads, rows, strict=True)


_KINDS: Mapping[str, type | tuple[type, ...]] = {
    "minutes": int,
    "mends": bool,
    "flat": bool,
    "behind": dict,
    "told_by": dict,
}


def _fit(line: int, row: Mapping[str, Any], kind: type[Check] | type[Cause]) -> None:
    names = {field.name for field in fields(kind)}
    optional = {"tools", "caution", "parts", "item", "flat"}
    if missing := sorted(names - optional - set(row)):
        raise KnowledgeSlip(f"line {line}: {missing[0]!r} is missing")
    if extra := sorted(set(row) - names):
        raise KnowledgeSlip(f"line {line}: {extra[0]!r} is unknown")
    for name, value in row.items():
        wanted = _KINDS.get(name, str)
        if not isinstance(value, wanted) or (wanted is int and isinstance(value, bool)):
            raise KnowledgeSlip(f"line {line}: {name!r} can't be {value!r}")


def _odd(row: Mapping[str, Any], checks: Mapping[str, Check], causes: Mapping[str, Cause]) -> str:
    if row["code"] in causes:
        return "is there twice"
    for name, share in row["behind"].items():
        if name not in set(Symptom) or not isinstance(share, int) or share < 1:
            return f"{name} = {share} is no symptom with a share of 1 or more"
    for name, chance in row["told_by"].items():
        if name not in checks or not isinstance(chance, float) or not 0 < chance < 1:
            return f"{name} = {chance} is no check with a chance between 0 and 1"
    if row.get("item", "unit") not in set(ItemKind):
        return f"blames {row['item']!r}, not one of {[*ItemKind]}"
    if row["ends_with"] not in ("adult", "supplier"):
        return f"ends with {row['ends_with']!r}, not with adult or supplier"
    return ""
