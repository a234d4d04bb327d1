"""Which of these vehicles, not bought yet, would suit our layout or our curve, and why
not the others?
"""

from collections.abc import Iterable, Sequence
from typing import Annotated, Literal

import msgspec

from standage.questions.asked import AskedPlace, AskedVehicle, each_of
from standage.questions.example_stock import COACH, SIDING
from standage.questions.question import PLAN_BYTES, Question, Shows
from standage.questions.reckoning import (
    NOT_YET,
    MayBeExact,
    Warnings,
    as_written,
    or_a_plan,
    surveying,
    warned,
)
from standage.questions.sources import NamedPlace, Sources
from standage.railway.curving.curves import weigh
from standage.railway.curving.verdicts import CurveVerdict
from standage.railway.roads.allowances import Allowance, allowance, assumed_of
from standage.railway.standing.spare import Stood, stand
from standage.railway.standing.suitability import suited
from standage.railway.standing.verdicts import (
    FitVerdict,
    of_vehicle,
    overall,
    sorted_reasons,
)
from standage.railway.stock.coupled import Coupled, coupled
from standage.railway.stock.couplings import Coupling, CouplingKind, CouplingTypes
from standage.railway.stock.trains import Train
from standage.railway.stock.vehicles import Standing
from standage.railway.terms.figures import (
    IdOrName,
    RadiusMm,
    Tolerance,
    agreeing,
    listed,
    says,
)
from standage.railway.terms.reasons import Assumed, Guess, Reason, told, worst
from standage.railway.terms.senses import ITSELF
from standage.shapes.faults import Fault, Ruled, all_of

MOST_WISHES = 100
MOST_PLACES = 100

WishVerdict = Literal["does_not_suit", "cannot_tell", "marginal", "suits"]
WORST_FIRST: tuple[WishVerdict, ...] = (
    "does_not_suit",
    "cannot_tell",
    "marginal",
    "suits",
)
_AS_WISH: dict[str, WishVerdict] = {
    "does_not_fit": "does_not_suit",
    "does_not_run": "does_not_suit",
    "cannot_tell": "cannot_tell",
    "tight": "marginal",
    "marginal": "marginal",
    "fits": "suits",
    "runs": "suits",
}


_NONE = Coupling(reach_mm=0.0, projection_mm=0.0)
"""What an end has whose coupling is left out."""


class WishedCurve(Ruled, frozen=True, kw_only=True):
    """A curve that vehicles are to run on, each by itself."""

    radius_mm: Annotated[
        RadiusMm, says("Its radius to the centre line of the track, in mm.")
    ]
    radius_plus_minus_mm: Annotated[
        Tolerance | None,
        says("How far off the radius may be, either way, in mm; 0 if not said."),
    ] = None

    def rules(self) -> Iterable[Fault]:
        """The curve is still a curve at the sharp end of its ±."""
        if (
            self.radius_plus_minus_mm is not None
            and self.radius_plus_minus_mm >= self.radius_mm
        ):
            message = "must be less than the radius itself"
            yield Fault(
                code="contradiction", message=message, pointer="/radius_plus_minus_mm"
            )


class WishListRequest(MayBeExact, Ruled, frozen=True, kw_only=True):
    """Vehicles, and what they are to suit: a layout on record, places, a curve; any of
    these together.
    """

    vehicles: Annotated[
        Annotated[
            tuple[AskedVehicle, ...], msgspec.Meta(min_length=1, max_length=MOST_WISHES)
        ],
        says("What might be bought, with what is known of it."),
    ]
    layout_id: Annotated[
        IdOrName | None, says("A layout on record: all its places.")
    ] = None
    places: Annotated[
        tuple[AskedPlace, ...],
        msgspec.Meta(max_length=MOST_PLACES),
        says("Places, inline or on record."),
    ] = ()
    curve: Annotated[
        WishedCurve | None, says("A curve that they are to run on."), ITSELF
    ] = None

    def rules(self) -> Iterable[Fault]:
        """There must be something that they are to suit."""
        if self.layout_id is None and not self.places and self.curve is None:
            message = "say what they are to suit: layout_id, places or a curve"
            yield Fault(
                code="missing",
                message=message,
                pointer="/layout_id",
            )


