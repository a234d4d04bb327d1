"""How long American stock is: to scale in H0 too, over its body, and by the class that
a car is called by.
"""

from collections.abc import Callable, Mapping
from typing import Any

import pytest

from standage.questions import capacity as capacity_question
from standage.questions import curve as curve_question
from standage.questions import mass as mass_question
from standage.questions import passing as passing_question
from standage.questions import train_fit as train_fit_question
from standage.questions.question import Question
from standage.questions.sources import Sources
from standage.railway.slips.judges import vehicle_slips
from standage.railway.stock.couplings import Coupling, CouplingTypes
from standage.railway.stock.ends import kind_of
from standage.railway.stock.extents import length_of
from standage.railway.stock.vehicles import Vehicle
from standage.shapes.decoding import convert, faults_in
from support.stock import ask, road, vehicle
from support.walks import at_each

_FOOT_M = 0.3048
Figures = Mapping[str, object]
Asked = Callable[[Figures], Any]


def answered(question: Question[Any, Any, Any], body: Figures) -> Any:
    """Return the answer to a question asked with all that it needs."""
    request = convert(body, question.request)
    return question.reckon(question.gather(Sources(None, ""), request))


def curve(car: Figures) -> Any:
    body = {"vehicles": [car], "curve": {"radius_mm": 400}}
    return answered(curve_question.QUESTION, body)


def curve_coupled(car: Figures) -> Any:
    body = {"vehicles": [car, car], "curve": {"radius_mm": 400, "couplings": True}}
    return answered(curve_question.QUESTION, body)


def passing(car: Figures) -> Any:
    body = {"vehicles": [car], "inner_radius_mm": 400, "spacing_mm": 50}
    return answered(passing_question.QUESTION, body)


def train_fit(car: Figures) -> Any:
    train = {"vehicles": [{**car, "count": 3}]}
    place = {"kind": "siding", "usable_length_mm": 500}
    return answered(train_fit_question.QUESTION, {"train": train, "place": place})


def capacity(car: Figures) -> Any:
    place = {"kind": "siding", "usable_length_mm": 500}
    return answered(capacity_question.QUESTION, {"vehicle": car, "place": place})


def length_mm(**figures: Any) -> float | None:
    return length_of(Vehicle(name="Car", **figures)).extent.length_mm


@pytest.mark.parametrize(
    ("full_size_m", "known"),
    [(24.0, True), (24.1, False), (25.0, False), (26.4, False), (23.9, True)],
)
def test_a_continental_carriage_of_over_24_m_is_not_had_by_scaling_in_h0(
    full_size_m: float, *, known: bool
) -> None:
    """Common practice: European makers shorten long carriages in H0."""
    found = length_mm(kind="coach", scale="H0", full_size_length_m=full_size_m)
    assert (found is not None) is known


@pytest.mark.parametrize(
    ("scale", "practice"), [("HO", None), ("H0", "american"), ("HO", "american")]
)
def test_an_american_coach_of_85_ft_is_to_scale(scale: Any, practice: Any) -> None:
    """85 ft at 1:87.1 are 297.4 mm, at 1:87 297.8 mm (memory)."""
    found = length_mm(
        kind="coach", scale=scale, practice=practice, full_size_length_m=85 * _FOOT_M
    )
    assert found == pytest.approx(297.6, abs=0.3)


def test_a_european_coach_in_ho_is_not() -> None:
    assert (
        length_mm(
            kind="coach", scale="HO", practice="continental", full_size_length_m=26.4
        )
        is None
    )


def test_a_40_ft_box_car_is_44_ft_2_and_a_half_over_its_pulling_faces() -> None:
    """44 ft 2½ in are 13.4747 m; 154.7 mm at 1:87.1, 84.2 mm at 1:160."""
    in_ho = length_of(
        Vehicle(name="Box car", kind="wagon", scale="HO", nominal_length_ft=40)
    )
    assert in_ho.over == "couplings"
    assert in_ho.extent.length_mm == pytest.approx(154.7, abs=0.05)
    assert in_ho.extent.plus_minus_mm == 2.0
    in_n = length_mm(kind="wagon", scale="N", practice="american", nominal_length_ft=40)
    assert in_n == pytest.approx(84.2, abs=0.05)


def test_a_measured_length_counts_before_the_class() -> None:
    assert (
        length_mm(
            scale="HO", nominal_length_ft=40, length_mm=155.0, length_over="couplings"
        )
        == 155.0
    )


def test_a_passenger_car_is_called_by_its_length() -> None:
    found = length_mm(kind="coach", scale="HO", nominal_length_ft=85)
    assert found == pytest.approx(297.4, abs=0.1)


