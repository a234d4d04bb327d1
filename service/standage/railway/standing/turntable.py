"""A train on a turntable: its wheels on the rails, and its overhangs clear of what
surrounds the pit.
"""

from collections.abc import Iterable, Iterator
from math import hypot

import msgspec

from standage.railway.roads.allowances import RAILS_MM, Allowance
from standage.railway.roads.places import Place
from standage.railway.standing.verdicts import (
    Finding,
    Fit,
    FitVerdict,
    Wording,
    at_both_ends,
    fit,
)
from standage.railway.stock.axles import Axles, axles_of
from standage.railway.stock.bodies import shapes
from standage.railway.stock.coupled import Coupled, Member
from standage.railway.stock.extents import Extent, lacking, to_name
from standage.railway.terms.figures import millimetres, spare_beside_doubt, tidy
from standage.railway.terms.reasons import Guess, Reason

_CIRCLE_CODES: dict[FitVerdict, str] = {
    "fits": "overhang_clear",
    "tight": "too_close_to_call",
    "does_not_fit": "overhang_fouls",
}


class Wheels(msgspec.Struct, frozen=True, kw_only=True):
    """A train from its first axle to its last, and how far it hangs over at either end,
    free couplings included.
    """

    wheelbase: Extent
    head_mm: float
    tail_mm: float
    guesses: tuple[Guess, ...]


class Overhang(msgspec.Struct, frozen=True, kw_only=True):
    """What hangs over, free couplings included, and the circle that it sweeps; None is
    what cannot be told.

    ``beyond_rails_mm`` is that of both ends together. ``circle_mm`` is the diameter
    that must be clear, the train standing as nearly in the middle as its wheels let it;
    ``over_bodies_mm`` is the same without its free couplings.
    """

    beyond_rails_mm: float | None = None
    circle_mm: float | None = None
    over_bodies_mm: float | None = None


class OnTurntable(msgspec.Struct, frozen=True, kw_only=True):
    """What came of it: the wheels held against the rails, all findings, and what was
    guessed.
    """

    counted: Extent
    fit: Fit
    findings: tuple[Finding, ...]
    guesses: tuple[Guess, ...]
    overhang: Overhang


def on_turntable(
    train: Coupled, place: Place, given: Allowance, *, room_mm: float
) -> OnTurntable:
    """Return how ``train`` stands on the turntable whose rails leave ``room_mm`` for
    its wheels.

    ``room_mm`` is the rails less ``RAILS_MM`` and the margin. A train that lies within
    the rails as a whole has nothing to clear; another must stay within the circle clear
    of all that surrounds the pit, its corners counted, when it stands as nearly in the
    middle as its wheels let it. Where its wheels are not known, but it lies within
    those rails as a whole, its length counts: no wheelbase is longer. **Source**
    derived.
    """
    wheels = wheels_of(train)
    if (
        wheels.wheelbase.missing
        and (within := _within(train, given, room_mm=room_mm)).verdict == "fits"
    ):
        return OnTurntable(
            counted=train.pulled_out(),
            fit=within,
            findings=tuple(within.findings()),
            guesses=(),
            overhang=Overhang(beyond_rails_mm=0.0),
        )
    wording = Wording(
        subject="the train, from its first axle to its last,",
        place=given.place,
        where="on",
        fits_code="wheels_within_rails",
        too_long_code="wheelbase_too_long",
        margin_mm=given.margin_mm,
    )
    by_wheels = fit(
        wheels.wheelbase,
        room_mm=room_mm,
        room_plus_minus_mm=given.plus_minus_mm,
        wording=wording,
    )
    width_mm, of_the_width = _width(train)
    overhang = _overhang(train, given, wheels, room_mm=room_mm, width_mm=width_mm)
    findings = tuple(by_wheels.findings())
    if not _lies_within_rails(train, given, room_mm=room_mm):
        findings += tuple(_beyond_the_rails(train, place, given, wheels, overhang))
    guesses = wheels.guesses
    if overhang.circle_mm is not None:
        guesses += of_the_width
    return OnTurntable(
        counted=wheels.wheelbase,
        fit=by_wheels,
        findings=findings,
        guesses=guesses,
        overhang=overhang,
    )


def _within(train: Coupled, given: Allowance, *, room_mm: float) -> Fit:
    wording = Wording(
        subject="the train, from end to end,",
        place=f"the rails of {given.place}",
        where="within",
        fits_code="within_rails",
        margin_mm=given.margin_mm,
    )
    return fit(
        train.pulled_out(),
        room_mm=room_mm,
        room_plus_minus_mm=given.plus_minus_mm,
        wording=wording,
    )


