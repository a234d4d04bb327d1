"""What the question of haulage is asked, and what it reckons with: engines' strength and
a train, in vehicles or in grams.
"""

from collections.abc import Iterable, Iterator
from typing import Annotated, NamedTuple

from standage.questions.haulage_strength import (
    Engines,
    Grams,
    HaulageTrial,
    Known,
    SizeOfRadius,
    Strength,
    Vehicles,
    mass_of_one_g,
    power_of,
)
from standage.questions.helix import OneIn
from standage.railway.climbs.haulage import Band, Power, Way, band, curve_drag_percent
from standage.railway.terms.figures import (
    GradientPercent,
    Percent,
    says,
)
from standage.railway.terms.reasons import Reason
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
    mass_g: Annotated[
        Grams | None,
        says("What the vehicles weigh together, in grams, instead or as well."),
    ] = None
    trial: Annotated[
        HaulageTrial | None,
        says("What such engines hauled somewhere else; instead of vehicles_on_level."),
    ] = None

    def rules(self) -> Iterable[Fault]:
        """One gradient, one drag, and one measure of strength, each with what it
        needs.
        """
        yield from self.one_of(("gradient_percent", "gradient_one_in"), needed=True)
        yield from super().rules()
        yield from self.one_of(("curve_drag_percent", "radius_mm"), needed=False)
        tried_on_mm = None if self.trial is None else self.trial.radius_mm
        is_curved = self.radius_mm is not None or tried_on_mm is not None
        if is_curved and self.scale is None:
            yield Fault(
                code="missing",
                message="scale is needed to know the curve's drag",
                pointer="/scale",
            )
        if self.vehicles is not None and self.mass_g is not None:
            yield from self._mass_said_twice()

    def _mass_said_twice(self) -> Iterable[Fault]:
        for field in ("vehicle_mass_g", "vehicle_body_length_mm"):
            if getattr(self, field) is not None:
                message = "leave it out: vehicles and mass_g say what one weighs"
                yield Fault(
                    code="one_or_the_other", message=message, pointer=f"/{field}"
                )

    def in_it_already(self) -> tuple[str, ...]:
        """A trial has the engine in it, and a mass that is asked for needs that of a
        vehicle.
        """
        if self.trial is not None:
            return ("engine_mass_g",)
        if self.mass_g is not None and self.vehicles_on_level is not None:
            return ("engine_mass_g",)
        return super().in_it_already()

    @property
    def way(self) -> Way:
        """What is to be hauled up."""
        percent = self.gradient_percent
        if self.gradient_one_in is not None:
            percent = 100 / self.gradient_one_in
        drag = self.curve_drag_percent or 0.0
        if self.radius_mm is not None and self.ratio is not None:
            drag = curve_drag_percent(self.radius_mm, ratio=self.ratio)
        return Way(
            gradient_percent=percent or 0.0,
            curve_drag_percent=drag,
        )

    @property
    def ratio(self) -> float | None:
        """The scale's."""
        if self.scale is None:
            return None
        return scale(self.scale).ratio

    @property
    def one_weighs_g(self) -> float | None:
        """What a vehicle weighs: as given or by its body, else its share of all."""
        given_g = mass_of_one_g(self)
        if given_g is not None or self.mass_g is None or self.vehicles is None:
            return given_g
        return self.mass_g / self.vehicles

    @property
    def is_counted(self) -> bool:
        """Whether the strength is a number of vehicles, whatever they weigh."""
        if self.trial is None:
            return self.vehicles_on_level is not None
        return self.trial.vehicles is not None

    @property
    def is_by_mass(self) -> bool:
        """Whether a mass is what the train is judged by."""
        if self.mass_g is None:
            return self._is_tried_by_mass and self.vehicles is None
        return self.vehicles is None or not self.is_counted

    @property
    def _is_tried_by_mass(self) -> bool:
        """Whether a trial is all that is known, and only as a mass."""
        if self.trial is None or self.trial.mass_g is None:
            return False
        return self.one_weighs_g is None


class Haul(NamedTuple):
    """What engines haul, and what they are to haul, both in vehicles; or both in grams,
    where one vehicle weighs a gram. ``wanted`` is None where nothing is asked for.
    """

    power: Power
    band: Band
    one_weighs_g: float | None
    wanted: float | None


def haul_of(request: HaulageRequest) -> Haul | None:
    """Return what a request reckons with; None where something that it needs was not
    measured.
    """
    if any(missing(request)):
        return None
    counts_grams = request.is_by_mass and not request.is_counted
    one_weighs_g = 1.0 if counts_grams else request.one_weighs_g
    engine_g = request.engine_mass_g
    trial = request.trial
    known = Known(
        vehicle_g=one_weighs_g,
        # on the level it lifts nothing, whatever it weighs
        engine_g=0.0 if engine_g is None else engine_g,
        ratio=request.ratio,
        trial_engines=tried_with(request),
    )
    power = power_of(request, trial, known)
    if power is None:
        return None
    return Haul(
        power=power,
        band=band(power, way=request.way),
        one_weighs_g=one_weighs_g,
        wanted=_wanted(request, one_weighs_g),
    )


def tried_with(request: HaulageRequest) -> int:
    """Return how many engines a trial was with: as said, else as many as are asked
    for.
    """
    if request.trial is None:
        return request.engines
    return request.trial.engines or request.engines


def _wanted(request: HaulageRequest, one_weighs_g: float | None) -> float | None:
    if not request.is_by_mass:
        return float(request.vehicles or 1)
    if request.mass_g is None or one_weighs_g is None:
        return None
    return request.mass_g / one_weighs_g


def missing(request: HaulageRequest) -> Iterator[Reason]:
    """Yield what must be measured before anything is told; an engine's mass counts on a
    gradient only.
    """
    by_pull = request.drawbar_pull_g is not None
    climbs = request.way.gradient_percent > 0
    if by_pull and climbs and request.engine_mass_g is None:
        message = "the engine lifts its own weight too: weigh the engine"
        yield Reason(code="mass_unknown", message=message, field="engine_mass_g")
    if request.one_weighs_g is not None or request.is_by_mass != request.is_counted:
        return
    message = (
        "nobody knows what a vehicle weighs: weigh one, or say how many the engine"
        " hauls on the level"
    )
    if request.is_counted:
        message = (
            "nobody knows what a vehicle weighs: weigh one, or say how many vehicles the"
            " engine is to haul"
        )
    elif request.trial is not None:
        message = (
            "nobody knows what a vehicle weighs: weigh one, or say what all of them"
            " weigh together"
        )
    yield Reason(code="mass_unknown", message=message, field="vehicle_mass_g")
