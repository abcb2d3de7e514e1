"""A flock in, plain data or text out, for paper and for other programs."""
