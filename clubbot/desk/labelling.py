"""Labels to print: each kit's unit, tablet and tray has a code of its own from then on."""

from __future__ import annotations

from clubbot.desk.acting import Who, deed
from clubbot.desk.club import new_code
from clubbot.desk.finding import named
from clubbot.rules import labels, setup
from clubbot.rules.ledger import Use
from clubbot.rules.model import Reason, Refused
from clubbot.rules.permissions import Deed
from clubbot.rules.results import GridUnknown, LabelSheet, LabelText
from clubbot.store import tags
from clubbot.store.engine import Tx
from clubbot.store.kits import kits


@deed(Deed.SET_UP)
def sheet(tx: Tx, who: Who, text: str) -> LabelSheet | GridUnknown | Refused:
    """Return the labels to print; a kit's label printed again has the code that it had before."""
    wish = labels.read_wish(text)
    if wish is None:
        every = (*labels.PLAIN.values(), *labels.GRIDS)
        return GridUnknown(tuple((each.paper, each.name) for each in every))
    known = kits(tx, who.club)
    chosen = named(wish.rest, known, {}, but=True)
    if isinstance(chosen, Refused):
        return chosen
    wanted = chosen.kits or chosen.among(
        now for now in known.values() if now.position.use is not Use.SCRAPPED
    )
    if not wanted:
        return Refused(Reason.NONE_FREE, {"of": 0})
    codes = {(tag.kit, tag.thing): tag.code for tag in tags.of_club(tx, who.club)}
    missing = [
        (now.kit.id, thing, new_code())
        for now in wanted
        for thing in wish.things
        if (now.kit.id, thing) not in codes
    ]
    tags.add(tx, who.club, missing)
    codes |= {(kit, thing): code for kit, thing, code in missing}
    place = labels.places(list(known))
    return LabelSheet(
        wish.grid.paper,
        wish.grid.name,
        tuple(
            LabelText(now.kit.label, thing, codes[now.kit.id, thing], place[now.kit.id])
            for now in wanted
            for thing in wish.things
        ),
        setup.misread([now.kit.label for now in known.values()]),
    )
