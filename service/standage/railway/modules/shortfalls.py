"""What falls short of a club's rules, and what its waivers make of that."""

from collections.abc import Iterable, Mapping, Sequence
from typing import Annotated, Literal, NamedTuple

import msgspec

from standage.railway.modules.boards import ModuleEnd
from standage.railway.modules.standard_rules import RuleKind, StandardRule, kind_of
from standage.railway.terms.figures import says, tidy
from standage.railway.terms.reasons import worst

StandardVerdict = Literal["fails", "cannot_tell", "waived", "meets"]
WORST_FIRST: tuple[StandardVerdict, ...] = ("fails", "cannot_tell", "waived", "meets")


class Shortfall(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """One thing that falls short of a rule, or that is not known and so may."""

    verdict: Annotated[
        StandardVerdict, says("Whether it fails, is not known, or is waived.")
    ]
    code: Annotated[str, says("What is wrong, as a stable code.")]
    message: Annotated[str, says("What is wrong, in plain words.")]
    field: Annotated[str, says("The figure that it is about.")]
    end: Annotated[str | None, says("The end of the module where it is so.")] = None
    value_mm: Annotated[float | None, says("The figure, in mm.")] = None
    limit_mm: Annotated[float | None, says("What the rule asks, in mm.")] = None
    amount_mm: Annotated[float | None, says("By how much it is missed, in mm.")] = None
    plus_minus_mm: Annotated[
        float | None, says("How far off the figure may be, either way, in mm.")
    ] = None
    value_g: Annotated[float | None, says("The figure, in grams.")] = None
    limit_g: Annotated[float | None, says("What the rule asks, in grams.")] = None
    amount_g: Annotated[float | None, says("By how much it is missed, in grams.")] = (
        None
    )
    value_mm2: Annotated[float | None, says("The figure, in mm².")] = None
    limit_mm2: Annotated[float | None, says("What the rule asks, in mm².")] = None
    value_number: Annotated[float | None, says("The number of points.")] = None
    limit_number: Annotated[
        float | None, says("The least number that the rule asks.")
    ] = None
    amount_mm2: Annotated[float | None, says("By how much it is missed, in mm².")] = (
        None
    )


class Missed(NamedTuple):
    """A figure in mm, the limit it is held against, and beyond that limit what is
    allowed all the same.
    """

    value_mm: float
    limit_mm: float
    end: str | None = None
    allowed_mm: float = 0.0

    @property
    def amount_mm(self) -> float:
        """By how much the limit is missed."""
        off_mm = abs(self.value_mm - self.limit_mm)
        return off_mm - self.allowed_mm


def unknown(field: str, message: str, *, end: ModuleEnd | None = None) -> Shortfall:
    """Return that a figure is missing, which matters: what to measure, and at which
    end. **Source** derived.
    """
    return Shortfall(
        verdict="cannot_tell",
        code="missing_figure",
        message=message,
        field=field,
        end=None if end is None else end.name,
    )


def wrong(code: str, message: str, field: str, *, end: str) -> Shortfall:
    """Return that something at an end is not what the rule asks for, without a figure.
    **Source** derived.
    """
    return Shortfall(
        verdict="fails",
        code=code,
        message=message,
        field=field,
        end=end,
    )


def missed(code: str, message: str, field: str, figures: Missed) -> Shortfall:
    """Return that a figure in mm misses its limit, and by how much. **Source**
    derived.
    """
    return Shortfall(
        verdict="fails",
        code=code,
        message=message,
        field=field,
        end=figures.end,
        value_mm=tidy(figures.value_mm),
        limit_mm=figures.limit_mm,
        amount_mm=tidy(figures.amount_mm),
    )


class RuleFailure(Shortfall, frozen=True, kw_only=True, omit_defaults=True):
    """A shortfall, the rule it is of, and the reason why it is waived where it is."""

    rule: Annotated[RuleKind, says("The sort of rule.")]
    rule_number: Annotated[
        int, says("Its place in the standard's list, counted from 1.")
    ]
    rule_id: Annotated[str | None, says("Its id, where it has one.")] = None
    waived_because: Annotated[str | None, says("Why the club lets this one off.")] = (
        None
    )


Waived = Mapping[int, str]
"""The reasons of the waivers of one subject, by the rule's place counted from 0."""


def weighed(
    rules: Sequence[StandardRule],
    found: Iterable[tuple[int, Shortfall]],
    waived: Waived,
) -> list[RuleFailure]:
    """Return each shortfall of the rule at its place, worst first; a waiver changes the
    verdict and no figure. **Source** derived.
    """
    failures = [
        _of_rule(rules[place], place, shortfall, waived.get(place))
        for place, shortfall in found
    ]

    def how_bad(failure: RuleFailure) -> tuple[int, int]:
        return WORST_FIRST.index(failure.verdict), failure.rule_number

    return sorted(failures, key=how_bad)


def standard_verdict(failures: Iterable[RuleFailure]) -> StandardVerdict:
    """Return the worst verdict of all; ``meets`` where nothing falls short. **Source**
    derived.
    """
    verdicts = (failure.verdict for failure in failures)
    return worst(verdicts, order=WORST_FIRST)


def _of_rule(
    rule: StandardRule, place: int, shortfall: Shortfall, reason: str | None
) -> RuleFailure:
    figures = {name: getattr(shortfall, name) for name in Shortfall.__struct_fields__}
    if reason is not None:
        figures["verdict"] = "waived"
    return RuleFailure(
        **figures,
        rule=kind_of(rule),
        rule_number=place + 1,
        rule_id=rule.id,
        waived_because=reason,
    )
