"""How the demo flock is made: an invented place, invented people, invented birds."""
