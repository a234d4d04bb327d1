"""How many vehicles engines take up a gradient, or what mass, and how many engines a train
needs: a band, never one number.
"""

from collections.abc import Iterator
from typing import NamedTuple

from msgspec.structs import replace

from standage.questions.haulage_answer import (
    HaulageAnswer,
    HaulageInstead,
    HaulageVerdict,
    InsteadByMass,
    cautions,
    hauled_mass_reason,
    hauled_reason,
)
from standage.questions.haulage_load import (
    Haul,
    HaulageRequest,
    haul_of,
    missing,
    tried_with,
)
from standage.questions.haulage_strength import (
    LEAST_G,
    MOST_ENGINES,
    MOST_G,
    MOST_VEHICLES,
    assumed_mass,
    assumed_rolling,
    way_of_trial,
)
from standage.questions.question import Question, Shows, as_asked
from standage.questions.reckoning import warned
from standage.railway.climbs.gradients import one_in
from standage.railway.climbs.haulage import (
    ROLLING_PERCENT,
    STEEPEST_ADVISED_PERCENT,
    Way,
    engines_needed,
    steepest_hauled_percent,
)
from standage.railway.terms.figures import (
    counted,
    exceeds,
    tidy,
    tidy_down,
    tidy_if_known,
)
from standage.railway.terms.reasons import Assumed, Reason


class _Hauled(NamedTuple):
    """What the engines haul, from the worst case to the best, in whole vehicles and in
    grams; None is not known.
    """

    vehicles: tuple[int, int] | None = None
    mass_g: tuple[float, float] | None = None


@warned
def reckon(request: HaulageRequest) -> HaulageAnswer:
    """Return what the engines of ``request`` haul; a missing mass is named and nothing
    is made up for an engine.
    """
    way = request.way
    haul = haul_of(request)
    hauled = _Hauled() if haul is None else _hauled(request, haul)
    vehicles = hauled.vehicles or (None, None)
    mass_g = hauled.mass_g or (None, None)
    needed = (None, None) if haul is None else _engines_needed(haul)
    is_by_mass = request.is_by_mass
    return HaulageAnswer(
        verdict=_verdict(request),
        gradient_percent=tidy(way.gradient_percent),
        gradient_one_in=tidy_if_known(one_in(way.gradient_percent)),
        curve_drag_percent=tidy(way.curve_drag_percent),
        rolling_resistance_percent=ROLLING_PERCENT,
        vehicles_fewest=vehicles[0],
        vehicles_most=vehicles[1],
        mass_fewest_g=mass_g[0],
        mass_most_g=mass_g[1],
        engines_needed_fewest=needed[0],
        engines_needed_most=needed[1],
        because=tuple(_because(request, hauled)),
        assumed=tuple(_assumed(request, way)),
        cautions=tuple(
            cautions(
                way, engines=request.engines, tried_percent=_tried_percent(request)
            )
        ),
        instead=None if haul is None or is_by_mass else _instead(request, haul),
        instead_by_mass=_by_mass(request, haul) if haul and is_by_mass else None,
    )


def _hauled(request: HaulageRequest, haul: Haul) -> _Hauled:
    one_weighs_g = haul.one_weighs_g
    if one_weighs_g is None:
        return _Hauled(vehicles=haul.band.vehicles(request.engines))
    by_one_g = (haul.band.fewest * one_weighs_g, haul.band.most * one_weighs_g)
    fewest_g, most_g = (tidy(request.engines * one_g) for one_g in by_one_g)
    # A gram is no vehicle: they are counted only where it is known what one weighs.
    vehicle_g = request.one_weighs_g
    if vehicle_g is None:
        return _Hauled(mass_g=(fewest_g, most_g))
    if vehicle_g == one_weighs_g:
        vehicles = haul.band.vehicles(request.engines)
    else:
        vehicles = (int(tidy(fewest_g / vehicle_g)), int(tidy(most_g / vehicle_g)))
    return _Hauled(vehicles=vehicles, mass_g=(fewest_g, most_g))


