"""Everything that is wrong with a plan, at once, each fault at its place."""

from collections.abc import Iterator, Mapping, Sequence
from difflib import get_close_matches
from itertools import islice

import msgspec

from standage.railway.terms.figures import listed
from standage.railway.track.pieces.piece_kinds import AnyPiece
from standage.railway.track.plans.flat import End, end_of, inner_plans, written
from standage.railway.track.plans.module_joins import (
    is_loose,
    joined_in_modules,
    module_join_faults,
    rigid_parts,
)
from standage.railway.track.plans.near_names import NearNames, did_you_mean
from standage.railway.track.plans.plan import (
    ModulePlan,
    Placed,
    Plan,
    PlanModuleEnd,
    PlannedPlace,
    Position,
    Stretch,
)
from standage.shapes.faults import MOST_FAULTS, Fault, escaped, moved


def plan_faults(plan: Plan) -> tuple[Fault, ...]:
    """Return what is wrong with a plan and with the plans of its modules in it.

    At most ``MOST_FAULTS``. Faults that only show once roads are known, of places that
    lie on no road, ``places`` tells. **Source** derived.
    """
    return tuple(islice(each_fault(plan), MOST_FAULTS))


def each_fault(plan: Plan) -> Iterator[Fault]:
    """Yield what is wrong with a plan as ``plan_faults`` does, however much it is.

    **Source** derived.
    """
    yield from _Checked(plan, plan).faults()
    for name, inner in inner_plans(plan):
        pointer = f"/modules/{escaped(name)}/plan"
        for fault in _Checked(inner, None).faults():
            yield moved(fault, pointer)
    yield from module_join_faults(plan)


class _Checked:
    """One plan without its modules' own, with what is to be looked up of its pieces.

    ``layout`` is the same plan where it may have modules.
    """

    def __init__(self, plan: ModulePlan, layout: Plan | None) -> None:
        modules = {} if layout is None else layout.modules
        self._plan = plan
        self._layout = layout
        self._modules = modules
        self._pieces: dict[str, AnyPiece] = dict(plan.pieces)
        for name, module in modules.items():
            if module.plan is None:
                continue
            for piece, one in module.plan.pieces.items():
                self._pieces[f"{name}/{piece}"] = one
        self._near = NearNames(self._pieces)
        self._legs_of: dict[AnyPiece, list[str | None]] = {}

    def faults(self) -> Iterator[Fault]:
        """Yield every fault, in the order of the document."""
        for name, piece in self._plan.pieces.items():
            for fault in piece.amiss():
                told = moved(fault, f"/pieces/{escaped(name)}")
                message = f"{name}: {fault.message}"
                yield msgspec.structs.replace(told, message=message)
        yield from self._joins_amiss()
        yield from self._placed_amiss()
        yield from self._module_ends_amiss()
        yield from self._positions_amiss("heights", self._plan.heights)
        yield from self._positions_amiss("fittings", self._plan.fittings)
        yield from self._places_amiss()

    def _joins_amiss(self) -> Iterator[Fault]:
        joined = joined_in_modules(self._layout)
        for number, join in enumerate(self._plan.joins):
            pointer = f"/joins/{number}"
            one, other = (end_of(text) for text in join)
            unknown = [*self._end_amiss(join[0], f"{pointer}/0")]
            unknown += self._end_amiss(join[1], f"{pointer}/1")
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

    def _end_amiss(self, text: str, pointer: str) -> Iterator[Fault]:
        name, end = end_of(text)
        piece = self._pieces.get(name)
        whole = self._pieces.get(text)
        if piece is not None and end not in piece.ends:
            yield _no_end((name, end), piece.ends, pointer)
        elif piece is None and whole is not None:
            message = f"say which end of {text} it is: it has {listed(whole.ends)}"
            yield Fault(
                code="unknown_end",
                message=message,
                pointer=pointer,
            )
        elif piece is None:
            yield self._no_piece(name or text, pointer)

    def _no_piece(self, name: str, pointer: str) -> Fault:
        hint = did_you_mean(self._near.near(name))
        message = f"there is no piece {name}{hint}"
        return Fault(
            code="unknown_piece",
            message=message,
            pointer=pointer,
        )

    def _placed_amiss(self) -> Iterator[Fault]:
        parts = rigid_parts(self._plan, self._layout)
        seen: dict[str, Placed] = {}
        for number, placed in enumerate(self._plan.placed):
            pointer = f"/placed/{number}/piece"
            name = placed.piece
            piece = self._plan.pieces.get(name)
            if name in self._modules:
                part = parts.of(f"{name}/")
            elif piece is None:
                yield self._no_piece(name, pointer)
                continue
            elif is_loose(piece):
                yield _cannot_be_placed(name, piece, pointer)
                continue
            else:
                part = parts.of(name)
            if part in seen:
                yield _placed_twice(name, seen[part].piece, pointer)
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
            yield from self._tracks_amiss(
                end,
                pointer,
                joined,
                crossed,
            )

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
            yield from self._end_amiss(text, at)
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
    near = get_close_matches(end[1].casefold(), ends, n=2)
    hint = f"; it has {listed(ends)}"
    # With a1, a2 and b1 a plain "a" is as near to each.
    if near[:1] == [end[1].casefold()] or len(near) == 1:
        hint = did_you_mean([written((end[0], near[0]))])
    message = f"{end[0]} has no end {end[1]}{hint}"
    return Fault(
        code="unknown_end",
        message=message,
        pointer=pointer,
    )


def _placed_twice(name: str, first: str, pointer: str) -> Fault:
    message = f"{name} is joined to {first}, which is placed: place one of them"
    if name == first:
        message = f"{name} is placed twice: place it once"
    return Fault(
        code="placed_twice",
        message=message,
        pointer=pointer,
    )


def _cannot_be_placed(name: str, piece: AnyPiece, pointer: str) -> Fault:
    message = f"{name} has no shape: place a piece that is laid out"
    if not piece.without_shape:
        message = f"{name} is laid between its ends: place what it is joined to"
    return Fault(code="no_shape", message=message, pointer=pointer)


def _possessive(end: str) -> str:
    """Return an end as one says it: P3's branch; T1.b is said as it is written."""
    piece, name = end_of(end)
    if len(name) <= len("a1"):
        return end
    return f"{piece}'s {name}"


def _either(legs: Sequence[str | None]) -> str:
    return ", ".join(leg for leg in legs if leg is not None)
