"""What people read about parts and spares."""

from __future__ import annotations

from datetime import datetime

from clubbot.chat.words.phrases import (
    Button,
    Reply,
    View,
    Wording,
    button,
    day_name,
    esc,
    listed,
    local,
    rows,
)
from clubbot.rules.results import (
    BalanceLine,
    GapLine,
    MissingLine,
    OrderLine,
    PartsBooks,
    PartsGone,
    PartsNoted,
    PartsOrder,
    PartsOrdered,
    PartsShown,
)

Some = tuple[tuple[str, int], ...]
_UNDO = button("Undo", "undo")
_SMALL = "Keep them in a closed box: small parts choke small children."
_MOST_LINES = 40


def some(parts: Some) -> str:
    """Return "2 cable and 1 axle"."""
    return listed([f"{number} {esc(name, 60)}" for name, number in parts])


def parts_shown(result: PartsShown, view: View) -> Reply:
    lines = [_gap(gap) for gap in result.gaps[:_MOST_LINES]] or ["No tray is known to lack a part."]
    if more := len(result.gaps) - _MOST_LINES:
        lines += [f"… and {more} more."] if more > 0 else []
    if result.found:
        lines.append(f"Found without a home: {some(result.found)}. {_SMALL}")
    if result.shelf:
        lines.append(f"On the shelf: {some(result.shelf)}.")
    lines.append("To note something: /parts found 2 cables, or /parts D from shelf")
    buttons = [*_fillers(result.gaps[:20])]
    if result.found:
        buttons.append(button("Found ones onto the shelf", "partsshelve"))
    buttons.append(button("Where all parts are", "partsbooks"))
    if view.role.adult:
        buttons += [button("What to order", "partsorder"), button("What went missing", "partsgone")]
    return Reply("\n".join(lines), rows(buttons, 2))


def _gap(gap: GapLine) -> str:
    """Say what a tray lacks and what could fill it."""
    where = [f"{some(gap.found)} found"] if gap.found else []
    where += [f"{some(gap.shelf)} on the shelf"] if gap.shelf else []
    where += [
        f"{some(each.parts)} in {esc(each.kit.label)}, which waits for repair"
        for each in gap.lenders
    ]
    where += [f"{some(gap.rest)} to buy"] if gap.rest else []
    out = "" if gap.here else " It is out now."
    return f"<b>{esc(gap.kit.label)}</b> lacks {some(gap.lacks)}: {'; '.join(where)}.{out}"


def _fillers(gaps: tuple[GapLine, ...]) -> list[Button]:
    """Offer one tap for each tray: what is there into it, or what another kit could lend."""
    made = []
    for gap in gaps:
        label = gap.kit.label
        if gap.here and (gap.found or gap.shelf):
            whole = not gap.rest and not gap.lenders
            text = f"Make {label} whole" if whole else f"Fill {label} as far as it goes"
            made.append(button(text, "partswhole", gap.kit.id))
        if gap.here:
            made += [
                button(f"{each.kit.label} lends to {label}", "partslend", each.kit.id, gap.kit.id)
                for each in gap.lenders[:2]
            ]
    return made


def noted(result: PartsNoted, view: View) -> Reply:
    text = _noted(result)
    if result.kit is not None:
        label = esc(result.kit.label)
        still = "still lacks" if result.what in ("put in", "lent", "given back") else "lacks"
        text += f" {label} {still} {some(result.lacks)}." if result.lacks else f" {label} is whole."
    buttons = _fillers(result.gaps[:10])
    if result.gaps:
        text = "\n".join([text, *(_gap(gap) for gap in result.gaps[:10])])
    if result.what == "found":
        text += "" if result.gaps else f" No tray is known to lack them. {_SMALL}"
        buttons.append(button("Onto the shelf", "partsshelve"))
    return Reply(text, rows([*buttons, _UNDO], 2))


def _noted(result: PartsNoted) -> str:
    """Say what was noted, and what to do about it."""
    what = some(result.parts)
    kit = esc(result.kit.label) if result.kit else "the shelf"
    other = esc(result.other.label) if result.other else "another kit"
    texts = {
        "found": f"Noted as found: {what}.",
        "bought": f"Onto the shelf: {what}. There now: {some(result.there)}.",
        "ordered": f"On order: {what}. When they are here: /parts bought {what}",
        "shelf": f"Shelf counted: {what}.",
        "to shelf": f"Onto the shelf: {what}. There now: {some(result.there)}.",
        "sent": f"At the supplier: {what}. When new ones are here: /parts replaced {what}",
        "replaced": f"Back from the supplier, onto the shelf: {what}.",
        "broken": f"Broken, from {kit}: {what}. Put it aside. Sharp edges? An adult takes it.",
        "short": "Noted.",
        "taken out": f"From {kit} to the shelf: {what}.",
        "put in": f"Put into {kit}: {what}.",
        "lent": f"From {other} into {kit}: {what}. {other} is filled once spares are here.",
        "given back": f"Given back by {other} to {kit}: {what}.",
    }
    if result.what == "ordered" and not any(number for _, number in result.parts):
        return f"No longer on order: {listed([esc(name, 60) for name, _ in result.parts])}."
    return texts.get(result.what, f"Noted: {what}.")