def _engines_needed(haul: Haul) -> tuple[int | None, int | None]:
    """Return how many engines are needed at the best and at the worst."""
    if haul.wanted is None:
        return None, None
    fewest = engines_needed(haul.wanted, by_one=haul.band.most)
    most = engines_needed(haul.wanted, by_one=haul.band.fewest)
    return fewest, most


def _because(request: HaulageRequest, hauled: _Hauled) -> Iterator[Reason]:
    yield from missing(request)
    if hauled.mass_g is not None and request.is_by_mass:
        yield hauled_mass_reason(
            request.way,
            engines=request.engines,
            mass_g=hauled.mass_g,
            wanted_g=request.mass_g,
        )
    elif hauled.vehicles is not None:
        fewest, most = hauled.vehicles
        yield hauled_reason(
            request.way,
            engines=request.engines,
            fewest=fewest,
            most=most,
            wanted=request.vehicles,
        )


def _tried_percent(request: HaulageRequest) -> float | None:
    """Return the gradient that the strength has the engine's own weight in; None where
    that is taken off.
    """
    if request.trial is not None:
        return request.trial.gradient_percent
    return 0.0 if request.is_counted else None


def _verdict(request: HaulageRequest) -> HaulageVerdict:
    haul = haul_of(request)
    if haul is None:
        return "cannot_tell"
    wanted = haul.wanted or 0.0
    if not exceeds(wanted, limit=request.engines * haul.band.fewest):
        return "hauls"
    if not exceeds(wanted, limit=request.engines * haul.band.most):
        return "marginal"
    return "does_not_haul"


def _instead(request: HaulageRequest, haul: Haul) -> HaulageInstead:
    """Return what would do, each with the verdict that it brings when it is asked
    again.
    """
    vehicles = min(haul.band.vehicles(request.engines)[0], MOST_VEHICLES)
    vehicles_brings = None
    if vehicles:
        vehicles_brings = _verdict(replace(request, vehicles=vehicles))
    more = _more_engines_or_less_gradient(request, haul)
    return HaulageInstead(
        vehicles=vehicles,
        vehicles_brings=vehicles_brings,
        engines=more.engines,
        engines_brings=more.engines_brings,
        gradient_percent=more.gradient_percent,
        gradient_brings=more.gradient_brings,
    )


def _by_mass(request: HaulageRequest, haul: Haul) -> InsteadByMass:
    """Return the same for a train that is asked for by its mass."""
    by_one_g = haul.band.fewest * (haul.one_weighs_g or 1.0)
    mass_g = min(tidy_down(request.engines * by_one_g), MOST_G)
    mass_brings = None
    if mass_g >= LEAST_G:
        mass_brings = _verdict(replace(request, mass_g=mass_g))
    more = _more_engines_or_less_gradient(request, haul)
    return InsteadByMass(
        mass_g=mass_g,
        mass_brings=mass_brings,
        engines=more.engines,
        engines_brings=more.engines_brings,
        gradient_percent=more.gradient_percent,
        gradient_brings=more.gradient_brings,
    )


class _More(NamedTuple):
    """How many engines haul the same for certain, and up what gradient the same engines
    do.
    """

    engines: int | None
    engines_brings: HaulageVerdict | None
    gradient_percent: float | None
    gradient_brings: HaulageVerdict | None


def _more_engines_or_less_gradient(request: HaulageRequest, haul: Haul) -> _More:
    engines_brings = gradient_brings = None
    engines = _engines_advised(request, haul)
    if engines is not None:
        engines_brings = _verdict(replace(request, engines=engines))
    percent = _steepest_advised(request, haul)
    if percent is not None:
        on_percent = replace(
            request,
            gradient_percent=percent,
            gradient_one_in=None,
        )
        gradient_brings = _verdict(on_percent)
    return _More(engines, engines_brings, percent, gradient_brings)


