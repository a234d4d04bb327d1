"""What is answered of the mark beyond points."""

from functools import partial
from typing import Annotated, Literal

import msgspec

from standage.questions.reckoning import NOT_YET, Warnings
from standage.railway.terms.figures import says
from standage.railway.terms.reasons import Assumed, Reason

PointsMarkVerdict = Literal[
    "clear", "clear_if_straight", "never_clear", "cannot_be_laid", "cannot_tell"
]
LegName = Literal["through", "branch"]


class MarkedLeg(msgspec.Struct, frozen=True, kw_only=True):
    """The mark on one leg; the branch is the one that may curve back."""

    leg: Annotated[LegName, says("Which leg.")]
    from_crossing_of_lines_mm: Annotated[
        float, says("Along it from where the lines cross, in mm.")
    ]
    from_nose_mm: Annotated[float, says("Along it from abreast of the nose, in mm.")]


class PointsMarkAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """The mark beyond points; figures are null where there is none."""

    verdict: Annotated[
        PointsMarkVerdict,
        says("Whether there is a mark, or one as long as the legs stay straight."),
    ]
    angle_deg: Annotated[float, says("At which the roads part, in degrees.")]
    from_crossing_of_lines_mm: Annotated[
        float | None,
        says(
            "Along the leg from where the lines cross, in mm; the farther leg counts."
        ),
    ]
    from_nose_mm: Annotated[
        float | None,
        says("The same from the nose; along the rail where near_rails_mm is given."),
    ]
    mark_length_mm: Annotated[
        float | None, says("Of the mark that joins both legs, in mm.")
    ]
    squared_from_one_line_mm: Annotated[
        float | None,
        says("How much too near the mark comes, in mm, if squared from one line."),
    ]
    from_nose_if_squared_mm: Annotated[
        float | None,
        says("Where the mark would stand then, from the nose along the through leg."),
    ]
    stays_straight_to_mm: Annotated[
        float | None,
        says("Up to where both legs must stay straight, in mm; null with a way back."),
    ]
    curve_back_begins_mm: Annotated[
        float | None,
        says("Where the curve back begins, in mm from where the lines cross."),
    ]
    legs: Annotated[tuple[MarkedLeg, ...], says("The mark on each leg.")]
    nose_to_nose_mm: Annotated[
        float | None, says("The road from nose to nose, in mm, to hold the length.")
    ]
    nose_to_stop_mm: Annotated[
        float | None, says("The road from the nose to its stop, in mm.")
    ]
    because: Annotated[tuple[Reason, ...], says("The reasons, worst first.")]
    assumed: Annotated[tuple[Assumed, ...], says("What was not said.")]
    warnings: Warnings = NOT_YET


NO_MARK = partial(
    PointsMarkAnswer,
    from_crossing_of_lines_mm=None,
    from_nose_mm=None,
    mark_length_mm=None,
    squared_from_one_line_mm=None,
    from_nose_if_squared_mm=None,
    stays_straight_to_mm=None,
    curve_back_begins_mm=None,
    legs=(),
    nose_to_nose_mm=None,
    nose_to_stop_mm=None,
)
"""An answer where there is no mark."""
