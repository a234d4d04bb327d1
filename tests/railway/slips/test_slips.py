"""Slips of the pen are named; nothing is refused for one."""

import pytest

from standage.railway.roads.places import Place
from standage.railway.slips.judges import place_slips, vehicle_slips
from standage.railway.slips.slip import Slip, shown
from standage.railway.slips.track import (
    called_slips,
    gradient_slips,
    lengths_agree,
    radius_slips,
    spacing_slips,
)
from standage.railway.slips.wire import which_wire_slips, wire_areas_mm2, wire_slips
from standage.railway.stock.vehicles import Body, VehicleFigures, VehicleKind
from standage.railway.terms.scales import ScaleName, scale


def coach(
    length_mm: float, *, kind: VehicleKind = "coach", name: ScaleName | None = "00"
) -> list[Slip]:
    vehicle = VehicleFigures(
        kind=kind, scale=name, length_mm=length_mm, length_over="buffers"
    )
    return list(vehicle_slips(vehicle, name="Coach 1"))


def test_an_00_coach_of_26_mm_is_one_of_26_cm() -> None:
    (slip,) = coach(26)
    assert (slip.code, slip.field, slip.vehicle) == ("unit", "length_mm", "Coach 1")
    assert (slip.likely, slip.likely_value) == ("centimetres", 260.0)
    assert slip.message.startswith(
        "26 mm is too small for a coach's length in 00 (2 m full size): if in"
        " centimetres, write 260"
    )


def test_an_00_coach_of_2_6_m_has_a_nought_too_many_with_a_scale_or_without() -> None:
    for slips in (coach(2600, name="00"), coach(2600, name=None)):
        (slip,) = slips
        assert (slip.likely, slip.likely_value) == ("ten_times", 260.0)
        assert "too great" in slip.message


def test_an_00_coach_of_26_cm_raises_nothing() -> None:
    assert coach(260) == []


def test_the_question_s_scale_counts_where_the_vehicle_names_none() -> None:
    unscaled = VehicleFigures(length_mm=26, length_over="buffers")
    assert list(vehicle_slips(unscaled)) == []
    assert [slip.likely for slip in vehicle_slips(unscaled, of="00")] == ["centimetres"]


@pytest.mark.parametrize(
    ("kind", "least_m", "most_m"),
    [
        ("engine", 3.5, 45),
        ("wagon", 3.5, 35),
        ("coach", 5, 32),
        ("brake_van", 3.5, 20),
        ("multiple_unit_car", 7, 32),
    ],
)
def test_bounds_of_a_kind_are_kept_on_both_sides(
    kind: VehicleKind, least_m: float, most_m: float
) -> None:
    """Beyond the greatest a tenth is what was meant where that is a length at all."""
    tenth = most_m / 10 >= least_m
    for metres, expected in (
        (least_m, 0),
        (least_m - 0.1, 1),
        (most_m, 0),
        (most_m + 0.1, tenth),
    ):
        assert len(coach(metres * 1000 / 87, kind=kind, name="H0")) == expected, metres


def test_a_short_narrow_gauge_wagon_is_not_suspected() -> None:
    assert coach(2.0 * 1000 / 87, kind="wagon", name="H0e") == []
    assert coach(2.0 * 1000 / 87, kind="wagon", name="H0") != []


def test_a_set_of_several_bodies_may_be_as_long_as_they_are_together() -> None:
    bodies = tuple(Body(length_mm=300) for _ in range(3))
    joined = VehicleFigures(
        kind="coach", scale="H0", length_mm=900, length_over="buffers", bodies=bodies
    )
    assert list(vehicle_slips(joined)) == []
    assert [slip.field for slip in coach(900, name="H0")] == ["length_mm"]


