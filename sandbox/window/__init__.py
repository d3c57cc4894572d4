"""The live sheet in a window: time, inputs, and what is shown."""
