"""What the desk answers about things fitted to kits."""

from __future__ import annotations

from dataclasses import dataclass

from clubbot.rules.model import ItemKind
from clubbot.rules.results.shared import KitRef


@dataclass(frozen=True, slots=True)
class FittedThing:
    """`name` is what is written on it, empty where nobody said."""

    kind: ItemKind
    name: str
    kit: KitRef | None


@dataclass(frozen=True, slots=True)
class Fitted:
    """What is fitted to a kit; of a thing that was asked for, where it is."""

    things: tuple[FittedThing, ...]
    kit: KitRef | None


@dataclass(frozen=True, slots=True)
class ThingFitted:
    """A thing is in a kit from now on, `was_in` another before; `out` are those it replaces.

    `new`: it was never heard of. `ask`: the number behind "it was in there before"; 0 where
    another thing of its kind had been listed in the kit.
    """

    thing: FittedThing
    kit: KitRef
    was_in: KitRef | None
    out: tuple[str, ...]
    new: bool
    ask: int


@dataclass(frozen=True, slots=True)
class ThingListed:
    """A thing has been in its kit before."""

    thing: FittedThing
    kit: KitRef


@dataclass(frozen=True, slots=True)
class ThingTakenOff:
    kind: ItemKind
    names: tuple[str, ...]
    kit: KitRef
