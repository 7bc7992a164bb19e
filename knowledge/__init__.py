"""The book: its schema, the guarded way in, and its checker. Knows nothing of the other floors."""
