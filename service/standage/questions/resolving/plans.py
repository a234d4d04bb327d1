"""Track plans on record, with the plans of the modules in them."""

import hashlib
from collections.abc import Iterator, Mapping, Sequence
from contextlib import suppress
from datetime import datetime
from typing import Any

import msgspec

from standage.questions.asked import AskedPlan
from standage.questions.derived import Key
from standage.questions.resolving.largest_stock import largest_stock
from standage.questions.resolving.lookup import Lookup, no_such
from standage.railway.stock.couplings import CouplingKind
from standage.railway.terms.reasons import Assumed
from standage.railway.track.fouling.spacings import LargestStock
from standage.railway.track.plans.plan import (
    MOST_PIECES,
    LaidModule,
    ModulePlan,
    Plan,
)
from standage.registry.records.drafts import SavedBeneath, Wish
from standage.registry.records.kinds import (
    LAYOUT_PLANS,
    LAYOUTS,
    MODULE_PLANS,
    MODULES,
    Kind,
)
from standage.registry.records.plan_summaries import PlanSummary
from standage.shapes.faults import Fault, Faulty, escaped
from standage.shapes.refusals import Absent

MOST_LETTERS = 4 * 1024 * 1024
"""Of the plans of all modules in one layout, as they are kept."""


class KnownPlan(msgspec.Struct, frozen=True, kw_only=True):
    """A plan with its modules' plans in it: what was taken for what nobody said, and
    what is wrong with what it names.

    ``known_by`` names what it holds itself, its modules' plans aside, and ``beneath``
    is the id of what it is of; ``number`` is that of a revision, ``dated`` when it was
    saved, or the draft last changed.
    """

    plan: Plan
    known_by: str = ""
    beneath: str = ""
    number: int | None = None
    dated: datetime | None = None
    assumed: tuple[Assumed, ...] = ()
    faults: tuple[Fault, ...] = ()

    def key(self, club_id: str, of: str, inputs: object) -> Key:
        """Return under what is kept what follows from it; ``inputs`` is what that rests
        on besides.
        """
        named = (self.plan.modules, self.faults, self.assumed)
        encoded = msgspec.json.encode((named, inputs))
        return Key(
            club_id=club_id,
            of=of,
            beneath=self.beneath,
            content=self.known_by,
            inputs=hashlib.sha256(encoded).hexdigest(),
        )


class PlanSources:
    """Resolves track plans. However many modules a layout has, the statements are as
    few.
    """

    def __init__(self, records: Lookup) -> None:
        self._records = records

    def plan_of_layout(
        self, layout_id: str, revision: int | None = None, *, pointer: str | None = None
    ) -> Plan:
        """Return a layout's plan: its draft, or a revision by its number.

        Raises ``Absent`` where there is none; ``Faulty`` where a ``pointer`` tells where
        a body named it.
        """
        with _at(pointer, LAYOUTS):
            return self.known_of_layout(layout_id, revision).plan

    def plan_of_module(
        self, module_id: str, revision: int | None = None, *, pointer: str | None = None
    ) -> Plan:
        """Return a module's plan, as ``plan_of_layout`` does a layout's."""
        with _at(pointer, MODULES):
            return self.known_of_module(module_id, revision).plan

    def known_of_layout(self, layout_id: str, revision: int | None = None) -> KnownPlan:
        """Return a layout's plan with what is to be said of it; raises ``Absent``."""
        kept = self._kept(LAYOUT_PLANS, layout_id, revision)
        known = self._with_modules(kept.plan)
        return msgspec.structs.replace(
            kept, plan=known.plan, assumed=known.assumed, faults=known.faults
        )

    def known_of_module(self, module_id: str, revision: int | None = None) -> KnownPlan:
        """Return a module's plan with what is to be said of it; raises ``Absent``."""
        return self._kept(MODULE_PLANS, module_id, revision)

    def draft_of_layout(self, layout_id: str) -> msgspec.Struct:
        """Return the draft of a layout's plan as it was sent; raises ``Absent``."""
        body: msgspec.Struct = self._records.draft(LAYOUT_PLANS, layout_id).body
        return body

    def given(self, plan: Plan, pointer: str) -> KnownPlan:
        """Return a plan that a body gives, with the plans of the modules on record that
        it names; raises ``Faulty`` for every one that is not on record.
        """
        named = _named(plan)
        there = self._records.many(MODULES, [wish[0] for wish in named.values()])
        faults = [
            no_such(MODULES, pointer=f"{pointer}{_pointer(name)}/module_id")
            for name, (module_id, _) in named.items()
            if module_id not in there
        ]
        if faults:
            raise Faulty(faults)
        return self._with_modules(plan)

    def asked(self, plan: AskedPlan, pointer: str) -> KnownPlan:
        """Return the plan that a body names or gives; raises ``Faulty`` where there is
        none.
        """
        if plan.layout_id is not None:
            at = f"{pointer}/layout_id"
            self._records.named(LAYOUTS, plan.layout_id, at)
            with _at(at, LAYOUTS):
                return self.known_of_layout(plan.layout_id, plan.revision)
        if plan.module_id is not None:
            at = f"{pointer}/module_id"
            self._records.named(MODULES, plan.module_id, at)
            with _at(at, MODULES):
                return self.known_of_module(plan.module_id, plan.revision)
        return self.given(plan, pointer)

    def of_layout_if_any(self, layout_id: str) -> KnownPlan | None:
        """Return the plan of a layout that there is; None where it has none."""
        with suppress(Absent):
            return self.known_of_layout(layout_id)
        return None

    def largest_stock_of(
        self, plan: Plan, types: tuple[CouplingKind, ...]
    ) -> tuple[LargestStock, ...]:
        """Return the club's own largest stock of a plan's scale, where the plan gives
        no spacing; none where it does.
        """
        if plan.scale is None or plan.fouling_spacing_mm is not None:
            return ()
        return largest_stock(self._records, plan.scale, types)

    def _kept(self, kind: Kind[Any], parent_id: str, revision: int | None) -> KnownPlan:
        draft = self._records.draft(kind, parent_id)
        if revision is None:
            return KnownPlan(
                plan=whole_plan(draft.body),
                known_by=f"draft {draft.etag}",
                beneath=parent_id,
                dated=draft.updated_at,
            )
        saved = self._records.revision(kind, draft, revision)
        return KnownPlan(
            plan=whole_plan(saved.body),
            known_by=f"revision {saved.etag}",
            beneath=parent_id,
            number=revision,
            dated=saved.saved.at,
        )

    def _with_modules(self, plan: Plan) -> KnownPlan:
        """Return a plan with its modules' plans in it, as far as they are saved."""
        named = _named(plan)
        if not named:
            return KnownPlan(plan=plan)
        found = self._records.saved_beneath(MODULE_PLANS, named.values())
        kept, too_large = _within_bounds(named, found)
        bodies = self._records.bodies_saved(MODULE_PLANS, kept.values())
        modules = dict(plan.modules)
        for name, saved in kept.items():
            inner = bodies[saved.record_id, saved.number]
            modules[name] = _with_plan(modules[name], inner)
        return KnownPlan(
            plan=msgspec.structs.replace(plan, modules=modules),
            assumed=tuple(_assumed(named, kept)),
            faults=(*_not_saved(named, found), *too_large),
        )


