"""What is known of whether a vehicle runs on a curve, weighed: a trial first, then its maker, then its wheels.

The first sort of evidence that decides is the one that counts. A larger radius never runs worse.
"""

from collections.abc import Iterator
from typing import Literal

import msgspec

from standage.railway.curving.throws import stands_on, versine_mm
from standage.railway.stock.bodies import BodyShape, length_over_buffers, reaches_mm
from standage.railway.stock.vehicles import Running, Vehicle
from standage.railway.terms.comparison import exceeds
from standage.railway.terms.figures import tidy
from standage.railway.terms.guesses import Guess
from standage.railway.terms.nem import MOST_RUN_ON_DEG, longest_wheelbase_mm
from standage.railway.terms.reasons import Reason

CurveVerdict = Literal["runs", "marginal", "does_not_run", "cannot_tell"]
WORST_FIRST: tuple[CurveVerdict, ...] = ("does_not_run", "cannot_tell", "marginal", "runs")

RELIABLE_RATIO = 3.0
"""Radius ÷ coupled length from which body-mounted couplings run reliably. **Source** common practice."""
MOST_STOCK_RATIO = 2.5
"""Radius ÷ coupled length from which most stock tracks. **Source** common practice."""
SHARPEST_SOLD_RATIO = 1.2
"""Radius ÷ coupled length below which hardly any stock is sold to run. **Source** common practice."""
SIDEPLAY_AXLES = 3
"""From so many axles in one rigid frame those between the ends need sideplay."""


class Judgement(msgspec.Struct, frozen=True, kw_only=True):
    """A verdict with its reasons and with what had to be assumed for it."""

    verdict: CurveVerdict
    because: tuple[Reason, ...]
    guesses: tuple[Guess, ...] = ()


def judge(vehicle: Vehicle, bodies: tuple[BodyShape, ...], *, radius_mm: float) -> Judgement:
    """Return whether ``vehicle``, whose bodies are ``bodies``, runs on a curve, by the best evidence there is.

    A trial overrules all else; then the radius its maker states, if the wheels' own bounds allow it; then those bounds
    (**Source** NEM 111); then the ratio of radius to coupled length (common practice, never a refusal).
    """
    for weigh in (_by_trial, _by_maker, _by_bounds, _by_sideplay, _by_kind, _by_wheels):
        found = weigh(vehicle, bodies, radius_mm)
        if found is not None:
            return found
    return _by_ratio(vehicle, bodies, radius_mm)


def coupled_length(vehicle: Vehicle, bodies: tuple[BodyShape, ...]) -> tuple[float | None, tuple[Guess, ...]]:
    """Return the length that the ratio advice divides by, from coupling to coupling, and what was assumed for it.

    Of several bodies the longest one counts, since each swings by itself.
    """
    if vehicle.bodies is not None:
        return max(body.length_mm for body in vehicle.bodies), ()
    if vehicle.length_mm is not None and vehicle.length_over == "couplings":
        return vehicle.length_mm, ()
    length = length_over_buffers(vehicle)
    over_buffers_mm, guesses = length.value_mm, length.guesses
    if over_buffers_mm is None:
        over_buffers_mm, guesses = _over_known_ends(vehicle, bodies[0]), ()
    if over_buffers_mm is None:
        return None, ()
    reaches = reaches_mm(vehicle)
    if None in reaches:
        about = "how far its couplings reach is not given and adds nothing to its coupled length"
        guesses += (Guess(vehicle=vehicle.name, field="reach_mm", about=about, source="default", value_mm=0.0),)
    return over_buffers_mm + sum(reach_mm or 0.0 for reach_mm in reaches), guesses


def _over_known_ends(vehicle: Vehicle, body: BodyShape) -> float | None:
    front_mm, rear_mm = vehicle.front_overhang_mm, vehicle.rear_overhang_mm
    if body.pivots_mm is None or front_mm is None or rear_mm is None:
        return None
    return body.pivots_mm + front_mm + rear_mm


def _by_trial(vehicle: Vehicle, _: tuple[BodyShape, ...], radius_mm: float) -> Judgement | None:
    trial = vehicle.trial
    if trial is None:
        return None
    ran_mm, failed_mm = trial.ran_at_radius_mm, trial.failed_at_radius_mm
    if ran_mm is not None and not exceeds(ran_mm, limit=radius_mm):
        message = f"{vehicle.name} was seen to run on a radius of {ran_mm:g} mm"
        reason = Reason(code="ran_in_trial", message=message, vehicle=vehicle.name, value_mm=radius_mm, limit_mm=ran_mm)
        return Judgement(verdict="runs", because=(reason,))
    if failed_mm is not None and not exceeds(radius_mm, limit=failed_mm):
        message = f"{vehicle.name} came to grief on a radius of {failed_mm:g} mm"
        reason = Reason(
            code="failed_in_trial", message=message, vehicle=vehicle.name, value_mm=radius_mm, limit_mm=failed_mm
        )
        return Judgement(verdict="does_not_run", because=(reason,))
    return None


