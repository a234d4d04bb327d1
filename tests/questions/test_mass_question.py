"""What a vehicle ought to weigh, without the wire."""

from fractions import Fraction
from typing import Any, get_args

import pytest

from standage.questions.mass import MassAnswer, MassRequest, gather, reckon
from standage.questions.sources import Sources
from standage.railway.terms.scales import ScaleName
from standage.shapes.decoding import convert
from standage.shapes.faults import Faulty
from support.walks import at_each

SHEET: dict[ScaleName, tuple[str, str]] = {
    "HO": ("1", "0.5"),
    "H0": ("1", "0.5"),
    "N": ("0.5", "0.15"),
    "TT": ("0.75", "0.375"),
    "S": ("2", "0.5"),
    "O": ("5", "1"),
}
"""NMRA RP-20.1: ounces for any vehicle, and for each inch of its body."""
OUNCE_G = Fraction("453.59237") / 16
"""The international pound of 1959."""
NOT_HELD = [name for name in get_args(ScaleName) if name not in SHEET]


def answer(**figures: Any) -> MassAnswer:
    exact = figures.pop("exact", False)
    vehicle = {"name": "Van", **figures}
    request = convert({"vehicle": vehicle, "exact": exact}, MassRequest)
    return reckon(gather(Sources(None, ""), request))


@at_each("scale, body", [(one, mm) for one in SHEET for mm in ("12.7", "127", "304.8")])
def test_the_sheet_is_followed_by_the_inch_of_body(scale: ScaleName, body: str) -> None:
    initial, inch = SHEET[scale]
    ounces = Fraction(initial) + Fraction(inch) * Fraction(body) / Fraction("25.4")
    found = answer(scale=scale, body_length_mm=float(body))
    exact_g = ounces * OUNCE_G
    assert found.recommended_mass_g == pytest.approx(float(exact_g), abs=1e-6)
    assert (found.plus_minus_g, found.assumed) == (0.0, ())


def test_four_ounces_are_recommended_for_six_inches_in_ho() -> None:
    """1 + 6 × 0.5 oz, 113.4 g: with 85 g it lacks one ounce."""
    short = answer(scale="HO", length_mm=152.4, length_over="body", mass_g=85.048569)
    assert (short.verdict, short.over_g) == ("too_light", 0.0)
    assert short.add_g == pytest.approx(28.349523, abs=2e-6)
    assert short.because[0].message == (
        "Van weighs 85 g, 28.3 g too little: it ought to weigh 113.4 g for a body of"
        " 152.4 mm (NMRA RP-20.1)"
    )


@at_each("scale", NOT_HELD)
def test_nothing_is_made_up_for_a_scale_that_the_sheet_does_not_hold(
    scale: ScaleName,
) -> None:
    found = answer(scale=scale, body_length_mm=100, mass_g=1)
    told = (found.verdict, found.recommended_mass_g, found.add_g, found.over_g)
    assert told == ("not_held", None, None, None)
    assert [one.code for one in found.because] == ["not_held"]


@at_each("kind", ["engine", "railcar"])
def test_what_drives_itself_is_not_held_either(kind: str) -> None:
    found = answer(scale="HO", kind=kind, body_length_mm=100)
    assert (found.verdict, found.because[0].field) == ("not_held", "kind")


def test_heavier_than_recommended_needs_nothing_and_is_said_by_how_much() -> None:
    heavy = answer(scale="HO", body_length_mm=152.4, mass_g=120)
    assert (heavy.verdict, heavy.add_g) == ("heavy_enough", 0.0)
    assert heavy.over_g == pytest.approx(120 - 113.398092, abs=1e-6)
    assert "6.6 g more" in heavy.because[0].message
    just = answer(scale="HO", body_length_mm=152.4, mass_g=113.398093)
    assert just.verdict == "heavy_enough"


def test_an_unweighed_vehicle_is_named_with_what_to_weigh() -> None:
    found = answer(scale="N", body_length_mm=80)
    assert (found.verdict, found.add_g, found.over_g) == ("cannot_tell", None, None)
    assert found.recommended_mass_g is not None
    assert [(one.vehicle, one.field) for one in found.because] == [("Van", "mass_g")]


@pytest.mark.parametrize(
    ("figures", "fields"),
    [
        ({"scale": "HO"}, {"length_mm"}),
        ({"body_length_mm": 90}, {"scale"}),
        ({}, {"scale", "length_mm"}),
        ({"scale": "HO", "bodies": [{"length_mm": 90}] * 2}, {"body_length_mm"}),
        ({"scale": "H0", "length_mm": 9, "length_over": "buffers"}, {"body_length_mm"}),
    ],
)
def test_what_is_not_known_of_the_body_is_named(
    figures: dict[str, Any], fields: set[str]
) -> None:
    found = answer(mass_g=50, **figures)
    assert (found.verdict, found.recommended_mass_g) == ("cannot_tell", None)
    assert {one.field for one in found.because} == fields
    assert {one.vehicle for one in found.because} == {"Van"}


@pytest.mark.parametrize(
    ("figures", "body_mm", "off_mm"),
    [
        # 609 mm of full-size buffer is 7 mm at 1:87; the maker's length is ± 1
        ({"scale": "H0", "length_over": "buffers"}, 120 - 14, 1 + 2),
        ({"scale": "TT", "length_over": "buffers"}, 120 - 2 * 609 / 120, 1 + 2),
        # an American car has none
        ({"scale": "HO", "length_over": "buffers"}, 120, 1),
        ({"scale": "HO", "length_over": "body"}, 120, 1),
        # knuckles reach 4 ± 1 mm from the body's end
        (
            {
                "scale": "HO",
                "length_over": "couplings",
                "front_coupling": {"type": "knuckle"},
                "rear_coupling": {"type": "knuckle"},
            },
            120 - 8,
            1 + 2,
        ),
        # a reach of its own counts before what is typical
        (
            {
                "scale": "H0",
                "length_over": "couplings",
                "front_coupling": {"reach_mm": 3},
                "rear_coupling": {"reach_mm": 5},
            },
            120 - 8 - 14,
            1 + 2,
        ),
    ],
)
def test_the_body_is_what_couplings_and_buffers_leave_and_that_is_told(
    figures: dict[str, Any], body_mm: float, off_mm: float
) -> None:
    found = answer(length_mm=120, **figures)
    assert found.body_length_mm == pytest.approx(body_mm, abs=1e-6)
    _, inch = SHEET[figures["scale"]]
    inch_g = float(Fraction(inch) * OUNCE_G) / 25.4
    assert found.plus_minus_g == pytest.approx(off_mm * inch_g, abs=1e-5)
    if figures["length_over"] != "body":
        assert "body_length_mm" in {one.field for one in found.assumed}


def test_exact_figures_leave_no_doubt_but_that_of_the_buffers() -> None:
    found = answer(scale="HO", length_mm=120, length_over="body", exact=True)
    assert found.plus_minus_g == 0.0


def test_a_longer_body_is_never_to_be_lighter() -> None:
    masses = [
        answer(scale="N", length_mm=length_mm, length_over="buffers").recommended_mass_g
        for length_mm in range(20, 220, 20)
    ]
    known = [mass for mass in masses if mass is not None]
    assert known == sorted(known)
    assert len(known) == len(masses)


def test_one_vehicle_at_a_time_is_asked_about() -> None:
    with pytest.raises(Faulty) as refused:
        answer(scale="N", body_length_mm=80, count=2)
    assert [fault.pointer for fault in refused.value.faults] == ["/vehicle/count"]
