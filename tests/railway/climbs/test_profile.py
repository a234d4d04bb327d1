"""What a train feels of a way, its curves' drag in it, and where engines haul the
fewest: against a walk by the millimetre.
"""

import os
from itertools import accumulate, pairwise
from random import Random
from typing import Any

import numpy as np
import pytest

from standage.railway.climbs.gradients import Climb
from standage.railway.climbs.gradients import felt_percent as felt_of_a_climb
from standage.railway.climbs.hardest import HaulingOver, hardest, hardest_band
from standage.railway.climbs.haulage import (
    Power,
    Pull,
    Trial,
    Way,
    curve_drag_percent,
    hauled,
)
from standage.railway.climbs.profile import (
    Between,
    Profile,
    dragging,
    felt,
    felt_percent,
    profile,
    rising,
    worst,
)
from standage.railway.track.network.heights import heights
from support.climbing import Peg, Row, random_row, row, walked_heights
from support.track_plans import Worked, worked

SEEDS = int(os.environ.get("STANDAGE_CLIMBS", "15"))
RATIO = 76.2


def courses_of(found: Worked) -> tuple[int, ...]:
    """Return the courses of a row, from its first stop to its last."""
    here = found.network.at_end["B0", "a"] ^ 1
    courses = [here]
    while found.network.onwards(here):
        (here,) = found.network.onwards(here)
        courses.append(here)
    return tuple(courses)


def rises_of(one: Row) -> Profile:
    found = worked(one.plan)
    rises = rising(found.network, heights(found.plan, found.network), courses_of(found))
    assert rises.unknown == ()
    assert rises.steps == ()
    return profile(rises.parts)


@pytest.mark.parametrize("train_mm", [150.0, 700.0, 950.0, 1200.0])
@pytest.mark.parametrize("curves", [(0, 0), (200, 300), (500, 500)])
def test_one_climb_is_felt_as_a_climb_that_is_asked_for_by_itself(
    curves: tuple[int, int], train_mm: float
) -> None:
    foot, top = curves
    one = row([1300, 1000, 1300], [Peg(1300, 0.0, foot), Peg(2300, 40.0, top)])
    climb = Climb(rise_mm=40, run_mm=1000, foot_curve_mm=foot, top_curve_mm=top)
    most = worst(rises_of(one), Between(train_mm, train_mm, 3600))
    assert most.percent == pytest.approx(
        felt_of_a_climb(climb, train_length_mm=train_mm)
    )


def test_straights_of_one_gradient_are_one_part() -> None:
    one = row([300] * 5, [Peg(0, 0.0), Peg(1500, 30.0)], turned=[1, 4])
    assert len(rises_of(one).slopes_from) == 1
    assert [
        there.percent for there in felt(rises_of(one), Between(200, 200, 1500))
    ] == [pytest.approx(2.0)] * 2


def bent_row(random: Random) -> tuple[dict[str, Any], list[float]]:
    """Return curves, straights and transitions in a row, and the curvature in the
    middle of each of its millimetres.
    """
    pieces: dict[str, Any] = {}
    bends: list[float] = []
    for number in range(random.randint(3, 7)):
        length_mm = random.randint(30, 400)
        radius_mm = random.randint(300, 1200)
        figures: dict[str, Any] = {"length_mm": length_mm}
        shares = [0.0] * length_mm
        kind = random.choice(["straight", "curve", "transition"])
        if kind == "curve":
            figures |= {
                "radius_mm": radius_mm,
                "hand": random.choice(["left", "right"]),
            }
            shares = [1.0] * length_mm
        if kind == "transition":
            hand = random.choice(["left", "right"])
            figures |= {"radius_from_mm": None, "radius_to_mm": radius_mm, "hand": hand}
            shares = [(mm + 0.5) / length_mm for mm in range(length_mm)]
        pieces[f"T{number}"] = {"kind": kind, **figures}
        bends += [share / radius_mm for share in shares]
    names = list(pieces)
    joins = [[f"{a}.b", f"{b}.a"] for a, b in pairwise(names)]
    joins = [["B0.a", f"{names[0]}.a"], *joins, [f"{names[-1]}.b", "B1.a"]]
    pieces |= {"B0": {"kind": "buffer_stop"}, "B1": {"kind": "buffer_stop"}}
    return {"pieces": pieces, "joins": joins}, bends


@pytest.mark.parametrize("seed", range(SEEDS))
def test_curves_drag_as_every_millimetre_of_the_train_does(seed: int) -> None:
    random = Random(seed)
    plan, bends = bent_row(random)
    found = worked(plan)
    drags = dragging(found.network, courses_of(found), ratio=RATIO)
    assert drags.unknown == ()
    train_mm = random.randint(10, len(bends))
    heads = np.arange(train_mm, len(bends) + 1, dtype=float)
    told = felt_percent(profile(drags.parts), heads, train_mm=train_mm)
    each = [
        curve_drag_percent(1 / bend, ratio=RATIO) if bend else 0.0 for bend in bends
    ]
    sums = list(accumulate(each, initial=0.0))
    for head_mm, percent in zip(heads, told, strict=True):
        under = sums[int(head_mm)] - sums[int(head_mm) - train_mm]
        assert percent == pytest.approx(under / train_mm, abs=1e-9)


