"""The advice by the ratio of radius to coupled length, where nothing better is known.

**Source** of every limit here: common practice.
"""

from collections.abc import Iterator
from math import asin, degrees, inf

from standage.railway.curving.known_vehicles import KnownVehicle, coupled_length
from standage.railway.curving.verdicts import Judgement
from standage.railway.terms.figures import beside, exceeds, millimetres, tidy, tidy_down
from standage.railway.terms.reasons import Guess, Reason

ON_THE_BODY_RATIO = 2.5
"""Radius ÷ coupled length from which most stock with couplings on the body tracks."""
ON_BOGIES_RATIO = 1.5
"""Radius ÷ coupled length from which most stock with guided couplings, or couplings on
its bogies, tracks.
"""
SHARPEST_RATIO = 1.0
"""Radius ÷ coupled length below which nothing with couplings on the body runs."""
MOST_SWIVEL_DEG = 30.0
"""The most that a bogie swivels under its body."""


def refused_by_length(known: KnownVehicle, *, radius_mm: float) -> Judgement | None:
    """Return the one refusal that needs no other figure than lengths, or None.

    A vehicle that is longer coupled than the radius and has couplings on the body, or
    nobody knows where; or one whose bogies would have to swivel too far. A length that
    is only scaled from the full size refuses nothing. **Source** common practice.
    """
    swivelled = tuple(_swivelled_too_far(known, radius_mm))
    if swivelled:
        return Judgement(verdict="does_not_run", because=swivelled)
    length = coupled_length(known)
    if length is None or length.scaled or not is_on_the_body(known):
        return None
    ratio = _ratio(radius_mm, length.length_mm)
    if ratio >= SHARPEST_RATIO:
        return None
    message = (
        f"{known.name} is {beside(length.length_mm, limit=radius_mm)} mm long coupled,"
        f" more than the radius of {radius_mm:g} mm: with couplings on the body nothing"
        " so long goes round"
    )
    reason = Reason(
        code="longer_than_radius",
        message=message,
        vehicle=known.name,
        value_mm=tidy(length.length_mm),
        limit_mm=radius_mm,
        ratio=ratio,
    )
    guesses = length.guesses + tuple(_taken_on_the_body(known))
    return Judgement(
        verdict="does_not_run", because=(reason,), guesses=guesses, by_length=True
    )


def advised_by_length(known: KnownVehicle, *, radius_mm: float) -> Judgement:
    """Return what the ratio of radius to coupled length advises: ``runs`` or
    ``marginal``.

    ``cannot_tell`` without a length, and where one that is only scaled from the full
    size would be ``marginal``. **Source** common practice.
    """
    length = coupled_length(known)
    if length is None:
        lacks = _lacks_length(known, why=_of_what_class(known))
        return Judgement(verdict="cannot_tell", because=(lacks,))
    ratio = _ratio(radius_mm, length.length_mm)
    least = ON_THE_BODY_RATIO if is_on_the_body(known) else ON_BOGIES_RATIO
    advice = _advice(known, ratio, least)
    guesses = length.guesses + tuple(_taken_on_the_body(known))
    if ratio >= least:
        return Judgement(
            verdict="runs", because=(advice,), guesses=guesses, by_length=True
        )
    if length.scaled:
        because = (advice, _lacks_length(known))
        return Judgement(
            verdict="cannot_tell", because=because, guesses=guesses, by_length=True
        )
    return Judgement(
        verdict="marginal", because=(advice,), guesses=guesses, by_length=True
    )


def _lacks_length(known: KnownVehicle, *, why: str = "") -> Reason:
    message = (
        f"{known.name}: measure its length{why}, or give the least radius that its"
        " maker states"
    )
    return Reason(
        code="missing_figure", message=message, vehicle=known.name, field="length_mm"
    )


def _of_what_class(known: KnownVehicle) -> str:
    """Return in words why an American car's class does not tell its length; nothing of
    others.
    """
    class_ft = known.vehicle.nominal_length_ft
    if class_ft is None:
        return ""
    return f" (its class of {class_ft} ft does not tell it)"


def _advice(known: KnownVehicle, ratio: float, least: float) -> Reason:
    where = "on the body" if is_on_the_body(known) else "on bogies or guided"
    message = (
        f"{known.name}: the radius is {_to_hundredths(ratio)} times its coupled length;"
        f" by common practice most stock with couplings {where} takes {least:g}"
    )
    if ratio < least:
        message += ": try it, or give its maker's least radius"
    return Reason(code="ratio_advice", message=message, vehicle=known.name, ratio=ratio)


def _ratio(radius_mm: float, length_mm: float) -> float:
    """Return how many times the length goes into the radius; of a length too small to
    be told from none, endless.
    """
    return tidy(radius_mm / length_mm) if tidy(length_mm) > 0 else inf


def _to_hundredths(ratio: float) -> str:
    """Return a ratio that is never printed as more than it is: 2.499 is not 2.50, of
    which it falls short.
    """
    if ratio == inf:  # on straight track
        return "any number of"
    return f"{tidy_down(ratio, step=0.01):.2f}"


def is_on_the_body(known: KnownVehicle) -> bool:
    """Tell whether a coupling is carried by the body, or nobody knows by what.
    **Source** derived.
    """
    return not {"body", None}.isdisjoint(known.mountings)


def _taken_on_the_body(known: KnownVehicle) -> Iterator[Guess]:
    if "body" not in known.mountings and None in known.mountings:
        about = "its couplings are taken to be carried by the body"
        yield Guess(
            vehicle=known.name,
            field="mounting",
            about=about,
            source="default",
        )


def _swivelled_too_far(known: KnownVehicle, radius_mm: float) -> Iterator[Reason]:
    for body, running in zip(known.bodies, known.runnings, strict=True):
        centres_mm = running.bogie_centres_mm
        # The sine of 30° is a half, so that the limit is met where the pivots are a
        # radius apart.
        if centres_mm is None or not exceeds(centres_mm, limit=radius_mm):
            continue
        swivel_deg = degrees(asin(min(1.0, centres_mm / 2 / radius_mm)))
        message = (
            f"{body.name}: its bogies, {millimetres(centres_mm)} apart, would have to"
            f" swivel by {beside(swivel_deg, limit=MOST_SWIVEL_DEG)}°, more than the"
            f" {MOST_SWIVEL_DEG:g}° that bogies do"
        )
        yield Reason(
            code="bogies_swivel_too_far",
            message=message,
            vehicle=known.name,
            value_mm=centres_mm,
            limit_mm=radius_mm,
            value_deg=tidy(swivel_deg),
            limit_deg=MOST_SWIVEL_DEG,
        )
