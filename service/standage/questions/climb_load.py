"""What engines haul on a climb: their strength, and a train that vehicles come off."""

from collections.abc import Iterable, Iterator, Sequence
from typing import Annotated, NamedTuple

from standage.questions.haulage_strength import (
    Engines,
    HaulageTrial,
    Known,
    Strength,
    Vehicles,
    assumed_mass,
    assumed_rolling,
    mass_of_one_g,
    power_of,
)
from standage.questions.moved_train import ENGINES, KnownTrain, TrainCase
from standage.railway.climbs.haulage import (
    ROLLING_PERCENT,
    Power,
)
from standage.railway.stock.coupled import Coupled, Member, coupled
from standage.railway.stock.couplings import coupling_types
from standage.railway.stock.vehicles import KEPT_KINDS
from standage.railway.terms.figures import (
    agreeing,
    counted,
    millimetres,
    says,
)
from standage.railway.terms.reasons import Assumed, Reason
from standage.railway.terms.scales import ScaleName, scale


class ClimbTrial(HaulageTrial, frozen=True, kw_only=True):
    """The most that such engines took up somewhere else."""

    engines: Engines = 1


class Hauling(Strength, frozen=True, kw_only=True):
    """Engines, and what they are to haul."""

    trial: ClimbTrial | None = None
    engines: Annotated[
        Engines | None, says("Like engines; those of the train if not said.")
    ] = None
    vehicles: Annotated[
        Vehicles | None, says("Like vehicles; those of the train, or one, if not said.")
    ] = None


class Load(NamedTuple):
    """A train as its engines haul it: by its vehicles, or by its length alone.

    ``of_vehicles_mm`` is how much of its length its vehicles make up; they are
    ``is_counted`` where it is known how many they are. ``made_up_of`` are the
    engines and the vehicles that a train of vehicles has of its own.
    """

    engines: int
    vehicles: int
    is_counted: bool
    length_mm: float
    train: Coupled | None
    of_vehicles_mm: float
    hauling: Hauling | None
    scale: ScaleName | None
    made_up_of: tuple[int, int] | None = None

    @property
    def most_off(self) -> int:
        """How many can come off so that one is left to haul, and never an engine nor a
        brake van.
        """
        if not self.is_counted:
            return 0
        if self.train is None:
            return self.vehicles - 1
        return min(self.vehicles - 1, len(_that_come_off(self.train)))

    def without(self, off: int) -> "Load | None":
        """Return the train once so many came off, the last of them first; None where
        its length is then not known.
        """
        left = self.vehicles - off
        if self.train is None:
            share = left / self.vehicles
            kept_mm = self.length_mm - self.of_vehicles_mm * (1 - share)
            return self._replace(
                vehicles=left,
                length_mm=kept_mm,
                of_vehicles_mm=self.of_vehicles_mm * share,
            )
        dropped = _that_come_off(self.train)[:off]
        train = self.train.without(frozenset(dropped)) if off else self.train
        length_mm = train.pulled_out().length_mm
        if length_mm is None:
            return None
        return self._replace(vehicles=left, length_mm=length_mm, train=train)

    @property
    def hauled(self) -> tuple[Member, ...]:
        """The vehicles of the train that do not drive themselves."""
        if self.train is None:
            return ()
        return tuple(
            one for one in self.train.members if one.vehicle.kind not in ENGINES
        )

    def mass_of_one_g(self) -> float | None:
        """Return what a vehicle weighs: as given, else the mean of the train's."""
        if self.hauling is None:
            return None
        given_g = mass_of_one_g(self.hauling, scale=self.scale)
        return given_g if given_g is not None else _mean_mass_g(self.hauled)

    def mass_of_engine_g(self) -> float | None:
        """Return what an engine weighs: as given, else the mean of the train's."""
        if self.hauling is None:
            return None
        if self.hauling.engine_mass_g is not None:
            return self.hauling.engine_mass_g
        members = () if self.train is None else self.train.members
        return _mean_mass_g([one for one in members if one.vehicle.kind in ENGINES])

    def power(self) -> Power | None:
        """Return what one engine hauls; None where something must be measured first."""
        hauling = self.hauling
        if hauling is None:
            return None
        trial = hauling.trial
        known = Known(
            vehicle_g=self.mass_of_one_g(),
            engine_g=self.mass_of_engine_g(),
            ratio=self._ratio,
            trial_engines=1 if trial is None else trial.engines,
        )
        return power_of(hauling, trial, known)

    @property
    def _ratio(self) -> float | None:
        return None if self.scale is None else scale(self.scale).ratio

    @property
    def tried_percent(self) -> float | None:
        """The gradient that what is known of the engine has its own weight in; None
        where that is taken off.
        """
        hauling = self.hauling
        if hauling is None or hauling.drawbar_pull_g is not None:
            return None
        return 0.0 if hauling.trial is None else hauling.trial.gradient_percent

    def missing(self) -> Iterator[Reason]:
        """Yield what must be measured before anything can be told of hauling."""
        hauling = self.hauling
        if hauling is None:
            message = (
                "what the engine hauls is not known: say in haulage how many vehicles on"
                " the level, its pull, or a trial"
            )
            yield Reason(code="missing_figure", message=message, field="haulage")
            return
        by_mass = hauling.drawbar_pull_g is not None
        if hauling.trial is not None:
            by_mass = hauling.trial.mass_g is not None
            if hauling.trial.radius_mm is not None and self._ratio is None:
                message = (
                    "the plan gives no scale: say in haulage in which it was tried"
                )
                yield Reason(code="missing_figure", message=message, field="scale")
        if hauling.drawbar_pull_g is not None and self.mass_of_engine_g() is None:
            message = "the engine lifts its own weight too: weigh the engine"
            yield Reason(code="mass_unknown", message=message, field="engine_mass_g")
        if by_mass and self.mass_of_one_g() is None:
            message = (
                "nobody knows what a vehicle weighs: weigh one, or say how many the engine"
                " hauls on the level"
            )
            yield Reason(code="mass_unknown", message=message, field="vehicle_mass_g")

    def assumed(self) -> Iterator[Assumed]:
        """Yield what is taken of the load that nobody gave."""
        hauling = self.hauling
        if hauling is None:
            return
        yield assumed_rolling(*ROLLING_PERCENT)
        yield from _beside_the_train(self)
        mass_g = mass_of_one_g(hauling, scale=self.scale)
        if hauling.vehicle_mass_g is None and mass_g is not None:
            yield assumed_mass(mass_g, hauling.scale or self.scale)
        if not self.is_counted:
            message = "how many vehicles there are is not said: it is asked for one"
            yield Assumed(field="haulage/vehicles", message=message, source="default")
        elif self.train is None:
            each_mm = self.of_vehicles_mm / self.vehicles
            message = (
                f"the train is {millimetres(each_mm)} shorter for each vehicle that"
                " comes off"
            )
            if self.of_vehicles_mm == 0:
                message = "all of the train's length is its engine, none its vehicles'"
            yield Assumed(
                field="vehicles_off",
                message=message,
                source="default",
                value_mm=each_mm,
            )


