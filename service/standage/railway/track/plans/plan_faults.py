"""Everything that is wrong with a plan, at once, each fault at its place."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from difflib import get_close_matches
from itertools import islice

from standage.railway.terms.phrases import listed
from standage.railway.track.pieces.piece_kinds import AnyPiece
from standage.railway.track.plans.flat import (
    End,
    end_of,
    inner_plans,
    module_end,
    written,
)
from standage.railway.track.plans.near_names import NearNames, did_you_mean
from standage.railway.track.plans.parts import Parts
from standage.railway.track.plans.plan import (
    LaidModule,
    ModulePlan,
    Placed,
    Plan,
    PlanModuleEnd,
    PlannedPlace,
    Position,
    Stretch,
)
from standage.shapes.faults import MOST_FAULTS, Fault, moved
from standage.shapes.quoted_values import escaped

_MOST_ENDS_NAMED = 6


def plan_faults(plan: Plan) -> tuple[Fault, ...]:
    """Return what is wrong with a plan and with the plans of its modules in it.

    At most ``MOST_FAULTS``. Faults that only show once roads are known, of places that
    lie on no road, ``places`` tells.
    """
    return tuple(islice(_all(plan), MOST_FAULTS))


def _all(plan: Plan) -> Iterator[Fault]:
    yield from _Checked(plan, plan.modules).faults()
    for name, inner in inner_plans(plan):
        pointer = f"/modules/{escaped(name)}/plan"
        for fault in _Checked(inner, {}).faults():
            yield moved(fault, pointer)
    yield from _modules_amiss(plan)


class _Checked:
    """One plan without its modules' own, with what is to be looked up of its pieces."""

    def __init__(self, plan: ModulePlan, modules: Mapping[str, LaidModule]) -> None:
        self._plan = plan
        self._modules = modules
        self._pieces: dict[str, AnyPiece] = dict(plan.pieces)
        for name, module in modules.items():
            inner = {} if module.plan is None else module.plan.pieces
            self._pieces |= {f"{name}/{piece}": one for piece, one in inner.items()}
        self._near = NearNames(self._pieces)
        self._legs_of: dict[AnyPiece, list[str | None]] = {}

    def faults(self) -> Iterator[Fault]:
        """Yield every fault, in the order of the document."""
        for name, piece in self._plan.pieces.items():
            for fault in piece.amiss():
                yield moved(fault, f"/pieces/{escaped(name)}")
        yield from self._joins_amiss()
        yield from self._placed_amiss()
        yield from self._module_ends_amiss()
        yield from self._positions_amiss("heights", self._plan.heights)
        yield from self._positions_amiss("fittings", self._plan.fittings)
        yield from self._places_amiss()

    def _joins_amiss(self) -> Iterator[Fault]:
        joined: dict[End, str] = {}
        for number, join in enumerate(self._plan.joins):
            pointer = f"/joins/{number}"
            one, other = (end_of(text) for text in join)
            unknown = [*self._end_amiss(one, f"{pointer}/0")]
            unknown += self._end_amiss(other, f"{pointer}/1")
            yield from unknown
            if unknown:
                continue
            if one == other:
                message = f"{written(one)} is joined to itself"
                yield Fault(
                    code="joined_to_itself",
                    message=message,
                    pointer=pointer,
                )
                continue
            yield from self._joined_before(join, joined, pointer)
            joined.setdefault(one, join[1])
            joined.setdefault(other, join[0])

    def _joined_before(
        self, join: Sequence[str], joined: Mapping[End, str], pointer: str
    ) -> Iterator[Fault]:
        for place, text in enumerate(join):
            before = joined.get(end_of(text))
            now = join[1 - place]
            if before is None:
                continue
            if before == now:
                message = f"{text} and {now} are joined already"
                yield Fault(
                    code="joined_twice",
                    message=message,
                    pointer=pointer,
                )
                return
            message = f"{_possessive(text)} is joined twice: to {before} and to {now}"
            at = f"{pointer}/{place}"
            yield Fault(
                code="joined_twice",
                message=message,
                pointer=at,
            )

    def _end_amiss(self, end: End, pointer: str) -> Iterator[Fault]:
        piece = self._pieces.get(end[0])
        if piece is None:
            yield self._no_piece(end[0], pointer)
        elif end[1] not in piece.ends:
            yield _no_end(end, piece.ends, pointer)

    def _no_piece(self, name: str, pointer: str) -> Fault:
        hint = did_you_mean(self._near.near(name))
        message = f"there is no piece {name or 'without a name'}{hint}"
        return Fault(
            code="unknown_piece",
            message=message,
            pointer=pointer,
        )

    def _placed_amiss(self) -> Iterator[Fault]:
        parts = _parts(self._plan)
        seen: dict[str, Placed] = {}
        for number, placed in enumerate(self._plan.placed):
            pointer = f"/placed/{number}/piece"
            name = placed.piece
            if name in self._modules:
                part = f"{name}/"
            elif name in self._plan.pieces:
                part = parts.of(name)
            else:
                yield self._no_piece(name, pointer)
                continue
            if part in seen:
                first = seen[part].piece
                message = (
                    f"{name} is joined to {first}, which is placed: place one of them"
                )
                yield Fault(code="placed_twice", message=message, pointer=pointer)
            seen.setdefault(part, placed)

    def _module_ends_amiss(self) -> Iterator[Fault]:
        names: set[str] = set()
        crossed: dict[End, str] = {}
        joined = {end_of(text) for join in self._plan.joins for text in join}
        for number, end in enumerate(self._plan.module_ends):
            pointer = f"/module_ends/{number}"
            if end.name in names:
                message = f"there is an end called {end.name} already"
                yield Fault(
                    code="repeated",
                    message=message,
                    pointer=f"{pointer}/name",
                )
            names.add(end.name)
            yield from self._tracks_amiss(end, pointer, joined, crossed)

    def _tracks_amiss(
        self,
        end: PlanModuleEnd,
        pointer: str,
        joined: set[End],
        crossed: dict[End, str],
    ) -> Iterator[Fault]:
        for place, text in enumerate(end.tracks):
            at = f"{pointer}/tracks/{place}"
            track = end_of(text)
            yield from self._end_amiss(track, at)
            if track in crossed:
                message = f"{text} crosses the end {crossed[track]} already"
                yield Fault(
                    code="repeated",
                    message=message,
                    pointer=at,
                )
            if track in joined:
                message = f"{text} is joined within the module: it is no end of it"
                yield Fault(
                    code="joined_twice",
                    message=message,
                    pointer=at,
                )
            crossed.setdefault(track, end.name)

    def _positions_amiss(
        self, field: str, positions: Sequence[Position]
    ) -> Iterator[Fault]:
        for number, position in enumerate(positions):
            pointer = f"/{field}/{number}"
            yield from self._leg_amiss(position.piece, position.leg, pointer)

    def _leg_amiss(self, name: str, leg: str | None, pointer: str) -> Iterator[Fault]:
        piece = self._pieces.get(name)
        if piece is None:
            yield self._no_piece(name, f"{pointer}/piece")
            return
        legs = self._legs(piece)
        if leg in legs:
            return
        if not legs:
            message = f"{name} has no track of its own that a position could be on"
        elif leg is None:
            message = f"say along which leg of {name}: {_either(legs)}"
        elif legs == [None]:
            message = f"{name} has one track only: leave the leg out"
        else:
            message = f"{name} has no leg {leg}; it has {_either(legs)}"
        yield Fault(code="unknown_leg", message=message, pointer=f"{pointer}/leg")

    def _legs(self, piece: AnyPiece) -> list[str | None]:
        legs = self._legs_of.get(piece)
        if legs is None:
            strands = piece.shape(self._plan.practice).strands
            legs = list(dict.fromkeys(strand.leg for strand in strands))
            self._legs_of[piece] = legs
        return legs

    def _places_amiss(self) -> Iterator[Fault]:
        names: set[str] = set()
        for number, place in enumerate(self._plan.places):
            pointer = f"/places/{number}"
            if place.name in names:
                message = f"there is a place called {place.name} already"
                yield Fault(
                    code="repeated",
                    message=message,
                    pointer=f"{pointer}/name",
                )
            names.add(place.name)
            yield from self._place_amiss(place, pointer)

    def _place_amiss(self, place: PlannedPlace, pointer: str) -> Iterator[Fault]:
        if not place.on and not place.stretch:
            message = "say on which pieces it lies, or over which stretch"
            yield Fault(
                code="missing",
                message=message,
                pointer=f"{pointer}/on",
            )
        if place.on and place.stretch:
            message = "its stretch says where it lies: give on or stretch, not both"
            at = f"{pointer}/stretch"
            yield Fault(
                code="one_or_the_other",
                message=message,
                pointer=at,
            )
        for place_on, name in enumerate(place.on or ()):
            if name not in self._pieces:
                yield self._no_piece(name, f"{pointer}/on/{place_on}")
        stretches: Sequence[Stretch] = place.stretch or ()
        for part, stretch in enumerate(stretches):
            at = f"{pointer}/stretch/{part}"
            yield from self._leg_amiss(stretch.piece, stretch.leg, at)


