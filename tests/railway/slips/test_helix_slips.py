"""A helix's run that is of one turn, and a turn's rise in another unit."""

from math import pi
from typing import Any

import pytest

from standage.questions.gradient import GradientRequest
from standage.railway.slips.helix import one_turn_slips
from standage.railway.slips.judges import likely_slips
from standage.railway.slips.slip import Slip
from standage.shapes.decoding import convert


@pytest.mark.parametrize(
    "turn_mm", [2 * pi * 600, 3770, 44 / 7 * 600, 0.992 * 2 * pi * 600]
)
def test_the_run_of_one_turn_of_a_helix_of_four_is_told_with_the_whole_run(
    turn_mm: float,
) -> None:
    """400 mm at 1 in 30 take 12 m, and a turn of R 600 is 3.77 m long: four of them."""
    (slip,) = one_turn_slips(turn_mm, rise_mm=400, radius_mm=600, field="run_mm")
    assert (slip.code, slip.field, slip.likely) == ("one_turn", "run_mm", "one_turn")
    assert slip.likely_value == pytest.approx(4 * 2 * pi * 600, abs=0.001)
    assert "with 4 turns 15079.6" in slip.message


@pytest.mark.parametrize(
    ("run_mm", "rise_mm"),
    [
        # a turn that rises 75 mm in H0 is 2 %
        (2 * pi * 600, 75),
        # just 10 % is steep, but may be a rack line's
        (2 * pi * 600, 0.2 * pi * 600),
        # two turns and a half
        (5 * pi * 600, 400),
        (1.02 * 2 * pi * 600, 400),
    ],
)
def test_a_run_that_is_no_turn_or_climbs_as_lines_do_raises_nothing(
    run_mm: float, rise_mm: float
) -> None:
    assert list(one_turn_slips(run_mm, rise_mm=rise_mm, radius_mm=600)) == []


@pytest.mark.parametrize("rise_mm", [150, 380, 400, 900, 100_000])
@pytest.mark.parametrize("radius_mm", [200, 438, 610, 100_000])
def test_the_run_that_is_proposed_raises_none(rise_mm: float, radius_mm: float) -> None:
    turn_mm = 2 * pi * radius_mm
    for slip in one_turn_slips(turn_mm, rise_mm=rise_mm, radius_mm=radius_mm):
        whole_mm = slip.likely_value or 0.0
        assert rise_mm / whole_mm <= 1 / 30 + 1e-6
        assert (
            list(one_turn_slips(whole_mm, rise_mm=rise_mm, radius_mm=radius_mm)) == []
        )


def slips(**asked: Any) -> list[Slip]:
    return list(likely_slips(convert({"scale": "H0", **asked}, GradientRequest)))


def test_a_climb_wound_into_a_helix_is_asked_for_the_run_of_all_turns() -> None:
    for asked in (
        {"rise_mm": 400, "helix": {"radius_mm": 600}},
        {"helix": {"radius_mm": 600, "rise_mm": 400}},
    ):
        (slip,) = slips(run_mm=3770, **asked)
        assert (slip.code, slip.field) == ("one_turn", "run_mm")
        assert slips(**{**asked, "run_mm": slip.likely_value}) == []
    assert slips(run_mm=3770, rise_mm=400) == []
    (slip,) = slips(run_mm=3.77, rise_mm=3, helix={"radius_mm": 600})
    assert (slip.code, slip.field) == ("unit", "run_mm")
    assert "in metres, write 3770" in slip.message


def test_the_long_run_of_a_large_helix_raises_nothing_and_none_is_proposed_beyond() -> (
    None
):
    """Six turns of 500 mm in N are 18.8 m, 3 km in full size."""
    assert slips(scale="N", rise_mm=300, helix={"radius_mm": 500, "turns": 6}) == []
    six_mm = 12 * pi * 500
    assert slips(scale="N", rise_mm=300, run_mm=six_mm, helix={"radius_mm": 500}) == []
    # 3700 mm at 1 in 30 would take 111 m, in N 18 km: more than any climb
    turn_mm, helix = 2 * pi * 600, {"radius_mm": 600}
    assert slips(scale="N", rise_mm=3700, run_mm=turn_mm, helix=helix) == []


@pytest.mark.parametrize(("written", "likely"), [(8, "centimetres"), (3, "inches")])
def test_a_turn_s_rise_in_centimetres_or_inches_is_told(
    written: float, likely: str
) -> None:
    helix = {"radius_mm": 600, "turns": 3, "rise_per_turn_mm": written}
    (slip,) = slips(helix=helix)
    assert (slip.field, slip.likely) == ("helix/rise_per_turn_mm", likely)
    assert slip.likely_value is not None
    assert slips(helix=helix | {"rise_per_turn_mm": slip.likely_value}) == []


@pytest.mark.parametrize("rise_mm", [55, 75, 100, 300])
def test_a_sound_rise_of_a_turn_raises_nothing(rise_mm: float) -> None:
    assert (
        slips(helix={"radius_mm": 600, "turns": 2, "rise_per_turn_mm": rise_mm}) == []
    )
    quarter = {"radius_mm": 600, "turns": 0.25, "rise_per_turn_mm": 8}
    assert slips(helix=quarter) == []
