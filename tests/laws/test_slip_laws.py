"""Published vehicles and tracks raise no suspicion in any scale; the same figures
spoiled do, and the slip is named.
"""

import re
from collections.abc import Callable
from typing import get_args

import msgspec
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from standage.railway.roads.places import Place
from standage.railway.slips.bounds import BOUNDS
from standage.railway.slips.judges import place_slips, vehicle_slips
from standage.railway.slips.slip import Likely, Slip, unit_slip
from standage.railway.slips.track import gradient_slips, radius_slips, spacing_slips
from standage.railway.slips.wire import other_copper_slips, wire_slips
from standage.railway.stock.vehicles import VehicleFigures, VehicleKind
from standage.railway.terms.figures import LONGEST_MM
from standage.railway.terms.scales import ScaleName, scale
from standage.railway.terms.senses import Sense
from support.full_size import FULL_SIZE, FullSize
from support.walks import at_each

SCALES: tuple[ScaleName, ...] = get_args(ScaleName)
KINDS: tuple[VehicleKind | None, ...] = ("coach", "wagon", "engine", None)
NARROW_GAUGE = {
    "H0m",
    "H0e",
    "HOn3",
    "HOn30",
    "009",
    "Sn3",
    "0e",
    "016.5",
    "On3",
    "On30",
    "G",
}
STANDARD_GAUGE = tuple(name for name in SCALES if name not in NARROW_GAUGE)
SPOILED: dict[Likely, Callable[[float], float]] = {
    "centimetres": lambda ratio: 1 / 10 + 0 * ratio,
    "inches": lambda ratio: 1 / 25.4 + 0 * ratio,
    "metres": lambda ratio: 1 / 1000 + 0 * ratio,
    "full_size": lambda ratio: ratio,
    "ten_times": lambda ratio: 10.0 + 0 * ratio,
    "thousand_times": lambda ratio: 1000.0 + 0 * ratio,
    "converted_twice": lambda ratio: 25.4 + 0 * ratio,
}


def model(
    full_size: FullSize, name: ScaleName, *, spoiled: str = "", times: float = 1.0
) -> VehicleFigures:
    figures = {"length_mm": full_size.length_m, **full_size.figures_m}
    scaled = {
        field: metres * 1000 / scale(name).ratio for field, metres in figures.items()
    }
    if spoiled:
        scaled[spoiled] *= times
    said = {"kind": full_size.kind, "scale": name, "length_over": "buffers"}
    return msgspec.convert({**said, **scaled}, VehicleFigures)


@at_each("name", SCALES)
@at_each("full_size", FULL_SIZE)
def test_no_published_vehicle_is_suspected_in_any_scale(
    full_size: FullSize, name: ScaleName
) -> None:
    vehicle = model(full_size, name)
    assert list(vehicle_slips(vehicle)) == []
    assert list(vehicle_slips(msgspec.structs.replace(vehicle, kind=None))) == []


@at_each("full_size", FULL_SIZE)
def test_no_published_vehicle_is_suspected_where_no_scale_is_known(
    full_size: FullSize,
) -> None:
    for name in SCALES:
        assert (
            list(
                vehicle_slips(
                    msgspec.structs.replace(model(full_size, name), scale=None)
                )
            )
            == []
        )


@at_each("likely", SPOILED)
@at_each("name", STANDARD_GAUGE)
@at_each("full_size", FULL_SIZE)
def test_a_published_vehicle_spoiled_is_suspected_and_the_figure_meant_is_named(
    full_size: FullSize, name: ScaleName, likely: Likely
) -> None:
    for field, metres in {
        "length_mm": full_size.length_m,
        **full_size.figures_m,
    }.items():
        times = SPOILED[likely](scale(name).ratio)
        if metres * 1000 / scale(name).ratio * times > LONGEST_MM:
            continue
        spoiled = model(full_size, name, spoiled=field, times=times)
        slips = [slip for slip in vehicle_slips(spoiled) if slip.field == field]
        assert [slip.code for slip in slips] == ["unit"], field
        meant_mm = [
            float(figure) for figure in re.findall(r"write ([\d.]+)", slips[0].message)
        ]
        assert pytest.approx(metres * 1000 / scale(name).ratio, abs=0.051) in meant_mm


