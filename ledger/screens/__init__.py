"""One file per screen; keys in, services called, nothing decided here."""
