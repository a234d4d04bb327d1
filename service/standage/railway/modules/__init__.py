"""Modules, whether their ends join, and a club's own standard for them."""