@at_each("likely", ["centimetres", "inches", "full_size", "ten_times", "metres"])
@at_each("name", STANDARD_GAUGE)
def test_the_slips_that_members_make_most_are_named_first_for_a_coach(
    name: ScaleName, likely: Likely
) -> None:
    coach = next(one for one in FULL_SIZE if one.length_m == 64.5 * 0.3048)
    spoiled = model(
        coach, name, spoiled="length_mm", times=SPOILED[likely](scale(name).ratio)
    )
    (slip,) = vehicle_slips(spoiled)
    assert slip.likely == likely
    assert slip.likely_value == pytest.approx(
        coach.length_m * 1000 / scale(name).ratio, abs=0.001
    )


@at_each("name", ["H0", "00", "S", "0", "1"])
def test_a_full_size_length_in_metres_is_named(name: ScaleName) -> None:
    (slip,) = vehicle_slips(
        VehicleFigures(kind="coach", scale=name, length_mm=26.4, length_over="buffers")
    )
    assert (
        f"full-size metres, write {26_400 / scale(name).ratio:.1f}".removesuffix(".0")
        in slip.message
    )


SPACINGS_MM: tuple[tuple[ScaleName, float, str], ...] = (
    ("H0", 46.0, "NEM 112, running line"),
    ("H0", 52.0, "NEM 112, station"),
    ("H0", 64.0, "NEM 112, group C at R 400"),
    ("N", 25.0, "NEM 112, running line"),
    ("N", 28.0, "NEM 112, station"),
    ("TT", 34.0, "NEM 112, running line"),
    ("N", 33 / 32 * 25.4, "NMRA S-8, tangent"),
    ("HO", 29 / 16 * 25.4, "NMRA S-8, tangent"),
    ("S", 39 / 16 * 25.4, "NMRA S-8, tangent"),
    ("O", 13 / 4 * 25.4, "NMRA S-8, tangent"),
    ("H0", 50.0, "NEM 933/1 CH"),
    ("H0", 62.0, "NEM 934 E"),
    ("0", 95.0, "NEM 962 F"),
    ("00", 45.0, "common practice"),
    ("EM", 45.0, "common practice"),
    ("N British", 25.0, "common practice"),
    ("0 British", 80.0, "common practice"),
    ("00", 67.0, "sectional track sold in Britain"),
)


@at_each("name, spacing_mm, source", SPACINGS_MM)
def test_no_published_spacing_is_suspected(
    name: ScaleName, spacing_mm: float, source: str
) -> None:
    assert list(spacing_slips(spacing_mm, of=scale(name))) == [], source


@at_each(
    "name, spacing_mm, source",
    [
        each
        for each in SPACINGS_MM
        if each[2] in {"NEM 112, running line", "NMRA S-8, tangent", "common practice"}
    ],
)
def test_the_gap_between_the_rails_given_for_the_spacing_is_named(
    name: ScaleName, spacing_mm: float, source: str
) -> None:
    gap_mm = spacing_mm - scale(name).gauge_mm
    (slip,) = spacing_slips(gap_mm, of=scale(name))
    assert (slip.code, slip.likely) == ("spacing_or_gap", "gap"), source
    assert slip.likely_value == pytest.approx(spacing_mm, abs=0.001)


RADII_MM: tuple[tuple[ScaleName, float, str], ...] = (
    *(
        ("H0", radius, "NEM 111 as quoted")
        for radius in (363.0, 412.0, 495.0, 577.0, 660.0, 742.0)
    ),
    *(
        ("00", radius, "sectional track sold in Britain")
        for radius in (371.0, 438.0, 505.0, 572.0)
    ),
    *(("N", radius, "NEM 103") for radius in (175.0, 400.0, 1000.0)),
    *(("TT", radius, "NEM 103") for radius in (250.0, 1000.0)),
    *(("0", radius, "NEM 103") for radius in (600.0, 4000.0)),
    *(("H0", radius, "NEM 103") for radius in (350.0, 2500.0, 4000.0)),
)


@at_each("name, radius_mm, source", RADII_MM)
def test_no_published_radius_is_suspected(
    name: ScaleName, radius_mm: float, source: str
) -> None:
    assert (
        list(radius_slips(radius_mm, of=scale(name), longest_mm=27.2 * 1000 / 160))
        == []
    ), source


