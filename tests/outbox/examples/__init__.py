"""An example of every kind of letter: written by the service that writes it, and what then makes it stale."""

from tests.outbox.examples import guardians, offices, volunteers
from tests.outbox.examples.kept import EXAMPLES, Example, World

__all__ = ["EXAMPLES", "Example", "World", "guardians", "offices", "volunteers"]