class WishListCase(MayBeExact, frozen=True, kw_only=True):
    """All that the answer rests on."""

    vehicles: tuple[Standing, ...]
    places: tuple[NamedPlace, ...]
    curve: Annotated[WishedCurve | None, ITSELF] = None
    types: tuple[CouplingKind, ...] = ()


class AtOnePlace(msgspec.Struct, frozen=True, kw_only=True):
    """One vehicle at one place, or on the curve."""

    place: Annotated[str | None, says("What the place is called; null for the curve.")]
    place_id: Annotated[str | None, says("The place's id, where it is on record.")]
    verdict: Annotated[
        WishVerdict,
        says(
            "Whether the vehicle suits it: it must both stand and get there, so that"
            " the worse of the two counts."
        ),
    ]
    standing: Annotated[
        FitVerdict | None,
        says("Whether it stands there by itself; null for the curve."),
    ]
    reaching: Annotated[
        CurveVerdict,
        says(
            "Whether it gets there, or round the curve; cannot_tell where the place"
            " says nothing of its curves."
        ),
    ]
    because: Annotated[
        tuple[Reason, ...],
        says("Why not, worst first; empty where it suits and nothing is to say."),
    ]


class Wish(msgspec.Struct, frozen=True, kw_only=True):
    """One vehicle against all that it is to suit."""

    name: Annotated[str, says("What it is called.")]
    verdict: Annotated[
        WishVerdict, says("The worst of all: it suits only if it suits everything.")
    ]
    suits: Annotated[int, says("How many of the places, the curve included, it suits.")]
    against: Annotated[tuple[AtOnePlace, ...], says("Every place, then the curve.")]


class WishListAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """Every vehicle that was asked about, in that order, and those that would suit."""

    verdict: Annotated[
        WishVerdict, says("The best verdict of any: whether there is one to buy.")
    ]
    suitable: Annotated[tuple[str, ...], says("Those that suit everything.")]
    vehicles: Annotated[tuple[Wish, ...], says("Each with what speaks against it.")]
    because: Annotated[tuple[Reason, ...], says("What it comes to, in words.")]
    assumed: Annotated[tuple[Assumed, ...], says("Every figure that nobody measured.")]
    warnings: Warnings = NOT_YET


@surveying
@warned
def reckon(case: WishListCase) -> WishListAnswer:
    """Return for each vehicle whether it suits every place and the curve of ``case``.

    It must stand in a place by itself, for certain: its length without couplings, on a
    turntable its wheels. How its couplings reach, and whether they take hold of the
    club's, is not asked: those can be changed.
    """
    guesses: list[Guess] = []
    types = CouplingTypes(case.types)
    wishes = [
        _wish(
            vehicle,
            case,
            types,
            guesses,
        )
        for vehicle in case.vehicles
    ]
    verdicts = [wish.verdict for wish in wishes]
    suitable = tuple(wish.name for wish in wishes if wish.verdict == "suits")
    of_places = assumed_of(_allowance(one) for one in case.places)
    return WishListAnswer(
        verdict=max(verdicts, key=WORST_FIRST.index),
        suitable=suitable,
        vehicles=tuple(wishes),
        because=(_said(len(wishes), suitable),),
        assumed=(*told(guesses), *of_places),
    )


