"""What people read about charging."""

from __future__ import annotations

from collections.abc import Sequence

from clubbot.chat.words.charge_plan import plan_lines
from clubbot.chat.words.lots import CAUTION, left_on, on_lines
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
    rows,
    when,
)
from clubbot.chat.words.storing import half_full, to_half
from clubbot.chat.words.things import put_on_buttons
from clubbot.rules.model import Role
from clubbot.rules.results import (
    BatteryCard,
    BatterySaid,
    Charged,
    ChargeLine,
    ChargeList,
    ChargeStep,
    ChargeSteps,
    FlatCause,
    KitRef,
)

_ALMOST_CERTAIN, _DOUBTFUL = 95, 30


def charge_list(result: ChargeList, view: View) -> Reply:
    today = local(view.now, view).date()
    if not result.needed:
        rest = "." if result.to_half else ": nothing to charge."
        none = f"No kit is booked up to {day_name(result.until, today)}{rest}"
        more = [*on_lines(result.on, view), *to_half(result.to_half)]
        caution = [CAUTION] if result.to_half else []
        return Reply("\n".join([none, *more, *caution]), _other_buttons(result, view))
    lines = [f"<b>To charge for the week to {day_name(result.until, today)}</b>, most used first:"]
    lines += _booked(result.needed, view)
    half = {kit for kit, _ in result.to_half}
    off = [line for line in result.idle if line.why_not is None and line.kit not in half]
    if off:
        lines.append(f"Can stay off, not booked: {labels(line.kit for line in off)}.")
    lines += [*to_half(result.to_half), *on_lines(result.on, view)]
    if result.plan is not None:
        lines += plan_lines(result.plan, view)
    lines += _not_to_charge(result)
    lines.append(CAUTION)
    return Reply("\n".join(lines), _list_buttons(result, view))


def _list_buttons(result: ChargeList, view: View) -> tuple[tuple[Button, ...], ...]:
    """Return what an adult taps; others may look."""
    if not view.role.adult:
        return ()
    first = put_on_buttons(_first_lot(result.plan), "loton", "on", view)
    charged = button("All of these charged", "charged", _which(result, view))
    laid = (*((each,) for each in first), (charged,))
    return (*left_on(result.on, view), *laid, *half_full(result.to_half, view))


def _other_buttons(result: ChargeList, view: View) -> tuple[tuple[Button, ...], ...]:
    return (*left_on(result.on, view), *half_full(result.to_half, view))


def _which(result: ChargeList, view: View) -> str:
    """Name a list so that it can be found again: by its day, and where it began in it."""
    since = f"T{local(result.since, view):%H%M}" if result.since else ""
    return f"{result.day.isoformat()}{since}"


def _first_lot(plan: ChargeSteps | None) -> tuple[ChargeStep, ...]:
    if plan is None or not plan.steps:
        return ()
    return tuple(each for each in plan.steps if each.window.start == plan.steps[0].window.start)


def _booked(lines: Sequence[ChargeLine], view: View) -> list[str]:
    """Return a line for kits that are booked, charged and used alike, in the order given."""
    alike: dict[str, list[KitRef]] = {}
    for line in lines:
        alike.setdefault(_line(line, view), []).append(line.kit)
    return [f"• {labels(kits)}: {text}" for text, kits in alike.items()]


def _line(line: ChargeLine, view: View) -> str:
    sessions = f"{line.sessions} booking{'' if line.sessions == 1 else 's'}"
    last = f"last charged {when(line.charged_at, view)}" if line.charged_at else "no charge noted"
    used = f", used {line.uses_since} times since" if line.uses_since > 1 else ""
    used = ", used once since" if line.uses_since == 1 else used
    return f"{sessions}, {last}{used}"


def _not_to_charge(result: ChargeList) -> list[str]:
    lines = [
        f"{esc(line.kit.label)} is {line.why_not}: don't charge it."
        for line in result.idle
        if line.why_not == "on hold"
    ]
    use = _use_instead(result.plan)
    on = {step.kit.id for step in result.plan.steps} if result.plan is not None else set()
    lines += [
        f"{esc(kit.label)}: charging {'alone ' if kit.id in on else ''}won't fix it "
        f"(fault {number}).{use}"
        for kit, number in result.faulty
    ]
    return lines


def _use_instead(plan: ChargeSteps | None) -> str:
    return f" Use {esc(plan.instead[0].label)}." if plan is not None and plan.instead else ""


def charged(result: Charged, view: View) -> Reply:
    things = [esc(kit.label) for kit in result.kits]
    things += [f"{esc(kit.label)}'s tablet" for kit in result.tablets]
    to = "" if result.percent is None else f" to {result.percent} %"
    return Reply(f"Noted as charged{to}: {listed(things)}.", ((button("Undo", "undo"),),))


