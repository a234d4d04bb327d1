"""The longest train for a road, on pools small enough to see the answer."""

from collections.abc import Sequence
from typing import Any

import pytest

from standage.railway.longest.cars import PoolVehicle
from standage.railway.longest.choice import Choice, TrainWanted, choose
from standage.railway.longest.room import By
from standage.railway.roads.allowances import GIVEN, allowance
from standage.railway.roads.places import Place
from standage.railway.stock.couplings import Coupling, CouplingTypes
from standage.railway.stock.vehicles import Standing
from support.stock import plain, road, vehicle


def best(
    pool: Sequence[Standing],
    place: Place,
    *engines: Standing,
    by: By = "length",
    **how: Any,
) -> Choice:
    given = allowance(place, known_by=GIVEN, stopping_margin_mm=None)
    wanted = TrainWanted(
        engines=engines,
        pool=[PoolVehicle(vehicle=one) for one in pool],
        place=place,
        given=given,
        by=by,
        types=CouplingTypes(),
    )
    return choose(wanted, **how)


def names(pool: Sequence[Standing], choice: Choice) -> list[str]:
    return [pool[place].name for place in choice.taken or ()]


COACHES = [plain("Long", 600.0), plain("Blue", 500.0), plain("Red", 500.0)]


@pytest.mark.parametrize("by", ["number", "length"])
def test_two_of_500_go_into_1000_rather_than_one_of_600(by: By) -> None:
    choice = best(COACHES, road(1000.0), by=by)
    assert (choice.verdict, choice.proved) == ("holds", True)
    assert sorted(names(COACHES, choice)) == ["Blue", "Red"]


def test_by_number_many_short_ones_go_in_before_a_longer_train() -> None:
    pool = [plain("Coach", 260.0, count=2), plain("Van", 100.0, count=5)]
    assert names(pool, best(pool, road(520.0), by="number")) == ["Van"] * 5
    assert names(pool, best(pool, road(520.0), by="length")) == ["Coach"] * 2


def test_of_as_many_the_longer_are_taken() -> None:
    pool = [plain("Van", 100.0, count=3), plain("Long van", 110.0, count=2)]
    assert sorted(names(pool, best(pool, road(330.0), by="number"))) == [
        "Long van",
        "Long van",
        "Van",
    ]


def test_engines_stand_in_front_and_are_never_left_off() -> None:
    pool = [plain("Van", 100.0, count=9)]
    choice = best(
        pool,
        road(700.0),
        plain("Heron", 250.0, kind="engine"),
        plain("Crane", 180.0, kind="engine"),
    )
    assert names(pool, choice) == ["Van"] * 2
    alone = best(pool, road(300.0), plain("Heron", 250.0, kind="engine"))
    assert (alone.verdict, alone.taken) == ("holds", ())
    assert (
        best(pool, road(200.0), plain("Heron", 250.0, kind="engine")).verdict
        == "holds_none"
    )


def test_reaches_between_vehicles_and_projections_at_the_ends_both_count() -> None:
    # reach 3, projection 4: two of 100 come to 4 + 100 + 3 + 3 + 100 + 4 = 214
    pool = [vehicle("Van", 100.0, count=5)]
    assert len(names(pool, best(pool, road(214.0)))) == 2
    assert len(names(pool, best(pool, road(213.9)))) == 1


def test_one_vehicle_counts_a_free_coupling_at_either_end_alone_and_at_one_behind_an_engine() -> (
    None
):
    # reach 3, projection 4: alone 4 + 100 + 4 = 108; behind an engine 4 + 250 + 3 + 3 +
    # 100 + 4 = 364
    pool, engine = [vehicle("Van", 100.0)], vehicle("Heron", 250.0, kind="engine")
    assert [best(pool, road(room_mm)).verdict for room_mm in (108.0, 107.9)] == [
        "holds",
        "holds_none",
    ]
    assert [
        len(best(pool, road(room_mm), engine).taken or ()) for room_mm in (364.0, 363.9)
    ] == [1, 0]


