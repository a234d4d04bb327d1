"""Cut lists: each against a checker that knows nothing of how it was made, and the
fewest stock lengths against every way of sharing out the pieces.
"""

from collections import Counter
from collections.abc import Iterator, Sequence
from fractions import Fraction
from math import ceil
from random import Random

from hypothesis import given, settings
from hypothesis import strategies as st

from standage.railway.materials.cutting import Cut, Cutting, cutting
from support.walks import at_each

TENTHS = st.integers(1, 3000)


def exactly(mm: float | Fraction) -> Fraction:
    return Fraction(str(mm))


def listed(pieces_mm: Sequence[float], stock_mm: float, saw_mm: float) -> Cutting:
    wanted = [Cut(piece=f"T{n}", length_mm=mm) for n, mm in enumerate(pieces_mm)]
    found = cutting(wanted, stock_length_mm=stock_mm, saw_mm=saw_mm)
    amiss = list(wrong(found, pieces_mm, stock_mm, saw_mm))
    assert not amiss, amiss
    return found


def wrong(
    found: Cutting, pieces_mm: Sequence[float], stock_mm: float, saw_mm: float
) -> Iterator[str]:
    """Yield what is wrong with a cut list, in exact fractions."""
    stock, saw = exactly(stock_mm), exactly(saw_mm)
    got: Counter[str] = Counter()
    exact: dict[str, Fraction] = {}
    for one in found.lengths:
        cuts = [exactly(cut.length_mm) for cut in one.cuts]
        taken = sum(cuts, Fraction(0)) + saw * (len(cuts) - 1)
        if taken > stock:
            yield f"{one} holds more than {stock_mm}"
        left = max(Fraction(0), stock - taken - saw)
        if left != exactly(one.left_mm):
            yield f"{one} leaves {left}"
        if one.times > 1 and taken != stock:
            yield f"{one} is no whole length"
        for cut in one.cuts:
            got[cut.piece] += one.times
            before = exact.get(cut.piece, Fraction(0))
            exact[cut.piece] = before + one.times * exactly(cut.length_mm)
    for number, mm in enumerate(pieces_mm):
        if exact.get(f"T{number}", Fraction(0)) != exactly(mm):
            yield f"T{number} of {mm} is not cut"
    if sum(one.times for one in found.lengths) != found.needed:
        yield "miscounted"
    if not found.at_least <= found.needed:
        yield "more than are needed"


def fewest(pieces: Sequence[Fraction], stock: Fraction, saw: Fraction) -> int:
    """Return the fewest stock lengths: every way of sharing out, by set partitions."""
    best = len(pieces)

    def share(rest: Sequence[Fraction], bins: list[list[Fraction]]) -> None:
        nonlocal best
        if len(bins) >= best and rest:
            return
        if not rest:
            best = min(best, len(bins))
            return
        first, *others = rest
        for one in bins:
            if sum(one) + first + saw * len(one) <= stock:
                one.append(first)
                share(others, bins)
                one.pop()
        share(others, [*bins, [first]])

    share(pieces, [])
    return best


@settings(max_examples=60, deadline=None)
@given(
    pieces=st.lists(TENTHS, max_size=7),
    stock=st.integers(3000, 9000),
    saw=st.integers(0, 30),
)
def test_few_pieces_are_cut_from_the_fewest_lengths(
    pieces: list[int], stock: int, saw: int
) -> None:
    mm = [tenths / 10 for tenths in pieces]
    found = listed(mm, stock / 10, saw / 10)
    exact = [Fraction(tenths, 10) for tenths in pieces]
    assert found.needed == fewest(exact, Fraction(stock, 10), Fraction(saw, 10))
    assert found.is_proved


@at_each(
    "pieces_mm, stock_mm, saw_mm, needed",
    [
        ([300, 300, 300], 900, 0, 1),
        ([300, 300, 300], 902, 1, 1),
        ([300, 300, 300], 901.9, 1, 2),
        ([60.2, 60.2, 60.2], 180.6, 0, 1),
        ([60.2, 60.2, 60.2], 180.5, 0, 2),
        ([914], 914, 3, 1),
        ([914.1], 914, 3, 2),
        ([1828], 914, 3, 2),
        ([], 914, 1, 0),
        ([1_000_000.0], 50, 10, 20_000),
        # the longest first, each into the first that has room, would take four
        ([44, 24, 24, 22, 21, 17, 8, 8, 6, 6], 61, 0, 3),
        ([7, 5, 4, 3, 3, 2], 12, 0, 2),
        ([5, 5, 4, 4, 3, 3], 12, 0, 2),
    ],
)
def test_lengths_are_filled_exactly(
    pieces_mm: list[float], stock_mm: float, saw_mm: float, needed: int
) -> None:
    assert listed(pieces_mm, stock_mm, saw_mm).needed == needed


def _alone(pieces_mm: Sequence[float]) -> int:
    """Return how many are over half a length, each in one of its own."""
    return sum(exactly(mm) + 1 > Fraction(915, 2) for mm in pieces_mm)


def test_many_pieces_are_cut_with_a_bound_that_holds() -> None:
    random = Random(7)
    for _ in range(6):
        pieces_mm = [random.randint(200, 9000) / 10 for _ in range(120)]
        found = listed(pieces_mm, 914, 1)
        by_sum = ceil(sum(exactly(mm) + 1 for mm in pieces_mm) / 915)
        assert by_sum <= found.at_least
        # Source Dósa (2007): the longest first takes at most 11/9 of the fewest and 6/9;
        # of these the fewest are what their sum or the large ones ask for
        assert 9 * found.needed <= 11 * max(by_sum, _alone(pieces_mm)) + 6


def test_a_list_that_was_first_fitted_is_bettered_where_few_are_cut() -> None:
    # The longest first, each into the first that has room: 44 + 17, 24 + 24 + 8,
    # 22 + 21 + 8 + 6, 6. In three: 44 + 17, 24 + 21 + 8 + 8, 24 + 22 + 6 + 6.
    spoilt = [44, 24, 24, 22, 21, 17, 8, 8, 6, 6]
    free = [61] * len(spoilt)
    for mm in spoilt:
        place = next(number for number, left in enumerate(free) if left >= mm)
        free[place] -= mm
    assert sum(left < 61 for left in free) == 4
    found = listed(spoilt, 61, 0)
    assert found.needed == 3
    assert found.is_proved


def test_a_wider_saw_and_shorter_lengths_never_take_fewer() -> None:
    pieces_mm = [310, 290, 455.5, 120, 120, 610.1, 88]
    by_saw = [listed(pieces_mm, 914, saw_mm).needed for saw_mm in (0, 1, 5, 10)]
    assert by_saw == sorted(by_saw)
    by_stock = [listed(pieces_mm, mm, 1).needed for mm in (1500, 1000, 914, 620)]
    assert by_stock == sorted(by_stock)
