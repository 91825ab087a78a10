"""What adults read about software versions."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from contextlib import suppress

from clubbot.chat.words.phrases import (
    Reply,
    View,
    Wording,
    button,
    capital,
    day_name,
    esc,
    labels,
    listed,
    local,
)
from clubbot.rules.results import (
    EventDays,
    EventsNoted,
    OlderVersion,
    VersionAgreed,
    VersionLine,
    VersionNoted,
    Versions,
    VersionsBehind,
)

_HOW = (
    "They need mains and the network. An adult does them, as the maker's guide describes: charged "
    "above half, and nothing unplugged before the end."
)
_WHEN = "Not on a session's day, and not in the week of an event."


def _by_version(lines: Iterable[VersionLine]) -> str:
    """Say "D and F unit 3.1, G tablet 6.9"."""
    groups: dict[tuple[str, str], list[VersionLine]] = {}
    for line in lines:
        groups.setdefault((line.thing, line.version), []).append(line)
    return ", ".join(
        f"{labels(each.kit for each in group)} {esc(thing)}{f' {esc(version)}' if version else ''}"
        for (thing, version), group in groups.items()
    )


def _agreed(unit: str, tablet: str) -> str:
    said = [
        f"{things} {esc(version)}"
        for things, version in (("units", unit), ("tablets", tablet))
        if version
    ]
    return f"Agreed: {listed(said)}." if said else ""


def _time(minutes: int) -> str:
    return f"About {minutes} minutes in all, one after the other."


def versions(result: Versions, view: View) -> Reply:
    agreed = _agreed(result.unit, result.tablet) or (
        "The club has agreed on no version yet. Such as: /versions agree unit 3.2"
    )
    lines = [f"<b>Versions</b>. {agreed}"]
    told = (
        ("behind", "Behind"),
        ("another", "Another than agreed"),
        ("newer", "Newer than agreed, leave them"),
        ("as agreed", "As agreed"),
        ("not noted", "Not noted"),
    )
    for standing, words in told:
        if mine := [line for line in result.lines if line.standing == standing]:
            lines.append(f"{words}: {_by_version(mine)}.")
    if rest := [line for line in result.lines if not line.standing and line.version]:
        lines.append(f"Noted: {_by_version(rest)}.")
    if result.minutes:
        lines.append(f"{_time(result.minutes)} {_HOW} {_WHEN}")
    lines += [_event(each, view) for each in result.events]
    lines.append("To note one: /versions D F 3.2, or /versions tablet D 7.1")
    return Reply("\n".join(lines))


def agreed(result: VersionAgreed, view: View) -> Reply:
    things = f"{esc(result.thing)}s"
    if not result.version:
        return Reply(f"The club has no agreed version for its {things} now.")
    lines = [f"Agreed for {things}: {esc(result.version)}."]
    if result.behind:
        lines.append(f"To update: {labels(result.behind)}. {_time(result.minutes)} {_HOW} {_WHEN}")
    else:
        lines.append(f"No {esc(result.thing)} is behind. /versions shows who has which.")
    return Reply(" ".join(lines))


def noted(result: VersionNoted, view: View) -> Reply:
    thing = esc(result.thing)
    text = f"Noted: {thing} {esc(result.version)} on {labels(result.kits)}."
    if result.back:
        text += (
            f" Gone back to it: {labels(result.back)}. Try a program on each before it goes out."
        )
    return Reply(text, ((button("Undo", "undo"),),))


def older(result: OlderVersion, view: View) -> Reply:
    had = listed([f"{esc(kit.label)} has {esc(version)}" for kit, version in result.kits])
    text = (
        f"{esc(capital(result.thing))} {esc(result.version)} is older: {had}. Going back? "
        "Programs made with the newer version may not open any more: save them first. An adult "
        "does it, as the maker's guide describes. Charged above half, on the mains, and nothing "
        "unplugged before the end."
    )
    if result.said:
        with suppress(ValueError):
            return Reply(text, ((button("Yes, it went back", "verback", result.said),),))
    return Reply(f"{text} If so: /versions {esc(result.said)}")


def _event(each: EventDays, view: View) -> str:
    today = local(view.now, view).date()
    span = day_name(each.first, today)
    if each.last != each.first:
        span += f" to {day_name(each.last, today)}"
    return f"Event: {span}{f', {esc(each.why)}' if each.why else ''}."


def events(result: EventsNoted, view: View) -> Reply:
    if not result.events:
        return Reply("No event is noted now.")
    lines = [_event(each, view) for each in result.events]
    lines.append(
        "I tell nobody to update on those days and in the week before. /versions always answers."
    )
    return Reply("\n".join(lines))


def behind(result: VersionsBehind, view: View) -> Reply:
    booked = day_name(result.booked, local(view.now, view).date())
    lines: Sequence[str] = (
        f"<b>Updates</b> before {booked}, on a quiet day: {_by_version(result.lines)}.",
        _agreed(result.unit, result.tablet),
        f"{_time(result.minutes)} {_HOW} {_WHEN} Then: /versions and the label and the version.",
    )
    return Reply("\n".join(lines))


SAID: dict[type, Wording] = {
    EventsNoted: events,
    OlderVersion: older,
    VersionAgreed: agreed,
    VersionNoted: noted,
    Versions: versions,
    VersionsBehind: behind,
}
