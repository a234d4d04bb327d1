"""Which pair decides where widths are not equally sure."""

import pytest

from standage.railway.passing.gaps import Passer, Tracks, nearest_pairs, verdict_of

STRAIGHT = Tracks(inner_radius_mm=float("inf"), spacing_mm=50.0)


def passer(name: str, width_mm: float, plus_minus_mm: float) -> Passer:
    return Passer(
        vehicle=name,
        width_mm=width_mm,
        width_plus_minus_mm=plus_minus_mm,
        pivots_mm=0.0,
        bogie_wheelbase_mm=0.0,
        half_length_mm=0.0,
    )


@pytest.mark.parametrize(("width_mm", "worst"), [(45.8, "Sure"), (46.2, "Doubtful")])
def test_the_pair_that_decides_has_the_least_gap_less_its_own_doubt_once(
    width_mm: float, worst: str
) -> None:
    """48 mm for certain; the other at most 1 mm more on either side of it, in a pair of
    its like.
    """
    pair = nearest_pairs(
        [passer("Sure", 47.0, 0.0), passer("Doubtful", width_mm, 1.0)],
        STRAIGHT,
        doubt=1,
    )[0]
    assert (pair.on_outer, pair.on_inner) == (worst, worst)


def test_a_doubtful_body_does_not_hide_a_sure_one_that_keeps_too_little() -> None:
    """The sure pair leaves 3 mm and 3.1 are wanted; the doubtful one keeps 3.5 less 0.3
    for certain.
    """
    found = [passer("Sure", 47.0, 0.0), passer("Doubtful", 46.5, 0.3)]
    verdict, pair = verdict_of(found, STRAIGHT, margin_mm=3.1)
    assert (verdict, pair and pair.on_outer) == ("marginal", "Sure")


@pytest.mark.parametrize(("width_mm", "verdict"), [(50.9, "marginal"), (51.1, "fouls")])
def test_bodies_foul_for_certain_only_beyond_their_doubt(
    width_mm: float, verdict: str
) -> None:
    assert (
        verdict_of([passer("Wide", width_mm, 1.0)], STRAIGHT, margin_mm=2.0)[0]
        == verdict
    )


def test_nothing_that_can_stand_there_decides_nothing() -> None:
    assert verdict_of([], STRAIGHT, margin_mm=2.0) == ("cannot_tell", None)
