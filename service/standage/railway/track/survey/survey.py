"""Everything that follows from a plan, reckoned once."""

from collections.abc import Iterator
from itertools import islice

import msgspec

from standage.railway.track.fouling.fouling import FoulingPoint, Rules, fouling_points
from standage.railway.track.fouling.spacings import LargestStock, Spacing, spacing_of
from standage.railway.track.network.heights import Heights, heights
from standage.railway.track.network.network import Network, network
from standage.railway.track.placing.circuits import Closures, closures
from standage.railway.track.placing.footprint import Footprint, footprint
from standage.railway.track.placing.placing import Placing, placing
from standage.railway.track.plans.plan import Plan
from standage.railway.track.plans.plan_faults import each_fault
from standage.railway.track.roads.limits import Usable, usable_lengths
from standage.railway.track.roads.road_places import FoundPlace, places
from standage.railway.track.roads.roads import roads
from standage.railway.track.roads.stopping import Stopping, stopping
from standage.railway.track.survey.fitted_faults import unfitted
from standage.railway.track.survey.merging import Merged, merged
from standage.shapes.faults import MOST_FAULTS, Fault, escaped

MOST_COUNTED = 1_000
"""So many faults that are not listed are counted."""
NOT_LISTED = "not_listed"
"""The code of the fault that stands for those which are not listed."""


class Survey(msgspec.Struct, frozen=True, kw_only=True):
    """A plan with all that follows from it; ``plan`` has its modules' heights, fittings
    and places in it. ``stopping`` has one entry for each of ``usable``. ``faults`` are
    the first ``MOST_FAULTS``, and one more that says how many are left out.
    """

    plan: Plan
    placed: Placing
    closed: Closures
    network: Network
    heights: Heights
    spacing: Spacing | None
    points: tuple[FoulingPoint, ...]
    usable: tuple[Usable, ...]
    stopping: tuple[Stopping, ...]
    places: tuple[FoundPlace, ...]
    footprint: Footprint | None
    faults: tuple[Fault, ...]


def survey(plan: Plan, stock: tuple[LargestStock, ...] = ()) -> Survey:
    """Return what follows from a plan, sound or not, with all that is wrong with it.

    ``stock`` is what swings out most of what is run there, where that is known. Lengths
    in mm. **Source** derived; see each room.
    """
    whole = merged(plan)
    placed = placing(plan)
    laid = network(placed.flat, placed.shapes)
    spacing = spacing_of(plan, stock)
    rules = Rules(spacing=spacing, gauge_mm=plan.laid_gauge_mm)
    points = fouling_points(laid, rules)
    usable = usable_lengths(laid, roads(laid, whole.plan.places), points)
    marks = stopping(whole.plan, laid, usable)
    named = places(whole.plan, laid, usable, marks)
    closed = closures(placed)
    closing = {end for one in closed.circuits for end in one.closing_join}
    high = heights(whole.plan, laid, closing)
    found = [*named.faults, *high.faults]
    return Survey(
        plan=whole.plan,
        placed=placed,
        closed=closed,
        network=laid,
        heights=high,
        spacing=spacing,
        points=points,
        usable=usable,
        stopping=marks,
        places=named.found,
        footprint=footprint(plan, placed),
        faults=tuple(_told(_faults(plan, placed, whole, found))),
    )


def _told(faults: Iterator[Fault]) -> Iterator[Fault]:
    """Yield the first faults, then one that says how many there are besides."""
    yield from islice(faults, MOST_FAULTS)
    left_out = sum(1 for _ in islice(faults, MOST_COUNTED + 1))
    if left_out == 0:
        return
    more = f"{left_out}"
    if left_out > MOST_COUNTED:
        more = f"over {MOST_COUNTED:,}"
    message = f"and {more} more, which are not listed: mend these first"
    yield Fault(
        code=NOT_LISTED,
        message=message,
        pointer="",
    )


def _faults(
    plan: Plan, placed: Placing, whole: Merged, found: list[Fault]
) -> Iterator[Fault]:
    yield from each_fault(plan)
    yield from map(whole.pointing, found)
    yield from missing_plans(plan)
    yield from unfitted(placed)


def missing_plans(plan: Plan) -> Iterator[Fault]:
    """Yield a fault for each module of which the plan is not known. **Source** the
    plan's document.
    """
    for name, laid in plan.modules.items():
        if laid.plan is None:
            message = f"the plan of {name} is not known: give it here"
            at = f"/modules/{escaped(name)}/plan"
            yield Fault(
                code="missing",
                message=message,
                pointer=at,
            )
