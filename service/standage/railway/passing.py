"""Two tracks side by side: how near the bodies on them come to each other."""

from typing import Literal

PassingVerdict = Literal["clear", "marginal", "fouls", "cannot_tell"]
