"""The longest train for a place, made up behind given engines from a pool of
vehicles.
"""
