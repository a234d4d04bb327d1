"""Can these two ends of modules be put together, and if not, why and by how much?"""

from collections.abc import Iterable, Iterator
from typing import Annotated

import msgspec
from msgspec.structs import replace

from standage.questions.asked import AskedEnd
from standage.questions.example_stock import MODULE_END, NOBODY
from standage.questions.question import Question, Shows
from standage.questions.reckoning import NOT_YET, Warnings, warned
from standage.questions.sources import Sources
from standage.railway.modules.joining import (
    ASIDE_MM,
    STEP_MM,
    JoinEnd,
    JoinFinding,
    JoinTolerances,
    JoinVerdict,
    by_gauge,
    by_height,
    by_standard,
    by_tracks,
    join_verdict,
    not_compared,
    taken_as_read,
    worst_first,
)
from standage.railway.modules.opposite import Facing, opposite, sideways
from standage.railway.modules.standard_rules import StandardRule
from standage.railway.modules.wiring import CAUTION, by_wiring
from standage.railway.terms.figures import IdOrName, millimetres, says, tidy
from standage.railway.terms.reasons import Assumed, Reason
from standage.registry.records.bodies import StandardBody
from standage.shapes.faults import Ruled, all_of


class ModuleJoinRequest(Ruled, frozen=True, kw_only=True):
    """Two ends of modules, each inline or on record."""

    one: Annotated[AskedEnd, says("The one end.")]
    other: Annotated[AskedEnd, says("The end it is to be put against.")]
    tolerances: Annotated[
        JoinTolerances, says("What passes; common practice where nothing is said.")
    ] = JoinTolerances()
    standard_id: Annotated[
        IdOrName | None,
        says(
            "A standard on record: what it lets pass counts where tolerances do not"
            " say, and an end off its places or heights is pointed out."
        ),
    ] = None


class ModuleJoinCase(msgspec.Struct, frozen=True, kw_only=True):
    """All that the answer rests on."""

    one: JoinEnd
    other: JoinEnd
    tolerances: JoinTolerances = JoinTolerances()
    rules: tuple[StandardRule, ...] = ()


class ModuleJoinAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """Whether two ends can be put together, and what that rests on."""

    verdict: Annotated[
        JoinVerdict, says("Whether they join, rails and wiring together.")
    ]
    mechanical: Annotated[JoinVerdict, says("Whether the boards and rails join.")]
    electrical: Annotated[
        JoinVerdict | None,
        says("Whether the wiring joins; null where neither end says anything."),
    ]
    tracks: Annotated[
        tuple[Facing, ...],
        says("Which track meets which, from left to right looking out of the one end."),
    ]
    ends_there: Annotated[
        tuple[str, ...], says("Tracks, of either end, that have nothing opposite.")
    ]
    shift_mm: Annotated[
        float,
        says(
            "How far to the right, looking out, one board is best shifted for all"
            " tracks together, in mm."
        ),
    ]
    shift_brings: Annotated[JoinVerdict, says("The verdict with one board so shifted.")]
    step_mm: Annotated[
        float | None,
        says("Between the rails' heights, in mm; null where not both are known."),
    ]
    straight_across_mm: Annotated[
        float | None,
        says(
            "Straight track across the joint, both ends together, in mm; null where not"
            " both are known."
        ),
    ]
    offset_allowed_mm: Annotated[
        float, says("How far aside tracks were allowed to lie, in mm.")
    ]
    step_allowed_mm: Annotated[float, says("How high a step was allowed, in mm.")]
    because: Annotated[tuple[Reason, ...], says("The reasons, worst first.")]
    assumed: Annotated[tuple[Assumed, ...], says("Every figure that nobody measured.")]
    not_compared: Annotated[
        tuple[str, ...], says("What neither end says, so that it was not compared.")
    ] = ()
    cautions: Annotated[tuple[str, ...], says("What to mind all the same.")] = ()
    warnings: Warnings = NOT_YET


@warned
def reckon(case: ModuleJoinCase) -> ModuleJoinAnswer:
    """Return whether the two ends of ``case`` join."""
    one, other = case.one, case.other
    aside_mm, step_mm = _allowed_mm(case.tolerances)
    boards, wiring = _boards(case), tuple(by_wiring(one, other))
    wired = one.connector is not None or other.connector is not None
    met = opposite(one.tracks, other.tracks)
    return ModuleJoinAnswer(
        verdict=join_verdict((*boards, *wiring)),
        mechanical=join_verdict(boards),
        electrical=join_verdict(wiring) if wired else None,
        tracks=met.pairs,
        ends_there=(*met.alone_on_one, *met.alone_on_other),
        shift_mm=sideways(met)[0],
        shift_brings=_with_a_shift(case, wiring, shift_mm=sideways(met)[0]),
        step_mm=_apart_mm(one.rail_height_mm, other.rail_height_mm),
        straight_across_mm=_together_mm(one.straight_mm, other.straight_mm),
        offset_allowed_mm=aside_mm,
        step_allowed_mm=step_mm,
        because=worst_first((*boards, *wiring)),
        assumed=(*_taken_tolerances(case.tolerances), *taken_as_read(one, other)),
        not_compared=not_compared(one, other),
        cautions=(CAUTION,) if wired else (),
    )


