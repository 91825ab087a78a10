"""What people read about giving out, taking back, passing on, today's list and one kit."""

from __future__ import annotations

from clubbot.chat.words.counting import why
from clubbot.chat.words.fault import fault_line
from clubbot.chat.words.phrases import (
    Button,
    Reply,
    View,
    Wording,
    button,
    by_others,
    capital,
    esc,
    for_team,
    kits_named,
    labels,
    listed,
    number_of_kits,
    rows,
    until,
    when,
)
from clubbot.rules.results import (
    HandedOut,
    KitCard,
    KitSwapped,
    MixNoted,
    OutLine,
    PassedOn,
    SaidBack,
    SessionHandedOut,
    Swap,
    TakenBack,
    TeamNeeded,
    Undone,
    WhatIsMissing,
    WhatIsOut,
)

_UNDO = ((button("Undo", "undo"),),)


def handed_out(result: HandedOut, view: View) -> Reply:
    lines = [f"Out: {_given(result)}, until {until(result.due, view)}.", *swap_lines(result.swaps)]
    lines += mix_lines(result.mixes)
    return Reply("\n".join(lines), _UNDO)


def _given(result: HandedOut) -> str:
    whose = f" with {esc(result.team.name)}" if result.team else ""
    return f"{labels(result.kits)}{whose}"


def session_handed_out(result: SessionHandedOut, view: View) -> Reply:
    lines = []
    if result.given:
        kits = sum(len(each.kits) for each in result.given)
        due = until(max(each.due for each in result.given), view)
        lines.append(f"{number_of_kits(kits)} out until {due}:")
        lines += [f"• {_given(each)}" for each in result.given]
        for each in result.given:
            lines += swap_lines(each.swaps)
    lines += [
        f"Not given out: booking {each.number}{for_team(each.team)}. Its kits can't all be had; "
        f"/free shows what is left."
        for each in result.short
    ]
    lines += mix_lines(result.mixes)
    return Reply("\n".join(lines), _UNDO if result.given else ())


def mix_lines(mixes: tuple[MixNoted, ...]) -> list[str]:
    """Return one line for each tablet that is with another kit's unit."""
    return [
        f"{esc(mix.tablet.label)}'s tablet is with {esc(mix.unit.label)}; it is asked about later."
        for mix in mixes
    ]


def swap_lines(swaps: tuple[Swap, ...]) -> list[str]:
    """Return one line for each booking that gets another kit than it was told."""
    return [
        f"Booking {swap.number}{for_team(swap.team)} gets {esc(swap.after)} instead of "
        f"{esc(swap.before)}; they are told."
        for swap in swaps
    ]


def kit_swapped(result: KitSwapped, view: View) -> Reply:
    """Say which kit a booking has now, and what changed with it."""
    whose = for_team(result.team) or f" for booking {result.number}"
    first = f"{esc(result.after.label)} instead of {esc(result.before.label)}{whose}."
    return Reply("\n".join([first, *swap_lines(result.swaps)]))


def team_needed(result: TeamNeeded, view: View) -> Reply:
    verb = "passto" if result.passing else "giveto"
    chosen = ",".join(str(kit.id) for kit in result.kits)
    what = capital(kits_named(result.kits))
    try:
        buttons = [button(team.name, verb, team.id, chosen) for team in result.teams]
    except ValueError:
        return Reply(f"{what}: for which team? Type its name after the labels.")
    if not buttons:
        return Reply(f"{what}: there are no teams yet. A leader adds them with /setup.")
    return Reply(f"{what}: for which team?", rows(buttons, 2))


def said_back(result: SaidBack, view: View) -> Reply:
    return Reply(
        f"Thanks. {capital(kits_named(result.kits))}: noted as back. "
        "A helper or an adult still looks at it.\n"
        "Unit off? Tablet in? Big parts in? Tray like its photo?"
    )


def taken_back(result: TakenBack, view: View) -> Reply:
    text = f"Back: {labels(result.kits)}."
    if result.still_out:
        text += f" Still out: {labels(result.still_out)}."
    else:
        text += " Everything that is due is back."
    if result.count:
        named = [f"{esc(line.kit.label)} ({why(line, view)})" for line in result.count]
        text += f"\nFull count today, please: {listed(named)}."
    buttons = [button(f"{kit.label} back", "backkit", kit.id) for kit in result.still_out[:12]]
    buttons += [button(f"Count {e.kit.label}", "countkit", e.kit.id) for e in result.count[:8]]
    apart: list[Button] = []
    for mix in result.mixes[:4]:
        tablet = esc(mix.tablet.label)
        text += f"\n{esc(mix.unit.label)} went with {tablet}'s tablet. Each in its own kit again?"
        apart.append(button(f"Tablet {mix.tablet.label} apart", "apart", mix.mix))
        apart.append(button("Not yet", "stillmixed", mix.mix))
    return Reply(text, (*rows(buttons, 4), *rows(apart, 2), *_UNDO))


def what_is_out(result: WhatIsOut, view: View) -> Reply:
    if not result.lines:
        return Reply("Nothing is out.")
    lines = [_out_line(line, view) for line in result.lines]
    buttons = [button(line.kit.label, "backkit", line.kit.id) for line in result.lines[:24]]
    return Reply(
        "\n".join(["Out now. Tap what is back:", *lines]),
        (*rows(buttons, 4), (button("All back", "backall"),)),
    )


