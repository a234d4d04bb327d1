"""The rules that a club may hold its modules and trains to, and the waivers that let
one off.

A rule is told by its field ``rule``. What it holds against which figure is in
``standards``.
"""

from collections.abc import Iterable, Sequence
from typing import Annotated, Literal

import msgspec

from standage.railway.modules.boards import (
    MOST_TRACKS,
    LineClass,
    Offset,
    Pins,
    PointsNumber,
    WireAreaMm2,
    pins_listed_twice,
)
from standage.railway.terms.figures import (
    IdOrName,
    Length,
    Mass,
    Name,
    Note,
    RadiusMm,
    Room,
    SpacingMm,
    Tolerance,
    TrainLengthMm,
    says,
)
from standage.shapes.faults import Fault, Ruled

MOST_RULES = 50
MOST_WAIVERS = 500

RuleName = Annotated[
    str,
    msgspec.Meta(
        min_length=1, max_length=40, pattern=r"^[A-Za-z0-9][A-Za-z0-9._-]*(?!\n)$"
    ),
]
RulePlace = Annotated[int, msgspec.Meta(ge=1, le=MOST_RULES)]


class _Rule(Ruled, frozen=True, kw_only=True, tag_field="rule"):
    """What every rule has."""

    id: Annotated[
        RuleName | None,
        says("A short name of the rule, for waivers to refer to: R1, height."),
    ] = None


class LeastRadius(_Rule, frozen=True, kw_only=True, tag="least_radius"):
    """The sharpest curve of a module, everywhere or on one class of line."""

    radius_mm: Annotated[RadiusMm, says("The least radius, in mm.")]
    class_of_line: Annotated[
        LineClass | None, says("On which class of line; on all, if not given.")
    ] = None


class LongestTrain(_Rule, frozen=True, kw_only=True, tag="longest_train"):
    """The length of a train pulled out."""

    length_mm: Annotated[TrainLengthMm, says("The greatest length pulled out, in mm.")]


class RailHeight(_Rule, frozen=True, kw_only=True, tag="rail_height"):
    """The height of the rails above the floor at every end."""

    height_mm: Annotated[Length, says("From the floor to the top of the rails, in mm.")]
    plus_minus_mm: Annotated[
        Tolerance, says("How far off it may be, either way, in mm.")
    ] = 0.0


class RailStep(_Rule, frozen=True, kw_only=True, tag="rail_step"):
    """How much the rails may rise or fall from one end of a module to another."""

    step_mm: Annotated[
        Room, says("The greatest difference between the heights of two ends, in mm.")
    ]


class EndStraight(_Rule, frozen=True, kw_only=True, tag="end_straight"):
    """Straight track before every end, so that no curve meets another at the joint."""

    straight_mm: Annotated[Length, says("The least straight before an end, in mm.")]


class Spacing(_Rule, frozen=True, kw_only=True, tag="spacing"):
    """The spacing of neighbouring tracks at every end."""

    spacing_mm: Annotated[
        SpacingMm, says("Between the centre lines of neighbouring tracks, in mm.")
    ]
    plus_minus_mm: Annotated[
        Tolerance, says("How far off it may be, either way, in mm.")
    ] = 0.0


class TrackPlace(_Rule, frozen=True, kw_only=True, tag="track_place"):
    """Where each track lies at every end."""

    offsets_mm: Annotated[
        tuple[Offset, ...],
        msgspec.Meta(min_length=1, max_length=MOST_TRACKS),
        says(
            "The places for tracks, from the middle of the end to a centre line, in mm;"
            " to the right is more."
        ),
    ]
    plus_minus_mm: Annotated[
        Tolerance, says("How far off its place a track may lie, either way, in mm.")
    ] = 0.0

    def rules(self) -> Iterable[Fault]:
        """Each place is named once."""
        if len(set(self.offsets_mm)) < len(self.offsets_mm):
            yield Fault(
                code="repeated",
                message="names the same place twice",
                pointer="/offsets_mm",
            )


class HeightSteps(_Rule, frozen=True, kw_only=True, tag="height_steps"):
    """The heights at which an end may stand: one height, and whole steps above or below
    it.
    """

    height_mm: Annotated[
        Length,
        says(
            "The height from which the steps are counted, floor to the top of the"
            " rails."
        ),
    ]
    step_mm: Annotated[Length, says("How high one step is, in mm.")]
    plus_minus_mm: Annotated[
        Tolerance, says("How far off such a height it may be, either way, in mm.")
    ] = 0.0

    def rules(self) -> Iterable[Fault]:
        """Between two steps there is room for a height that is none."""
        if 2 * self.plus_minus_mm >= self.step_mm:
            message = (
                "lets every height pass: it must be less than half of the step of"
                f" {self.step_mm:g} mm"
            )
            yield Fault(code="contradiction", message=message, pointer="/plus_minus_mm")


class LeastPointsNumber(_Rule, frozen=True, kw_only=True, tag="least_points_number"):
    """The sharpest points of a module, everywhere or on one class of line, by their
    number.
    """

    number: Annotated[
        PointsNumber,
        says("The least number: 6 for No. 6 and easier, 9 for 1:9 and easier."),
    ]
    class_of_line: Annotated[
        LineClass | None, says("On which class of line; on all, if not given.")
    ] = None


class Connector(_Rule, frozen=True, kw_only=True, tag="connector"):
    """The connector at every end, for low voltage only."""

    type: Annotated[Name, says("What sort it is, in general words.")]
    pins: Annotated[Pins, says("What these pins must carry; others are free.")] = ()

    def rules(self) -> Iterable[Fault]:
        """Each pin is listed once."""
        yield from pins_listed_twice(self.pins)


