"""What goes into rooms of next to no length."""

from math import inf

import numpy as np

from standage.railway.longest.room import Roomful
from support.walks import at_each


@at_each("room_mm, most", [(0.0, 1.0), (5e-324, 2.0), (1000.0, 3.0), (-5e-324, -inf)])
def test_a_room_of_countless_cells_holds_the_most_there_is(
    room_mm: float, most: float
) -> None:
    """A room of 5e-324 mm was asked about: 1000 mm are more cells than a number has."""
    tiny = Roomful(
        cell_mm=5e-324, rest=np.array([1.0, 2.0, 3.0]), worth=3.0, made_of=None
    )
    assert tiny.most(room_mm) == most
