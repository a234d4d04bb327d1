"""What a list shows of a track plan."""

from typing import Annotated

import msgspec

from standage.railway.terms.figures import says
from standage.railway.track.plans.plan import ModulePlan


class PlanSummary(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """A track plan in a list: what it is called, and how much there is of it."""

    piece_count: Annotated[int, says("How many pieces of track it has.")]
    name: Annotated[str | None, says("What the plan is called.")] = None


def plan_summary(plan: ModulePlan) -> PlanSummary:
    """Return what a list shows of a plan; the pieces of its modules are not counted."""
    return PlanSummary(name=plan.name, piece_count=len(plan.pieces))
