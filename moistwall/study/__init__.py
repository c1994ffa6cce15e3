"""Studies: several runs, and what they say together."""
