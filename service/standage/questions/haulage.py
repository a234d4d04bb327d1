"""How many vehicles engines take up a gradient, and how many engines a train needs: a
band, never one number.
"""

from collections.abc import Iterable, Iterator
from typing import Annotated

from msgspec.structs import replace

from standage.questions.gradient import OneIn
from standage.questions.haulage_answer import (
    HaulageAnswer,
    HaulageInstead,
    HaulageVerdict,
    cautions,
    hauled_reason,
)
from standage.questions.haulage_strength import (
    MOST_ENGINES,
    MOST_VEHICLES,
    Engines,
    SizeOfRadius,
    Strength,
    Vehicles,
    assumed_mass,
    assumed_rolling,
    mass_of_one_g,
)
from standage.questions.question import Question, Shows, as_asked
from standage.questions.reckoning import warned
from standage.railway.climbs.gradients import one_in
from standage.railway.climbs.haulage import (
    ROLLING_PERCENT,
    STEEPEST_ADVISED_PERCENT,
    Band,
    Pull,
    Way,
    band,
    curve_drag_percent,
    engines_needed,
    steepest_hauled_percent,
)
from standage.railway.terms.figures import (
    GradientPercent,
    Percent,
    says,
    tidy,
    tidy_down,
    tidy_if_known,
)
from standage.railway.terms.reasons import Assumed, Reason
from standage.railway.terms.scales import scale
from standage.shapes.faults import Fault


class HaulageRequest(Strength, frozen=True, kw_only=True):
    """An engine, what is known of its strength, and the way that it is to haul up."""

    gradient_percent: Annotated[
        GradientPercent | None, says("The gradient that the train feels, in per cent.")
    ] = None
    gradient_one_in: Annotated[
        OneIn | None, says("The same as 1 in so many, instead.")
    ] = None
    curve_drag_percent: Annotated[
        Percent | None,
        says(
            "What curves add, as a gradient in per cent; 0 if neither it nor a radius"
            " is given."
        ),
    ] = None
    radius_mm: Annotated[
        SizeOfRadius | None,
        says("The curve on the gradient, for its drag, in mm; needs scale."),
    ] = None
    engines: Annotated[Engines, says("How many like engines haul together.")] = 1
    vehicles: Annotated[
        Vehicles | None,
        says("How many vehicles they are to haul; at least one if not said."),
    ] = None

    def rules(self) -> Iterable[Fault]:
        """One gradient, one drag, and one measure of strength, each with what it
        needs.
        """
        yield from self.one_of(("gradient_percent", "gradient_one_in"), needed=True)
        yield from super().rules()
        yield from self.one_of(("curve_drag_percent", "radius_mm"), needed=False)
        if self.radius_mm is not None and self.scale is None:
            yield Fault(
                code="missing",
                message="scale is needed to know the curve's drag",
                pointer="/scale",
            )


@warned
def reckon(request: HaulageRequest) -> HaulageAnswer:
    """Return what the engines of ``request`` haul; a missing mass is named and nothing
    is made up for an engine.
    """
    way = _way(request)
    basis = _known_basis(request, way)
    because = tuple(_missing(request, way))
    fewest = most = needed_fewest = needed_most = instead = None
    if basis is not None:
        hauled = band(basis, way=way)
        wanted = request.vehicles or 1
        fewest, most = hauled.vehicles(request.engines)
        needed_fewest = engines_needed(wanted, by_one=hauled.most)
        needed_most = engines_needed(wanted, by_one=hauled.fewest)
        instead = _instead(request, way, basis, hauled)
    if not because:
        because = (
            hauled_reason(
                way,
                engines=request.engines,
                fewest=fewest or 0,
                most=most or 0,
                wanted=request.vehicles,
            ),
        )
    by_count = request.vehicles_on_level is not None
    return HaulageAnswer(
        verdict=_verdict(request),
        gradient_percent=tidy(way.gradient_percent),
        gradient_one_in=_one_in(way),
        curve_drag_percent=tidy(way.curve_drag_percent),
        rolling_resistance_percent=ROLLING_PERCENT,
        vehicles_fewest=fewest,
        vehicles_most=most,
        engines_needed_fewest=needed_fewest,
        engines_needed_most=needed_most,
        because=because,
        assumed=tuple(_assumed(request, way)),
        cautions=tuple(cautions(way, engines=request.engines, by_count=by_count)),
        instead=instead,
    )


