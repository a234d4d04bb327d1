"""Trains, roads and scales against figures published or practised elsewhere, each with
its source and tolerance.
"""

import pytest

from standage.questions.capacity import CapacityCase, reckon
from standage.railway.stock.couplings import TYPICAL, Coupling
from standage.railway.stock.extents import length_of
from standage.railway.stock.vehicles import Vehicle
from standage.railway.terms.scales import ScaleName, scale
from support.full_size import FULL_SIZE, FullSize
from support.stock import ask, plain, road, vehicle


@pytest.mark.parametrize(
    ("name", "ratio", "gauge_mm"),
    [
        ("Z", 220, 6.5),
        ("N", 160, 9),
        ("N British", 148, 9),
        ("TT", 120, 12),
        ("3 mm", 101.6, 12),
        ("H0", 87, 16.5),
        ("HO", 87.1, 16.5),
        ("H0m", 87, 12),
        ("H0e", 87, 9),
        ("00", 76.2, 16.5),
        ("OO", 76.2, 16.5),
        ("EM", 76.2, 18.2),
        ("S", 64, 22.5),
        ("0", 45, 32),
        ("O", 48, 32),
        ("0 British", 43.5, 32),
        ("1", 32, 45),
    ],
)
def test_scales_and_gauges_are_the_standards(
    name: ScaleName, ratio: float, gauge_mm: float
) -> None:
    """NEM 010 (2011), NMRA S-3.2, and the British bureau of 1950; O in North America is
    31.8 to 32.6 mm.
    """
    assert (scale(name).ratio, scale(name).gauge_mm) == (ratio, gauge_mm)


def test_twenty_vehicles_and_two_engines_make_2600_mm() -> None:
    """Common practice: 20 × 100 mm and 2 × 300 mm."""
    answer = ask(
        plain("Engine", 300.0, count=2),
        plain("Vehicle", 100.0, count=20),
        place=road(2600.0),
    )
    assert (answer.train_length_mm, answer.verdict) == (2600.0, "fits")


def test_twelve_vehicles_and_one_engine_leave_24_mm_of_five_feet() -> None:
    """Common practice: 12 × 100 mm and 300 mm in 1524 mm."""
    answer = ask(
        plain("Engine", 300.0), plain("Vehicle", 100.0, count=12), place=road(1524.0)
    )
    assert answer.spare_mm == 24.0


def test_fifteen_american_cars_and_two_diesels_in_n_are_about_1481_mm() -> None:
    """Common practice, ± 1 mm: cars of 44 ft over couplers and diesels of 112 mm; too
    long for 1360, fine in 1980.
    """
    cars = plain("Car", 44 * 304.8 / 160, count=15)
    diesels = plain("Diesel", 112.0, count=2)
    short, long = (
        ask(diesels, cars, place=road(usable_mm)) for usable_mm in (1360.0, 1980.0)
    )
    assert short.train_length_mm == pytest.approx(1481, abs=1)
    assert (short.verdict, long.verdict) == ("does_not_fit", "fits")


@pytest.mark.parametrize(
    "coupling", ["small hook-and-bar", "large hook-and-bar", "three-link"]
)
def test_five_british_wagons_stand_in_half_a_metre_in_00(coupling: str) -> None:
    """Common practice: about 82 mm over buffers, five with coupling gaps in a siding of
    500 mm.
    """
    end = Coupling(type=coupling)
    wagon = Vehicle(
        name="Wagon",
        scale="00",
        length_mm=82,
        length_over="buffers",
        front_coupling=end,
        rear_coupling=end,
    )
    five = reckon(CapacityCase(usable_length_mm=500.0, vehicle=wagon))
    assert five.standing_capacity == 5


def test_a_yard_works_at_about_half_of_what_it_holds() -> None:
    """Common practice: yards work at half of their capacity; one loading spot, thirty
    wagons' length.
    """
    answer = reckon(
        CapacityCase(usable_length_mm=3000.0, vehicle=plain("Wagon", 100.0))
    )
    assert (answer.standing_capacity, answer.working_capacity) == (30, 15)


