"""What people read when something may hurt somebody: a child the fewest words, adults the rest."""

from __future__ import annotations

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
    DangerReported,
    DangerTaken,
    DangerUnanswered,
)

CARE = (
    "Don't charge it, don't open it. Move it only if that is safe. "
    "The school's rules and the fire service come first."
)


def reported(result: DangerReported, view: View) -> Reply:
    if result.fire:
        number = f" Emergency: {esc(result.emergency_number)}." if result.emergency_number else ""
        return Reply(f"<b>Everyone out. Get an adult now.</b>{number}")
    return Reply("<b>Leave it. Move away. Get an adult now.</b>")


def alarm(result: DangerAlarm, view: View) -> Reply:
    often = ""
    if result.often:
        often = (
            f"\nFor leaders: alarm {result.often} from this account in 14 weeks. "
            "Look all the same; then ask calmly how they are doing."
        )
    return Reply(
        f"<b>Danger reported</b>{_what(result)} "
        f"Go and look now; I can't ring anyone. {CARE}{often}",
        (_have_it(result),),
    )


def unanswered(result: DangerUnanswered, view: View) -> Reply:
    silent = listed([esc(name) for name in result.silent])
    last = " I don't write again about this." if result.last else ""
    return Reply(
        f"<b>Nobody has this yet</b>, after {_minutes(result.minutes)}. Danger reported"
        f"{_what(result.alarm)} No answer from {silent}. I can't ring anyone: "
        f"please ring each other, or go and look.{last} {CARE}",
        (_have_it(result.alarm),),
    )


def has_someone(result: DangerHasSomeone, view: View) -> Reply:
    return Reply(f"{esc(result.name)} has it: {_kits(result.alarm)}, {_faults(result.alarm)}.")


def taken(result: DangerTaken, view: View) -> Reply:
    if not result.mine:
        name = esc(result.name) if result.name else "Somebody else"
        return Reply(
            f"{name} has it already. Danger reported{_what(result.alarm)} "
            "Ask whether they need a hand."
        )
    number = " ".join(str(each) for each in result.alarm.numbers[:1])
    after = f"Write /fixed {number} with what you did"
    if result.alarm.kits:
        names = " ".join(esc(kit.label) for kit in result.alarm.kits)
        after += f"; /release {names} only once you have looked"
    return Reply(
        f"You have it; the other adults are told. Danger reported{_what(result.alarm)} "
        f"{CARE}\n{after}."
    )


def _what(result: DangerAlarm) -> str:
    by = esc(result.by) if result.by else "somebody whom the club doesn't know"
    kits = f"{_kits(result)}, on hold" if result.kits else _kits(result)
    fire = " Smoke or fire: everyone out first." if result.fire else ""
    return f" by {by}: \u201c{esc(result.said)}\u201d. {capital(kits)}.{fire}"


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
    DangerTaken: taken,
}
