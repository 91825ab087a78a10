"""What the desk answers about labels and those who scan them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from clubbot.rules.labels import Thing
from clubbot.rules.results.handover import KitCard
from clubbot.rules.results.shared import KitRef


@dataclass(frozen=True, slots=True)
class LabelText:
    """One label: a kit's name, what it is stuck on, its code, and its kit's place among all."""

    label: str
    thing: Thing
    code: str
    place: int


@dataclass(frozen=True, slots=True)
class LabelSheet:
    """Labels to print on a grid, by its paper and name; `misread` are taken for one another."""

    paper: Literal["A4", "Letter"]
    grid: str
    labels: tuple[LabelText, ...]
    misread: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class GridUnknown:
    """There is no such grid; these are known, each as (paper, name)."""

    grids: tuple[tuple[Literal["A4", "Letter"], str], ...]


ScanAction = Literal["give out", "back", "pass on", "wrong", "found"]


@dataclass(frozen=True, slots=True)
class Scanned:
    """A kit's card by its label, with what this person may do about it now.

    `mix`: what they scanned just before belongs to another kit, (unit's kit, tablet's kit).
    """

    card: KitCard
    thing: Thing
    actions: tuple[ScanAction, ...]
    club: str
    mix: tuple[KitRef, KitRef] | None = None
    loss: int | None = None
    """The reference number, where it is lost."""


@dataclass(frozen=True, slots=True)
class ScannedByStranger:
    """Only whose it is, and where to hand it in."""

    club: str
    contact: str
    hand_in: str


@dataclass(frozen=True, slots=True)
class LabelScanned:
    """A label was scanned from outside, or one of something lost; of who it was nothing is kept."""

    kit: KitRef
    thing: Thing
    at: datetime
    lost: bool
    outside: bool


@dataclass(frozen=True, slots=True)
class WhatIsWrong:
    """A kit was chosen; what is wrong with it comes next."""

    kit: KitRef


@dataclass(frozen=True, slots=True)
class MixSettled:
    """Whether they are apart again; where not, it is asked again on the next open day."""

    unit: KitRef
    tablet: KitRef
    apart: bool
