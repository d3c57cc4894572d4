"""Questions to think about, a module for each kind of machine."""
