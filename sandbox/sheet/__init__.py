"""The live sheet without a screen: one state, what each input does to it, and what it shows."""
