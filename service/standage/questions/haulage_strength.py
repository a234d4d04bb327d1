"""What is known of an engine's strength, as questions about hauling ask for it."""

from collections.abc import Iterable, Iterator
from typing import Annotated, ClassVar, NamedTuple

import msgspec

from standage.railway.climbs.haulage import (
    Power,
    Pull,
    Trial,
    Way,
    curve_drag_percent,
)
from standage.railway.published.nmra_rp_20_1 import NEAREST_ROW, recommended_mass_g
from standage.railway.terms.figures import LONGEST_MM, GradientPercent, says
from standage.railway.terms.reasons import Assumed
from standage.railway.terms.scales import ScaleName
from standage.railway.terms.senses import sense
from standage.shapes.faults import Fault, Ruled

MOST_VEHICLES = 10_000
MOST_ENGINES = 20
Vehicles = Annotated[
    int, msgspec.Meta(ge=1, le=MOST_VEHICLES, description="So many like vehicles.")
]
Engines = Annotated[
    int, msgspec.Meta(ge=1, le=MOST_ENGINES, description="So many like engines.")
]
LEAST_G, MOST_G = 0.1, 1_000_000.0
Grams = Annotated[float, msgspec.Meta(ge=LEAST_G, le=MOST_G, description="In grams.")]
Size = Annotated[
    float, msgspec.Meta(ge=1, le=LONGEST_MM, description="In millimetres.")
]
SizeOfRadius = Annotated[Size, sense("radius")]

PULL_ONLY = ("engine_mass_g", "vehicle_mass_g", "vehicle_body_length_mm")


class HaulageTrial(Ruled, frozen=True, kw_only=True):
    """The most that such engines took up somewhere else."""

    vehicles: Vehicles | None = None
    mass_g: Annotated[
        Grams | None, says("What they weighed together, instead, in grams.")
    ] = None
    engines: Annotated[
        Engines | None,
        says("How many such engines; as many as are asked for if not said."),
    ] = None
    gradient_percent: GradientPercent
    radius_mm: SizeOfRadius | None = None

    def rules(self) -> Iterable[Fault]:
        """Either a number of vehicles or their mass."""
        if (self.vehicles is None) == (self.mass_g is None):
            message = "give vehicles or mass_g: what was hauled?"
            yield Fault(code="one_or_the_other", message=message, pointer="/vehicles")


class Strength(Ruled, frozen=True, kw_only=True):
    """What one engine hauls, by one of several ways to find that out."""

    measures: ClassVar[tuple[str, ...]] = (
        "vehicles_on_level",
        "drawbar_pull_g",
        "trial",
    )
    scale: Annotated[
        ScaleName | None, says("The scale of the engine and the vehicles.")
    ] = None
    vehicles_on_level: Annotated[
        Vehicles | None,
        says("How many of the vehicles one engine hauls on level, straight track."),
    ] = None
    drawbar_pull_g: Annotated[
        Grams | None,
        says(
            "One engine's pull on a spring balance on the level, in grams; instead of"
            " vehicles_on_level."
        ),
    ] = None
    engine_mass_g: Annotated[
        Grams | None, says("One engine's mass, in grams; goes with drawbar_pull_g.")
    ] = None
    vehicle_mass_g: Annotated[
        Grams | None, says("One vehicle's mass, in grams; goes with drawbar_pull_g.")
    ] = None
    vehicle_body_length_mm: Annotated[
        Annotated[Size, sense("vehicle_length")] | None,
        says(
            "One vehicle's body, in mm, where nobody weighed it; goes with"
            " drawbar_pull_g and scale."
        ),
    ] = None

    def rules(self) -> Iterable[Fault]:
        """One measure of strength, with what it needs."""
        yield from self.one_of(self.measures, needed=True)
        yield from self.one_of(
            ("vehicle_mass_g", "vehicle_body_length_mm"), needed=False
        )
        for field in self.in_it_already():
            if getattr(self, field) is not None:
                message = (
                    "goes with drawbar_pull_g: what was hauled has the masses in it"
                    " already"
                )
                yield Fault(
                    code="one_or_the_other", message=message, pointer=f"/{field}"
                )

    def in_it_already(self) -> tuple[str, ...]:
        """Return the fields that say nothing beside how the strength is measured."""
        return () if self.vehicles_on_level is None else PULL_ONLY

    def one_of(self, fields: tuple[str, ...], *, needed: bool) -> Iterator[Fault]:
        """Yield a fault where more than one of some fields is given, or none that is
        needed.
        """
        given = [field for field in fields if getattr(self, field) is not None]
        if len(given) > 1:
            *others, last = given
            yield Fault(
                code="one_or_the_other",
                message=f"give {others[0]} or {last}, not both",
                pointer=f"/{last}",
            )
        elif needed and not given:
            yield Fault(
                code="missing",
                message=f"give {' or '.join(fields)}",
                pointer=f"/{fields[0]}",
            )


