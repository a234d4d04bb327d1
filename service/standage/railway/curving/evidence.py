"""What is known of whether a vehicle runs on a curve, weighed: a trial first, then its
maker, then its wheels.

The first sort of evidence that decides is the one that counts. A larger radius never
runs worse.
"""

from collections.abc import Iterator

from standage.railway.curving.known_vehicles import KnownVehicle
from standage.railway.curving.ratio_advice import advised_by_length, refused_by_length
from standage.railway.curving.throws import stands_on, versine_mm
from standage.railway.curving.verdicts import Judgement
from standage.railway.stock.bodies import BodyShape
from standage.railway.stock.vehicles import Running, Vehicle
from standage.railway.terms.figures import at_most, beside, exceeds, tidy
from standage.railway.terms.nem import MOST_RUN_ON_DEG, longest_wheelbase_mm
from standage.railway.terms.reasons import Reason

SIDEPLAY_AXLES = 3
"""From so many axles in one rigid frame those between the ends need sideplay."""


def judge(known: KnownVehicle, *, radius_mm: float) -> Judgement:
    """Return whether a vehicle runs on a curve, by the best evidence there is.

    A trial overrules all else; then the radius its maker states, if the wheels' own
    bounds allow it; then those bounds (**Source** NEM 111); then the ratio of radius to
    coupled length (common practice). A length that refuses does so before a figure is
    asked for: a figure that is added never makes a refusal milder.
    """
    for weigh in (
        _by_trial,
        _by_maker,
        _by_bounds,
        _refused_by_length,
        _by_sideplay,
        _by_kind,
    ):
        found = weigh(known, radius_mm)
        if found is not None:
            return found
    return advised_by_length(known, radius_mm=radius_mm)


def _refused_by_length(known: KnownVehicle, radius_mm: float) -> Judgement | None:
    return refused_by_length(known, radius_mm=radius_mm)


def _by_trial(known: KnownVehicle, radius_mm: float) -> Judgement | None:
    vehicle = known.vehicle
    trial = vehicle.trial
    if trial is None:
        return None
    ran_mm, failed_mm = trial.ran_at_radius_mm, trial.failed_at_radius_mm
    if ran_mm is not None and not exceeds(ran_mm, limit=radius_mm):
        message = f"{vehicle.name} ran on a radius of {ran_mm:g} mm when it was tried"
        reason = Reason(
            code="ran_in_trial",
            message=message,
            vehicle=vehicle.name,
            value_mm=radius_mm,
            limit_mm=ran_mm,
        )
        return Judgement(verdict="runs", because=(reason,))
    if failed_mm is not None and not exceeds(radius_mm, limit=failed_mm):
        message = (
            f"{vehicle.name} failed on a radius of {failed_mm:g} mm when it was tried"
        )
        reason = Reason(
            code="failed_in_trial",
            message=message,
            vehicle=vehicle.name,
            value_mm=radius_mm,
            limit_mm=failed_mm,
        )
        return Judgement(verdict="does_not_run", because=(reason,))
    return None


def _by_maker(known: KnownVehicle, radius_mm: float) -> Judgement | None:
    vehicle = known.vehicle
    least_mm = vehicle.minimum_radius_mm
    if least_mm is None:
        return None
    reached = not exceeds(least_mm, limit=radius_mm)
    if reached and any(_out_of_bounds(known, radius_mm)):
        return None
    if reached:
        message = f"{vehicle.name}'s maker states a least radius of {least_mm:g} mm"
        reason = Reason(
            code="within_stated_radius",
            message=message,
            vehicle=vehicle.name,
            value_mm=radius_mm,
            limit_mm=least_mm,
        )
        return Judgement(verdict="runs", because=(reason,))
    short_mm = least_mm - radius_mm
    more = beside(short_mm, limit=0.0)
    message = (
        f"{vehicle.name}'s maker states a least radius of {least_mm:g} mm: {more} mm"
        " more than this"
    )
    reason = Reason(
        code="below_stated_radius",
        message=message,
        vehicle=vehicle.name,
        value_mm=radius_mm,
        limit_mm=least_mm,
        amount_mm=tidy(short_mm),
    )
    return Judgement(verdict="does_not_run", because=(reason,))


