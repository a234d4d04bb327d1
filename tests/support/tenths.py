"""Lengths as people measure them, in tenths of a millimetre: as text, exactly, and as
the service is given them.
"""

from fractions import Fraction
from itertools import pairwise
from typing import Any

import msgspec
from hypothesis import strategies as st

from standage.railway.stock.couplings import Coupling
from standage.railway.stock.vehicles import Standing

TENTH = Fraction(1, 10)


class Tenths(msgspec.Struct, frozen=True):
    """So many tenths of a millimetre."""

    number: int

    @property
    def text(self) -> str:
        """The figure as it is written down."""
        whole, tenth = divmod(abs(self.number), 10)
        return f"{'-' * (self.number < 0)}{whole}.{tenth}"

    @property
    def exact(self) -> Fraction:
        """What is written, exactly."""
        return Fraction(self.text)

    @property
    def mm(self) -> float:
        """What the service reads from it."""
        return float(self.text)


def tenths(least_mm: int, most_mm: int) -> st.SearchStrategy[Tenths]:
    """Return figures of so many mm, in tenths."""
    return st.integers(least_mm * 10, most_mm * 10).map(Tenths)


def as_read(exact: Fraction) -> float:
    """Return an exact length in tenths of a mm as the service reads it from its decimal
    text.
    """
    number = exact * 10
    assert number.denominator == 1
    return Tenths(number.numerator).mm


class Measured(msgspec.Struct, frozen=True, kw_only=True):
    """A vehicle in tenths: its length over buffers and its ±, and at each end how far
    the coupling reaches.
    """

    length: Tenths
    plus_minus: Tenths
    reaches: tuple[Tenths, Tenths]
    projections: tuple[Tenths, Tenths]

    def standing(self, name: str, **figures: Any) -> Standing:
        """Return the vehicle as the service knows it."""
        front, rear = (
            Coupling(reach_mm=reach.mm, projection_mm=out.mm)
            for reach, out in zip(self.reaches, self.projections, strict=True)
        )
        return Standing(
            name=name,
            length_mm=self.length.mm,
            length_over="buffers",
            length_plus_minus_mm=self.plus_minus.mm,
            front_coupling=front,
            rear_coupling=rear,
            **figures,
        )


measured = st.builds(
    Measured,
    length=tenths(20, 300),
    plus_minus=st.just(Tenths(0)) | tenths(0, 2),
    reaches=st.tuples(tenths(-2, 8), tenths(2, 8)),
    projections=st.tuples(tenths(0, 9), tenths(0, 9)),
)


def pulled_out(train: list[Measured]) -> Fraction:
    """Return a train's length in exact fractions, added up by hand."""
    length = sum((one.length.exact for one in train), Fraction(0))
    joints = [
        (one.reaches[1].exact, two.reaches[0].exact) for one, two in pairwise(train)
    ]
    length += sum((rear + front for rear, front in joints), Fraction(0))
    return length + train[0].projections[0].exact + train[-1].projections[1].exact


def may_be_off(train: list[Measured]) -> Fraction:
    """Return its ± in exact fractions."""
    return sum((one.plus_minus.exact for one in train), Fraction(0))
