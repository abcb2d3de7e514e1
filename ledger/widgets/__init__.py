"""One file per widget; each shows one thing and posts what the keeper wants."""