def _engines_advised(request: HaulageRequest, haul: Haul) -> int | None:
    """Return how many engines to advise; None where that is more than can be asked for
    again, or where a trial would then be by as many.
    """
    if request.trial is not None and request.trial.engines is None:
        return None
    _, engines = _engines_needed(haul)
    if engines is not None and engines > MOST_ENGINES:
        return None
    return engines


def _steepest_advised(request: HaulageRequest, haul: Haul) -> float | None:
    """Return the gradient to advise, rounded to the safe side; None where no train is
    asked for.
    """
    by_pull = request.drawbar_pull_g is not None
    is_asked = request.vehicles is not None or request.mass_g is not None
    unweighed = by_pull and request.engine_mass_g is None
    if haul.wanted is None or not is_asked or unweighed:
        return None
    steepest = steepest_hauled_percent(
        haul.power,
        vehicles=haul.wanted,
        engines=request.engines,
        way=request.way,
    )
    if steepest is None:
        return None
    return min(tidy_down(steepest), STEEPEST_ADVISED_PERCENT)


def _assumed(request: HaulageRequest, way: Way) -> Iterator[Assumed]:
    yield assumed_rolling(*ROLLING_PERCENT)
    if request.radius_mm is not None:
        message = (
            f"the curve drags like {way.curve_drag_percent:.2f} %, 0.04 % for each"
            " degree of full-size curve"
        )
        yield Assumed(
            field="curve_drag_percent",
            message=message,
            source="scaled",
            value_percent=tidy(way.curve_drag_percent),
        )
    elif request.curve_drag_percent is None:
        message = "the gradient is straight: no curve's drag is taken off"
        yield Assumed(
            field="curve_drag_percent",
            message=message,
            source="default",
            value_percent=0.0,
        )
    mass_g = request.one_weighs_g
    if request.vehicle_body_length_mm is not None and mass_g is not None:
        yield assumed_mass(mass_g, request.scale)
    yield from _of_the_trial(request)


def _of_the_trial(request: HaulageRequest) -> Iterator[Assumed]:
    trial = request.trial
    if trial is None:
        return
    message = "the stock of the trial is taken to run as freely as that asked about"
    yield Assumed(field="trial", message=message, source="default")
    if trial.engines is None:
        engines = counted(tried_with(request), "engine")
        message = (
            f"the trial is taken to be by {engines}, as many as are asked for: say"
            " engines in trial where they differ"
        )
        yield Assumed(field="trial/engines", message=message, source="default")
    if trial.radius_mm is None:
        message = "the trial is taken to be on straight track, as no radius is given"
        yield Assumed(field="trial/radius_mm", message=message, source="default")
        return
    tried = way_of_trial(trial, ratio=request.ratio)
    if tried is not None:
        drag = tried.curve_drag_percent
        message = (
            f"the trial's curve dragged like {drag:.2f} %, 0.04 % for each degree of"
            " full-size curve"
        )
        yield Assumed(
            field="trial/radius_mm",
            message=message,
            source="scaled",
            value_percent=tidy(drag),
        )


QUESTION = Question(
    id="checkHaulage",
    at="/v1/checks/haulage",
    asks="How many vehicles will an engine haul up a gradient?",
    tells=(
        "A band, never one number: from what it hauls on the level, from a measured"
        " drawbar pull, or from a trial; by number or by mass."
    ),
    request=HaulageRequest,
    answer=HaulageAnswer,
    gather=as_asked,
    reckon=reckon,
    example={"gradient_one_in": 50, "vehicles_on_level": 32, "vehicles": 14},
    refused={"gradient_one_in": 50},
    warns=Shows(
        "percent_or_one_in",
        "gradient_percent",
        {"gradient_percent": 50.0, "gradient_one_in": None},
    ),
)