def _by_maker(vehicle: Vehicle, bodies: tuple[BodyShape, ...], radius_mm: float) -> Judgement | None:
    least_mm = vehicle.minimum_radius_mm
    if least_mm is None:
        return None
    reached = not exceeds(least_mm, limit=radius_mm)
    if reached and any(_out_of_bounds(vehicle, bodies, radius_mm)):
        return None
    if reached:
        message = f"{vehicle.name}'s maker states a least radius of {least_mm:g} mm"
        reason = Reason(
            code="within_stated_radius", message=message, vehicle=vehicle.name, value_mm=radius_mm, limit_mm=least_mm
        )
        return Judgement(verdict="runs", because=(reason,))
    short_mm = least_mm - radius_mm
    message = f"{vehicle.name} needs a radius of {least_mm:g} mm by its maker's word: {short_mm:.4g} mm more than this"
    reason = Reason(
        code="below_stated_radius",
        message=message,
        vehicle=vehicle.name,
        value_mm=radius_mm,
        limit_mm=least_mm,
        amount_mm=tidy(short_mm),
    )
    return Judgement(verdict="does_not_run", because=(reason,))


def cannot_stand(vehicle: Vehicle, body: BodyShape, *, radius_mm: float) -> Reason | None:
    """Return the reason why a body cannot stand on a curve, or None if it can or its pivots are not known."""
    if body.pivots_mm is None:
        return None
    if stands_on(radius_mm, pivots_mm=body.pivots_mm, bogie_wheelbase_mm=body.bogie_wheelbase_mm):
        return None
    return Reason(
        code="cannot_stand",
        message=f"{body.name} cannot stand on this curve: its wheels span more than the curve is across",
        vehicle=vehicle.name,
        value_mm=body.pivots_mm,
        limit_mm=2 * radius_mm,
    )


def _cannot_stand(vehicle: Vehicle, bodies: tuple[BodyShape, ...], radius_mm: float) -> list[Reason]:
    measured = (cannot_stand(vehicle, body, radius_mm=radius_mm) for body in bodies if body.pivots_given)
    return [reason for reason in measured if reason is not None]


def _by_bounds(vehicle: Vehicle, bodies: tuple[BodyShape, ...], radius_mm: float) -> Judgement | None:
    because = tuple(_out_of_bounds(vehicle, bodies, radius_mm))
    return Judgement(verdict="does_not_run", because=because) if because else None


def _out_of_bounds(vehicle: Vehicle, bodies: tuple[BodyShape, ...], radius_mm: float) -> Iterator[Reason]:
    yield from _cannot_stand(vehicle, bodies, radius_mm)
    yield from _too_long_wheelbases(vehicle, radius_mm)


def _too_long_wheelbases(vehicle: Vehicle, radius_mm: float) -> Iterator[Reason]:
    limit_mm = longest_wheelbase_mm(radius_mm)
    for running in _runnings(vehicle):
        for what, wheelbase_mm in (
            ("rigid wheelbase", running.rigid_wheelbase_mm),
            ("bogies' wheelbase", running.bogie_wheelbase_mm),
        ):
            if wheelbase_mm is not None and exceeds(wheelbase_mm, limit=limit_mm):
                message = (
                    f"{vehicle.name}'s {what} of {wheelbase_mm:g} mm would meet the rail at more than "
                    f"{MOST_RUN_ON_DEG:g}°: at most {limit_mm:.1f} mm goes round here"
                )
                yield Reason(
                    code="wheelbase_too_long",
                    message=message,
                    vehicle=vehicle.name,
                    value_mm=wheelbase_mm,
                    limit_mm=tidy(limit_mm),
                    limit_deg=MOST_RUN_ON_DEG,
                )


def _runnings(vehicle: Vehicle) -> tuple[Running, ...]:
    return (vehicle,) if vehicle.bodies is None else vehicle.bodies


def _by_sideplay(vehicle: Vehicle, _: tuple[BodyShape, ...], radius_mm: float) -> Judgement | None:
    because = tuple(
        _needs_sideplay(vehicle, running, radius_mm)
        for running in _runnings(vehicle)
        if running.rigid_axles is not None and running.rigid_axles >= SIDEPLAY_AXLES
    )
    return Judgement(verdict="cannot_tell", because=because) if because else None


