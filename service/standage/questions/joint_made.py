"""A joint that is made where an engine comes to its train: on a curve it may be missed."""

from collections.abc import Iterator

from standage.questions.moved_train import TrainCase
from standage.railway.curving.known_vehicles import (
    KnownVehicle,
    coupled_length,
    known_vehicle,
)
from standage.railway.moves.wanted import Touch
from standage.railway.stock.couplings import coupling_types
from standage.railway.terms.figures import millimetres, tidy, tidy_down
from standage.railway.terms.reasons import Reason
from standage.railway.track.network.network import Network

SAFE_RATIO = 5.0
"""Radius ÷ coupled length from which couplings on the body meet. **Source** common
practice.
"""
_NEAR_MM = 1e-3


def joint_on_a_curve(
    network: Network, joint: Touch | None, train: TrainCase, engine: TrainCase
) -> Iterator[Reason]:
    """Yield a warning where the joint is made on a curve below five times the coupled
    length of a vehicle there that has its couplings on the body.
    """
    radius_mm = None if joint is None else _radius_mm(network, joint)
    if radius_mm is None:
        return
    meeting = [*_vehicles(engine), *_vehicles(train)[-1:]]
    for known in meeting:
        length = coupled_length(known)
        if length is None or {"body", None}.isdisjoint(known.mountings):
            continue
        ratio = radius_mm / length.length_mm
        if tidy(ratio) >= SAFE_RATIO:
            continue
        shown = f"{tidy_down(ratio, step=0.01):.2f}"
        message = (
            f"the joint is made on a curve of {millimetres(radius_mm)}, {shown} times the"
            f" coupled length of {known.name[:40]}: its couplings may not meet by"
            " themselves"
        )
        yield Reason(
            code="joint_on_a_curve",
            message=message,
            vehicle=known.name,
            value_mm=tidy(radius_mm),
            ratio=tidy(ratio),
        )
        return


def _vehicles(case: TrainCase) -> list[KnownVehicle]:
    if case.train is None:
        return []
    types = coupling_types(case.types)
    return [known_vehicle(one, types=types) for one in case.train.vehicles]


def _radius_mm(network: Network, joint: Touch) -> float | None:
    """Return the radius of the track just there; None on the straight, and where nobody
    tells.
    """
    runs = network.runs(joint.course)
    if runs is None:
        return network.strand(joint.course).minimum_radius_mm
    curvatures = [0.0]
    begins_mm = 0.0
    for run in runs:
        ends_mm = begins_mm + run.length_mm
        if begins_mm - _NEAR_MM <= joint.at_mm <= ends_mm + _NEAR_MM:
            share = (joint.at_mm - begins_mm) / run.length_mm if run.length_mm else 0.0
            change = run.curvature_to - run.curvature_from
            curvatures.append(abs(run.curvature_from + share * change))
        begins_mm = ends_mm
    sharpest = max(curvatures)
    if sharpest > _NEAR_MM**2:
        return 1 / sharpest
    return None
