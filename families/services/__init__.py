"""Households and their places, with the notes that follow: registering, answering, joining, moving, cancelling."""
