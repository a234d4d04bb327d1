"""What stands behind the verdict on a plan, in words: worst first."""

from collections.abc import Iterator, Sequence

from standage.railway.terms.figures import counted, millimetres, tidy
from standage.railway.terms.reasons import Assumed, Reason
from standage.railway.track.fouling.fouling import FoulingPoint, Reach
from standage.railway.track.fouling.spacings import Spacing
from standage.railway.track.network.heights import heights_at_ends
from standage.railway.track.placing.circuits import Gap
from standage.railway.track.placing.placing import Unplaced
from standage.railway.track.plans.flat import EndJoin, written
from standage.railway.track.plans.plan import Plan
from standage.railway.track.roads.limits import Usable
from standage.railway.track.survey.survey import Survey

_MOST = 50
"""So many reasons of a sort are told."""


def gap_reasons(found: Survey) -> Iterator[Reason]:
    """Yield the circuits that do not close, and tracks of modules that do not meet."""
    for circuit in found.closed.circuits:
        if circuit.gap.is_open(found.plan):
            yield _open_circuit(circuit.closing_join, circuit.gap)
        elif circuit.adds_up:
            where = _at(circuit.closing_join)
            mm = tidy(circuit.whole.mm)
            amount = f"{millimetres(mm)} and {circuit.whole.deg:.2f}°"
            message = f"the gaps round the circuit over {where} add up to {amount}"
            yield Reason(
                code="gaps_add_up",
                message=message,
                value_mm=mm,
            )
    for left in found.closed.untold:
        if left.gap.is_open(found.plan):
            yield _open_circuit(left.join, left.gap)
    for mated in found.closed.unmated:
        if mated.gap.is_open(found.plan):
            message = f"{_at(mated.join)} do not meet: {_gap(mated.gap)}"
            mm = tidy(mated.gap.mm)
            yield Reason(
                code="tracks_do_not_meet",
                message=message,
                value_mm=mm,
            )


def height_reasons(found: Survey) -> Iterator[Reason]:
    """Yield the circuits whose rails do not meet in height, by more than the slack."""
    at_ends = heights_at_ends(found.plan, found.network)
    for circuit in found.closed.circuits:
        one, other = circuit.closing_join
        if one not in at_ends or other not in at_ends:
            continue
        apart_mm = tidy(abs(at_ends[one] - at_ends[other]))
        if apart_mm > found.plan.slack_mm:
            where = _at(circuit.closing_join)
            message = (
                f"the rails at {where} differ in height by {millimetres(apart_mm)}"
            )
            yield Reason(
                code="gap_in_height",
                message=message,
                value_mm=apart_mm,
            )


def _open_circuit(join: EndJoin, gap: Gap) -> Reason:
    message = f"the circuit does not meet at {_at(join)}: {_gap(gap)}"
    return Reason(
        code="gap",
        message=message,
        value_mm=tidy(gap.mm),
    )


def _at(join: EndJoin) -> str:
    one, other = (written(end) for end in join)
    return f"{one} and {other}"


def taken_up(found: Survey) -> Iterator[Reason]:
    """Yield the gaps that the rails' own slack takes up."""
    gaps = [
        (one.closing_join, one.gap)
        for one in found.closed.circuits
        if not one.is_open(found.plan)
    ]
    gaps += [
        (one.join, one.gap)
        for one in found.closed.unmated
        if not one.gap.is_open(found.plan)
    ]
    for join, gap in gaps:
        if gap_shows(gap):
            message = f"{_at(join)} are {_gap(gap)}: the rails' slack takes it up"
            yield Reason(code="slack", message=message, value_mm=tidy(gap.mm))


def untold_reasons(found: Survey) -> Iterator[Reason]:
    """Yield how many circuits are left out, where there are too many to tell."""
    left_out = len(found.closed.untold)
    if left_out:
        circuits = counted(left_out, "circuit")
        message = f"{circuits} more are not told: those that are have too many pieces"
        yield Reason(code="too_many", message=message)


def gap_shows(gap: Gap) -> bool:
    """Tell whether a gap is one that anybody could measure."""
    return round(gap.mm, 1) > 0 or round(gap.deg, 2) > 0


def _gap(gap: Gap) -> str:
    """Return how far apart two ends are, with the kink where it shows."""
    apart = f"{millimetres(gap.mm)} apart"
    if round(gap.deg, 2) == 0:
        return apart
    return f"{apart}, with a kink of {gap.deg:.2f}°"


def unknown_reasons(found: Survey) -> Iterator[Reason]:
    """Yield what nobody can tell, each with the piece to measure."""
    if found.spacing is None and any(map(_is_by_spacing, found.points)):
        message = (
            "how far apart tracks must be is not known: give fouling_spacing_mm, or a"
            " scale"
        )
        yield Reason(code="missing_figure", message=message, field="fouling_spacing_mm")
        return
    for point in found.points:
        for leg in point.legs:
            if leg.farthest.from_blades_mm is None:
                yield unknown_leg(leg.farthest)


def _is_by_spacing(point: FoulingPoint) -> bool:
    return any(leg.farthest.from_blades_mm is None for leg in point.legs)


def unknown_leg(reach: Reach) -> Reason:
    """Return why nobody can tell where a leg is clear."""
    what = f"{reach.points}: where its {reach.leg} is clear cannot be told"
    if reach.gave_up:
        message = f"{what}: there are too many ways on from it; measure it"
    elif reach.unknown is None or reach.unknown == reach.points:
        message = f"{what}: measure its fouling points"
    else:
        message = f"{what}, since the shape of {reach.unknown} is not known"
    return Reason(
        code="missing_figure",
        message=message,
        field=reach.unknown,
    )