@at_each("times", [1 / 25.4, 1 / 1000])
@at_each("name, radius_mm, source", RADII_MM)
def test_a_published_radius_in_inches_or_metres_is_suspected(
    name: ScaleName, radius_mm: float, source: str, times: float
) -> None:
    if radius_mm < 3000:
        assert [
            slip.code for slip in radius_slips(radius_mm * times, of=scale(name))
        ] == ["unit"], source


@given(st.floats(0.001, 1_000_000), st.sampled_from(SCALES), st.sampled_from(KINDS))
def test_a_slip_always_proposes_a_figure_that_raises_none(
    length_mm: float, name: ScaleName, kind: VehicleKind | None
) -> None:
    def asked(value_mm: float) -> list[Slip]:
        return list(
            vehicle_slips(
                VehicleFigures(
                    kind=kind, scale=name, length_mm=value_mm, length_over="buffers"
                )
            )
        )

    for slip in asked(length_mm):
        assert slip.likely_value is not None
        assert asked(slip.likely_value) == []


def proposals(slip: Slip) -> list[float]:
    """Return every figure that a slip proposes, in its message or beside it."""
    said = [float(figure) for figure in re.findall(r"write ([\d.]+\d)", slip.message)]
    return said if slip.likely_value is None else [*said, slip.likely_value]


ANY_FIGURE = st.floats(0.01, 100_000) | st.integers(1, 6000).map(float)
MAYBE_SCALES = st.none() | st.sampled_from(SCALES)


@given(ANY_FIGURE, MAYBE_SCALES, st.none() | st.floats(20, 700))
def test_every_radius_that_a_slip_proposes_raises_none_and_is_no_shorter_than_the_vehicle(
    radius_mm: float, name: ScaleName | None, longest_mm: float | None
) -> None:
    of = None if name is None else scale(name)
    for slip in radius_slips(radius_mm, of=of, longest_mm=longest_mm):
        for figure in proposals(slip):
            assert figure >= (longest_mm or 0.0) - 0.05
            assert (
                list(
                    radius_slips(
                        max(figure, longest_mm or 0.0), of=of, longest_mm=longest_mm
                    )
                )
                == []
            )


@given(ANY_FIGURE, MAYBE_SCALES)
def test_every_spacing_and_gradient_that_a_slip_proposes_raises_none(
    figure: float, name: ScaleName | None
) -> None:
    of = None if name is None else scale(name)
    for slip in spacing_slips(figure, of=of):
        assert slip.likely_value is not None
        assert list(spacing_slips(slip.likely_value, of=of)) == []
    for slip in gradient_slips(figure, field="gradient_percent"):
        assert slip.likely_value is not None
        assert list(gradient_slips(slip.likely_value, field="gradient_percent")) == []


@given(
    ANY_FIGURE | st.integers(5, 1000).map(lambda hundredth: hundredth / 100),
    st.sampled_from(["", "{:g} mm", "bus, {:g} mm cable", "22 gauge"]),
)
@example(1862.0, "{:g} mm")
def test_every_area_of_wire_that_a_slip_proposes_raises_none(
    figure: float, called: str
) -> None:
    called = called.format(figure)
    for slip in wire_slips(figure, called=called):
        for proposed in proposals(slip):
            assert list(wire_slips(proposed, called=called)) == []


@at_each("hundredths", range(5, 1001, 5))
def test_no_usual_figure_of_a_wire_is_mended_into_another_slip(hundredths: int) -> None:
    figure = hundredths / 100
    for called in ("", f"{figure:g} mm cable"):
        for slip in wire_slips(figure, called=called):
            assert [
                list(wire_slips(proposed, called=called))
                for proposed in proposals(slip)
            ] == [[], []]


VEHICLE_FIELDS = (
    "length_mm",
    "bogie_centres_mm",
    "bogie_wheelbase_mm",
    "rigid_wheelbase_mm",
    "width_mm",
    "height_mm",
)


