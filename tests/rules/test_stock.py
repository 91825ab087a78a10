"""What to order against published stock numbers, and weighing against many simulated scales."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator
from datetime import UTC, datetime
from statistics import NormalDist

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from clubbot.rules.model import KitId, KitTypeId
from clubbot.rules.stock.books import Loss, Stock
from clubbot.rules.stock.demand import RARELY, WORTH, Seen, _sums, base_stock, chances, packs
from clubbot.rules.stock.filling import Tray, fillings
from clubbot.rules.stock.ordering import Part, Rhythm, advise
from clubbot.rules.stock.reading import Saying, Told, read_parts
from clubbot.rules.stock.weighing import CannotTell, Piece, Weighed, most, tells, weigh

# -- published stock numbers ----------------------------------------------------------------------


def _poisson(mean: float) -> Iterator[float]:
    """What the negative binomial becomes when the rate is known for sure."""
    return _sums(1e9, 1e9 / mean, 1.0, [0.0, 1.0])


# Barlow and Proschan, 1981, a problem in Trivedi, "Probability and Statistics with Reliability,
# Queuing and Computer Science Applications", ch. 6: pooled spares, .002 failures an hour over
# 1300 + 1500 + 1200 hours, no shortage with more than .90 (inputs as printed, answer computed).
# A mean of 3 in sparing by MTBF (one a year for three years): 3 spares suffice with .6472, it takes
# 5 for 90 % and 6 for 95 % (Poisson).
# Snyder and Shen, "Fundamentals of Supply Chain Theory", 2nd ed., problem 4.8(a): newsvendor with
# Poisson demand of mean 18, holding 200, penalty 270, so a critical ratio of .574468: S = 19.
@pytest.mark.parametrize(
    ("mean", "chance", "least", "enough"),
    [
        (8.0, 0.90, 12, 0.93620),
        (3.0, 0.64, 3, 0.6472),
        (3.0, 0.90, 5, 0.91608),
        (3.0, 0.95, 6, 0.96649),
        (18.0, 270 / 470, 19, 0.65092),
    ],
)
def test_base_stocks_are_those_of_published_poisson_examples(
    mean: float, chance: float, least: int, enough: float
) -> None:
    assert base_stock(_poisson(mean), chance) == (least, pytest.approx(enough, abs=5e-5))


def test_the_base_stock_covers_rhythm_and_delivery_as_in_the_worked_example() -> None:
    # Snyder and Shen, 2nd ed., examples 4.3 and 4.4: demand N(50, 8) a period, ratio .70 / .88,
    # a review period of 1 and a lead time of 4: S = 264.7669.
    demand = NormalDist(50 * 5, 8 * math.sqrt(5))
    steps = (demand.cdf(n) - (demand.cdf(n - 1) if n else 0) for n in itertools.count())
    assert base_stock(steps, 0.70 / 0.88)[0] == math.ceil(264.7669)


def test_orders_are_in_whole_packs_and_what_is_there_counts() -> None:
    assert packs(base=12, there=3, owed=2, pack=5) == 3
    assert packs(base=12, there=12, owed=0, pack=5) == 0
    assert packs(base=12, there=30, owed=2, pack=5) == 0
    assert packs(base=0, there=0, owed=1, pack=20) == 1


# -- what is lost ---------------------------------------------------------------------------------

SEEN = st.builds(
    Seen,
    bouts=st.lists(st.integers(1, 4), max_size=6).map(tuple),
    sessions=st.integers(0, 60),
    pieces=st.integers(1, 200),
    big=st.booleans(),
)


def _negative_binomial(shape: float, more: float, number: int) -> float:
    log = math.lgamma(shape + number) - math.lgamma(shape) - math.lgamma(number + 1)
    return math.exp(log + shape * math.log1p(-more) + number * math.log(more))


@settings(max_examples=60)
@given(seen=SEEN, ahead=st.integers(1, 40))
def test_the_recursion_is_the_sum_over_all_numbers_of_bouts(seen: Seen, ahead: int) -> None:
    shape = RARELY[seen.big] * seen.pieces * WORTH + len(seen.bouts)
    more = ahead / (WORTH + seen.sessions + ahead)
    thought = shape - len(seen.bouts)
    sizes = np.bincount([1, *seen.bouts], [thought] + [1.0] * len(seen.bouts)) / shape
    total, of_so_many = np.zeros(12), np.array([1.0])
    for bouts in range(12):
        here = of_so_many[:12]
        total[: len(here)] += _negative_binomial(shape, more, bouts) * here
        of_so_many = np.convolve(of_so_many, sizes)
    assert list(itertools.islice(chances(seen, ahead), 12)) == pytest.approx(list(total))


def test_of_many_clubs_nine_in_ten_do_not_run_out_before_the_next_order_has_come() -> None:
    """Clubs that lose parts as the prior says, watched for a while and then left to go on."""
    rng = np.random.default_rng(7)
    pieces, watched, ahead = 48, 14, 18
    lasted = needed = 0
    for rate in rng.gamma(RARELY[False] * pieces * WORTH, 1 / WORTH, 1500):
        seen = Seen((1,) * rng.poisson(rate * watched), watched, pieces)
        base, _ = base_stock(chances(seen, ahead), 0.9)
        lost = rng.poisson(rate * ahead)
        lasted += lost <= base
        needed += base
    assert lasted / 1500 >= 0.88
    assert needed / 1500 < 3, "and the shelf isn't full of what nobody loses"


def test_an_order_says_what_was_lost_what_is_there_and_what_trays_wait_for() -> None:
    kind = KitTypeId(1)
    cable, motor = (kind, "cable"), (kind, "motor")
    parts = [
        Part(cable, "cable", 4, 12, pack=5, price_cents=600),
        Part(motor, "motor", 2, 12, big=True),
    ]
    at = datetime(2026, 10, 2, tzinfo=UTC)
    losses = [Loss(cable, n, KitId(1), None, at) for n in (1, 2, 1)]
    lines = advise(
        parts, {cable: Stock(shelf=1, ordered=1)}, losses, {cable: 2}, Rhythm(14, 18, 0.9)
    )
    assert [(each.part.name, each.lost, each.there, each.owed) for each in lines] == [
        ("cable", 4, 2, 2),
        ("motor", 0, 0, 0),
    ]
    assert lines[0].pieces >= lines[0].base
    assert lines[0].cents == lines[0].packs * 600
    assert lines[1].packs == 0, "what is hardly ever lost isn't kept"


# -- what a scale can tell ------------------------------------------------------------------------

PIECES = st.builds(Piece, st.integers(100, 60_000), st.none() | st.integers(0, 500))
STEPS = st.sampled_from([10, 100, 500, 1000, 5000])


@pytest.mark.parametrize(
    ("weight", "spread", "step"), [(4750, None, 1000), (4750, 50, 100), (900, 9, 100), (60, 1, 10)]
)
def test_a_scale_that_is_said_to_tell_miscounts_less_than_once_in_a_hundred(
    weight: int, spread: int | None, step: int
) -> None:
    """Pieces, a piece's weight learned from ten of them, a wrong scale, and its display."""
    piece = Piece(weight, spread)
    number = most(piece, step)
    assert number > 0
    rng, tries = np.random.default_rng(3), 4000

    def shown(true: np.ndarray, wrong: np.ndarray) -> np.ndarray:
        empty = rng.uniform(-step / 2, step / 2, tries)
        return np.asarray(np.round((true + wrong + empty) / step) * step)

    wrong = rng.uniform(-step, step, tries)
    ten = rng.normal(weight, piece.deviation, (tries, 10)).sum(axis=1)
    learned = shown(ten, wrong) / 10
    full = rng.normal(weight, piece.deviation, (tries, number)).sum(axis=1)
    counted = np.round(shown(full, wrong) / learned)
    assert (counted != number).mean() < 0.01


