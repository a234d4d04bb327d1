"""Does this train stand in that place, and if not, what would help?"""

from typing import Annotated, Literal

import msgspec

from standage.questions.asked import AskedPlace, AskedTrain
from standage.questions.sources import PlaceOnRecord, Sources
from standage.railway.couplings import CouplingKind
from standage.railway.faults import Ruled
from standage.railway.figures import Room, says
from standage.railway.places import Place
from standage.railway.reasons import Assumed, Reason
from standage.railway.trains import Train

FitVerdict = Literal["does_not_fit", "cannot_tell", "tight", "fits"]


class TrainFitRequest(Ruled, frozen=True, kw_only=True):
    """A train and a place, each inline or on record."""

    train: Annotated[AskedTrain, says("The train.")]
    place: Annotated[AskedPlace, says("The place it is to stand in.")]
    stopping_margin_mm: Annotated[
        Room | None,
        says("Room left for stopping, both ends together, in mm; the place's own, or a stated default, if not given."),
    ] = None


class OtherPlace(msgspec.Struct, frozen=True, kw_only=True):
    """Another place of the layout that might hold the train."""

    id: str
    place: Place


class TrainFitCase(msgspec.Struct, frozen=True, kw_only=True):
    """All that the answer rests on. ``types`` are the club's own couplings; ``on_record`` is said of the place."""

    train: Train
    place: Place
    on_record: bool = False
    stopping_margin_mm: float | None = None
    types: tuple[CouplingKind, ...] = ()
    other_places: tuple[OtherPlace, ...] = ()


class AlsoMeasured(msgspec.Struct, frozen=True, kw_only=True):
    """The train against another length of the same road, the stopping margin left out."""

    field: Annotated[
        Literal["blades_to_blades_mm", "stop_to_stop_mm"], says("Which of the road's other lengths it is.")
    ]
    length_mm: Annotated[float, says("That length, in mm.")]
    spare_mm: Annotated[float | None, says("That length less the train pulled out, in mm.")]


class WheelReserve(msgspec.Struct, frozen=True, kw_only=True):
    """How far the train hangs over beyond its outermost wheels: a reserve in a headshunt, never counted on."""

    head_mm: Annotated[float | None, says("From the first axle to the train's head, in mm; null where not known.")]
    tail_mm: Annotated[float | None, says("From the last axle to the train's tail, in mm; null where not known.")]


class PlaceThatHolds(msgspec.Struct, frozen=True, kw_only=True):
    """Another place, in which the train fits."""

    id: Annotated[str, says("The id of the place.")]
    name: Annotated[str | None, says("What it is called.")]
    spare_mm: Annotated[float | None, says("What is left there, in mm.")]


class Instead(msgspec.Struct, frozen=True, kw_only=True):
    """What would help."""

    drop: Annotated[
        tuple[str, ...] | None,
        says(
            "The fewest vehicles to leave off so that the rest fits, from the head; never an engine or a brake van. "
            "Empty where the train fits as it is, null where nothing that may be left off would do."
        ),
    ]
    drop_proved: Annotated[
        bool, says("Whether no fewer would do, and of as few none leaves less room over; false if the search was cut.")
    ]
    longest_train_mm: Annotated[
        float | None, says("The greatest length that stands there, margin taken off, in mm; of the length that counts.")
    ]
    places: Annotated[tuple[PlaceThatHolds, ...], says("Other places in which the train fits as it is.")] = ()


class TrainFitAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """Whether the train stands clear in the place, and what that rests on."""

    verdict: Annotated[FitVerdict, says("Whether it stands clear.")]
    train_length_mm: Annotated[float | None, says("The train pulled out, free couplings included, in mm.")]
    buffered_up_mm: Annotated[float | None, says("The train buffered up, free couplings included, in mm.")]
    at_least_mm: Annotated[float | None, says("What is known of the train's length, where not all is, in mm.")]
    counted_length_mm: Annotated[
        float | None,
        says(
            "The length that counts there, in mm: on a turntable from the first axle to the last, in a reversing section "
            "from the first bridging axle to the last, elsewhere the train pulled out."
        ),
    ]
    spare_mm: Annotated[float | None, says("Usable length, less the margin, less the length that counts, in mm.")]
    plus_minus_mm: Annotated[float | None, says("How far off the spare may be, either way, in mm.")]
    usable_length_mm: Annotated[float | None, says("The usable length of the place, in mm.")]
    stopping_margin_mm: Annotated[float, says("What was taken off for stopping, both ends together, in mm.")]
    because: Annotated[tuple[Reason, ...], says("The reasons, worst first.")]
    assumed: Annotated[tuple[Assumed, ...], says("Every figure that nobody measured.")]
    instead: Annotated[Instead, says("What would help.")]
    also: Annotated[tuple[AlsoMeasured, ...], says("The train against the road's other lengths.")] = ()
    face_spare_mm: Annotated[
        float | None, says("Platform's face less the train from its first passenger vehicle to its last, in mm.")
    ] = None
    wheel_reserve_mm: Annotated[WheelReserve | None, says("In a headshunt: what hangs over beyond the wheels.")] = None
    not_compared: Annotated[
        tuple[str, ...], says("What the place does not say, so that the train was not held against it.")
    ] = ()


def gather(sources: Sources, request: TrainFitRequest) -> TrainFitCase:
    """Return the case that a request makes, with all it names on record resolved."""
    train = sources.train(request.train, "/train")
    place = sources.place(request.place, "/place")
    return case_of(sources, train, place, stopping_margin_mm=request.stopping_margin_mm)


def case_of(
    sources: Sources, train: Train, place: Place | PlaceOnRecord, *, stopping_margin_mm: float | None
) -> TrainFitCase:
    """Return the case of a train and a place, which brings the other places of its layout where it is on record."""
    recorded = isinstance(place, PlaceOnRecord)
    return TrainFitCase(
        train=train,
        place=place.place if recorded else place,
        on_record=recorded,
        stopping_margin_mm=stopping_margin_mm,
        types=sources.coupling_types(),
        other_places=tuple(OtherPlace(id=one, place=other) for one, other in place.others) if recorded else (),
    )