def test_the_plus_minus_of_every_vehicle_and_of_the_road_is_kept_free() -> None:
    pool = [plain("Van", 100.0, length_plus_minus_mm=1.0, count=5)]
    assert len(names(pool, best(pool, road(304.0, plus_minus_mm=1.0)))) == 3
    assert len(names(pool, best(pool, road(303.5, plus_minus_mm=1.0)))) == 2


def hooked(
    name: str, front: str, rear: str, length_mm: float = 100.0, **figures: Any
) -> Standing:
    couplings = {
        "front_coupling": Coupling(type=front, reach_mm=0.0),
        "rear_coupling": Coupling(type=rear, reach_mm=0.0),
    }
    return vehicle(name, length_mm, **(couplings | figures))


def test_only_what_takes_hold_is_coupled_and_a_vehicle_with_both_couplings_joins_two_sorts() -> (
    None
):
    pool = [
        hooked("Hook", "hook", "hook", count=2),
        hooked("Screw", "screw", "screw", 150.0, count=3),
    ]
    engine = hooked("Heron", "hook", "hook", 200.0, kind="engine")
    assert names(pool, best(pool, road(600.0), engine)) == ["Hook"] * 2
    assert names(pool, best(pool, road(600.0))) == ["Screw"] * 3
    both = [*pool, hooked("Between", "hook", "screw", 50.0)]
    assert names(both, best(both, road(550.0), engine)) == ["Between", "Screw", "Screw"]
    assert names(both, best(both, road(600.0), engine))[:2] != ["Screw", "Screw"]


@pytest.mark.parametrize(
    ("by", "room_mm", "longer_mm", "first"),
    [
        (
            "number",
            900.0,
            300.0,
            "Out",
        ),  # 800 + 3 joints of 4 + 2 = 814 with Flush in front; 5 more with Out
        ("number", 900.0, 200.0, "Out"),
        ("length", 900.0, 200.0, "Out"),
        ("length", 815.0, 300.0, "Flush"),  # 819 do not go in, 814 do
        ("number", 815.0, 300.0, "Flush"),
    ],
)
def test_without_engines_it_counts_which_of_the_same_vehicles_is_first(
    by: By, room_mm: float, longer_mm: float, first: str
) -> None:
    def ends(
        front: str, rear: str, *, front_mm: float, rear_mm: float
    ) -> dict[str, Coupling]:
        return {
            "front_coupling": Coupling(
                type=front, reach_mm=2.0, projection_mm=front_mm
            ),
            "rear_coupling": Coupling(type=rear, reach_mm=2.0, projection_mm=rear_mm),
        }

    pool = [
        vehicle("Out", longer_mm, **ends("hook", "hook", front_mm=5.0, rear_mm=8.0)),
        vehicle(
            "Flush",
            500.0 - longer_mm,
            **ends("hook", "hook", front_mm=0.0, rear_mm=8.0),
        ),
        vehicle("Between", 200.0, **ends("hook", "screw", front_mm=5.0, rear_mm=8.0)),
        vehicle("Last", 100.0, **ends("screw", "screw", front_mm=0.0, rear_mm=2.0)),
    ]
    choice = best(pool, road(room_mm), by=by)
    second = "Flush" if first == "Out" else "Out"
    assert (names(pool, choice), choice.proved) == (
        [first, second, "Between", "Last"],
        True,
    )


def test_what_does_not_get_to_the_road_or_has_no_known_length_is_left_out_and_says_why() -> (
    None
):
    pool = [
        plain("Sound", 100.0),
        plain("Tall", 100.0, height_mm=90.0),
        plain("Unknown", None),
        vehicle("No reach", 100.0, front_coupling=None),
    ]
    choice = best(pool, road(1000.0, headroom_mm=80.0), by="number")
    assert names(pool, choice) == ["Sound"], "nobody knows its height, but it stands"
    short = [msg.reason.code for msg in choice.left_out]
    assert short == ["too_high", "missing_figure", "missing_figure"]
    bare = best(pool, road(1000.0), by="number")
    assert sorted(names(pool, bare)) == ["Sound", "Tall"]
    assert [
        (pool[one.place].name, one.verdict, one.reason.field) for one in bare.left_out
    ] == [
        ("Unknown", "cannot_tell", "length_mm"),
        ("No reach", "cannot_tell", "front_coupling.reach_mm"),
    ]