class WireAreaRule(_Rule, frozen=True, kw_only=True, tag="wire_area"):
    """The copper of the wires that run right through a module."""

    area_mm2: Annotated[WireAreaMm2, says("The least area of copper, in mm².")]


class BoardMass(_Rule, frozen=True, kw_only=True, tag="board_mass"):
    """What a board weighs; by common practice one person carries no more than 25 kg."""

    mass_g: Annotated[Mass, says("The greatest mass, in grams.")]


StandardRule = (
    LeastRadius
    | LongestTrain
    | RailHeight
    | RailStep
    | EndStraight
    | Spacing
    | Connector
    | WireAreaRule
    | BoardMass
    | TrackPlace
    | HeightSteps
    | LeastPointsNumber
)


RuleKind = Literal[
    "least_radius",
    "longest_train",
    "rail_height",
    "rail_step",
    "end_straight",
    "spacing",
    "connector",
    "wire_area",
    "board_mass",
    "track_place",
    "height_steps",
    "least_points_number",
]


class Waiver(Ruled, frozen=True, kw_only=True):
    """That one module or train is let off one rule, and why."""

    rule: Annotated[
        RulePlace | RuleName,
        says("The rule: by its id, or by its place in the list, counted from 1."),
    ]
    module_id: Annotated[IdOrName | None, says("The module that is let off.")] = None
    train_id: Annotated[IdOrName | None, says("The train that is let off.")] = None
    reason: Annotated[
        Annotated[Note, msgspec.Meta(min_length=1)],
        says("Why, and what is done about it."),
    ]

    def rules(self) -> Iterable[Fault]:
        """It is about one module or one train."""
        if (self.module_id is None) == (self.train_id is None):
            yield Fault(
                code="one_or_the_other",
                message="name either a module or a train",
                pointer="/module_id",
            )
        if not self.reason.strip():
            yield Fault(
                code="too_short", message="must not be empty", pointer="/reason"
            )


Rules = Annotated[
    tuple[StandardRule, ...], msgspec.Meta(min_length=1, max_length=MOST_RULES)
]
Waivers = Annotated[tuple[Waiver, ...], msgspec.Meta(max_length=MOST_WAIVERS)]


_KINDS: dict[type, RuleKind] = {
    LeastRadius: "least_radius",
    LongestTrain: "longest_train",
    RailHeight: "rail_height",
    RailStep: "rail_step",
    EndStraight: "end_straight",
    Spacing: "spacing",
    Connector: "connector",
    WireAreaRule: "wire_area",
    BoardMass: "board_mass",
    TrackPlace: "track_place",
    HeightSteps: "height_steps",
    LeastPointsNumber: "least_points_number",
}


def kind_of(rule: StandardRule) -> RuleKind:
    """Return the sort of a rule: what its field ``rule`` says. **Source** derived."""
    return _KINDS[type(rule)]


def is_about_trains(rule: StandardRule) -> bool:
    """Tell whether a rule is about trains; all others are about modules. **Source**
    derived.
    """
    return isinstance(rule, LongestTrain)


def rule_meant(rules: Sequence[StandardRule], meant: int | str) -> int | None:
    """Return the place, counted from 0, of the rule that a waiver means; None where
    there is none. **Source** derived.

    >>> (
    ...     rule_meant([BoardMass(mass_g=25000, id="mass")], "mass"),
    ...     rule_meant([BoardMass(mass_g=25000)], 2),
    ... )
    (0, None)
    """
    if isinstance(meant, int):
        is_there = 1 <= meant <= len(rules)
        return meant - 1 if is_there else None
    for place, rule in enumerate(rules):
        if rule.id == meant:
            return place
    return None


def rules_at_odds(
    rules: Sequence[StandardRule], waivers: Sequence[Waiver]
) -> Iterable[Fault]:
    """Yield ids used twice, and waivers of no rule, of a rule about others, or given
    twice. **Source** derived.
    """
    yield from _ids_used_twice(rules)
    given: set[tuple[int, str | None, str | None]] = set()
    for position, waiver in enumerate(waivers):
        pointer = f"/waivers/{position}"
        place = rule_meant(rules, waiver.rule)
        if place is None:
            yield Fault(
                code="no_such_rule",
                message=f"there is no rule {waiver.rule}",
                pointer=f"{pointer}/rule",
            )
            continue
        yield from _about_others(rules[place], waiver, pointer)
        this = (place, waiver.module_id, waiver.train_id)
        if this in given:
            yield Fault(
                code="repeated",
                message="this was waived already",
                pointer=f"{pointer}/rule",
            )
        given.add(this)


def _ids_used_twice(rules: Sequence[StandardRule]) -> Iterable[Fault]:
    seen: set[str] = set()
    for position, rule in enumerate(rules):
        if rule.id is None:
            continue
        if rule.id in seen:
            yield Fault(
                code="repeated",
                message=f"there is a rule {rule.id} already",
                pointer=f"/rules/{position}/id",
            )
        seen.add(rule.id)


def _about_others(rule: StandardRule, waiver: Waiver, pointer: str) -> Iterable[Fault]:
    """Yield a fault where a rule about trains is waived for a module, or the other way
    round.
    """
    of_trains = is_about_trains(rule)
    names_a_train = waiver.train_id is not None
    if of_trains == names_a_train:
        return
    about = "trains" if of_trains else "modules"
    field = "train_id" if names_a_train else "module_id"
    yield Fault(
        code="contradiction",
        message=f"the rule is about {about}",
        pointer=f"{pointer}/{field}",
    )
