"""The least radius on which a vehicle runs, rule by rule: the inverse of the evidence.

Each rule gives a radius. Those that count are the ones that ``evidence`` would go by,
and the largest of them decides: from there on the vehicle runs, and below it does not.
"""

from collections.abc import Iterator, Sequence
from math import hypot, radians, sin
from typing import Literal

import msgspec

from standage.railway.curving.evidence import judge
from standage.railway.curving.known_vehicles import (
    KnownVehicle,
    coupled_length,
    known_vehicle,
)
from standage.railway.curving.ratio_advice import (
    MOST_SWIVEL_DEG,
    ON_BOGIES_RATIO,
    ON_THE_BODY_RATIO,
    is_on_the_body,
)
from standage.railway.curving.verdicts import Judgement
from standage.railway.stock.couplings import CouplingTypes
from standage.railway.stock.extents import is_over_couplings
from standage.railway.stock.vehicles import Vehicle
from standage.railway.terms.figures import (
    LONGEST_MM,
    at_least,
    millimetres,
    tidy_down,
    tidy_up,
)
from standage.railway.terms.nem import MOST_RUN_ON_DEG
from standage.railway.terms.reasons import Guess, Reason, named_once

Rule = Literal[
    "ran_in_trial",
    "failed_in_trial",
    "makers_radius",
    "rigid_wheelbase",
    "bogie_wheelbase",
    "wheels_span",
    "bogie_swivel",
    "1.5_times_coupled_length",
    "2.5_times_coupled_length",
    "3_times_coupled_length",
    "5_times_coupled_length",
    "swept_joint",
]
RELIABLE_RATIO = 3.0
"""Radius ÷ coupled length on which stock tracks reliably. **Source** common
practice.
"""
COUPLES_RATIO = 5.0
"""Radius ÷ coupled length on which stock couples on the curve. **Source** common
practice.
"""
STEP_MM = 0.1
"""So much more than a radius that is not enough: nobody lays a curve more closely."""
_RATIOS: tuple[tuple[Rule, float, str], ...] = (
    (
        "1.5_times_coupled_length",
        ON_BOGIES_RATIO,
        "most stock with couplings on bogies or guided takes",
    ),
    (
        "2.5_times_coupled_length",
        ON_THE_BODY_RATIO,
        "most stock with couplings on the body takes",
    ),
    ("3_times_coupled_length", RELIABLE_RATIO, "stock tracks reliably on"),
    ("5_times_coupled_length", COUPLES_RATIO, "stock couples on a curve of"),
)


