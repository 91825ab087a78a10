"""What people read on a walk through the store room."""

from __future__ import annotations

from clubbot.chat.words.handover import swap_lines
from clubbot.chat.words.phrases import (
    Reply,
    View,
    Wording,
    button,
    by_others,
    capital,
    esc,
    labels,
    listed,
    rows,
    when,
)
from clubbot.rules.results import (
    StockDifference,
    StockEnd,
    StockKit,
    StockMessageKept,
    StockParts,
    StockStands,
    StockWritten,
)

_UNDO = ((button("Undo", "undo"),),)


def kit(result: StockKit, view: View) -> Reply:
    number = result.kit.id
    at = f" ({esc(result.place)})" if result.place else ""
    lines = [
        f"Stocktake, {result.done} of {result.total} done. "
        f"Next: <b>{esc(result.kit.label)}</b>{at}",
        f"By the books: {_by_the_books(result, view)}.",
    ]
    return Reply(
        "\n".join(lines),
        (
            (
                button("There", "stock", number, "there"),
                button("Not there", "stock", number, "gone"),
            ),
            (button("There, but different", "stockparts", number),),
            (button("Later", "stocklater", number), button("That's all", "stockend")),
        ),
    )


def _by_the_books(result: StockKit, view: View) -> str:
    text = {"shelf": "on its shelf", "lost": "lost"}.get(result.booked, "out")
    if result.booked == "out" and result.team:
        text += f" with {esc(result.team.name)}"
    if result.unusable:
        why = by_others(result.unusable, view, 120)
        text += f", not in use{f': {why}' if why else ''}"
    if result.missing:
        text += f", short of {_parts(result.missing)}"
    return text


def _parts(parts: tuple[tuple[str, int], ...]) -> str:
    return listed([f"{number} {esc(name, 40)}" for name, number in parts])


def differs(result: StockParts, view: View) -> Reply:
    number = result.kit.id
    buttons = [
        button(
            f"{name}: {count - gone} of {count}" if gone else f"{count} {name}",
            "stockparts",
            number,
            place,
        )
        for place, (name, count, gone) in enumerate(result.parts[:84])
    ]
    gone = [(name, missing) for name, _, missing in result.parts if missing]
    text = f"<b>{esc(result.kit.label)}</b> is there. Tap what is missing, once for each."
    if gone:
        text += f" Missing: {_parts(tuple(gone))}."
    return Reply(text, (*rows(buttons, 2), (button("Done", "stockdone", number),)))


def end(result: StockEnd, view: View) -> Reply:
    looked = result.total - len(result.unseen)
    lines = [f"Stocktake: {looked} of {result.total} looked at."]
    if result.unseen:
        lines.append(f"Not yet: {labels(result.unseen[:40])}.")
    if result.differences:
        lines.append("<b>Different from the books</b>")
        lines += [_difference(each) for each in result.differences[:40]]
        yes = button("Yes, put the books right", "stockyes")
    else:
        lines.append("All as the books have it.")
        yes = button("Finish", "stockyes")
    again = [button(f"{e.kit.label} again", "stockagain", e.kit.id) for e in result.differences]
    laid = ((yes,), *rows(again[:24], 3))
    if result.unseen:
        laid = (*laid, (button("Go on with the walk", "stocklater", 0),))
    return Reply("\n".join(lines), laid)


def _difference(each: StockDifference) -> str:
    return f"\u2022 {esc(each.kit.label)}: {_found(each)}{_then(each)}"


def _found(each: StockDifference) -> str:
    with_team = f" with {esc(each.team.name)}" if each.team else ""
    where = {"out": f"out{with_team}", "lost": "lost", "shelf": "on its shelf"}.get(each.booked, "")
    if each.seen == "gone":
        return f"not there, by the books {where}"
    text = "there" if each.booked == "shelf" else f"there, by the books {where}"
    if each.short:
        text += f", {_parts(each.short)} missing"
    if each.back:
        text += f", {_parts(each.back)} turned up"
    return text


_DONE = {
    "taken back": "it is taken back",
    "found": "it is found",
    "put out of use": "it is out of use until it turns up",
    "put back in use": "it is in use again",
    "short of parts": "the parts are noted as missing",
    "parts put in": "the parts are noted as there",
}


def _then(each: StockDifference) -> str:
    """Say what a yes makes of a difference."""
    if each.left:
        return ". An adult puts that right"
    done = [_DONE.get(what, esc(what)) for what in each.what]
    return f". Then {listed(done)}" if done else ". It is out of use already"


def written(result: StockWritten, view: View) -> Reply:
    done = [each for each in result.differences if not each.left]
    left = [each for each in result.differences if each.left]
    lines = ["Stocktake finished."]
    if done:
        lines.append("<b>Put right</b>")
        lines += [f"\u2022 {esc(each.kit.label)}: {_found(each)}" for each in done[:40]]
    if left:
        lines.append(f"An adult puts right: {labels(each.kit for each in left)}.")
    if gone := [each.kit for each in done if each.seen == "gone"]:
        lines.append(f"Not found: {labels(gone)}. An adult decides: /lost has what to do.")
    if result.unseen:
        lines.append(f"Not looked at: {labels(result.unseen[:40])}.")
    lines += swap_lines(result.swaps)
    written_ = any(each.what for each in done)
    return Reply("\n".join(lines), _UNDO if written_ else ())


def stands(result: StockStands, view: View) -> Reply:
    whose = "Your stocktake" if result.mine else "A stocktake"
    by = f" {esc(result.by)} was at it last, {when(result.at, view)}." if not result.mine else ""
    at = f" It rests since {when(result.at, view)}." if result.mine else ""
    return Reply(
        f"{capital(whose)} goes on: {result.done} of {result.total} done.{by}{at}",
        (
            (
                button("Go on with it" if result.mine else "Take it over", "stockgo"),
                button("Begin anew", "stocknew"),
            ),
        ),
    )


def goes_on_elsewhere() -> Reply:
    return Reply("This stocktake goes on in another message. /stocktake shows where it stands.")


def kept(result: StockMessageKept, view: View) -> Reply:
    return Reply("")


SAID: dict[type, Wording] = {
    StockKit: kit,
    StockParts: differs,
    StockEnd: end,
    StockWritten: written,
    StockStands: stands,
    StockMessageKept: kept,
}
