"""Published tables as CSV, each row with its source."""
