"""What people read when something may hurt somebody: a child the fewest words, adults the rest."""

from __future__ import annotations

from clubbot.chat.words.of_faults import name_of
from clubbot.chat.words.phrases import (
    Button,
    Reply,
    View,
    Wording,
    button,
    capital,
    esc,
    kits_named,
    listed,
)
from clubbot.rules.results import (
    DangerAlarm,
    DangerHasSomeone,
    DangerPlaced,
    DangerReported,
    DangerSaidAgain,
    DangerTaken,
    DangerUnanswered,
)

CARE = (
    "Don't charge it, don't open it. Move it only if that is safe. "
    "The school's rules and the fire service come first."
)
FIRST_AID = "Somebody may be hurt: first aid as the school says; its rules come first."
CAUGHT = "Stop the motor, don't pull."
SWALLOWED = (
    "Perhaps a button cell or magnet was swallowed? Call the emergency services at once, "
    "even if all seems well: that is common advice."
)


def reported(result: DangerReported, view: View) -> Reply:
    if view.role.adult and view.private:
        return _to_adult(result)
    number = f" {_emergency(result)}" if result.emergency_number else ""
    if result.fire:
        return Reply(f"<b>Everyone out. Get an adult now.</b>{number}{_also(result)}")
    if not result.harm:
        return Reply(f"<b>Leave it. Move away. Get an adult now.</b>{_also(result)}")
    then = ""
    if "caught" in result.harm:
        then = " <b>Stop it. Don't pull.</b>"
    elif result.thing:
        then = " <b>Leave it. Move away.</b>"
    return Reply(f"<b>Get an adult now.</b>{number}{then}{_also(result)}")


def _to_adult(result: DangerReported) -> Reply:
    """Say to an adult who reports danger what the alarm says to the others."""
    on_hold = f" {capital(kits_named(result.kits))}, on hold." if result.kits else ""
    which = " Which kit? Write its label, and it goes on hold."
    kits = on_hold or (which if result.thing else "")
    fire = f" {_go(result)}" if result.fire else ""
    return Reply(
        f"<b>Every adult is told now.</b> I can't ring anyone.{fire}{kits} {care(result)}"
        f"{_also(result)}"
    )


def care(result: DangerReported | DangerAlarm) -> str:
    """Return what an adult does: about fire, for whoever is hurt, for the thing that does it."""
    number = f" {_emergency(result)}" if result.fire and result.emergency_number else ""
    if not result.harm:
        return f"{CARE}{number}"
    said = [FIRST_AID]
    if "caught" in result.harm:
        said.append(CAUGHT)
    if "swallowed" in result.harm:
        said.append(SWALLOWED)
    if result.emergency_number:
        said.append(_emergency(result))
    return " ".join([*said, CARE] if result.thing else said)


def _go(result: DangerReported | DangerAlarm) -> str:
    """Return what an adult does first: nobody goes and looks at a fire."""
    if not result.fire:
        return "Go and look now;"
    return "<b>Smoke or fire: everyone out, call the emergency number, then the rest.</b>"


def _first(result: DangerAlarm) -> str:
    return f"{_go(result)} " if result.fire else ""


def _emergency(result: DangerReported | DangerAlarm) -> str:
    return f"Emergency: {esc(result.emergency_number)}."


def _also(result: DangerReported) -> str:
    """Return what was noted beside the danger, in a few words below it."""
    noted = [f"{name_of(line)}, fault {line.number}" for line in result.also]
    return f"\nNoted too: {listed(noted)}." if noted else ""


def alarm(result: DangerAlarm, view: View) -> Reply:
    often = ""
    if result.often:
        often = (
            f"\nFor leaders: alarm {result.often} from this account in 14 weeks. "
            "Look all the same; then ask calmly how they are doing."
        )
    return Reply(
        f"<b>Danger reported</b>{_what(result)} "
        f"{_go(result)} I can't ring anyone. {care(result)}{often}",
        (_have_it(result),),
    )


