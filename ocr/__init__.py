"""A photo of a leg ring in, a Reading out. Knows nothing of the ledger."""
