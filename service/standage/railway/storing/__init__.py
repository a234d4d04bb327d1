"""Trains put away: which stand in which roads, how full those are, and what can be
worked at loading spots.
"""
