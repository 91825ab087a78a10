"""A message's words read in their order, from both ends, by a small recurrent network.

Two gated recurrent layers (Cho et al. 2014, "Learning phrase representations using RNN
encoder-decoder", in the variant whose candidate is reset after the product) over what each word
and its notions add to the gates. That was worked out beforehand, so that nothing but the network's
memory is multiplied here. The numbers lie in sequence.bin; the project's tests hold the programs
that make it and say what it was made from.
"""

from __future__ import annotations

import json
import math
from array import array
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files
from operator import add, mul

from clubbot.rules.faults.clues import Word

NOTHING, STRANGE = "", "<>"
"""The rows for a message without words, and for a word that isn't known."""
GATES = 3
ENDS = 2
LONGEST = 48
"""Words that are read; what comes after is left to the clues."""


@dataclass(frozen=True, slots=True)
class Network:
    """`table` holds a row for each word and notion: both directions, three gates, `hidden` each,
    in steps of `scale`. `inner` are the rows that the memory is multiplied with."""

    hidden: int
    words: dict[str, int]
    notions: dict[str, int]
    table: array[int]
    scale: list[float]
    inner: tuple[list[list[float]], ...]
    inner_base: tuple[list[float], ...]
    outer: list[list[float]]
    outer_base: list[float]


@lru_cache(maxsize=1)
def network() -> Network:
    """The trained network, read on first use: a line of JSON, then the numbers."""
    path = files("clubbot.rules.faults").joinpath("sequence.bin")
    with path.open("rb") as file:
        head = json.loads(file.readline())
        hidden, words, notions = head["hidden"], head["words"], head["notions"]
        width = ENDS * GATES * hidden
        table = array("b", file.read((len(words) + len(notions)) * width))
        rest = array("f", file.read())
    numbers = iter(rest.tolist())

    def take(count: int) -> list[float]:
        return [next(numbers) for _ in range(count)]

    scale = take(width)
    inner = tuple([take(hidden) for _ in range(GATES * hidden)] for _ in range(ENDS))
    inner_base = tuple(take(hidden) for _ in range(ENDS))
    outer = [take(2 * ENDS * hidden) for _ in range(head["kinds"])]
    return Network(
        hidden,
        {word: at * width for at, word in enumerate(words)},
        {notion: (len(words) + at) * width for at, notion in enumerate(notions)},
        table,
        scale,
        inner,
        inner_base,
        outer,
        take(head["kinds"]),
    )


def read_in_order(words: Sequence[Word]) -> list[float]:
    """The share of each kind, in the order of `KINDS`; they sum to 1."""
    known = network()
    half = GATES * known.hidden
    given = [_given(known, word.low, word.notions) for word in words[:LONGEST]]
    given = given or [_given(known, NOTHING, ())]
    ahead = _run(known, 0, (row[:half] for row in given))
    back = _run(known, 1, (row[half:] for row in reversed(given)))
    most = [*map(max, *ahead)] if len(ahead) > 1 else ahead[0]
    most_back = [*map(max, *back)] if len(back) > 1 else back[0]
    seen = [*most, *most_back, *ahead[-1], *back[-1]]
    scores = [
        base + sum(map(mul, row, seen))
        for base, row in zip(known.outer_base, known.outer, strict=True)
    ]
    top = max(scores)
    shares = [math.exp(score - top) for score in scores]
    whole = sum(shares)
    return [share / whole for share in shares]


def _given(known: Network, low: str, notions: Iterable[str]) -> list[float]:
    """What a word adds to all gates of both directions."""
    width = len(known.scale)
    at = known.words.get(low, known.words[STRANGE])
    row: Iterable[int] = known.table[at : at + width]
    for notion in notions:
        start = known.notions.get(notion)
        if start is not None:
            row = map(add, row, known.table[start : start + width])
    return [*map(mul, row, known.scale)]


def _run(known: Network, end: int, given: Iterable[list[float]]) -> list[list[float]]:
    """The memory after each word. The gates' rows hold halves, for tanh in place of a logistic."""
    hidden = known.hidden
    rows, base = known.inner[end], known.inner_base[end]
    resets, keeps, news = rows[:hidden], rows[hidden : 2 * hidden], rows[2 * hidden :]
    tanh = math.tanh
    memory = [0.0] * hidden
    found: list[list[float]] = []
    for row in given:
        fresh = [
            tanh(
                into
                + (0.5 + 0.5 * tanh(gate + sum(map(mul, reset, memory))))
                * (lift + sum(map(mul, new, memory)))
            )
            for into, gate, reset, lift, new in zip(
                row[2 * hidden :], row[:hidden], resets, base, news, strict=True
            )
        ]
        memory = [
            new + (0.5 + 0.5 * tanh(gate + sum(map(mul, keep, memory)))) * (old - new)
            for new, gate, keep, old in zip(
                fresh, row[hidden : 2 * hidden], keeps, memory, strict=True
            )
        ]
        found.append(memory)
    return found
