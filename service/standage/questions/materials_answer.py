"""What is answered of the materials of a plan, field by field."""

from collections.abc import Sequence
from typing import Annotated, Literal

import msgspec

from standage.questions.materials_words import line_words
from standage.questions.reckoning import NOT_YET, Warnings
from standage.railway.materials.counting import Amount, Line
from standage.railway.materials.cutting import Cutting, StockLength
from standage.railway.materials.goods import What
from standage.railway.materials.rules import Rules
from standage.railway.terms.figures import says
from standage.railway.terms.reasons import Assumed, Reason

MaterialsVerdict = Literal["counted", "cannot_tell"]
MOST_LENGTHS = 1_000
"""So many stock lengths are listed, those cut alike as one."""
_SAW = (
    "Cutting: clamp the track, wear goggles, for a cutting disc shatters, and smooth"
    " every rail's end with a file."
)
_CURVES = (
    "Bend a curve before it is cut to length: lengths are along the middle, and the"
    " outer rail is the longer one."
)
_GLUE = (
    "Glueing: air the room, read the label, and lay nothing for good before a train"
    " has run over it."
)
_SOLDER = (
    "Soldering: power off, away from what burns, fumes off, and wash hands after lead."
)
_MAINS = (
    "Wires here are for the low voltage on the rails. Mains and chargers are for a"
    " competent person, by the local codes."
)
CAUTIONS = (_SAW, _CURVES, _GLUE, _SOLDER, _MAINS)


class ToldLine(msgspec.Struct, frozen=True, kw_only=True):
    """What is alike in a plan, and how much of it; what is planned is to be got."""

    what: What
    message: str
    geometry: Annotated[
        dict[str, str | float], says("The figures by which it is alike.")
    ]
    count: int
    length_mm: Annotated[float | None, says("All of it; null where it has none.")]
    laid: Amount
    planned: Amount
    fixed: Amount
    pieces: Annotated[
        tuple[str, ...], says("Its pieces; none of joiners, wires and the like.")
    ]


class ModuleLines(msgspec.Struct, frozen=True, kw_only=True):
    """The same of one module; null is what lies between modules."""

    module: str | None
    lines: tuple[ToldLine, ...]


class CutList(msgspec.Struct, frozen=True, kw_only=True):
    """How plain track that is to be got is cut, from the fewest lengths found."""

    stock_length_mm: float
    saw_mm: float
    needed: int
    at_least: Annotated[int, says("No cut list does with fewer.")]
    proved_fewest: bool
    lengths: tuple[StockLength, ...]
    lengths_left_out: Annotated[int, says("Not listed: 1,000 entries are.")]


class AlterationMaterials(msgspec.Struct, frozen=True, kw_only=True):
    """What is added or altered, as it is after; what is laid and removed or altered, as
    it was before.
    """

    to_lay: tuple[ToldLine, ...]
    to_take_up: tuple[ToldLine, ...]


class MaterialsAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """All that a plan is made of, and what of it is still to be got.

    ``cannot_tell`` where a length is not known or the plan has faults: then it is what
    there is besides.
    """

    verdict: MaterialsVerdict
    lines: tuple[ToldLine, ...]
    modules: Annotated[
        tuple[ModuleLines, ...], says("The same by modules, where there are any.")
    ]
    cutting: CutList
    underlay_to_get_m2: Annotated[
        float | None, says("Null where its width is not known.")
    ]
    not_known: Annotated[
        tuple[str, ...], says("Pieces in no length: nobody knows theirs.")
    ]
    because: tuple[Reason, ...]
    assumed: tuple[Assumed, ...]
    cautions: tuple[str, ...]
    warnings: Warnings = NOT_YET


def told_lines(lines: Sequence[Line]) -> tuple[ToldLine, ...]:
    """Return lines of a list as they are told."""
    return tuple(map(_told, lines))


def _told(line: Line) -> ToldLine:
    return ToldLine(
        what=line.what,
        message=line_words(line.what, line.geometry),
        geometry=line.geometry,
        count=line.count,
        length_mm=line.length_mm,
        laid=line.laid,
        planned=line.planned,
        fixed=line.fixed,
        pieces=line.pieces,
    )


def told_cutting(found: Cutting, rules: Rules) -> CutList:
    """Return a cut list as it is told."""
    shown = found.lengths[:MOST_LENGTHS]
    return CutList(
        stock_length_mm=rules.stock_length_mm,
        saw_mm=rules.saw_mm,
        needed=found.needed,
        at_least=found.at_least,
        proved_fewest=found.is_proved,
        lengths=shown,
        lengths_left_out=found.needed - sum(one.times for one in shown),
    )
