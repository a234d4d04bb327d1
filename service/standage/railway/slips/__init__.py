"""Likely slips of the pen in figures, named with what was probably meant."""
