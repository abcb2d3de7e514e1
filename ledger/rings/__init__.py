"""What a ring says and which bird wears it: inscriptions, sizes, the matcher."""
