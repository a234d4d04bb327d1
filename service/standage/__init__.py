"""Standage: knows beforehand whether a model railway's trains fit its roads and take
its curves.
"""