def test_a_slip_in_one_body_says_which() -> None:
    bodies = (Body(length_mm=150), Body(length_mm=7.5))
    engine = VehicleFigures(
        kind="engine", scale="H0", length_mm=225, length_over="buffers", bodies=bodies
    )
    assert [(slip.field, slip.likely) for slip in vehicle_slips(engine)] == [
        ("bodies/1/length_mm", "inches")
    ]


def test_a_nought_too_many_is_likelier_than_inches_turned_into_mm_twice() -> None:
    (slip,) = coach(2000, kind="wagon")
    assert (slip.likely, slip.likely_value) == ("ten_times", 200.0)
    assert "turned from inches twice, write 78.7" in slip.message


def test_where_no_scale_is_known_a_road_of_5_is_one_of_five_feet() -> None:
    (slip,) = place_slips(Place(kind="loop", usable_length_mm=5))
    assert (slip.likely, slip.likely_value) == ("feet", 1524.0)


def test_an_articulated_set_takes_a_radius_less_than_its_whole_length() -> None:
    bodies = tuple(Body(length_mm=300) for _ in range(3))
    joined = VehicleFigures(
        scale="H0",
        length_mm=900,
        length_over="buffers",
        bodies=bodies,
        minimum_radius_mm=438,
    )
    assert list(vehicle_slips(joined)) == []


def test_a_figure_that_no_slip_explains_is_left_alone() -> None:
    assert coach(0.02) == []


def test_a_model_in_another_scale_is_told_by_its_full_size_length() -> None:
    n_coach = VehicleFigures(
        scale="H0", length_mm=165, length_over="buffers", full_size_length_m=26.4
    )
    (slip,) = vehicle_slips(n_coach)
    assert (slip.code, slip.field, slip.likely, slip.likely_value) == (
        "scale",
        "scale",
        "another_scale",
        160.0,
    )
    assert "is it a model in N?" in slip.message


@pytest.mark.parametrize("length_mm", [303.4, 282.0, 264.0])
def test_a_coach_shortened_as_they_commonly_are_is_not_taken_for_another_scale(
    length_mm: float,
) -> None:
    shortened = VehicleFigures(
        scale="H0", length_mm=length_mm, length_over="buffers", full_size_length_m=26.4
    )
    assert list(vehicle_slips(shortened)) == []


def test_a_length_that_fits_no_other_scale_is_left_alone() -> None:
    odd = VehicleFigures(
        scale="H0",
        length_mm=26.4e3 / 135,
        length_over="buffers",
        full_size_length_m=26.4,
    )
    assert list(vehicle_slips(odd)) == []


def test_a_full_size_length_in_feet_is_told_from_metres() -> None:
    coach_in_feet = VehicleFigures(kind="coach", scale="00", full_size_length_m=64.5)
    (slip,) = vehicle_slips(coach_in_feet)
    assert (slip.field, slip.likely, slip.likely_value) == (
        "full_size_length_m",
        "feet",
        19.66,
    )
    for sound_or_hopeless_m in (19.66, 32.0, 120.0):
        figures = VehicleFigures(
            kind="coach", scale="00", full_size_length_m=sound_or_hopeless_m
        )
        assert list(vehicle_slips(figures)) == []


def test_a_least_radius_less_than_the_vehicle_is_suspected() -> None:
    vehicle = VehicleFigures(
        scale="00", length_mm=260, length_over="buffers", minimum_radius_mm=18
    )
    (slip,) = vehicle_slips(vehicle)
    assert (slip.field, slip.likely, slip.likely_value) == (
        "minimum_radius_mm",
        "inches",
        457.2,
    )


def test_a_radius_less_than_the_vehicle_is_told_apart_from_a_slip_of_unit() -> None:
    (slip,) = radius_slips(18, of=None, longest_mm=260)
    assert (slip.code, slip.likely) == ("unit", "inches")
    (slip,) = radius_slips(250, of=None, longest_mm=260)
    assert (slip.code, slip.likely_value) == ("radius_smaller_than_vehicle", None)
    (slip,) = radius_slips(250, of=scale("H0"), longest_mm=20_000)
    assert (slip.code, slip.likely) == ("radius_smaller_than_vehicle", "unknown")
    assert list(radius_slips(260, of=scale("H0"), longest_mm=260)) == []


