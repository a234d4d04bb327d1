"""The typical coupling types, listed beside the club's own."""

from functools import cache
from typing import Annotated, Literal

import msgspec

from standage.railway.stock.couplings import TYPICAL, TypicalKind
from standage.railway.terms.figures import says
from standage.railway.terms.scales import ScaleName


class TypicalCouplingType(msgspec.Struct, frozen=True, kw_only=True):
    """A coupling of the trade with what it typically reaches: common practice, with a
    wide scatter, no source.
    """

    name: Annotated[str, says("What it is called.")]
    reach_mm: Annotated[
        float,
        says(
            "How far it reaches, in mm; the middle where the word leaves open which"
            " it is."
        ),
    ]
    reach_plus_minus_mm: Annotated[
        float, says("How far off that may be, either way, in mm.")
    ]
    projection_mm: Annotated[
        float | None,
        says("How far it stands out when free, in mm; null where as it reaches."),
    ]
    reach_from: Annotated[
        Literal["buffers", "body"],
        says("What the reach counts from: the buffer face, or the end of the body."),
    ]
    scales: Annotated[tuple[ScaleName, ...], says("The scales in which it is typical.")]
    synonyms: Annotated[
        tuple[str, ...],
        says(
            "Other words for it; hyphens, spaces, letter case and the word coupling"
            " make no difference."
        ),
    ]
    mates_with: Annotated[
        tuple[str, ...], says("What it takes hold of besides its like.")
    ]
    any_of_several: Annotated[
        bool, says("Whether the word leaves open which of mates_with it is.")
    ]


@cache
def typical_coupling_types() -> tuple[TypicalCouplingType, ...]:
    """Return every typical type; one that reaches otherwise in another scale stands
    there again.
    """
    return tuple(map(_shown, TYPICAL))


def _shown(kind: TypicalKind) -> TypicalCouplingType:
    return TypicalCouplingType(
        name=kind.name,
        reach_mm=kind.reach_mm or 0.0,
        reach_plus_minus_mm=kind.reach_plus_minus_mm or 0.0,
        projection_mm=kind.projection_mm,
        reach_from="body" if kind.from_body else "buffers",
        scales=kind.scales,
        synonyms=(*kind.words, *kind.short),
        mates_with=kind.mates_with,
        any_of_several=kind.spans,
    )
