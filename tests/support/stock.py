"""Rolling stock and roads for tests, each with the figures that matter to the test and
no others.
"""

from typing import Any

from standage.questions.train_fit import OtherPlace, TrainFitCase, reckon
from standage.questions.train_fit_answer import TrainFitAnswer
from standage.railway.roads.allowances import GIVEN, Provenance
from standage.railway.roads.places import Place
from standage.railway.stock.coupled import Coupled, coupled
from standage.railway.stock.couplings import Coupling, CouplingKind, CouplingTypes
from standage.railway.stock.trains import MeasuredRake, Train
from standage.railway.stock.vehicles import Standing

KNOWN = Coupling(reach_mm=3.0, projection_mm=4.0)
"""A coupling whose reach and projection are known exactly, and unlike."""


def vehicle(name: str, length_mm: float | None = 100.0, **figures: Any) -> Standing:
    """Return a vehicle whose length is over buffers and exact, with known couplings,
    unless told otherwise.
    """
    known: dict[str, Any] = {
        "length_over": "buffers",
        "length_plus_minus_mm": 0.0,
        "front_coupling": KNOWN,
        "rear_coupling": KNOWN,
    }
    return Standing(name=name, length_mm=length_mm, **(known | figures))


def plain(name: str, length_mm: float | None = 100.0, **figures: Any) -> Standing:
    """Return a vehicle measured over its couplings, so that a train of such is the sum
    of their lengths.
    """
    return vehicle(
        name,
        length_mm,
        **(
            {"length_over": "couplings", "front_coupling": None, "rear_coupling": None}
            | figures
        ),
    )


def made_up(
    *vehicles: Standing,
    rakes: tuple[MeasuredRake, ...] = (),
    types: tuple[CouplingKind, ...] = (),
) -> Coupled:
    """Return vehicles coupled up in that order."""
    return coupled(
        Train(vehicles=vehicles, measured_rakes=rakes), types=CouplingTypes(types)
    )


def ask(
    *vehicles: Standing,
    place: Place,
    rakes: tuple[MeasuredRake, ...] = (),
    types: tuple[CouplingKind, ...] = (),
    known_by: Provenance = GIVEN,
    stopping_margin_mm: float | None = None,
    other_places: tuple[OtherPlace, ...] = (),
) -> TrainFitAnswer:
    """Return what is answered of the vehicles, in that order, in ``place``."""
    case = TrainFitCase(
        train=Train(vehicles=vehicles, measured_rakes=rakes),
        place=place,
        known_by=known_by,
        stopping_margin_mm=stopping_margin_mm,
        types=types,
        other_places=other_places,
    )
    return reckon(case)


def codes(answer: TrainFitAnswer) -> list[str]:
    """Return the codes of the reasons, as they stand in the answer."""
    return [reason.code for reason in answer.because]


def road(usable_length_mm: float | None = 1000.0, **figures: Any) -> Place:
    """Return a loop, or another kind of place, of that usable length."""
    return Place(usable_length_mm=usable_length_mm, **({"kind": "loop"} | figures))
