"""The solver: grid, property tables, compiled kernel, and the march over the year."""
