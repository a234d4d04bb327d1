"""Copied as sitecustomize.py where a test wants a service whose every operation fails,
quoting what it was asked.
"""

from dataclasses import replace
from typing import Any, NoReturn

import standage.app
from standage.api.web.operation import Considers, Operation, Proves, Reads, Writes

_SOUND = standage.app.operations


def _fail(*asked: Any) -> NoReturn:
    raise RuntimeError(" ".join(repr(one) for one in asked))


def _failing(operation: Operation) -> Operation:
    act = operation.act
    if isinstance(act, Reads):
        return replace(operation, act=Reads(_fail, _fail))
    if isinstance(act, Writes):
        return replace(operation, act=replace(act, perform=_fail))
    if isinstance(act, Considers):
        return replace(operation, act=replace(act, gather=_fail))
    if isinstance(act, Proves):
        return replace(operation, act=replace(act, look=_fail))
    return operation


standage.app.operations = lambda: [_failing(operation) for operation in _SOUND()]
