"""A climb judged: whether the engines take the train up, and what would do."""

from collections.abc import Iterator
from typing import NamedTuple

from standage.questions.climb_answer import ClimbHaulage, ClimbVerdict
from standage.questions.climb_load import Load
from standage.questions.climb_words import Way
from standage.questions.haulage_answer import cautions, hauled_reason
from standage.questions.haulage_strength import MOST_ENGINES
from standage.railway.climbs.hardest import HardestBand, HaulingOver, hardest_band
from standage.railway.climbs.haulage import ROLLING_PERCENT, engines_needed
from standage.railway.climbs.profile import Between, Profile
from standage.railway.terms.figures import counted, millimetres, tidy
from standage.railway.terms.reasons import Assumed, Reason

MOST_OFF = 400
"""So many vehicles are taken off, one after the other, to see whether that helps."""


class Over(NamedTuple):
    """A train on its way: what is told of it, how the way rises and how it drags."""

    way: Way
    rises: Profile
    drags: Profile
    from_mm: float
    to_mm: float

    def run(self, train_mm: float) -> Between:
        """Return the places of a train's head while all of it is on the way."""
        return Between(train_mm, self.from_mm + train_mm, self.to_mm)

    def hauling(self, train_mm: float) -> HaulingOver:
        """Return what a train of some length is hauled over."""
        return HaulingOver(self.rises, self.drags, self.run(train_mm))


class Judged(NamedTuple):
    """What engines haul over a way, and what would do."""

    verdict: ClimbVerdict
    found: HardestBand
    fewest: int
    most: int
    off: Load | None
    engines_needed: int | None


def judged_climb(over: Over, load: Load) -> Judged | None:
    """Return whether a train is hauled up; None where the engines are not known."""
    power = load.power()
    if power is None:
        return None
    found = hardest_band(power, over.hauling(load.length_mm))
    fewest, most = found.band.vehicles(load.engines)
    verdict: ClimbVerdict = "does_not_climb"
    if load.vehicles <= fewest:
        verdict = "climbs"
    elif load.vehicles <= most:
        verdict = "marginal"
    needed = engines_needed(load.vehicles, by_one=found.band.fewest)
    if needed is not None and needed > MOST_ENGINES:
        # more than can be asked for again
        needed = None
    return Judged(verdict, found, fewest, most, _that_climbs(over, load), needed)


def _that_climbs(over: Over, load: Load) -> Load | None:
    """Return the train with the fewest vehicles off that climbs for certain; None where
    none does. A shorter train may feel more, so that each is looked at.
    """
    for off in range(min(load.most_off, MOST_OFF) + 1):
        lighter = load.without(off)
        power = None if lighter is None else lighter.power()
        if lighter is None or power is None:
            return None
        found = hardest_band(power, over.hauling(lighter.length_mm))
        fewest, _ = found.band.vehicles(load.engines)
        if lighter.vehicles <= fewest:
            return lighter
    return None


def vehicles_off(load: Load, judged: Judged | None) -> int | None:
    """Return how many come off so that it climbs for certain; None for no number."""
    if judged is None or judged.off is None:
        return None
    return load.vehicles - judged.off.vehicles


def told_haulage(over: Over, load: Load, judged: Judged | None) -> ClimbHaulage | None:
    """Return how many are hauled where that is hardest."""
    if judged is None:
        return None
    there = judged.found.worst
    return ClimbHaulage(
        position=over.way.position(there.head_mm),
        gradient_percent=tidy(there.way.gradient_percent),
        curve_drag_percent=tidy(there.way.curve_drag_percent),
        rolling_resistance_percent=ROLLING_PERCENT,
        engines=load.engines,
        vehicles=load.vehicles,
        vehicles_fewest=judged.fewest,
        vehicles_most=judged.most,
    )


def judged_reasons(load: Load, judged: Judged | None) -> Iterator[Reason]:
    """Yield how many are hauled where it is hardest, and what would do."""
    yield from load.missing()
    if judged is None:
        return
    yield hauled_reason(
        judged.found.worst.way,
        engines=load.engines,
        fewest=judged.fewest,
        most=judged.most,
        wanted=load.vehicles,
    )
    if judged.verdict == "climbs":
        return
    if judged.off is not None:
        off = load.vehicles - judged.off.vehicles
        left_mm = judged.off.length_mm
        message = (
            f"with {counted(off, 'vehicle')} fewer, and {millimetres(left_mm)} long, it"
            " climbs for certain"
        )
        yield Reason(
            code="vehicles_off",
            message=message,
            value_mm=tidy(left_mm),
            brings="climbs",
        )
    if judged.engines_needed is not None:
        engines = counted(judged.engines_needed, "like engine")
        message = f"{engines} in all take the train up for certain"
        yield Reason(code="engines_needed", message=message, brings="climbs")
    if judged.off is None and judged.engines_needed is None:
        message = (
            f"neither up to {MOST_ENGINES} such engines nor as many vehicles fewer as may"
            " come off do for certain: ease gradients and curves"
        )
        yield Reason(code="nothing_helps", message=message)


def judged_assumed(load: Load, judged: Judged | None) -> Iterator[Assumed]:
    """Yield that engines which are advised make the train no longer."""
    if _engines_told(load, judged) > load.engines:
        message = (
            "engines that are added are taken to make the train no longer: ask again with"
            " its new length"
        )
        yield Assumed(field="engines_needed", message=message, source="default")


def _engines_told(load: Load, judged: Judged | None) -> int:
    """Return how many engines haul, or are to haul."""
    if judged is None or judged.verdict == "climbs":
        return load.engines
    return max(load.engines, judged.engines_needed or 0)


def judged_cautions(load: Load, judged: Judged | None) -> Iterator[Reason]:
    """Yield what the figures of hauling leave out."""
    if judged is None:
        return
    yield from cautions(
        judged.found.worst.way,
        engines=_engines_told(load, judged),
        tried_percent=load.tried_percent,
    )
