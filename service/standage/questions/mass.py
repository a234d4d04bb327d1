"""What ought a vehicle to weigh, and how much is to be added?"""

from collections.abc import Iterable, Iterator
from typing import Annotated, Literal, NamedTuple

import msgspec

from standage.questions.asked import AskedVehicle
from standage.questions.question import Question, Shows
from standage.questions.reckoning import (
    NOT_YET,
    MayBeExact,
    Warnings,
    as_written,
    warned,
)
from standage.questions.sources import Sources
from standage.railway.published.nmra_rp_20_1 import (
    NEAREST_ROW,
    NMRA_RP_20_1,
    mass_off_g,
    recommended_mass_g,
)
from standage.railway.stock.couplings import CouplingKind, CouplingTypes
from standage.railway.stock.extents import lacking
from standage.railway.stock.vehicles import Vehicle
from standage.railway.stock.weights import (
    DRIVE_THEMSELVES,
    BodyLength,
    body_length_of,
    weighed,
)
from standage.railway.terms.figures import (
    grams,
    millimetres,
    says,
    tidy_if_known,
)
from standage.railway.terms.reasons import Assumed, Reason, told
from standage.railway.terms.scales import scale
from standage.shapes.faults import Fault, Ruled

SHEET = NMRA_RP_20_1.called
MassVerdict = Literal["not_held", "cannot_tell", "too_light", "heavy_enough"]


class MassRequest(MayBeExact, Ruled, frozen=True, kw_only=True):
    """A vehicle with its body or its length, and its mass if anybody weighed it."""

    vehicle: Annotated[AskedVehicle, says("The vehicle, inline or on record.")]

    def rules(self) -> Iterable[Fault]:
        """One vehicle is asked about."""
        if self.vehicle.count != 1:
            message = "must be 1: what is recommended is for each vehicle"
            yield Fault(code="contradiction", message=message, pointer="/vehicle/count")


class MassCase(MayBeExact, frozen=True, kw_only=True):
    """All that the answer rests on. ``types`` are the club's own couplings."""

    vehicle: Vehicle
    types: tuple[CouplingKind, ...] = ()


class MassAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """What the vehicle ought to weigh, and what is to be added for that."""

    verdict: Annotated[
        MassVerdict,
        says("Whether it weighs enough; not_held: the sheet does not speak of it."),
    ]
    recommended_mass_g: Annotated[
        float | None,
        says("What all of it ought to weigh, in grams; null where not held or known."),
    ]
    plus_minus_g: Annotated[
        float | None,
        says("How far off that may be, either way, as the body's length is."),
    ]
    mass_g: Annotated[float | None, says("What it weighs, in grams, as given.")]
    add_g: Annotated[
        float | None, says("What is to be added, in grams; null if nobody weighed it.")
    ]
    over_g: Annotated[
        float | None, says("What it weighs more than recommended, in grams.")
    ]
    body_length_mm: Annotated[float | None, says("The body that counted, in mm.")]
    because: Annotated[tuple[Reason, ...], says("The reasons, worst first.")]
    assumed: Annotated[tuple[Assumed, ...], says("Every figure that nobody measured.")]
    warnings: Warnings = NOT_YET


class _Sheet(NamedTuple):
    """What the sheet recommends, and why it does not."""

    recommended_g: float | None
    off_g: float | None
    not_held: Reason | None


@warned
def reckon(case: MassCase) -> MassAnswer:
    """Return what the vehicle of ``case`` ought to weigh; nothing is made up where the
    sheet has no row for it.
    """
    vehicle = case.vehicle
    body = body_length_of(vehicle, types=CouplingTypes(case.types))
    sheet = _sheet(vehicle, body)
    add_g = over_g = None
    if sheet.recommended_g is not None and vehicle.mass_g is not None:
        add_g, over_g = weighed(vehicle.mass_g, recommended_g=sheet.recommended_g)
    return MassAnswer(
        verdict=_verdict(sheet, add_g),
        recommended_mass_g=tidy_if_known(sheet.recommended_g),
        plus_minus_g=tidy_if_known(sheet.off_g),
        mass_g=vehicle.mass_g,
        add_g=add_g,
        over_g=over_g,
        body_length_mm=tidy_if_known(body.extent.length_mm),
        because=tuple(_because(vehicle, body, sheet)),
        assumed=() if sheet.not_held is not None else told(body.guesses),
    )


