"""Whether two ends of modules can be put together: gauge, tracks opposite each other,
rails of one height, wiring.

All is symmetric: which end is called one and which the other changes no verdict and no
amount.
"""

from collections.abc import Iterable, Iterator
from typing import Annotated, Literal

import msgspec

from standage.railway.modules.boards import EndConnector, EndTrack
from standage.railway.modules.opposite import Facing, Opposite, opposite, sideways
from standage.railway.modules.shortfalls import Shortfall
from standage.railway.modules.standard_ends import (
    height_between_steps,
    tracks_off_place,
)
from standage.railway.modules.standard_rules import (
    HeightSteps,
    StandardRule,
    TrackPlace,
)
from standage.railway.standing.suitability import SAME_GAUGE
from standage.railway.terms.figures import (
    Room,
    exceeds,
    listed,
    millimetres,
    says,
    tidy,
)
from standage.railway.terms.reasons import Assumed, Reason, worst
from standage.railway.terms.scales import ScaleName, same_scale, scale
from standage.railway.terms.senses import NAMES_IT
from standage.shapes.faults import Ruled

JoinVerdict = Literal["does_not_join", "cannot_tell", "joins_with_care", "joins"]
WORST_FIRST: tuple[JoinVerdict, ...] = (
    "does_not_join",
    "cannot_tell",
    "joins_with_care",
    "joins",
)

ASIDE_MM = 1.0
"""So far aside two rails may lie where they meet. **Source** common practice."""
STEP_MM = 0.5
"""So high a step the wheels may meet where the boards do. **Source** common
practice.
"""


_COMPARED = {
    "gauge_mm": "laid_gauge_mm",
    "scale": "scale",
    "wheels": "wheels",
    "connector": "connector",
}
"""What the ends say of themselves, by what an answer calls it."""


class JoinTolerances(Ruled, frozen=True, kw_only=True):
    """What passes where two ends meet."""

    offset_mm: Annotated[
        Room | None,
        says(
            "How far aside two tracks may lie, either way, in mm; 1 by common practice"
            " if not said."
        ),
    ] = None
    step_mm: Annotated[
        Room | None,
        says(
            "How high a step between the rails may be, in mm; 0.5 by common practice if"
            " not said."
        ),
    ] = None


class JoinEnd(msgspec.Struct, frozen=True, kw_only=True):
    """One of the two ends that are to be put together, with what its module says of
    itself.
    """

    name: Annotated[str, NAMES_IT]
    tracks: tuple[EndTrack, ...]
    scale: ScaleName | None = None
    gauge_mm: float | None = None
    wheels: str | None = None
    rail_height_mm: float | None = None
    straight_mm: float | None = None
    connector: EndConnector | None = None

    @property
    def laid_gauge_mm(self) -> float | None:
        """Its gauge as it is said, else its scale's usual one."""
        if self.gauge_mm is None and self.scale is not None:
            return scale(self.scale).gauge_mm
        return self.gauge_mm


class JoinFinding(msgspec.Struct, frozen=True, kw_only=True):
    """One thing that was found out, and what it makes of the verdict; a mere note makes
    ``joins`` of it.
    """

    verdict: JoinVerdict
    reason: Reason


def join_verdict(findings: Iterable[JoinFinding]) -> JoinVerdict:
    """Return the worst verdict of all; ``joins`` where nothing was found. **Source**
    derived.
    """
    verdicts = (finding.verdict for finding in findings)
    return worst(verdicts, order=WORST_FIRST)


def worst_first(findings: Iterable[JoinFinding]) -> tuple[Reason, ...]:
    """Return the reasons, worst first; of one verdict in the order in which they were
    found. **Source** derived.
    """

    def how_bad(finding: JoinFinding) -> int:
        return WORST_FIRST.index(finding.verdict)

    in_order = sorted(findings, key=how_bad)
    return tuple(finding.reason for finding in in_order)


def taken_as_read(one: JoinEnd, other: JoinEnd) -> Iterator[Assumed]:
    """Yield what only one of the ends says of gauge, scale and wheels, so that the
    other is taken to agree. **Source** derived.
    """
    for silent, speaking in ((one, other), (other, one)):
        if silent.laid_gauge_mm is None and speaking.laid_gauge_mm is not None:
            gauge_mm = speaking.laid_gauge_mm
            message = (
                f"{silent.name}: its gauge is taken to be that of {speaking.name},"
                f" {millimetres(gauge_mm)}"
            )
            yield Assumed(
                field="gauge_mm",
                message=message,
                source="taken_as_read",
                value_mm=gauge_mm,
            )
        for field in ("scale", "wheels"):
            said = getattr(speaking, field)
            if getattr(silent, field) is None and said is not None:
                words = {
                    "scale": "scale is taken to be that of",
                    "wheels": "track is taken to be laid for the same wheels as",
                }[field]
                message = f"{silent.name}: its {words} {speaking.name}, {said}"
                yield Assumed(
                    field=field, message=message, source="taken_as_read", value=said
                )


