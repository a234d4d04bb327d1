"""Whether a vehicle goes round a curve, and how far it stands out from the centre line
while it does.
"""

from collections.abc import Iterator

import msgspec

from standage.railway.curving.evidence import cannot_stand, judge
from standage.railway.curving.known_vehicles import (
    KnownVehicle,
    coupled_length,
    known_vehicle,
    runnings,
)
from standage.railway.curving.throws import (
    centre_throw_mm,
    end_throw_mm,
    run_on_angle_deg,
    stands_on,
)
from standage.railway.curving.verdicts import CurveVerdict, Judgement, better
from standage.railway.stock.bodies import BodyShape
from standage.railway.stock.couplings import CouplingTypes
from standage.railway.stock.vehicles import Vehicle
from standage.railway.terms.figures import tidy
from standage.railway.terms.reasons import Assumed, Guess, Reason, named_once, told

_TYPICAL = CouplingTypes()
_CLOSE_MM = 1e-5


class BodyOnCurve(msgspec.Struct, frozen=True, kw_only=True):
    """One body on the curve; null is a figure that cannot be had."""

    name: str
    centre_throw_mm: float | None
    front_end_throw_mm: float | None
    rear_end_throw_mm: float | None


class OnCurve(msgspec.Struct, frozen=True, kw_only=True):
    """One vehicle on the curve: whether it runs, and how far its body stands in and
    out; null where it cannot be had.

    The throws are those of its worst body, at the vehicle's own ends. ``ratio`` is the
    radius divided by the coupled length; the throws' ± is for the curve's own.
    """

    name: str
    verdict: CurveVerdict
    centre_throw_mm: float | None
    end_throw_mm: float | None
    front_end_throw_mm: float | None
    rear_end_throw_mm: float | None
    throws_plus_minus_mm: float | None
    run_on_angle_deg: float | None
    ratio: float | None
    bodies: tuple[BodyOnCurve, ...]
    because: tuple[Reason, ...]
    assumed: tuple[Assumed, ...]


class Weighed(msgspec.Struct, frozen=True, kw_only=True):
    """The answer for one vehicle, and the guesses behind it one by one, so that like
    ones can be told together.

    ``by_length`` tells whether the verdict is only the advice by the ratio of radius to
    coupled length.
    """

    answer: OnCurve
    guesses: tuple[Guess, ...]
    by_length: bool = False


def on_curve(
    vehicle: Vehicle,
    *,
    radius_mm: float,
    radius_plus_minus_mm: float = 0.0,
    types: CouplingTypes = _TYPICAL,
) -> OnCurve:
    """Return whether ``vehicle`` runs on a curve of ``radius_mm`` to the centre line,
    and its throws there.

    Where the curve may, by its own ±, be so sharp that less holds, ``runs`` becomes
    ``marginal``, or ``cannot_tell`` where nobody knows how it runs there; a ± never
    betters an answer. Throws are null where the body cannot stand on the curve, or
    where a figure is missing, which a reason then names. ``types`` supply what is not
    given of its couplings. **Source** derived.
    """
    return weigh(
        vehicle,
        radius_mm=radius_mm,
        radius_plus_minus_mm=radius_plus_minus_mm,
        types=types,
    ).answer


