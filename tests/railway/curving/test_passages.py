"""The worst of a passage, held against a sweep of very small steps."""

from math import degrees

import pytest

from standage.railway.curving.pairs import CoupledPair, PairBody, PairStanding, stand
from standage.railway.curving.passages import greatest
from standage.railway.track.paths.endless import EndlessPath, endless
from standage.railway.track.paths.runs import even

COACH = PairBody(
    pivots_mm=218.0, bogie_wheelbase_mm=30.0, half_length_mm=151.0, pivot_behind_mm=9.0
)
NOSE = PairBody(
    pivots_mm=120.0, bogie_wheelbase_mm=36.0, half_length_mm=118.0, pivot_behind_mm=12.0
)
WAGON = PairBody(pivots_mm=55.0, half_length_mm=52.0, pivot_behind_mm=6.0)
STRAIGHT = even(0.0)
PATHS = [
    endless([even(1 / 438), even(0.0, length_mm=70), even(-1 / 371)]),
    endless([even(1 / 600), even(-1 / 600)]),
    endless([STRAIGHT, even(1 / 500)]),
    endless([even(1 / 500), STRAIGHT]),
]


def offset(standing: PairStanding) -> float:
    return abs(standing.offset_mm)


def leading(standing: PairStanding) -> float:
    return degrees(abs(standing.leading_swing or 0.0))


def following(standing: PairStanding) -> float:
    return degrees(abs(standing.following_swing or 0.0))


@pytest.mark.parametrize("line", PATHS)
@pytest.mark.parametrize("bodies", [(COACH, COACH), (COACH, WAGON), (WAGON, NOSE)])
def test_the_worst_of_the_sweep_is_that_of_half_millimetre_steps(
    line: EndlessPath, bodies: tuple[PairBody, PairBody]
) -> None:
    pair = CoupledPair(leading=bodies[0], following=bodies[1], gap_mm=6.0)
    found = greatest(line, pair, [offset, leading, following])
    assert found is not None
    steps = [stand(line, pair, first_axle_mm=place / 2) for place in range(-100, 1900)]
    for measure, value in zip((offset, leading, following), found, strict=True):
        assert value == pytest.approx(
            max(measure(step) for step in steps if step is not None), abs=0.002
        )


def test_on_a_path_of_one_piece_the_pair_is_looked_at_once() -> None:
    seen = []

    def counted(standing: PairStanding) -> float:
        seen.append(standing)
        return standing.bend

    pair = CoupledPair(leading=COACH, following=WAGON, gap_mm=6.0)
    assert greatest(endless([even(1 / 438)]), pair, [counted]) == (seen[0].bend,)
    assert len(seen) == 1


def test_a_passage_costs_no_more_than_two_hundred_placings_for_each_thing_measured() -> (
    None
):
    seen = []

    def counted(standing: PairStanding) -> float:
        seen.append(standing)
        return abs(standing.offset_mm)

    greatest(
        PATHS[0], CoupledPair(leading=COACH, following=COACH, gap_mm=6.0), [counted]
    )
    assert 90 < len(seen) < 200


def test_a_pair_that_cannot_stand_at_one_end_of_the_passage_has_no_worst() -> None:
    pair = CoupledPair(leading=COACH, following=COACH, gap_mm=6.0)
    sharp = even(1 / 105)
    assert greatest(endless([STRAIGHT, sharp]), pair, [offset]) is None
    assert greatest(endless([sharp, STRAIGHT]), pair, [offset]) is None


@pytest.mark.parametrize("peak_mm", [93.0, 151.7, 200.4, 333.3, 410.9, 423.4])
@pytest.mark.parametrize(
    "steep",
    [(1.0, 1.0), (1.0, 7.0), (7.0, 1.0)],
    ids=["even", "steep behind", "steep ahead"],
)
def test_a_peak_between_two_steps_is_found_wherever_it_lies(
    peak_mm: float, steep: tuple[float, float]
) -> None:
    """A measure that is 0 where the last axle stands at a place, and falls off on both
    sides of it.

    Twelve golden sections leave 0.618¹² of two steps, of which there are 96 in the
    passage.
    """
    line = endless([even(1 / 438), even(0.0, length_mm=70), even(-1 / 371)])
    pair = CoupledPair(leading=COACH, following=WAGON, gap_mm=6.0)
    peak_mm -= (
        pair.wheels_mm
    )  # before the last change of curvature, which the last axle passes last

    def roof(standing: PairStanding) -> float:
        short_mm = peak_mm - standing.last_axle_mm
        return -short_mm * steep[0] if short_mm > 0 else short_mm * steep[1]

    found = greatest(line, pair, [roof])
    assert found is not None
    left_mm = 2 * (70 + pair.wheels_mm) / 96 * 0.618034**12
    assert -1.05 * left_mm * max(steep) <= found[0] <= 0