def not_compared(one: JoinEnd, other: JoinEnd) -> tuple[str, ...]:
    """Return the fields that neither end says, so that nothing could be compared there.
    **Source** derived.
    """
    return tuple(
        field
        for field, name in _COMPARED.items()
        if getattr(one, name) is getattr(other, name) is None
    )


def by_gauge(one: JoinEnd, other: JoinEnd) -> Iterator[JoinFinding]:
    """Yield what gauge, scale and wheels say: another gauge never joins, another scale
    on one gauge is only said. **Source** common practice.
    """
    one_mm, other_mm = one.laid_gauge_mm, other.laid_gauge_mm
    if (
        one_mm is not None
        and other_mm is not None
        and abs(one_mm / other_mm - 1) > SAME_GAUGE
    ):
        apart_mm = tidy(abs(one_mm - other_mm))
        message = (
            f"{one.name} has {millimetres(one_mm)} gauge, {other.name} has"
            f" {millimetres(other_mm)}: they differ by {millimetres(apart_mm)}"
        )
        reason = Reason(
            code="gauge_differs",
            message=message,
            value_mm=one_mm,
            limit_mm=other_mm,
            amount_mm=apart_mm,
        )
        yield JoinFinding(verdict="does_not_join", reason=reason)
    elif (
        one.scale is not None
        and other.scale is not None
        and not same_scale(one.scale, other.scale)
    ):
        message = (
            f"{one.name} is of scale {one.scale}, {other.name} of {other.scale}: trains"
            " run, but look odd"
        )
        yield JoinFinding(
            verdict="joins", reason=Reason(code="other_scale", message=message)
        )
    if (
        one.wheels is not None
        and other.wheels is not None
        and one.wheels.casefold() != other.wheels.casefold()
    ):
        message = (
            f"{one.name} is laid for {one.wheels} wheels, {other.name} for"
            f" {other.wheels}: stock for one may not run through the points of the"
            " other"
        )
        yield JoinFinding(
            verdict="joins_with_care",
            reason=Reason(code="wheels_differ", message=message),
        )


def by_height(one: JoinEnd, other: JoinEnd, *, step_mm: float) -> Iterator[JoinFinding]:
    """Yield what the rails' heights above the floor say; ``step_mm`` is the highest
    step that passes. **Source** common practice.
    """
    silent = [end.name for end in (one, other) if end.rail_height_mm is None]
    if one.rail_height_mm is None or other.rail_height_mm is None:
        message = (
            f"{listed(sorted(silent))}: measure from the floor to the top of the rails"
        )
        reason = Reason(code="missing_figure", message=message, field="rail_height_mm")
        yield JoinFinding(verdict="cannot_tell", reason=reason)
        return
    low, high = sorted(
        (one, other), key=lambda end: (end.rail_height_mm or 0.0, end.name)
    )
    found_mm = tidy(abs(one.rail_height_mm - other.rail_height_mm))
    if exceeds(found_mm, limit=step_mm):
        message = (
            f"the rails of {low.name} lie {millimetres(found_mm)} below those of"
            f" {high.name}, {millimetres(found_mm - step_mm)} more than the wheels"
            " take: raise its feet if you can"
        )
        reason = Reason(
            code="rails_step",
            message=message,
            field="rail_height_mm",
            value_mm=found_mm,
            limit_mm=step_mm,
            amount_mm=tidy(found_mm - step_mm),
        )
        yield JoinFinding(verdict="does_not_join", reason=reason)


def by_standard(end: JoinEnd, rules: Iterable[StandardRule]) -> Iterator[JoinFinding]:
    """Yield where an end lies off the places and heights of a standard: notes, as this
    joint may hold all the same. **Source** the club's own rules.
    """
    for rule in rules:
        for shortfall in _off_standard(end, rule):
            reason = Reason(
                code=shortfall.code,
                message=(
                    f"{shortfall.message}: it may join this end, but not every other of"
                    " the standard"
                ),
                field=shortfall.field,
                value_mm=shortfall.value_mm,
                limit_mm=shortfall.limit_mm,
                amount_mm=shortfall.amount_mm,
            )
            yield JoinFinding(verdict="joins", reason=reason)


def _off_standard(end: JoinEnd, rule: StandardRule) -> Iterable[Shortfall]:
    if isinstance(rule, TrackPlace):
        return tracks_off_place(rule, end.tracks, end=end.name)
    if isinstance(rule, HeightSteps) and end.rail_height_mm is not None:
        return height_between_steps(
            rule, end=end.name, rail_height_mm=end.rail_height_mm
        )
    return ()