def weigh(
    vehicle: Vehicle,
    *,
    radius_mm: float,
    radius_plus_minus_mm: float = 0.0,
    types: CouplingTypes = _TYPICAL,
) -> Weighed:
    """Return what ``on_curve`` does, and beside it the guesses one by one. **Source**
    derived.
    """
    known = known_vehicle(vehicle, types=types)
    bodies = known.bodies
    judgement = _between(known, radius_mm=radius_mm, plus_minus_mm=radius_plus_minus_mm)
    stood = tuple(_stand(body, radius_mm) for body in bodies)
    length = coupled_length(known)
    guesses = (
        tuple(guess for body in bodies for guess in body.guesses) + judgement.guesses
    )
    if vehicle.bodies is None and length is not None:
        guesses += known.by_type
    answer = OnCurve(
        name=vehicle.name,
        verdict=judgement.verdict,
        centre_throw_mm=_greatest(body.centre_throw_mm for body in stood),
        end_throw_mm=_worst_end(stood),
        front_end_throw_mm=stood[0].front_end_throw_mm,
        rear_end_throw_mm=stood[-1].rear_end_throw_mm,
        throws_plus_minus_mm=_throws_plus_minus(
            bodies, stood, radius_mm=radius_mm, plus_minus_mm=radius_plus_minus_mm
        ),
        run_on_angle_deg=_run_on_angle(vehicle, radius_mm),
        ratio=(
            None
            if length is None or tidy(length.length_mm) <= 0
            else tidy(radius_mm / length.length_mm)
        ),
        bodies=stood if len(stood) > 1 else (),
        because=named_once(
            (*judgement.because, *_no_throws(vehicle, bodies, radius_mm))
        ),
        assumed=told(guesses),
    )
    return Weighed(answer=answer, guesses=guesses, by_length=judgement.by_length)


def _between(
    known: KnownVehicle, *, radius_mm: float, plus_minus_mm: float
) -> Judgement:
    """Judge at the radius and at the sharp end of its ±, which may make an answer
    worse, and never better.

    ``cannot_tell`` where somewhere between them nobody can; otherwise the answer is
    ``marginal`` where they differ. As larger radii run no worse, what nobody can tell
    lies between what is refused and the rest.
    """
    nominal = judge(known, radius_mm=radius_mm)
    if plus_minus_mm == 0:
        return nominal
    sharpest_mm = tidy(radius_mm - plus_minus_mm)
    sharpest = judge(known, radius_mm=sharpest_mm)
    if not better(nominal.verdict, sharpest.verdict) or better(
        "marginal", nominal.verdict
    ):
        return nominal
    short_of_refusal = sharpest.verdict
    if short_of_refusal == "does_not_run":
        short_of_refusal = _where_refusals_cease(
            known, refused_mm=sharpest_mm, easier_mm=radius_mm
        )
    message = (
        f"{known.name}: the curve may be as sharp as {sharpest_mm:g} mm, where this"
        " holds"
    )
    straddles = Reason(
        code="curve_uncertain",
        message=message,
        vehicle=known.name,
        value_mm=radius_mm,
        amount_mm=plus_minus_mm,
    )
    return Judgement(
        verdict="cannot_tell" if short_of_refusal == "cannot_tell" else "marginal",
        because=(straddles, *sharpest.because),
        guesses=sharpest.guesses,
        by_length=sharpest.by_length,
    )


def _where_refusals_cease(
    known: KnownVehicle, *, refused_mm: float, easier_mm: float
) -> CurveVerdict:
    """Return what holds just beyond the largest radius that is refused, between one
    that is and one that is not.
    """
    while easier_mm - refused_mm > _CLOSE_MM:
        middle_mm = (refused_mm + easier_mm) / 2
        if judge(known, radius_mm=middle_mm).verdict == "does_not_run":
            refused_mm = middle_mm
        else:
            easier_mm = middle_mm
    return judge(known, radius_mm=easier_mm).verdict


def _stand(body: BodyShape, radius_mm: float) -> BodyOnCurve:
    """Return how far a body stands out; of one that may stand on its wheels in two
    ways, the farther each time.
    """
    stood = [_stand_one_way(way, radius_mm) for way in body.ways]
    return BodyOnCurve(
        name=body.name,
        centre_throw_mm=_greatest(one.centre_throw_mm for one in stood),
        front_end_throw_mm=_greatest(one.front_end_throw_mm for one in stood),
        rear_end_throw_mm=_greatest(one.rear_end_throw_mm for one in stood),
    )


def _stand_one_way(body: BodyShape, radius_mm: float) -> BodyOnCurve:
    centre_mm = (
        None
        if body.pivots_mm is None
        else _centre_throw(body, body.pivots_mm, radius_mm)
    )
    if centre_mm is None:
        return BodyOnCurve(
            name=body.name,
            centre_throw_mm=None,
            front_end_throw_mm=None,
            rear_end_throw_mm=None,
        )
    front_mm, rear_mm = (
        _end_throw(body, half_mm, radius_mm) for half_mm in _halves(body)
    )
    return BodyOnCurve(
        name=body.name,
        centre_throw_mm=centre_mm,
        front_end_throw_mm=front_mm,
        rear_end_throw_mm=rear_mm,
    )