@given(
    st.sampled_from((*VEHICLE_FIELDS, "total_wheelbase_mm", "minimum_radius_mm")),
    st.floats(0.01, 30_000),
    MAYBE_SCALES,
    st.sampled_from(KINDS),
)
def test_every_figure_of_a_vehicle_that_a_slip_proposes_raises_none_there(
    field: str, value_mm: float, name: ScaleName | None, kind: VehicleKind | None
) -> None:
    """Beside a length of 20 m to scale, so that a radius that is proposed is held
    against a vehicle too.
    """
    ratio = 87.0 if name is None else scale(name).ratio
    known = {
        "length_mm": 20_000 / ratio,
        "length_over": "buffers",
        "scale": name,
        "kind": kind,
    }
    for slip in vehicle_slips(
        msgspec.convert({**known, field: value_mm}, VehicleFigures)
    ):
        if slip.field == field and slip.likely_value is not None:
            mended = msgspec.convert(
                {**known, field: slip.likely_value}, VehicleFigures
            )
            assert [
                again for again in vehicle_slips(mended) if again.field == field
            ] == []


@at_each("name", SCALES)
def test_no_scale_s_own_gauge_is_suspected_and_the_same_in_inches_or_cm_is(
    name: ScaleName,
) -> None:
    """32 mm is 1.26 in: whoever measures track in inches or centimetres is told."""
    gauge_mm = scale(name).gauge_mm
    track = Place(kind="loop", scale=name, gauge_mm=gauge_mm)
    assert list(place_slips(track)) == []
    for times, likely in ((25.4, "inches"), (10.0, "centimetres")):
        mistaken = msgspec.structs.replace(track, gauge_mm=gauge_mm / times)
        (slip,) = place_slips(mistaken)
        assert slip.field == "gauge_mm"
        assert f"{scale(name).gauge_mm:.1f}".removesuffix(".0") in slip.message, likely


@given(ANY_FIGURE, MAYBE_SCALES)
@example(48.0, "Z")
def test_a_board_s_side_is_the_same_in_any_scale_and_what_is_proposed_raises_none(
    side_mm: float, name: ScaleName | None
) -> None:
    of = None if name is None else scale(name)
    slip = unit_slip(side_mm, BOUNDS["board_side"], scale=of)
    assert slip == unit_slip(side_mm, BOUNDS["board_side"], scale=None)
    for proposed in [] if slip is None else proposals(slip):
        assert unit_slip(proposed, BOUNDS["board_side"], scale=of) is None


@at_each("inches", [12, 18, 24, 30, 36, 48, 60, 72])
def test_a_board_of_so_many_inches_is_suspected_in_inches_and_feet_alone(
    inches: int,
) -> None:
    sound = unit_slip(inches * 25.4, BOUNDS["board_side"], scale=None)
    assert sound is None
    for written in (inches, inches / 12):
        slip = unit_slip(written, BOUNDS["board_side"], scale=None)
        assert slip is not None
        assert pytest.approx(inches * 25.4, abs=0.05) in proposals(slip)


@given(
    ANY_FIGURE | st.integers(1, 3000).map(lambda hundredth: hundredth / 100),
    st.text("0123456789./ xamwgGAWSmqs²", max_size=24),
)
@example(3.2, "16/0.2 mm")
@example(0.5, "16/.0")
def test_every_area_proposed_for_a_wire_of_that_name_raises_none(
    figure: float, called: str
) -> None:
    for slip in other_copper_slips(figure, called=called):
        proposed = slip.likely_value
        if proposed is not None:
            assert list(wire_slips(proposed, called=called)) == []
            assert list(other_copper_slips(proposed, called=called)) == []


@at_each("class_ft", range(10, 101))
def test_every_class_that_is_proposed_raises_none(class_ft: int) -> None:
    for kind in KINDS:
        car = VehicleFigures(kind=kind, scale="HO", nominal_length_ft=class_ft)
        for slip in vehicle_slips(car):
            assert slip.likely_value is not None
            meant = msgspec.structs.replace(
                car, nominal_length_ft=int(slip.likely_value)
            )
            assert meant.nominal_length_ft == slip.likely_value
            assert list(vehicle_slips(meant)) == []


@given(ANY_FIGURE, MAYBE_SCALES, st.sampled_from(sorted(BOUNDS)))
@example(100_000.0, "H0 Japanese", "rim_spacing")
@example(2440.0, "00", "rim_spacing")
def test_every_figure_of_any_bounds_that_is_proposed_raises_none(
    figure: float, name: ScaleName | None, of: Sense
) -> None:
    model = None if name is None else scale(name)
    slip = unit_slip(figure, BOUNDS[of], scale=model)
    if slip is not None:
        assert len(slip.message) <= 200
        for proposed in proposals(slip):
            assert unit_slip(proposed, BOUNDS[of], scale=model) is None
