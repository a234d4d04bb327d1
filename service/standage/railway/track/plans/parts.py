"""Parts of a plan that hold together, found by what is joined to what."""


class Parts:
    """Names in parts: joined one by one, each part known by one of its names.

    >>> parts = Parts()
    >>> parts.join("A", "B")
    >>> parts.of("A") == parts.of("B"), parts.of("C")
    (True, 'C')
    """

    def __init__(self) -> None:
        self._above: dict[str, str] = {}

    def join(self, one: str, other: str) -> None:
        """Make the parts of two names one."""
        self._above[self.of(one)] = self.of(other)

    def of(self, name: str) -> str:
        """Return the name that stands for the part of another."""
        path = []
        while (above := self._above.get(name, name)) != name:
            path.append(name)
            name = above
        for one in path:
            self._above[one] = name
        return name
