"""Lists of names in the messages of the registry."""

from collections.abc import Sequence


def listed(names: Sequence[str], *, most: int) -> str:
    """Return names as a person would list them; those beyond ``most`` are others.

    >>> listed(["a", "b", "c"], most=2)
    'a, b and others'
    """
    if len(names) > most:
        return f"{', '.join(names[:most])} and others"
    return " and ".join(part for part in (", ".join(names[:-1]), *names[-1:]) if part)