def _wish(
    vehicle: Standing, case: WishListCase, types: CouplingTypes, guesses: list[Guess]
) -> Wish:
    against = [_at(vehicle, one, types, guesses) for one in case.places]
    if case.curve is not None:
        weighed = weigh(
            vehicle,
            radius_mm=case.curve.radius_mm,
            radius_plus_minus_mm=case.curve.radius_plus_minus_mm or 0.0,
            types=types,
        )
        guesses += weighed.guesses
        against.append(_on_curve(weighed.answer.verdict, weighed.answer.because))
    return Wish(
        name=vehicle.name,
        verdict=worst((one.verdict for one in against), order=WORST_FIRST),
        suits=sum(one.verdict == "suits" for one in against),
        against=tuple(against),
    )


def _on_curve(verdict: CurveVerdict, because: Sequence[Reason]) -> AtOnePlace:
    return AtOnePlace(
        place=None,
        place_id=None,
        verdict=_AS_WISH[verdict],
        standing=None,
        reaching=verdict,
        because=tuple(because),
    )


def _at(
    vehicle: Standing, one: NamedPlace, types: CouplingTypes, guesses: list[Guess]
) -> AtOnePlace:
    found = suited(vehicle, one.place, types=types)
    guesses += found.guesses
    stood, made_up = _stood(vehicle, one, types)
    guesses += (*made_up.guesses(), *stood.guesses)
    alone = (
        of_vehicle(each, vehicle.name)
        for each in stood.findings
        if each.verdict != "fits"
    )
    findings = (*found.findings, *alone)
    return AtOnePlace(
        place=one.name,
        place_id=one.id,
        verdict=_AS_WISH[overall(findings)],
        standing=stood.verdict,
        reaching=found.reaching,
        because=sorted_reasons(findings),
    )


def _allowance(one: NamedPlace) -> Allowance:
    return allowance(
        one.place,
        known_by=one.known_by,
        stopping_margin_mm=None,
    )


def _stood(
    vehicle: Standing, one: NamedPlace, types: CouplingTypes
) -> tuple[Stood, Coupled]:
    """Return how the vehicle stands there by itself, its couplings left out."""
    bare = msgspec.structs.replace(
        vehicle, front_coupling=_NONE, rear_coupling=_NONE, count=1
    )
    made_up = coupled(Train(vehicles=(bare,)), types=types)
    return stand(made_up, one.place, _allowance(one)), made_up


def _said(many: int, suitable: Sequence[str]) -> Reason:
    if not suitable:
        which = agreeing(many, "it does not suit", f"none of the {many} suits")
        return Reason(
            code="none_suits",
            message=f"{which} everything for certain",
        )
    suit = agreeing(len(suitable), "suits", "suit")
    message = f"{len(suitable)} of {many} {suit} everything: {listed(suitable)}"
    return Reason(
        code="some_suit",
        message=message,
    )


@as_written
def gather(sources: Sources, request: WishListRequest) -> WishListCase:
    """Return the case that a request makes; raises ``Faulty`` for every id that is not
    on record.
    """
    vehicles, places, layout = all_of(
        lambda: sources.trains.vehicles(request.vehicles, "/vehicles"),
        lambda: sources.places.several(
            request.places, each_of("/places", request.places)
        ),
        lambda: (
            ()
            if request.layout_id is None
            else sources.places.layout_of(request.layout_id, "/layout_id").places
        ),
    )
    return WishListCase(
        vehicles=vehicles,
        places=(*layout, *places),
        curve=request.curve,
        types=sources.couplings.types(),
    )


QUESTION = Question(
    id="checkWishList",
    at="/v1/checks/wish-list",
    asks="Which of these vehicles, not bought yet, would suit?",
    tells=(
        "Each vehicle against all places of a layout, against places, a curve, or all"
        " of these, and what speaks against it."
    ),
    request=WishListRequest,
    answer=WishListAnswer,
    gather=gather,
    reckon=reckon,
    heavy=or_a_plan(),
    most_bytes=PLAN_BYTES,
    example={"vehicles": [COACH], "places": [SIDING], "curve": {"radius_mm": 438}},
    refused={"vehicles": [COACH]},
    warns=Shows("unit", "radius_mm", {"curve": {"radius_mm": 24.0}}),
)
