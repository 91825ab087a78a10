"""What the set-up's answers say of the equipment: labels, contents, tablets, chargers."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace

from clubbot.desk.acting import Who
from clubbot.rules import setup, setup_answers
from clubbot.rules.kit_templates import MOST_PARTS, read_edit, template
from clubbot.rules.model import ItemKind
from clubbot.rules.tidy import tidy
from clubbot.store import clubs, dialogues, equipping, fitting, kits, parts
from clubbot.store.engine import Tx

_KEEP = frozenset({"keep", "keep them", "yes"})
_FINE = frozenset({"ok", "okay", "yes", "that's right", "right", "fine", "done"})
_RENAMED = re.compile(r"(?:rename\s+)?(\S+)\s+(?:is now|->|=|becomes)\s+(\S+)", re.I)


@dataclass(frozen=True, slots=True)
class Written:
    """What became of an answer: `problem` and `misread` change nothing; `stay` asks once more."""

    problem: str = ""
    near: tuple[str, ...] = ()
    misread: tuple[str, ...] = ()
    instead: tuple[str, ...] = ()
    strangers: tuple[str, ...] = ()
    confirm: bool = False
    stay: bool = False

    @property
    def again(self) -> bool:
        """Whether the same question stays open."""
        return bool(self.problem or self.misread or self.confirm or self.stay)


def add_kits(tx: Tx, who: Who, text: str) -> Written:
    """Add kits, or give one another label ("D is now W"); labels that will be misread are
    taken only after a "keep"."""
    if found := _RENAMED.fullmatch(tidy(text)):
        return _rename(tx, who, found[1], found[2])
    keep = tidy(text).casefold() in _KEEP
    labels = setup.read_new_labels(_asked_before(tx, who) if keep else text)
    if isinstance(labels, str):
        return Written(labels)
    known = {now.kit.label.casefold(): now for now in kits.kits(tx, who.club).values()}
    new = [label for label in labels if label.casefold() not in known]
    if len(known) + len(new) > setup.MOST_KITS:
        return Written(f"at most {setup.MOST_KITS} kits in all")
    doubtful = setup.misread([*(now.kit.label for now in known.values()), *new])
    doubtful = tuple(label for label in doubtful if label in new)
    if doubtful and not keep:
        safe = setup.read_new_labels(str(len(labels)))
        return Written(misread=doubtful, instead=tuple(safe) if len(safe) < 22 else ())
    kits.add(tx, who.club, next(iter(clubs.kit_types(tx, who.club))), new)
    return Written()


def _asked_before(tx: Tx, who: Who) -> str:
    asking = who.asking
    stands = dialogues.standing(tx, asking.chat_id, asking.telegram_id, who.now - setup.OPEN_FOR)
    return str(stands.facts.get("text", "")) if stands else ""


def _rename(tx: Tx, who: Who, old: str, new: str) -> Written:
    known = {now.kit.label.casefold(): now.kit for now in kits.kits(tx, who.club).values()}
    kit = known.get(old.casefold())
    if kit is None:
        return Written(f"the label of a kit that there is, not {old[:30]}")
    checked = setup.read_new_labels(new)
    if not isinstance(checked, list) or len(checked) != 1:
        return Written("one new label")
    if known.get(new.casefold(), kit) != kit:
        return Written(f"a label that is free; {new[:30]} is another kit's")
    equipping.rename_kit(tx, who.club, kit.id, checked[0])
    return Written()


def set_type(tx: Tx, who: Who, text: str) -> Written:
    """Take a template for the kit type, or change its contents, until somebody says that it's
    right."""
    kit_type = next(iter(clubs.kit_types(tx, who.club)))
    if tidy(text).casefold() in _FINE:
        return Written()
    if (chosen := template(text)) is not None:
        equipping.take_template(tx, who.club, kit_type, chosen)
        return Written(stay=True)
    edit = read_edit(text)
    if isinstance(edit, str):
        return Written(f"parts with numbers, such as: motor 3, no gears; I can't read {edit[:60]}")
    if len(parts.contents(tx, who.club, kit_type)) + len(edit.numbers) > MOST_PARTS:
        return Written(f"at most {MOST_PARTS} kinds of parts")
    equipping.edit_type(tx, who.club, kit_type, edit)
    return Written(stay=True)


def pair_tablets(tx: Tx, who: Who, text: str) -> Written:
    """Pair tablets with kits by label: each of these kits has one of its own from now on."""
    known = kits.kits(tx, who.club)
    wanted = setup_answers.read_shared(text, [now.kit.label for now in known.values()])
    if isinstance(wanted, str):
        return Written(wanted)
    paired = {each.kit for each in fitting.things(tx, who.club, ItemKind.TABLET)}
    for now in known.values():
        if now.kit.label in wanted and now.kit.id not in paired:
            tablet = fitting.add(tx, who.club, ItemKind.TABLET)
            who.append(tx, [fitting.listed_in(now.kit.id, tablet)])
    return Written()


def set_chargers(tx: Tx, who: Who, text: str) -> Written:
    """Replace the chargers, and say with them how many batteries can be charged at once."""
    wanted = [] if setup_answers.none_meant(text) else setup_answers.read_chargers(text)
    if isinstance(wanted, str):
        return Written(f"how many bays there are; I can't read {wanted[:60]}")
    equipping.set_chargers(tx, who.club, wanted)
    bays = sum(count for _, count in wanted) or None
    settings = replace(clubs.club(tx, who.club).settings, charge_bays=bays)
    clubs.change(tx, who.club, settings=settings.changed())
    return Written()