@pytest.mark.parametrize("of", [None, "00", "H0", "N"])
def test_a_plausible_radius_beside_a_longer_vehicle_proposes_nothing(
    of: ScaleName | None,
) -> None:
    """438 mm is a radius that is sold, and an engine of 440 mm stands beside it: 1752
    mm or 4380 is nobody's.
    """
    engine = VehicleFigures(
        length_mm=440,
        length_over="buffers",
        minimum_radius_mm=438,
        kind="engine",
        scale=of,
    )
    slips = [
        slip for slip in vehicle_slips(engine) if slip.field == "minimum_radius_mm"
    ]
    assert [(slip.code, slip.likely, slip.likely_value) for slip in slips] == [
        ("radius_smaller_than_vehicle", "unknown", None)
    ]
    assert "write" not in slips[0].message


@pytest.mark.parametrize("radius_mm", [742.0, 876.0, 1010.0, 1144.0])
def test_twice_a_sectional_radius_is_suspected_in_00_only(radius_mm: float) -> None:
    (slip,) = radius_slips(radius_mm, of=scale("00"))
    assert (slip.likely, slip.likely_value) == ("diameter", radius_mm / 2)
    assert list(radius_slips(radius_mm, of=scale("H0"))) == []
    assert list(radius_slips(radius_mm + 3, of=scale("00"))) == []


def test_thirty_mm_between_centres_in_h0_is_the_gap_between_the_rails() -> None:
    (slip,) = spacing_slips(30, field="spacing_mm", of=scale("H0"))
    assert (slip.code, slip.field, slip.likely, slip.likely_value) == (
        "spacing_or_gap",
        "spacing_mm",
        "gap",
        46.5,
    )
    assert "add the gauge of 16.5 mm and write 46.5" in slip.message


def test_a_spacing_in_centimetres_is_no_gap() -> None:
    assert [
        (slip.code, slip.likely) for slip in spacing_slips(4.6, of=scale("H0"))
    ] == [("unit", "centimetres")]


def test_a_close_spacing_on_the_narrow_gauge_is_left_alone() -> None:
    assert list(spacing_slips(32, of=scale("H0m"))) == []
    assert [slip.likely for slip in spacing_slips(32, of=scale("H0"))] == ["gap"]


@pytest.mark.parametrize(
    ("percent", "likely"),
    [(2.0, 0), (10.0, 0), (30.0, 1), (50.0, 1), (200.0, 1), (201.0, 0)],
)
def test_one_in_fifty_given_as_fifty_per_cent_is_named(
    percent: float, likely: int
) -> None:
    slips = list(gradient_slips(percent, field="gradient_percent"))
    assert [slip.likely for slip in slips] == ["one_in"] * likely
    assert all(
        slip.likely_value == pytest.approx(100 / percent, abs=0.001) for slip in slips
    )


def test_two_metres_called_seven_feet_is_named() -> None:
    place = Place(kind="loop", usable_length_mm=2000, name="the 7 ft loop")
    (slip,) = place_slips(place, name=place.name)
    assert (slip.code, slip.field, slip.place, slip.likely) == (
        "two_lengths",
        "usable_length_mm",
        "the 7 ft loop",
        "rounded",
    )
    assert (
        slip.message
        == "2000 mm is 6 ft 6 3/4 in, but is called 7 ft, which is 2133.6 mm: 133.6 mm"
        " apart"
    )


