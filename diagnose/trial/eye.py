"""What an eye is: a check's name stands beside one in the tables of `eyes_*`."""

from collections.abc import Callable

from diagnose.trial.case import Case

Eye = Callable[[Case], str | float]
"""A case to the outcome that a careful hand sees, or to the pressure (Pa gauge) that a true gauge shows."""
