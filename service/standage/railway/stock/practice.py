"""What is taken from common practice where a member knows no better, each guess told;
engines are never guessed.

**Source** of every figure here: common practice of the trade; no standard says so.
"""

from typing import Literal

import msgspec

from standage.railway.stock.extents import Missing
from standage.railway.stock.vehicles import Running, Vehicle
from standage.railway.terms.figures import millimetres, tidy
from standage.railway.terms.reasons import Guess, Source
from standage.railway.terms.scales import Practice, full_size_mm, scale

WIDTH_M: dict[Practice, float] = {"british": 2.8, "continental": 2.9, "american": 3.2}
"""Full-size widths of stock."""
WIDTH_PLUS_MINUS_MM = 1.0
COACH_PIVOTS = 0.72
"""Of a coach's body between its pivots."""
COACH_BOGIE_M = 2.6
"""A coach's full-size bogie wheelbase."""
TWO_AXLE_WHEELBASE = 0.5
"""Of a two-axle vehicle's length between its axles."""
WAGON_PIVOTS = 0.7
"""Of a bogie wagon's body between its pivots."""
TWO_AXLES_TO_M, BOGIES_FROM_M = 18.0, 12.0
"""Wagons over 18 m of full size stand on bogies, those under 12 m on two axles; between
them run both sorts, a two-axle van of 14.02 m beside a bogie wagon of 14.04. American
wagons stand on bogies, however short."""
WAGON_KINDS = frozenset({"wagon", "brake_van"})

Stand = Literal["two_axles", "bogies"]


class Found(msgspec.Struct, frozen=True, kw_only=True):
    """A figure with its ±, what was guessed to find it, and what would have to be
    measured where it is None.
    """

    value_mm: float | None = None
    plus_minus_mm: float = 0.0
    guesses: tuple[Guess, ...] = ()
    missing: tuple[Missing, ...] = ()


class Part(msgspec.Struct, frozen=True, kw_only=True):
    """What is known of one body before practice is asked; its overhangs run to where
    its own end is.

    ``name`` is None for the only body of a vehicle; ``field`` stands before the names
    of its fields.
    """

    vehicle: Vehicle
    running: Running
    name: str | None = None
    field: str = ""
    length_mm: float | None
    front_mm: float | None
    rear_mm: float | None
    shares_bogie: bool = False

    def guess(
        self,
        field: str,
        about: str,
        *,
        source: Source = "common_practice",
        value_mm: float | None,
    ) -> Guess:
        """Return a guess about a field of this body."""
        if self.name is not None:
            about = f"{self.name}: {about}"
        if value_mm is not None:
            value_mm = round(value_mm, 6)
        return Guess(
            vehicle=self.vehicle.name,
            field=self.field + field,
            about=about,
            source=source,
            value_mm=value_mm,
        )

    def missing(self, field: str, words: str) -> Missing:
        """Return what has to be measured of this body."""
        if self.name is not None:
            words = f"{words} ({self.name})"
        return Missing(
            vehicle=self.vehicle.name,
            field=self.field + field,
            words=words,
        )

    @property
    def pivots_mm(self) -> float | None:
        """Between its pivots, as given; a body that shares a bogie gives it by its
        length and overhangs too.
        """
        if (
            self.running.bogie_centres_mm is not None
            or self.running.rigid_wheelbase_mm is not None
        ):
            return self.running.bogie_centres_mm or self.running.rigid_wheelbase_mm
        if (
            not self.shares_bogie
            or self.length_mm is None
            or self.front_mm is None
            or self.rear_mm is None
        ):
            return None
        between_mm = self.length_mm - (self.front_mm + self.rear_mm)
        if between_mm > 0:
            return between_mm
        return None

    @property
    def wagon_stands(self) -> tuple[Stand, ...]:
        """What it may stand on where it is a wagon of one body whose wheels nobody
        measured; none for any other.
        """
        if (
            self.name is not None
            or self.pivots_mm is not None
            or self.vehicle.kind not in WAGON_KINDS
        ):
            return ()
        return wagon_stands(self.vehicle, length_mm=self.length_mm)

    @property
    def is_guessed_coach(self) -> bool:
        """Whether it is a coach of one body with pivots that nobody measured."""
        return (
            self.name is None
            and self.vehicle.kind == "coach"
            and self.pivots_mm is None
        )


def wagon_stands(vehicle: Vehicle, *, length_mm: float | None) -> tuple[Stand, ...]:
    """Return what a wagon whose wheelbase nobody measured may stand on: one sort of
    wheels, or either.

    ``length_mm`` is the model's, None where unknown; a wagon of no known scale is taken
    for a short one. What is said of its bogies or its axles decides first. **Source**
    common practice.
    """
    if vehicle.bogie_wheelbase_mm is not None:
        return ("bogies",)
    if vehicle.rigid_axles is not None:
        return ("two_axles",)
    practice, ratio = vehicle.practice, None
    if vehicle.scale is not None:
        known = scale(vehicle.scale)
        practice, ratio = practice or known.practice, known.ratio
    if practice == "american":
        return ("bogies",)
    full_size_m = _full_size_m(vehicle, length_mm=length_mm, ratio=ratio)
    if full_size_m is None or tidy(full_size_m) < BOGIES_FROM_M:
        return ("two_axles",)
    if tidy(full_size_m) > TWO_AXLES_TO_M:
        return ("bogies",)
    return ("two_axles", "bogies")