def wheels_of(train: Coupled) -> Wheels:
    """Return ``train`` from its first axle to its last. The ± of a wheelbase is 0 where
    it was given. In mm. **Source** derived.
    """
    return train.once(_wheels)


def _wheels(train: Coupled) -> Wheels:
    first, last = train.members[0], train.members[-1]
    ahead = axles_of(first.vehicle, first.length)
    behind = axles_of(last.vehicle, last.length)
    inset_head_mm = _inset(ahead, first, at_head=True)
    inset_tail_mm = _inset(behind, last, at_head=False)
    head, tail = train.outer_ends()
    if len(train.members) == 1 and ahead.wheelbase_mm is not None:
        wheelbase = Extent(
            known_mm=ahead.wheelbase_mm, plus_minus_mm=ahead.plus_minus_mm
        )
    else:
        insets_mm = (inset_head_mm, inset_tail_mm)
        wheelbase = _between_axles(train, ahead, behind, insets_mm=insets_mm)
    return Wheels(
        wheelbase=wheelbase,
        head_mm=inset_head_mm + head.projection.known_mm,
        tail_mm=inset_tail_mm + tail.projection.known_mm,
        guesses=(*ahead.guesses, *behind.guesses),
    )


def _between_axles(
    train: Coupled, ahead: Axles, behind: Axles, *, insets_mm: tuple[float, float]
) -> Extent:
    """Return from the first axle of the first vehicle to the last one of the last."""
    last = len(train.members) - 1
    span = train.span(0, last)
    # where axles are missing they may lie anywhere in their vehicle, which may be one
    unplaced = {place for place, axles in ((0, ahead), (last, behind)) if axles.missing}
    known_mm = span.known_mm
    for inset_mm in insets_mm:
        known_mm -= inset_mm
    known_mm -= train.lying_in_mm(sorted(unplaced), first=0, last=last)
    axles_mm = (ahead.plus_minus_mm + behind.plus_minus_mm) / 2
    return Extent(
        known_mm=max(0.0, known_mm),
        plus_minus_mm=span.plus_minus_mm + axles_mm,
        missing=(*ahead.missing, *behind.missing, *span.missing),
        unsaid_mm=span.unsaid_mm,
        unsaid=span.unsaid,
    )


def reserve_mm(member: Member, *, at_head: bool) -> float | None:
    """Return how far a vehicle hangs over beyond its last wheel at one end, free
    coupling included; None if unsure. **Source** derived.
    """
    axles = axles_of(member.vehicle, member.length)
    end = member.head if at_head else member.tail
    if not axles.sure or end.projection.missing:
        return None
    inset_mm = _inset(axles, member, at_head=at_head)
    return tidy(inset_mm + end.projection.known_mm)


def _inset(axles: Axles, member: Member, *, at_head: bool) -> float:
    is_front = at_head != member.vehicle.reversed
    inset_mm = axles.front_mm if is_front else axles.rear_mm
    return inset_mm or 0.0


def _lies_within_rails(train: Coupled, given: Allowance, *, room_mm: float) -> bool:
    wording = Wording(subject="the train", place=given.place)
    rails_mm = room_mm + RAILS_MM
    within = fit(
        train.pulled_out(),
        room_mm=rails_mm,
        room_plus_minus_mm=given.plus_minus_mm,
        wording=wording,
    )
    return within.verdict == "fits"


def _overhang(
    train: Coupled,
    given: Allowance,
    wheels: Wheels,
    *,
    room_mm: float,
    width_mm: float | None,
) -> Overhang:
    """Return what hangs over. Without a width the circle is that of the length alone,
    which is the least there is.
    """
    over_all_mm = train.pulled_out().length_mm
    if over_all_mm is None or given.usable_mm is None:
        return Overhang()
    beyond_mm = tidy(max(0.0, over_all_mm - given.usable_mm))
    wheelbase_mm = wheels.wheelbase.length_mm
    if wheelbase_mm is None:
        return Overhang(beyond_rails_mm=beyond_mm)
    slack_mm = max(0.0, (room_mm - wheelbase_mm) / 2)
    half_width_mm = (width_mm or 0.0) / 2
    head, tail = (end.projection.known_mm for end in train.outer_ends())

    def circle_mm(length_mm: float, *, ends_mm: tuple[float, float]) -> float:
        ahead_mm, behind_mm = ends_mm
        # a train is moved along the rails until it hangs over alike, if it can be
        uneven_mm = abs(ahead_mm - behind_mm) / 2
        farthest_mm = length_mm / 2 + max(0.0, uneven_mm - slack_mm)
        radius_mm = hypot(farthest_mm, half_width_mm)
        return tidy(2 * radius_mm)

    ends_mm = (wheels.head_mm, wheels.tail_mm)
    bodies_mm = over_all_mm - head - tail
    body_ends_mm = (wheels.head_mm - head, wheels.tail_mm - tail)
    return Overhang(
        beyond_rails_mm=beyond_mm,
        circle_mm=circle_mm(over_all_mm, ends_mm=ends_mm),
        over_bodies_mm=circle_mm(bodies_mm, ends_mm=body_ends_mm),
    )


