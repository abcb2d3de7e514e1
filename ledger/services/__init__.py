"""What a keeper can do: one verb per function; owns the transaction."""
