"""How long a test waits for what comes at once on a machine that has nothing else to
do, and the waiting itself.
"""

import time
from collections.abc import Callable

PATIENCE_S = 120
"""Never a measure of anything: only so that a test ends that waits for what does not
come.
"""

_LOOK_AGAIN_S = 0.01


def until(true: Callable[[], bool], *, told: Callable[[], object] = str) -> None:
    """Wait until something is true; ``told`` gives what to say where it does not come
    to be.
    """
    deadline = time.monotonic() + PATIENCE_S
    while not true():
        assert time.monotonic() < deadline, told()
        time.sleep(_LOOK_AGAIN_S)