@at_each(
    "field, figure_mm, known",
    [
        ("body_length_mm", 156.7, True),
        ("body_length_mm", 156.8, False),
        ("bogie_centres_mm", 160, False),
        ("rigid_wheelbase_mm", 160, False),
        ("total_wheelbase_mm", 160, False),
    ],
)
def test_a_car_with_a_figure_longer_than_its_class_is_measured(
    field: str, figure_mm: float, *, known: bool
) -> None:
    """44 ft 2½ in are 154.7 mm at 1:87.1, and that is good to 2 mm."""
    car = {"kind": "wagon", "scale": "HO", "nominal_length_ft": 40, field: figure_mm}
    assert (length_mm(**car) is not None) is known
    answer = train_fit({"name": "Car", **car})
    assert (answer.verdict != "cannot_tell") is known
    named = ("Car", "length_mm") in [(one.vehicle, one.field) for one in answer.because]
    assert named is not known


def test_a_class_that_is_not_held_is_never_invented() -> None:
    found = length_of(
        Vehicle(name="Odd car", kind="wagon", scale="HO", nominal_length_ft=47)
    )
    assert [(one.vehicle, one.field) for one in found.extent.missing] == [
        ("Odd car", "length_mm")
    ]


@pytest.mark.parametrize(
    ("figures", "pointer"),
    [
        ({"scale": "00", "nominal_length_ft": 40}, "/nominal_length_ft"),
        ({"practice": "american", "nominal_length_ft": 40}, "/scale"),
        ({"scale": "00", "length_mm": 82.0, "length_over": "body"}, "/length_over"),
        ({"scale": "H0", "length_mm": 82.0, "length_over": "body"}, "/length_over"),
        ({"length_mm": 82.0, "length_over": "body"}, "/length_over"),
    ],
)
def test_what_belongs_to_american_stock_is_refused_elsewhere(
    figures: dict[str, Any], pointer: str
) -> None:
    found = {
        fault.pointer: fault.message
        for fault in faults_in({"name": "Car", **figures}, Vehicle)
    }
    assert pointer in found


def test_who_measures_a_british_wagon_over_its_body_is_told_why_not() -> None:
    body = {"name": "Wagon", "scale": "00", "length_mm": 70.0, "length_over": "body"}
    (fault,) = faults_in(body, Vehicle)
    assert "5.8 mm" in fault.message
    assert "7 in H0" in fault.message


def test_over_the_body_a_knuckle_reaches_from_there() -> None:
    """Common practice in HO: 4 ± 1 mm beyond the body at each end; 150 + 2 × 4 free
    ends.
    """
    ends = {"front_coupling": None, "rear_coupling": None}
    car = vehicle("Car", 150.0, scale="HO", length_over="body", **ends)
    found = ask(car, place=road(158.0))
    assert (found.train_length_mm, found.plus_minus_mm, found.verdict) == (
        158.0,
        2.0,
        "tight",
    )


@pytest.mark.parametrize(
    ("figures", "field", "likely"),
    [
        (
            {"scale": "HO", "length_mm": 140.0, "length_over": "couplings"},
            "length_mm",
            154.7,
        ),
        ({"scale": "HO", "full_size_length_m": 12.19}, "full_size_length_m", 13.475),
        (
            {
                "scale": "N",
                "practice": "american",
                "length_mm": 76.2,
                "length_over": "couplings",
            },
            "length_mm",
            84.2,
        ),
    ],
)
def test_a_length_that_is_just_that_of_the_class_is_a_slip(
    figures: Any, field: str, likely: float
) -> None:
    slips = [
        one
        for one in vehicle_slips(Vehicle(name="Box car", kind="wagon", **figures))
        if one.field == field
    ]
    assert [(one.code, one.likely) for one in slips] == [("two_lengths", "rounded")]
    assert slips[0].likely_value == pytest.approx(likely, abs=0.05)


@pytest.mark.parametrize(
    "figures",
    [
        {"scale": "HO", "length_mm": 154.7, "length_over": "couplings"},
        {"scale": "HO", "length_mm": 140.0, "length_over": "body"},
        {"scale": "H0", "full_size_length_m": 12.19},
    ],
)
def test_other_lengths_are_none(figures: Any) -> None:
    slips = vehicle_slips(Vehicle(name="Box car", kind="wagon", **figures))
    assert "two_lengths" not in {one.code for one in slips}


@at_each(
    "kind, class_ft, field_words",
    [
        ("engine", 40, "only cars are called by a class"),
        ("brake_van", 36, "only cars are called by a class"),
        (None, 85, "say its kind"),
        ("other", 85, "say its kind"),
        ("coach", 30, "30 ft class"),
        ("wagon", 47, "47 ft class"),
    ],
)
def test_what_a_class_does_not_tell_has_to_be_measured(
    kind: Any, class_ft: int, field_words: str
) -> None:
    car = Vehicle(name="Car", kind=kind, scale="HO", nominal_length_ft=class_ft)
    (missing,) = length_of(car).extent.missing
    assert missing.field == "length_mm"
    assert field_words in missing.words