def whole_plan(body: msgspec.Struct) -> Plan:
    """Return the plan of a layout, or a module's as that of a layout without modules."""
    if isinstance(body, Plan):
        return body
    fields = {name: getattr(body, name) for name in ModulePlan.__struct_fields__}
    return Plan(**fields)


class _at:  # noqa: N801 - read as words in a with
    """Turns what is not there into the fault of the body that names it, where a body
    does.
    """

    def __init__(self, pointer: str | None, kind: Kind[Any]) -> None:
        self._pointer = pointer
        self._kind = kind

    def __enter__(self) -> None:
        """Begin; nothing is looked at before an error comes."""

    def __exit__(
        self, _type: object, error: BaseException | None, _traceback: object
    ) -> None:
        """Raise ``Faulty`` in place of ``Absent``, in the words of either."""
        if self._pointer is None or not isinstance(error, Absent):
            return
        code = f"no_plan_of_{self._kind.one}"
        fault = Fault(
            code=code,
            message=str(error),
            pointer=self._pointer,
        )
        raise Faulty([fault]) from error


def _named(plan: Plan) -> dict[str, Wish]:
    """Return the modules on record of which the plan is not given here, by their names
    in the layout.
    """
    named: dict[str, Wish] = {}
    for name, module in plan.modules.items():
        if module.module_id is not None and module.plan is None:
            named[name] = module.module_id, module.revision
    return named


def _pointer(name: str) -> str:
    return f"/modules/{escaped(name)}"


def _with_plan(module: LaidModule, plan: msgspec.Struct) -> LaidModule:
    return msgspec.structs.replace(module, plan=plan)


def _within_bounds(
    named: Mapping[str, Wish], found: Mapping[Wish, SavedBeneath]
) -> tuple[dict[str, SavedBeneath], Sequence[Fault]]:
    """Return the modules' plans that are taken, in their order as long as there is
    room for them, and what is said of the others.
    """
    kept: dict[str, SavedBeneath] = {}
    left_out: list[Fault] = []
    pieces = letters = 0
    for name, wish in named.items():
        saved = found.get(wish)
        if saved is None:
            continue
        pieces += _pieces_of(saved)
        letters += saved.length
        if pieces <= MOST_PIECES and letters <= MOST_LETTERS:
            kept[name] = saved
            continue
        message = f"{name} is left out: the plans of all modules are too large together"
        at = f"{_pointer(name)}/module_id"
        left_out.append(
            Fault(
                code="too_many",
                message=message,
                pointer=at,
            )
        )
    return kept, left_out


def _pieces_of(saved: SavedBeneath) -> int:
    summary = saved.summary
    if isinstance(summary, PlanSummary):
        return summary.piece_count
    return 0


def _assumed(
    named: Mapping[str, Wish], kept: Mapping[str, SavedBeneath]
) -> Iterator[Assumed]:
    for name, saved in kept.items():
        _, said = named[name]
        if said is None:
            message = f"{name}: revision {saved.number} of its plan, the newest saved"
            yield Assumed(
                field=f"modules/{name}/revision",
                message=message,
                source="default",
                value=str(saved.number),
            )


def _not_saved(
    named: Mapping[str, Wish], found: Mapping[Wish, SavedBeneath]
) -> Iterator[Fault]:
    for name, wish in named.items():
        if wish in found:
            continue
        _, number = wish
        if number is None:
            message = (
                f"no revision of the plan of {name} is saved: save one, or give its"
                " plan here"
            )
            at = f"{_pointer(name)}/module_id"
            yield Fault(code="no_revision", message=message, pointer=at)
        else:
            message = f"the plan of {name} has no revision {number}"
            at = f"{_pointer(name)}/revision"
            yield Fault(code="no_such_revision", message=message, pointer=at)
