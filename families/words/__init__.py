"""Sentences for the codes and facts that rules and rows give; by subject."""
