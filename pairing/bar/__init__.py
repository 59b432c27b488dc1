"""What this bar has and did: pantry, stock, prices."""
