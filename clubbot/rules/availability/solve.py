"""The kits of one connected part: without a search where that is proved best, else exactly."""

from __future__ import annotations

from dataclasses import replace
from enum import IntEnum

from clubbot.rules.availability.classes import any_fit
from clubbot.rules.availability.exact import Found, search
from clubbot.rules.availability.fit import Fit
from clubbot.rules.availability.parts import Part, piece_of, pieces, pinned
from clubbot.rules.availability.programme import Verdict
from clubbot.rules.availability.quick import attempt

_FOR_WEAR = 1 / 3
"""The share of the time that is worth spending when nobody's told label is at stake."""


class Care(IntEnum):
    """How well kits are chosen: any; none told in vain and else what comes easily; the best."""

    ANY = 0
    FAIR = 1
    BEST = 2


def solve(part: Part, seconds: float, care: Care) -> Found | Verdict:
    """Kits for each item of the part, chosen with care.

    The exact search, where it is needed at all, may take up to `seconds`.
    """
    pins = pinned(part) if care else None
    if pins is not None:
        found = _by_pieces(pins, seconds, care)
        if isinstance(found, Found):
            masks = (item.held | mask for item, mask in zip(pins.items, found.masks, strict=True))
            return replace(found, masks=tuple(masks))
    return _by_pieces(part, seconds, care)


def _by_pieces(part: Part, seconds: float, care: Care) -> Found | Verdict:
    masks = [0] * len(part.items)
    hard: list[tuple[list[int], Part, tuple[int, ...] | None]] = []
    for numbers in pieces(part):
        piece = piece_of(part, numbers)
        tried = attempt(piece, prefer=bool(care))
        if tried.hopeless:
            return Verdict.NO
        if tried.masks is not None and (tried.best or not care):
            for number, mask in zip(numbers, tried.masks, strict=True):
                masks[number] = mask
        else:
            hard.append((numbers, piece, tried.masks))
    best = True
    for numbers, piece, known in hard:
        found = _searched(piece, known, seconds / len(hard), care)
        if isinstance(found, Verdict):
            return found
        best = best and found.best
        for number, mask in zip(numbers, found.masks, strict=True):
            masks[number] = mask
    return Found(tuple(masks), (True,) * len(masks), best)


def _searched(piece: Part, known: Fit | None, seconds: float, care: Care) -> Found | Verdict:
    """Better kits for a piece of which `known` are some, or the first."""
    if known is None:
        any_kits = any_fit(piece, seconds)
        if isinstance(any_kits, Verdict):
            return any_kits
        known = any_kits
    rough = Found(known, (True,) * len(known), best=False)
    told = any(item.told for item in piece.items)
    if care is Care.ANY or (care is Care.FAIR and not told):
        return rough
    found = search(piece, seconds if told else seconds * _FOR_WEAR)
    return rough if isinstance(found, Verdict) else found
