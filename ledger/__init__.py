"""The flock ledger: birds, their rings, their families and their health."""

__version__ = "0.1.0"
