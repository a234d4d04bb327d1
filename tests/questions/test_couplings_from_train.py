"""How far couplings reach, worked out from a train that was measured, and asked again
with what was found.
"""

from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec import structs

from standage.questions.couplings_from_train import (
    CouplingsFromTrainAnswer,
    CouplingsFromTrainCase,
    reckon,
)
from standage.railway.stock.couplings import Coupling, CouplingKind
from standage.railway.stock.vehicles import EndsOver, Standing
from support.stock import ask, road, vehicle


def wagons(count: int, length_mm: float = 104.0, **figures: Any) -> Standing:
    """Return wagons in N over their buffers, exact, of whose couplings nobody knows
    anything.
    """
    known: dict[str, Any] = {
        "scale": "N",
        "front_coupling": None,
        "rear_coupling": None,
    }
    return vehicle("Wagon", length_mm, count=count, **(known | figures))


def found(
    *vehicles: Standing,
    measured_mm: float,
    over: EndsOver = "buffers",
    plus_minus_mm: float | None = 0.0,
) -> CouplingsFromTrainAnswer:
    case = CouplingsFromTrainCase(
        vehicles=vehicles,
        measured_length_mm=measured_mm,
        length_over=over,
        plus_minus_mm=plus_minus_mm,
    )
    return reckon(case)


def test_the_measured_train_of_nine_in_n_had_9_2_mm_a_joint() -> None:
    """Common practice, one measured train of nine: 9 × 104 + 8 × 9.2 = 1009.6 mm over
    its outer buffers.
    """
    answer = found(wagons(9), measured_mm=1009.6)
    assert (answer.verdict, answer.reach_mm, answer.joint_mm, answer.ends) == (
        "found",
        4.6,
        9.2,
        16,
    )
    assert answer.plus_minus_mm == 0.0


def test_over_the_outer_couplings_both_free_ends_share_it() -> None:
    """4 × 100 mm and 4 joints' worth of 2 × 4.5: three joints and two ends are eight
    reaches.
    """
    answer = found(wagons(4, 100.0), measured_mm=436.0, over="couplings")
    assert (answer.reach_mm, answer.ends) == (4.5, 8)


def test_the_plus_minus_of_train_and_vehicles_is_shared_out() -> None:
    """Nine wagons of ± 1 and a train of ± 0.6, over sixteen ends: 9.6 ÷ 16 = 0.6."""
    answer = found(
        wagons(9, length_plus_minus_mm=1.0), measured_mm=1009.6, plus_minus_mm=0.6
    )
    assert answer.plus_minus_mm == 0.6


def test_a_train_of_which_nobody_says_how_well_it_was_measured_is_good_to_half_a_millimetre() -> (
    None
):
    answer = found(wagons(2), measured_mm=217.0, plus_minus_mm=None)
    assert (answer.reach_mm, answer.plus_minus_mm) == (4.5, 0.25)
    assert "plus_minus_mm" in {one.field for one in answer.assumed}


def test_a_reach_of_a_vehicles_own_is_taken_off_first() -> None:
    """100 + 3 + r + 100 = 208: the other end reaches 5."""
    first = wagons(1, 100.0, rear_coupling=Coupling(reach_mm=3.0))
    answer = found(first, wagons(1, 100.0), measured_mm=208.0)
    assert (answer.reach_mm, answer.ends) == (5.0, 1)


def test_which_way_round_a_vehicle_stands_decides_which_of_its_ends_counts() -> None:
    known_at_the_front = wagons(1, 100.0, front_coupling=Coupling(reach_mm=3.0))
    forward = found(known_at_the_front, wagons(1, 100.0), measured_mm=208.0)
    turned = found(
        structs.replace(known_at_the_front, reversed=True),
        wagons(1, 100.0),
        measured_mm=208.0,
    )
    assert (forward.reach_mm, forward.ends) == (4.0, 2)
    assert (turned.reach_mm, turned.ends) == (5.0, 1)


def test_vehicles_measured_over_their_couplings_tell_nothing() -> None:
    answer = found(wagons(3, length_over="couplings"), measured_mm=320.0)
    assert (answer.verdict, answer.record, answer.because[0].code) == (
        "cannot_tell",
        None,
        "nothing_to_find",
    )


def test_a_missing_length_is_named() -> None:
    answer = found(
        wagons(2),
        vehicle("Van", None, scale="N", front_coupling=None),
        measured_mm=320.0,
    )
    assert answer.verdict == "cannot_tell"
    assert (answer.because[0].vehicle, answer.because[0].field) == ("Van", "length_mm")


@pytest.mark.parametrize(
    ("measured_mm", "verdict"), [(207.0, "found"), (206.9, "cannot_tell")]
)
def test_a_train_shorter_than_its_vehicles_by_more_than_the_plus_minus_was_measured_wrongly(
    measured_mm: float, verdict: str
) -> None:
    answer = found(wagons(2), measured_mm=measured_mm, plus_minus_mm=1.0)
    assert answer.verdict == verdict