def test_track_of_unknown_shape_drags_as_its_least_radius_does() -> None:
    pieces: dict[str, Any] = {
        "T0": {"kind": "track", "length_mm": 500, "minimum_radius_mm": 600},
        "T1": {"kind": "track", "length_mm": 500},
        "B0": {"kind": "buffer_stop"},
        "B1": {"kind": "buffer_stop"},
    }
    joins = [["B0.a", "T0.a"], ["T0.b", "T1.a"], ["T1.b", "B1.a"]]
    found = worked({"pieces": pieces, "joins": joins})
    drags = dragging(found.network, courses_of(found), ratio=RATIO)
    named = {found.network.piece(course) for course in drags.unknown}
    assert named == {"T0", "T1"}
    way = profile(drags.parts)
    whole = curve_drag_percent(600.0, ratio=RATIO)
    told = felt_percent(way, np.array([500.0, 750.0, 1000.0]), train_mm=500)
    assert told.tolist() == pytest.approx([whole, whole / 2, 0.0])


POWERS: list[Power] = [
    40.0,
    Pull(drawbar_pull_g=60, engine_mass_g=400, vehicle_mass_g=70),
    Pull(drawbar_pull_g=25, engine_mass_g=900, vehicle_mass_g=40),
    Trial(vehicles=12, way=Way(gradient_percent=2.0)),
]


@pytest.mark.parametrize("power", POWERS)
@pytest.mark.parametrize("seed", range(3))
def test_nowhere_on_the_way_are_fewer_hauled_than_where_it_is_hardest(
    seed: int, power: Power
) -> None:
    """The drag is that of a climb beside it, so that both change anywhere."""
    random = Random(seed)
    rises, other = random_row(random), random_row(random)
    drags = [abs(height) / 4 for height in walked_heights(other)]
    length_mm = min(rises.length_mm, other.length_mm)
    train_mm = random.randint(10, length_mm // 2)
    summed = [max(drags[: mm + 1]) for mm in range(length_mm + 1)]
    pegs = [Peg(mm, summed[mm]) for mm in range(0, length_mm + 1, 7)]
    climbing = rises_of(rises)
    dragged = rises_of(row([rises.length_mm + 7], pegs))
    run = Between(train_mm, train_mm, pegs[-1].at_mm)
    hauling = HaulingOver(climbing, dragged, run)
    for rolling in (0.8, 2.0):
        found = hardest(power, hauling, rolling_percent=rolling)
        everywhere = [
            hauled(power, way=hauling.way_at(head), rolling_percent=rolling)
            for head in range(train_mm, pegs[-1].at_mm + 1)
        ]
        assert found.vehicles <= min(everywhere) + 1e-9
        assert found.vehicles == pytest.approx(min(everywhere), rel=0.02, abs=1e-6)
        at = hauled(power, way=hauling.way_at(found.head_mm), rolling_percent=rolling)
        assert at == found.vehicles


def test_the_engine_s_own_weight_moves_where_it_is_hardest() -> None:
    """A level curve that drags like 3 %, then a straight climb of 2.5 %: by number the
    curve is the harder, for a heavy engine the climb.
    """
    one = row([1000, 1000], [Peg(1000, 0.0), Peg(2000, 25.0)])
    bent = row([1000, 1000], [Peg(0, 0.0), Peg(1000, 30.0)])
    hauling = HaulingOver(rises_of(one), rises_of(bent), Between(200, 200, 2000))
    by_number = hardest_band(40.0, hauling).worst
    assert by_number.head_mm == pytest.approx(200)
    assert by_number.way.gradient_percent == 0
    pull = Pull(drawbar_pull_g=100, engine_mass_g=2000, vehicle_mass_g=50)
    by_pull = hardest_band(pull, hauling).worst
    assert by_pull.head_mm == pytest.approx(1200)
    # 100 - 2.5 % of 2,000 is 50 g; a vehicle needs 4.5 % of 50 g
    assert by_pull.vehicles == pytest.approx(50 / 2.25)


def test_downhill_a_curve_s_drag_is_left_and_nothing_is_won() -> None:
    """A curve that drags like 3 % on a fall of 5 %, then level and straight."""
    one = row([1000, 1000], [Peg(0, 50.0), Peg(1000, 0.0)])
    bent = row([1000, 1000], [Peg(0, 0.0), Peg(1000, 30.0)])
    hauling = HaulingOver(rises_of(one), rises_of(bent), Between(200, 200, 2000))
    found = hardest_band(38.0, hauling)
    assert found.worst.way == Way(gradient_percent=0.0, curve_drag_percent=3.0)
    # 38 × 0.8 ÷ 3.8 to 38 × 2 ÷ 5
    assert (found.band.fewest, found.band.most) == pytest.approx((8.0, 15.2))