@given(piece=PIECES, step=STEPS)
def test_the_finer_scale_counts_at_least_as_many(piece: Piece, step: int) -> None:
    limit = most(piece, step)
    assert limit <= most(piece, step // 10 or 1)
    assert limit == 0 or tells(limit, piece, step)
    assert not tells(limit + 1, piece, step) or limit == 10_000


@settings(max_examples=200)
@given(
    piece=PIECES,
    step=STEPS,
    should=st.integers(1, 60),
    known=st.integers(0, 60),
    off=st.floats(-0.49, 0.49),
    there=st.integers(0, 60),
)
def test_a_weighing_counts_the_nearest_number_or_nothing(
    piece: Piece, step: int, should: int, known: int, off: float, there: int
) -> None:
    known = min(known, should)
    result = weigh(round((there + off) * piece.weight), known, should, piece, step)
    if not tells(should, piece, step):
        assert isinstance(result, CannotTell)
    elif isinstance(result, Weighed):
        assert result.number == there or abs(off) > 0.45
        assert result.same == (result.number == known)


def test_a_weighing_within_tolerance_changes_no_count_and_says_why_where_it_can_not_tell() -> None:
    cable = Piece(4750, 40)
    assert weigh(57_000, 12, 12, cable, 100) == Weighed(12, same=True)
    assert weigh(57_300, 12, 12, cable, 100) == Weighed(12, same=True)
    assert weigh(52_200, 12, 12, cable, 100) == Weighed(11, same=False)
    between = weigh(54_600, 12, 12, cable, 100)
    assert isinstance(between, CannotTell)
    assert (between.why, between.near) == ("between", (11, 12))
    coarse = weigh(57_000, 12, 12, cable, 1000)
    assert isinstance(coarse, CannotTell)
    assert (coarse.why, coarse.most) == ("too many", 4)
    washer = weigh(6_000, 20, 20, Piece(300), 1000)
    assert isinstance(washer, CannotTell)
    assert washer.why == "too light"


# -- gaps and lines -------------------------------------------------------------------------------


def test_each_piece_is_offered_once_first_to_kits_in_use_that_can_not_do_without() -> None:
    kind = KitTypeId(1)
    trays = [
        Tray(KitId(1), kind, (("Cable", 1),), in_use=False),
        Tray(KitId(2), kind, (("cable", 2),), essential=False),
        Tray(KitId(3), kind, (("cable", 2),)),
        Tray(KitId(4), kind, (("cable", 1),), lends=True, holds={"cable": 3}),
    ]
    stock = {(kind, "cable"): Stock(shelf=1, found=1)}
    found = {each.kit: each for each in fillings(trays, stock)}
    assert list(found) == [3, 2, 1], "the lender itself is no gap to fill"
    assert (found[KitId(3)].found, found[KitId(3)].shelf) == ((("cable", 1),), (("cable", 1),))
    assert found[KitId(3)].whole
    assert found[KitId(2)].lent == ((4, (("cable", 2),)),)
    assert found[KitId(1)].rest == (("Cable", 1),), "nobody is taken apart for one out of use"


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("found 2 cables", Told(Saying.FOUND, "", "", (("cables", 2),))),
        ("2 cables and an axle found", Told(Saying.FOUND, "", "", (("axle", 1), ("cables", 2)))),
        ("D from shelf", Told(Saying.FROM_SHELF, "D", "", ())),
        ("D from the shelf 2 cables", Told(Saying.FROM_SHELF, "D", "", (("cables", 2),))),
        ("kit D: 1 cable broken", Told(Saying.BROKEN, "D", "", (("cable", 1),))),
        ("D from E 2 cables", Told(Saying.FROM_KIT, "D", "E", (("cables", 2),))),
        ("D found 1 cable", Told(Saying.TURNED_UP, "D", "", (("cable", 1),))),
        ("D from found", Told(Saying.FROM_FOUND, "D", "", ())),
        ("12 from D", Told(Saying.FROM_KIT, "12", "D", ())),
        ("shelf 0 long cables", Told(Saying.SHELF, "", "", (("long cables", 0),))),
        ("to the shelf 1 axle", Told(Saying.TO_SHELF, "", "", (("axle", 1),))),
        ("hello", None),
        ("D", None),
        ("found", None),
        ("foundation 2 cables", None),
    ],
)
def test_lines_about_parts_are_read(text: str, told: Told | None) -> None:
    assert read_parts(text, ["D", "E", "12"]) == told