def test_a_road_that_nobody_measured_or_an_engine_nobody_knows_cannot_be_told() -> None:
    pool = [plain("Van", 100.0)]
    unsurveyed = best(pool, road(None))
    assert (unsurveyed.verdict, unsurveyed.because[0].field) == (
        "cannot_tell",
        "usable_length_mm",
    )
    unknown = best(pool, road(500.0), plain("Heron", None, kind="engine"))
    assert (unknown.verdict, unknown.because[0].vehicle) == ("cannot_tell", "Heron")
    curved = best(
        pool,
        road(500.0, minimum_radius_mm=300.0),
        plain("Heron", 200.0, minimum_radius_mm=400.0),
    )
    assert (curved.verdict, curved.because[0].code) == (
        "holds_none",
        "below_stated_radius",
    )


def test_nothing_goes_in_where_nothing_is_short_enough() -> None:
    choice = best([plain("Van", 100.0)], road(99.0))
    assert (choice.verdict, choice.taken, choice.proved) == ("holds_none", None, True)
    assert best([], road(99.0)).verdict == "holds_none"
    assert best([plain("Van", None)], road(99.0)).verdict == "cannot_tell"


def test_a_vehicle_that_would_stand_inside_its_neighbour_is_left_out() -> None:
    pool = [
        vehicle(
            "Odd",
            20.0,
            front_coupling=Coupling(reach_mm=-30.0),
            rear_coupling=Coupling(reach_mm=0.0),
        )
    ]
    assert [one.reason.code for one in best(pool, road(500.0)).left_out] == [
        "figures_disagree"
    ]


def test_on_a_turntable_the_wheels_count_and_vehicles_are_tried_one_by_one() -> None:
    table = road(250.0, kind="turntable", clear_circle_mm=400.0)
    pool = [
        plain(
            "Tender",
            80.0,
            total_wheelbase_mm=60.0,
            first_axle_mm=10.0,
            width_mm=30.0,
            count=3,
        )
    ]
    engine = plain(
        "Heron",
        160.0,
        kind="engine",
        total_wheelbase_mm=140.0,
        first_axle_mm=10.0,
        width_mm=30.0,
    )
    # wheels of engine and one tender: 240 - 10 - 10 = 220 on 246; of two tenders 300
    assert names(pool, best(pool, table, engine)) == ["Tender"]


def test_at_a_platform_passengers_must_stand_along_its_face() -> None:
    bay = road(1000.0, kind="platform", face_length_mm=400.0)
    pool = [
        plain("Coach", 200.0, kind="coach", count=3),
        plain("Van", 150.0, kind="wagon", count=2),
    ]
    choice = best(pool, bay)
    assert choice.proved
    assert sorted(names(pool, choice)) == ["Coach", "Coach", "Van", "Van"]
    found = names(pool, choice)
    assert (
        abs(found.index("Coach") - (len(found) - 1 - found[::-1].index("Coach"))) == 1
    ), "the coaches are together"


def test_a_spent_budget_gives_the_best_so_far_and_what_none_can_exceed() -> None:
    pool = [
        plain(
            f"Van {number}", 70.0 + 0.0137 * number * number, length_plus_minus_mm=0.011
        )
        for number in range(30)
    ]
    choice = best(pool, road(1000.0), budget_steps=0)
    assert choice.taken is not None
    assert not choice.proved
    length_mm = sum(pool[place].length_mm or 0.0 for place in choice.taken)
    assert choice.at_most_mm is not None
    assert length_mm <= choice.at_most_mm <= length_mm + 1.0


def test_an_engine_whose_rear_reach_nobody_knows_still_stands_by_itself() -> None:
    """Nothing can be coupled on behind for certain; alone it comes to 4 + 250 + 4
    mm.
    """
    engine = vehicle(
        "Heron", 250.0, kind="engine", rear_coupling=Coupling(projection_mm=4.0)
    )
    choice = best([vehicle("Van", 100.0)], road(1000.0), engine)
    assert (choice.verdict, choice.taken, choice.proved) == ("holds", (), True)
