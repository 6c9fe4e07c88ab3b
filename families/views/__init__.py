"""The office's pages of families."""