def _halves(body: BodyShape) -> tuple[float | None, float | None]:
    return body.half_front_mm, body.half_rear_mm


def _centre_throw(body: BodyShape, pivots_mm: float, radius_mm: float) -> float | None:
    bogie_mm = body.bogie_wheelbase_mm
    if not stands_on(radius_mm, pivots_mm=pivots_mm, bogie_wheelbase_mm=bogie_mm):
        return None
    return tidy(
        centre_throw_mm(radius_mm, pivots_mm=pivots_mm, bogie_wheelbase_mm=bogie_mm)
    )


def _end_throw(
    body: BodyShape, half_mm: float | None, radius_mm: float
) -> float | None:
    if body.pivots_mm is None or body.width_mm is None or half_mm is None:
        return None
    throw_mm = end_throw_mm(
        radius_mm,
        pivots_mm=body.pivots_mm,
        bogie_wheelbase_mm=body.bogie_wheelbase_mm,
        half_length_mm=half_mm,
        width_mm=body.width_mm,
    )
    return tidy(throw_mm)


def _worst_end(stood: tuple[BodyOnCurve, ...]) -> float | None:
    return _greatest(
        end
        for body in stood
        for end in (body.front_end_throw_mm, body.rear_end_throw_mm)
    )


def _greatest(figures: Iterator[float | None]) -> float | None:
    """Return the greatest figure, or None where any is unknown: the worst might be that
    one.
    """
    known: list[float] = []
    for figure in figures:
        if figure is None:
            return None
        known.append(figure)
    return max(known)


def _throws_plus_minus(
    bodies: tuple[BodyShape, ...],
    stood: tuple[BodyOnCurve, ...],
    *,
    radius_mm: float,
    plus_minus_mm: float,
) -> float | None:
    """Return by how much the throws grow at the sharp end of the curve's ±; None where
    they cannot be had there.
    """
    sharpest = tuple(_stand(body, radius_mm - plus_minus_mm) for body in bodies)
    grown: list[float] = []
    for worst in (_worst_centre, _worst_end):
        nominal_mm = worst(stood)
        sharp_mm = worst(sharpest)
        if nominal_mm is None or sharp_mm is None:
            continue
        grown.append(abs(sharp_mm - nominal_mm))
    if not grown:
        return None
    return tidy(max(grown))


def _worst_centre(stood: tuple[BodyOnCurve, ...]) -> float | None:
    return _greatest(body.centre_throw_mm for body in stood)


def _run_on_angle(vehicle: Vehicle, radius_mm: float) -> float | None:
    """Return the steepest angle at which any wheels fixed in one frame meet the
    rail.
    """
    fixed = [
        (one.rigid_wheelbase_mm, one.bogie_wheelbase_mm) for one in runnings(vehicle)
    ]
    wheelbases = [each for both in fixed for each in both if each]
    longest_mm = max(wheelbases, default=None)
    if longest_mm is None or longest_mm > 2 * radius_mm:
        return None
    return tidy(run_on_angle_deg(radius_mm, wheelbase_mm=longest_mm))


def _no_throws(
    vehicle: Vehicle, bodies: tuple[BodyShape, ...], radius_mm: float
) -> Iterator[Reason]:
    """Say why throws cannot be had: what has to be measured, or that the body cannot
    stand there.
    """
    for body in bodies:
        for missing in body.missing:
            message = (
                f"{vehicle.name}: measure {missing.words}, to know how far it"
                " stands out"
            )
            yield Reason(
                code="missing_figure",
                message=message,
                vehicle=vehicle.name,
                field=missing.field,
            )
        cannot = cannot_stand(vehicle, body, radius_mm=radius_mm)
        if cannot is not None:
            yield cannot
