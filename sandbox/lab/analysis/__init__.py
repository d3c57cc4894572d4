"""Measured data beside theory: uncertainty, fits, effects, and a verdict."""
