"""What is written on sheet and window: words in each language, and values in units."""
