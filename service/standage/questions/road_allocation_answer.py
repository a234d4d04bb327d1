"""What the question of all trains in all roads answers, field by field."""

from typing import Annotated, Literal

import msgspec

from standage.questions.reckoning import NOT_YET, Warnings
from standage.railway.curving.verdicts import CurveVerdict
from standage.railway.terms.figures import says
from standage.railway.terms.reasons import Assumed, Reason

AllocationVerdict = Literal["some_left_over", "cannot_tell", "all_stand"]


class TrainInRoad(msgspec.Struct, frozen=True, kw_only=True):
    """A train that stands in a road."""

    train: Annotated[str, says("What the train is called.")]
    train_id: Annotated[str | None, says("Its id, where it is on record.")]
    length_mm: Annotated[float, says("Pulled out, free couplings included, in mm.")]
    reaching: Annotated[
        CurveVerdict, says("Whether it gets there, as far as the road says.")
    ]


class RoadWithTrains(msgspec.Struct, frozen=True, kw_only=True):
    """A road with the trains that stand in it, nose to tail; their order along it is
    free.
    """

    road: Annotated[str, says("What the road is called.")]
    place_id: Annotated[str | None, says("Its id, where it is on record.")]
    trains: Annotated[
        tuple[TrainInRoad, ...], says("The trains in it; none where it stays empty.")
    ]
    usable_length_mm: Annotated[float | None, says("Its usable length, in mm.")]
    stopping_margin_mm: Annotated[
        float, says("What was taken off for stopping, both ends together, in mm.")
    ]
    held_mm: Annotated[
        float, says("What its trains take up, the gaps between them included, in mm.")
    ]
    spare_mm: Annotated[
        float | None,
        says("What is left, margin taken off, in mm; null where not known."),
    ]
    plus_minus_mm: Annotated[
        float, says("How far off the spare may be, either way, in mm.")
    ]


class LeftOver(msgspec.Struct, frozen=True, kw_only=True):
    """A train that has no road, and why."""

    train: Annotated[str, says("What the train is called.")]
    train_id: Annotated[str | None, says("Its id, where it is on record.")]
    length_mm: Annotated[float | None, says("Pulled out, in mm; null where not known.")]
    because: Annotated[tuple[Reason, ...], says("Why it has none.")]


class RoadAllocationAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """Which train stands where, what is left over, and what is proved of that."""

    verdict: Annotated[
        AllocationVerdict, says("Whether all stand at once, for certain.")
    ]
    roads: Annotated[
        tuple[RoadWithTrains, ...], says("Every road in the order asked, or by name.")
    ]
    left_over: Annotated[tuple[LeftOver, ...], says("The trains without a road.")]
    left_over_length_mm: Annotated[
        float, says("Their length together, as far as it is known, in mm.")
    ]
    left_over_at_least: Annotated[
        int,
        says("So many are left over whatever is done, of those whose fit is certain."),
    ]
    proved: Annotated[bool, says("Whether no other way leaves fewer over.")]
    least_length_proved: Annotated[
        bool, says("Whether of as few none are shorter together.")
    ]
    gap_mm: Annotated[
        float, says("What was left between two trains in one road, in mm.")
    ]
    kept_empty: Annotated[tuple[str, ...], says("The roads in which nothing stands.")]
    because: Annotated[tuple[Reason, ...], says("The reasons, worst first.")]
    assumed: Annotated[tuple[Assumed, ...], says("Every figure that nobody measured.")]
    warnings: Warnings = NOT_YET
