"""Paper for the bench: what to set out, what to ask, and every answer worked line by line."""