def _no_end(end: End, ends: Sequence[str], pointer: str) -> Fault:
    near = get_close_matches(end[1].casefold(), ends, n=1)
    hint = did_you_mean([written((end[0], one)) for one in near])
    if not hint:
        hint = f"; it has {listed(ends[:_MOST_ENDS_NAMED])}"
    message = f"{end[0]} has no end {end[1]}{hint}"
    return Fault(
        code="unknown_end",
        message=message,
        pointer=pointer,
    )


def _possessive(end: str) -> str:
    """Return an end as one says it: P3's branch; T1.b is said as it is written."""
    piece, name = end_of(end)
    return f"{piece}'s {name}" if len(name) > len("a1") else end


def _either(legs: Sequence[str | None]) -> str:
    return ", ".join(leg for leg in legs if leg is not None)


def _parts(plan: ModulePlan) -> Parts:
    """Return the parts of a plan that hold together, by joins whose shape is known."""
    parts = Parts()
    rigid = {name for name, piece in plan.pieces.items() if not _is_loose(piece)}
    for join in plan.joins:
        one, other = (end_of(text)[0] for text in join)
        if one in rigid and other in rigid:
            parts.join(one, other)
    return parts


def _is_loose(piece: AnyPiece) -> bool:
    return piece.without_shape or getattr(piece, "fitted", False)


