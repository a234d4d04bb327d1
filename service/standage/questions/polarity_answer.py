"""What is answered about the polarity of a plan's rails, and the words for it."""

from collections.abc import Iterator, Sequence
from typing import Annotated, Literal

import msgspec

from standage.questions.reckoning import NOT_YET, Warnings
from standage.railway.polarity.crossings import CrossingGap, LiveCrossings
from standage.railway.polarity.gapping import Gapping
from standage.railway.polarity.metal import Metal
from standage.railway.polarity.polarity import Polarity
from standage.railway.terms.figures import (
    agreeing,
    at_most,
    counted,
    listed,
    millimetres,
    says,
    tidy,
)
from standage.railway.terms.reasons import Assumed, Reason
from standage.railway.track.plans.flat import EndJoin, written
from standage.railway.track.plans.plan import Fitting
from standage.shapes.faults import Fault

PolarityVerdict = Literal["sound", "shorted", "gaps_needed", "cannot_tell"]
CrossingsVerdict = Literal["sound", "gaps_needed", "cannot_tell"]
Pieces = tuple[str, ...]
Joined = tuple[str, ...]

_LOW_VOLTAGE = (
    "This is for the low voltage on the rails only. Mains and chargers are for a"
    " competent person, by the local codes."
)
_HEAT = (
    "A short can burn. Give every feed a fuse or a cut-out that trips, and wire that"
    " does not grow warm before it does: thin wire heats first."
)
_METER = (
    "A plan shows no stray solder and no metal left in a gap: with the power off, test"
    " every gap with a meter before a train runs."
)
CAUTIONS = (_LOW_VOLTAGE, _HEAT, _METER)
_MOST_EXACT = 2**53 - 1
"""The greatest whole number that JSON keeps exact everywhere. **Source** RFC 8259,
section 6."""
_MOST_SHOWN = 1_000_000
_MOST = 50
"""So many reasons of a sort are told."""


class GapsSuffice(msgspec.Struct, frozen=True, kw_only=True):
    """Whether the gaps are enough for a length, or for a train."""

    for_mm: Annotated[
        float | None, says("Over which rails are tied together, in mm; null: unknown.")
    ]
    train: Annotated[str | None, says("The train, where one is asked about.")]
    suffice: Annotated[bool | None, says("Null where nobody can tell.")]


class SmallestGaps(msgspec.Struct, frozen=True, kw_only=True):
    """The fewest joins to gap in both rails, besides the gaps that there are."""

    for_mm: float
    places_to_gap: Annotated[
        int | None, says("Null where no gaps in joins suffice, or the search stopped.")
    ]
    sets: Annotated[
        tuple[tuple[Joined, ...], ...],
        says("The first 100 sets of joins, each as the two ends that meet."),
    ]
    are_more: Annotated[bool, says("Whether there are other sets as small.")]


class PolarityAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """Where two rails are joined, by metal or by a train, and what gaps prevent it.

    ``shorted`` is at rest, ``gaps_needed`` where only a train makes the short, or where
    a live crossing lacks a gap.
    """

    verdict: PolarityVerdict
    faults: tuple[Fault, ...]
    shorted_at_rest: bool
    reversing_circuits: Annotated[
        tuple[Pieces, ...],
        says("Those that bring the left rail back as the right one; gaps aside."),
    ]
    other_circuits: Annotated[
        tuple[Pieces, ...], says("The others; 1000 circuits are told in all.")
    ]
    more_reversing: Annotated[
        int | None, says("Not told; null: too many to count, or over 2^53.")
    ]
    more_others: Annotated[
        int | None, says("Not told; null: too many to count, or over 2^53.")
    ]
    isolated_length_mm: Annotated[
        float | None,
        says(
            "What no train may exceed, from its first axle that ties rails together to"
            " its last; 0 where one gap alone cannot be crossed, null where nothing"
            " limits or at rest it is shorted."
        ),
    ]
    gaps_suffice: tuple[GapsSuffice, ...]
    smallest: tuple[SmallestGaps, ...]
    decks: Annotated[tuple[str, ...], says("Each a reversing section by nature.")]
    crossings: Annotated[CrossingsVerdict, says("Of live crossings alone.")]
    crossing_gaps: tuple[CrossingGap, ...]
    switched_feeds: Annotated[
        tuple[str, ...], says("Points that feed their crossing as their blades lie.")
    ]
    because: tuple[Reason, ...]
    assumed: tuple[Assumed, ...]
    cautions: tuple[str, ...]
    warnings: Warnings = NOT_YET


