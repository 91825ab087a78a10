"""Units and tablets on the chargers: how they are named, and the buttons that are about them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date

from clubbot.chat.words.phrases import Button, View, button, esc, listed, local
from clubbot.rules.results import ChargeStep, KitRef, NotPutOn, OnNow

MOST = 10
"""Things behind one button; more take another."""
_DIGITS = "0123456789abcdefghijklmnopqrstuvwxyz"
FIRST = date(2020, 1, 1)
"""The day from which a button's days are counted."""


def code(kit: KitRef, own: bool) -> str:
    """Return a unit or tablet as few letters: twice the kit's number, and one more for a tablet."""
    return _few(2 * kit.id + own)


def _few(number: int) -> str:
    letters = ""
    while number:
        number, digit = divmod(number, len(_DIGITS))
        letters = _DIGITS[digit] + letters
    return letters


def codes(things: Iterable[OnNow | ChargeStep | NotPutOn], day: date) -> str:
    """Return things as few letters, with the day up to which the button is about them."""
    up_to = _few(max(0, (day - FIRST).days))
    return f"{'.'.join(code(each.kit, each.own) for each in things)}-{up_to}"


def today_of(view: View) -> date:
    return local(view.now, view).date()


def named(thing: OnNow | ChargeStep | NotPutOn) -> str:
    """Return "D", or "tablet D", escaped."""
    return f"{'tablet ' if thing.own else ''}{esc(thing.kit.label)}"


def names(things: Iterable[OnNow | ChargeStep | NotPutOn]) -> str:
    return listed([named(each) for each in things])


def put_on_buttons(
    lot: Sequence[ChargeStep], verb: str, done: str, view: View
) -> tuple[Button, ...]:
    """Return the buttons that say that these are on, as many as the platform's limit asks for."""
    parts = [lot[at : at + MOST] for at in range(0, len(lot), MOST)]
    return tuple(
        button(
            f"{short(part)} {is_or_are(part)} {done}",
            verb,
            codes(part, local(part[0].window.start, view).date()),
        )
        for part in parts
    )


def is_or_are(things: Sequence[object]) -> str:
    return "is" if len(things) == 1 else "are"


def short(things: Sequence[OnNow | ChargeStep | NotPutOn]) -> str:
    shown = [f"{'tablet ' if each.own else ''}{each.kit.label}" for each in things]
    return listed(shown) if len(shown) <= 4 else f"{', '.join(shown[:3])} and {len(shown) - 3} more"


def of_lot(text: str, verb: str, things: Sequence[OnNow], view: View) -> tuple[Button, ...]:
    parts = [things[at : at + MOST] for at in range(0, len(things), MOST)]
    today = today_of(view)
    if len(parts) < 2:
        return (button(text, verb, codes(things, today)),)
    return tuple(button(f"{text}: {short(part)}", verb, codes(part, today)) for part in parts)
