"""The README's own question: asked as it stands there, it has the answer that stands
there, and is drawn as it is shown there.
"""

import json
import re
from pathlib import Path
from typing import Any

from api.asking import Caller

ROOT = Path(__file__).parents[2]
README = (ROOT / "README.md").read_text()
DRAWING = ROOT / "openapi" / "train-in-a-loop.svg"


def asked() -> Any:
    found = re.search(r"/v1/checks/train-fit \\\n.*? -d '(\{.*?\})'", README, re.DOTALL)
    assert found is not None
    return json.loads(found[1])


def test_the_readmes_question_has_the_answer_that_stands_there(steward: Caller) -> None:
    answer = steward.ask("POST", "/v1/checks/train-fit", asked()).json()
    told = " ".join(README.split())
    assert f"The answer is `{answer['verdict']}`" in told
    assert f'"{answer["because"][0]["message"]}"' in told


def test_the_readmes_question_is_drawn_as_it_is_shown_there(steward: Caller) -> None:
    drawn = steward.ask("POST", "/v1/checks/train-fit/drawing", asked())
    assert drawn.status_code == 200, drawn.text
    assert drawn.content == DRAWING.read_bytes()
    assert f"](openapi/{DRAWING.name})" in README


def test_what_contributors_and_users_read_first_is_short() -> None:
    assert len(README.encode()) <= 6_000
    assert len((ROOT / "DEVELOPERS.md").read_bytes()) <= 12_000