def _known_basis(request: HaulageRequest, way: Way) -> float | Pull | None:
    """Return what the engines' power is reckoned from; None where something that it
    needs was not measured.
    """
    if any(_missing(request, way)):
        return None
    return _basis(request)


def _way(request: HaulageRequest) -> Way:
    percent = request.gradient_percent
    if request.gradient_one_in is not None:
        percent = 100 / request.gradient_one_in
    drag = request.curve_drag_percent or 0.0
    if request.radius_mm is not None and request.scale is not None:
        drag = curve_drag_percent(request.radius_mm, ratio=scale(request.scale).ratio)
    return Way(
        gradient_percent=percent or 0.0,
        curve_drag_percent=drag,
    )


def _one_in(way: Way) -> float | None:
    return tidy_if_known(one_in(way.gradient_percent))


def _missing(request: HaulageRequest, way: Way) -> Iterator[Reason]:
    """Yield what must be measured before a pull says anything; an engine's mass counts
    on a gradient only.
    """
    if request.drawbar_pull_g is None:
        return
    if request.engine_mass_g is None and way.gradient_percent > 0:
        message = "the engine lifts its own weight too: weigh the engine"
        yield Reason(code="mass_unknown", message=message, field="engine_mass_g")
    if mass_of_one_g(request) is None:
        message = (
            "nobody knows what a vehicle weighs: weigh one, or say how many the engine"
            " hauls on the level"
        )
        yield Reason(code="mass_unknown", message=message, field="vehicle_mass_g")


def _basis(request: HaulageRequest) -> float | Pull | None:
    if request.vehicles_on_level is not None:
        return float(request.vehicles_on_level)
    vehicle_mass_g = mass_of_one_g(request)
    if request.drawbar_pull_g is None or vehicle_mass_g is None:
        return None
    return Pull(
        drawbar_pull_g=request.drawbar_pull_g,
        engine_mass_g=request.engine_mass_g or 0.0,
        vehicle_mass_g=vehicle_mass_g,
    )


def _verdict(request: HaulageRequest) -> HaulageVerdict:
    way = _way(request)
    basis = _known_basis(request, way)
    if basis is None:
        return "cannot_tell"
    fewest, most = band(basis, way=way).vehicles(request.engines)
    wanted = request.vehicles or 1
    if wanted <= fewest:
        return "hauls"
    if wanted <= most:
        return "marginal"
    return "does_not_haul"


def _instead(
    request: HaulageRequest, way: Way, basis: float | Pull, hauled: Band
) -> HaulageInstead:
    """Return what would do, each with the verdict that it brings when it is asked
    again.
    """
    vehicles = min(hauled.vehicles(request.engines)[0], MOST_VEHICLES)
    vehicles_brings = engines_brings = gradient_brings = None
    if vehicles:
        vehicles_brings = _verdict(replace(request, vehicles=vehicles))
    engines = engines_needed(request.vehicles or 1, by_one=hauled.fewest)
    if engines is not None and engines > MOST_ENGINES:
        # more than can be asked for again
        engines = None
    if engines is not None:
        engines_brings = _verdict(replace(request, engines=engines))
    percent = _steepest_advised(request, way, basis)
    if percent is not None:
        on_percent = replace(
            request,
            gradient_percent=percent,
            gradient_one_in=None,
        )
        gradient_brings = _verdict(on_percent)
    return HaulageInstead(
        vehicles=vehicles,
        vehicles_brings=vehicles_brings,
        engines=engines,
        engines_brings=engines_brings,
        gradient_percent=percent,
        gradient_brings=gradient_brings,
    )


def _steepest_advised(
    request: HaulageRequest, way: Way, basis: float | Pull
) -> float | None:
    """Return the gradient to advise, rounded to the safe side; None where no vehicles
    are asked for.
    """
    unweighed = isinstance(basis, Pull) and request.engine_mass_g is None
    if request.vehicles is None or unweighed:
        return None
    steepest = steepest_hauled_percent(
        basis,
        vehicles=request.vehicles,
        engines=request.engines,
        way=way,
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
    mass_g = mass_of_one_g(request)
    if request.vehicle_mass_g is None and mass_g is not None:
        yield assumed_mass(mass_g)


QUESTION = Question(
    id="checkHaulage",
    at="/v1/checks/haulage",
    asks="How many vehicles will an engine haul up a gradient?",
    tells=(
        "A band, never one number: from what it hauls on the level or from a measured"
        " drawbar pull."
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
