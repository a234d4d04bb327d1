"""Which modules and trains keep to the club's own standard, and what do the others fall
short of?
"""

from collections.abc import Iterator, Mapping, Sequence
from typing import Annotated, Any, Literal

import msgspec

from standage.questions.question import InPages, Page, Position, Shows
from standage.questions.reckoning import NOT_YET, Warnings, warned
from standage.questions.sources import Sources
from standage.railway.modules.boards import ModuleFigures
from standage.railway.modules.shortfalls import (
    WORST_FIRST,
    RuleFailure,
    Shortfall,
    StandardVerdict,
    standard_verdict,
    weighed,
)
from standage.railway.modules.standard_rules import (
    Connector,
    StandardRule,
    is_about_trains,
    rule_meant,
)
from standage.railway.modules.standards import module_shortfalls, train_shortfalls
from standage.railway.stock.coupled import coupled
from standage.railway.stock.couplings import CouplingKind, CouplingTypes
from standage.railway.stock.trains import Train
from standage.railway.terms.figures import IdOrName, agreeing, listed, says
from standage.railway.terms.reasons import Assumed, Guess, Reason, told, worst
from standage.railway.terms.senses import ITSELF, NAMES_IT
from standage.registry.records.bodies import ModuleBody, StandardBody, TrainBody
from standage.registry.records.kinds import MODULES, TRAINS, Kind
from standage.registry.records.reading import Listing, position
from standage.registry.records.record import Record
from standage.shapes.faults import Fault, Faulty
from standage.shapes.paging import DEFAULT_LIMIT, Cursor, Limit, Next, NextCursor

MOST_FAILURES = 100
"""So many failures of one module or train are told."""
WORK_A_PAGE = 1_000
"""A page ends before its vehicles and figures to look at are more, so that none waits
long; it holds one.
"""

SubjectKind = Literal["module", "train"]
_KINDS: tuple[tuple[SubjectKind, Kind[Any]], ...] = (
    ("module", MODULES),
    ("train", TRAINS),
)


class After(msgspec.Struct, frozen=True, kw_only=True):
    """Where a page begins: just after the module or train with that sort value
    and id.
    """

    kind: str
    value: str
    id: str


class Asked(msgspec.Struct, frozen=True, kw_only=True):
    """Which part of the report is wanted: one module, one train, or so many of all from
    just after a place.
    """

    module_id: str | None = None
    train_id: str | None = None
    after: After | None = None
    limit: int = 50
    work: int = WORK_A_PAGE


class StandardReportQuery(
    msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True
):
    """Which part of a report is wanted."""

    module_id: Annotated[IdOrName | None, says("Only this module.")] = None
    train_id: Annotated[IdOrName | None, says("Only this train.")] = None
    limit: Limit = DEFAULT_LIMIT
    cursor: Cursor | None = None


class Subject(msgspec.Struct, frozen=True, kw_only=True):
    """A module or a train that is held to the rules; ``waived`` gives the reasons by
    the rule's place from 0.
    """

    kind: SubjectKind
    id: str
    name: Annotated[str, NAMES_IT]
    module: Annotated[ModuleFigures | None, ITSELF] = None
    train: Train | None = None
    waived: Mapping[int, str] = {}


class StandardReportCase(msgspec.Struct, frozen=True, kw_only=True):
    """All that the report rests on; ``then`` is where the next page begins, None on the
    last.
    """

    standard: str
    rules: tuple[StandardRule, ...]
    subjects: tuple[Subject, ...]
    types: tuple[CouplingKind, ...] = ()
    then: After | None = None


class SubjectReport(msgspec.Struct, frozen=True, kw_only=True):
    """One module or train against every rule that is about it."""

    kind: Annotated[SubjectKind, says("Whether it is a module or a train.")]
    id: Annotated[str, says("Its id.")]
    name: Annotated[str, says("What it is called.")]
    verdict: Annotated[StandardVerdict, says("Whether it keeps to the standard.")]
    failures: Annotated[
        tuple[RuleFailure, ...],
        says("What falls short, worst first; the worst hundred at most."),
    ]
    failures_in_all: Annotated[int, says("How many there are, told or not.")]


class StandardReportAnswer(
    msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True
):
    """Modules by name, then trains by name, each against the rules that are about
    it.
    """

    verdict: Annotated[StandardVerdict, says("The worst verdict of this page.")]
    standard: Annotated[str, says("What the standard is called.")]
    subjects: Annotated[
        tuple[SubjectReport, ...],
        says("Those that the rules are about; a page may hold fewer than its limit."),
    ]
    because: Annotated[
        tuple[Reason, ...], says("What stands in the way on this page, worst first.")
    ]
    assumed: Annotated[
        tuple[Assumed, ...], says("Every figure of the trains that nobody measured.")
    ]
    next: Next = None
    next_cursor: NextCursor = None
    warnings: Warnings = NOT_YET


