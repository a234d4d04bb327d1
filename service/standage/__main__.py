"""``python -m standage``."""

from standage.cli import main

main()