def _beyond_the_rails(
    train: Coupled, place: Place, given: Allowance, wheels: Wheels, overhang: Overhang
) -> Iterator[Finding]:
    """Yield what is found of a train that hangs over the rails, whose circle is known
    unless a figure is missing.
    """
    over_all = train.pulled_out()
    if overhang.circle_mm is None:
        unknown = lacking((*over_all.missing, *wheels.wheelbase.missing))
        yield from _untold(unknown)
        return
    width_mm, _ = _width(train)
    hangs = _hangs(given, overhang, wide=width_mm is not None)
    if place.clear_circle_mm is None:
        yield from _untold([_unknown_circle(given, hangs, overhang)])
        return
    plus_minus_mm = tidy(over_all.plus_minus_mm + given.plus_minus_mm)
    spare_mm = tidy(place.clear_circle_mm - overhang.circle_mm)
    needs = msgspec.structs.replace(over_all, known_mm=overhang.circle_mm)
    verdict = at_both_ends(
        needs, room_mm=place.clear_circle_mm, room_plus_minus_mm=given.plus_minus_mm
    )
    if width_mm is None and verdict != "does_not_fit":
        yield from _untold([_unknown_width(train)])
        return
    if verdict == "cannot_tell":
        yield from _untold(to_name(over_all.unsaid))
        return
    amount, off = spare_beside_doubt(spare_mm, plus_minus_mm=plus_minus_mm)
    side = "to spare" if spare_mm >= 0 else "more than there is"
    doubt = ": too close to call" if verdict == "tight" else ""
    reason = Reason(
        code=_CIRCLE_CODES[verdict],
        message=f"{hangs}, {amount} {side}{off}{doubt}",
        place=given.place,
        value_mm=overhang.circle_mm,
        limit_mm=place.clear_circle_mm,
        amount_mm=abs(spare_mm),
    )
    yield Finding(
        verdict=verdict,
        reason=reason,
    )


def _untold(reasons: Iterable[Reason]) -> Iterator[Finding]:
    for reason in reasons:
        yield Finding(verdict="cannot_tell", reason=reason)


def _hangs(given: Allowance, overhang: Overhang, *, wide: bool) -> str:
    beyond_mm, circle_mm = overhang.beyond_rails_mm or 0.0, overhang.circle_mm or 0.0
    hangs = "may hang over the rails"
    if beyond_mm:
        hangs = f"hangs {millimetres(beyond_mm)} over the rails"
    circle = millimetres(circle_mm)
    if not wide:
        circle = f"at least {circle}"
    bodies_mm = overhang.over_bodies_mm
    if bodies_mm is not None and bodies_mm != circle_mm:
        circle = f"{circle} ({millimetres(bodies_mm)} without its couplings)"
    return (
        f"the train {hangs} of {given.place}, both ends together, and needs a clear"
        f" circle of {circle}"
    )


def _width(train: Coupled) -> tuple[float | None, tuple[Guess, ...]]:
    return train.once(_widest)


def _widest(train: Coupled) -> tuple[float | None, tuple[Guess, ...]]:
    widest_mm = 0.0
    guesses: list[Guess] = []
    for end in (train.members[0], train.members[-1]):
        for body in shapes(end.vehicle):
            if body.width_mm is None:
                return None, ()
            widest_mm = max(widest_mm, body.width_mm)
            guesses += [guess for guess in body.guesses if guess.field == "width_mm"]
    return widest_mm, tuple(guesses)


def _unknown_circle(given: Allowance, hangs: str, overhang: Overhang) -> Reason:
    message = f"{hangs}: measure the circle (clear_circle_mm)"
    return Reason(
        code="missing_figure",
        message=message,
        place=given.place,
        field="clear_circle_mm",
        value_mm=overhang.circle_mm,
    )


def _unknown_width(train: Coupled) -> Reason:
    first, last = train.members[0], train.members[-1]
    narrow = first if _lacks_width(first) else last
    message = (
        f"{narrow.name}: measure its width; without it nobody can tell whether its"
        " corners clear"
    )
    return Reason(
        code="missing_figure", message=message, vehicle=narrow.name, field="width_mm"
    )


def _lacks_width(member: Member) -> bool:
    return any(body.width_mm is None for body in shapes(member.vehicle))