class Known(NamedTuple):
    """What is known of engines and of what they haul: masses in grams, the scale's
    ratio, and how many engines a trial was with. A gram may be taken for a vehicle.
    """

    vehicle_g: float | None
    engine_g: float | None
    ratio: float | None
    trial_engines: int


def power_of(
    strength: Strength, trial: HaulageTrial | None, known: Known
) -> Power | None:
    """Return what one engine hauls of the vehicles; None where something must be
    measured first.
    """
    if strength.vehicles_on_level is not None:
        return float(strength.vehicles_on_level)
    if trial is not None:
        return _by_trial(trial, known)
    pull_g = strength.drawbar_pull_g
    if pull_g is None or known.vehicle_g is None or known.engine_g is None:
        return None
    return Pull(
        drawbar_pull_g=pull_g,
        engine_mass_g=known.engine_g,
        vehicle_mass_g=known.vehicle_g,
    )


def _by_trial(trial: HaulageTrial, known: Known) -> Trial | None:
    way = way_of_trial(trial, ratio=known.ratio)
    if way is None:
        return None
    if trial.vehicles is not None:
        return Trial(vehicles=trial.vehicles / known.trial_engines, way=way)
    if known.vehicle_g is None or trial.mass_g is None:
        return None
    by_mass = trial.mass_g / known.vehicle_g
    return Trial(vehicles=by_mass / known.trial_engines, way=way)


def way_of_trial(trial: HaulageTrial, *, ratio: float | None) -> Way | None:
    """Return what a trial was hauled over; None where its curve is of no known
    scale.
    """
    drag = 0.0
    if trial.radius_mm is not None:
        if ratio is None:
            return None
        drag = curve_drag_percent(trial.radius_mm, ratio=ratio)
    return Way(
        gradient_percent=trial.gradient_percent,
        curve_drag_percent=drag,
    )


def mass_of_one_g(
    strength: Strength, *, scale: ScaleName | None = None
) -> float | None:
    """Return what a vehicle weighs as it is given, or by its body's length in a scale
    where that is; None where neither is known.
    """
    model = strength.scale or scale
    if strength.vehicle_mass_g is not None:
        return strength.vehicle_mass_g
    if strength.vehicle_body_length_mm is None or model is None:
        return None
    row = NEAREST_ROW.get(model, model)
    return recommended_mass_g(strength.vehicle_body_length_mm, scale=row)


def assumed_mass(mass_g: float, model: ScaleName | None) -> Assumed:
    """Return what a vehicle is taken to weigh by its body's length in a scale."""
    message = (
        f"a vehicle is taken to weigh {mass_g:.0f} g, what NMRA RP-20.1 recommends for"
        " its length"
    )
    if model in NEAREST_ROW:
        message += f" in {NEAREST_ROW[model]}, the size of the sheet that is nearest"
    return Assumed(
        field="vehicle_mass_g",
        message=message,
        source="typical",
        value=f"{mass_g:.1f}",
    )


def assumed_rolling(lowest: float, highest: float) -> Assumed:
    """Return what the rolling resistance of vehicles is taken to be."""
    return Assumed(
        field="rolling_resistance_percent",
        message=(
            f"on level, straight track a vehicle takes {lowest:g} to {highest:g} % of"
            " its weight to move"
        ),
        source="common_practice",
    )
