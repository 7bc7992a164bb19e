"""The reasoning: beliefs, advice, callouts. Prints nothing and reads no clock."""
