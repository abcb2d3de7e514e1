"""The only place that knows TinyDB: loads a flock, commits a set of changes."""
