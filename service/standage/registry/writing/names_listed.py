"""Lists of names in the messages of the registry."""

from collections.abc import Sequence


def listed(names: Sequence[str], *, most: int) -> str:
    """Return names as a person would list them; those beyond ``most`` are others.

    >>> listed(["a", "b", "c"], most=2)
    'a, b and others'
    """
    if len(names) > most:
        told = ", ".join(names[:most])
        return f"{told} and others"
    first = ", ".join(names[:-1])
    parts = [first, *names[-1:]]
    return " and ".join(filter(None, parts))
