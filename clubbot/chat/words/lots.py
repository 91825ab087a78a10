"""What people read while something is on the chargers."""

from __future__ import annotations

from collections.abc import Sequence

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
from clubbot.chat.words.things import (
    MOST,
    codes,
    is_or_are,
    named,
    names,
    of_lot,
    put_on_buttons,
    short,
    today_of,
)
from clubbot.rules.results import (
    ChargeStep,
    LotDone,
    LotLook,
    LotNotCharging,
    LotNotDone,
    LotOn,
    LotOver,
    LotShows,
    NotPutOn,
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


def lot_on(result: LotOn, view: View) -> Reply:
    lines = _put_on(result, view)
    if not lines:
        return Reply(_NOTHING)
    if result.on:
        lines += [_TEMPER, CAUTION]
    return Reply("\n".join(lines), _after_putting_on(result, view))


def _put_on(result: LotOn, view: View) -> list[str]:
    """Return what was put on, what had better be thought of, and what was not put on."""
    lines = []
    if result.on:
        each = [f"{named(one)}{_bay(one)} until {until(one.until, view)}" for one in result.on]
        lines.append(f"On: {listed(each)}. In five minutes I ask whether all show charging.")
        if not result.attended:
            lines.append("No adult is noted there now: charge only while one stays.")
    lines += [
        f"{esc(kit.label)} is booked at {until(start, view)}: it may not be full by then."
        for kit, start in result.booked
    ]
    return lines + _left(result, view)


def _left(result: LotOn, view: View) -> list[str]:
    by_why: dict[str, list[NotPutOn]] = {}
    for each in result.left:
        by_why.setdefault(each.why, []).append(each)
    lines = []
    for why, left in by_why.items():
        what = f"{capital(names(left))} {is_or_are(left)}"
        if why == "full":
            lines.append(f"{what} full, no need.")
        elif why == "on":
            lines.append(f"{what} already on.")
        elif why == "no bay":
            bays = [f"{named(one)} on bay {one.bay}" for one in _in_bays(result)]
            lines.append(f"{what} not noted: all bays are taken, by {listed(bays)}.")
        else:
            lines.append(f"{what} {esc(why)}: not put on.")
    return lines


def _in_bays(result: LotOn) -> list[OnNow]:
    return [one for one in (*result.before, *result.on) if one.bay]


def _after_putting_on(result: LotOn, view: View) -> tuple[tuple[Button, ...], ...]:
    """Return how to take back what was put on, and what makes room for what had none."""
    today, laid = today_of(view), list[tuple[Button, ...]]()
    if waiting := [each for each in result.left if each.why == "no bay"][:MOST]:
        in_bays = [one for one in result.before if one.bay][:MOST]
        if any(one.until <= view.now for one in in_bays):
            text = f"{short(waiting)} {is_or_are(waiting)} on instead"
            laid.append((button(text, "lotswap", codes(waiting, today)),))
        off = [button(f"{short([one])} is off", "lotdone", codes([one], today)) for one in in_bays]
        laid += rows(off, 3)
    if result.on:
        laid.append(of_lot("Undo", "lotfail", result.on, view))
    return tuple(laid)


def on_lines(on: Sequence[OnNow], view: View) -> list[str]:
    """Return what is on the chargers now, apart from what nobody said is off."""
    lines = []
    if now := [
        f"{named(one)} until {until(one.until, view)}" for one in on if one.until > view.now
    ]:
        lines.append(f"On now: {listed(now)}.")
    if late := [one for one in on if one.until <= view.now]:
        each = [f"{named(one)} since {until(one.until, view)}" for one in late]
        lines.append(f"<b>Should be off</b>: {listed(each)}. Nobody said so yet: please look.")
    return lines


def left_on(on: Sequence[OnNow], view: View) -> tuple[tuple[Button, ...], ...]:
    """Return what an adult says of what should be off by now."""
    late = [one for one in on if one.until <= view.now]
    return _taken_off(late, view) if late and view.role.adult else ()


def _taken_off(on: Sequence[OnNow], view: View) -> tuple[tuple[Button, ...], ...]:
    done = of_lot("Done, all off", "lotdone", on, view)
    return done, of_lot("Not done", "lotfail", on, view)


def _bay(one: OnNow) -> str:
    return f" on bay {one.bay}" if one.bay else ""


def lot_look(result: LotLook, view: View) -> Reply:
    if not result.on:
        return Reply(_NOTHING)
    each = listed([f"{named(one)}{_bay(one)}" for one in result.on])
    asked = [
        button(f"Not {short([one])}", "lotnot", codes([one], today_of(view)))
        for one in result.on[:30]
    ]
    return Reply(
        f"Please look: do they show charging? {capital(each)}.",
        (of_lot("All show charging", "lotshow", result.on, view), *rows(asked, 3)),
    )


def lot_shows(result: LotShows, view: View) -> Reply:
    if not result.on:
        return Reply(_NOTHING)
    last = max(each.until for each in result.on)
    return Reply(f"Good: {names(result.on)}. I tell you when they are done, {when(last, view)}.")


def lot_not_charging(result: LotNotCharging, view: View) -> Reply:
    one = named(result.which)
    which = [result.which]
    again = button(f"{short(which)} is on now", "loton", codes(which, today_of(view)))
    laid: list[tuple[Button, ...]] = [(again,)]
    if result.others:
        laid.append(of_lot("The others show charging", "lotshow", result.others, view))
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
    if result.again:
        return Reply("\n".join(on_lines(result.on, view)), left_on(result.on, view))
    why = "booked from now on" if result.booked else "full enough now"
    lines = [f"{capital(names(result.on))}: {why}, take {them} off."]
    lines += _then(result.then, view)
    laid: list[tuple[Button, ...]] = []
    if result.then:
        laid += [(each,) for each in put_on_buttons(result.then, "lotswap", "on instead", view)]
    return Reply("\n".join(lines), (*laid, *_taken_off(result.on, view)))


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
    laid: list[tuple[Button, ...]] = []
    if result.swapped is not None:
        lines += _put_on(result.swapped, view)
        laid += _after_putting_on(result.swapped, view) if not result.off else ()
    else:
        lines += _then(result.then, view)
        laid += [(each,) for each in put_on_buttons(result.then, "loton", "on", view)]
    if result.off:
        laid.append((button("Undo", "undo"),))
    return Reply("\n".join(lines) or _NOTHING, tuple(laid))


def lot_not_done(result: LotNotDone, view: View) -> Reply:
    lines = [f"Not charged: {names(result.off)}. The plan counts them as they were."]
    lines += _then(result.then, view)
    laid = (
        [(each,) for each in put_on_buttons(result.then, "loton", "on", view)]
        if result.then
        else []
    )
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
