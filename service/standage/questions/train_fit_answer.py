"""What the question of a train and a place answers, field by field."""

from typing import Annotated, Literal

import msgspec

from standage.questions.reckoning import NOT_YET, Warnings
from standage.railway.curving.verdicts import CurveVerdict
from standage.railway.standing.verdicts import (
    FitVerdict,
)
from standage.railway.terms.figures import says
from standage.railway.terms.reasons import Assumed, Reason

AlsoField = Literal["blades_to_blades_mm", "stop_to_stop_mm"]


class AlsoMeasured(msgspec.Struct, frozen=True, kw_only=True):
    """The train against another length of the same road, the stopping margin left
    out.
    """

    field: Annotated[AlsoField, says("Which of the road's other lengths it is.")]
    length_mm: Annotated[float, says("That length, in mm.")]
    spare_mm: Annotated[
        float | None, says("That length less the train pulled out, in mm.")
    ]


class WheelReserve(msgspec.Struct, frozen=True, kw_only=True):
    """How far the train hangs over beyond its outermost wheels: a reserve in a
    headshunt, never counted on.
    """

    head_mm: Annotated[
        float | None,
        says("From the first axle to the train's head, in mm; null where not known."),
    ]
    tail_mm: Annotated[
        float | None,
        says("From the last axle to the train's tail, in mm; null where not known."),
    ]


class TurntableOverhang(msgspec.Struct, frozen=True, kw_only=True):
    """How a train hangs over the rails of a turntable, and what it sweeps; null is what
    cannot be told.
    """

    beyond_rails_mm: Annotated[
        float | None,
        says(
            "What hangs over the rails, both ends together, free couplings included,"
            " in mm."
        ),
    ]
    circle_needed_mm: Annotated[
        float | None,
        says(
            "Diameter of the circle that must be clear around the pit, in mm: of a"
            " train in the middle the root of length² + width², free couplings"
            " included; without a width the least that it can be."
        ),
    ]
    circle_over_bodies_mm: Annotated[
        float | None, says("The same without the free couplings, in mm.")
    ]
    clear_circle_mm: Annotated[
        float | None, says("Diameter of the circle that is clear, in mm.")
    ]


class PlaceThatHolds(msgspec.Struct, frozen=True, kw_only=True):
    """Another place, in which the train fits."""

    id: Annotated[str, says("The id of the place.")]
    name: Annotated[str | None, says("What it is called.")]
    spare_mm: Annotated[float | None, says("What is left there, in mm.")]
    reaching: Annotated[
        CurveVerdict, says("Whether the train gets there, as far as that place says.")
    ]


class Instead(msgspec.Struct, frozen=True, kw_only=True):
    """What would help."""

    drop: Annotated[
        tuple[str, ...] | None,
        says(
            "The fewest vehicles to leave off so that the rest fits, from the head;"
            " never an engine or a brake van. Empty where the train fits as it is, null"
            " where nothing that may be left off would do, or where the length that"
            " counts is not known: then measuring helps."
        ),
    ]
    drop_proved: Annotated[
        bool,
        says(
            "Whether no fewer would do, and of as few none leaves less room over; false"
            " if the search was cut, or not begun as a length is not known."
        ),
    ]
    longest_train_mm: Annotated[
        float | None,
        says(
            "The greatest length that stands there for certain, margin and the road's ±"
            " taken off, in mm; of the length that counts."
        ),
    ]
    longest_passenger_train_mm: Annotated[
        float | None,
        says(
            "The same of a train from its first passenger vehicle to its last, where a"
            " platform has a face."
        ),
    ]
    places: Annotated[
        tuple[PlaceThatHolds, ...],
        says("Other places in which the train fits as it is."),
    ] = ()


class TrainFitAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """Whether the train stands clear in the place and gets there, and what that rests
    on.
    """

    verdict: Annotated[
        FitVerdict,
        says(
            "Whether it stands clear. It is that of standing, unless the train does not"
            " run there for certain: then it is does_not_fit. What nobody knows of"
            " reaching the place changes nothing in it."
        ),
    ]
    standing: Annotated[
        FitVerdict,
        says("Whether it stands clear in the place, however it comes there."),
    ]
    reaching: Annotated[
        CurveVerdict,
        says(
            "Whether every vehicle gets there, by gauge, wheels, curves and headroom as"
            " far as the place says them; cannot_tell where the place does not say how"
            " sharp its curves are (see not_compared)."
        ),
    ]
    train_length_mm: Annotated[
        float | None, says("The train pulled out, free couplings included, in mm.")
    ]
    buffered_up_mm: Annotated[
        float | None, says("The train buffered up, free couplings included, in mm.")
    ]
    at_least_mm: Annotated[
        float | None,
        says(
            "What is known of the train's length, with the shortest couplings that may"
            " be meant where nobody names them, in mm."
        ),
    ]
    counted_length_mm: Annotated[
        float | None,
        says(
            "The length that counts there, in mm: on a turntable from the first axle to"
            " the last, in a reversing section from the first bridging axle to the"
            " last, elsewhere the train pulled out."
        ),
    ]
    spare_mm: Annotated[
        float | None,
        says(
            "Usable length, less the margin, less the length that counts, in mm; on a"
            " turntable less 4 mm more, so that no wheel stands on the ends of its"
            " rails."
        ),
    ]
    plus_minus_mm: Annotated[
        float | None, says("How far off the spare may be, either way, in mm.")
    ]
    usable_length_mm: Annotated[
        float | None, says("The usable length of the place, in mm.")
    ]
    stopping_margin_mm: Annotated[
        float, says("What was taken off for stopping, both ends together, in mm.")
    ]
    because: Annotated[tuple[Reason, ...], says("The reasons, worst first.")]
    assumed: Annotated[tuple[Assumed, ...], says("Every figure that nobody measured.")]
    instead: Annotated[Instead, says("What would help.")]
    also: Annotated[
        tuple[AlsoMeasured, ...], says("The train against the road's other lengths.")
    ] = ()
    face_spare_mm: Annotated[
        float | None,
        says(
            "Platform's face less the train from its first passenger vehicle to its"
            " last, in mm."
        ),
    ] = None
    wheel_reserve_mm: Annotated[
        WheelReserve | None, says("In a headshunt: what hangs over beyond the wheels.")
    ] = None
    turntable: Annotated[
        TurntableOverhang | None, says("On a turntable: what hangs over its rails.")
    ] = None
    not_compared: Annotated[
        tuple[str, ...],
        says("What the place does not say, so that the train was not held against it."),
    ] = ()
    warnings: Warnings = NOT_YET