@pytest.mark.parametrize(
    ("called", "length_mm"),
    [
        ("7 ft loop", 2133.6),
        ("7 ft loop", 2100),
        ("5 ft road", 1524),
        ("6 ft 6 in road", 2000),
        ("loop", 2000),
        ("by the 10 ft board", 900),
        ("2 in gap", 48),
        ("99 mm stub", 115),
        ("7 ft loop, 2000 mm clear", 2000),
    ],
)
def test_a_name_that_agrees_or_means_something_else_is_left_alone(
    called: str, length_mm: float
) -> None:
    assert (
        list(called_slips(called, length_mm=length_mm, field="usable_length_mm")) == []
    )


@pytest.mark.parametrize(
    ("length_mm", "likely"),
    [
        (84, "inches"),
        (213, "centimetres"),
        (2.134, "metres"),
        (7, "feet"),
        (1800, "rounded"),
    ],
)
def test_a_name_in_feet_tells_in_what_the_figure_is(
    length_mm: float, likely: str
) -> None:
    assert [
        slip.likely
        for slip in called_slips("7 ft loop", length_mm=length_mm, field="x")
    ] == [likely]


def test_nominal_feet_of_300_mm_agree_and_seven_feet_of_2_m_do_not() -> None:
    assert lengths_agree(1200, called_mm=1219.2)
    assert lengths_agree(0, called_mm=0)
    assert not lengths_agree(0, called_mm=1)
    assert not lengths_agree(2000, called_mm=2133.6)


def test_every_figure_of_a_place_is_looked_at() -> None:
    place = Place(
        kind="platform",
        scale="00",
        usable_length_mm=2.4,
        blades_to_blades_mm=2.6,
        stop_to_stop_mm=2.2,
        face_length_mm=2.0,
        clear_circle_mm=10,
        headroom_mm=6,
        spacing_mm=28.5,
        minimum_radius_mm=876,
        steepest_gradient_percent=50,
    )
    assert {slip.field: slip.code for slip in place_slips(place)} == {
        "usable_length_mm": "unit",
        "blades_to_blades_mm": "unit",
        "stop_to_stop_mm": "unit",
        "face_length_mm": "unit",
        "clear_circle_mm": "unit",
        "headroom_mm": "unit",
        "spacing_mm": "spacing_or_gap",
        "minimum_radius_mm": "radius_or_diameter",
        "steepest_gradient_percent": "percent_or_one_in",
    }


def test_a_sound_place_raises_nothing() -> None:
    place = Place(
        kind="loop",
        name="Loop 1",
        usable_length_mm=1500,
        spacing_mm=50,
        minimum_radius_mm=610,
    )
    assert list(place_slips(place, of="00")) == []
    assert list(place_slips(place)) == []
    assert [
        slip.field
        for slip in place_slips(Place(kind="siding", usable_length_mm=0), of="00")
    ] == []


@pytest.mark.parametrize(
    "area_mm2",
    [0.14, 0.22, 0.25, 0.34, 0.5, 0.75, 1.0, 1.5, 2.5, 4.0, 0.823, 0.326, 2.08, 0.99],
)
def test_a_usual_area_of_wire_raises_nothing(area_mm2: float) -> None:
    assert list(wire_slips(area_mm2)) == []
    assert list(wire_slips(area_mm2, called=f"{area_mm2} mm² bus")) == []
    assert list(wire_slips(area_mm2, called="bus, 7 mm sleeve")) == []


@pytest.mark.parametrize("called", ["0.5 mm wire", "0,5mm", "bus 0.50 mm solid"])
def test_a_wire_called_half_a_mm_may_have_a_fifth_of_the_copper(called: str) -> None:
    (slip,) = wire_slips(0.5, called=called, field="wire_area_mm2")
    assert (slip.code, slip.field, slip.likely) == (
        "area_or_diameter",
        "wire_area_mm2",
        "diameter",
    )
    assert slip.likely_value == 0.196
    assert "0.2 mm² of copper" in slip.message


