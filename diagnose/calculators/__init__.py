"""The calculators: each one a pure function with its units, its range and its source."""
