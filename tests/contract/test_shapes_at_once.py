"""Several threads that decode into one shape for the first time at the same moment do
not end the process.
"""

import subprocess
import sys

from contract.serving import environment
from support.patience import PATIENCE_S

AT_ONCE = """
import sys, threading
import msgspec
from standage.app import know_every_shape
from standage.registry.records.kinds import KINDS

if sys.argv[1] == "known":
    know_every_shape()
sys.setswitchinterval(1e-6)
together = threading.Barrier(12)

def decode():
    together.wait(60)
    for kind in KINDS.values():
        try:
            msgspec.json.decode(b'{"name": "Van"}', type=kind.body)
        except msgspec.ValidationError:
            pass

threads = [threading.Thread(target=decode) for _ in range(12)]
for thread in threads:
    thread.start()
for thread in threads:
    thread.join()
"""


def test_twelve_at_once_decode_what_the_service_has_looked_at_before() -> None:
    """Without that look the process ends by a fault of the decoder, now and then."""
    for _ in range(2):
        ended = subprocess.run(
            [sys.executable, "-c", AT_ONCE, "known"],
            env=environment("sqlite:///none.sqlite3"),
            capture_output=True,
            text=True,
            check=False,
            timeout=PATIENCE_S,
        )
        assert (ended.returncode, ended.stderr) == (0, "")
