"""Questions about a yard, which may still have to be found on its track plan, or whose
roads are places of its layout.

A plan is surveyed only where its case is reckoned. Until then what was asked waits with
all else resolved, as an ``Unfound`` case.
"""

from collections.abc import Callable, Sequence
from functools import wraps
from typing import Any, Protocol, TypeVar

import msgspec

from standage.questions.asked import AskedYard
from standage.questions.reckoning import MayBeExact
from standage.questions.resolving.plan_yards import YardOnPlan, yard_found
from standage.questions.resolving.yards_of_places import YardOfPlaces, yard_of_places
from standage.questions.sources import Sources
from standage.questions.yard_wagons import AskedWagon, resolved, yard_and_wagons
from standage.railway.shunting.yard import Yard
from standage.railway.stock.couplings import CouplingKind, CouplingTypes
from standage.railway.stock.vehicles import Vehicle
from standage.railway.terms.reasons import Assumed

Types = tuple[CouplingKind, ...]


class AsksOfYard(Protocol):
    """What is asked of a yard with wagons in it."""

    @property
    def yard(self) -> AskedYard:
        """The yard."""

    @property
    def wagons(self) -> Sequence[AskedWagon]:
        """The wagons."""


class YardCase(MayBeExact, frozen=True, kw_only=True):
    """A case about a yard; ``of_the_yard`` is what its plan makes of that, in words."""

    of_the_yard: tuple[Assumed, ...] = ()


class Unfound(MayBeExact, frozen=True, kw_only=True):
    """What was asked of a yard that is still to be found on its plan, or by its places,
    all else resolved.
    """

    request: Any
    """Without its yard, which would bring the plan once more."""
    yard: YardOnPlan | YardOfPlaces
    vehicles: tuple[Vehicle, ...]
    types: Types


Q = TypeVar("Q", bound=AsksOfYard)
C = TypeVar("C", bound=YardCase)
A = TypeVar("A")
CaseOf = Callable[[Q, Yard, Sequence[Vehicle], Types], C]


def gathered(sources: Sources, request: Q, case_of: CaseOf[Q, C]) -> C | Unfound:
    """Return the case of what a caller asks; ``Unfound`` where its yard is on a plan,
    or has places in it.

    Raises ``Faulty`` for every id that is not on record, and all that is amiss with the
    wagons, or with what is asked of a yard whose figures are there.
    """
    yard, vehicles = yard_and_wagons(sources, request.yard, request.wagons)
    types = sources.couplings.types()
    if isinstance(yard, Yard):
        return case_of(request, yard, vehicles, types)
    # refused here, and not only where the plan has been surveyed
    resolved(vehicles, CouplingTypes(types))
    struct: Any = request
    return Unfound(
        request=msgspec.structs.replace(struct, yard=AskedYard()),
        yard=yard,
        vehicles=vehicles,
        types=types,
    )


def found(case: C | Unfound, case_of: CaseOf[Any, C]) -> C:
    """Return a case with its yard as its plan has it.

    Raises ``Faulty`` for what makes no yard, and all that is amiss with what is asked
    of it.
    """
    if not isinstance(case, Unfound):
        return case
    yard, told = _found(case.yard)
    made = case_of(case.request, yard, case.vehicles, case.types)
    return msgspec.structs.replace(made, of_the_yard=told, exact=case.exact)


def _found(yard: YardOnPlan | YardOfPlaces) -> tuple[Yard, tuple[Assumed, ...]]:
    if isinstance(yard, YardOfPlaces):
        return yard_of_places(yard)
    return yard_found(yard)


def in_its_yard(
    case_of: CaseOf[Any, C],
) -> Callable[[Callable[[C], A]], Callable[[C | Unfound], A]]:
    """Return what makes ``reckon`` find the yard of its case first."""

    def finding(reckon: Callable[[C], A]) -> Callable[[C | Unfound], A]:
        @wraps(reckon)
        def reckoned(case: C | Unfound) -> A:
            return reckon(found(case, case_of))

        return reckoned

    return finding
