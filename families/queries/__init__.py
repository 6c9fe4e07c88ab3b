"""What the office's pages of families read."""
