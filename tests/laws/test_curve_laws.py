"""What holds for any vehicle on any curve, however little is known of it."""

from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec import structs

from standage.questions.curve import AskedCurve, CurveCase, reckon
from standage.railway.curving.curves import OnCurve, on_curve
from standage.railway.curving.verdicts import WORST_FIRST
from standage.railway.stock.vehicles import Body, Standing, Vehicle
from support.any_vehicles import of_one_body, vehicles

radii = st.floats(20, 1500)


def rank(answer: OnCurve) -> int:
    return WORST_FIRST.index(answer.verdict)


@settings(max_examples=250)
@given(
    vehicle=vehicles,
    radius=radii,
    more=st.floats(0, 600),
    plus_minus=st.just(0.0) | st.floats(0, 15),
)
def test_a_larger_radius_never_runs_worse(
    vehicle: Vehicle, radius: float, more: float, plus_minus: float
) -> None:
    sharp = on_curve(vehicle, radius_mm=radius, radius_plus_minus_mm=plus_minus)
    easy = on_curve(vehicle, radius_mm=radius + more, radius_plus_minus_mm=plus_minus)
    assert rank(easy) >= rank(sharp)


@given(vehicle=vehicles, radius=radii)
def test_a_vehicle_set_down_the_other_way_round_has_its_end_throws_exchanged(
    vehicle: Vehicle, radius: float
) -> None:
    there, back = (
        on_curve(vehicle, radius_mm=radius),
        on_curve(turned(vehicle), radius_mm=radius),
    )
    assert back.verdict == there.verdict
    assert back.centre_throw_mm == there.centre_throw_mm
    assert back.end_throw_mm == there.end_throw_mm
    assert (back.front_end_throw_mm, back.rear_end_throw_mm) == (
        there.rear_end_throw_mm,
        there.front_end_throw_mm,
    )
    assert back.ratio == there.ratio


def turned(vehicle: Vehicle) -> Vehicle:
    return structs.replace(
        vehicle,
        front_overhang_mm=vehicle.rear_overhang_mm,
        rear_overhang_mm=vehicle.front_overhang_mm,
        front_coupling=vehicle.rear_coupling,
        rear_coupling=vehicle.front_coupling,
        bodies=None if vehicle.bodies is None else turned_bodies(vehicle.bodies),
    )


def turned_bodies(bodies: tuple[Body, ...]) -> tuple[Body, ...]:
    """Turn each body round and tell each of the joint behind it, which was the joint
    before it.
    """
    joints = [
        (body.gap_to_next_mm, body.shares_bogie_with_next) for body in bodies[:-1]
    ][::-1]
    return tuple(
        structs.replace(
            body,
            front_overhang_mm=body.rear_overhang_mm,
            rear_overhang_mm=body.front_overhang_mm,
            gap_to_next_mm=gap_mm,
            shares_bogie_with_next=shares,
        )
        for body, (gap_mm, shares) in zip(
            bodies[::-1], [*joints, (None, False)], strict=True
        )
    )


@given(vehicle=vehicles, radius=radii, plus_minus=st.floats(0, 15))
def test_a_doubt_of_the_curve_never_betters_an_answer(
    vehicle: Vehicle, radius: float, plus_minus: float
) -> None:
    certain = on_curve(vehicle, radius_mm=radius)
    doubtful = on_curve(vehicle, radius_mm=radius, radius_plus_minus_mm=plus_minus)
    assert rank(doubtful) <= rank(certain)


@given(vehicle=vehicles, radius=radii)
def test_by_its_length_alone_only_a_vehicle_longer_than_the_radius_is_refused(
    vehicle: Vehicle, radius: float
) -> None:
    bare: dict[str, object] = dict.fromkeys(
        ("trial", "minimum_radius_mm", "bodies", "rigid_axles")
    )
    bare |= dict.fromkeys(
        ("bogie_centres_mm", "bogie_wheelbase_mm", "rigid_wheelbase_mm")
    )
    answer = on_curve(structs.replace(vehicle, **bare), radius_mm=radius)
    ends = (vehicle.front_coupling, vehicle.rear_coupling)
    on_body = any(end is None or end.mounting in {None, "body"} for end in ends)
    reaches = sum(max(0.0, end.reach_mm or 0.0) for end in ends if end is not None)
    length = vehicle.length_mm
    if length is not None and vehicle.length_over == "buffers":
        length += reaches
    refused = length is not None and on_body and radius < length - 1e-5
    close = length is not None and abs(radius - length) <= 1e-5
    assert close or (answer.verdict == "does_not_run") == refused


@given(vehicle=vehicles, radius=radii)
def test_every_null_throw_is_explained(vehicle: Vehicle, radius: float) -> None:
    answer = on_curve(vehicle, radius_mm=radius)
    if answer.centre_throw_mm is None or answer.end_throw_mm is None:
        assert {reason.code for reason in answer.because} & {
            "missing_figure",
            "cannot_stand",
        }
    assert answer.because


@given(vehicle=vehicles, radius=radii)
def test_an_engine_s_least_radius_is_never_taken_for_granted(
    vehicle: Vehicle, radius: float
) -> None:
    engine = structs.replace(vehicle, kind="engine", trial=None, minimum_radius_mm=None)
    assert on_curve(engine, radius_mm=radius).verdict in {"cannot_tell", "does_not_run"}


@settings(max_examples=60)
@given(found=st.lists(of_one_body, min_size=1, max_size=3), radius=radii)
def test_the_worst_vehicle_decides_for_all(found: list[Vehicle], radius: float) -> None:
    standing = tuple(Standing(**structs.asdict(vehicle)) for vehicle in found)
    answer = reckon(CurveCase(vehicles=standing, curve=AskedCurve(radius_mm=radius)))
    alone = [on_curve(vehicle, radius_mm=radius) for vehicle in found]
    assert answer.verdict == min(alone, key=rank).verdict
    assert list(answer.vehicles) == alone
    assert answer.because
    worst = [one for one in alone if one.verdict == answer.verdict]
    assert answer.because[0] in [reason for one in worst for reason in one.because]