def straight_reasons(point: FoulingPoint) -> Iterator[Reason]:
    """Yield the legs whose tracks are too near for curves, and clear where straight;
    and those that are only just clear."""
    for leg in point.legs:
        if leg.farthest.where_straight:
            message = (
                f"{point.points}: tracks beyond its {leg.leg} are too near for curves;"
                " trains are clear from where both are straight"
            )
            yield Reason(
                code="clear_where_straight",
                message=message,
                value_mm=leg.farthest.from_blades_mm,
                limit_mm=point.spacing_mm,
            )
        elif leg.farthest.only_nearly:
            message = (
                f"{point.points}: tracks beyond its {leg.leg} come within a hundredth of"
                " a mm of clear, and no farther: its fouling point is good to some mm"
            )
            yield Reason(
                code="only_nearly_clear",
                message=message,
                value_mm=leg.farthest.from_blades_mm,
                limit_mm=point.spacing_mm,
            )


def too_close_reasons(found: Survey) -> Iterator[Reason]:
    """Yield the roads of which nothing can be used."""
    for usable in found.usable:
        if usable.is_too_close:
            yield _too_close(usable)


def _too_close(usable: Usable) -> Reason:
    name = usable.road.name
    message = f"{name}: the tracks are too close, and nothing of it can be used"
    return Reason(
        code="too_close",
        message=message,
        place=name,
    )


def unplaced_reasons(found: Survey) -> Iterator[Reason]:
    """Yield the pieces that have no place in the plane, where others have one: those
    that hang together as one.
    """
    if not found.placed.frames:
        return
    parts: dict[tuple[str, str | None, str], list[Unplaced]] = {}
    for one in found.placed.unplaced:
        parts.setdefault((one.because, one.over, one.part), []).append(one)
    for (_, _, part), own in parts.items():
        is_module = part in found.placed.flat.bodies
        message = _module_unplaced(part) if is_module else _no_place(own)
        field = part if is_module else own[0].piece
        yield Reason(
            code="no_place",
            message=message,
            field=field,
        )


def _module_unplaced(module: str) -> str:
    return f"{module} is joined to no module that has a place: say where it is placed"


def _no_place(part: Sequence[Unplaced]) -> str:
    first = part[0]
    name = first.piece
    many = len(part) > 1
    who = f"{name} and {len(part) - 1} more" if many else name
    if first.because == "no_shape":
        return f"{name} has no shape, so that nothing can be drawn of it"
    if first.because == "beyond_no_shape":
        verb = "lie" if many else "lies"
        return f"{who} {verb} beyond {first.over}, which has no shape"
    verb = "are" if many else "is"
    return f"{who} {verb} joined to nothing that has a place: say where {name} lies"


def unmet_reasons(found: Survey) -> Iterator[Reason]:
    """Yield tracks at the ends of modules that meet none."""
    for mating in found.placed.flat.matings:
        for end in mating.unmet:
            one, other = (module for module, _ in mating.ends)
            neighbour = other if end[0].startswith(f"{one}/") else one
            message = f"{written(end)} meets no track of {neighbour}, and is left open"
            yield Reason(
                code="no_track_there",
                message=message,
            )


def assumed_of(found: Survey) -> Iterator[Assumed]:
    """Yield the figures of an answer that nobody gave."""
    if found.spacing is not None and found.points:
        yield from spacing_words(found.plan, found.spacing)
    for piece, shape in found.placed.flat.shapes.items():
        for words in shape.assumed:
            message = f"{piece}: {words}"
            yield Assumed(
                field=f"pieces/{piece}/number_is",
                message=message,
                source="common_practice",
            )
    for point in found.points:
        yield from point_assumed(point)
    if found.heights.levels_off:
        message = (
            "beyond the last height that is given, the rails are taken to be level"
        )
        yield Assumed(field="heights", message=message, source="default")


def spacing_words(plan: Plan, spacing: Spacing) -> Iterator[Assumed]:
    """Yield the spacing where nobody gave it, and the stock that it allows for."""
    if not spacing.stock:
        return
    message = (
        f"tracks are clear of each other at {millimetres(spacing.mm)} between centre"
        f" lines, as is usual in {plan.scale}"
    )
    yield Assumed(
        field="fouling_spacing_mm",
        message=message,
        source="common_practice",
        value_mm=spacing.mm,
    )
    if spacing.usual:
        coach = spacing.stock[0]
        message = (
            f"where legs curve, for a vehicle {millimetres(coach.length_mm)} long with"
            f" {millimetres(coach.pivots_mm)} between its bogies' middles"
        )
        yield Assumed(field="stock", message=message, source="common_practice")


def point_assumed(point: FoulingPoint) -> Iterator[Assumed]:
    """Yield how a leg's point was found where its ways were not known to the end."""
    for leg in point.legs:
        reach = leg.farthest
        field = f"pieces/{point.points}"
        if reach.from_blades_mm is None:
            continue
        if reach.by == "nose":
            message = (
                f"{point.points}: its {reach.leg} is taken to be straight beyond the"
                " crossing's nose"
            )
            yield Assumed(field=field, message=message, source="default")
        elif reach.runs_off_the_end:
            message = (
                f"{point.points}: track that ends before its {reach.leg} is clear is"
                " taken to go straight on"
            )
            yield Assumed(field=field, message=message, source="default")


def most(reasons: Iterator[Reason]) -> tuple[Reason, ...]:
    """Return the first of some reasons: what is wrong everywhere is not told for
    ever.
    """
    return tuple(reason for reason, _ in zip(reasons, range(_MOST), strict=False))
