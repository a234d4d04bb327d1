"""What a search and its referee say where they disagree."""


class UnsoundError(RuntimeError):
    """The search and the referee disagree: a defect of the service, never the
    caller's.
    """
