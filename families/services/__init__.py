"""Households and their spots, with the notes that follow: registering, answering, joining, moving, cancelling."""
