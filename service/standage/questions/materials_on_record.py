"""What the plan of a layout or of a module on record is made of; kept as whatever is
reckoned of such a plan.
"""

from collections.abc import Mapping
from functools import partial

import msgspec

from standage.questions import materials
from standage.questions.derived import Key
from standage.questions.materials import (
    RULES,
    DropperOverMm,
    MaterialsCase,
    SawMm,
    StockLengthMm,
    UnderlayWidthMm,
    case_of,
)
from standage.questions.materials_answer import MaterialsAnswer
from standage.questions.plan_on_record import WhichPlan, known_at
from standage.questions.question import NeverWarns, OnRecord
from standage.questions.sources import Sources

Ids = Mapping[str, str]


class WhichMaterials(WhichPlan, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Which plan is meant, and by what it is counted."""

    stock_length_mm: StockLengthMm = None
    saw_mm: SawMm = None
    dropper_over_mm: DropperOverMm = None
    underlay_width_mm: UnderlayWidthMm = None


class MaterialsOnRecord(msgspec.Struct, frozen=True, kw_only=True):
    """The case of a plan on record, under what its answer is kept."""

    case: MaterialsCase
    key: Key


def gather(sources: Sources, ids: Ids, which: WhichMaterials) -> MaterialsOnRecord:
    """Return the case of a plan by the address that names it."""
    known = known_at(sources, ids, which.revision)
    inputs = [getattr(which, name) for name in RULES]
    key = known.key(sources.records.club_id, "materials", inputs)
    return MaterialsOnRecord(case=case_of(known, which), key=key)


def reckon(found: MaterialsOnRecord) -> MaterialsAnswer:
    """Return what a plan on record is made of."""
    return materials.reckon(found.case)


def is_heavy(found: MaterialsOnRecord) -> bool:
    """Tell whether a plan has so many pieces that it may take over 20 ms."""
    return materials.is_heavy(found.case)


def _key_of(found: MaterialsOnRecord) -> Key:
    return found.key


_COUNTED = partial(
    OnRecord,
    tells="As of a plan that is given with the question.",
    parameters=WhichMaterials,
    answer=MaterialsAnswer,
    gather=gather,
    reckon=reckon,
    example={},
    refused={"stock_length_mm": 0},
    heavy=is_heavy,
    kept_under=_key_of,
    warns=NeverWarns("what track is cut from, and how, has every size"),
)
QUESTION = _COUNTED(
    id="getLayoutPlanMaterials",
    at="/v1/layouts/{layout_id}/plan/materials",
    asks="What is the plan of this layout made of?",
    who="visitors_too",
    others=(
        _COUNTED(
            id="getModulePlanMaterials",
            at="/v1/modules/{module_id}/plan/materials",
            asks="What is the plan of this module made of?",
        ),
    ),
)