@warned
def reckon(case: StandardReportCase) -> StandardReportAnswer:
    """Return how the modules and trains of ``case`` stand to its rules."""
    guesses: list[Guess] = []
    judged = [_judged(case, subject, guesses) for subject in case.subjects]
    subjects = tuple(subject for subject, _ in judged)
    ordered = sorted(judged, key=lambda one: WORST_FIRST.index(one[0].verdict))
    return StandardReportAnswer(
        verdict=worst((subject.verdict for subject in subjects), order=WORST_FIRST),
        standard=case.standard,
        subjects=subjects,
        because=tuple(
            _reason(subject, failures)
            for subject, failures in ordered
            if subject.verdict != "meets"
        )
        or (_nothing_amiss(len(subjects)),),
        assumed=told(guesses),
    )


def _judged(
    case: StandardReportCase, subject: Subject, guesses: list[Guess]
) -> tuple[SubjectReport, list[RuleFailure]]:
    """Return the report on one subject, and all that it falls short in, also where that
    is more than is told.
    """
    failures = weighed(case.rules, _shortfalls(case, subject, guesses), subject.waived)
    report = SubjectReport(
        kind=subject.kind,
        id=subject.id,
        name=subject.name,
        verdict=standard_verdict(failures),
        failures=tuple(failures[:MOST_FAILURES]),
        failures_in_all=len(failures),
    )
    return report, failures


def _shortfalls(
    case: StandardReportCase, subject: Subject, guesses: list[Guess]
) -> Iterator[tuple[int, Shortfall]]:
    if subject.module is not None:
        yield from module_shortfalls(case.rules, subject.module)
    if subject.train is not None and any(map(is_about_trains, case.rules)):
        train = coupled(subject.train, types=CouplingTypes(case.types))
        guesses.extend(train.guesses())
        yield from train_shortfalls(case.rules, train.pulled_out())


def _reason(subject: SubjectReport, failures: list[RuleFailure]) -> Reason:
    """Return what is to be said of one subject: where it is as its verdict says, and
    what is not known besides.
    """
    worst_of_all = [
        failure for failure in failures if failure.verdict == subject.verdict
    ]
    unknown = [
        failure
        for failure in failures
        if failure.verdict == "cannot_tell" != subject.verdict
    ]
    words = {
        "fails": "falls short of the standard",
        "cannot_tell": "cannot be judged by the standard yet",
        "waived": "falls short of the standard, but is let off",
        "meets": "keeps to the standard",
    }[subject.verdict]
    places = agreeing(
        len(worst_of_all), "in one place", f"in {len(worst_of_all)} places"
    )
    message = f"{subject.name} {words} {places}: {_kinds(worst_of_all)}"
    if unknown:
        are = agreeing(len(unknown), "is", "are")
        message += f"; {len(unknown)} more {are} not known yet: {_kinds(unknown)}"
    return Reason(code=f"{subject.kind}_{subject.verdict}", message=message)


def _kinds(failures: list[RuleFailure]) -> str:
    return listed(sorted({failure.rule.replace("_", " ") for failure in failures}))


def _nothing_amiss(count: int) -> Reason:
    if count == 0:
        return Reason(
            code="nothing_to_judge",
            message="there is no module or train here that the rules are about",
        )
    return Reason(
        code="all_meet", message="every module and train here keeps to the standard"
    )


def gather(
    sources: Sources,
    ids: Mapping[str, str],
    query: StandardReportQuery,
    beginning: Position | None,
) -> StandardReportCase:
    """Return the case of one page; raises ``Absent`` where there is no such standard,
    ``Faulty`` for what is asked.
    """
    asked = Asked(
        module_id=query.module_id,
        train_id=query.train_id,
        after=None if beginning is None else _begins(*beginning),
        limit=query.limit,
    )
    return case_of(sources, ids["standard_id"], asked)


def _begins(value: str, record_id: str) -> After:
    kind, _, rest = value.partition(":")
    return After(
        kind=kind,
        value=rest,
        id=record_id,
    )


def case_of(sources: Sources, standard_id: str, asked: Asked) -> StandardReportCase:
    """Return the case of what is asked of a standard."""
    standard = sources.modules.standard_at(standard_id)
    named = _named(sources, asked)
    if named:
        return _case(sources, standard, _subjects(sources, standard, named))
    found = _page(sources, standard, asked)
    subjects = _subjects(sources, standard, found)
    kept = _within_work(subjects[: asked.limit], standard.asks, most=asked.work)
    if len(kept) == len(found):
        return _case(sources, standard, kept)
    last = found[len(kept) - 1]
    return _case(sources, standard, kept, then=_after(last))