def _modules_amiss(plan: Plan) -> Iterator[Fault]:
    used: dict[End, str] = {}
    for number, join in enumerate(plan.module_joins):
        for place, text in enumerate(join):
            pointer = f"/module_joins/{number}/{place}"
            end = end_of(text)
            yield from _module_end_amiss(plan, end, pointer)
            if end in used:
                other = join[1 - place]
                message = f"{text} is joined twice: to {used[end]} and to {other}"
                yield Fault(
                    code="joined_twice",
                    message=message,
                    pointer=pointer,
                )
            used.setdefault(end, join[1 - place])


def _module_end_amiss(plan: Plan, end: End, pointer: str) -> Iterable[Fault]:
    name, own = end
    module = plan.modules.get(name)
    if module is None:
        hint = did_you_mean(NearNames(plan.modules).near(name))
        message = f"there is no module {name}{hint}"
        yield Fault(
            code="unknown_module",
            message=message,
            pointer=pointer,
        )
        return
    if module.plan is None or module_end(plan, end) is not None:
        return
    ends = [one.name for one in module.plan.module_ends]
    hint = did_you_mean(NearNames(ends).near(own)) or f"; it has {listed(ends)}"
    message = f"{name} has no end {own}{hint if ends else ''}"
    yield Fault(
        code="unknown_end",
        message=message,
        pointer=pointer,
    )