def told_smallest(for_mm: float, found: Gapping) -> SmallestGaps:
    """Return the fewest gaps as they are told."""
    return SmallestGaps(
        for_mm=for_mm,
        places_to_gap=found.places,
        sets=tuple(map(_as_written, found.sets)),
        are_more=found.are_more,
    )


def _as_written(joins: Sequence[EndJoin]) -> tuple[Joined, ...]:
    return tuple((written(one), written(other)) for one, other in joins)


def crossings_verdict(found: LiveCrossings) -> CrossingsVerdict:
    """Return what is to be said of live crossings alone."""
    if any(gap.there is False for gap in found.gaps):
        return "gaps_needed"
    unsure = any(gap.there is None for gap in found.gaps)
    if unsure or found.not_said:
        return "cannot_tell"
    return "sound"


def rail_reasons(found: Polarity) -> Iterator[Reason]:
    """Yield what the metal does at rest, and under a train."""
    if found.joined_over:
        message = (
            f"metal joins the two rails over {listed(found.joined_over)}: a short as"
            " soon as power is on"
        )
        yield Reason(code="shorted_at_rest", message=message)
    elif found.stopped:
        message = "the search for what a train may tie together stopped at its limit"
        yield Reason(code="search_stopped", message=message)
    elif found.unknown:
        names = listed(found.unknown)
        message = f"the length of {names} is not known, so nobody can tell what is free"
        yield Reason(code="missing_figure", message=message, field=found.unknown[0])
    elif found.least is not None:
        yield _isolated(found, found.least.length_mm)
    elif not any(one.exchanges_rails for one in found.circuits.told):
        message = "no circuit brings the left rail back as the right one"
        yield Reason(code="no_reversing_circuit", message=message)
    else:
        message = "no train lies over gaps so that it joins the two rails"
        yield Reason(code="gaps_suffice", message=message)


def _isolated(found: Polarity, length_mm: float) -> Reason:
    over = listed(found.between)
    if tidy(length_mm) == 0:
        message = f"whatever crosses one gap joins the two rails: it lies over {over}"
        return Reason(code="one_gap_alone", message=message, value_mm=0.0)
    message = (
        f"a train that ties rails together over more than {at_most(length_mm)} joins"
        f" the two: over {over}"
    )
    return Reason(code="isolated_length", message=message, value_mm=tidy(length_mm))


def too_long(name: str, for_mm: float, free_mm: float) -> Reason:
    """Return why gaps are not enough for a train or a length."""
    message = (
        f"{name} ties rails together over {millimetres(for_mm)};"
        f" {at_most(free_mm)} is the most"
    )
    return Reason(
        code="bridges_too_long",
        message=message,
        value_mm=tidy(for_mm),
        limit_mm=tidy(free_mm),
    )