def _beside_the_train(load: Load) -> Iterator[Assumed]:
    """Yield where other engines or vehicles count than the train is made up of."""
    if load.made_up_of is None:
        return
    engines, vehicles = load.made_up_of
    if load.engines != engines:
        hauling = counted(load.engines, "engine")
        are = agreeing(load.engines, "is", "are")
        message = (
            f"{hauling} {are} taken to haul it, and the train itself has {engines}: its"
            " length stays"
        )
        yield Assumed(field="haulage/engines", message=message, source="default")
    if load.is_counted and load.vehicles != vehicles:
        message = (
            f"the train is made up of {counted(vehicles, 'vehicle')} behind its engine,"
            f" and haulage says {load.vehicles}: that counts"
        )
        yield Assumed(field="haulage/vehicles", message=message, source="default")


def _that_come_off(train: Coupled) -> list[int]:
    """Return the places of the vehicles that may come off, the last one first."""
    kept = KEPT_KINDS | ENGINES
    places = [
        place for place, one in enumerate(train.members) if one.vehicle.kind not in kept
    ]
    return places[::-1]


def _engines(kinds: Sequence[str | None]) -> int:
    """Return how many engines a train has; railcars, and cars of a unit, are one."""
    return kinds.count("engine") or int(not ENGINES.isdisjoint(kinds))


def _mean_mass_g(members: Iterable[Member]) -> float | None:
    masses_g = [one.vehicle.mass_g for one in members]
    known_g = [mass_g for mass_g in masses_g if mass_g is not None]
    if not known_g or len(known_g) < len(masses_g):
        return None
    return sum(known_g) / len(known_g)


def load_of(
    case: TrainCase, known: KnownTrain, hauling: Hauling | None, model: ScaleName | None
) -> Load | None:
    """Return a train as its engines haul it; None where its length is not known."""
    if known.length_mm is None:
        return None
    train: Coupled | None = None
    engines = 1
    vehicles: int | None = None
    made_up_of: tuple[int, int] | None = None
    if case.train is not None:
        train = coupled(case.train, types=coupling_types(case.types))
        kinds = [one.vehicle.kind for one in train.members]
        engines = max(1, _engines(kinds))
        vehicles = sum(kind not in ENGINES for kind in kinds)
        made_up_of = (_engines(kinds), vehicles)
    if hauling is not None:
        engines = hauling.engines or engines
        vehicles = hauling.vehicles or vehicles
        model = hauling.scale or model
    # A light engine is asked what it would haul of one vehicle.
    count = vehicles or 1
    of_vehicles_mm = known.length_mm - (known.engine_mm or 0.0)
    if known.engine_mm is None:
        # the engines are taken to be as long as vehicles
        of_vehicles_mm *= count / (count + engines)
    return Load(
        engines=engines,
        vehicles=count,
        is_counted=bool(vehicles),
        length_mm=known.length_mm,
        train=train,
        of_vehicles_mm=of_vehicles_mm,
        hauling=hauling,
        scale=model,
        made_up_of=made_up_of,
    )
