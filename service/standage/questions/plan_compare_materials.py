"""What an alteration of a plan lays and takes up, by the usual rules."""

from typing import NamedTuple

from standage.questions.materials_answer import AlterationMaterials, told_lines
from standage.questions.materials_words import assumed
from standage.railway.materials.counting import altered, counted, lines_of
from standage.railway.materials.rules import Rules
from standage.railway.terms.reasons import Assumed
from standage.railway.track.survey.survey import Survey

_NOT_TOLD = frozenset({"cutting", "saw_mm", "underlay_width_mm"})
"""Rules by which nothing of an alteration is counted."""


class AlterationCounted(NamedTuple):
    """What is laid and taken up, and what is assumed of it."""

    materials: AlterationMaterials
    assumed: tuple[Assumed, ...]


def materials_of(before: Survey, after: Survey) -> AlterationCounted:
    """Return what makes the plan ``before`` that ``after``, and by which rules."""
    rules = Rules()
    to_lay, to_take_up = altered(counted(before, rules), counted(after, rules))
    goods = (*to_lay, *to_take_up)
    taken = assumed(goods, rules, said=_NOT_TOLD, has_gauge=False)
    materials = AlterationMaterials(
        to_lay=told_lines(lines_of(to_lay)),
        to_take_up=told_lines(lines_of(to_take_up)),
    )
    return AlterationCounted(
        materials=materials,
        assumed=tuple(one for one in taken if one.field not in _NOT_TOLD),
    )
