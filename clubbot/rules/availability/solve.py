"""The kits of one connected part: without a search where that is proved best, else exactly."""

from __future__ import annotations

from dataclasses import replace

from clubbot.rules.availability.exact import Found, Verdict, search
from clubbot.rules.availability.parts import Part, piece_of, pieces, pinned
from clubbot.rules.availability.quick import attempt


def solve(part: Part, seconds: float, *, prefer: bool = True) -> Found | Verdict:
    """Kits for each item of the part; with `prefer`, the preferred ones.

    The exact search, where it is needed at all, may take up to `seconds`.
    """
    pins = pinned(part) if prefer else None
    if pins is not None:
        found = _by_pieces(pins, seconds, prefer=True)
        if isinstance(found, Found):
            masks = (item.held | mask for item, mask in zip(pins.items, found.masks, strict=True))
            return replace(found, masks=tuple(masks))
    return _by_pieces(part, seconds, prefer=prefer)


def _by_pieces(part: Part, seconds: float, *, prefer: bool) -> Found | Verdict:
    masks = [0] * len(part.items)
    hard: list[tuple[list[int], Part, tuple[int, ...] | None]] = []
    for numbers in pieces(part):
        piece = piece_of(part, numbers)
        tried = attempt(piece)
        if tried.hopeless:
            return Verdict.NO
        if tried.masks is not None and (tried.best or not prefer):
            for number, mask in zip(numbers, tried.masks, strict=True):
                masks[number] = mask
        else:
            hard.append((numbers, piece, tried.masks))
    best, unsure = True, False
    for numbers, piece, known in hard:
        found = search(piece, seconds / len(hard), prefer=prefer)
        if found is Verdict.NO:
            return Verdict.NO
        if isinstance(found, Found):
            known = found.masks
        if known is None:
            unsure = True
            continue
        best = best and isinstance(found, Found) and found.best
        for number, mask in zip(numbers, known, strict=True):
            masks[number] = mask
    if unsure:
        return Verdict.UNSURE
    return Found(tuple(masks), (True,) * len(masks), best)