@at_each(
    "class_ft, words, plus_minus_mm",
    # 2 ft of scatter are 7.0 mm at 1:87.1; the published class has none
    [(40, "as published", 2.0), (50, "from memory", 7.0)],
)
def test_where_a_length_by_class_is_from_is_told_with_its_plus_minus(
    class_ft: int, words: str, plus_minus_mm: float
) -> None:
    car = Vehicle(name="Car", kind="wagon", scale="HO", nominal_length_ft=class_ft)
    (guess,) = length_of(car).guesses
    assert words in guess.about
    assert guess.plus_minus_mm == pytest.approx(plus_minus_mm, abs=0.05)


BY_CLASS = {"name": "Box car", "kind": "wagon", "scale": "HO", "nominal_length_ft": 40}
MEASURED = {
    "name": "Box car",
    "kind": "wagon",
    "scale": "HO",
    # 44 ft 2½ in at 1:87.1
    "length_mm": (44 * 12 + 2.5) * 25.4 / 87.1,
    "length_over": "couplings",
    "length_plus_minus_mm": 2.0,
}


@at_each(
    "asked, figures",
    [
        (curve, ("verdict",)),
        (curve_coupled, ("verdict",)),
        (passing, ("verdict", "least_gap_mm", "spacing_needed_mm")),
        (train_fit, ("verdict", "train_length_mm", "plus_minus_mm", "spare_mm")),
        (capacity, ("verdict", "standing_capacity", "pitch_mm")),
    ],
)
def test_a_car_by_its_class_is_answered_as_one_measured_so_long_over_its_couplings(
    asked: Asked, figures: tuple[str, ...]
) -> None:
    by_class, measured = asked(BY_CLASS), asked(MEASURED)
    for figure in figures:
        found = getattr(by_class, figure)
        expected = getattr(measured, figure)
        assert found == (
            expected if isinstance(expected, str) else pytest.approx(expected, abs=1e-5)
        )
    assert [one for one in by_class.assumed if "40 ft class" in one.message]


def test_joints_of_cars_by_their_class_are_those_of_measured_ones() -> None:
    by_class, measured = curve_coupled(BY_CLASS), curve_coupled(MEASURED)
    (one,), (other,) = by_class.couplings, measured.couplings
    assert one.gap_mm == other.gap_mm
    assert one.steady_offset_mm == other.steady_offset_mm


def test_a_type_of_the_clubs_own_is_taken_off_the_body_of_a_car_by_its_class() -> None:
    """154.7 mm over the couplings, less twice 5 mm: the middle of the joint is 10 mm
    wide.
    """
    ends = {
        f"{at}_coupling": {"type": "Staple hook", "reach_mm": 5.0}
        for at in ("front", "rear")
    }
    (joint,) = curve_coupled({**BY_CLASS, **ends}).couplings
    assert joint.gap_mm == 10.0
    gap_mm = passing({**BY_CLASS, **ends}).least_gap_mm
    assert gap_mm == passing({**MEASURED, **ends}).least_gap_mm


@at_each(
    "figures, reach_mm",
    [
        ({"nominal_length_ft": 40}, 4.0),
        ({"length_mm": 154.7, "length_over": "couplings"}, 4.0),
        ({"length_mm": 146.7, "length_over": "body"}, 4.0),
        ({"length_mm": 149.7, "length_over": "buffers"}, 2.5),
        ({"full_size_length_m": 13.0}, 2.5),
    ],
)
def test_a_knuckle_reaches_from_the_body_where_there_are_no_buffers(
    figures: Figures, reach_mm: float
) -> None:
    """HO: 4 mm from the body's end, 2.5 mm from a buffer's face (common practice)."""
    car = Vehicle(name="Car", kind="wagon", scale="HO", **dict(figures))  # type: ignore[arg-type] # figures by name, as a request gives them
    kind = kind_of(car, Coupling(type="knuckle"), types=CouplingTypes())
    assert kind is not None
    assert kind.reach_mm == reach_mm


def test_what_a_car_s_couplings_reach_is_taken_alike_by_every_answer() -> None:
    car = {"name": "Car", "kind": "wagon", "scale": "HO", "nominal_length_ft": 40}
    weighed = answered(mass_question.QUESTION, {"vehicle": car})
    for answer in (weighed, passing(car)):
        reach = {one.value_mm for one in answer.assumed if one.field == "reach_mm"}
        assert reach == {4.0}
