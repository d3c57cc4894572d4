"""The live sheet in a browser: the page that carries it, and in `inside` what runs there."""
