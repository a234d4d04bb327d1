"""Spacings that were read from another column of a published table."""

from typing import Any

import pytest

from standage.questions import crossover, ladder
from standage.questions.question import Question
from standage.railway.roads.places import Place
from standage.railway.slips.judges import likely_slips, place_slips
from standage.railway.slips.track import spacing_slips
from standage.railway.terms.scales import ScaleName, scale
from standage.shapes.decoding import convert
from support.walks import at_each

INCH = 25.4


@pytest.mark.parametrize(
    ("name", "read_in", "own_in"),
    [
        ("S", 29 / 16, 39 / 16),
        ("S", 33 / 32, 39 / 16),
        ("O", 39 / 16, 13 / 4),
        ("O", 29 / 16, 13 / 4),
        ("HO", 33 / 32, 29 / 16),
        ("O", 15 / 4, 13 / 4),
    ],
)
def test_a_spacing_from_another_column_is_told_with_its_own(
    name: ScaleName, read_in: float, own_in: float
) -> None:
    """NMRA S-8 as quoted: N 1 1/32, HO 1 13/16, S 2 7/16, O 3 1/4; 3 3/4 is another
    column.
    """
    for off_mm in (-0.1, 0, 0.1):
        (slip,) = spacing_slips(read_in * INCH + off_mm, of=scale(name), field="x")
        assert (slip.code, slip.field) == ("another_column", "x")
        assert slip.likely_value == pytest.approx(own_in * INCH, abs=0.001)
    assert list(spacing_slips(own_in * INCH, of=scale(name))) == []


@pytest.mark.parametrize(
    ("name", "read_mm", "own_mm"),
    [("TT", 25, 34), ("H0", 25, 46), ("H0", 34, 46), ("H0", 28, 52)],
)
def test_a_spacing_from_another_scale_s_row_is_told_with_its_own(
    name: ScaleName, read_mm: float, own_mm: float
) -> None:
    """NEM 112 as quoted: running line N 25, TT 34, H0 46; station N 28, H0 52."""
    (slip,) = spacing_slips(read_mm, of=scale(name))
    assert (slip.code, slip.likely) == ("another_column", "another_scale")
    assert slip.likely_value == own_mm


@pytest.mark.parametrize("name", ["HO", "S", "N", "00", "0", "O"])
def test_what_is_another_scale_s_row_but_a_sound_spacing_raises_nothing(
    name: ScaleName,
) -> None:
    """H0 62 is NEM 934 E though S has 61.9; 0 95 is NEM 962 F though O has 95.25."""
    for sound_mm in (61.9125, 82.55, 95.0):
        if sound_mm * scale(name).ratio >= 3300:
            assert list(spacing_slips(sound_mm, of=scale(name))) == []


def test_three_and_three_quarter_inches_in_o_are_sound_beside_a_curve() -> None:
    assert list(spacing_slips(95.25, of=scale("O"), is_straight=False)) == []
    curved = Place(kind="loop", scale="O", spacing_mm=95.25, minimum_radius_mm=1200)
    assert list(place_slips(curved)) == []
    straight = Place(kind="loop", scale="O", spacing_mm=95.25)
    assert [slip.code for slip in place_slips(straight)] == ["another_column"]


@at_each("question", [crossover.QUESTION, ladder.QUESTION])
def test_tracks_joined_by_points_are_straight_though_the_points_curve(
    question: Question[Any, Any, Any],
) -> None:
    body = {"spacing_mm": 95.25, "number": 8, "scale": "O", "radius_mm": 1800}
    if question is ladder.QUESTION:
        body |= {"roads": 4, "lead_counts": True}
    (slip,) = likely_slips(convert(body, question.request))
    assert (slip.code, slip.field) == ("another_column", "spacing_mm")