def _allowed_mm(tolerances: JoinTolerances) -> tuple[float, float]:
    """Return how far aside tracks may lie, and how high a step may be."""
    aside_mm = tolerances.offset_mm
    if aside_mm is None:
        aside_mm = ASIDE_MM
    step_mm = tolerances.step_mm
    if step_mm is None:
        step_mm = STEP_MM
    return aside_mm, step_mm


def _boards(case: ModuleJoinCase) -> tuple[JoinFinding, ...]:
    one, other = case.one, case.other
    aside_mm, step_mm = _allowed_mm(case.tolerances)
    return (
        *by_gauge(one, other),
        *by_tracks(one, other, aside_mm=aside_mm),
        *by_height(one, other, step_mm=step_mm),
        *by_standard(one, case.rules),
        *by_standard(other, case.rules),
    )


def _with_a_shift(
    case: ModuleJoinCase, wiring: Iterable[JoinFinding], *, shift_mm: float
) -> JoinVerdict:
    """Return the verdict with the one board shifted to the right, looking out of it."""
    tracks = []
    for track in case.one.tracks:
        offset_mm = tidy(track.offset_mm + shift_mm)
        tracks.append(replace(track, offset_mm=offset_mm))
    one = replace(case.one, tracks=tuple(tracks))
    boards = _boards(replace(case, one=one))
    return join_verdict((*boards, *wiring))


def _taken_tolerances(tolerances: JoinTolerances) -> Iterator[Assumed]:
    taken = (
        ("offset_mm", ASIDE_MM, "tracks may lie {} aside where they meet"),
        ("step_mm", STEP_MM, "rails may make a step of {} where they meet"),
    )
    for field, value_mm, words in taken:
        if getattr(tolerances, field) is None:
            message = words.format(millimetres(value_mm))
            yield Assumed(
                field=f"tolerances.{field}",
                message=message,
                source="common_practice",
                value_mm=value_mm,
            )


def _apart_mm(one_mm: float | None, other_mm: float | None) -> float | None:
    if one_mm is None or other_mm is None:
        return None
    return tidy(abs(one_mm - other_mm))


def _together_mm(one_mm: float | None, other_mm: float | None) -> float | None:
    if one_mm is None or other_mm is None:
        return None
    return tidy(one_mm + other_mm)


def gather(sources: Sources, request: ModuleJoinRequest) -> ModuleJoinCase:
    """Return the case that a request makes, with all it names on record resolved."""
    one, other, standard = all_of(
        lambda: _end(sources, request.one, "/one", called="the one end"),
        lambda: _end(sources, request.other, "/other", called="the other end"),
        lambda: _standard(sources, request.standard_id),
    )
    if standard is None:
        return ModuleJoinCase(
            one=one,
            other=other,
            tolerances=request.tolerances,
        )
    tolerances = _filled(request.tolerances, standard.joints)
    return ModuleJoinCase(
        one=one, other=other, tolerances=tolerances, rules=standard.asks
    )


def _standard(sources: Sources, standard_id: str | None) -> StandardBody | None:
    if standard_id is None:
        return None
    return sources.modules.standard(standard_id, "/standard_id")


def _filled(said: JoinTolerances, standard: JoinTolerances | None) -> JoinTolerances:
    """Return what was said, and what the standard says where nothing was."""
    if standard is None:
        return said
    return JoinTolerances(
        offset_mm=standard.offset_mm if said.offset_mm is None else said.offset_mm,
        step_mm=standard.step_mm if said.step_mm is None else said.step_mm,
    )


def _end(sources: Sources, asked: AskedEnd, pointer: str, *, called: str) -> JoinEnd:
    if asked.module_id is None:
        return JoinEnd(
            name=asked.name or called,
            tracks=asked.tracks or (),
            scale=asked.scale,
            gauge_mm=asked.gauge_mm,
            wheels=asked.wheels,
            rail_height_mm=asked.rail_height_mm,
            straight_mm=asked.straight_mm,
            connector=asked.connector,
        )
    module, end = sources.modules.end(asked.module_id, asked.end or "", pointer)
    return JoinEnd(
        name=f"{module.name} ({end.name})",
        tracks=end.tracks,
        scale=module.scale,
        gauge_mm=module.gauge_mm,
        wheels=module.wheels,
        rail_height_mm=end.rail_height_mm,
        straight_mm=end.straight_mm,
        connector=end.connector,
    )


_LOWER = {**MODULE_END, "rail_height_mm": 1040.8}
_NARROW = {
    "scale": "H0",
    "tracks": [{"name": "up", "offset_mm": 0.0}, {"name": "down", "offset_mm": 30.0}],
}
QUESTION = Question(
    id="checkModuleJoin",
    at="/v1/checks/module-join",
    asks="Can these two ends of modules be put together?",
    tells=(
        "Track by track, the rails' heights, and pin by pin: what meets what, and by"
        " how much it misses. Each end may be given inline or by its module's id and"
        " its name. Right and left are as seen looking out of each module."
    ),
    request=ModuleJoinRequest,
    answer=ModuleJoinAnswer,
    gather=gather,
    reckon=reckon,
    example={"one": MODULE_END, "other": _LOWER},
    refused={"one": MODULE_END, "other": {"module_id": NOBODY, "end": "weir end"}},
    warns=Shows("spacing_or_gap", "tracks/1/offset_mm", {"one": MODULE_END | _NARROW}),
)
