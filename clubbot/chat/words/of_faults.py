"""What several answers say of a fault: what it hangs on, what was checked, what to take instead."""

from __future__ import annotations

from clubbot.chat.words.phrases import Button, View, button, day_name, esc, local, when
from clubbot.rules.faults.knowledge import known
from clubbot.rules.faults.triage import Outcome
from clubbot.rules.results import CheckDone, ClaimLine, FaultLine, SwapOffer

_CAME = {Outcome.WORKED: "it helped", Outcome.SAME: "no change", Outcome.CANT: "not possible"}


def name_of(fault: FaultLine) -> str:
    """Return what a fault hangs on: "kit D", or "D's tablet"."""
    if fault.kit is None:
        return f"a {esc(fault.thing)} in no kit" if fault.thing else "no kit named"
    label = esc(fault.kit.label)
    return f"{label}'s {esc(fault.thing)}" if fault.thing else f"kit {label}"


def offered(offer: SwapOffer, view: View) -> str:
    """Return what can be had instead, for whoever may give it out or must ask."""
    label = esc(offer.instead.label)
    return (
        f"{label} is free meanwhile." if view.role.staff else f"Meanwhile ask a helper for {label}."
    )


def swap_rows(offer: SwapOffer | None, view: View) -> tuple[tuple[Button, ...], ...]:
    """Return the button that gives the booking of now another kit, for those who give out."""
    if offer is None or not view.role.staff:
        return ()
    text = f"{offer.instead.label} instead of {offer.kit.label}"
    return ((button(text, "swap", offer.number, offer.kit.id),),)


def checks_line(checked: tuple[CheckDone, ...]) -> str:
    """Return " Checked: pressed the plugs home (no change)." or nothing."""
    said = [text for _, text in checks_done(checked)]
    return f" Checked: {', '.join(said)}." if said else ""


def checks_done(checked: tuple[CheckDone, ...]) -> list[tuple[CheckDone, str]]:
    """Return the checks that are still known, each with what was done and what came of it."""
    return [
        (each, f"{known().checks[each.code].done} ({_came(each)})") for each in checked if _is(each)
    ]


def _is(each: CheckDone) -> bool:
    """Say whether the knowledge base still has a check that was done once."""
    return each.code in known().checks


def _came(each: CheckDone) -> str:
    if each.outcome == Outcome.WORKED and not known().checks[each.code].mends:
        return "found"
    return _CAME[Outcome(each.outcome)]


def claim_line(claim: ClaimLine, view: View) -> str:
    """Return a letter that is out: since when, and until when an answer is promised."""
    today = local(view.now, view).date()
    where = f" ({esc(claim.kit.label)})" if claim.kit else ""
    text = f"Fault {claim.number}{where}: letter sent {when(claim.sent_at, view)}"
    if claim.promised_on is None:
        return f"{text}, no day promised."
    passed = claim.promised_on < today
    day = day_name(claim.promised_on, today)
    return f"{text}, answer promised by {day}{', which has passed' if passed else ''}."