def battery_card(result: BatteryCard, view: View) -> Reply:
    return Reply(_believed(result, view), _battery_buttons(result))


def battery_said(result: BatterySaid, view: View) -> Reply:
    tested, charge = result.what == "run time tested", result.what == "charged"
    after = f"{',' if tested else ' after'} {result.minutes} min" if result.minutes else ""
    shown = f"{' to' if charge else ','} {result.percent} %" if result.percent is not None else ""
    text = f"Noted for {_whose(result.card)}: {esc(result.what)}{after}{shown}."
    if result.what == "found flat":
        text += (
            " Was it left on, not plugged in, or was the socket off? Then that was not the battery."
        )
    undo = () if view.role is Role.STUDENT else ((button("Undo", "undo"),),)
    asked = _flat_causes(result.card) if result.what == "found flat" else ()
    return Reply(f"{text}\n{_believed(result.card, view)}", (*asked, *undo))


def _flat_causes(card: BatteryCard) -> tuple[tuple[Button, ...], ...]:
    causes = (("Left on", "on"), ("Not plugged in", "plug"), ("Socket strip off", "strip"))
    return rows([button(text, "flatwhy", card.kit.id, why) for text, why in causes], 2)


_THEN = {
    "left on": "Switch it off before it goes on the shelf.",
    "not plugged in": "Look at the others that were put on with it.",
    "socket strip off": "All that hung on it may be flat: look at them now.",
}


def flat_cause(result: FlatCause, view: View) -> Reply:
    then = _THEN.get(result.why, "")
    undo = () if view.role is Role.STUDENT else ((button("Undo", "undo"),),)
    return Reply(
        f"Noted for {esc(result.kit.label)}: {esc(result.why)}, no fault of the battery. {then}",
        undo,
    )


def _believed(card: BatteryCard, view: View) -> str:
    """Say what is believed of a battery, then why in one sentence, then what to make of it."""
    use = "minutes on" if card.own else "minutes of driving"
    lines = [
        f"<b>{_whose(card)}</b>: {_share(card.level[1])}, {_between(card.level)} %. "
        f"Good for {_between(card.left)} more {use}."
    ]
    if card.on_hold:
        lines.insert(0, f"<b>{esc(card.kit.label)} is on hold</b>: don't charge it, don't use it.")
    lines.append(_why(card, view))
    if card.own:
        return "\n".join(lines)
    if not card.told:
        lines.append(f"Nobody said yet how long it lasts; its type usually gives {card.usual}.")
    if card.flat_starts > 1:
        lines.append(
            f"Found flat at the start {card.flat_starts} times: probably left on or not plugged "
            "in, not a bad battery."
        )
    if card.worn >= _ALMOST_CERTAIN:
        lines.append("Almost certainly worn: charging won't fix this one. An adult decides.")
    elif card.worn >= _DOUBTFUL:
        lines.append("It may be worn. A run-time test would tell: an adult there, wheels up.")
    return "\n".join(lines)


def _whose(card: BatteryCard) -> str:
    label = esc(card.kit.label)
    return f"{label}'s tablet" if card.own else label


def _why(card: BatteryCard, view: View) -> str:
    """Say in one sentence what an estimate rests on."""
    gives = f"it gives {_between(card.run)} in all"
    if card.charged_at is None:
        known = "only what was said of it" if card.told else "so I know little"
        return f"Why: no charge is noted, {known}; full, {gives}."
    full = "last full charge" if card.charged_full else "last charge"
    use = "minutes on" if card.own else "driving minutes"
    since = f"about {card.driven} {use} since" if card.driven else "not used since"
    left = f"so {_share(card.level[1])}"
    return f"Why: {full} {when(card.charged_at, view)}, {since}; {gives}, {left}."


def _between(bounds: tuple[int, int, int]) -> str:
    low, _, high = bounds
    return str(low) if low == high else f"{low} to {high}"


def _share(percent: int) -> str:
    bounds = (
        (95, "about full"),
        (80, "almost full"),
        (60, "more than half full"),
        (40, "about half full"),
        (20, "less than half full"),
        (6, "low"),
    )
    return next((words for least, words in bounds if percent >= least), "about empty")


def _battery_buttons(card: BatteryCard) -> tuple[tuple[Button, ...], ...]:
    if card.own:
        return ()
    said = (("Ran flat", "flat"), ("Still running", "running"), ("Flat at the start", "start"))
    return rows([button(text, "battery", card.kit.id, what) for text, what in said], 2)


SAID: dict[type, Wording] = {
    BatteryCard: battery_card,
    BatterySaid: battery_said,
    FlatCause: flat_cause,
    ChargeList: charge_list,
    Charged: charged,
}
