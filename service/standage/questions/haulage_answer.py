"""What the question of haulage answers, and what its figures leave out."""

from collections.abc import Iterator
from typing import Annotated, Literal

import msgspec

from standage.questions.reckoning import NOT_YET, Warnings
from standage.railway.climbs.gradients import one_in
from standage.railway.climbs.haulage import (
    RUNAWAY_PERCENT,
    Way,
)
from standage.railway.terms.figures import (
    agreeing,
    grams,
    says,
    tidy,
    tidy_down,
)
from standage.railway.terms.reasons import Assumed, Reason

_SHORT_RUN = 10
HaulageVerdict = Literal["cannot_tell", "does_not_haul", "marginal", "hauls"]


class HaulageInstead(msgspec.Struct, frozen=True, kw_only=True):
    """What would do, in the worst case."""

    vehicles: Annotated[int, says("How many vehicles the engines haul for certain.")]
    vehicles_brings: Annotated[
        HaulageVerdict | None, says("The verdict with so many; null if it is none.")
    ]
    engines: Annotated[
        int | None,
        says(
            "How many engines haul the vehicles for certain; null if no number up to 20"
            " does, or if a trial does not say with how many it was."
        ),
    ]
    engines_brings: Annotated[
        HaulageVerdict | None, says("The verdict with so many engines.")
    ]
    gradient_percent: Annotated[
        float | None,
        says(
            "The steepest gradient up which the engines haul the vehicles for certain,"
            " 4 % at most; null if none, if vehicles is not said, or if nobody weighed"
            " an engine whose pull was measured."
        ),
    ]
    gradient_brings: Annotated[
        HaulageVerdict | None, says("The verdict on that gradient.")
    ]


class InsteadByMass(msgspec.Struct, frozen=True, kw_only=True):
    """What would do, in the worst case, for a train that is asked for by its mass."""

    mass_g: Annotated[float, says("What the engines haul for certain, in grams.")]
    mass_brings: Annotated[
        HaulageVerdict | None, says("The verdict with that; null if it is nothing.")
    ]
    engines: Annotated[
        int | None,
        says("How many engines haul the train for certain; null as in instead."),
    ]
    engines_brings: Annotated[
        HaulageVerdict | None, says("The verdict with so many engines.")
    ]
    gradient_percent: Annotated[
        float | None, says("The steepest gradient for certain, 4 % at most.")
    ]
    gradient_brings: Annotated[
        HaulageVerdict | None, says("The verdict on that gradient.")
    ]


class HaulageAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """How many vehicles are hauled, from the worst case to the best, and how many
    engines are needed.
    """

    verdict: HaulageVerdict
    gradient_percent: float
    gradient_one_in: Annotated[float | None, says("Null on the level.")]
    curve_drag_percent: float
    rolling_resistance_percent: Annotated[
        tuple[float, float], says("The band it is reckoned for.")
    ]
    vehicles_fewest: Annotated[
        int | None, says("What the engines haul at the worse end of the band.")
    ]
    vehicles_most: Annotated[
        int | None, says("What they haul at the better end of the band.")
    ]
    mass_fewest_g: Annotated[
        float | None,
        says("The same as mass, in grams; null where nobody knows the vehicles'."),
    ]
    mass_most_g: Annotated[float | None, says("The same at the better end.")]
    engines_needed_fewest: Annotated[int | None, says("Null if no number does.")]
    engines_needed_most: Annotated[int | None, says("Null if no number does.")]
    because: tuple[Reason, ...]
    assumed: tuple[Assumed, ...]
    cautions: Annotated[tuple[Reason, ...], says("What the figures leave out.")]
    instead: Annotated[
        HaulageInstead | None, says("What would do; null if asked by mass.")
    ]
    instead_by_mass: Annotated[
        InsteadByMass | None, says("What would do for a train asked for by its mass.")
    ]
    warnings: Warnings = NOT_YET


