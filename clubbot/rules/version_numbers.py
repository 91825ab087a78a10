"""Versions as text: which are the same, and which of two dotted numbers is older."""

from __future__ import annotations

import re

_VERSION = re.compile(r"[0-9A-Za-z][0-9A-Za-z._+-]{0,19}")
_DOTTED = re.compile(r"[vV]?([0-9]{1,9}(?:\.[0-9]{1,9})*)")


def read_version(text: str) -> str | None:
    """Return a version as people write it: one word of up to 20 plain signs; None otherwise."""
    return text if _VERSION.fullmatch(text) else None


def dotted(version: str) -> tuple[int, ...] | None:
    """Return the numbers of "v3.10", without zeros at the end; None where it is anything else."""
    found = _DOTTED.fullmatch(version)
    if found is None:
        return None
    numbers = [int(each) for each in found[1].split(".")]
    while numbers and numbers[-1] == 0:
        numbers.pop()
    return tuple(numbers)


def same(one: str, other: str) -> bool:
    """Say whether two versions are the same: "3.2", "v3.2" and "3.2.0" are."""
    numbers = dotted(one)
    if numbers is None:
        return one.casefold() == other.casefold()
    return numbers == dotted(other)


def older(one: str, other: str) -> bool:
    """Say whether the first is known to be older than the second."""
    first, second = dotted(one), dotted(other)
    return first is not None and second is not None and first < second
