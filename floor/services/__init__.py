"""The floor on the day: phones that may write, what they send, and what it amounts to in the books."""