def hauled_reason(
    way: Way, *, engines: int, fewest: int, most: int, wanted: int | None
) -> Reason:
    """Return in words how many vehicles so many engines haul, from the worst case to
    the best, and how many are wanted where that is said.
    """
    message = (
        f"{_engines_haul(engines)} {_vehicles(fewest, most)} {_where(way)}, as stiffly"
        " or freely as the vehicles run"
    )
    if wanted is not None:
        message += f"; {wanted} {agreeing(wanted, 'is', 'are')} wanted"
    return Reason(
        code="hauled",
        message=message,
        value_percent=tidy(way.gradient_percent),
    )


def hauled_mass_reason(
    way: Way, *, engines: int, mass_g: tuple[float, float], wanted_g: float | None
) -> Reason:
    """Return in words what mass so many engines haul, from the worst case to the best,
    and what is wanted where that is said.
    """
    fewest, most = (tidy_down(one, step=0.1) for one in mass_g)
    what = grams(most)
    if most == 0:
        what = "nothing"
    elif fewest == 0:
        what = f"at most {grams(most)}"
    elif fewest < most:
        what = f"between {grams(fewest)} and {grams(most)}"
    message = (
        f"{_engines_haul(engines)} {what} {_where(way)}, as stiffly or freely as the"
        " vehicles run"
    )
    if wanted_g is not None:
        message += f"; the train weighs {grams(wanted_g)}"
    return Reason(
        code="hauled",
        message=message,
        value_percent=tidy(way.gradient_percent),
    )


def _engines_haul(engines: int) -> str:
    if engines == 1:
        return "one engine hauls"
    return f"{engines} engines haul"


def _vehicles(fewest: int, most: int) -> str:
    """Return so many vehicles in words, from the worst case to the best."""
    if most == 0:
        return "no vehicle"
    vehicles = f"{most} {agreeing(most, 'vehicle', 'vehicles')}"
    if fewest == most:
        return vehicles
    if fewest == 0:
        return f"at most {vehicles}"
    return f"between {fewest} and {vehicles}"


def _where(way: Way) -> str:
    run = one_in(round(way.gradient_percent, 2))
    where = "on the level"
    if run is not None:
        where = f"up {way.gradient_percent:.2f} % ({one_in_words(run)})"
    if way.curve_drag_percent > 0:
        where += f" in a curve that drags like {way.curve_drag_percent:.2f} %"
    return where


def one_in_words(run: float) -> str:
    """Return a gradient's run for 1 of rise in words; of a short one its parts too.

    >>> one_in_words(49.6), one_in_words(4 / 3), one_in_words(1 / 9)
    ('1 in 50', '1 in 1.3', '1 in 0.11')
    """
    if run < _SHORT_RUN:
        return f"1 in {run:.2g}"
    return f"1 in {run:.0f}"


def cautions(
    way: Way, *, engines: int, tried_percent: float | None
) -> Iterator[Reason]:
    """Yield what the figures leave out on ``way``; ``tried_percent`` is the gradient on
    which engines were tried, 0 on the level, None where their pull was measured.
    """
    if tried_percent is not None and way.gradient_percent > tried_percent:
        message = (
            "the engine's own weight on the gradient is not taken off: measure its pull"
            " to have it in"
        )
        yield Reason(
            code="engine_weight_left_out",
            message=message,
            field="drawbar_pull_g",
        )
    if way.curve_drag_percent > 0:
        message = (
            "what the curve costs the engine itself is not taken off: in a sharp curve"
            " it hauls a little less"
        )
        yield Reason(
            code="engine_drag_left_out",
            message=message,
            value_percent=tidy(way.curve_drag_percent),
        )
    if way.gradient_percent >= RUNAWAY_PERCENT:
        message = (
            f"vehicles left standing run away from about {RUNAWAY_PERCENT:g} % on:"
            " never leave them on it"
        )
        yield Reason(
            code="runs_away",
            message=message,
            value_percent=tidy(way.gradient_percent),
            limit_percent=RUNAWAY_PERCENT,
        )
    if engines > 1:
        message = (
            "engines together haul as much as each does alone only where they run alike"
        )
        yield Reason(code="engines_must_match", message=message)
    message = (
        "tests scatter by a quarter: try it with your own train before the track is"
        " fixed"
    )
    yield Reason(code="try_it", message=message)
