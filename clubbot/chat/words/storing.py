"""What people read of batteries at rest: before a long break and in it."""

from __future__ import annotations

from collections.abc import Sequence

from clubbot.chat.words.lots import CAUTION
from clubbot.chat.words.phrases import (
    Button,
    Reply,
    View,
    Wording,
    button,
    day_name,
    esc,
    labels,
    listed,
    local,
    when,
)
from clubbot.chat.words.things import code
from clubbot.rules.results import BeforeBreak, KitRef, TopUp

_MOST = 7
"""Kits that one button is about."""


def to_half(low: Sequence[tuple[KitRef, int]]) -> list[str]:
    """Say of a week's list what is too empty for the break that begins in it."""
    each = [f"{esc(kit.label)} about {minutes} min" for kit, minutes in low]
    return [f"To about half, before the long break: {listed(each)}."] if each else []


def half_full(low: Sequence[tuple[KitRef, int]], view: View) -> tuple[tuple[Button, ...], ...]:
    """Return the buttons by which adults say of kits that they were charged to about half."""
    kits = [kit for kit, _ in low] if view.role.adult else []
    parts = [kits[at : at + _MOST] for at in range(0, len(kits), _MOST)]
    return tuple(
        (
            button(
                f"{listed([kit.label for kit in part])}: about half full now",
                "halffull",
                ".".join(code(kit, False) for kit in part),
            ),
        )
        for part in parts
    )


def before_break(result: BeforeBreak, view: View) -> Reply:
    today = local(view.now, view).date()
    end = f"until {day_name(result.until, today)}" if result.until else "with no session in sight"
    lines = [
        f"<b>In the long break</b>, {end}: nobody noted yet what became of these."
        if result.again
        else f"<b>Before you lock up: a long break</b>, {end}. Batteries rest best about half full."
    ]
    if result.low:
        each = listed([f"{esc(kit.label)} about {minutes} min" for kit, minutes in result.low])
        lines.append(f"Charge to about half, while you are there: {each}.")
    if result.half and not result.again:
        lines.append(f"About right: {labels(result.half)}.")
    if result.full and not result.again:
        lines.append(
            f"Fuller than that: {labels(result.full)}. Skip their next charge; never run motors "
            "just to empty one."
        )
    if result.unknown:
        them = "it" if len(result.unknown) == 1 else "them"
        lines.append(
            f"I don't know {labels(result.unknown)}: look at {them} and tell me, /battery "
            f"{esc(result.unknown[0].label)} 50%. Too empty: charge to about half."
        )
    if result.held:
        lines.append(f"On hold: {labels(result.held)}. Don't charge, don't open.")
    lines.append(
        "Then: everything off and unplugged, tablets fully off, cool and dry, out of the sun, not "
        "in a car."
    )
    if result.top_up:
        lines.append(_visit(day_name(result.top_up, today), shut=result.shut))
    lines.append(f"What the maker's guide says of storing goes first. {CAUTION}")
    return Reply("\n".join(lines), half_full(result.low, view))


def _visit(by: str, *, shut: bool) -> str:
    if shut:
        return (
            f"The school is closed for long: somebody must come in by {by} and charge them again. "
            "Arrange it now; I'll remind you that day."
        )
    return (
        f"One visit is needed: charge them again by {by}, the last open day before any may be too "
        "low or three months are over."
    )


def top_up(result: TopUp, view: View) -> Reply:
    each = [
        f"{esc(kit.label)} ({f'last charged {when(at, view)}' if at else 'no charge noted'})"
        for kit, at in result.kits
    ]
    labelled = [esc(kit.label) for kit, _ in result.kits]
    return Reply(
        f"<b>Charge these to keep them alive</b>: {listed(each)}. A battery needs a charge at "
        "least every three months, used or not. One that won't wake: an adult, the maker's guide, "
        f"never left alone.\n{CAUTION}\nOnce they are charged: /charged {' '.join(labelled)}"
    )


SAID: dict[type, Wording] = {BeforeBreak: before_break, TopUp: top_up}