def by_tracks(
    one: JoinEnd, other: JoinEnd, *, aside_mm: float
) -> Iterator[JoinFinding]:
    """Yield what the places of the tracks say, pair by pair; ``aside_mm`` is the most
    by which they may miss. **Source** common practice.
    """
    met = opposite(one.tracks, other.tracks)
    yield from _alone(met, one=one, other=other)
    is_anything_alone = met.alone_on_one or met.alone_on_other
    if met.pairs and not is_anything_alone:
        yield from _all_meet(
            met,
            one=one,
            other=other,
            aside_mm=aside_mm,
        )
    missing = [
        pair for pair in met.pairs if exceeds(abs(pair.aside_mm), limit=aside_mm)
    ]
    for pair in missing:
        reason = _they_miss(
            pair,
            one=one,
            other=other,
            aside_mm=aside_mm,
        )
        yield JoinFinding(verdict="does_not_join", reason=reason)
    if missing:
        yield _cure(
            met,
            one=one,
            other=other,
            aside_mm=aside_mm,
        )


def _they_miss(
    pair: Facing, *, one: JoinEnd, other: JoinEnd, aside_mm: float
) -> Reason:
    found_mm = tidy(abs(pair.aside_mm))
    over_mm = found_mm - aside_mm
    message = (
        f"{pair.one} of {one.name} and {pair.other} of {other.name} miss each other"
        f" by {millimetres(found_mm)}, {millimetres(over_mm)} too much"
    )
    return Reason(
        code="tracks_miss",
        message=message,
        value_mm=found_mm,
        limit_mm=aside_mm,
        amount_mm=tidy(over_mm),
    )


def _all_meet(
    met: Opposite, *, one: JoinEnd, other: JoinEnd, aside_mm: float
) -> Iterator[JoinFinding]:
    worst_mm = tidy(max(abs(pair.aside_mm) for pair in met.pairs))
    if exceeds(worst_mm, limit=aside_mm):
        return
    tracks = "the one track meets"
    if len(met.pairs) > 1:
        tracks = f"all {len(met.pairs)} tracks meet"
    crossed = _crossed(met, one=one, other=other)
    reason = Reason(
        code="tracks_meet",
        message=f"{tracks} within {millimetres(worst_mm)}{crossed}",
        value_mm=worst_mm,
        limit_mm=aside_mm,
    )
    yield JoinFinding(verdict="joins", reason=reason)


def _crossed(met: Opposite, *, one: JoinEnd, other: JoinEnd) -> str:
    """Return what is to be said of tracks that meet another than the one that bears
    their name over there.
    """
    here = {track.name.casefold() for track in one.tracks}
    there = {track.name.casefold() for track in other.tracks}
    on_both = here & there
    meets: list[str] = []
    for pair in met.pairs:
        names = {pair.one.casefold(), pair.other.casefold()}
        # Of names that only one end knows nobody can say that they cross.
        if len(names) > 1 and names & on_both:
            meets.append(f"{pair.one} of {one.name} meets {pair.other} of {other.name}")
    if not meets:
        return ""
    return f"; but {', and '.join(meets)}: is that meant?"


def _alone(met: Opposite, *, one: JoinEnd, other: JoinEnd) -> Iterator[JoinFinding]:
    for end, facing, names in (
        (one, other, met.alone_on_one),
        (other, one, met.alone_on_other),
    ):
        if names:
            message = (
                f"{end.name} has {len(end.tracks)} tracks and {facing.name}"
                f" {len(facing.tracks)}: {listed(names)} of {end.name} would end at the"
                " edge of the board"
            )
            yield JoinFinding(
                verdict="does_not_join",
                reason=Reason(code="track_ends_there", message=message),
            )


def _cure(
    met: Opposite, *, one: JoinEnd, other: JoinEnd, aside_mm: float
) -> JoinFinding:
    """Return whether shifting one board as a whole brings all tracks together, or the
    spacing is at fault.
    """
    shift_mm, left_mm = sideways(met)
    if not exceeds(left_mm, limit=aside_mm):
        message = (
            f"shift one board {millimetres(abs(shift_mm))} sideways, if dowels and"
            " bolts allow it, and all the tracks meet"
        )
        reason = Reason(
            code="shift_helps",
            message=message,
            value_mm=tidy(abs(shift_mm)),
            limit_mm=aside_mm,
        )
    else:
        message = (
            f"no shift helps: the tracks of {one.name} and {other.name} are spaced"
            f" differently, and one of them would still miss by {millimetres(left_mm)},"
            f" {millimetres(left_mm - aside_mm)} too much"
        )
        reason = Reason(
            code="spacing_differs",
            message=message,
            value_mm=tidy(left_mm),
            limit_mm=aside_mm,
            amount_mm=tidy(left_mm - aside_mm),
        )
    return JoinFinding(verdict="does_not_join", reason=reason)
