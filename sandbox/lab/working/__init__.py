"""What a worked answer is made of: expressions, lines, and the forces of one moment."""
