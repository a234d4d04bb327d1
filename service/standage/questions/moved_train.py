"""A train that is moved: its length alone, or its vehicles."""

from collections.abc import Iterable
from itertools import takewhile
from typing import Annotated

import msgspec

from standage.questions.asked import AskedTrain
from standage.questions.sources import Sources
from standage.railway.standing.turntable import reserve_mm
from standage.railway.stock.coupled import Coupled, Member, coupled
from standage.railway.stock.couplings import CouplingKind, coupling_types
from standage.railway.stock.extents import lacking
from standage.railway.stock.trains import Train
from standage.railway.terms.figures import (
    Tolerance,
    TrainLengthMm,
    VehicleLengthMm,
    millimetres,
    says,
    tidy,
)
from standage.railway.terms.reasons import Assumed, Reason, told
from standage.shapes.faults import Fault

LEAST_TRAIN_MM = 1.0
"""Of a train of which nothing is known."""
ENGINES = frozenset({"engine", "railcar", "multiple_unit_car"})
"""What has its own cab in front when it moves by itself."""


class MovedTrain(AskedTrain, frozen=True, kw_only=True):
    """A train by its length, by its vehicles from the engine on, or on record."""

    length_mm: Annotated[
        TrainLengthMm | None,
        says(
            "Its length pulled out, free couplings included, in mm, instead of"
            " vehicles; it counts as exact."
        ),
    ] = None
    engine_length_mm: Annotated[
        VehicleLengthMm | None,
        says("Of that its engine, in mm; all of it is a light engine."),
    ] = None
    length_plus_minus_mm: Annotated[
        Tolerance | None, says("How far off that length may be, in mm.")
    ] = None

    def rules(self) -> Iterable[Fault]:
        """Either a length, or vehicles, or a train on record."""
        if self.length_mm is None:
            yield from super().rules()
            for field in ("engine_length_mm", "length_plus_minus_mm"):
                if getattr(self, field) is not None:
                    message = "goes with length_mm: a train of vehicles has its own"
                    yield Fault(
                        code="one_or_the_other", message=message, pointer=f"/{field}"
                    )
            return
        for field in ("train_id", "vehicles", "measured_rakes"):
            if getattr(self, field):
                message = "cannot be given beside length_mm: leave one of them out"
                yield Fault(
                    code="one_or_the_other", message=message, pointer=f"/{field}"
                )
        engine_mm = self.engine_length_mm
        if engine_mm is not None and engine_mm > self.length_mm:
            message = "the engine is longer than its train"
            yield Fault(
                code="contradiction", message=message, pointer="/engine_length_mm"
            )


class TrainCase(msgspec.Struct, frozen=True, kw_only=True):
    """A train as it was asked for, resolved: by its length in mm alone, or by its
    vehicles; ``types`` are the club's couplings.
    """

    length_mm: TrainLengthMm | None = None
    engine_length_mm: VehicleLengthMm | None = None
    plus_minus_mm: float = 0.0
    train: Train | None = None
    types: tuple[CouplingKind, ...] = ()


class KnownTrain(msgspec.Struct, frozen=True, kw_only=True):
    """What of a train counts when it is moved.

    ``length_mm`` is None where it is not ``known``; it is ``least_mm`` then at least.
    Of a train of vehicles its first ``engines`` are its engine.
    """

    length_mm: float | None
    least_mm: float
    plus_minus_mm: float
    engine_mm: float | None
    unknown: tuple[Reason, ...] = ()
    assumed: tuple[Assumed, ...] = ()
    made_up: Coupled | None = None
    engines: int = 0

    @property
    def counted_mm(self) -> float:
        """The length that is moved: its own, or what it is at least."""
        return self.length_mm or max(self.least_mm, LEAST_TRAIN_MM)

    @property
    def is_light_engine(self) -> bool:
        """Whether it is an engine alone, which never propels."""
        if self.length_mm is None:
            return False
        return self.engine_mm == self.length_mm


def gathered_train(sources: Sources, asked: MovedTrain, pointer: str) -> TrainCase:
    """Return a train with what it names on record resolved; raises ``Faulty``."""
    if asked.length_mm is not None:
        return TrainCase(
            length_mm=asked.length_mm,
            engine_length_mm=asked.engine_length_mm,
            plus_minus_mm=asked.length_plus_minus_mm or 0.0,
        )
    train = sources.trains.of(asked, pointer)
    return TrainCase(train=train, types=sources.couplings.types_of(train.vehicles))


def known_train(case: TrainCase) -> KnownTrain:
    """Return how long a train is, with its engine, and what that rests on."""
    if case.length_mm is not None:
        return KnownTrain(
            length_mm=case.length_mm,
            least_mm=case.length_mm,
            plus_minus_mm=case.plus_minus_mm,
            engine_mm=case.engine_length_mm,
            assumed=(overhang_assumed(None),),
        )
    if case.train is None:
        raise AssertionError("a train has a length or vehicles")
    train = coupled(case.train, types=coupling_types(case.types))
    extent = train.pulled_out()
    return KnownTrain(
        length_mm=extent.length_mm,
        least_mm=extent.least_mm,
        plus_minus_mm=extent.plus_minus_mm,
        engine_mm=_engine_mm(train),
        made_up=train,
        engines=_engines(train),
        unknown=lacking(extent.missing),
        assumed=(*told(train.guesses()), overhang_assumed(_reserve_mm(train))),
    )


def _engines(train: Coupled) -> int:
    """Return how many engines there are at the head."""
    leading = takewhile(_is_engine, train.members)
    return sum(1 for _ in leading)


def _is_engine(member: Member) -> bool:
    return member.vehicle.kind in ENGINES


def _engine_mm(train: Coupled) -> float | None:
    """Return how long the engines at the head are together; None where none is."""
    engines = _engines(train)
    if engines == len(train.members):
        return train.pulled_out().length_mm
    if engines:
        return train.span(0, engines - 1).length_mm
    return None


def _reserve_mm(train: Coupled) -> float | None:
    """Return how far the train hangs over beyond its last wheels, at the lesser end."""
    head_mm = reserve_mm(train.members[0], at_head=True)
    tail_mm = reserve_mm(train.members[-1], at_head=False)
    if head_mm is None or tail_mm is None:
        return None
    return tidy(min(head_mm, tail_mm))


def overhang_assumed(reserve_mm: float | None) -> Assumed:
    """Return when blades count as clear; ``reserve_mm`` is the train's overhang."""
    message = "blades are clear once the end of the coupling has passed them"
    if reserve_mm is not None and reserve_mm > 0:
        message += (
            f"; the last wheels have by then passed {millimetres(reserve_mm)} ago"
        )
    else:
        message += "; the last wheels pass before it, so this is on the safe side"
    return Assumed(
        field="margin_mm",
        message=message,
        source="common_practice",
        value_mm=reserve_mm,
    )