@pytest.mark.parametrize(
    ("name", "of", "pair_mm"),
    [
        ("small hook-and-bar", "00", (7, 11)),
        ("large hook-and-bar", "00", (11, 19)),
        ("three-link", "00", (3, 6)),
        ("three-link", "0", (7, 12)),
        ("loop", "H0", (6, 9)),
        ("knuckle", "H0", (4, 6)),
        ("N hook", "N", (4, 10)),
        ("TT hook", "TT", (3, 6)),
        ("guided", "H0", (0, 1)),
        ("guided", "N", (0, 1)),
    ],
)
def test_typical_reaches_lie_within_what_is_measured_of_a_pair(
    name: str, of: ScaleName, pair_mm: tuple[float, float]
) -> None:
    """Common practice, wide scatter: from buffer face to buffer face."""
    (kind,) = [
        kind
        for kind in TYPICAL
        if kind.name == name and of in kind.scales and not kind.from_body
    ]
    assert kind.reach_mm is not None
    assert pair_mm[0] <= 2 * kind.reach_mm <= pair_mm[1]


@pytest.mark.parametrize(
    ("room_mm", "verdict"), [(1003.0, "tight"), (1012.0, "tight"), (1100.0, "fits")]
)
def test_a_train_of_nine_in_n_is_not_told_to_fit_where_it_was_measured_too_long(
    room_mm: float, verdict: str
) -> None:
    """One measured train of nine had 9.2 mm a joint: 9 × 104 + 8 × 9.2 = 1009.6 mm over
    its buffers, exact.
    """
    nine = vehicle(
        "Wagon", 104.0, scale="N", front_coupling=None, rear_coupling=None, count=9
    )
    assert ask(nine, place=road(room_mm)).verdict == verdict


@pytest.mark.parametrize("full", FULL_SIZE, ids=lambda full: full.name)
@pytest.mark.parametrize("ratio_of", ["N", "TT", "00", "0"])
def test_full_size_vehicles_scale_down_by_the_ratio(
    full: FullSize, ratio_of: ScaleName
) -> None:
    """The length in millimetres is that in metres × 1000 ÷ the ratio (NEM 010); ± 1 %
    and at least 2 mm.
    """
    extent = length_of(
        Vehicle(
            name="It", kind=full.kind, scale=ratio_of, full_size_length_m=full.length_m
        )
    ).extent
    assert extent.length_mm == pytest.approx(
        full.length_m * 1000 / scale(ratio_of).ratio, abs=1e-6
    )
    assert extent.plus_minus_mm == pytest.approx(
        max(2.0, full.length_m * 10 / scale(ratio_of).ratio), abs=1e-6
    )


@pytest.mark.parametrize(
    ("full_size_m", "scale_name", "length_mm"),
    [
        (26.4, "N", 165.0),
        (26.4, "TT", 220.0),
        (14.04, "H0", 161.4),
        (10.0, "H0", 114.9),
        (9.04, "N", 56.5),
    ],
)
def test_published_vehicles_have_the_length_that_their_drawings_give(
    full_size_m: float, scale_name: ScaleName, length_mm: float
) -> None:
    """UIC type Z, 571-2 and 571-1 in metres over buffers; worked by hand to 0.1 mm."""
    found = length_of(
        Vehicle(
            name="It", kind="wagon", scale=scale_name, full_size_length_m=full_size_m
        )
    )
    assert found.extent.length_mm == pytest.approx(length_mm, abs=0.05)


@pytest.mark.parametrize("kind", ["loop", "siding"])
def test_the_usable_length_runs_between_clearance_points_and_is_the_one_that_answers(
    kind: str,
) -> None:
    """US Army TI 850-02 (2000): spur, end of track to clearance point; siding,
    clearance point to clearance point.

    A train that would go between the blades but not between the clearance points does
    not fit.
    """
    place = road(900.0, kind=kind, blades_to_blades_mm=1100.0, stop_to_stop_mm=850.0)
    answer = ask(plain("Train", 1000.0), place=place)
    assert (answer.verdict, answer.spare_mm) == ("does_not_fit", -100.0)
    assert [each.spare_mm for each in answer.also] == [100.0, -150.0]


def test_an_engine_of_unmeasured_couplings_in_00_must_be_named_only_where_they_decide() -> (
    None
):
    """Common practice knows couplings in 00 that stand out from 0 to 9.5 mm when free;
    the rear end stands out 4.
    """
    engine = vehicle("Engine", 200.0, scale="00", front_coupling=None)
    for room_mm, verdict in (
        (213.5, "fits"),
        (213.4, "cannot_tell"),
        (204.0, "cannot_tell"),
        (203.9, "does_not_fit"),
    ):
        answer = ask(engine, place=road(room_mm))
        assert answer.verdict == verdict
        assert answer.at_least_mm == 204.0