@pytest.mark.parametrize(
    "called",
    ["0.5 mm²", "0.5 mm2 wire", "0.5 mm^2", "0.5 mm sq", "square 0.5 mm", "10.5 mm"],
)
def test_a_wire_called_by_its_area_raises_nothing(called: str) -> None:
    assert list(wire_slips(0.5, called=called)) == []


@pytest.mark.parametrize("figure", [0.6, 0.8, 1.13, 1.38, 1.78, 1.6])
def test_a_figure_that_is_a_usual_diameter_and_no_usual_area_is_suspected(
    figure: float,
) -> None:
    assert [slip.likely for slip in wire_slips(figure)] == ["diameter"]


def test_an_unusual_figure_that_is_nothing_else_raises_nothing() -> None:
    assert list(wire_slips(0.9 * 3.3)) == []


@pytest.mark.parametrize(
    ("value", "words"),
    [
        (303.448, "303.4"),
        (2600.0, "2600"),
        (0.25, "0.25"),
        (0.9996, "1"),
        (1.0, "1"),
        (0.0, "0"),
    ],
)
def test_figures_are_shown_without_needless_noughts(value: float, words: str) -> None:
    assert shown(value) == words


@pytest.mark.parametrize(
    ("called", "areas_mm2"),
    [
        ("0.75 mm²", [0.75]),
        ("3 x 1.5 mm2 flex", [1.5]),
        ("16/0.2", [16 * 0.0314159]),
        ("7 x 0.2 mm", [7 * 0.0314159]),
        ("22 AWG", [0.3255]),
        ("AWG22", [0.3255]),
        ("No. 22 SWG", [0.3973]),
        ("22swg", [0.3973]),
        ("18 SWG bus", [1.1675]),
        ("22 gauge", [0.3255, 0.3973]),
        ("gauge 22", [0.3255, 0.3973]),
        ("1.5 mm cable", [1.5, 1.7671]),
        ("0.6 mm bell wire", [0.2827]),
        ("bus", []),
        ("99 AWG", []),
    ],
)
def test_a_wire_has_the_copper_that_its_name_says(
    called: str, areas_mm2: list[float]
) -> None:
    """ASTM B258: 22 AWG is 0.6438 mm across; BS 3737, from memory: 22 SWG 0.028 in, 18
    SWG 0.048 in.
    """
    assert list(wire_areas_mm2(called)) == pytest.approx(areas_mm2, abs=1e-4)


def test_a_gauge_that_is_not_named_is_a_question() -> None:
    (slip,) = which_wire_slips("22 gauge", field="wire")
    assert (slip.field, slip.code, slip.likely) == ("wire", "unit", "unknown")
    assert "AWG or SWG" in slip.message
    (slip,) = which_wire_slips("1.5 mm cable", field="wire")
    assert (slip.field, slip.code) == ("wire", "area_or_diameter")
    for clear in (
        "22 AWG",
        "22 SWG",
        "0.5 mm²",
        "16/0.2",
        "0.6 mm",
        "bus",
        "red and black 0.5 mm² and 1.5 mm²",
    ):
        assert list(which_wire_slips(clear)) == []


def test_a_diameter_that_was_squared_is_suspected() -> None:
    """A wire 3 mm across has 7.07 mm² of copper, not 3 × 3."""
    (slip,) = wire_slips(9)
    assert (slip.code, slip.likely, slip.likely_value) == (
        "area_or_diameter",
        "diameter",
        7.069,
    )
    assert "3 × 3" in slip.message
    for usual in (4, 16, 25, 1):
        assert list(wire_slips(usual)) == []


def test_the_same_number_of_the_other_gauge_is_suspected() -> None:
    (slip,) = wire_slips(0.397, called="22 AWG")
    assert slip.likely_value == 0.326
    (slip,) = wire_slips(0.326, called="22 SWG")
    assert slip.likely_value == 0.397
    assert list(wire_slips(0.397, called="22 SWG")) == []
    assert list(wire_slips(0.326, called="22 gauge")) == []
