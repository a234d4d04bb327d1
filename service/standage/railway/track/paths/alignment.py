"""What a train runs over: a curve, its entry from straight track, a reverse curve."""

from collections.abc import Iterable
from typing import Annotated

import msgspec

from standage.railway.terms.figures import RadiusMm, Room, says
from standage.railway.track.paths.endless import EndlessPath, endless, turned_round
from standage.railway.track.paths.runs import even
from standage.shapes.faults import Fault, Ruled

STRAIGHT = even(0.0)


class Alignment(Ruled, frozen=True, kw_only=True):
    """A curve, with or without its entry, or one and then another the other way."""

    radius_mm: Annotated[
        RadiusMm, says("Of the curve, or of the first of a reverse curve, in mm.")
    ]
    reverse: Annotated[bool, says("Whether a curve the other way follows.")] = False
    reverse_radius_mm: Annotated[
        RadiusMm | None,
        says("Of the curve the other way, in mm; as sharp as the first if not given."),
    ] = None
    straight_between_mm: Annotated[
        Room | None, says("Straight between the two curves, in mm; 0 if not given.")
    ] = None
    entry: Annotated[
        bool | None,
        says(
            "Of a single curve. true: judge the way from straight track into it and "
            "out of it; false: transitions ease it, judge the curve alone; not given: "
            "judge both, with the entry's figures apart."
        ),
    ] = None

    def rules(self) -> Iterable[Fault]:
        """A second curve goes with ``reverse``, an entry with a single curve."""
        for field in ("reverse_radius_mm", "straight_between_mm"):
            if getattr(self, field) is not None and not self.reverse:
                message = (
                    "goes with a reverse curve: say reverse is true, "
                    f"or leave {field} out"
                )
                yield Fault(
                    code="one_or_the_other", message=message, pointer=f"/{field}"
                )
        if self.entry is not None and self.reverse:
            message = (
                "is of a single curve; a reverse curve is judged "
                "from the one curve into the other"
            )
            yield Fault(
                code="one_or_the_other",
                message=message,
                pointer="/entry",
            )

    @property
    def radii_mm(self) -> tuple[float, ...]:
        """The radii of its curves, in the order in which a train meets them."""
        if not self.reverse:
            return (self.radius_mm,)
        return (
            self.radius_mm,
            (
                self.radius_mm
                if self.reverse_radius_mm is None
                else self.reverse_radius_mm
            ),
        )

    def no_sharper_than(self, radius_mm: float) -> "Alignment":
        """Return the same alignment with every sharper curve eased to ``radius_mm``."""
        eased = tuple(max(radius_mm, one_mm) for one_mm in self.radii_mm)
        return msgspec.structs.replace(
            self,
            radius_mm=eased[0],
            reverse_radius_mm=eased[1] if self.reverse else None,
        )

    def with_straight(self, straight_mm: float) -> "Alignment":
        """Return the same with ``straight_mm`` of straight between its curves."""
        return msgspec.structs.replace(
            self,
            straight_between_mm=straight_mm,
        )


def steady_paths(alignment: Alignment) -> tuple[EndlessPath, ...]:
    """Return each of its curves by itself, going on for ever. **Source** derived."""
    return tuple(
        endless([even(1 / radius_mm)])
        for radius_mm in dict.fromkeys(alignment.radii_mm)
    )


def entry_paths(alignment: Alignment) -> tuple[EndlessPath, ...]:
    """Return the way from straight track into a single curve, and the way out of it.

    **Source** derived.
    """
    arc = even(1 / alignment.radius_mm)
    return (endless([STRAIGHT, arc]), endless([arc, STRAIGHT]))


def reverse_paths(
    alignment: Alignment, *, longest_mm: float
) -> tuple[EndlessPath, ...]:
    """Return the way through a reverse curve, and back where its radii differ.

    A straight longer than ``longest_mm``, the reach of all the wheels in question, is
    as good as one of that length. **Source** derived.
    """
    first_mm, second_mm = alignment.radii_mm
    straight_mm = min(alignment.straight_between_mm or 0.0, longest_mm)
    straight = even(0.0, length_mm=straight_mm)
    runs = (even(1 / first_mm), straight, even(-1 / second_mm))
    through = endless(runs)
    if first_mm == second_mm:
        return (through,)
    back = endless(turned_round(runs))
    return (through, back)


def judged_paths(alignment: Alignment, *, longest_mm: float) -> tuple[EndlessPath, ...]:
    """Return the paths that the main figures are those of.

    The way through a reverse curve, the entry where it is said to count, or the curve.
    **Source** derived.
    """
    if alignment.reverse:
        return reverse_paths(alignment, longest_mm=longest_mm)
    if alignment.entry:
        return entry_paths(alignment)
    return steady_paths(alignment)


def deciding_paths(
    alignment: Alignment, *, longest_mm: float
) -> tuple[EndlessPath, ...]:
    """Return all the paths that the verdict rests on.

    An entry counts unless it is said to be eased. **Source** derived.
    """
    main = judged_paths(alignment, longest_mm=longest_mm)
    if not has_entry_apart(alignment):
        return main
    return main + entry_paths(alignment)


def has_entry_apart(alignment: Alignment) -> bool:
    """Tell whether the entry is judged besides the curve. **Source** derived."""
    return not alignment.reverse and alignment.entry is None
