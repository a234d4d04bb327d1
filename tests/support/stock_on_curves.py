"""Vehicles to be tried on curves, and short ways to try them."""

from msgspec import structs

from standage.railway.curving.joints_on_curves import (
    JointOnCurve,
    TrainOnCurve,
    couplings_on_curve,
)
from standage.railway.stock.couplings import Coupling, CouplingTypes
from standage.railway.stock.vehicles import Standing
from standage.railway.track.paths.alignment import Alignment

CURVE = Alignment(radius_mm=600, entry=False)
HOOK = Coupling(
    reach_mm=3.0, play_mm=0.0, swing_deg=15.0, pivot_behind_mm=8.0, mounting="body"
)
COACH = Standing(
    name="Coach",
    length_mm=270.0,
    length_over="buffers",
    width_mm=36.0,
    bogie_centres_mm=186.0,
    bogie_wheelbase_mm=34.0,
    buffer_centres_mm=0.0,
    front_coupling=HOOK,
    rear_coupling=HOOK,
)
WAGON = structs.replace(
    COACH,
    name="Wagon",
    length_mm=92.0,
    bogie_centres_mm=None,
    bogie_wheelbase_mm=None,
    rigid_wheelbase_mm=46.0,
)


def tried(
    *vehicles: Standing, on: Alignment = CURVE, types: CouplingTypes | None = None
) -> TrainOnCurve:
    return couplings_on_curve(vehicles, on, types=types or CouplingTypes())


def only(
    *vehicles: Standing, on: Alignment = CURVE, types: CouplingTypes | None = None
) -> JointOnCurve:
    (joint,) = tried(*vehicles, on=on, types=types).couplings
    return joint


def with_coupling(vehicle: Standing, **figures: object) -> Standing:
    coupling = structs.replace(HOOK, **figures)
    return structs.replace(vehicle, front_coupling=coupling, rear_coupling=coupling)


def codes(joint: JointOnCurve) -> list[str]:
    return [reason.code for reason in joint.because]


def buffered(
    vehicle: Standing,
    *,
    reach_mm: float = 0.5,
    head_mm: float | None = 5.0,
    **figures: object,
) -> Standing:
    coupling = structs.replace(HOOK, reach_mm=reach_mm, swing_deg=80.0, **figures)
    return structs.replace(
        vehicle,
        buffer_centres_mm=20.0,
        buffer_head_width_mm=head_mm,
        front_coupling=coupling,
        rear_coupling=coupling,
    )


SHARP = Alignment(radius_mm=500, entry=False)


def reversed_verdict(
    vehicle: Standing, *, radius_mm: float, straight_mm: float = 0.0
) -> str:
    on = Alignment(radius_mm=radius_mm, reverse=True, straight_between_mm=straight_mm)
    return only(vehicle, vehicle, on=on).verdict
