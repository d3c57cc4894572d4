"""The live sheet in a window, by pygame."""
