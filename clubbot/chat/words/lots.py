"""What people read while something is on the chargers."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from clubbot.chat.words.phrases import (
    Button,
    Reply,
    View,
    Wording,
    button,
    capital,
    esc,
    listed,
    rows,
    until,
    when,
)
from clubbot.rules.results import (
    ChargeStep,
    KitRef,
    LotDone,
    LotLook,
    LotNotCharging,
    LotNotDone,
    LotOn,
    LotOver,
    LotShows,
    OnNow,
)

CAUTION = (
    "An adult stays while they charge, never overnight: a hard surface, away from what burns, the "
    "maker's charger as the maker's guide says, 0 to 40 °C. Never one that is swollen, hot, wet, "
    "damaged or smells: stop, don't charge or open it; an adult moves it if that is safe. The "
    "school's rules and the fire service come first."
)
"""Said once in a message; public advice of fire services and makers' guides."""
_NOTHING = "Nothing is on the chargers now."
_TEMPER = "Warm from driving, or cold from frost? Let it come to room temperature first."
_MOST = 10
"""Things behind one button; more take another."""
_DIGITS = "0123456789abcdefghijklmnopqrstuvwxyz"


def code(kit: KitRef, own: bool) -> str:
    """Return a unit or tablet as few letters: twice the kit's number, and one more for a tablet."""
    number, letters = 2 * kit.id + own, ""
    while number:
        number, digit = divmod(number, len(_DIGITS))
        letters = _DIGITS[digit] + letters
    return letters


def codes(things: Iterable[OnNow | ChargeStep]) -> str:
    return ".".join(code(each.kit, each.own) for each in things)


def named(thing: OnNow | ChargeStep) -> str:
    """Return "D", or "tablet D", escaped."""
    return f"{'tablet ' if thing.own else ''}{esc(thing.kit.label)}"


def names(things: Iterable[OnNow | ChargeStep]) -> str:
    return listed([named(each) for each in things])


def put_on_buttons(lot: Sequence[ChargeStep], verb: str, done: str) -> tuple[Button, ...]:
    """Return the buttons that say that these are on, as many as the platform's limit asks for."""
    parts = [lot[at : at + _MOST] for at in range(0, len(lot), _MOST)]
    return tuple(
        button(f"{_short(part)} {'is' if len(part) == 1 else 'are'} {done}", verb, codes(part))
        for part in parts
    )


def _short(things: Sequence[OnNow | ChargeStep]) -> str:
    shown = [f"{'tablet ' if each.own else ''}{each.kit.label}" for each in things]
    return listed(shown) if len(shown) <= 4 else f"{', '.join(shown[:3])} and {len(shown) - 3} more"


def lot_on(result: LotOn, view: View) -> Reply:
    lines = []
    if result.on:
        each = [f"{named(one)}{_bay(one)} until {until(one.until, view)}" for one in result.on]
        lines.append(f"On: {listed(each)}. In five minutes I ask whether all show charging.")
    lines += [f"{esc(kit.label)} is {esc(why)}: not put on." for kit, why in result.left]
    if not lines:
        return Reply(_NOTHING)
    if result.on:
        lines += [_TEMPER, CAUTION]
    return Reply("\n".join(lines))


def _bay(one: OnNow) -> str:
    return f" on bay {one.bay}" if one.bay else ""


def lot_look(result: LotLook, view: View) -> Reply:
    if not result.on:
        return Reply(_NOTHING)
    each = listed([f"{named(one)}{_bay(one)}" for one in result.on])
    asked = [
        button(f"Not {_short([one])}", "lotnot", code(one.kit, one.own)) for one in result.on[:30]
    ]
    return Reply(
        f"Please look: do they show charging? {capital(each)}.",
        ((_of_lot("All show charging", "lotshow", result.on)), *rows(asked, 3)),
    )


def _of_lot(text: str, verb: str, things: Sequence[OnNow]) -> tuple[Button, ...]:
    parts = [things[at : at + _MOST] for at in range(0, len(things), _MOST)]
    if len(parts) < 2:
        return (button(text, verb, codes(things)),)
    return tuple(button(f"{text}: {_short(part)}", verb, codes(part)) for part in parts)


def lot_shows(result: LotShows, view: View) -> Reply:
    if not result.on:
        return Reply(_NOTHING)
    last = max(each.until for each in result.on)
    return Reply(f"Good: {names(result.on)}. I tell you when they are done, {when(last, view)}.")


def lot_not_charging(result: LotNotCharging, view: View) -> Reply:
    one = named(result.which)
    again = button(
        f"{_short([result.which])} is on now", "loton", code(result.which.kit, result.which.own)
    )
    laid: list[tuple[Button, ...]] = [(again,)]
    if result.others:
        laid.append(_of_lot("The others show charging", "lotshow", result.others))
    return Reply(
        f"{capital(one)} isn't charging. Look: is the plug in, the socket strip on, the right "
        f"charger? If it still doesn't, leave it off: /fault {esc(result.which.kit.label)} won't "
        "charge.",
        tuple(laid),
    )


def lot_over(result: LotOver, view: View) -> Reply:
    if not result.on:
        return Reply(_NOTHING)
    them = "it" if len(result.on) == 1 else "them"
    lines = [f"{capital(names(result.on))}: full enough now, take {them} off."]
    lines += _then(result.then, view)
    laid: list[tuple[Button, ...]] = []
    if result.then:
        laid += [(each,) for each in put_on_buttons(result.then, "lotswap", "on instead")]
    laid.append(_of_lot("Done, all off", "lotdone", result.on))
    laid.append(_of_lot("Not done", "lotfail", result.on))
    return Reply("\n".join(lines), tuple(laid))


def _then(then: Sequence[ChargeStep], view: View) -> list[str]:
    if not then:
        return ["Nothing is to be put on after that."]
    each = [
        f"{named(one)}{f' on bay {one.bay}' if one.bay else ''} until {until(one.window.end, view)}"
        for one in then
    ]
    return [f"Next, {when(then[0].window.start, view)}: {listed(each)}."]


def lot_done(result: LotDone, view: View) -> Reply:
    lines = []
    if result.off:
        each = [
            f"{named(one)} {'full' if one.percent >= 99 else f'about {one.percent} %'}"
            for one in result.off
        ]
        lines.append(f"Noted as charged: {listed(each)}.")
    if result.swapped:
        each = [f"{named(one)}{_bay(one)} until {until(one.until, view)}" for one in result.swapped]
        lines.append(f"On: {listed(each)}. In five minutes I ask whether all show charging.")
    else:
        lines += _then(result.then, view)
    laid = (
        [(each,) for each in put_on_buttons(result.then, "loton", "on")]
        if (result.then and not result.swapped)
        else []
    )
    if result.off:
        laid.append((button("Undo", "undo"),))
    return Reply("\n".join(lines), tuple(laid))


def lot_not_done(result: LotNotDone, view: View) -> Reply:
    lines = [f"Not charged: {names(result.off)}. The plan counts them as they were."]
    lines += _then(result.then, view)
    laid = [(each,) for each in put_on_buttons(result.then, "loton", "on")] if result.then else []
    return Reply("\n".join(lines), tuple(laid))


SAID: dict[type, Wording] = {
    LotDone: lot_done,
    LotLook: lot_look,
    LotNotCharging: lot_not_charging,
    LotNotDone: lot_not_done,
    LotOn: lot_on,
    LotOver: lot_over,
    LotShows: lot_shows,
}