def crossing_reasons(found: LiveCrossings) -> Iterator[Reason]:
    """Yield the gaps that live crossings lack, and the points of which nobody says."""
    for gap in found.gaps[:_MOST]:
        rail = "rail to the crossing"
        if gap.rails == "both":
            rail = "both rails"
        elif gap.rails is not None:
            rail = f"{gap.rails} rail"
        what = f"{gap.points} has a live crossing: gap the {rail} of its {gap.leg} leg"
        what = what.replace("the both", "both")
        if gap.there is False:
            message = f"{what}, before track that is fed from elsewhere"
            yield Reason(code="crossing_gap", message=message, field=gap.points)
        elif gap.there is None:
            message = f"{what}; one has a gap: say the points' hand to tell whether it"
            yield Reason(
                code="missing_figure", message=f"{message} is that", field=gap.points
            )
    if found.not_said:
        is_one = len(found.not_said) == 1
        whose = "its crossing is" if is_one else "their crossings are"
        message = f"{listed(found.not_said)}: nobody says whether {whose} live or dead"
        yield Reason(
            code="missing_figure", message=f"{message}", field=found.not_said[0]
        )


def deck_reasons(metal: Metal) -> Iterator[Reason]:
    """Yield the decks that carry track away, and gaps that are on no track."""
    for name in metal.decks[:_MOST]:
        message = f"{name} joins no rails: feed it by itself, with a switch to exchange"
        yield Reason(
            code="deck",
            message=f"{message} them",
            field=name,
        )
    for gap in metal.off_the_track[:_MOST]:
        yield _off_the_track(gap)


def _off_the_track(gap: Fitting) -> Reason:
    message = f"the gap {millimetres(gap.at_mm)} along {gap.piece} is on no track"
    return Reason(
        code="off_the_track",
        message=message,
        field=gap.piece,
    )


def circuit_reasons(found: Polarity) -> Iterator[Reason]:
    """Yield how many circuits are left out."""
    circuits = found.circuits
    if circuits.more_reversing is None or circuits.more_others is None:
        message = (
            "the circuits are too many to count; those told make up all the others"
        )
        yield Reason(code="too_many", message=message)
        return
    more = circuits.more_reversing + circuits.more_others
    if more > _MOST_SHOWN:
        message = f"over {_MOST_SHOWN:,} circuits more are not told"
        yield Reason(code="too_many", message=message)
    elif more:
        message = f"{counted(more, 'circuit')} more {agreeing(more, 'is', 'are')}"
        yield Reason(code="too_many", message=f"{message} not told")


def told_count(more: int | None) -> int | None:
    """Return how many circuits are not told; None where a program that reads the answer
    may have no number for so many.
    """
    if more is None or more > _MOST_EXACT:
        return None
    return more


def smallest_reasons(for_mm: float, found: Gapping) -> Iterator[Reason]:
    """Yield why no smallest set of gaps is told."""
    length = millimetres(for_mm)
    if not found.possible:
        message = (
            f"no gaps in joins are enough for {length}: the way round is too short"
        )
        yield Reason(code="no_gaps_suffice", message=message, value_mm=for_mm)
    elif found.places is None:
        joins = counted(found.at_least, "join")
        message = f"for {length} at least {joins} must be gapped; the search stopped at"
        yield Reason(
            code="search_stopped", message=f"{message} its limit", value_mm=for_mm
        )


def fault_reasons(faults: Sequence[Fault]) -> Iterator[Reason]:
    """Yield that a plan with faults is answered only as far as it is sound."""
    if faults:
        amount = counted(len(faults), "fault")
        message = f"the plan has {amount}: what is said is of its sound joins only"
        yield Reason(code="faults", message=message)


def taken_as_it_lies(found: Polarity, fittings: Sequence[Fitting]) -> Iterator[Assumed]:
    """Yield what is taken for what no plan says."""
    shapes = found.metal.network.shapes.values()
    if any(shape.pairs for shape in shapes):
        message = (
            "points and slips join the rails of all their roads, whichever way they lie;"
            " the two roads of a diamond are apart"
        )
        yield Assumed(field="plan", message=message, source="common_practice")
    has_feeds = any(one.kind == "feed" for one in fittings)
    if found.crossings.switched_feeds and not has_feeds:
        message = (
            "the plan shows no feeds: a road that leads to no other points is taken to"
            " be fed from its own alone"
        )
        yield Assumed(field="fittings", message=message, source="default")
