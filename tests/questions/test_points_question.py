"""Points by their number: what is taken for granted is said, and contradictions are
refused.
"""

import pytest

from standage.questions.points import PointsRequest, reckon
from standage.shapes.decoding import convert
from standage.shapes.faults import Faulty


def ask(**asked: object) -> PointsRequest:
    return convert(asked, PointsRequest)


def test_a_number_without_a_measure_is_the_practice_of_its_scale_and_says_so() -> None:
    for scale, measure in (
        ("H0", "tangent"),
        ("HO", "centre_line"),
        ("00", "centre_line"),
        (None, "centre_line"),
    ):
        answer = reckon(ask(number=8, scale=scale))
        assert [(one.field, one.value) for one in answer.assumed] == [
            ("measure", measure)
        ]
    assert reckon(ask(number=8, measure="tangent")).assumed == ()
    assert reckon(ask(angle_deg=7.1)).assumed == ()


def test_without_a_gauge_there_is_no_curve() -> None:
    answer = reckon(ask(number=8))
    assert (answer.lead_mm, answer.greatest_radius_mm) == (None, None)
    assert [one.code for one in answer.because] == ["crossing"]


def test_the_scale_s_gauge_gives_way_to_the_one_that_is_said() -> None:
    narrow, usual = (
        reckon(ask(number=6, scale="HO", gauge_mm=9)),
        reckon(ask(number=6, scale="HO")),
    )
    assert [narrow.lead_mm, narrow.greatest_radius_mm] == pytest.approx([108, 648])
    assert [usual.lead_mm, usual.greatest_radius_mm] == pytest.approx([198, 1188])
    assert "1188 mm at most" in usual.because[1].message


@pytest.mark.parametrize(
    ("asked", "pointer", "code"),
    [
        ({}, "/number", "missing"),
        ({"number": 6, "angle_deg": 9.5}, "/angle_deg", "one_or_the_other"),
    ],
)
def test_one_of_number_and_angle_is_given(
    asked: dict[str, object], pointer: str, code: str
) -> None:
    with pytest.raises(Faulty) as refused:
        ask(**asked)
    assert [(fault.pointer, fault.code) for fault in refused.value.faults] == [
        (pointer, code)
    ]
