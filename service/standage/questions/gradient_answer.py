"""What the question of a gradient answers, field by field."""

from typing import Annotated, Literal

import msgspec

from standage.questions.helix import (
    HelixAnswer,
)
from standage.questions.reckoning import NOT_YET, Warnings
from standage.railway.climbs.gradients import one_in
from standage.railway.terms.figures import (
    says,
    tidy,
)
from standage.railway.terms.reasons import Assumed, Reason

GradientVerdict = Literal["no_headroom", "too_steep", "steep", "good"]


class GradientInstead(msgspec.Struct, frozen=True, kw_only=True):
    """What would keep to the limit."""

    run_needed_mm: Annotated[
        float,
        says(
            "The least run for this rise, with these vertical curves and under this"
            " train, in mm."
        ),
    ]
    run_needed_brings: Annotated[
        GradientVerdict | None,
        says(
            "The verdict with that run; null where all is level and no run is needed."
        ),
    ]
    rise_allowed_mm: Annotated[
        float,
        says(
            "The greatest rise in this run, with these vertical curves and under this"
            " train, in mm."
        ),
    ]
    rise_allowed_brings: Annotated[GradientVerdict, says("The verdict with that rise.")]
    vertical_curve_mm: Annotated[
        float | None,
        says(
            "How long practice has each vertical curve for the longest vehicle, in mm;"
            " null if unknown."
        ),
    ]
    vertical_curve_brings: Annotated[
        GradientVerdict | None,
        says("The verdict with such a one at each end, which make the rest steeper."),
    ]
    radius_mm: Annotated[
        float | None,
        says(
            "The least radius of a helix of as many turns and the same rise, in mm; null"
            " without one."
        ),
    ]
    radius_brings: Annotated[
        GradientVerdict | None, says("The verdict with that radius.")
    ]


class GradientAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """How steep the climb is; the verdict is on what the train feels where its length
    is given.

    Whether a helix is high enough is in ``helix``: too low is ``no_headroom`` here too,
    but where its verdict is ``cannot_tell``, this one is of the gradient alone.
    """

    verdict: GradientVerdict
    mean_percent: float
    mean_one_in: Annotated[float | None, says("Null on the level.")]
    steepest_percent: float
    steepest_one_in: Annotated[float | None, says("Null on the level.")]
    train_feels_percent: Annotated[
        float | None,
        says("The greatest height from its tail to its head, for 100 of its length."),
    ]
    train_feels_one_in: float | None
    limit_percent: Annotated[float, says("The limit that the verdict keeps to.")]
    run_needed_mm: Annotated[
        float,
        says(
            "The least run that keeps this rise within the limit, under this train"
            " where one is given, in mm."
        ),
    ]
    helix: HelixAnswer | None
    because: tuple[Reason, ...]
    assumed: tuple[Assumed, ...]
    instead: GradientInstead
    warnings: Warnings = NOT_YET


def against_limit(judged: float, *, limit: float, by_train: bool) -> Reason:
    """Return a gradient against its limit in words; ``by_train``: as a train feels it."""
    whose = "the train feels" if by_train else "the climb is"
    judged, limit = tidy(judged), tidy(limit)
    code, how = "within_limit", "within"
    if judged > limit:
        code, how = "over_limit", "steeper than"
    message = (
        f"{whose} {shown_gradient(judged)}, {how} the limit of {shown_gradient(limit)}"
    )
    return Reason(
        code=code,
        message=message,
        value_percent=judged,
        limit_percent=limit,
    )


def shown_gradient(percent: float) -> str:
    """Return a gradient in words, in per cent and with its run for 1 of rise."""
    run = one_in(tidy(percent))
    if run is None:
        return "level"
    # a gradient given as 1 in so many is told with the number that was given
    post = f"{tidy(round(run, 4)):.1f}".removesuffix(".0")
    return f"{percent:.2f} % (1 in {post})"