def _needs_sideplay(vehicle: Vehicle, running: Running, radius_mm: float) -> Reason:
    wheelbase_mm = running.rigid_wheelbase_mm
    needs_mm = None if wheelbase_mm is None else tidy(versine_mm(radius_mm, chord_mm=wheelbase_mm))
    sideplay = "sideplay" if needs_mm is None else f"{needs_mm:.2f} mm of sideplay"
    message = (
        f"{vehicle.name} has {running.rigid_axles} axles in one rigid frame and needs {sideplay} between them here; "
        "give the least radius that its maker states, or try it"
    )
    return Reason(
        code="needs_sideplay", message=message, vehicle=vehicle.name, field="minimum_radius_mm", amount_mm=needs_mm
    )


def _by_kind(vehicle: Vehicle, _: tuple[BodyShape, ...], radius_mm: float) -> Judgement | None:
    if vehicle.kind != "engine":
        return None
    message = (
        f"{vehicle.name} is an engine, whose least radius is never taken for granted: "
        "give the one that its maker states, or try it"
    )
    reason = Reason(
        code="missing_figure", message=message, vehicle=vehicle.name, field="minimum_radius_mm", value_mm=radius_mm
    )
    return Judgement(verdict="cannot_tell", because=(reason,))


def _by_wheels(vehicle: Vehicle, bodies: tuple[BodyShape, ...], radius_mm: float) -> Judgement | None:
    if not all(body.pivots_given for body in bodies):
        return None
    message = f"{vehicle.name}: no least radius is stated, and nothing that is known of it stops it here"
    known = Reason(code="nothing_known_stops_it", message=message, vehicle=vehicle.name, value_mm=radius_mm)
    length_mm, guesses = coupled_length(vehicle, bodies)
    if length_mm is None:
        return Judgement(verdict="runs", because=(known,))
    ratio = tidy(radius_mm / length_mm)
    if "body" not in _mountings(vehicle) and ratio >= SHARPEST_SOLD_RATIO:
        return Judgement(verdict="runs", because=(known,))
    reason = _ratio_reason(vehicle, ratio)
    if ratio >= RELIABLE_RATIO:
        return Judgement(verdict="runs", because=(known, reason), guesses=guesses)
    return Judgement(verdict="marginal", because=(reason,), guesses=guesses)


def _by_ratio(vehicle: Vehicle, bodies: tuple[BodyShape, ...], radius_mm: float) -> Judgement:
    mountings = _mountings(vehicle)
    if mountings <= {"bogie", "guided"}:
        message = (
            f"{vehicle.name}: neither its least radius nor where its wheels stand is known, and with couplings that "
            "the body does not carry its length tells nothing"
        )
        return Judgement(verdict="cannot_tell", because=(_lacks_radius(vehicle, message),))
    length_mm, guesses = coupled_length(vehicle, bodies)
    if length_mm is None:
        message = f"{vehicle.name}: measure its length, or give the least radius that its maker states"
        missing = Reason(code="missing_figure", message=message, vehicle=vehicle.name, field="length_mm")
        return Judgement(verdict="cannot_tell", because=(missing,))
    if "body" not in mountings:
        guesses += (_taken_on_the_body(vehicle),)
    ratio = tidy(radius_mm / length_mm)
    because = (_ratio_reason(vehicle, ratio),)
    if ratio >= RELIABLE_RATIO:
        return Judgement(verdict="runs", because=because, guesses=guesses)
    if ratio >= MOST_STOCK_RATIO:
        return Judgement(verdict="marginal", because=because, guesses=guesses)
    message = f"{vehicle.name}: give the least radius that its maker states, or try it on a curve like this"
    return Judgement(verdict="cannot_tell", because=(*because, _lacks_radius(vehicle, message)), guesses=guesses)


def _mountings(vehicle: Vehicle) -> set[str | None]:
    ends = (vehicle.front_coupling, vehicle.rear_coupling)
    return {None if end is None else end.mounting for end in ends}


def _taken_on_the_body(vehicle: Vehicle) -> Guess:
    about = "its couplings are taken to be carried by the body"
    return Guess(vehicle=vehicle.name, field="mounting", about=about, source="default")


def _lacks_radius(vehicle: Vehicle, message: str) -> Reason:
    return Reason(code="missing_figure", message=message, vehicle=vehicle.name, field="minimum_radius_mm")


def _ratio_reason(vehicle: Vehicle, ratio: float) -> Reason:
    message = (
        f"{vehicle.name}: the radius is {ratio:.2f} times its coupled length; by common practice {RELIABLE_RATIO:g} "
        f"is reliable and {MOST_STOCK_RATIO:g} takes most stock"
    )
    return Reason(code="ratio_advice", message=message, vehicle=vehicle.name, ratio=ratio)