def _named(sources: Sources, asked: Asked) -> list[Record]:
    found: list[Record] = []
    if asked.module_id is not None:
        found.append(sources.records.asked_for(MODULES, asked.module_id, "module_id"))
    if asked.train_id is not None:
        found.append(sources.records.asked_for(TRAINS, asked.train_id, "train_id"))
    return found


def _page(sources: Sources, standard: StandardBody, asked: Asked) -> list[Record]:
    """Return one record more than the page may hold, if there are as many: modules by
    name, then trains by name.
    """
    found: list[Record] = []
    names = [kind.name for _, kind in _KINDS]
    after = asked.after
    if after is not None and after.kind not in names:
        raise Faulty(
            [
                Fault(
                    code="bad_cursor",
                    message="is not a cursor of this list",
                    parameter="cursor",
                )
            ]
        )
    for name, kind in _KINDS[0 if after is None else names.index(after.kind) :]:
        left = asked.limit + 1 - len(found)
        if left and any(
            is_about_trains(rule) == (name == "train") for rule in standard.asks
        ):
            start = (
                (after.value, after.id)
                if after is not None and after.kind == kind.name
                else None
            )
            found += sources.records.page(kind, Listing(after=start, limit=left))
    return found


def _within_work(
    subjects: Sequence[Subject], rules: Sequence[StandardRule], *, most: int
) -> Sequence[Subject]:
    work = 0
    for count, subject in enumerate(subjects):
        work += _work(subject, rules)
        if work > most and count:
            return subjects[:count]
    return subjects


def _work(subject: Subject, rules: Sequence[StandardRule]) -> int:
    """Return how many figures must be looked at, roughly."""
    if subject.train is not None:
        return sum(vehicle.count for vehicle in subject.train.vehicles)
    looked_at = 1
    if subject.module is not None:
        looked_at += len(subject.module.ends)
    return looked_at * sum(map(_work_of, rules))


def _work_of(rule: StandardRule) -> int:
    if isinstance(rule, Connector):
        return 1 + len(rule.pins)
    return 1


def _after(record: Record) -> After:
    kinds = {kind.name: kind for _, kind in _KINDS}
    value, record_id = position(kinds[record.kind], record)
    return After(
        kind=record.kind,
        value=value,
        id=record_id,
    )


def _case(
    sources: Sources,
    standard: StandardBody,
    subjects: Sequence[Subject],
    *,
    then: After | None = None,
) -> StandardReportCase:
    return StandardReportCase(
        standard=standard.name,
        rules=standard.asks,
        subjects=tuple(subjects),
        types=(
            sources.couplings.types()
            if any(subject.train is not None for subject in subjects)
            else ()
        ),
        then=then,
    )


def _subjects(
    sources: Sources, standard: StandardBody, records: Sequence[Record]
) -> list[Subject]:
    trains = [record for record in records if isinstance(record.body, TrainBody)]
    made_up = {}
    for record, train in zip(trains, sources.trains.made_up(trains), strict=True):
        made_up[record.id] = train
    return [_subject(record, standard, made_up.get(record.id)) for record in records]


def _subject(record: Record, standard: StandardBody, train: Train | None) -> Subject:
    waived = {
        place: waiver.reason
        for waiver in standard.waivers
        if record.id in {waiver.module_id, waiver.train_id}
        and (place := rule_meant(standard.asks, waiver.rule)) is not None
    }
    body = record.body
    return Subject(
        kind="module" if train is None else "train",
        id=record.id,
        name=str(getattr(body, "name", "")),
        module=body if isinstance(body, ModuleBody) else None,
        train=train,
        waived=waived,
    )


def page(case: StandardReportCase) -> Page[StandardReportAnswer]:
    """Return a page of the report, and where the next one begins."""
    answer, then = reckon(case), case.then
    if then is None:
        return Page(
            answer=answer,
            then=None,
        )
    value = f"{then.kind}:{then.value}"
    return Page(
        answer=answer,
        then=(value, then.id),
    )


QUESTION = InPages(
    id="getStandardReport",
    at="/v1/standards/{standard_id}/report",
    asks="Which modules and trains keep to the club's standard?",
    tells=(
        "Every module and train that the rules are about, with the figure, the limit"
        " and the amount of each failure, and the reason where it is waived."
    ),
    parameters=StandardReportQuery,
    answer=StandardReportAnswer,
    gather=gather,
    reckon=page,
    example={},
    warns=Shows(
        "area_or_diameter",
        "rules/0/area_mm2",
        recorded=("Standard", {"rules": [{"rule": "wire_area", "area_mm2": 0.8}]}),
    ),
)
