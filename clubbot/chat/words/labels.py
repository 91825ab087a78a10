"""What people read about labels and when they scan one."""

from __future__ import annotations

from clubbot.chat.words.handover import kit_card
from clubbot.chat.words.phrases import (
    Button,
    Reply,
    View,
    Wording,
    button,
    esc,
    listed,
    rows,
    when,
)
from clubbot.rules.results import (
    GridUnknown,
    LabelScanned,
    LabelSheet,
    MixAsked,
    MixNoted,
    MixSettled,
    Scanned,
    ScannedByStranger,
    WhatIsWrong,
)


def sheet(result: LabelSheet, view: View) -> Reply:
    count = len(result.labels)
    lines = [
        f"{count} label{'' if count == 1 else 's'}, {result.paper}, {esc(result.grid)} mm. "
        "Print at 100 %, not fitted to the page; try plain paper first.",
        "Stick them where no vent, socket or sensor is covered, and not on a battery.",
        "Only for some: /labels tablets D to F. On a sheet: /labels 7x3, or /labels Letter 10x3.",
    ]
    if result.misread:
        lines.append(
            f"{listed([esc(label) for label in result.misread[:20]])}: misread easily. "
            "Other labels are safer; /setup has them."
        )
    return Reply("\n".join(lines))


def grid_unknown(result: GridUnknown, view: View) -> Reply:
    buttons = [
        found for paper, name in result.grids if (found := _grid(f"{paper} {name} mm", paper, name))
    ]
    return Reply("I don't know that sheet. These I know:", rows(buttons, 2))


def _grid(said: str, paper: str, name: str) -> Button | None:
    return button(f"{paper}: {name} mm", "labels", said) if _fits(said) else None


def _fits(said: str) -> bool:
    """Say whether a text may stand behind a button, to be read as if it were typed."""
    return 0 < len(said) <= 48 and said.isascii() and said.isprintable()


def scanned(result: Scanned, view: View) -> Reply:
    card = kit_card(result.card, view)
    lines = [card.text]
    if result.loss is not None and view.role.adult:
        lines.append(f"Noted as lost, reference L{result.loss}. /lost has what is known.")
    elif result.loss is not None and not result.card.lost:
        lines.append(f"This {result.thing} is looked for. Please give it to an adult.")
    buttons = [found for action in result.actions if (found := _action(action, result, view))]
    laid = rows(buttons, 2)
    if result.mix is not None:
        unit, tablet = result.mix
        lines.append(
            f"You scanned unit {esc(unit.label)} and tablet {esc(tablet.label)}. "
            "Do they go out together?"
        )
        laid = ((button("Yes, note the mix", "mixed", unit.id, tablet.id),), *laid)
    return Reply("\n".join(lines), laid)


def _action(action: str, result: Scanned, view: View) -> Button | None:
    kit = result.card.kit
    match action:
        case "give out":
            return button("Give out", "giveout", kit.label) if _fits(kit.label) else None
        case "pass on":
            return button("Pass on", "passkit", kit.label) if _fits(kit.label) else None
        case "back":
            hands = view.role.staff and view.role.value != "door phone"
            return button("Take back" if hands else "Kit is back", "backkit", kit.id)
        case "found":
            return None if result.loss is None else button("It is found", "found", result.loss)
        case _:
            return button("Something is wrong", "wrong", kit.id)


def by_stranger(result: ScannedByStranger, view: View) -> Reply:
    where = f" at {esc(result.hand_in)}" if result.hand_in else ""
    contact = f", or give it to {esc(result.contact)}" if result.contact else ""
    if not where and not contact:
        where = " to an adult of the club"
    return Reply(
        f"This belongs to {esc(result.club)}. Please hand it in{where}{contact}. Thank you."
    )


def label_scanned(result: LabelScanned, view: View) -> Reply:
    what = f"kit {esc(result.kit.label)}'s {result.thing}"
    by = "Somebody from outside the club" if result.outside else "Somebody in the club"
    told = " They were told whose it is and where to hand it in." if result.outside else ""
    lost = " It is noted as lost: /lost" if result.lost else ""
    return Reply(f"{by} scanned {what}, {when(result.at, view)}.{told}{lost}")


def what_is_wrong(result: WhatIsWrong, view: View) -> Reply:
    return Reply(
        f"What is wrong with kit {esc(result.kit.label)}? Write it in one sentence.",
        ((button("Nothing", "stop"),),),
    )


def _pair(result: MixNoted | MixAsked | MixSettled) -> str:
    return f"unit {esc(result.unit.label)} with tablet {esc(result.tablet.label)}"


def mix_noted(result: MixNoted, view: View) -> Reply:
    return Reply(f"Noted: {_pair(result)}. An adult is asked afterwards whether they are apart.")


def mix_asked(result: MixAsked, view: View) -> Reply:
    return Reply(
        f"Noted {when(result.noted_at, view)}: {_pair(result)}. Is each back with its own kit?",
        ((button("Yes", "apart", result.mix), button("Not yet", "stillmixed", result.mix)),),
    )


def mix_settled(result: MixSettled, view: View) -> Reply:
    if result.apart:
        return Reply(
            f"Fine: unit {esc(result.unit.label)} and tablet {esc(result.tablet.label)} "
            "are back with their own kits."
        )
    return Reply(f"Still {_pair(result)}. I ask again on the next open day.")


SAID: dict[type, Wording] = {
    LabelSheet: sheet,
    GridUnknown: grid_unknown,
    Scanned: scanned,
    ScannedByStranger: by_stranger,
    LabelScanned: label_scanned,
    WhatIsWrong: what_is_wrong,
    MixNoted: mix_noted,
    MixAsked: mix_asked,
    MixSettled: mix_settled,
}