def unanswered(result: DangerUnanswered, view: View) -> Reply:
    names = listed([esc(name) for name in result.silent])
    silent = f" No answer from {names}." if names else ""
    look = "" if result.alarm.fire else ", or go and look"
    last = " I don't write again about this." if result.last else ""
    return Reply(
        f"<b>Nobody has this yet</b>, after {_minutes(result.minutes)}. Danger reported"
        f"{_what(result.alarm)}{silent} {_first(result.alarm)}I can't ring anyone: "
        f"please ring each other{look}.{last} {care(result.alarm)}",
        (_have_it(result.alarm),),
    )


def has_someone(result: DangerHasSomeone, view: View) -> Reply:
    return Reply(f"{esc(result.name)} has it: {_kits(result.alarm)}, {_faults(result.alarm)}.")


def placed(result: DangerPlaced, view: View) -> Reply:
    alarm = result.alarm
    text = (
        f"<b>It is {_kits(alarm)}</b>, on hold now: the danger reported by {_by(alarm.by)}, "
        f"\u201c{esc(alarm.said)}\u201d, {_faults(alarm)}."
    )
    if result.name:
        return Reply(f"{text} {esc(result.name)} has it.")
    text += f" {_go(alarm)} I can't ring anyone. {care(alarm)}"
    return Reply(text, (_have_it(alarm),))


def said_again(result: DangerSaidAgain, view: View) -> Reply:
    alarm = result.alarm
    return Reply(
        f"<b>Again</b>, by {_by(result.by)}: \u201c{esc(result.said)}\u201d. You have it: "
        f"{_kits(alarm)}, {_faults(alarm)}. The other adults aren't told."
    )


def taken(result: DangerTaken, view: View) -> Reply:
    if not result.mine:
        name = esc(result.name) if result.name else "Somebody else"
        return Reply(
            f"{name} has it already. Danger reported{_what(result.alarm)} "
            "Ask whether they need a hand."
        )
    each = listed([f"/fixed {number}" for number in result.alarm.numbers])
    after = f"Write {each} with what you did"
    if result.alarm.kits:
        names = " ".join(esc(kit.label) for kit in result.alarm.kits)
        after += f"; /release {names} only once you have looked"
    return Reply(
        f"You have it; the other adults are told. Danger reported{_what(result.alarm)} "
        f"{_first(result.alarm)}{care(result.alarm)}\n{after}."
    )


def _what(result: DangerAlarm) -> str:
    by = _by(result.by)
    kits = f"{_kits(result)}, on hold" if result.kits else _kits(result)
    on = listed([f"{esc(kit.label)} on bay {bay}" for kit, bay in result.bays])
    charger = f" On the charger: {on}." if on else ""
    back = f", back after fault {result.before} was closed" if result.before else ""
    return f" by {by}{back}: \u201c{esc(result.said)}\u201d. {capital(kits)}.{charger}"


def _by(name: str) -> str:
    return esc(name) if name else "somebody whom the club doesn't know"


def _kits(result: DangerAlarm) -> str:
    return kits_named(result.kits) if result.kits else "no kit named"


def _faults(result: DangerAlarm) -> str:
    many = "fault" if len(result.numbers) == 1 else "faults"
    return f"{many} {listed([str(number) for number in result.numbers])}"


def _minutes(count: int) -> str:
    return "1 minute" if count == 1 else f"{count} minutes"


def _have_it(result: DangerAlarm) -> tuple[Button, ...]:
    return (button("I have it", "haveit", result.fault),)


SAID: dict[type, Wording] = {
    DangerReported: reported,
    DangerAlarm: alarm,
    DangerUnanswered: unanswered,
    DangerHasSomeone: has_someone,
    DangerPlaced: placed,
    DangerSaidAgain: said_again,
    DangerTaken: taken,
}