def what_is_missing(result: WhatIsMissing, view: View) -> Reply:
    """Offer one tap for each kit that is missing, then one for the rest."""
    if not result.lines:
        return Reply("Nothing is out.")
    marked = set(result.missing)
    buttons = []
    for line in result.lines[:48]:
        gone = line.kit.id in marked
        after = marked - {line.kit.id} if gone else marked | {line.kit.id}
        try:
            facts = ",".join(str(kit) for kit in sorted(after)) or "0"
            text = f"{line.kit.label} missing" if gone else line.kit.label
            buttons.append(button(text, "missed", facts))
        except ValueError:
            return what_is_out(WhatIsOut(result.lines), view)
    missing = [esc(line.kit.label) for line in result.lines if line.kit.id in marked]
    text = f"Missing: {listed(missing)}." if missing else "Tap what is missing."
    if len(missing) == len(result.lines):
        return Reply(f"{text} Nothing is back.", rows(buttons, 4))
    rest = ",".join(str(kit) for kit in sorted(marked)) or "0"
    name = "The rest is back" if missing else "All back"
    return Reply(
        f"{text} The rest is taken back.", (*rows(buttons, 4), (button(name, "restback", rest),))
    )


def _out_line(line: OutLine, view: View) -> str:
    whose = f" with {esc(line.team.name)}" if line.team and view.private else ""
    due = f", due {until(line.due, view)}" if line.due else ""
    state = ", <b>late</b>" if line.late and view.private else ""
    if line.said_back:
        state = ", said to be back: please look"
    return f"• {esc(line.kit.label)}{whose}{due}{state}"


def passed_on(result: PassedOn, view: View) -> Reply:
    """Say it, and ask for the short look at the door: nothing of it has to be answered."""
    wrong = [button(f"{kit.label}: wrong", "wrong", kit.id) for kit in result.kits[:12]]
    return Reply(
        f"Passed on: {labels(result.kits)} to {esc(result.team.name)}, "
        f"until {until(result.due, view)}.\n"
        "A short look: unit off and on again, tablet in, big parts in, nothing loose?",
        (*rows(wrong, 4), *_UNDO),
    )


def undone(result: Undone, view: View) -> Reply:
    kinds = list(dict.fromkeys(kind for kind, _ in result.what))
    parts = [
        f"{listed([esc(label) for kind, label in result.what if kind == each and label])} "
        f"{_taken_back(each)}"
        for each in kinds
    ]
    text = f"Undone: {listed([part.strip() for part in parts])} ({when(result.said_at, view)})."
    if result.faults:
        many = "" if len(result.faults) == 1 else "s"
        numbers = listed([str(number) for number in result.faults])
        return Reply(f"{text} Fault{many} {numbers} with it.")
    return Reply(f"{text} Nothing else changed.")


def _taken_back(kind: str) -> str:
    """Name what was undone; under a cause ("found flat: left on") the finding stays."""
    stays, _, cause = kind.partition(": ")
    return f"{cause}; it stays noted as {stays}" if cause else kind


def kit_card(result: KitCard, view: View) -> Reply:
    lines = [f"<b>Kit {esc(result.kit.label)}</b> ({esc(result.kit_type)})"]
    lines += _where(result, view)
    if result.held is not None:
        why = f": {esc(result.held)}" if view.private else ""
        lines.append(f"On hold{why}. Don't use it; an adult looks first.")
    if result.withdrawn is not None:
        note = by_others(result.withdrawn, view)
        why = f": {note}" if note and view.private else ""
        lines.append(f"Out of use{why}.")
    if view.private:
        lines += [fault_line(fault, view, kit=False) for fault in result.faults]
    if result.charged_at and view.role.staff:
        lines.append(f"Last charged {when(result.charged_at, view)}.")
    if result.next_booking:
        lines.append(f"Next booking {when(result.next_booking, view)}.")
    buttons = []
    if result.out and (result.mine or view.role.staff):
        buttons.append(button("Kit is back", "backkit", result.kit.id))
    if result.withdrawn is not None and view.role.staff:
        buttons.append(button("Back in use", "restore", result.kit.id))
    return Reply("\n".join(lines), (tuple(buttons),) if buttons else ())


def _where(result: KitCard, view: View) -> list[str]:
    """Say where a kit is: in a group neither with whom nor whether it is late."""
    if result.lost:
        return ["It is being looked for. If you see it, give it to an adult."]
    if not result.out:
        return ["On its shelf."]
    whose = f" with {esc(result.team.name)}" if result.team and view.private else ""
    lines = [f"Out{whose}" + (f" until {until(result.due, view)}" if result.due else "")]
    if result.late and view.private:
        lines.append("Late.")
    if result.said_back:
        lines.append("Said to be back; nobody has looked yet.")
    return lines


SAID: dict[type, Wording] = {
    HandedOut: handed_out,
    SessionHandedOut: session_handed_out,
    TeamNeeded: team_needed,
    SaidBack: said_back,
    TakenBack: taken_back,
    WhatIsMissing: what_is_missing,
    WhatIsOut: what_is_out,
    PassedOn: passed_on,
    Undone: undone,
    KitSwapped: kit_swapped,
    KitCard: kit_card,
}