# -- the books ------------------------------------------------------------------------------------


def books(result: PartsBooks, view: View) -> Reply:
    if not result.lines:
        return Reply(
            "No contents list yet. Send kit_types.csv with the parts of each kit type; /import "
            "says how."
        )
    several = len({line.kit_type for line in result.lines}) > 1
    return Reply(
        "\n".join(["Where all parts are:", *(_line(each, several) for each in result.lines)])
    )


def _line(line: BalanceLine, several: bool) -> str:
    places = (
        (line.in_trays, "in trays"),
        (line.kept_built, "kept built"),
        (line.on_shelf, "on the shelf"),
        (line.lent, "lent to another kit"),
        (line.found, "found without a home"),
        (line.at_supplier, "at the supplier"),
        (line.missing, "missing"),
        (line.broken, "broken"),
    )
    told = " + ".join(f"{number} {where}" for number, where in places if number > 0) or "none left"
    name = f"{esc(line.part, 60)} ({esc(line.kit_type, 60)})" if several else esc(line.part, 60)
    text = f"• <b>{name}</b>: {line.bought} = {told}"
    if line.missing < 0:
        text += f" \u2212 {-line.missing} found that nobody missed: a tray lacks it, please count"
    return f"{text}. On order: {line.ordered}." if line.ordered else f"{text}."


def gone(result: PartsGone, view: View) -> Reply:
    if not result.lines:
        return Reply("Nothing is known to have gone missing or broken in the last four months.")
    lines = [f"• {_missing(line, view)}" for line in result.lines[:_MOST_LINES]]
    if len(result.lines) > _MOST_LINES:
        lines.append(f"… and {len(result.lines) - _MOST_LINES} more.")
    return Reply("\n".join(["Missing or broken, for adults only:", *lines]))


def _missing(line: MissingLine, view: View) -> str:
    where = f"<b>{esc(line.kit.label)}</b>" if line.kit else "The shelf"
    what = f"{line.number} {esc(line.part, 60)}"
    if line.broken:
        return f"{where}: {what} broke, noted {_day(line.at, view)}"
    if line.since is None:
        return f"{where}: {what} missed {_day(line.at, view)}, never counted before"
    return f"{where}: {what}, between {_day(line.since, view)} and {_day(line.at, view)}"


def _day(at: datetime, view: View) -> str:
    return day_name(local(at, view).date(), local(view.now, view).date())


# -- the order ------------------------------------------------------------------------------------


def order(result: PartsOrder, view: View) -> Reply:
    until = day_name(result.until, local(view.now, view).date())
    sure = f"{result.percent} times in 100"
    if result.percent % 10 == 0:
        sure = f"{result.percent // 10} times in 10"
    lasts = f"until {until}, {result.ahead} sessions away, {sure}"
    if not result.lines:
        if not result.enough:
            return Reply("No contents list yet, so nothing to work out. /import says how.")
        return Reply(f"Nothing to order: what is there lasts {lasts}.")
    several = len({line.kit_type for line in result.lines}) > 1
    lines = ["<b>For this term's order</b>"]
    lines += [f"• {_wanted(line, result.seen, several)}" for line in result.lines[:_MOST_LINES]]
    priced = [line.cents for line in result.lines if line.cents is not None]
    if priced:
        rest = len(result.lines) - len(priced)
        lines.append(
            f"In all {_price(sum(priced))}" + (f", {rest} without a price." if rest else ".")
        )
    lines.append(f"With that each part lasts {lasts}.")
    if not result.seen:
        lines.append("No kit has gone out yet: these are first guesses.")
    if result.enough:
        many = "" if result.enough == 1 else "s"
        lines.append(f"Enough of {result.enough} other part{many}.")
    lines.append("Other delivery time or rhythm? /settings parts delivery 14, parts order 112")
    return Reply("\n".join(lines), ((button("I have ordered this", "partsordered", result.key),),))


def _wanted(line: OrderLine, seen: int, several: bool) -> str:
    name = f"{esc(line.part, 60)} ({esc(line.kit_type, 60)})" if several else esc(line.part, 60)
    much = f"{line.pieces}"
    if line.pack and line.pack > 1:
        much = f"{line.packs} pack{'' if line.packs == 1 else 's'} of {line.pack}"
    price = f", {_price(line.cents)}" if line.cents is not None else ""
    why = [f"{line.lost} lost or broken in {seen} sessions", f"{line.there} there"]
    why += [f"{line.owed} to fill trays"] if line.owed else []
    return f"<b>{name}</b>: {much}{price}. {', '.join(why)}; {line.base} needed in hand."


def _price(cents: int) -> str:
    return f"{cents // 100}.{cents % 100:02}"


def ordered(result: PartsOrdered, view: View) -> Reply:
    what = some(tuple((line.part, line.pieces) for line in result.lines))
    first = result.lines[0] if result.lines else None
    example = (
        f" When they are here: /parts bought {first.pieces} {esc(first.part, 60)}" if first else ""
    )
    return Reply(f"On order: {what}.{example}", ((_UNDO,),))


SAID: dict[type, Wording] = {
    PartsShown: parts_shown,
    PartsNoted: noted,
    PartsBooks: books,
    PartsGone: gone,
    PartsOrder: order,
    PartsOrdered: ordered,
}