def _sheet(vehicle: Vehicle, body: BodyLength) -> _Sheet:
    not_held = _not_held(vehicle)
    body_mm = body.extent.length_mm
    if not_held is not None or vehicle.scale is None or body_mm is None:
        return _Sheet(None, None, not_held)
    off_mm = body.extent.plus_minus_mm
    return _Sheet(
        recommended_g=recommended_mass_g(body_mm, scale=vehicle.scale),
        off_g=mass_off_g(off_mm, scale=vehicle.scale),
        not_held=None,
    )


def _not_held(vehicle: Vehicle) -> Reason | None:
    """Return why the sheet says nothing of a vehicle; None where it does, or where that
    is not known.
    """
    if vehicle.kind in DRIVE_THEMSELVES:
        message = f"{SHEET} is for vehicles that are hauled: it holds no engine's mass"
        return Reason(code="not_held", message=message, field="kind")
    if vehicle.scale is None:
        return None
    if recommended_mass_g(1.0, scale=vehicle.scale) is not None:
        return None
    model = scale(vehicle.scale)
    message = (
        f"{SHEET} holds N, TT, HO, S and O, and nothing for {model.name},"
        f" 1:{model.ratio:g}"
    )
    nearest = NEAREST_ROW.get(vehicle.scale)
    if nearest is not None:
        near = scale(nearest)
        message += f"; its {near.name} is 1:{near.ratio:g}, a little smaller"
    return Reason(
        code="not_held",
        message=message,
        field="scale",
        ratio=model.ratio,
    )


def _verdict(sheet: _Sheet, add_g: float | None) -> MassVerdict:
    if sheet.not_held is not None:
        return "not_held"
    if add_g is None:
        return "cannot_tell"
    return "too_light" if add_g > 0 else "heavy_enough"


def _because(vehicle: Vehicle, body: BodyLength, sheet: _Sheet) -> Iterator[Reason]:
    if sheet.not_held is not None:
        yield sheet.not_held
        return
    if vehicle.scale is None:
        message = f"{vehicle.name}: say its scale; without it nobody can tell"
        yield _missing(vehicle, "scale", message)
    yield from lacking(body.extent.missing)
    recommended_g = sheet.recommended_g
    if recommended_g is None:
        return
    body_mm = body.extent.known_mm
    sheet_has = f"{grams(recommended_g)} for a body of {millimetres(body_mm)} ({SHEET})"
    if vehicle.mass_g is None:
        message = f"{vehicle.name}: weigh it; it ought to weigh {sheet_has}"
        yield _missing(vehicle, "mass_g", message)
        return
    add_g, over_g = weighed(vehicle.mass_g, recommended_g=recommended_g)
    code, beside = "just_right", "just as much"
    if add_g > 0:
        code, beside = "add", f"{grams(add_g)} too little"
    elif over_g > 0:
        code, beside = "over", f"{grams(over_g)} more"
    message = (
        f"{vehicle.name} weighs {grams(vehicle.mass_g)}, {beside}: it ought to weigh"
        f" {sheet_has}"
    )
    yield Reason(code=code, message=message, vehicle=vehicle.name, value_mm=body_mm)


def _missing(vehicle: Vehicle, field: str, message: str) -> Reason:
    return Reason(
        code="missing_figure", message=message, vehicle=vehicle.name, field=field
    )


@as_written
def gather(sources: Sources, request: MassRequest) -> MassCase:
    """Return the case that a request makes, with all it names on record resolved."""
    return MassCase(
        vehicle=sources.trains.vehicle(request.vehicle, "/vehicle"),
        types=sources.couplings.types(),
    )


_BOX_CAR = {
    "name": "Box car",
    "kind": "wagon",
    "scale": "HO",
    "length_mm": 152.4,
    "length_over": "body",
    "mass_g": 85,
}
QUESTION = Question(
    id="checkMass",
    at="/v1/checks/mass",
    asks="What ought a vehicle to weigh, and how much is to be added?",
    tells=(
        "By NMRA RP-20.1 for N, TT, HO, S and O, from the length of its body; other"
        " scales are not held."
    ),
    request=MassRequest,
    answer=MassAnswer,
    gather=gather,
    reckon=reckon,
    example={"vehicle": _BOX_CAR},
    refused={"vehicle": _BOX_CAR | {"count": 2}},
    warns=Shows("unit", "length_mm", {"vehicle": _BOX_CAR | {"length_mm": 15.24}}),
)