def cannot_stand(
    vehicle: Vehicle, body: BodyShape, *, radius_mm: float
) -> Reason | None:
    """Return the reason why a body cannot stand on a curve, or None if it can or its
    pivots are not known. **Source** derived.
    """
    if body.pivots_mm is None:
        return None
    if stands_on(
        radius_mm, pivots_mm=body.pivots_mm, bogie_wheelbase_mm=body.bogie_wheelbase_mm
    ):
        return None
    return Reason(
        code="cannot_stand",
        message=(
            f"{body.name} cannot stand on this curve: its wheelbase is longer than the"
            " curve is across"
        ),
        vehicle=vehicle.name,
        value_mm=body.pivots_mm,
        limit_mm=2 * radius_mm,
    )


def _by_bounds(known: KnownVehicle, radius_mm: float) -> Judgement | None:
    because = tuple(_out_of_bounds(known, radius_mm))
    return (
        Judgement(
            verdict="does_not_run",
            because=because,
        )
        if because
        else None
    )


def _out_of_bounds(known: KnownVehicle, radius_mm: float) -> Iterator[Reason]:
    for body in known.bodies:
        cannot = (
            cannot_stand(known.vehicle, body, radius_mm=radius_mm)
            if body.pivots_given
            else None
        )
        if cannot is not None:
            yield cannot
    yield from _too_long_wheelbases(known, radius_mm)


def _too_long_wheelbases(known: KnownVehicle, radius_mm: float) -> Iterator[Reason]:
    vehicle = known.vehicle
    limit_mm = longest_wheelbase_mm(radius_mm)
    for running in known.runnings:
        for what, wheelbase_mm in (
            ("rigid wheelbase", running.rigid_wheelbase_mm),
            ("bogies' wheelbase", running.bogie_wheelbase_mm),
        ):
            if wheelbase_mm is not None and exceeds(wheelbase_mm, limit=limit_mm):
                message = (
                    f"{vehicle.name}'s {what} of {wheelbase_mm:g} mm would meet the"
                    f" rail at more than {MOST_RUN_ON_DEG:g}°: at most"
                    f" {at_most(limit_mm)} goes round here"
                )
                yield Reason(
                    code="wheelbase_too_long",
                    message=message,
                    vehicle=vehicle.name,
                    value_mm=wheelbase_mm,
                    limit_mm=tidy(limit_mm),
                    limit_deg=MOST_RUN_ON_DEG,
                )


def _by_sideplay(known: KnownVehicle, radius_mm: float) -> Judgement | None:
    because = tuple(
        _needs_sideplay(known.vehicle, running, radius_mm)
        for running in known.runnings
        if running.rigid_axles is not None and running.rigid_axles >= SIDEPLAY_AXLES
    )
    return (
        Judgement(
            verdict="cannot_tell",
            because=because,
        )
        if because
        else None
    )


def _needs_sideplay(vehicle: Vehicle, running: Running, radius_mm: float) -> Reason:
    wheelbase_mm = running.rigid_wheelbase_mm
    needs_mm = (
        None
        if wheelbase_mm is None
        else tidy(versine_mm(radius_mm, chord_mm=wheelbase_mm))
    )
    sideplay = "sideplay" if needs_mm is None else f"{needs_mm:.2f} mm of sideplay"
    message = (
        f"{vehicle.name} has {running.rigid_axles} rigid axles, which need {sideplay}"
        " here; give the least radius that its maker states, or try it"
    )
    return Reason(
        code="needs_sideplay",
        message=message,
        vehicle=vehicle.name,
        field="minimum_radius_mm",
        amount_mm=needs_mm,
    )


def _by_kind(known: KnownVehicle, radius_mm: float) -> Judgement | None:
    vehicle = known.vehicle
    if vehicle.kind != "engine":
        return None
    message = (
        f"{vehicle.name} is an engine, so nothing is guessed: give the least radius"
        " that its maker states, or try it"
    )
    reason = Reason(
        code="missing_figure",
        message=message,
        vehicle=vehicle.name,
        field="minimum_radius_mm",
        value_mm=radius_mm,
    )
    return Judgement(verdict="cannot_tell", because=(reason,))
