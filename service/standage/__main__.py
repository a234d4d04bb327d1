"""``python -m standage``, and the program ``standage``.

Thousands of classes are made at the start, and all stay: to look through them for what
may go took a fifth of the time.
"""

import gc

gc.disable()

from standage.cli import main  # noqa: E402 what is imported is what is not looked through

gc.freeze()
gc.enable()

if __name__ == "__main__":
    main()
