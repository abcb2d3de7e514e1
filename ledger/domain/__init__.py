"""What things are: frozen dataclasses and plain rules; no files, no clock, no screen."""
