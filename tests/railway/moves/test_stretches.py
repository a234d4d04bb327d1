"""Stretches as a person writes them: with figures that are rounded."""

import pytest

from standage.railway.moves.standing import Stand
from standage.railway.moves.stretches import stand_on
from standage.railway.track.network.network import network
from standage.railway.track.placing.placing import placing
from standage.railway.track.plans.plan import Stretch
from support.track_plans import curve, read_plan, straight

PLAN = read_plan(
    {
        "pieces": {"A": straight(300.0), "C": curve(814.0, 20.0), "B": straight(200.0)},
        "joins": [["A.b", "C.a"], ["C.b", "B.a"]],
    }
)
"""The arc is 814 · π ÷ 9 mm long: 284.1396…"""


def stand(*parts: tuple[str, float, float]) -> Stand | int:
    placed = placing(PLAN)
    laid = network(placed.flat, placed.shapes)
    stretch = [Stretch(piece=one, from_mm=a, to_mm=b) for one, a, b in parts]
    return stand_on(laid, stretch)


@pytest.mark.parametrize("rounded_mm", [284.1, 284.0, 283.2])
def test_an_arc_whose_length_is_rounded_breaks_no_stretch(rounded_mm: float) -> None:
    found = stand(("A", 100.0, 300.0), ("C", 0.0, rounded_mm), ("B", 0.0, 50.0))
    assert isinstance(found, Stand)
    assert found.length_mm == pytest.approx(200.0 + 284.1396 + 50.0, abs=1e-3)


def test_what_lacks_more_than_a_millimetre_is_no_stretch() -> None:
    assert stand(("A", 100.0, 300.0), ("C", 0.0, 282.0), ("B", 0.0, 50.0)) == 2
