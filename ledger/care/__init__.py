"""What is due when, and what weights and ages tell."""
