"""The names that the document gives to the choices of words.

A generated client makes a type of every choice. By a name of its own the same choice is
the same type wherever it stands, and a new one beside it renames none.
"""

from collections.abc import Mapping, Sequence
from typing import Any, get_args

from standage.exchange.cells import SheetFormat
from standage.exchange.fields import Unit
from standage.exchange.numbers import Decimal
from standage.importing.outcomes import Outcome
from standage.importing.taking import Which
from standage.questions.gradient_answer import GradientVerdict
from standage.questions.haulage_answer import HaulageVerdict
from standage.questions.helix import HelixVerdict
from standage.questions.layout_limits import LimitsVerdict
from standage.questions.least_radius import Couplings, LeastRadiusVerdict
from standage.questions.length import LengthVerdict
from standage.questions.parts import PartsVerdict
from standage.questions.points import PointsVerdict
from standage.questions.road_allocation_answer import AllocationVerdict
from standage.questions.shunting_sheets import Show
from standage.questions.standard_report import SubjectKind
from standage.questions.train_fit_answer import AlsoField
from standage.questions.wish_list import WishVerdict
from standage.railway.curving.least_radii import Rule
from standage.railway.curving.straights import StraightBy
from standage.railway.curving.verdicts import CurveVerdict
from standage.railway.longest.room import By
from standage.railway.modules.boards import LineClass
from standage.railway.modules.joining import JoinVerdict
from standage.railway.modules.shortfalls import StandardVerdict
from standage.railway.modules.standard_rules import RuleKind
from standage.railway.passing.gaps import PassingVerdict
from standage.railway.published.tables import Outcome as TableOutcome
from standage.railway.roads.places import LimitKind, PlaceKind, StoppedBy
from standage.railway.shunting.census import Par
from standage.railway.shunting.deal import Difficulty
from standage.railway.shunting.search import Verdict as ShuntingVerdict
from standage.railway.shunting.yard import Action as VisitAction
from standage.railway.shunting.yard import Fewest, Rest
from standage.railway.slips.slip import Likely, SlipCode
from standage.railway.standing.capacity import CapacityVerdict
from standage.railway.standing.verdicts import FitVerdict
from standage.railway.stock.couplings import Mounting
from standage.railway.stock.vehicles import (
    EndsOver,
    LengthFrom,
    LengthOver,
    VehicleKind,
)
from standage.railway.storing.fill import FillVerdict
from standage.railway.terms.scales import Practice, ScaleName
from standage.railway.track.paths.runs import Hand
from standage.railway.track.pieces.pieces import Live
from standage.railway.track.pieces.pieces import State as PieceState
from standage.registry.records.record import Action, Role, Scope
from standage.registry.writing.list_imports import State
from standage.registry.writing.refused_changes import Verb

CHOICES: Mapping[str, Any] = {
    "AllocationVerdict": AllocationVerdict,
    "AlsoField": AlsoField,
    "CapacityVerdict": CapacityVerdict,
    "ChangeAction": Action,
    "Crossing": Live,
    "CouplingsTried": Couplings,
    "CurveVerdict": CurveVerdict,
    "DecimalSign": Decimal,
    "EndsOver": EndsOver,
    "Fewest": Fewest,
    "FewestOfTwo": Par,
    "FillVerdict": FillVerdict,
    "FitVerdict": FitVerdict,
    "GradientVerdict": GradientVerdict,
    "Hand": Hand,
    "HaulageVerdict": HaulageVerdict,
    "HelixVerdict": HelixVerdict,
    "ImportState": State,
    "JoinVerdict": JoinVerdict,
    "LeastRadiusVerdict": LeastRadiusVerdict,
    "LengthFrom": LengthFrom,
    "LengthOver": LengthOver,
    "LengthVerdict": LengthVerdict,
    "LimitKind": LimitKind,
    "LimitsVerdict": LimitsVerdict,
    "LineClass": LineClass,
    "LongestBy": By,
    "Mounting": Mounting,
    "PartsVerdict": PartsVerdict,
    "PassingVerdict": PassingVerdict,
    "PieceState": PieceState,
    "PlaceKind": PlaceKind,
    "PointsVerdict": PointsVerdict,
    "Practice": Practice,
    "PuzzleDifficulty": Difficulty,
    "RadiusAskedBy": Rule,
    "Rest": Rest,
    "Role": Role,
    "RowResult": Outcome,
    "RowsTaken": Which,
    "RuleKind": RuleKind,
    "ScaleName": ScaleName,
    "Scope": Scope,
    "SheetFormat": SheetFormat,
    "SheetShows": Show,
    "ShuntingVerdict": ShuntingVerdict,
    "SlipCode": SlipCode,
    "SlipLikely": Likely,
    "StandardVerdict": StandardVerdict,
    "StoppedBy": StoppedBy,
    "StraightBy": StraightBy,
    "SubjectKind": SubjectKind,
    "TableOutcome": TableOutcome,
    "Unit": Unit,
    "VehicleKind": VehicleKind,
    "Verb": Verb,
    "VisitAction": VisitAction,
    "WishVerdict": WishVerdict,
}
"""Each choice that stands in several places, or has a name in its own room."""


def known_choice(words: Sequence[str]) -> str | None:
    """Return the name of a choice among ``words``; None where it has none."""
    return _NAMES.get(frozenset(words))


def capitals(name: str) -> str:
    """Return a name in small letters as one of a type: ``vehicle_id``,
    ``VehicleId``.
    """
    return "".join(part.capitalize() for part in name.replace("-", "_").split("_"))


_NAMES = {frozenset(get_args(choice)): name for name, choice in CHOICES.items()}
