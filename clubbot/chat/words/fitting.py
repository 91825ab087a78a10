"""What adults read about things fitted to kits."""

from __future__ import annotations

from clubbot.chat.words.phrases import Reply, View, Wording, button, capital, esc, listed
from clubbot.rules.model import ItemKind
from clubbot.rules.results import Fitted, FittedThing, ThingFitted, ThingListed, ThingTakenOff

_BATTERY = (
    "An adult swaps it, switched off, as the maker's guide says. "
    "Never one that is swollen, hot, wet or damaged."
)


def _named(kind: ItemKind, name: str) -> str:
    return f"{esc(kind)} {esc(name)}" if name else f"a {esc(kind)} without a name"


def _what(thing: FittedThing) -> str:
    return capital(_named(thing.kind, thing.name))


def fitted(result: Fitted, view: View) -> Reply:
    if result.kit is None:
        if not result.things:
            return Reply("No such thing is listed. /fit D shows what is in D.")
        lines = [
            f"{_what(each)}: {f'in {esc(each.kit.label)}' if each.kit else 'in no kit'}."
            for each in result.things
        ]
        return Reply("\n".join(lines))
    label = esc(result.kit.label)
    if not result.things:
        return Reply(f"Nothing is listed in {label} yet. Such as: /fit battery B7 to {label}")
    inside = listed([_named(each.kind, each.name) for each in result.things])
    return Reply(f"In {label}: {inside}. To change one: /fit battery B7 to {label}")


def thing_fitted(result: ThingFitted, view: View) -> Reply:
    label, thing = esc(result.kit.label), result.thing
    was = f" It was in {esc(result.was_in.label)}, which has none now." if result.was_in else ""
    lines = [f"{_what(thing)} is in {label} from now on.{was}"]
    if result.out:
        out = listed([_named(thing.kind, name) for name in result.out])
        lines.append(f"Out of {label}: {out}.")
    if result.new:
        lines.append("It is new to me, so I know nothing of it yet.")
    else:
        lines.append("What I know of it goes along.")
    if thing.kind == "battery":
        lines.append(_BATTERY)
    asked = [button("It was in there before", "wasthere", result.ask)] if result.ask else []
    undo = button("Undo", "undo")
    return Reply(" ".join(lines), ((*asked, undo),))


def thing_listed(result: ThingListed, view: View) -> Reply:
    label = esc(result.kit.label)
    return Reply(f"{_what(result.thing)} has been in {label}: what I know of {label} is about it.")


def taken_off(result: ThingTakenOff, view: View) -> Reply:
    out = listed([_named(result.kind, name) for name in result.names])
    label = esc(result.kit.label)
    text = f"Out of {label}: {out}. What I know of it stays with it."
    return Reply(text, ((button("Undo", "undo"),),))


SAID: dict[type, Wording] = {
    Fitted: fitted,
    ThingFitted: thing_fitted,
    ThingListed: thing_listed,
    ThingTakenOff: taken_off,
}
