"""What people are told without having asked."""

from __future__ import annotations

from clubbot.chat.words.fault import SYMPTOMS
from clubbot.chat.words.people import knock_buttons
from clubbot.chat.words.phrases import (
    Button,
    Reply,
    View,
    Wording,
    button,
    capital,
    esc,
    for_team,
    kits_named,
    labels,
    number_of_kits,
    span,
    until,
    when,
)
from clubbot.rules.results import (
    BookedTomorrow,
    BookingChanged,
    BookingOff,
    BookingShort,
    DueSoon,
    KitsSwapped,
    Late,
    NewFault,
    PlaceOffered,
    RequestAsked,
    RequestDecided,
    SomeoneKnocks,
    StillOut,
    Teardown,
    YouAreIn,
)


def tomorrow(result: BookedTomorrow, view: View) -> Reply:
    booking = result.booking
    verb = "is" if len(booking.kits) == 1 else "are"
    kits = f" {capital(kits_named(booking.kits))} {verb} yours" if booking.kits else ""
    if kits and result.swaps:
        alone = len(booking.kits) == 1
        kits += " " if alone else ": "
        kits += "; ".join(
            f"{'' if alone else f'{esc(new)} '}instead of {esc(old)}"
            f"{f', since {esc(old)} is {why}' if why else ''}"
            for old, new, why in result.swaps
        )
    return Reply(
        f"{capital(span(booking.window, view))}: booking {booking.number}"
        f"{for_team(booking.team)}.{kits}{'.' if kits else ''}",
        ((button(f"Cancel {booking.number}", "cancel", booking.number),),),
    )


def due_soon(result: DueSoon, view: View) -> Reply:
    text = f"{capital(kits_named(result.kits))}: due back at {until(result.due, view)}."
    return Reply(text, (_longer(result.longer),) if result.longer else ())


def _longer(booking: int) -> tuple[Button, ...]:
    return (button("Needs longer", "needlonger", booking),)


def still_out(result: StillOut, view: View) -> Reply:
    count = len(result.kits)
    verb = "is" if count == 1 else "are"
    return Reply(
        f"{number_of_kits(count)} {verb} still shown as out: {labels(result.kits)}.",
        (
            (
                button("All back", "allback", result.notice),
                button("Some missing", "missing", result.notice),
            ),
        ),
    )


def late(result: Late, view: View) -> Reply:
    name = capital(kits_named(result.kits))
    verb, them = ("was", "it") if len(result.kits) == 1 else ("were", "them")
    if result.step == "leader":
        return Reply(
            f"{name}{for_team(result.team)} {verb} due {when(result.due, view)} and "
            "didn't come back after two reminders."
        )
    return Reply(
        f"{name}{for_team(result.team)} {verb} due {when(result.due, view)}. "
        f"Please bring {them} back, or tap what is back.",
        (
            tuple(button(f"{kit.label} is back", "backkit", kit.id) for kit in result.kits),
            *((_longer(result.longer),) if result.longer else ()),
        ),
    )


def swapped(result: KitsSwapped, view: View) -> Reply:
    pairs = ", ".join(
        f"{esc(new)} instead of {esc(old)}{f' ({esc(old)} is {why})' if why else ''}"
        for old, new, why in result.swaps
    )
    booking = result.booking
    return Reply(
        f"A small change for booking {booking.number}{for_team(booking.team)}, "
        f"{span(booking.window, view)}: {pairs}."
    )


def booking_changed(result: BookingChanged, view: View) -> Reply:
    booking = result.booking
    return Reply(
        f"Booking {booking.number}{for_team(booking.team)} was changed: now "
        f"{number_of_kits(booking.count)}, {span(booking.window, view)}."
    )


def short(result: BookingShort, view: View) -> Reply:
    booking = result.booking
    lost = "its kit can't be had any more"
    if booking.count > 1:
        lost = f"not all of its {number_of_kits(booking.count)} can be had any more"
    return Reply(
        f"Booking {booking.number}{for_team(booking.team)}, {span(booking.window, view)}: {lost}. "
        "/free shows what there is."
    )


def off(result: BookingOff, view: View) -> Reply:
    why = "there is no club then" if result.closed else "it was cancelled"
    return Reply(f"Booking {result.number}, {when(result.start, view)}, is off: {why}.")


def knocks(result: SomeoneKnocks, view: View) -> Reply:
    knock = result.knock
    return Reply(
        f"{esc(knock.name)} wants to come in as {knock.role}.", (tuple(knock_buttons(knock)),)
    )


def you_are_in(result: YouAreIn, view: View) -> Reply:
    text = f"You are in {esc(result.club)} as {result.role}. /help shows what you can do."
    if result.several:
        text += (
            " You are in another club here, too. In private I take what you write for this one: "
            "/club changes that."
        )
    if view.role.adult:
        return Reply(text)
    whom = esc(view.contact) if view.contact else "an adult of the club"
    return Reply(
        f"{text}\n\nGood to know:\n"
        "• I am a program. No person reads what you write here.\n"
        "• I keep your account's number, your name and your team.\n"
        "• I keep what you book and report. /me shows all of it.\n"
        "• Adults of the club can read what I write to you.\n"
        "• Other children never see your words or photos.\n"
        "• You can leave: /leave deletes your name and number.\n"
        f"• Something wrong, or a question? Talk to {whom}."
    )


def new_fault(result: NewFault, view: View) -> Reply:
    fault = result.fault
    name = f"Kit {esc(fault.kit.label)}" if fault.kit else "No kit named"
    said = f" \u201c{esc(fault.said[:200])}\u201d" if fault.said else ""
    return Reply(f"Fault {fault.number}. {name}: {SYMPTOMS[fault.symptom]}.{said}")


def place_offered(result: PlaceOffered, view: View) -> Reply:
    return Reply(
        f"A place for you: {number_of_kits(result.count)}, {span(result.window, view)}. "
        f"It is held until {until(result.until, view)}.",
        ((button("Take it", "take", result.wish), button("No, thanks", "giveup", result.wish)),),
    )


def request_asked(result: RequestAsked, view: View) -> Reply:
    why = "more than a team may have" if result.why == "over-limit" else "too close to call for me"
    return Reply(
        f"{esc(result.by)} asks for {number_of_kits(result.count)}{for_team(result.team)}, "
        f"{span(result.window, view)}: {why}. Yes or no?",
        ((button("Yes", "approve", result.wish), button("No", "decline", result.wish)),),
    )


def request_decided(result: RequestDecided, view: View) -> Reply:
    what = f"{number_of_kits(result.count)}, {span(result.window, view)}"
    if not result.yes:
        return Reply(f"A leader said no to {what}. /free shows what there is.")
    number = f" Booking {result.number}." if result.number else ""
    return Reply(f"A leader said yes: {what}.{number}")


def teardown(result: Teardown, view: View) -> Reply:
    booking = result.booking
    return Reply(
        f"{capital(kits_named(booking.kits))}{for_team(booking.team)}: kept built until today. "
        "Take it apart and count the whole tray, please."
    )


SAID: dict[type, Wording] = {
    BookedTomorrow: tomorrow,
    DueSoon: due_soon,
    StillOut: still_out,
    Late: late,
    KitsSwapped: swapped,
    BookingShort: short,
    BookingChanged: booking_changed,
    BookingOff: off,
    SomeoneKnocks: knocks,
    YouAreIn: you_are_in,
    NewFault: new_fault,
    PlaceOffered: place_offered,
    RequestAsked: request_asked,
    RequestDecided: request_decided,
    Teardown: teardown,
}
