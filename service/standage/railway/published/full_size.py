"""Standards of the full-size railway, brought to a model's scale."""

from standage.railway.published.tables import Found, Held, NotHeld, Standard
from standage.railway.terms.figures import tidy
from standage.railway.terms.scales import Practice, ScaleName, full_size_mm, scale


class FullSize:
    """A standard of one practice's railways of standard gauge."""

    def __init__(self, standard: Standard, practice: Practice) -> None:
        self.standard = standard
        self.practice = practice

    def holds(self, name: ScaleName) -> bool:
        """Tell whether a scale's models are of such railways: by its practice, and of
        no narrow gauge.

        >>> FullSize(Standard(name="Sheet"), "british").holds("EM")
        True
        >>> FullSize(Standard(name="Sheet"), "british").holds("009")
        False
        """
        known = scale(name)
        return known.practice == self.practice and not known.is_narrow

    def found(self, name: ScaleName, *, full_m: float, words: str) -> Found:
        """Return a full-size figure in a scale; not held where the scale's railways are
        others.
        """
        row = f"{name}, {words}"
        if not self.holds(name):
            return NotHeld(standard=self.standard, row=row)
        value_mm = full_size_mm(full_m, ratio=scale(name).ratio)
        return Held(
            standard=self.standard,
            row=row,
            value_mm=tidy(value_mm),
        )
