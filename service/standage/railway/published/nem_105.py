"""Where the wall of a rectangular tunnel stands by NEM 105."""

from standage.railway.published.nem_102 import size_of
from standage.railway.published.tables import (
    Found,
    Held,
    NotAllowed,
    NotHeld,
    Standard,
)
from standage.railway.terms.figures import tidy
from standage.railway.terms.nem import tunnel_half_width_mm
from standage.railway.terms.scales import ScaleName

NEM_105 = Standard(name="NEM 105", edition="2013")


def tunnel_wall(name: ScaleName, *, widened: Found) -> Found:
    """Return from the centre line of the outer track to a tunnel's wall, in mm.

    ``widened`` is what NEM 103 says of the curve: without it there is no figure, and
    what that does not allow is not allowed. **Source** NEM 105 (2013): 0.5 BL1 + 0.3 G
    + E.
    """
    row = f"{widened.row}, a tunnel's wall"
    size = size_of(name)
    if isinstance(widened, NotAllowed):
        return NotAllowed(standard=NEM_105, row=row)
    if size is None or not isinstance(widened, Held):
        return NotHeld(standard=NEM_105, row=row)
    wall_mm = tunnel_half_width_mm(size, widening_mm=widened.value_mm)
    return Held(standard=NEM_105, row=row, value_mm=tidy(wall_mm))
