"""Vehicles, their couplings and bodies, and the trains they make up."""