class RadiusRule(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """The least radius by one rule, in mm and in words; ``counts`` where a curve is
    judged by it. A joint has an ``other_vehicle``.
    """

    rule: Rule
    vehicle: str
    radius_mm: float
    counts: bool
    message: str
    other_vehicle: str | None = None


class LeastRadius(msgspec.Struct, frozen=True, kw_only=True):
    """From what radius on a vehicle runs, in mm, the rules behind it, and what had to
    be guessed.

    ``radius_mm`` is None where nobody can tell, and ``because`` then says what has to
    be measured.
    """

    radius_mm: float | None
    rules: tuple[RadiusRule, ...]
    because: tuple[Reason, ...] = ()
    guesses: tuple[Guess, ...] = ()


def least_radius(
    vehicle: Vehicle, *, types: CouplingTypes, by_length: bool = True
) -> LeastRadius:
    """Return from what radius on ``vehicle`` runs by itself, in mm, and the radius of
    every rule.

    A trial counts alone where it ran on less than the others ask for. Without
    ``by_length`` the ratios of radius to coupled length give way, as they do where
    every joint of the vehicle is swept; 0 is then any radius. Never more than a
    kilometre: a larger one is told, but no curve can be asked about it.

    **Source** that of each rule: NEM 111 (2016) for wheelbases, common practice for
    lengths and swivel.
    """
    known = known_vehicle(vehicle, types=types)
    ran, failed = _trials(known)
    advice = _RuleSet(
        bounds=(*failed, *_wheelbases(known)),
        maker=tuple(_maker(known)),
        swivel=tuple(_swivels(known)),
        ratios=tuple(_by_length(known)),
    )
    counting = _counting(known, advice, by_length=by_length)
    rules = advice.every
    if ran is not None and (counting is None or _largest_mm(counting) > ran.radius_mm):
        counting = (ran,)
    if ran is not None:
        rules = (ran, *rules)
    if counting is None:
        # what refuses does so whatever else is found out
        refusing = (*advice.bounds, *advice.swivel)
        return LeastRadius(
            radius_mm=None,
            rules=tuple(_marked(rule, refusing) for rule in rules),
            because=_what_is_missing(known),
        )
    radius_mm = _largest_mm(counting)
    return LeastRadius(
        radius_mm=radius_mm,
        rules=tuple(_marked(rule, counting) for rule in rules),
        guesses=_guesses(known, radius_mm, counting),
    )


class _RuleSet(msgspec.Struct, frozen=True, kw_only=True):
    """The rules of a vehicle by their sort, a trial that ran left out."""

    bounds: tuple[RadiusRule, ...]
    maker: tuple[RadiusRule, ...]
    swivel: tuple[RadiusRule, ...]
    ratios: tuple[RadiusRule, ...]

    @property
    def every(self) -> tuple[RadiusRule, ...]:
        """All of them, those first that are better evidence."""
        return (*self.bounds, *self.maker, *self.swivel, *self.ratios)


def _counting(
    known: KnownVehicle, found: _RuleSet, *, by_length: bool
) -> tuple[RadiusRule, ...] | None:
    """Return the rules that a curve is judged by where no trial ran; None where nobody
    can tell on any curve.
    """
    if found.maker:
        return (*found.bounds, *found.maker)
    if _on_the_easiest(known).verdict == "cannot_tell":
        return None
    if not by_length:
        return (*found.bounds, *found.swivel)
    ratio = ON_THE_BODY_RATIO if is_on_the_body(known) else ON_BOGIES_RATIO
    sorts = {rule for rule, times, _ in _RATIOS if times == ratio}
    deciding = [each for each in found.ratios if each.rule in sorts]
    return (*found.bounds, *found.swivel, *deciding)


def _on_the_easiest(known: KnownVehicle) -> Judgement:
    """Judge on the easiest curve that can be asked about, trials left out."""
    untried = msgspec.structs.replace(known.vehicle, trial=None)
    without = msgspec.structs.replace(known, vehicle=untried)
    return judge(without, radius_mm=LONGEST_MM)


def _largest_mm(rules: Sequence[RadiusRule]) -> float:
    return max((rule.radius_mm for rule in rules), default=0.0)


def _marked(rule: RadiusRule, counting: Sequence[RadiusRule]) -> RadiusRule:
    return msgspec.structs.replace(rule, counts=rule in counting)


def _what_is_missing(known: KnownVehicle) -> tuple[Reason, ...]:
    because = _on_the_easiest(known).because
    lacking = (_of_any_curve(known, one) for one in because if one.field)
    return named_once(lacking)


def _of_any_curve(known: KnownVehicle, reason: Reason) -> Reason:
    """Return what is missing, without the figures of the curve that it was found on."""
    if reason.field != "minimum_radius_mm":
        return reason
    why = "is an engine, so nothing is guessed"
    if reason.code == "needs_sideplay":
        why = "has so many axles in one frame that they need sideplay"
    message = (
        f"{known.name} {why}: give the least radius that its maker states, or try it"
    )
    return msgspec.structs.replace(
        reason, message=message, value_mm=None, amount_mm=None
    )


def _guesses(
    known: KnownVehicle, radius_mm: float, counting: Sequence[RadiusRule]
) -> tuple[Guess, ...]:
    """Return what was guessed for the rules that count: for wheels nothing is."""
    if not any(rule.rule.endswith("coupled_length") for rule in counting):
        return ()
    judgement = judge(known, radius_mm=min(max(radius_mm, STEP_MM), LONGEST_MM))
    if known.vehicle.bodies is not None or is_over_couplings(known.vehicle):
        # what the couplings reach is no part of it, or in it already
        return judgement.guesses
    return (*judgement.guesses, *known.by_type)


def _trials(
    known: KnownVehicle,
) -> tuple[RadiusRule | None, tuple[RadiusRule, ...]]:
    """Return the radius on which it ran, and the one on which it failed."""
    trial = known.vehicle.trial
    if trial is None:
        return None, ()
    ran = None
    if trial.ran_at_radius_mm is not None:
        on_mm = trial.ran_at_radius_mm
        message = f"{known.name} ran on {millimetres(on_mm)} when it was tried"
        ran = _rule(known, "ran_in_trial", on_mm, message)
    if trial.failed_at_radius_mm is None:
        return ran, ()
    on_mm = trial.failed_at_radius_mm
    message = (
        f"{known.name} failed on {millimetres(on_mm)} when it was tried: it takes more"
    )
    failed = _rule(known, "failed_in_trial", _just_more(on_mm), message)
    return ran, (failed,)


def _maker(known: KnownVehicle) -> Iterator[RadiusRule]:
    stated_mm = known.vehicle.minimum_radius_mm
    if stated_mm is not None:
        stated = millimetres(stated_mm)
        message = f"{known.name}'s maker states a least radius of {stated}"
        yield _rule(known, "makers_radius", stated_mm, message)


def _wheelbases(known: KnownVehicle) -> Iterator[RadiusRule]:
    steepest = 2 * sin(radians(MOST_RUN_ON_DEG))
    for running in known.runnings:
        wheelbases: tuple[tuple[Rule, str, float | None], ...] = (
            ("rigid_wheelbase", "rigid wheelbase", running.rigid_wheelbase_mm),
            ("bogie_wheelbase", "bogies' wheelbase", running.bogie_wheelbase_mm),
        )
        for rule, what, wheelbase_mm in wheelbases:
            if wheelbase_mm is None:
                continue
            radius_mm = tidy_up(wheelbase_mm / steepest)
            message = (
                f"{known.name}'s {what} of {millimetres(wheelbase_mm)} meets the rail"
                f" at no more than {MOST_RUN_ON_DEG:g}° from {at_least(radius_mm)} on"
            )
            yield _rule(known, rule, radius_mm, message)
    for body in known.bodies:
        if body.pivots_mm is None or not body.pivots_given:
            continue
        span_mm = hypot(body.pivots_mm, body.bogie_wheelbase_mm)
        radius_mm = _just_more(span_mm / 2)
        message = f"{body.name} can stand on no circle of {millimetres(span_mm)} across"
        yield _rule(known, "wheels_span", radius_mm, message)


def _swivels(known: KnownVehicle) -> Iterator[RadiusRule]:
    for running in known.runnings:
        if running.bogie_centres_mm is None:
            continue
        # the sine of 30° is a half
        apart_mm = running.bogie_centres_mm
        message = (
            f"{known.name}'s bogies, {millimetres(apart_mm)} apart, swivel by no more"
            f" than {MOST_SWIVEL_DEG:g}° from {at_least(apart_mm)} on"
        )
        yield _rule(known, "bogie_swivel", apart_mm, message)


def _by_length(known: KnownVehicle) -> Iterator[RadiusRule]:
    length = coupled_length(known)
    if length is None:
        return
    long = f"is {millimetres(length.length_mm)} long coupled"
    if known.vehicle.bodies is not None:
        long = f"has a body of {millimetres(length.length_mm)}"
    for rule, ratio, what in _RATIOS:
        radius_mm = tidy_up(ratio * length.length_mm)
        message = (
            f"{known.name} {long}: by common practice {what} {ratio:g} times that,"
            f" {at_least(radius_mm)}"
        )
        yield _rule(known, rule, radius_mm, message)


def _rule(
    known: KnownVehicle, rule: Rule, radius_mm: float, message: str
) -> RadiusRule:
    return RadiusRule(
        rule=rule,
        vehicle=known.name,
        radius_mm=radius_mm,
        counts=False,
        message=message,
    )


def _just_more(not_enough_mm: float) -> float:
    """Return a radius beyond one that is not enough, which it no longer is a step
    less.
    """
    return tidy_down(not_enough_mm + STEP_MM)
