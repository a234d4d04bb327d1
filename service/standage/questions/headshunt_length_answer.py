"""What is answered of how long a headshunt, or an engine, must or may be."""

from typing import Annotated

import msgspec

from standage.questions.reckoning import NOT_YET, Warnings
from standage.railway.shunting.search import Verdict
from standage.railway.shunting.yard import Visit
from standage.railway.terms.figures import says
from standage.railway.terms.reasons import Assumed, Reason


class LengthStep(msgspec.Struct, frozen=True, kw_only=True):
    """An exact length from which on so few visits, or couplings, do."""

    headshunt_usable_length_mm: Annotated[float, says("The headshunt, in mm.")]
    engine_length_mm: Annotated[float, says("The engine over its couplings, in mm.")]
    plus_minus_mm: Annotated[
        float, says("How far off the wagons on the engine may be there, in mm.")
    ]
    visits: Annotated[
        int,
        says(
            "How many visits the plan takes: the fewest, unless couplings are to be; of"
            " every train, the hardest one's."
        ),
    ]
    couplings: Annotated[int, says("How often the plan couples or uncouples.")]
    minutes: Annotated[float, says("How long its visits take, in minutes.")]
    cut: Annotated[
        tuple[str, ...], says("The wagons on the engine where the room is used up.")
    ]
    train: Annotated[
        tuple[str, ...], says("The train: of every train, one of the hardest.")
    ]
    proved: Annotated[
        bool, says("Whether nothing shorter does with as few, nor fewer do here.")
    ]
    moves: Annotated[tuple[Visit, ...], says("A plan, its moves in order.")]


class OwnLength(msgspec.Struct, frozen=True, kw_only=True):
    """The length that the yard, or the engine, has."""

    length_mm: Annotated[float, says("How long it is, in mm, stopping room taken off.")]
    is_enough: Annotated[
        bool | None, says("Whether it does at all; null where that is not proved.")
    ]
    spare_mm: Annotated[
        float | None,
        says("What is left over the least that does, in mm; less than 0 is short."),
    ]
    visits: Annotated[
        int | None, says("How many visits do with it; null where none is known.")
    ]


class HeadshuntLengthAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """Every length at which something changes, and the least that does."""

    verdict: Annotated[
        Verdict,
        says("All of it proved; impossible at any length; or stopped at the budget."),
    ]
    proved: Annotated[bool, says("Whether no step is missing or can be bettered.")]
    least_mm: Annotated[
        float | None,
        says("The shortest headshunt with which it can be done; null by the engine."),
    ]
    longest_engine_mm: Annotated[
        float | None,
        says("The longest engine with which it can be done; null by the headshunt."),
    ]
    impossible_to_mm: Annotated[
        float | None,
        says("Proved: it cannot be done with a shorter headshunt, or longer engine."),
    ]
    steps: Annotated[
        tuple[LengthStep, ...],
        says("The exact lengths from which fewer do, that with least room first."),
    ]
    own: Annotated[
        OwnLength | None, says("The yard's headshunt, or the engine, where given.")
    ]
    positions: Annotated[int, says("How many positions were looked at.")]
    because: Annotated[tuple[Reason, ...], says("The reasons, worst first.")]
    assumed: Annotated[tuple[Assumed, ...], says("Every figure that nobody measured.")]
    warnings: Warnings = NOT_YET
