"""Gradients, and what an engine hauls up them."""
