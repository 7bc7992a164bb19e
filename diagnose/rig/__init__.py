"""A simulated liquid dump: it knows physics and nothing of the book.

`plant_of` makes a healthy plant from a unit sheet's values, `faults` changes one, `run` plays it over time.
"""