def test_a_joint_longer_than_a_vehicle_is_no_coupling() -> None:
    """Two wagons of 104 mm: 312 mm leave just a wagon's length between them."""
    just = found(wagons(2), measured_mm=312.0)
    assert (just.verdict, just.joint_mm) == ("found", 104.0)
    answer = found(wagons(2), measured_mm=312.1)
    assert (answer.verdict, answer.reach_mm, answer.record) == (
        "cannot_tell",
        None,
        None,
    )
    assert answer.because[0].field == "measured_length_mm"


def test_a_wagon_too_few_in_the_list_is_thought_of() -> None:
    """Nine with 9.2 mm a joint, of which eight are listed: 11.7 mm an end, where 5 mm is
    much in N.
    """
    answer = found(wagons(8), measured_mm=1009.6)
    assert answer.because[0].code == "far_from_typical"
    right = found(wagons(9), measured_mm=1009.6)
    assert "far_from_typical" not in {one.code for one in right.because}
    unknown = found(wagons(8, scale=None), measured_mm=1009.6)
    assert "far_from_typical" not in {one.code for one in unknown.because}


def test_what_may_be_off_by_more_than_it_is_is_said_to() -> None:
    vague = found(wagons(2), measured_mm=217.0, plus_minus_mm=20.0)
    assert vague.because[0].code == "vague"
    less = found(wagons(2), measured_mm=207.5, plus_minus_mm=1.0)
    assert less.reach_mm == -0.25
    assert "leaves 0.5 mm less than nothing" in less.because[0].message


def test_an_outer_coupling_that_is_in_its_vehicle_s_length_is_taken_off_again() -> None:
    """100 over buffers, a joint of 5 and 4, and 90 over couplings of which 6 stand out
    beyond the outer buffers: 100 + 5 + 90 - 6 is what a tape over the buffers shows.
    """
    first = wagons(1, 100.0)
    last = wagons(
        1, 90.0, length_over="couplings", rear_coupling=Coupling(reach_mm=6.0)
    )
    answer = found(first, last, measured_mm=189.0)
    assert (answer.reach_mm, answer.ends) == (5.0, 1)
    assert found(first, last, measured_mm=195.0 + 5.0, over="couplings").reach_mm == 5.0
    # what an outer coupling may be off by is as much doubt as any other
    doubted = Coupling(reach_mm=6.0, reach_plus_minus_mm=0.75)
    doubtful = structs.replace(last, rear_coupling=doubted)
    assert answer.plus_minus_mm is not None
    assert (
        found(first, doubtful, measured_mm=189.0).plus_minus_mm
        == answer.plus_minus_mm + 0.75
    )
    unknown = found(first, wagons(1, 90.0, length_over="couplings"), measured_mm=189.0)
    assert unknown.verdict == "cannot_tell"
    assert unknown.because[0].field == "rear_coupling.reach_mm"


def test_unlike_types_are_told_to_be_taken_as_alike() -> None:
    ends = [
        wagons(1, rear_coupling=Coupling(type="peg")),
        wagons(1, front_coupling=Coupling(type="eye")),
    ]
    answer = found(*ends, measured_mm=217.0)
    assert "several_types" in {reason.code for reason in answer.because}


@given(
    lengths=st.lists(st.integers(400, 3000), min_size=2, max_size=8),
    reach_tenths=st.integers(0, 120),
    over=st.sampled_from(["buffers", "couplings"]),
)
def test_asked_again_with_what_was_found_the_train_is_as_long_as_it_was_measured(
    lengths: list[int], reach_tenths: int, over: EndsOver
) -> None:
    """In exact fractions of tenths: vehicles laid end to end, a reach at either side of
    every joint.
    """
    laid = sum(lengths) + 2 * reach_tenths * (len(lengths) - 1 + (over == "couplings"))
    each = [wagons(1, length / 10) for length in lengths]
    answer = found(*each, measured_mm=float(Fraction(laid, 10)), over=over)
    assert answer.reach_mm == pytest.approx(reach_tenths / 10, abs=1e-9)
    assert answer.record is not None
    ours = CouplingKind(
        name=answer.record.name,
        reach_mm=answer.record.reach_mm,
        reach_plus_minus_mm=answer.record.reach_plus_minus_mm,
        projection_mm=answer.record.reach_mm if over == "couplings" else 0.0,
    )
    end = Coupling(type=answer.record.name)
    coupled = [
        structs.replace(one, front_coupling=end, rear_coupling=end) for one in each
    ]
    again = ask(*coupled, place=road(float(Fraction(laid, 10))), types=(ours,))
    assert again.train_length_mm == pytest.approx(laid / 10, abs=1e-5)