def _full_size_m(
    vehicle: Vehicle, *, length_mm: float | None, ratio: float | None
) -> float | None:
    if vehicle.full_size_length_m is not None:
        return vehicle.full_size_length_m
    if length_mm is None or ratio is None:
        return None
    return length_mm * ratio / 1000


def pivots_of(part: Part, *, on: Stand | None = None) -> Found:
    """Return the distance between the pivots or end axles: as given, else as practice
    has it, else missing.

    ``on`` says which of ``part.wagon_stands`` is reckoned. In mm. **Source** common
    practice.
    """
    if part.pivots_mm is not None:
        return Found(value_mm=part.pivots_mm)
    if part.is_guessed_coach:
        return _coach_pivots(part)
    if on == "two_axles":
        return _two_axle_wheelbase(part)
    if on == "bogies":
        return _wagon_pivots(part)
    kind = part.vehicle.kind if part.name is None else None
    if kind == "engine":
        words = "its rigid wheelbase, or the distance between its bogies' middles"
        return Found(missing=(part.missing("rigid_wheelbase_mm", words),))
    words = "the distance between its bogies' middles, or its rigid wheelbase"
    return Found(missing=(part.missing("bogie_centres_mm", words),))


def bogie_wheelbase_of(part: Part, *, on: Stand | None = None) -> Found:
    """Return a bogie's wheelbase; 0 where the body has no bogies, and where nobody gave
    it.

    ``on`` says which of ``part.wagon_stands`` is reckoned. In mm. **Source** common
    practice.
    """
    running = part.running
    has_bogies = part.shares_bogie or part.is_guessed_coach or on == "bogies"
    if running.bogie_centres_mm is None and not has_bogies:
        return Found(value_mm=0.0)
    if running.bogie_wheelbase_mm is not None:
        return Found(value_mm=running.bogie_wheelbase_mm)
    if part.is_guessed_coach and part.vehicle.scale is not None:
        wheelbase_mm = full_size_mm(
            COACH_BOGIE_M, ratio=scale(part.vehicle.scale).ratio
        )
        about = (
            f"its bogies' wheelbase is taken to be {COACH_BOGIE_M:g} m full size,"
            f" {millimetres(wheelbase_mm)}"
        )
        guess = part.guess("bogie_wheelbase_mm", about, value_mm=wheelbase_mm)
        return Found(value_mm=wheelbase_mm, guesses=(guess,))
    about = "its bogies' wheelbase is not given and counts as 0"
    guess = part.guess("bogie_wheelbase_mm", about, source="default", value_mm=0.0)
    return Found(value_mm=0.0, guesses=(guess,))


def width_of(part: Part) -> Found:
    """Return the width: the body's, else the vehicle's, else as practice has it in its
    scale, else missing. In mm. **Source** common practice.
    """
    for running in (part.running, part.vehicle):
        if running.width_mm is not None:
            return Found(
                value_mm=running.width_mm,
                plus_minus_mm=running.width_plus_minus_mm or 0.0,
            )
    if part.vehicle.scale is None:
        return Found(missing=(part.missing("width_mm", "its width"),))
    known = scale(part.vehicle.scale)
    practice = part.vehicle.practice or known.practice
    width_mm = full_size_mm(WIDTH_M[practice], ratio=known.ratio)
    about = (
        f"its width is taken to be {millimetres(width_mm)}: {WIDTH_M[practice]:g} m in"
        f" full size, as {practice.capitalize()} stock mostly has it"
    )
    guess = part.guess("width_mm", about, value_mm=width_mm)
    guess = msgspec.structs.replace(guess, plus_minus_mm=WIDTH_PLUS_MINUS_MM)
    return Found(
        value_mm=width_mm,
        plus_minus_mm=WIDTH_PLUS_MINUS_MM,
        guesses=(guess,),
    )


def _coach_pivots(part: Part) -> Found:
    body_mm = part.running.body_length_mm or part.length_mm
    if body_mm is None:
        return Found(missing=(part.missing("length_mm", "its length"),))
    pivots_mm = COACH_PIVOTS * body_mm
    about = (
        f"its bogies' middles are taken to be {COACH_PIVOTS:g} of its body,"
        f" {millimetres(pivots_mm)}, apart"
    )
    return Found(
        value_mm=pivots_mm,
        guesses=(part.guess("bogie_centres_mm", about, value_mm=pivots_mm),),
    )


def _wagon_pivots(part: Part) -> Found:
    body_mm = part.running.body_length_mm or part.length_mm
    if body_mm is None:
        return Found(missing=(part.missing("length_mm", "its length"),))
    pivots_mm = WAGON_PIVOTS * body_mm
    about = (
        "it is taken to stand on bogies, whose middles are "
        f"{WAGON_PIVOTS:g} of its body, {millimetres(pivots_mm)}, apart"
    )
    return Found(
        value_mm=pivots_mm,
        guesses=(part.guess("bogie_centres_mm", about, value_mm=pivots_mm),),
    )


def _two_axle_wheelbase(part: Part) -> Found:
    if part.length_mm is None:
        return Found(missing=(part.missing("length_mm", "its length"),))
    wheelbase_mm = TWO_AXLE_WHEELBASE * part.length_mm
    about = (
        f"it is taken to have two axles, half its length, {millimetres(wheelbase_mm)},"
        " apart"
    )
    return Found(
        value_mm=wheelbase_mm,
        guesses=(part.guess("rigid_wheelbase_mm", about, value_mm=wheelbase_mm),),
    )
